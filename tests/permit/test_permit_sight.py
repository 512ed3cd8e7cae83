"""Sight triangles by hand: the forms that towns write, each with its line, legs and height window.

The three numbers at the beginning are worked examples of the forms "10 ft along property lines, clear 2 to 8 ft",
"20 ft along right-of-way lines" and "75 per cent open is let alone"; the sums are by hand.
"""

from __future__ import annotations

import math

import pytest
from tests.permit.lots import FT, LEFT, LOT, findings, rule

from palewright import jobfile
from palewright.model import Rule
from palewright.permit import lot_of, polygon
from palewright.permit.sight import triangles_of
from palewright.plan.site import build_site
from palewright.plane import Side

STREETS = "lot: {streets: [{name: High Street, side: 4%s}, {name: Low Street, side: 1%s}], front: 4}\n"
PLAIN = STREETS % ("", "")
CURBS = STREETS % (", curb: 8 ft", ", curb: 6 ft")


def triangles(text: str, **keys: object) -> list[list[tuple[float, float]]]:
    """Corners of the triangles of a rule [ft]."""
    words = {key: value for key, value in keys.items() if isinstance(value, str)}
    lengths = tuple((key, value * FT) for key, value in keys.items() if not isinstance(value, str))
    kind = words.pop("kind", "corner-sight")
    job = jobfile.read_text(text)
    made = triangles_of(
        Rule("r", str(kind), "1", "", "", lengths, words=tuple(words.items())), lot_of(job, build_site(job))
    )
    assert not made.asks
    return [[(round(x / FT, 6), round(y / FT, 6)) for x, y in triangle.ring] for triangle in made.triangles]


