"""Trees of job files that were read before: kept for twenty people at work, and never more than so much."""

from __future__ import annotations

from palewright.jobfile.composing import _Kept


def test_twenty_jobs_in_turn_are_each_put_together_once():
    kept = _Kept()
    texts = [f"title: job {k}\nsite:\n  frost: {k + 10} in\n" for k in range(20)]
    first = [kept.compose(text)[0] for text in texts]
    assert all(kept.compose(text)[0] is tree for text, tree in zip(texts, first, strict=True))


def test_the_oldest_go_when_there_is_too_much_and_the_longest_are_not_kept():
    kept = _Kept()
    texts = [f"title: job {k}\n# {'x' * (kept.ALL // 10)}\n"[: kept.LONGEST] for k in range(12)]
    first = [kept.compose(text)[0] for text in texts]
    assert kept.compose(texts[-1])[0] is first[-1]
    assert kept.compose(texts[0])[0] is not first[0]
    long = f"title: job\n# {'x' * kept.LONGEST}\n"
    assert kept.compose(long)[0] is not kept.compose(long)[0]
    assert kept._size <= kept.ALL
