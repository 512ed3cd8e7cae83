"""The pack of a run of wire: braced and fixed posts one by one, stretches with every line post, in walking order."""

from __future__ import annotations

import bisect
import itertools
import math
from typing import Any

from palewright.asbuilt import expected_on_tape, mark_m
from palewright.model import Assembly, DigItem, LinePlan, LinePost, Stretch
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.stretches import running_station
from palewright.papers.yard_rows import END, built_rows, depth_rows

__all__ = ["wire_gates", "wire_pack", "wire_runs"]

_READINGS = 6
"""So many readings of the tape stand in one line of a phone."""


def wire_runs(sheet: Sheet) -> list[dict[str, Any]]:
    """Runs of wire: their lengths are along the ground, and nothing is planned below them."""
    signed, show = dict(sheet.plan.settings.signed), sheet.measures
    return [
        {
            "about": f"run {line.run}",
            "title": sheet("crew.string_run", run=short(line.run, 40)),
            "length": show.length(line.along_m),
            "signed": show.length(signed[line.run]) if line.run in signed else "",
            "built": built_rows(sheet, line.along_m, signed.get(line.run)),
            "gap": {"text": "", "ticks": None, "rows": []},
        }
        for line in sheet.plan.lines
    ]


def wire_gates(sheet: Sheet) -> list[dict[str, Any]]:
    """Gates and other openings in runs of wire: what is clear between their posts."""
    mark, show = mark_m(sheet.plan.settings), sheet.measures
    slack = max(1, int(sheet.plan.settings.tolerance_m / mark + 1e-6))
    made = []
    for line in sheet.plan.lines:
        for gate in line.gates:
            ticks = expected_on_tape(gate.opening_m, mark)
            off = sheet("yard.gate_other", opening=show.length(gate.opening_m))
            rows = [
                {"from": -END, "to": ticks - slack - 1, "ok": False, "say": off},
                {"from": ticks - slack, "to": ticks + slack, "ok": True, "say": sheet("yard.gate_good")},
                {"from": ticks + slack + 1, "to": END, "ok": False, "say": off},
            ]
            made.append(
                {
                    "about": f"gate {gate.name}",
                    "title": short(gate.name, 40),
                    "between": sheet("yard.wire_gate_between", first=gate.posts[0], last=gate.posts[1]),
                    "opening": show.length(gate.opening_m),
                    "leaf": "",
                    "lines": [],
                    "clear": {"text": show.length(gate.opening_m), "ticks": ticks, "rows": rows},
                    "latch": {"text": "", "ticks": None, "rows": []},
                }
            )
    return made


def wire_pack(sheet: Sheet) -> dict[str, Any]:
    """``wire``: each run and what is worked through, in walking order; ``wire_posts``, ``stretches``: those things."""
    lines = sheet.plan.lines
    return {
        "wire": [_walk(sheet, line) for line in lines],
        "wire_posts": [one for line in lines for one in _posts(sheet, line)],
        "stretches": [_stretch(sheet, line, one) for line in lines for one in line.stretches],
    }


def _walk(sheet: Sheet, line: LinePlan) -> dict[str, Any]:
    stands = [post for one in line.assemblies for post in one.posts] + list(line.fixed)
    places = [(post.station_m, 0, f"post {line.run}/{post.label}") for post in stands]
    places += [(one.from_m, 1, f"stretch {line.run}/{one.number}") for one in line.stretches]
    side = line.rules.wire_side
    said = [
        sheet("stretches.side", side=short(sheet.term(side), 80)) if side else sheet("stretches.side_ask"),
        sheet("stretches.on_ground" if line.profile is not None else "stretches.on_level"),
        sheet("stretches.wires_note"),
        *(sheet(f"stretches.caution_{name}") for name in ("locate", "wire", "stretch")),
    ]
    return {
        "about": f"run {line.run}",
        "title": sheet("crew.string_run", run=short(line.run, 40)),
        "length": sheet.measures.length(line.along_m),
        "order": [sheet(f"stretches.order_{k}") for k in range(1, 6)],
        "lines": said,
        "holes": [about for _, _, about in sorted(places)],
    }


