"""How many checks a network has, counted where points lie anyhow; what nothing checks is not tried as the wrong one."""

from __future__ import annotations

import itertools
import math

import pytest

from palewright.model import NetPoint, Network, Observation
from palewright.survey import pairs, pairs_that_fit, recheck
from palewright.survey.adjusting import adjust
from palewright.survey.fitting import checks_of
from palewright.survey.network_arrays import read_network

PLACES = {"A": (0.0, 0.0), "B": (12.0, 0.0), "C": (12.0, 9.0), "D": (0.0, 9.0)}


def taped(*lines: str, wrong: str = "") -> Network:
    """Four corners with tapes between some of them ("AB"), one of which reads 3 m too much."""
    points = tuple(NetPoint(name, xy) for name, xy in PLACES.items())
    read = [
        Observation("distance", (a, b), math.dist(PLACES[a], PLACES[b]) + 3.0 * (a + b == wrong), 0.003)
        for a, b in lines
    ]
    return Network(points, tuple(read), "least")


ALL = tuple(a + b for a, b in itertools.combinations(PLACES, 2))


@pytest.mark.parametrize(("lines", "checks"), [(ALL, 1), (ALL[:-1], 0), (ALL[:-2], -1), ((*ALL, "AB"), 2)])
def test_checks_are_the_readings_beyond_those_that_fix_the_points(lines: tuple[str, ...], checks: int) -> None:
    """Four points have 2 x 4 unknown coordinates, of which 3 say where the figure lies: five tapes fix it."""
    assert checks_of(read_network(taped(*lines))) == checks


def test_points_in_line_are_judged_as_points_that_are_not() -> None:
    """Three tapes between three points fix a triangle and check nothing, also where it happens to be flat."""
    points = tuple(NetPoint(name, (x, 0.0)) for name, x in (("A", 0.0), ("B", 5.0), ("C", 9.0)))
    read = tuple(
        Observation("distance", ends, far, 0.003)
        for ends, far in ((("A", "B"), 5.0), (("B", "C"), 4.0), (("A", "C"), 9.0))
    )
    assert checks_of(read_network(Network(points, read, "least"))) == 0


def test_no_pair_is_adjusted_where_none_could_be_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without two readings no check would be left."""
    tried: list[Network] = []

    def counted(network: Network, **how: bool) -> object:
        tried.append(network)
        return adjust(network, **how)

    monkeypatch.setattr(pairs, "adjust", counted)
    assert pairs_that_fit(taped(*ALL, wrong="AC")) == []
    assert tried == []


def test_a_single_wrong_reading_is_not_searched_for_where_one_check_is_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recheck, "fit", lambda *_: pytest.fail("searched"))
    found = adjust(taped(*ALL, wrong="AC"))
    assert found.suspects
    assert found.chi_high is not None
    assert found.weighted_squares > found.chi_high
