"""A file of another program in, a draft of a job file out."""

from __future__ import annotations

from pathlib import Path

from palewright.exchange.choosing import Listed, choose, list_shapes, take
from palewright.exchange.draft import draft_job
from palewright.exchange.foreign import Asked, printable
from palewright.exchange.reading import read_sheet
from palewright.model import Drawn
from palewright.record import Record

__all__ = ["Imported", "import_file", "list_file"]

_METRIC = ("m", "mm", "cm", "km")


class Imported(Record):
    """The text of a job file, what it was made from, and how it prints lengths."""

    text: str
    drawn: Drawn
    style: str


def import_file(
    path: Path, asked: Asked | None = None, ring: str = "", way: str = "", title: str = "", style: str = ""
) -> Imported:
    """A job file drafted from a file of another program. Nothing is written.

    path
        GeoJSON, GeoPackage, shapefile, DXF, LandXML, KML, GPX or a point list; at most 50 MB.
    asked
        how to read it. ring: name of the ring that becomes the boundary, where there are several.
    way
        "points", "calls", or "" for calls where the ring has arcs. title: of the job; the file's name unless given.
    style
        how the job prints lengths; metric for a file in metres, feet and inches otherwise.
    Raises ProblemError with what is wrong with the file; see docs/exchange.md.
    """
    asked = asked or Asked()
    sheet = read_sheet(path, asked)
    drawn = take(sheet, asked, choose(sheet, ring))
    style = style or ("metric" if drawn.unit in _METRIC else "feet-inches")
    return Imported(draft_job(drawn, printable(title or path.stem) or "drawing", way, style), drawn, style)


def list_file(path: Path, asked: Asked | None = None) -> tuple[Listed, ...]:
    """Rings and lines of a file with their sizes on the ground: (kind, name, area [m2], length [m]).

    Raises ProblemError with what is wrong with the file.
    """
    asked = asked or Asked()
    return list_shapes(read_sheet(path, asked), asked)
