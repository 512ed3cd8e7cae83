"""The next best tape: its gain against the network solved anew with it, the choice against trying every pair."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from palewright.model import Advice, NetPoint, Network, Observation
from palewright.plane import XY, distance
from palewright.survey import Adjustment, next_tapes

SIGMA = 0.01
Places = dict[str, XY]
Pairs = list[tuple[str, str]]


def same(length: float) -> float:
    return SIGMA


def solve(at: Places, held: set[str], pairs: Pairs, names: tuple[str, ...]) -> np.ndarray:
    """Covariance from the normal equations, built here and inverted whole; held points are zero."""
    free = [name for name in at if name not in held]
    normal = np.zeros((2 * len(free), 2 * len(free)))
    for a, b in pairs:
        row = np.zeros(2 * len(free))
        u = (np.array(at[b]) - np.array(at[a])) / distance(at[a], at[b])
        for name, sign in ((a, -1.0), (b, 1.0)):
            if name in free:
                k = 2 * free.index(name)
                row[k : k + 2] += sign * u
        normal += np.outer(row, row) / SIGMA**2
    inverse = np.linalg.inv(normal)
    index = [2 * free.index(name) + k if name in free else -1 for name in names for k in (0, 1)]
    return np.array([[inverse[i, j] if i >= 0 and j >= 0 else 0.0 for j in index] for i in index])


def axis(q: np.ndarray) -> float:
    return math.sqrt(float(np.linalg.eigvalsh(q)[-1]))


def site(seed: int) -> tuple[Places, set[str], Pairs]:
    draw = random.Random(seed)
    at = {f"p{k}": (draw.uniform(0, 40), draw.uniform(0, 25)) for k in range(7)}
    names, pairs = list(at), []
    for k in range(2, 7):
        pairs += [(names[k], q) for q in draw.sample(names[:k], 2)]
    return at, {"p0", "p1"}, pairs


def settled(at: Places, held: set[str], pairs: Pairs) -> bool:
    """Whether tapes fix the points so well that linear figures mean something: not where they lie in one line."""
    if min(distance(a, b) for a, b in itertools.combinations(at.values(), 2)) < 3.0:
        return False
    try:
        return bool(axis(solve(at, held, pairs, tuple(at))) <= 1.0)
    except np.linalg.LinAlgError:
        return False


def tapes(pairs: Pairs, at: Places) -> list[Observation]:
    return [Observation("distance", pair, distance(at[pair[0]], at[pair[1]]), SIGMA) for pair in pairs]


@settings(deadline=None, max_examples=40)
@example(370)  # the second and the third tape together
@given(st.integers(0, 100_000))
def test_gains_are_those_of_the_network_solved_anew(seed: int) -> None:
    at, held, pairs = site(seed)
    assume(settled(at, held, pairs))
    matter = [("p4",), ("p6",)]
    found = next_tapes(at, lambda names: solve(at, held, pairs, names), matter, tapes(pairs, at), same, tape_m=60.0)
    so_far = list(pairs)
    # where no tape alone is worth it two are named, each with what both do
    for (point, said_before, said_after), tapes_named in itertools.groupby(
        found, lambda advice: (advice.for_point, advice.before, advice.after)
    ):
        before = solve(at, held, so_far, (point,))
        so_far += [(advice.points[0], advice.points[1]) for advice in tapes_named]
        after = solve(at, held, so_far, (point,))
        assert said_before == pytest.approx(axis(before), rel=1e-5)
        assert said_after == pytest.approx(axis(after), rel=1e-5)
    assert not {advice.points for advice in found}.intersection(pairs)


@settings(deadline=None, max_examples=25)
@given(st.integers(0, 100_000))
def test_the_first_tape_is_the_best_of_all(seed: int) -> None:
    at, held, pairs = site(seed)
    assume(settled(at, held, pairs))
    matter = [("p5",), ("p6",)]
    found = next_tapes(
        at, lambda names: solve(at, held, pairs, names), matter, tapes(pairs, at), same, tape_m=60.0, count=1
    )

    def total(extra: Pairs) -> float:
        return sum(axis(solve(at, held, pairs + extra, place)) for place in matter)

    tried = [
        (total([(a, b)]), (a, b))
        for a, b in itertools.combinations(at, 2)
        if (a, b) not in pairs and (b, a) not in pairs
    ]
    if found:
        assert total([(found[0].points[0], found[0].points[1])]) == pytest.approx(min(tried)[0], rel=1e-6)


def test_the_distance_from_a_line_has_its_own_gain() -> None:
    at = {"A": (0.0, 0.0), "B": (40.0, 0.0), "P": (18.0, 1.0), "S": (17.0, -20.0)}

    def covariance(names: tuple[str, ...]) -> np.ndarray:
        each = {"A": (1e-4, 1e-4), "B": (1e-4, 1e-4), "P": (1e-4, 9e-4), "S": (0.0, 0.0)}
        return np.diag([v for name in names for v in each[name]])

    (first, *_) = next_tapes(at, covariance, [("P", "A", "B")], (), same)
    share = 18.0 / 40.0
    before = math.sqrt(9e-4 + 1e-4 * ((1 - share) ** 2 + share**2))
    assert (first.for_point, first.line) == ("P", ("A", "B"))
    assert first.before == pytest.approx(before)
    assert set(first.points) == {"P", "S"}
    # a tape almost straight across the line: the old variance of P and the tape's own combine
    north = (21.0 / distance(at["P"], at["S"])) ** 2
    along = 1e-4 * (1 - north) + 9e-4 * north
    gained = (9e-4**2 * north) / (SIGMA**2 + along)
    assert first.after == pytest.approx(math.sqrt(before**2 - gained), rel=1e-9)


def test_a_distance_from_a_line_is_named_before_a_point_that_gains_less_than_twice_as_much() -> None:
    at = {"A": (0.0, 0.0), "B": (40.0, 0.0), "P": (18.0, 1.0), "S": (18.0, -20.0), "T": (60.0, 1.0)}

    def covariance(north: float) -> Callable[[tuple[str, ...]], np.ndarray]:
        each = {"A": (0.0, 0.0), "B": (0.0, 0.0), "P": (1e-4, north), "S": (0.0, 0.0), "T": (0.0, 0.0)}
        return lambda names: np.diag([v for name in names for v in each[name]])

    both = [("P",), ("P", "A", "B")]
    (first, *_) = next_tapes(at, covariance(9e-4), both, (), same)
    assert first.line == ("A", "B")
    (first, *_) = next_tapes(at, covariance(1e-8), both, (), same)  # along the line: its distance gains nothing
    assert first.line == ()


def test_what_is_not_determined_goes_first_and_counts() -> None:
    at = {"A": (0.0, 0.0), "B": (20.0, 0.0), "C": (10.0, -18.0), "P": (10.0, 2.0)}

    def covariance(names: tuple[str, ...]) -> np.ndarray:
        return np.diag([v for name in names for v in ((1e-4, 9e-4) if name == "P" else (0.0, 0.0))])

    missing = Advice("distance", ("A", "X"), "X", None, 0.01)
    found = next_tapes(at, covariance, [("P",)], (), same, first=[missing])
    assert found[0] is missing
    assert set(found[1].points) == {"C", "P"}
    assert len(next_tapes(at, covariance, [("P",)], (), same, count=1, first=[missing])) == 1


def test_nothing_is_named_twice_beyond_the_tape_or_without_worth() -> None:
    at = {"A": (0.0, 0.0), "B": (20.0, 0.0), "C": (10.0, -18.0), "P": (10.0, 2.0)}

    def covariance(names: tuple[str, ...]) -> np.ndarray:
        return np.diag([v for name in names for v in ((1e-4, 9e-4) if name == "P" else (0.0, 0.0))])

    found = next_tapes(at, covariance, [("P",)], (), same)
    assert len({frozenset(a.points) for a in found}) == len(found)
    assert all("C" not in a.points for a in next_tapes(at, covariance, [("P",)], (), same, tape_m=15.0))
    done = [Observation("distance", ("P", "C"), 20.0, SIGMA)]
    assert all(set(a.points) != {"P", "C"} for a in next_tapes(at, covariance, [("P",)], done, same))
    assert next_tapes(at, lambda names: covariance(names) * 1e-6, [("P",)], (), same) == ()
    assert next_tapes(at, covariance, [], (), same) == ()
    with pytest.raises(KeyError):
        next_tapes(at, covariance, [("nowhere",)], (), same)
    with pytest.raises(ValueError, match="one place"):
        next_tapes({**at, "A2": (0.0, 0.0)}, covariance, [("P", "A", "A2")], (), same)


def test_with_the_adjustment_of_a_network() -> None:
    """The covariance is asked of the adjustment; the figure it then has is the one that was promised."""
    at = {"A": (0.0, 0.0), "B": (30.0, 0.0), "C": (26.0, 18.0), "P": (14.0, 3.0)}
    points = tuple(NetPoint(name, xy, held=name in "ABC") for name, xy in at.items())
    taken = tapes([("A", "P"), ("B", "P")], at)
    adjusted = Adjustment(Network(points, tuple(taken)))
    (first,) = next_tapes(at, lambda names: adjusted.covariance(list(names)), [("P",)], taken, same, count=1)
    assert set(first.points) == {"C", "P"}
    again = Adjustment(Network(points, (*taken, *tapes([("C", "P")], at))))
    assert first.before == pytest.approx(
        next(p.semi_major for p in adjusted.adjusted.points if p.name == "P"), rel=1e-6
    )
    assert first.after == pytest.approx(next(p.semi_major for p in again.adjusted.points if p.name == "P"), rel=1e-6)


def test_a_place_as_badly_known_every_way_takes_two_tapes_named_together():
    """A phone fix of 3.5 m: one tape leaves the long axis as it was; two across each other leave their own error."""
    at = {"A": (0.0, 0.0), "B": (20.0, 0.0), "T": (10.0, 10.0)}

    def covariance(names: tuple[str, ...]) -> np.ndarray:
        return np.diag([v for name in names for v in ((12.25, 12.25) if name == "T" else (0.0, 0.0))])

    found = next_tapes(at, covariance, [("T",)], (), same)
    assert {a.points for a in found} == {("T", "A"), ("T", "B")}
    assert all(a.before == pytest.approx(3.5) for a in found)
    assert all(a.after == pytest.approx(SIGMA, rel=1e-3) for a in found)  # the tapes are square to each other
    assert next_tapes(at, covariance, [("T",)], (), same, count=1) == ()