# ---------------------------------------------------------------- posts of assemblies, and posts that stand first


def _posts(sheet: Sheet, line: LinePlan) -> list[dict[str, Any]]:
    digs = {dig.label: dig for dig in sheet.plan.locate.digs if dig.run == line.run and dig.to is None}
    made = []
    for one in line.assemblies:
        for k, post in enumerate(one.posts):
            before = one.posts[k - 1] if k else None
            made.append(_post(sheet, line, post, digs.get(post.label)) | _braced(sheet, line, one, post, before))
    for post in line.fixed:
        made.append(_post(sheet, line, post, digs.get(post.label)))
    return made


def _post(sheet: Sheet, line: LinePlan, post: LinePost, dig: DigItem | None) -> dict[str, Any]:
    """What every post that is set first has: where it stands, its hole, what lies near it."""
    show = sheet.measures
    made = {
        "about": f"post {line.run}/{post.label}",
        "run": f"run {line.run}",
        "label": post.label,
        "title": post.label,
        "role": sheet(f"yard.wire_{post.role}"),
        "reads": running_station(sheet, post.station_m),
        "set": [],
        "brace": [],
        "hole": "",
        "hand": False,
        "near": [],
        "wait": "" if sheet.plan.locate.entered else sheet("yard.wait"),
        "depth": None,
    }
    if dig is None:
        return made
    ticks, rows = depth_rows(sheet, dig.depth_m)
    width, depth = show.inches(dig.diameter_m), show.inches(dig.depth_m)
    return made | {
        "hole": sheet("yard.wire_hole", width=width, depth=depth),
        "hand": dig.hand,
        "near": [sheet("yard.wire_zone", zone=sheet.zone(zone)) for zone in dig.zones],
        "depth": {"text": depth, "ticks": ticks, "rows": rows},
    }


def _braced(sheet: Sheet, line: LinePlan, one: Assembly, post: LinePost, before: LinePost | None) -> dict[str, Any]:
    """What a post of a braced assembly has besides: its set, the angle of the run, rails and brace wires."""
    labels = [other.label for other in one.posts]
    what = sheet(f"stretches.role_{one.role}")
    if abs(one.turn) > 1e-6:
        inside = sheet.measures.angle(math.pi - abs(one.turn))
        what = sheet(f"stretches.angle_{'left' if one.turn > 0.0 else 'right'}", what=what, angle=inside)
    kind = sheet(f"stretches.brace_{one.brace}")
    said = [what[:1].upper() + what[1:]]
    if len(labels) > 1:
        said.append(sheet("yard.wire_set", brace=kind, posts=", ".join(labels)))
    if before is not None:
        # the span is measured like the bays: along the ground where it is known
        gap = sheet.measures.length(_apart(line, before, post))
        said.append(sheet("yard.wire_apart", length=gap, post=before.label))
    wires = [
        sheet("yard.wire_diagonal", foot=foot, head=head) for foot, head in one.diagonals if post.label in (foot, head)
    ]
    if one.rails and len(labels) > 1:
        below = line.rules.rule("rail below top")
        key = "yard.wire_strut" if one.brace == "strut" else "yard.wire_rail"
        length = sheet.measures.inches(float(below.value)) if below is not None and key.endswith("rail") else ""
        said.append(sheet(key if length or key.endswith("strut") else "yard.wire_rail_bare", below=length))
    return {"set": said, "brace": wires}


def _apart(line: LinePlan, one: LinePost, two: LinePost) -> float:
    """From post to post along the ground [m]: level where it is not known."""
    level = abs(two.station_m - one.station_m)
    if line.profile is None:
        return level
    stations, heights = line.profile.stations_m, line.profile.heights_m
    low, high = sorted((one.station_m, two.station_m))
    inner = range(bisect.bisect_right(stations, low), bisect.bisect_left(stations, high))
    marks = [(low, _height(stations, heights, low)), *((stations[k], heights[k]) for k in inner)]
    marks.append((high, _height(stations, heights, high)))
    return math.fsum(math.dist(a, b) for a, b in itertools.pairwise(marks))


