"""Save, undo, redo, marks and keys, on both databases."""

from __future__ import annotations

import pytest
from tests.store.conftest import TEXT, made, slugs

from palewright.errors import ProblemError
from palewright.store import ChangedElsewhere, JobEntry, Limits, Store


def saved(store: Store, job: str, *texts: str) -> JobEntry:
    entry = store.jobs.entry(job)
    for text in texts:
        entry = store.revisions.save(job, text, on=entry.revision, title="Yard", by="desk", why="typed")
    return entry


def test_a_new_job_has_one_revision_and_nothing_to_undo(store: Store) -> None:
    entry = store.jobs.create(TEXT, title="Yard", by="desk")
    assert (entry.title, entry.revision, entry.can_undo, entry.can_redo) == ("Yard", 1, False, False)
    assert store.revisions.text(entry.id) == TEXT
    assert store.jobs.all() == (entry,)


def test_undo_and_redo_walk_through_the_texts_and_append_revisions(store: Store) -> None:
    job = made(store, text="one")
    saved(store, job, "two", "three")
    steps = []
    for way in ("undo", "undo", "redo", "redo", "undo"):
        entry = getattr(store.revisions, way)(job, on=store.jobs.entry(job).revision, by="desk")
        steps.append((entry.revision, store.revisions.text(job), entry.can_undo, entry.can_redo))
    assert steps == [
        (4, "two", True, True),
        (5, "one", False, True),
        (6, "two", True, True),
        (7, "three", True, False),
        (8, "two", True, True),
    ]
    assert [(one.number, one.undo_to, one.redo_to) for one in store.revisions.all(job)] == [
        (8, 5, 7), (7, 6, None), (6, 5, 3), (5, None, 4), (4, 1, 3), (3, 2, None), (2, 1, None), (1, None, None),
    ]  # fmt: skip
    assert [store.revisions.text(job, number) for number in range(1, 9)] == [
        "one", "two", "three", "two", "one", "two", "three", "two",
    ]  # fmt: skip


def test_a_save_after_undo_forgets_what_could_be_redone_but_keeps_the_revision(store: Store) -> None:
    job = made(store, text="one")
    saved(store, job, "two")
    store.revisions.undo(job, on=2, by="desk")
    entry = store.revisions.save(job, "three", on=3, title="Yard", by="desk")
    assert not entry.can_redo
    with pytest.raises(ProblemError) as caught:
        store.revisions.redo(job, on=4, by="desk")
    assert slugs(caught.value) == ["nothing-to-redo"]
    assert store.revisions.text(job, 2) == "two"
    store.revisions.undo(job, on=4, by="desk")
    assert store.revisions.text(job) == "one"
    with pytest.raises(ProblemError) as caught:
        store.revisions.undo(job, on=5, by="desk")
    assert slugs(caught.value) == ["nothing-to-undo"]


def test_undo_brings_the_title_back_too(store: Store) -> None:
    job = made(store, "First")
    store.revisions.save(job, "two", on=1, title="Second", by="desk")
    assert store.revisions.undo(job, on=2, by="desk").title == "First"


def test_a_stale_change_is_refused_with_the_job_as_it_stands(store: Store) -> None:
    job = made(store)
    now = saved(store, job, "two")
    for change in (
        lambda: store.revisions.save(job, "mine", on=1, title="Yard", by="desk"),
        lambda: store.revisions.undo(job, on=1, by="desk"),
        lambda: store.revisions.redo(job, on=1, by="desk"),
        lambda: store.jobs.remove(job, on=1, by="desk"),
        lambda: store.revisions.save(job, "mine", on=7, title="Yard", by="desk"),
    ):
        with pytest.raises(ChangedElsewhere) as caught:
            change()
        assert slugs(caught.value) == ["job-changed-elsewhere"]
        assert caught.value.present == now
    assert store.revisions.text(job) == "two"


def test_the_same_key_twice_is_done_once_and_answered_twice(store: Store) -> None:
    key = "6d9e2f6e-9d4c-4f7e-8f53-0d6f2f7f0d11"
    first = store.jobs.create(TEXT, title="Yard", by="desk", key=key)
    assert store.jobs.create(TEXT, title="Yard", by="desk", key=key) == first
    assert len(store.jobs.all()) == 1
    job = first.id
    answer = store.revisions.save(job, "two", on=1, title="Yard", by="desk", key="save-0001")
    saved(store, job, "three")
    assert store.revisions.save(job, "two", on=1, title="Yard", by="desk", key="save-0001") == answer
    back = store.revisions.undo(job, on=3, by="desk", key="undo-0001")
    assert store.revisions.undo(job, on=3, by="desk", key="undo-0001") == back
    assert store.jobs.entry(job).revision == 4
    with pytest.raises(ProblemError) as caught:
        store.revisions.save(job, "other", on=4, title="Yard", by="desk", key="save-0001")
    assert slugs(caught.value) == ["key-used-otherwise"]
    for key in ("short", "x" * 65, "with space", "nul\x00nul\x00nul"):
        with pytest.raises(ProblemError) as caught:
            store.revisions.save(job, "other", on=4, title="Yard", by="desk", key=key)
        assert slugs(caught.value) == ["key-unusable"]


