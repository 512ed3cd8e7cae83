"""Gate sizes: one from the other, and what is refused. The published figures stand in tests/published."""

import pytest

from palewright.errors import JobError
from palewright.layout.gates import gate_allowance, gate_kinds, gate_sizes
from palewright.layout.kinds import catalogue

IN = 0.0254


def slug(*args):
    with pytest.raises(JobError) as caught:
        gate_sizes(*args)
    return caught.value.problems[0]


def test_opening_from_leaf_and_back():
    sizes = gate_sizes("boards", None, 36 * IN, 1)
    assert sizes.opening_m == pytest.approx(37 * IN)
    assert gate_sizes("boards", sizes.opening_m, None, 1).leaf_m == pytest.approx(36 * IN)


def test_two_leaves_share_the_opening():
    sizes = gate_sizes("chain-link", 120 * IN, None, 2)
    assert 2 * sizes.leaf_m + sizes.allowance_m == pytest.approx(120 * IN)


def test_both_given_and_agreeing():
    assert gate_sizes("chain-link", 36 * IN, 32.25 * IN, 1).source == "clfleaf"


def test_both_given_and_disagreeing_names_what_would_agree():
    problem = slug("chain-link", 48 * IN, 48 * IN, 1)
    assert problem.slug == "gate-sizes-disagree"
    assert "3' 8 1/4\"" in problem.hint
    assert "4' 3 3/4\"" in problem.hint


def test_disagreement_of_two_leaves_counts_twice():
    sizes = gate_sizes("boards", 120 * IN, None, 2)
    assert slug("boards", 120 * IN, sizes.leaf_m + 0.04 * IN, 2).slug == "gate-sizes-disagree"
    assert gate_sizes("boards", 120 * IN, sizes.leaf_m + 0.02 * IN, 2).opening_m == 120 * IN


@pytest.mark.parametrize(
    ("args", "expected"),
    [
        (("boards", None, None, 1), "gate-size-missing"),
        (("boards", 0.02, None, 1), "gate-size-wrong"),
        (("boards", -1.0, None, 1), "gate-size-wrong"),
        (("boards", float("nan"), None, 1), "gate-size-wrong"),
        (("boards", None, 99.0, 1), "gate-size-wrong"),
        (("boards", 1.0, None, 3), "gate-size-wrong"),
        (("moat", 1.0, None, 1), "gate-kind-unknown"),
    ],
)
def test_refused(args, expected):
    problem = slug(*args)
    assert problem.slug == expected
    assert problem.hint or expected == "gate-kind-unknown"


def test_sizes_are_said_as_the_job_writes_them():
    wide = 70 * 12 * IN
    for style, found, most in (
        ("feet-inches", "70' 0\"", "40' 0\""), ("decimal-feet", "70.00'", "40.00'"), ("metric", "21.336 m", "12.192 m")
    ):  # fmt: skip
        with pytest.raises(JobError) as caught:
            gate_sizes("boards", wide, None, 1, style=style)
        (problem,) = caught.value.problems
        assert (problem.found, problem.allowed) == (found, f"more than 0, up to {most}")


def test_every_kind_of_fence_has_an_allowance():
    assert set(catalogue()) <= set(gate_kinds())
    assert all(gate_allowance(kind, leaves)[0] > 0 for kind in gate_kinds() for leaves in (1, 2))
