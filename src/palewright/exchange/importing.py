"""A file of another program in, a draft of a job file out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from palewright.errors import Problem, Where
from palewright.exchange.arcs import path_sides
from palewright.exchange.choosing import Listed, choose, list_shapes, take
from palewright.exchange.draft import draft_job
from palewright.exchange.foreign import Asked, printable
from palewright.exchange.reading import read_sheet
from palewright.model import Drawn, DrawnPath
from palewright.notation import show_length
from palewright.plane import middle_ordinate
from palewright.record import Record

__all__ = ["Imported", "import_file", "list_file"]

_METRIC = ("m", "mm", "cm", "km")
_TOLD = 6


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
    if way == "points" and drawn.rings and drawn.rings[0].arcs:
        drawn = replace(drawn, cautions=(*drawn.cautions, _by_chords(drawn.rings[0], drawn.file, style)))
    return Imported(draft_job(drawn, printable(title or path.stem) or "drawing", way, style), drawn, style)


def _by_chords(ring: DrawnPath, file: str, style: str) -> Problem:
    """The arcs that points take by their chords, and how far each lies from its chord."""
    sides = path_sides(ring)
    found = ", ".join(
        f"side {k + 1} up to {show_length(middle_ordinate(sides[k].radius, sweep), style)} off its chord"
        for k, sweep in ring.arcs[:_TOLD]
    )
    more = f" and {len(ring.arcs) - _TOLD} more" if len(ring.arcs) > _TOLD else ""
    return Problem("arcs-by-chords", "arcs of the ring are written by their chords", Where(file=file, thing=ring.name),
                   "caution", found=found + more, hint="--as calls keeps them")  # fmt: skip


def list_file(path: Path, asked: Asked | None = None) -> tuple[Listed, ...]:
    """Rings and lines of a file, the largest first: (kind, name, area [m2], length [m] on the ground, layer or "").

    Raises ProblemError with what is wrong with the file.
    """
    asked = asked or Asked()
    return list_shapes(read_sheet(path, asked), asked)