def test_a_refused_change_does_not_use_its_key_up(store: Store) -> None:
    job = made(store)
    saved(store, job, "two")
    with pytest.raises(ChangedElsewhere):
        store.revisions.save(job, "three", on=1, title="Yard", by="desk", key="again-0001")
    assert store.revisions.save(job, "three", on=2, title="Yard", by="desk", key="again-0001").revision == 3


def test_saving_what_stands_adds_nothing(store: Store) -> None:
    job = made(store)
    before = saved(store, job, "two")
    assert store.revisions.save(job, "two", on=2, title="Yard", by="desk") == before
    assert store.revisions.save(job, "two", on=2, title="Other", by="desk").revision == 3


def test_marks_name_revisions(store: Store) -> None:
    job = made(store)
    saved(store, job, "two")
    mark = store.marks.add(job, "as quoted", number=1, by="desk")
    assert store.marks.add(job, "as quoted", number=1, by="desk") == mark
    store.marks.add(job, "with the gate ✓", number=2, by="desk")
    assert [(one.name, one.number) for one in store.marks.all(job)] == [("as quoted", 1), ("with the gate ✓", 2)]
    for name, number, slug in (
        ("as quoted", 2, "mark-name-taken"),
        ("", 1, "mark-name-unusable"),
        ("two\nlines", 1, "mark-name-unusable"),
        ("x" * 201, 1, "mark-name-unusable"),
        ("nul\x00", 1, "mark-name-unusable"),
        ("half \ud800", 1, "mark-name-unusable"),
        ("later", 3, "revision-unknown"),
        ("later", 0, "revision-unknown"),
    ):
        with pytest.raises(ProblemError) as caught:
            store.marks.add(job, name, number=number, by="desk")
        assert slugs(caught.value) == [slug]
    store.marks.remove(job, "as quoted")
    with pytest.raises(ProblemError) as caught:
        store.marks.remove(job, "as quoted")
    assert slugs(caught.value) == ["mark-unknown"]
    assert [one.name for one in store.marks.all(job)] == ["with the gate ✓"]


def test_pages_of_revisions(store: Store) -> None:
    job = made(store)
    saved(store, job, *[f"text {number}" for number in range(2, 8)])
    assert [one.number for one in store.revisions.all(job, most=3)] == [7, 6, 5]
    assert [one.number for one in store.revisions.all(job, before=5, most=3)] == [4, 3, 2]
    assert [one.number for one in store.revisions.all(job, before=2)] == [1]
    assert store.revisions.all(job, before=1) == ()


@pytest.mark.parametrize("job", ["", "0" * 16, "../../etc/passwd", "nul\x00", "' OR 1=1 --", "½" * 16, "\ud800" * 16])
def test_a_job_that_is_not_there(store: Store, job: str) -> None:
    made(store)
    for ask in (
        lambda: store.jobs.entry(job),
        lambda: store.revisions.text(job),
        lambda: store.revisions.save(job, TEXT, on=1, title="Yard", by="desk"),
        lambda: store.marks.all(job),
        lambda: store.yard.entries(job),
        lambda: store.yard.append(job, []),
        lambda: store.photos.all(job),
        lambda: store.files.all(job),
        lambda: store.files.folder(job),
        lambda: store.jobs.create(TEXT, title="copy", by="desk", files_from=job),
    ):
        with pytest.raises(ProblemError) as caught:
            ask()
        assert slugs(caught.value) == ["job-unknown"]
    assert len(store.jobs.all()) == 1


def test_a_removed_job_is_kept_and_can_be_brought_back(store: Store) -> None:
    job, other = made(store), made(store, "Other")
    gone = store.jobs.remove(job, on=1, by="desk")
    assert gone.gone
    assert [entry.id for entry in store.jobs.all()] == [other]
    assert [entry.id for entry in store.jobs.all(gone=True)] == [job]
    assert store.revisions.text(job) == TEXT
    with pytest.raises(ProblemError) as caught:
        store.revisions.save(job, "two", on=1, title="Yard", by="desk")
    assert slugs(caught.value) == ["job-gone"]
    assert store.jobs.bring_back(job).gone == ""
    assert store.revisions.save(job, "two", on=1, title="Yard", by="desk").revision == 2
    assert {entry.id for entry in store.jobs.all()} == {job, other}


@pytest.mark.parametrize("text", ["nul\x00", "half \ud83d"])
def test_a_text_that_no_file_holds(store: Store, text: str) -> None:
    job = made(store)
    for ask in (
        lambda: store.jobs.create(text, title="Yard", by="desk"),
        lambda: store.revisions.save(job, text, on=1, title="Yard", by="desk"),
    ):
        with pytest.raises(ProblemError) as caught:
            ask()
        assert slugs(caught.value) == ["job-text-unusable"]


def test_a_text_comes_back_letter_for_letter(store: Store) -> None:
    text = "palewright: 1\r\njob: {title: \"Ñandú ✨ 🪵 'x' :name %s {} \\\\ \"}\n\ttab\u2028end"
    job = made(store, text=text)
    assert store.revisions.text(job) == text


def test_a_text_that_is_too_large(tmp_path, url: str | None) -> None:  # type: ignore[no-untyped-def]
    with Store.open(tmp_path / "small", url, limits=Limits(text_bytes=10)) as store:
        job = made(store, text="é" * 5)
        with pytest.raises(ProblemError) as caught:
            store.revisions.save(job, "é" * 5 + "x", on=1, title="Yard", by="desk")
        assert slugs(caught.value) == ["job-text-too-large"]
