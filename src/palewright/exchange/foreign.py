"""What a reader of a foreign format is told, and what it hands on: shapes in the units of the file."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from palewright import notation
from palewright.errors import NotationError, Problem, ProblemError, Where
from palewright.model import DrawnPath, DrawnPoint
from palewright.plane import XY
from palewright.record import Record

__all__ = [
    "DAMAGED", "MISSING", "MOST_BYTES", "MOST_CORNERS", "MOST_NAMES", "MOST_POINTS", "WGS84", "Asked", "Sheet",
    "check_count", "printable", "read_file_bytes", "refused", "spot", "tidy", "unit_size",
]  # fmt: skip

MOST_BYTES = 50_000_000
"""Largest file read [bytes]; a larger one is refused before it is opened."""
MOST_POINTS = 500_000
"""Most points read from a file."""
MOST_NAMES = 5_000
"""Most points that a job file is given."""
MOST_CORNERS = 2_000
"""Most corners of a ring that becomes a boundary."""
WGS84 = "EPSG:4326"


class Asked(Record):
    """How a person wants a file read.

    unit
        of lengths in the file, as a job file writes it ("ft", "ft US", "m"); "" for what the file says.
    crs
        coordinate system ("EPSG:2229"); "" for what the file says. order: of a point list, "PNEZD" or "PENZD".
    layer
        the only layer to read. height_m: of the ground above the ellipsoid, None for not known.
    near
        (latitude, longitude) [degrees] of a place within 50 km of the site, or None.
    any_size
        True where a person confirmed a size that is no lot's.
    """

    unit: str = ""
    crs: str = ""
    order: str = ""
    layer: str = ""
    height_m: float | None = None
    near: tuple[float, float] | None = None
    any_size: bool = False


@dataclass(slots=True)
class Sheet:
    """Shapes as the file has them.

    crs
        of the coordinates, x east (or longitude) first; "" for plane coordinates of no known system. unit: of a plane
        coordinate or of a grid, as a job file writes it; "" where neither the file nor a person said it.
    north
        what the y axis rests on where there is no crs; "" for unknown.
    """

    file: str
    form: str
    crs: str = ""
    unit: str = ""
    north: str = ""
    rings: list[DrawnPath] = field(default_factory=list)
    paths: list[DrawnPath] = field(default_factory=list)
    points: list[DrawnPoint] = field(default_factory=list)
    cautions: list[Problem] = field(default_factory=list)

    def caution(self, slug: str, what: str, found: str = "", hint: str = "") -> None:
        """Something that a reader must know of the shapes."""
        self.cautions.append(Problem(slug, what, Where(file=self.file), "caution", found=printable(found), hint=hint))

    def put(self, path: DrawnPath) -> None:
        """A ring or a line."""
        (self.rings if path.closed else self.paths).append(path)


DAMAGED = "was the file cut off, or is it of another kind than its name says? save it again where it was made"
MISSING = "check its name and its folder: names in a job file are taken from where the job file lies"


def refused(slug: str, what: str, file: str, *, line: int = 0, **words: str) -> ProblemError:
    """A problem of a foreign file as an exception; ``words``: found, allowed, hint."""
    clean = {key: printable(word) for key, word in words.items()}
    return ProblemError(Problem(slug, what, Where(file=file, line=line, column=1 if line else 0), **clean))


def printable(text: str) -> str:
    """Words of a foreign file on one line, without what cannot be printed."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def read_file_bytes(path: Path) -> bytes:
    """The bytes of a file, at most :data:`MOST_BYTES`.

    Raises ProblemError: ``file-missing``, ``file-too-large`` (before anything is read), ``file-empty``.
    """
    name = path.name
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise refused("file-missing", "this is not a file", name, hint="name one file, not a folder")
        if size > MOST_BYTES:
            raise refused(
                "file-too-large", "this file is too large to be read", name, found=f"{size:,} bytes",
                allowed=f"at most {MOST_BYTES:,} bytes",
                hint="save the lot and what is near it in a file of its own",
            )  # fmt: skip
        data = path.read_bytes()
    except OSError as error:
        raise refused("file-missing", "the file cannot be read", name, found=error.strerror or str(error),
                      hint=MISSING) from None  # fmt: skip
    if not data.strip():
        raise refused("file-empty", "the file is empty", name)
    return data


