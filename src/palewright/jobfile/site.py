"""From the tables that were read to the records of the site: points, walks, measurements, boundary, zones."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from palewright.errors import Where
from palewright.jobfile.boundary import NO_REF, Evidence, boundary_names, build_boundary
from palewright.jobfile.ground import ground_parts
from palewright.jobfile.levels import level_lines
from palewright.jobfile.measured import measurement, wall
from palewright.jobfile.names import Names
from palewright.jobfile.reading import MISSING, Reading, Table, Word
from palewright.model import (
    BoundarySpec,
    FallSpec,
    GroundSpec,
    LevelLine,
    Measurement,
    PointRef,
    PointSpec,
    RemovalSpec,
    Turn,
    Walk,
    ZoneSpec,
)

__all__ = ["SiteParts", "build_site_parts", "unique"]


@dataclass(slots=True)
class SiteParts:
    """The records of the site as far as they could be made."""

    points: list[PointSpec] = field(default_factory=list)
    walks: list[Walk] = field(default_factory=list)
    measured: list[Measurement] = field(default_factory=list)
    boundary: BoundarySpec | None = None
    corner_names: tuple[str, ...] = ()
    removals: list[RemovalSpec] = field(default_factory=list)
    zones: list[ZoneSpec] = field(default_factory=list)
    falls: list[FallSpec] = field(default_factory=list)
    ground: GroundSpec = field(default_factory=GroundSpec)
    levels: list[LevelLine] = field(default_factory=list)
    buildings: list[tuple[str, tuple[PointRef, ...]]] = field(default_factory=list)


def build_site_parts(rd: Reading, top: Table, names: Names) -> SiteParts:
    """Points, walks, walls, measurements, boundary, buildings, old fences, zones and falls of a job."""
    parts = SiteParts()
    corners = boundary_names(top.get("boundary"))
    evidence = _points(rd, top, names, parts, corners)
    parts.boundary, parts.corner_names = build_boundary(rd, top.get("boundary"), names, corners, evidence)
    for table in top.get("walks", []):
        _walk(rd, table, names, parts)
    for table in top.get("walls", []):
        tape = wall(rd, table, names)
        if tape is not None:
            parts.measured.append(tape)
            parts.buildings.append(("wall", (table.get("from"), table.get("to"))))
    for table in top.get("measured", []):
        made = measurement(rd, table, names)
        if isinstance(made, PointSpec):
            parts.points.append(made)
        elif made is not None:
            parts.measured.append(made)
    parts.levels = level_lines(rd, top, names)
    for word, refs in top.get("buildings", []):
        if refs is not MISSING:
            for ref in refs:
                if ref.name:
                    names.mention(ref.name, "a corner of a building", ref.at)
            parts.buildings.append((word.text, tuple(refs)))
    _removals(rd, top, names, parts)
    _zones(rd, top, names, parts)
    parts.falls, parts.ground = ground_parts(rd, top, names)
    held = {point.name for point in parts.points} | set(names.places)
    for name, (_, at) in names.loose.items():
        if name not in held:
            parts.points.append(PointSpec(name, at=at))
    return parts


# points


def _points(rd: Reading, top: Table, names: Names, parts: SiteParts, corners: tuple[str, ...]) -> Evidence:
    """Read points; returns what was found at points that are boundary corners."""
    evidence: Evidence = {}
    for word, table in top.get("points", []):
        if not isinstance(table, Table):
            names.define(word.text, "a point", word.at)
            continue
        ways = [key for key in ("at", "calls", "on line") if table.typed(key)]
        if not ways and table.typed("stands"):
            ways = ["stands"]
        found, matches = table.get("found", ""), table.get("matches record")
        if word.text in corners and (found or table.typed("found")):
            evidence[word.text] = (found, matches, word.at)
        if len(ways) > 1:
            rd.wrong_at("point-twice-placed", "a point has one place", word.at, found=" and ".join(ways),
                        hint="keep one of them; a second measurement goes under `measured`")  # fmt: skip
            table.ok = False
        if not ways and word.text in corners:
            if table.has("keep clear") or table.has("height"):
                parts.points.append(_point(word, table, "thing"))
            continue
        if ways and ways != ["stands"]:
            names.define(word.text, "a point", word.at)
        else:
            names.mention(word.text, "a thing", word.at)
        if not _complete(rd, word, table, names):
            continue
        how = {"at": "coordinates", "calls": "calls", "on line": "on line"}.get(ways[0] if ways else "", "thing")
        parts.points.append(_point(word, table, how))
    return evidence


def _complete(rd: Reading, word: Word, table: Table, names: Names) -> bool:
    """Check the companions of a point's keys and use its references."""
    for call in table.get("calls", []):
        if call.curve is not None:
            rd.wrong_at("curve-call", "a curve call does not lead to a point here", call.at, found=call.text[:60],
                        allowed="straight calls", hint="its chord leads to the same point")  # fmt: skip
            table.ok = False
        elif call.azimuth is None or call.length_m is None:
            rd.wrong_at("call-incomplete", "a call that leads to a point has a bearing and a length", call.at,
                        found=call.text[:60])  # fmt: skip
            table.ok = False
    for key, other, example in (
        ("calls", "from", "NE"), ("from", "calls", '["S 2 E 60 ft"]'), ("on line", "distance", "62' 3\""),
        ("distance", "on line", "[NE, NW]"),
    ):  # fmt: skip
        if table.typed(key) and not table.typed(other):
            rd.wrong_at("missing-key", f"`{key}` needs `{other}` beside it", word.at,
                        hint=f"add `{other}: {example}`")  # fmt: skip
            table.ok = False
    if table.has("matches record") and not table.typed("found"):
        rd.wrong_at("missing-key", "`matches record` needs `found` beside it", table.place("matches record"),
                    hint="say what was found: `found: 5/8 in iron pin`")  # fmt: skip
        table.ok = False
    if table.typed("left of") and table.typed("right of"):
        rd.wrong_at("point-twice-placed", "a point is on one side of a line", word.at, found="left of and right of")
        table.ok = False
    refs = [table.get("from", NO_REF)]
    refs += [ref for key in ("on line", "left of", "right of") for ref in table.get(key, [])]
    for ref in refs:
        names.use(ref.name, ref.at)
    return table.ok


