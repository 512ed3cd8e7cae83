"""The bulge of a polyline in a drawing: tan(angle / 4), positive where the arc runs counter-clockwise (DXF reference).

A bulge of 0.2679491924 = tan 15 degrees from (0, 0) to (40, 0): 60 degrees, radius 40, centre (20, 34.64102), worked by hand
and drawn again by ezdxf, which finds no error in the file. Tolerance: the ten digits of the bulge.

sources: dxf-reference
"""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import pytest
from ezdxf.math import bulge_to_arc

from palewright.exchange import read_sheet
from palewright.plane import side_between

BULGE = 0.2679491924


@pytest.mark.parametrize(("bulge", "up"), [(BULGE, 34.64102), (-BULGE, -34.64102)])
def test_sixty_degrees_on_a_chord_of_forty(tmp_path: Path, bulge: float, up: float) -> None:
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = 2
    drawing.modelspace().add_lwpolyline([(0, 0, bulge), (40, 0, 0), (40, 90, 0)], format="xyb")
    drawing.saveas(tmp_path / "arc.dxf")
    assert ezdxf.readfile(tmp_path / "arc.dxf").audit().errors == []
    (path,) = read_sheet(tmp_path / "arc.dxf").paths
    ((side, sweep),) = path.arcs
    assert (side, math.degrees(sweep)) == (0, pytest.approx(math.copysign(60.0, bulge), abs=1e-7))
    arc = side_between(path.points[0], path.points[1], sweep)
    assert arc.radius == pytest.approx(40.0, abs=1e-7)
    assert arc.centre == pytest.approx((20.0, up), abs=5e-6)
    centre, _, _, radius = bulge_to_arc((0, 0), (40, 0), bulge)
    assert (*arc.centre, arc.radius) == pytest.approx((centre.x, centre.y, radius), abs=1e-9)
