"""Drawings in inches that say feet: told by how they show lengths, and by what their dimensions say."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from palewright.errors import ProblemError
from palewright.exchange.dxf_in import read_dxf


def drawing(path: Path, *, header: int, shows: int = 2, text: str = "", scale: float = 12.0) -> Path:
    """A lot of 100 by 90 ft, ``scale`` units to the foot."""
    doc = ezdxf.new("R2010", setup=True)
    doc.header["$INSUNITS"] = header
    doc.header["$LUNITS"] = shows
    space = doc.modelspace()
    ring = [(x * scale, y * scale) for x, y in ((0, 0), (100, 0), (100, 90), (0, 90))]
    space.add_lwpolyline(ring, close=True)
    if text:
        space.add_linear_dim((0, -20), ring[0], ring[1], text=text).render()
    doc.saveas(path)
    return path


@pytest.mark.parametrize(("shows", "text"), [(4, ""), (3, ""), (2, "100'"), (2, "100.00 ft")])
def test_inches_that_say_feet_are_refused_unless_somebody_says_the_unit(tmp_path: Path, shows: int, text: str) -> None:
    """$INSUNITS 2 is feet; $LUNITS 3 and 4 show feet and inches and count in inches (DXF reference)."""
    path = drawing(tmp_path / "lot.dxf", header=2, shows=shows, text=text)
    with pytest.raises(ProblemError) as caught:
        read_dxf(path, path.read_bytes())
    assert caught.value.problems[0].slug == "units-contradict"
    assert read_dxf(path, path.read_bytes(), "in").rings


@pytest.mark.parametrize(
    ("header", "shows", "text", "scale"),
    [
        (1, 4, "100'", 12.0),
        (2, 2, "100'", 1.0),
        (2, 2, "<>", 12.0),
        (2, 2, "see deed", 12.0),
        (2, 2, "99' 11 3/4\"", 1.0),
    ],
)
def test_drawings_that_agree_with_themselves_are_read(
    tmp_path: Path, header: int, shows: int, text: str, scale: float
) -> None:
    """A dimension that shows what it measures says nothing of the unit."""
    path = drawing(tmp_path / "lot.dxf", header=header, shows=shows, text=text, scale=scale)
    assert len(read_dxf(path, path.read_bytes()).rings) == 1