def _point(word: Word, table: Table, how: str) -> PointSpec:
    line = [ref.name for ref in table.get("on line", [])]
    side = next((key for key in ("left of", "right of") if table.has(key)), "")
    side_of = [ref.name for ref in table.get(side, [])] if side else ["", ""]
    return PointSpec(
        word.text,
        how,
        xy=table.get("at", NO_REF).xy,
        start=table.get("from", NO_REF).name,
        calls=tuple(table.get("calls", [])),
        line=(line[0], line[1]) if line else ("", ""),
        distance_m=table.get("distance", 0.0),
        found=table.get("found", ""),
        matches_record=table.get("matches record"),
        pin_clear_m=table.get("keep clear"),
        at=word.at,
        side=side.removesuffix(" of"),
        side_of=(side_of[0], side_of[1]),
        height_m=table.get("height"),
        stands=table.typed("stands"),
    )


# walks


def _walk(rd: Reading, table: Table, names: Names, parts: SiteParts) -> None:
    called: list[Word] = table.get("call", [])
    for word in called:
        if word.text:
            names.define(word.text, "called out in a walk", word.at)
    start, along, toward = (table.get(key, NO_REF) for key in ("from", "along", "toward"))
    for ref in (start, along, toward):
        names.use(ref.name, ref.at)
    ways = [key for key in ("along", "toward", "bearing") if table.typed(key)]
    if len(ways) != 1:
        rd.wrong_at("walk-direction", "a walk says once where it looks at the start", table.at,
                    found=" and ".join(ways) or "nothing", allowed="along, toward or bearing",
                    hint="`along: X` walks on past the start in line with X, `toward: X` faces X")  # fmt: skip
        return
    sight = along if along.name else toward
    if sight.name and sight.name == start.name:
        rd.wrong_at("same-point", "a walk needs two different points to look along", sight.at, found=sight.name)
        return
    steps: list[Turn] = table.get("go", [])
    if not table.ok or not steps:
        return
    count = sum(step.length_m is not None for step in steps)
    if count != len(called):
        rd.wrong_at("walk-names", "a walk has one name for each length", table.place("call"),
                    found=f"{len(called)} names for {count} lengths",
                    hint="write _ for a point that needs no name")  # fmt: skip
        return
    if steps[-1].length_m is None:
        rd.wrong_at("walk-step", "a walk ends with a length", steps[-1].at, found=steps[-1].words,
                    hint="take the last turn out, or say how far to go")  # fmt: skip
        return
    facing = {"along": "away", "toward": "toward", "bearing": "azimuth"}[ways[0]]
    parts.walks.append(
        Walk(start.name, sight.name, facing, tuple(steps), tuple(word.text for word in called),
             table.get("bearing"), table.at)
    )  # fmt: skip


# old fences, zones


def unique(rd: Reading, word: Any, seen: dict[str, Where], what: str) -> None:
    """Report a name that stands twice in a list."""
    if not isinstance(word, Word):
        return
    if word.text in seen:
        rd.wrong_at("duplicate-name", f"two {what} have the same name", word.at, found=word.text,
                    hint=f"the first one stands at line {seen[word.text].line}")  # fmt: skip
    else:
        seen[word.text] = word.at


def _removals(rd: Reading, top: Table, names: Names, parts: SiteParts) -> None:
    seen: dict[str, Where] = {}
    for table in top.get("remove", []):
        unique(rd, table.get("name"), seen, "old fences")
        refs = table.get("through", [])
        for ref in refs:
            names.use(ref.name, ref.at)
        if table.ok:
            parts.removals.append(
                RemovalSpec(table.get("name").text, tuple(refs), table.get("posts every"), table.get("footing"),
                            table.get("then"), table.get("kind", ""), table.get("height"), table.at)
            )  # fmt: skip


def _zones(rd: Reading, top: Table, names: Names, parts: SiteParts) -> None:
    seen: dict[str, Where] = {}
    for table in top.get("clear of", []):
        unique(rd, table.get("name"), seen, "zones")
        refs: list[PointRef] = list(table.get("through", []))
        if table.typed("through") == table.typed("at"):
            both = table.typed("at")
            rd.wrong_at("zone-place", "a zone is given in one way", table.at, found="both" if both else "neither",
                        allowed="through (a line or an area), or at (a point)")  # fmt: skip
            continue
        if table.has("at"):
            refs = [table.get("at")]
        closed = bool(table.get("closed", False))
        if closed and 0 < len(refs) < 3:
            rd.wrong_at("wrong-number", "an area has three corners or more", table.at, found=str(len(refs)))
        for ref in refs:
            names.use(ref.name, ref.at)
        if table.ok:
            parts.zones.append(
                ZoneSpec(table.get("name").text, tuple(refs), table.get("width", 0.0), table.get("each side"),
                         table.get("inside it"), table.get("utility", ""), closed, table.at)
            )  # fmt: skip