def unit_size(unit: str, file: str) -> float:
    """Metres in a unit as a job file writes it. Raises ProblemError ``unit-unknown``."""
    try:
        return notation.parse_length(f"1 {unit}").m
    except NotationError as error:
        problem = replace(error.problems[0], where=Where(file=file), found=unit)
        raise ProblemError(problem) from None


def spot(x: float, y: float, file: str, what: str) -> XY:
    """A place of a file. Raises ProblemError ``not-finite`` for NaN, infinity and what no plane holds."""
    if not (math.isfinite(x) and math.isfinite(y) and abs(x) < 1e9 and abs(y) < 1e9):
        raise refused(
            "not-finite", "a coordinate is not a number, or larger than the earth", file, found=f"{what}: {x}, {y}",
            allowed="finite numbers below 1,000,000,000",
        )  # fmt: skip
    return (float(x), float(y))


def check_count(count: int, file: str, most: int = MOST_POINTS) -> None:
    """Raises ProblemError ``too-many-points`` for more than ``most``."""
    if count > most:
        raise refused(
            "too-many-points", "there are more points than are taken", file, found=f"{count:,}",
            allowed=f"at most {most:,}",
            hint="take one layer with --layer, or save the lot and what is near it in a file of its own",
        )  # fmt: skip


def tidy(sheet: Sheet, layer: str) -> Sheet:
    """Only the layer asked for, every shape with a name of its own. Raises ProblemError.

    ``unknown-layer`` with the layers of the file; ``drawing-empty`` where nothing is left.
    """
    found = [*(path.layer for path in (*sheet.rings, *sheet.paths)), *(point.layer for point in sheet.points)]
    layers = [name for name in dict.fromkeys(found) if name]
    if layer:
        if layer.casefold() not in [name.casefold() for name in layers]:
            raise refused("unknown-layer", "the file has no such layer, or nothing on it", sheet.file, found=layer,
                          allowed=", ".join(layers[:20]) or "no layers")  # fmt: skip
        wanted = layer.casefold()
        sheet.rings = [ring for ring in sheet.rings if ring.layer.casefold() == wanted]
        sheet.paths = [path for path in sheet.paths if path.layer.casefold() == wanted]
        sheet.points = [point for point in sheet.points if point.layer.casefold() == wanted]
    check_count(sum(len(path.points) for path in (*sheet.rings, *sheet.paths)) + len(sheet.points), sheet.file)
    if not (sheet.rings or sheet.paths or sheet.points):
        raise refused("drawing-empty", "there is no ring, line or point in this file", sheet.file,
                      hint="does it hold what it should? another layer, another file?")  # fmt: skip
    sheet.rings = [replace(s, name=n) for s, n in zip(sheet.rings, _names(sheet.rings, "ring"), strict=True)]
    sheet.paths = [replace(s, name=n) for s, n in zip(sheet.paths, _names(sheet.paths, "line"), strict=True)]
    sheet.points = [replace(s, name=n) for s, n in zip(sheet.points, _names(sheet.points, "point"), strict=True)]
    return sheet


def _names(shapes: Iterable[DrawnPath | DrawnPoint], what: str) -> list[str]:
    """Names without line ends, each once; a number where the file has none."""
    taken: dict[str, int] = {}
    made = []
    for number, shape in enumerate(shapes, 1):
        base = name = printable(shape.name)[:60] or f"{what} {number}"
        while name in taken:
            taken[base] += 1
            name = f"{base} ({taken[base]})"
        taken[name] = 1
        made.append(name)
    return made