def holds(corners: list[tuple[float, float]], p: tuple[float, float]) -> bool:
    return polygon([Side(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]).holds(p)


def test_ten_feet_along_the_property_lines() -> None:
    (ring,) = triangles(LOT + PLAIN, line="property line", leg=10.0)
    assert sorted(ring) == [(0.0, 0.0), (0.0, 10.0), (10.0, 0.0)]
    assert holds(ring, (4.0, 4.0))  # 4 + 4 < 10
    assert not holds(ring, (6.0, 6.0))


def test_twenty_feet() -> None:
    (ring,) = triangles(LOT + PLAIN, line="property line", leg=20.0)
    assert holds(ring, (9.0, 9.0))  # 18 < 20
    assert not holds(ring, (11.0, 11.0))  # 22 > 20


def test_from_the_curbs() -> None:
    (ring,) = triangles(LOT + CURBS, line="curb", leg=25.0)
    assert sorted(ring) == [(-6.0, -8.0), (-6.0, 17.0), (19.0, -8.0)]


def test_legs_that_differ() -> None:
    ring = triangles(LOT + PLAIN, line="property line", leg=25.0, other_leg=10.0)[0]
    # the side that runs to the corner is the first: side 4, along y = 0
    assert ring == [(0.0, 0.0), (25.0, 0.0), (0.0, 10.0)]


def test_both_sides_of_a_drive() -> None:
    drive = "lot: {streets: [{name: High Street, side: 4}], drives: [{name: d, through: [[50 ft, 0 ft], [50 ft, 20 ft]], width: 12 ft}]}\n"
    rings = triangles(LOT + drive, kind="drive-sight", line="property line", leg=10.0, other_leg=15.0)
    assert sorted(rings) == [
        [(44.0, 0.0), (34.0, 0.0), (44.0, 15.0)],
        [(56.0, 0.0), (66.0, 0.0), (56.0, 15.0)],
    ]


def test_a_cut_corner_counts_from_where_the_lines_cross() -> None:
    cut = LOT.replace("  SW: {at: [0 ft, 0 ft]}\n", "  SW: {at: [0 ft, 12 ft]}\n  S2: {at: [12 ft, 0 ft]}\n")
    cut = cut.replace("through: [SW, NW, NE, SE]", "through: [SW, NW, NE, SE, S2]")
    (ring,) = triangles(cut + PLAIN, line="property line", leg=20.0)
    assert sorted(ring) == [(0.0, 0.0), (0.0, 20.0), (20.0, 0.0)]


ROUND = """palewright: 1
job: {title: A round street}
boundary:
  start: A
  names: [A, B, C, D]
  calls:
    - N 100 ft
    - E 100 ft
    - {curve: right, radius: 500 ft, arc: 100 ft, chord: S 99.83 ft, joins: non-tangent}
    - N 89°54' W 100 ft
"""


def test_a_leg_along_a_curved_street_is_measured_along_it() -> None:
    lot = "lot: {streets: [{name: a, side: 2}, {name: b, side: 3}], front: 2}\n"
    (ring,) = triangles(ROUND + lot, line="property line", leg=30.0)
    corner, back, on = ring
    assert corner == pytest.approx((100.0, 100.0), abs=1e-3)
    assert back == pytest.approx((70.0, 100.0), abs=1e-3)
    # the chord of an arc of 30 ft of radius 500 ft: 2 R sin(30 / 2R)
    assert math.dist(corner, on) == pytest.approx(1000.0 * math.sin(15.0 / 500.0), abs=1e-3)


def test_the_part_of_a_fence_in_the_triangle() -> None:
    # the fence stands at x = 1 ft from y = 5 ft on; inside where x + y < 10: up to y = 9
    keys = {"line": '"property line"', "leg": '"10 ft"', "clear_above": '"2 ft"', "clear_below": '"8 ft"'}
    (seen,) = findings(LOT + LEFT + PLAIN, rule("corner-sight", **keys))
    assert (seen.verdict, seen.measure, seen.bays) == ("does-not", "sight", (1,))
    assert seen.part == pytest.approx((0.0, 4.0 * FT), abs=1e-9)
    assert (seen.provided, seen.required) == pytest.approx((74 * 0.0254, 2 * FT))  # 6 ft boards over a gap of 2 in
    # from the curbs (6 and 8 ft out) with legs of 25 ft: x + y < 11
    (seen,) = findings(LOT + LEFT + CURBS, rule("corner-sight", **keys | {"line": '"curb"', "leg": '"25 ft"'}))
    assert seen.part == pytest.approx((0.0, 5.0 * FT), abs=1e-9)


def test_the_height_window_and_open_fences() -> None:
    keys = {"line": '"property line"', "leg": '"10 ft"'}
    low = LEFT.replace("privacy", "low")
    text = LOT + "  low: {kind: boards, board: 22 in, bottom gap: 2 in, longest bay: 8 ft, good side: neighbour}\n"
    assert findings(text + low + PLAIN, rule("corner-sight", **keys, clear_above='"2 ft"'))[0].verdict == "meets"
    assert findings(text + low + PLAIN, rule("corner-sight", **keys, clear_above='"23 in"'))[0].verdict == "does-not"
    mesh = LEFT.replace("privacy", "mesh")
    exempt = rule("corner-sight", **keys, clear_above='"30 in"', open_exempt='"75%"')
    (unknown,) = findings(LOT + mesh + PLAIN, exempt)
    assert (unknown.verdict, unknown.ask) == ("ask", "open-not-said")
    typed = PLAIN.replace("front: 4}", "front: 4, fences: {mesh: {open: %s}}}")
    assert findings(LOT + mesh + typed % "75%", exempt)[0].verdict == "meets"
    assert findings(LOT + mesh + typed % "74%", exempt)[0].verdict == "does-not"


def test_what_is_not_typed_is_asked() -> None:
    keys = {"line": '"curb"', "leg": '"25 ft"', "clear_above": '"30 in"'}
    (asked, other) = findings(LOT + LEFT + PLAIN, rule("corner-sight", **keys))
    assert {finding.ask for finding in (asked, other)} == {"line-not-typed"}
    assert findings(LOT + LEFT, rule("corner-sight", **keys))[0].ask == "no-streets"
    assert findings(LOT + LEFT + PLAIN, rule("drive-sight", **keys))[0].ask == "no-drives"
