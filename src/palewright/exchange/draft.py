"""A draft of a job file from what was drawn: the boundary, named points, and `ask` for all the rest."""

from __future__ import annotations

import math

from palewright import notation
from palewright.exchange.foreign import MOST_NAMES, check_count, printable
from palewright.jobfile import read_text
from palewright.jobfile.writing import write_value
from palewright.model import Drawn, DrawnPath
from palewright.plane import XY, azimuth, distance, side_between, side_length

__all__ = ["draft_job", "ring_calls"]

_FOOT = 0.3048
_SAME_M = 0.01


def draft_job(drawn: Drawn, title: str, way: str = "", style: str = "feet-inches") -> str:
    """A job file that reads without a problem and asks for what the drawing does not say.

    drawn
        with at most one ring, which becomes the boundary. title: of the job.
    way
        "points" (corners by their coordinates, to 0.0001 ft or 0.01 mm) or "calls" (bearings to a second, distances to
        0.01 ft or 1 mm, from the first corner on; arcs as curve calls); "" for calls where the ring has arcs, and
        points elsewhere. Points take an arc by its chord.
    style
        how the job prints lengths.
    Raises ProblemError ``too-many-points`` for more than 5,000 names, and what the reader of job files finds.
    """
    names = _Names(drawn)
    ring = drawn.rings[0] if drawn.rings else None
    way = way or ("calls" if ring is not None and ring.arcs else "points")
    lines = [*_head(drawn, names), "palewright: 1", "job:", f"  title: {write_value(title)}", "  address: ask"]
    lines += [f"  print: {style}", f"  north: {write_value(drawn.north) if drawn.north else 'ask'}", ""]
    solved = set(names.corners[1:]) if way == "calls" else set()
    rows = [(name, xy) for name, xy in names.places.items() if name not in solved]
    if rows:
        lines += ["# East, then north.", "points:"]
        lines += [_point(name, xy, names.words.get(name, ""), style) for name, xy in rows]
        lines.append("")
    if ring is not None:
        lines += _boundary(ring, names, way, style)
    lines += _runs(names, ring is not None)
    lines += [
        "# The utility locate. Nothing is dug before it is answered.",
        "locate: {ticket: ask, called on: ask, legal from: ask, expires: ask}",
        "site: {frost: ask, soil: ask, wind: ask, exposure: ask}",
    ]
    text = "\n".join(lines) + "\n"
    read_text(text)
    return text


class _Names:
    """A name for every corner and every place on a line; a point of the file within a centimetre lends its own."""

    def __init__(self, drawn: Drawn) -> None:
        self.places: dict[str, XY] = {}
        self.words: dict[str, str] = {}
        self._cells: dict[tuple[int, int], list[str]] = {}
        for point in drawn.points:
            self.words[self._new(point.name, point.xy)] = point.words
        self.corners: list[str] = []
        for ring in drawn.rings:
            for k, xy in enumerate(ring.points, 1):
                known = self._here(xy)
                self.corners.append(known if known and known not in self.corners else self._new(f"P{k}", xy))
        self.lines: list[tuple[str, list[str]]] = []
        for number, path in enumerate(drawn.paths, 1):
            row = [self._here(xy) or self._new(f"L{number}.{k}", xy) for k, xy in enumerate(path.points, 1)]
            self.lines.append((path.name, list(dict.fromkeys(row))))
        check_count(len(self.places), drawn.file, MOST_NAMES)

    def _here(self, xy: XY) -> str:
        x, y = self._cell(xy)
        near = (name for i in (-1, 0, 1) for j in (-1, 0, 1) for name in self._cells.get((x + i, y + j), ()))
        return next((name for name in near if distance(self.places[name], xy) <= _SAME_M), "")

    def _new(self, wish: str, xy: XY) -> str:
        name, count = wish, 2
        while name in self.places:
            name, count = f"{wish} ({count})", count + 1
        self.places[name] = xy
        self._cells.setdefault(self._cell(xy), []).append(name)
        return name

    @staticmethod
    def _cell(xy: XY) -> tuple[int, int]:
        return math.floor(xy[0] / _SAME_M), math.floor(xy[1] / _SAME_M)


