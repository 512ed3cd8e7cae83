"""Which ring of a file is the lot, and whether it can be one."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from palewright import notation
from palewright.errors import Problem, ProblemError, Where
from palewright.exchange.arcs import flat_points, path_length, path_sides, ring_area
from palewright.exchange.foreign import MOST_CORNERS, MOST_NAMES, Asked, Sheet, check_count, refused
from palewright.exchange.ground import Ground, drawn_of
from palewright.model import Drawn, DrawnPath
from palewright.plane import XY, area, distance, segments_meet

__all__ = ["Listed", "choose", "list_shapes", "take"]

_SHOWN = 12
_SAME_M = 0.001
_NARROW_M = 1.524
"""A lot narrower than 5 ft is asked about [m] (common practice: a slip of the unit)."""
_WIDE_M = 8046.72
"""A lot wider than 5 miles is asked about [m]."""
_SMALL_M2, _LARGE_M2 = 139.35456, 101171.41056
"""A lot under 1,500 sq ft or over 25 acres is taken, and its unit is doubted [m2]. Our own choice: a usual lot of a
quarter acre comes out at 1,012 sq ft where metres are read as feet, at 36 acres where inches are."""
_REACH_M = 15.0
_MOST_COMPARED = 300
_LAYER = "boundary"
"""The layer of the line of the property in drawings of our own."""

Listed = tuple[str, str, float, float, str]
"""What stands in a list of a file: "ring" or "line", name, area [m2] (a line: 0), length [m], layer or ""."""


def list_shapes(sheet: Sheet, asked: Asked) -> tuple[Listed, ...]:
    """Rings and lines of a sheet with their area and length on the ground, the largest first.

    Each is measured about its own first point.

    Raises ProblemError as :class:`palewright.exchange.ground.Ground` does.
    """
    rows: list[Listed] = []
    for path in (*sheet.rings, *sheet.paths):
        made = Ground(sheet, asked, path.points[0]).path(path)
        rows.append(("ring" if made.closed else "line", made.name, ring_area(made), path_length(made), made.layer))
    return tuple(sorted(rows, key=lambda row: (row[0] != "ring", -row[2], -row[3])))


def choose(sheet: Sheet, name: str = "") -> DrawnPath | None:
    """The ring of a name, or the only one; None where the file has no ring.

    Of several the only one that is no circle is taken, in the whole file or on its layer "boundary"; the sheet says so,
    and of a file with such a layer only that is kept. Raises ProblemError: ``which-ring`` with the names, the largest
    first, where several are left; ``unknown-ring``.
    """
    largest = sorted(sheet.rings, key=lambda ring: -area(ring.points))
    names = ", ".join(ring.name for ring in largest[:_SHOWN])
    names += f" and {len(sheet.rings) - _SHOWN:,} more" if len(sheet.rings) > _SHOWN else ""
    if name:
        found = next((ring for ring in sheet.rings if ring.name == name), None)
        if found is None:
            raise refused("unknown-ring", "the file has no ring of this name", sheet.file, found=name,
                          allowed=names or "no rings", hint="--list shows all of them with their sizes")  # fmt: skip
        return found
    if len(sheet.rings) > 1:
        taken = _only(sheet)
        if taken is not None:
            return taken
        raise refused("which-ring", "the file holds several rings, and one of them is the lot", sheet.file,
                      found=f"{len(sheet.rings):,} rings", allowed=names,
                      hint=f"name it: --ring {largest[0].name!r} is the largest; --list shows all of them")  # fmt: skip
    return sheet.rings[0] if sheet.rings else None


def _only(sheet: Sheet) -> DrawnPath | None:
    """The only ring that is no circle (a mark of a corner, a hole), and what is left out is told; None for several."""
    lots = [ring for ring in sheet.rings if not _circle(ring)]
    if len(lots) != 1:
        lots = [ring for ring in lots if ring.layer.casefold() == _LAYER]
        if len(lots) != 1:
            return None
        sheet.paths = [path for path in sheet.paths if path.layer.casefold() == _LAYER]
        sheet.points = [point for point in sheet.points if point.layer.casefold() == _LAYER]
    layer = f" on layer {lots[0].layer}" if lots[0].layer else ""
    sheet.caution("ring-chosen", "one ring of several was taken as the lot", f"{lots[0].name}{layer}",
                  "--list shows all of them, --ring and --layer choose another")  # fmt: skip
    return lots[0]


def _circle(ring: DrawnPath) -> bool:
    """Arcs about one centre on every side."""
    try:
        sides = path_sides(ring) if len(ring.arcs) == len(ring.points) else []
    except ValueError:  # an arc between equal points
        return False
    return bool(sides) and all(distance(side.centre, sides[0].centre) <= 1e-6 * side.radius for side in sides)


def take(sheet: Sheet, asked: Asked, ring: DrawnPath | None) -> Drawn:
    """A ring, and the lines and points on it and near it, in ground metres; fit to become a boundary.

    Raises ProblemError: ``ring-too-short``, ``ring-crosses-itself``, ``too-many-corners``, ``size-unlikely``, and what
    :class:`palewright.exchange.ground.Ground` raises.
    """
    if ring is not None and len(ring.points) > MOST_CORNERS:
        raise refused("too-many-corners", "the ring has more corners than a boundary may have", sheet.file,
                      found=f"{len(ring.points):,}", allowed=f"at most {MOST_CORNERS:,}",
                      hint="is it a lot? a river bank is best drawn by its record line")  # fmt: skip
    if ring is None:
        check_count(sum(len(path.points) for path in sheet.paths) + len(sheet.points), sheet.file, MOST_NAMES)
    drawn = drawn_of(sheet, asked, ring, _keeper(sheet, asked, ring))
    if ring is None:
        _check_size(drawn, [xy for path in drawn.paths for xy in path.points], asked)
        return drawn
    clean, dropped = _clean(drawn.rings[0])
    cautions = list(drawn.cautions)
    about = Where(file=sheet.file, thing=clean.name)
    if dropped:
        cautions.append(Problem("corners-dropped", "corners on top of the one before were dropped", about, "caution",
                                found=f"{dropped}"))  # fmt: skip
    if clean.holes:
        cautions.append(Problem("ring-has-holes", "the ring has holes; only its outside becomes the boundary", about,
                                "caution", found=f"{len(clean.holes)}"))  # fmt: skip
    _check_ring(clean, about)
    _check_size(drawn, flat_points(clean), asked)
    size = ring_area(clean)
    if not asked.any_size and not _SMALL_M2 <= size <= _LARGE_M2:
        cautions.append(
            Problem("unit-doubtful", "this is an unusual size for a lot: is the unit right?", about, "caution",
                    found=f"{notation.show_area(size)}, lengths read in {drawn.unit}",
                    allowed="usually 1,500 sq ft to 25 acres (our own choice)",
                    hint="compare one side with a tape or the record; say the unit with --unit; if the size is right, "
                    "say --any-size")
        )  # fmt: skip
    return replace(drawn, rings=(clean,), cautions=tuple(cautions))


def _keeper(sheet: Sheet, asked: Asked, ring: DrawnPath | None) -> Callable[[Sequence[XY]], bool]:
    """Whether all of a shape lies within the box of the ring, widened by 15 m or half its size."""
    if ring is None:
        return lambda points: True
    flat = flat_points(Ground(sheet, asked, ring.points[0]).path(ring))
    xs, ys = [x for x, _ in flat], [y for _, y in flat]
    slack = max(_REACH_M, (max(xs) - min(xs)) / 2.0, (max(ys) - min(ys)) / 2.0)
    west, east, south, north = min(xs) - slack, max(xs) + slack, min(ys) - slack, max(ys) + slack
    return lambda points: all(west <= x <= east and south <= y <= north for x, y in points)


def _clean(ring: DrawnPath) -> tuple[DrawnPath, int]:
    """A ring without corners on top of the one before, and how many there were."""
    n = len(ring.points)
    sweeps = dict(ring.arcs)
    keep = [k for k in range(n) if distance(ring.points[k], ring.points[(k + 1) % n]) > _SAME_M]
    arcs = tuple((place, sweeps[k]) for place, k in enumerate(keep) if k in sweeps)
    return replace(ring, points=tuple(ring.points[k] for k in keep), arcs=arcs), n - len(keep)


def _check_ring(ring: DrawnPath, about: Where) -> None:
    from shapely import LinearRing

    if len(ring.points) < 3:
        raise ProblemError(Problem("ring-too-short", "a boundary has three corners or more", about,
                                   found=f"{len(ring.points)}"))  # fmt: skip
    flat = flat_points(ring)
    if not LinearRing(flat).is_simple or ring_area(ring) < _SAME_M:
        raise ProblemError(
            Problem("ring-crosses-itself", "the ring crosses or touches itself", about, found=_crossing(ring),
                    hint="mend it where it was drawn; corners in a wrong order make such a ring")
        )  # fmt: skip


def _crossing(ring: DrawnPath) -> str:
    """The first two sides that meet and are no neighbours; "" where only arcs do, and for a ring of many corners."""
    points, n = ring.points, len(ring.points)
    if n > _MOST_COMPARED:
        return ""
    for i, j in itertools.combinations(range(n), 2):
        if 1 < j - i < n - 1 and segments_meet(points[i], points[i + 1], points[j], points[(j + 1) % n]) is not None:
            return f"sides {i + 1} and {j + 1}"
    return ""


def _check_size(drawn: Drawn, points: Sequence[XY], asked: Asked) -> None:
    """Ask about what is narrower than a path or wider than a township."""
    from shapely import MultiPoint

    if asked.any_size or len(points) < 2:
        return
    box = MultiPoint(points).minimum_rotated_rectangle
    corners = [(float(x), float(y)) for x, y in getattr(box, "exterior", box).coords]
    sides = sorted(distance(a, b) for a, b in itertools.pairwise(corners))
    narrow, wide = (sides[0] if drawn.rings else sides[-1]), sides[-1]
    if narrow >= _NARROW_M and wide <= _WIDE_M and math.isfinite(wide):
        return
    shown = f"{notation.show_length(sides[0])} by {notation.show_length(wide)}"
    raise refused(
        "size-unlikely", "this is an unlikely size for a lot", drawn.file,
        found=f"{shown}, read in {drawn.unit}", allowed="5 ft to 5 miles",
        hint="is the unit right? say it with --unit; if the size is right, say --any-size",
    )  # fmt: skip
