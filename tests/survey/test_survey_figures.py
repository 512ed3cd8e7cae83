"""Every figure that readings allow: the one they were read from is among them, and contradictions have none."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from palewright.model import NetPoint, Network, Observation
from palewright.survey.figures import Figures, can_be_built

from .nets import Places, reading

TAPE, ANGLE = 0.006, 0.0005
CORNERS = {"A": (0.0, 0.0), "B": (12.0, 0.0), "C": (12.0, 9.0), "D": (0.0, 9.0)}


def taped(at: Places, lines: dict[str, float]) -> Network:
    """Points with tapes between some of them ("AB"), each off by so much [m]."""
    read = [Observation("distance", (a, b), math.dist(at[a], at[b]) + by, TAPE) for (a, b), by in lines.items()]
    return Network(tuple(NetPoint(name, xy) for name, xy in at.items()), tuple(read), "least")


def figures(network: Network, reach: float) -> list[Places] | None:
    return Figures(network, reach).all(range(len(network.observations)), [p.name for p in network.points])


def made(number: int) -> tuple[Network, Places, float]:
    """A network of tapes, angles, offsets and the like with noise; its true places, and the size of the noise [sigma]."""
    draw = random.Random(number)
    at = {f"P{k}": (draw.uniform(0.0, 20.0), draw.uniform(0.0, 20.0)) for k in range(draw.randint(3, 6))}
    held = draw.random() < 0.4
    asked = []
    for kind in draw.choices(["distance"] * 4 + ["angle", "offset", "along"] + ["azimuth", "east"] * held, k=16):
        count = {"distance": 2, "azimuth": 2, "east": 1}.get(kind, 3)
        names = tuple(draw.sample(list(at), count))
        left = count == 3 and reading("on line", names, at) > 0.0
        side = {"angle": "clockwise", "offset": "left" if left else "right"}.get(kind, "")
        asked.append((kind, names, side if draw.random() < 0.6 else ""))
    noise = [draw.gauss(0.0, 1.0) for _ in asked]
    read = []
    for (kind, names, side), off in zip(asked, noise, strict=True):
        sigma = ANGLE if kind in ("angle", "azimuth") else TAPE
        value = reading(kind, names, at, side) + off * sigma
        if kind in ("angle", "offset"):
            value = max(value, 0.0) if side or kind == "offset" else min(max(value, 0.0), math.pi)
        read.append(Observation(kind, names, value, sigma, side=side))
    points = tuple(NetPoint(name, xy, held and name in ("P0", "P1")) for name, xy in at.items())
    return Network(points, tuple(read), "held" if held else "least"), at, math.hypot(*noise)


def apart(one: Places, two: Places) -> float:
    """The largest difference of a distance between two points."""
    pairs = itertools.combinations(one, 2)
    return max(abs(math.dist(one[a], one[b]) - math.dist(two[a], two[b])) for a, b in pairs)


def test_the_figure_that_was_read_is_never_excluded() -> None:
    """Also where the noise is as large, taken together, as the figures may be off."""
    placed = 0
    for number in range(120):
        network, at, noise = made(number)
        found = figures(network, noise + 1e-9) if can_be_built(network) else None
        if found is not None:
            placed += 1
            assert found, number
            assert min(apart(places, at) for places in found) < 2.0, number
    assert placed > 60


ALL = dict.fromkeys(("AB", "BC", "CD", "AD", "AC", "BD"), 0.0)


@pytest.mark.parametrize("wrong", ["AB", "CD", "AC"])
def test_four_points_with_every_tape_have_no_figure_where_one_is_wrong(wrong: str) -> None:
    assert figures(taped(CORNERS, ALL), 3.0)
    assert figures(taped(CORNERS, ALL | {wrong: 0.3}), 3.0) == []


def test_a_side_longer_than_the_other_two_together_is_a_contradiction() -> None:
    lines = {"AB": 0.0, "BC": 0.0, "AC": 7.0}
    assert figures(taped({n: CORNERS[n] for n in "ABC"}, lines), 3.0) == []


def test_five_tapes_of_four_points_have_two_figures() -> None:
    """D lies on either side of the line from A to C; the image of the whole is not counted."""
    found = figures(taped(CORNERS, {line: 0.0 for line in ALL if line != "BD"}), 3.0)
    assert found is not None
    assert sorted(math.dist(places["B"], places["D"]) for places in found) == pytest.approx([4.2, 15.0], abs=0.1)


def test_a_shape_that_can_move_has_no_list_of_figures() -> None:
    assert figures(taped(CORNERS, {"AB": 0.0, "BC": 0.0, "CD": 0.0, "AD": 0.0}), 3.0) is None