def _head(drawn: Drawn, names: _Names) -> list[str]:
    file = printable(drawn.file)
    of = "".join(f', "{ring.name}"' for ring in drawn.rings)
    rows = [
        f"# A job file of Palewright, drafted from {file} ({drawn.form}{of}). What is not known yet is written `ask`.",
        "# A drawing proves no line on the ground: compare it with the deed and the pins.",
    ]
    frame = drawn.frame
    if frame is None:
        return [*rows, f"# Coordinates are those of the file, read in {drawn.unit} and taken as ground distances."]
    first = next((name for name, xy in names.places.items() if distance(xy, (0.0, 0.0)) <= _SAME_M), "The origin")
    height = f"{frame.height_m:.1f} m" if frame.height_given else "not given, taken as 0"
    rows += [
        f"# Ground distances and true north, from {frame.crs}, datum {frame.datum}.",
        f"# {first} lies at latitude {frame.latitude:.9f}, longitude {frame.longitude:.9f}; height {height}.",
        f"# An export to the globe takes: --place '{first}, {frame.latitude:.9f}, {frame.longitude:.9f}'"
        + (f" --height '{frame.height_m:.1f} m'" if frame.height_given else ""),
    ]
    if frame.scale_north == 1.0 == frame.scale_east:
        return rows
    return [
        *rows,
        f"# There: scale factor {frame.scale_north:.8f} north and {frame.scale_east:.8f} east, "
        f"height factor {frame.elevation_factor:.8f},",
        f"# convergence {notation.show_dms(frame.convergence)} (grid azimuth = true azimuth - convergence).",
    ]


def _coordinate(m: float, style: str) -> str:
    value, places, unit = (m, 5, "m") if style == "metric" else (m / _FOOT, 4, "ft")
    return f"{round(value, places) + 0.0:.{places}f} {unit}"


def _point(name: str, xy: XY, words: str, style: str) -> str:
    at = f"[{_coordinate(xy[0], style)}, {_coordinate(xy[1], style)}]"
    about = printable(words)
    return f"  {write_value(name)}: {{at: {at}}}" + (f"   # {about}" if about else "")


def ring_calls(ring: DrawnPath, style: str = "feet-inches") -> list[str]:
    """The sides of a ring as calls of a job file: bearing to a second, distance to 0.01 ft (metric: 1 mm).

    An arc is called by its radius, its length and the bearing of its chord.

    >>> ring_calls(DrawnPath("lot", ((0.0, 0.0), (0.0, 30.48), (30.48, 0.0)), True))[0]
    'N 00°00\\'00" E 100.00 ft'
    """
    n, sweeps = len(ring.points), dict(ring.arcs)
    made = []
    for k, xy in enumerate(ring.points):
        far = ring.points[(k + 1) % n]
        bearing = notation.show_bearing(azimuth(xy, far))
        if k in sweeps:
            parts = _arc_parts(xy, far, sweeps[k], style)
            made.append(write_value({**parts, "chord": bearing}))
        else:
            made.append(write_value(f"{bearing} {_distance(distance(xy, far), style)}"))
    return made


def _distance(m: float, style: str) -> str:
    return f"{m:.3f} m" if style == "metric" else f"{m / _FOOT:.2f} ft"


def _arc_parts(start: XY, end: XY, sweep: float, style: str) -> dict[str, str]:
    side = side_between(start, end, sweep)
    way = "left" if sweep > 0.0 else "right"
    return {"curve": way, "radius": _distance(side.radius, style), "arc": _distance(side_length(side), style)}


def _boundary(ring: DrawnPath, names: _Names, way: str, style: str) -> list[str]:
    corners = names.corners
    lines = ["# The line of the property as it was drawn.", "boundary:"]
    n = len(ring.points)
    if way == "calls":
        lines += [f"  start: {write_value(corners[0])}", f"  names: {write_value(corners)}", "  calls:"]
        lines += [f"    - {call}" for call in ring_calls(ring, style)]
        told = {name: printable(names.words.get(name, "")) for name in corners}
        lines += [f"  # {name}: {words}" for name, words in told.items() if words]
    else:
        lines.append(f"  through: {write_value(corners)}")
        for side, sweep in ring.arcs:
            words = _arc_parts(ring.points[side], ring.points[(side + 1) % n], sweep, style)
            said = ", ".join(f"{key} {value}" for key, value in words.items())
            lines.append(f"  # side {side + 1} is an arc, {said}; this is its chord")
    return [*lines, "  # corners: {P1: {found: iron pin, matches record: yes}}", "  record: ask", ""]


def _runs(names: _Names, boundary: bool) -> list[str]:
    where = "sides: all, inside boundary: {face: 8 in}" if boundary else "through: [A, B]"
    lines = [] if boundary else ["# boundary: {through: [A, B, C, D]}"]
    lines += [
        "# Which fence, and where it goes: take the # away and fill in.",
        "# fences:",
        "#   fence: {kind: boards, board: 6 ft, good side: ask}",
        "# runs:",
        f"#   - {{name: fence, fence: fence, {where}, follows: ask}}",
    ]
    for name, row in names.lines[:20]:
        lines.append(f"#   - {{name: {write_value(name, True)}, fence: fence, through: {write_value(row)}, yard: ask}}")
    return [*lines, ""]
