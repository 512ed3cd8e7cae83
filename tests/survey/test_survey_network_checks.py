"""Bad input to the adjustment: every fault is a Problem with a name, all at once, never a traceback."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.errors import ProblemError, Where
from palewright.model import NetPoint, Network, Observation, Rise
from palewright.survey import adjust, adjust_levels, check_network, robust

POINTS = (
    NetPoint("A", (0.0, 0.0), True),
    NetPoint("B", (10.0, 0.0), True),
    NetPoint("P", (4.0, 5.0)),
    NetPoint("Q", (9.0, 8.0)),
)


def _slugs(observation: Observation, points: tuple[NetPoint, ...] = POINTS, datum: str = "held") -> list[str]:
    return [problem.slug for problem in check_network(Network(points, (observation,), datum))]


def _read(
    kind: str = "distance", points: tuple[str, ...] = ("A", "P"), value: float = 6.4, sigma: float = 0.01, **more: Any
) -> Observation:
    return Observation(kind, points, value, sigma, **more)


@pytest.mark.parametrize(
    ("observation", "slug"),
    [
        (_read(value=math.nan), "network-not-a-number"),
        (_read(value=math.inf), "network-not-a-number"),
        (_read(value=0.0), "network-value-range"),
        (_read(value=-3.0), "network-value-range"),
        (_read(sigma=0.0), "network-sigma-range"),
        (_read(sigma=-0.01), "network-sigma-range"),
        (_read(sigma=math.nan), "network-sigma-range"),
        (_read(sigma=math.inf), "network-sigma-range"),
        (_read(points=("A", "Z")), "network-point-unknown"),
        (_read(points=("A", "A")), "network-point-repeated"),
        (_read("angle", ("A", "P", "A"), 0.0), "network-point-repeated"),
        (_read(points=("A", "B", "P")), "network-points-count"),
        (_read("slope"), "network-kind-unknown"),
        (_read("offset", ("P", "A", "B"), -0.1), "network-value-range"),
        (_read("offset", ("P", "A", "B"), 5.0, side="north"), "network-side-unknown"),
        (_read(side="left"), "network-side-unknown"),
        (_read("on line", ("P", "A", "B"), 0.5), "network-value-range"),
        (_read("angle", ("A", "P", "B"), 3.5), "network-value-range"),
        (_read("angle", ("A", "P", "B"), 7.0, side="clockwise"), "network-value-range"),
        (_read("parallel", ("A", "B", "P", "Q"), 2.0), "network-value-range"),
        (_read("parallel", ("A", "B", "A", "B"), 0.0), "network-point-repeated"),
        (_read(source="guessed"), "network-source-unknown"),
    ],
)
def test_a_bad_reading(observation: Observation, slug: str) -> None:
    assert slug in _slugs(observation)
    with pytest.raises(ProblemError) as caught:
        adjust(Network(POINTS, (observation,)))
    assert slug in [problem.slug for problem in caught.value.problems]
    with pytest.raises(ProblemError):
        robust(Network(POINTS, (observation,)))


@pytest.mark.parametrize(
    ("points", "slug"),
    [
        ((*POINTS, NetPoint("A", (1.0, 1.0))), "network-point-named-twice"),
        ((NetPoint("A", None, True), *POINTS[1:]), "network-held-without-place"),
        ((NetPoint("A", (math.nan, 0.0)), *POINTS[1:]), "network-not-a-number"),
        ((POINTS[0], NetPoint("P", (0.0, 0.0), True)), "network-held-on-one-place"),
    ],
)
def test_a_bad_point(points: tuple[NetPoint, ...], slug: str) -> None:
    assert _slugs(_read(), points) == [slug]


def test_what_is_right_passes() -> None:
    good = [
        _read(),
        _read("angle", ("A", "P", "B"), 5.0, side="clockwise"),
        _read("angle", ("A", "P", "B"), math.pi),
        _read("offset", ("P", "A", "B"), 0.0),
        _read("along", ("P", "A", "B"), -2.0),
        _read("parallel", ("A", "B", "B", "P"), 0.0),
        _read("azimuth", ("A", "P"), 6.0),
        _read("east", ("P",), -5e5),
    ]
    assert check_network(Network(POINTS, tuple(good))) == ()


def test_the_whole() -> None:
    assert [p.slug for p in check_network(Network(POINTS, (), "pinned"))] == ["network-datum-unknown", "network-empty"]


def test_everything_wrong_is_said_at_once_with_its_place() -> None:
    at = Where("job.yaml", 12, 5)
    bad = (_read(value=-1.0, sigma=0.0, at=at), _read(points=("X", "Y")))
    problems = check_network(Network(POINTS, bad))
    assert [p.slug for p in problems] == ["network-value-range", "network-sigma-range"] + 2 * ["network-point-unknown"]
    assert problems[0].where.line == 12
    assert problems[0].where.thing == "reading 1, distance A to P"
    assert problems[3].found == "Y"


def test_a_robust_loss_that_is_not_known() -> None:
    with pytest.raises(ProblemError) as caught:
        robust(Network(POINTS, (_read(),)), "median")
    assert caught.value.problems[0].slug == "network-loss-unknown"


@given(
    st.lists(
        st.builds(
            Observation,
            st.sampled_from(
                ["distance", "azimuth", "direction", "angle", "on line", "offset", "along", "parallel", "east", "heap"]
            ),
            st.lists(st.sampled_from("ABPQZ"), min_size=0, max_size=4).map(tuple),
            st.floats(allow_nan=True),
            st.floats(allow_nan=True),
            side=st.sampled_from(["", "left", "clockwise"]),
            source=st.sampled_from(["measured", "assumed"]),
        ),
        max_size=6,
    ),
    st.sampled_from(["held", "least", "free"]),
)
def test_nothing_but_problems_comes_out(read: list[Observation], datum: str) -> None:
    """Whatever is typed: an answer or a ProblemError."""
    try:
        done = adjust(Network(POINTS, tuple(read), datum))
    except ProblemError:
        return
    assert all(math.isfinite(c) for point in done.points for c in point.xy)


@pytest.mark.parametrize(
    ("held", "rises", "slug"),
    [
        ({"A": 1.0}, [], "network-empty"),
        ({"A": math.nan}, [Rise("A", "B", 1.0, 0.01)], "network-not-a-number"),
        ({"A": 1.0}, [Rise("A", "B", math.inf, 0.01)], "network-not-a-number"),
        ({"A": 1.0}, [Rise("A", "B", 1.0, 0.0)], "network-sigma-range"),
        ({"A": 1.0}, [Rise("A", "A", 1.0, 0.01)], "network-point-repeated"),
    ],
)
def test_bad_levels(held: dict[str, float], rises: list[Rise], slug: str) -> None:
    with pytest.raises(ProblemError) as caught:
        adjust_levels(held, rises)
    assert [problem.slug for problem in caught.value.problems] == [slug]


def test_levels_that_no_bench_mark_reaches() -> None:
    rises = [Rise("A", "B", 1.0, 0.01), Rise("B", "A", -1.02, 0.01), Rise("C", "D", 2.0, 0.01)]
    done = adjust_levels({"A": 100.0}, rises)
    assert done.undetermined == ("C", "D")
    assert [(p.name, round(p.height, 6)) for p in done.points] == [("A", 100.0), ("B", 101.01)]
    assert done.dof == 1
    assert sum(fit.redundancy for fit in done.fits) == pytest.approx(1.0)
    assert done.fits[2].test is None
    assert done.weighted_squares == pytest.approx(2.0)
