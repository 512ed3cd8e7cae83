"""Curves of LandXML: a railway alignment found in a public repository, and a quarter circle by hand.

The alignment (metres): a line of dir 3.388637062 rad and length 802.056; a curve of radius 399.924, rot ccw, length
288.892048276, from dirStart 3.308649874 to dirEnd 2.586282503. Its numbers were written by a road design program; they fix
the order of coordinates (northing first) and the sense of ``rot``, which the schema's page alone leaves open.

sources: landxml-12
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from palewright.exchange import Asked, import_file, read_sheet, ring_area
from palewright.plane import side_between

HEAD = '<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2"><Units><Metric linearUnit="meter"/></Units>'
LINE = "<Start>2785391.237538632 507777.352116356 0.0</Start><End>2784613.532428970 507581.218005246 0.0</End>"
CURVE = "<Start>2784551.119968936 507567.236233594 0.0</Start>{centre}<End>2784273.777420651 507621.762430591 0.0</End>"
CENTRE = "<Center>2784484.620101668 507961.592637662 0.0</Center>"


def alignment(folder: Path, side: str) -> Path:
    path = folder / "rail.xml"
    path.write_text(
        f'{HEAD}<Alignments><Alignment name="rail"><CoordGeom>{side}</CoordGeom></Alignment></Alignments></LandXML>'
    )
    return path


def azimuth(a: tuple[float, float], b: tuple[float, float]) -> float:
    return math.atan2(b[0] - a[0], b[1] - a[1]) % math.tau


def test_northing_comes_first(tmp_path: Path) -> None:
    (line,) = read_sheet(alignment(tmp_path, f"<Line>{LINE}</Line>")).paths
    start, end = line.points
    assert math.dist(start, end) == pytest.approx(802.056, abs=5e-4)
    assert azimuth(start, end) == pytest.approx(3.388637062, abs=1e-8)


@pytest.mark.parametrize("centre", [CENTRE, ""])
def test_a_curve_turns_as_its_directions_say(tmp_path: Path, centre: str) -> None:
    side = f'<Curve rot="ccw" radius="399.924000000" length="288.892048276">{CURVE.format(centre=centre)}</Curve>'
    (line,) = read_sheet(alignment(tmp_path, side)).paths
    ((_, sweep),) = line.arcs
    start, end = line.points
    assert sweep == pytest.approx(3.308649874 - 2.586282503, abs=1e-7)
    radius = side_between(start, end, sweep).radius
    assert radius == pytest.approx(399.924, abs=1e-4)
    assert radius * sweep == pytest.approx(288.892048276, abs=1e-4)
    # the chord runs half way between the directions at its ends
    assert azimuth(start, end) == pytest.approx((3.308649874 + 2.586282503) / 2, abs=1e-7)


def test_a_quarter_circle(tmp_path: Path) -> None:
    """Start (N 0, E 100), centre 0, end (N 100, E 0), ccw: chord 141.4214, segment 2853.98 = 100^2 (pi/2 - 1) / 2."""
    parcel = (
        "<Line><Start>0 0</Start><End>0 100</End></Line>"
        '<Curve rot="ccw" radius="100"><Start>0 100</Start><Center>0 0</Center><End>100 0</End></Curve>'
        "<Line><Start>100 0</Start><End>0 0</End></Line>"
    )
    path = tmp_path / "lot.xml"
    path.write_text(f'{HEAD}<Parcels><Parcel name="A"><CoordGeom>{parcel}</CoordGeom></Parcel></Parcels></LandXML>')
    (ring,) = import_file(path, Asked()).drawn.rings
    ((side, _),) = ring.arcs
    chord = math.dist(ring.points[side], ring.points[(side + 1) % 3])
    assert chord == pytest.approx(141.4214, abs=5e-5)
    assert ring_area(ring) - 100 * 100 / 2 == pytest.approx(2853.98, abs=0.005)