def _height(stations: tuple[float, ...], heights: tuple[float, ...], at: float) -> float:
    """Height of the ground at a station [m]."""
    k = min(max(bisect.bisect_right(stations, at), 1), len(stations) - 1)
    part = (at - stations[k - 1]) / (stations[k] - stations[k - 1])
    return heights[k - 1] + part * (heights[k] - heights[k - 1])


# ---------------------------------------------------------------- stretches


def _stretch(sheet: Sheet, line: LinePlan, one: Stretch) -> dict[str, Any]:
    """A stretch: where it begins and ends, how far apart its posts stand, and what the tape reads at each."""
    show = sheet.measures
    zones = [zone for zone in line.in_zones if not zone.label and zone.stretch == one.number]
    gaps = line.profile.unknown if line.profile is not None else ()
    unknown = any(gap.from_m < one.to_m and gap.to_m > one.from_m for gap in gaps)
    return {
        "about": f"stretch {line.run}/{one.number}",
        "run": f"run {line.run}",
        "title": sheet("yard.stretch", number=one.number, start=one.start, end=one.end),
        "first": one.start,
        "last": one.end,
        "reads": show.length(one.spacing_m),
        "station": running_station(sheet, one.from_m),
        "lines": [
            sheet("yard.stretch_posts", bays=one.bays, spacing=show.length(one.spacing_m),
                  along=show.length(one.along_m)),
            sheet("yard.stretch_kinds", wood=one.wood, steel=one.steel),
            *_depths(sheet, line, one),
            *([sheet("yard.stretch_unknown")] if unknown else []),
        ],
        "zones": [sheet("yard.stretch_zone", post=zone.post, zone=sheet.zone(zone.zone)) for zone in zones],
        "tape": sheet("yard.stretch_tape", start=one.start),
        "posts": _line_posts(sheet, line, one),
    }  # fmt: skip


def _depths(sheet: Sheet, line: LinePlan, one: Stretch) -> list[str]:
    """How deep its line posts go: those of wood into holes, those of steel driven."""
    show = sheet.measures
    said = []
    for dig in sheet.plan.locate.digs:
        if dig.run == line.run and dig.to is not None and dig.label == f"{one.start}-{one.end}":
            key, sort = ("driven", "steel") if dig.what == "driven post" else ("dug", "wood")
            width, depth = show.inches(dig.diameter_m), show.inches(dig.depth_m)
            said.append(sheet(f"yard.wire_{key}", sort=sheet(f"yard.wire_{sort}"), width=width, depth=depth))
    return list(dict.fromkeys(said))


def _line_posts(sheet: Sheet, line: LinePlan, one: Stretch) -> list[dict[str, str]]:
    """Line posts of a stretch, neighbours of one sort together: their numbers, steel or wood, and what the tape reads
    from the post at its start, as its bays are measured."""
    moved = {move.post: move.by_m for move in line.moves if move.stretch == one.number}
    rows = []
    sorts = [(k, _sort(one, k)) for k in range(1, one.bays)]
    for sort, group in itertools.groupby(sorts, lambda pair: pair[1]):
        numbers = [k for k, _ in group]
        for part in (numbers[k : k + _READINGS] for k in range(0, len(numbers), _READINGS)):
            reads = [sheet.measures.length(k * one.spacing_m + moved.get(k, 0.0)) for k in part]
            name = str(part[0]) if len(part) == 1 else f"{part[0]}–{part[-1]}"
            rows.append({"posts": name, "sort": sheet(f"yard.wire_{sort}"), "reads": " · ".join(reads)})
    return rows


def _sort(one: Stretch, k: int) -> str:
    """Of a line post by its number: every so many are of wood."""
    return "wood" if one.wood_every and k % one.wood_every == 0 else "steel"
