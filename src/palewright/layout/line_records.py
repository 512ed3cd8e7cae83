"""A line that was laid out as arrays, put into the records that papers and the list to buy read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from palewright.layout.bends import chord_turn
from palewright.layout.line import NAMES, LineArrays, Role, lay_line
from palewright.layout.line_ground import Way
from palewright.layout.line_posts import line_posts
from palewright.model import (
    Assembly,
    LineCurve,
    LineGate,
    LineLeg,
    LinePlan,
    LinePost,
    Profile,
    Reason,
    Remark,
    Running,
    Stretch,
    WireRules,
)
from palewright.plane import middle_ordinate
from palewright.tables.wire import wire_documents

__all__ = ["Opening", "line_counts", "line_plan", "relaid"]

_LETTERS = {Role.END: "E", Role.CORNER: "C", Role.ANCHOR: "A", Role.GATE: "G", Role.PULL: "P"}
_JOINED_M = 0.05
_FIXED = {Role.STIFF: "S", Role.LOW: "D", Role.HIGH: "R"}


class Opening(NamedTuple):
    """A gate in a line: stations of its post centres and clear opening [m]; ``leaves`` 1 or 2, ``swings`` as typed.

    what
        "floodgate", "cattle guard", or "" for a gate.
    """

    name: str
    opening_m: float
    from_m: float
    to_m: float
    leaves: int = 1
    swings: str = ""
    what: str = ""


def line_counts(line: LineArrays, rules: WireRules, roles: NDArray[Any] | None = None) -> dict[str, int]:
    """How many posts of each sort, rails, brace wires, struts, stays and pieces of wire a line has.

    roles
        of all its posts, where they are known.
    """
    roles = line_posts(line, rules).role if roles is None else roles
    count = dict(zip(NAMES, np.bincount(roles, minlength=len(NAMES)).tolist(), strict=True))
    pull = line.role == Role.PULL
    direct = int((line.short == 2).sum())
    on_sides = int((line.spans_before[~pull]).sum() + (line.spans_after[~pull]).sum())
    rails = on_sides + int(line.spans_after[pull].sum()) - direct
    count["rail"] = rails
    count["diagonal"] = on_sides + 2 * int(line.spans_after[pull].sum())
    wired = int((~line.gap[:-1]).sum())
    count["strut"] = 2 * wired if rules.word("brace") == "strut" else 0
    count["stay"] = int(rules.number("stays")) * int(line.bays.sum())
    count["bay"] = int(line.bays.sum())
    count["pull piece"] = wired
    return {name: n for name, n in count.items() if n}


def relaid(plan: LinePlan) -> LineArrays:
    """The arrays of a line again, from its record: what :func:`palewright.layout.line_posts.post_table` asks for."""
    path = np.array(plan.path)
    way = Way.of(path)
    if plan.profile is not None:
        way = Way.of(path, np.array(plan.profile.stations_m), np.array(plan.profile.heights_m))
    return lay_line(way, plan.closed, [(gate.from_m, gate.to_m) for gate in plan.gates], plan.rules)


class _Labels:
    """Labels of assemblies and fixed posts, numbered by letter in walking order."""

    def __init__(self, line: LineArrays, loop: bool) -> None:
        seen: dict[str, int] = {}
        self.assembly = [self._next(seen, _LETTERS[Role(role)]) for role in line.role.tolist()]
        if loop:
            self.assembly[-1] = self.assembly[0]
        self.fixed = [self._next(seen, _FIXED[Role(role)]) for role in line.fixed_role.tolist()]
        self.braces = 0

    @staticmethod
    def _next(seen: dict[str, int], letter: str) -> str:
        seen[letter] = seen.get(letter, 0) + 1
        return f"{letter}{seen[letter]}"

    def brace(self) -> str:
        self.braces += 1
        return f"B{self.braces}"


class _Side(NamedTuple):
    """Brace posts on one side of an assembly, counted away from it, and the label of the post across."""

    posts: list[LinePost]
    across: str


def line_plan(
    run: str,
    line: LineArrays,
    rules: WireRules,
    openings: Sequence[Opening],
    closed: bool,
    profile: Profile | None,
    every_m: float = 30.48,
    mile_m: float = 1609.344,
) -> LinePlan:
    """The records of a line.

    run
        its name. line: as :func:`palewright.layout.line.lay_line` laid it out. openings: its gates. every_m: from
        running station to running station [m]. mile_m: from mileage post to mileage post [m].
    """
    labels = _Labels(line, closed)
    assemblies = _assemblies(line, rules, labels, closed)
    counts = line_counts(line, rules)
    length = float(line.way.at[-1])
    along = float(line.way.along[-1])
    gaps = [float(line.along[k + 1] - line.along[k]) for k in np.flatnonzero(line.gap[:-1])]
    gates = [
        LineGate(o.name, o.opening_m, o.from_m, o.to_m, _gate_posts(assemblies, o), o.leaves, o.swings, o.what)
        for o in openings
    ]  # fmt: skip
    return LinePlan(
        run=run,
        rules=rules,
        path=tuple((x, y) for x, y in line.way.xy.tolist()),
        closed=closed,
        length_m=length,
        along_m=along,
        wire_m=along - math.fsum(gaps),
        assemblies=tuple(assemblies),
        stretches=tuple(_stretch_records(line, rules, assemblies, labels, every_m)),
        legs=_legs(line, rules.number("sight every"), openings),
        gates=tuple(gates),
        pulls_m=tuple(line.pulls.tolist()),
        counts=tuple(counts.items()),
        profile=profile,
        curves=_curves(line),
        miles_m=tuple(k * mile_m for k in range(1, math.floor(length / mile_m) + 1)),
        fixed=tuple(
            _post(line, label, NAMES[role], along)
            for label, role, along in zip(labels.fixed, line.fixed_role.tolist(), line.fixed.tolist(), strict=True)
        ),
        remarks=tuple(_remarks(run, line, rules, profile, counts.get("steel", 0))),
        reasons=tuple(_reasons(run, line, rules)),
    )


def _assemblies(line: LineArrays, rules: WireRules, labels: _Labels, loop: bool) -> list[Assembly]:
    n = len(line.along)
    before: list[_Side] = [_Side([], "")] * n
    after: list[_Side] = [_Side([], "")] * n
    for k in range(n):
        if line.role[k] == Role.PULL:
            continue
        if k > 0:
            before[k] = _side(line, labels, k, -1)
        if k < n - 1:
            after[k] = _side(line, labels, k, 1)
    for k in range(1, n):
        if line.short[k - 1] == 1:
            before[k] = _Side(after[k - 1].posts, "")
        elif line.short[k - 1] == 2:
            before[k], after[k - 1] = _Side([], labels.assembly[k - 1]), _Side([], labels.assembly[k])
    if loop:
        before[0] = before[-1]
    return [_assembly(line, rules, labels, k, before[k], after[k]) for k in range(n - 1 if loop else n)]


def _side(line: LineArrays, labels: _Labels, k: int, sign: int) -> _Side:
    spans = int((line.spans_after if sign > 0 else line.spans_before)[k])
    reach = float((line.reach_after if sign > 0 else line.reach_before)[k])
    at = [float(line.along[k]) + sign * reach * j / spans for j in range(1, spans + 1)]
    if (sign < 0 and line.short[k - 1] >= 1) or (sign > 0 and line.short[k] == 2):
        return _Side([], "")
    if sign < 0:
        posts = [_post(line, labels.brace(), "brace", d) for d in reversed(at)]
        return _Side(posts[::-1], "")
    return _Side([_post(line, labels.brace(), "brace", d) for d in at], "")


def _post(line: LineArrays, label: str, role: str, along: float) -> LinePost:
    station = float(line.way.level_of(np.array([along]))[0])
    x, y = line.way.xy_of(np.array([station]))[0].tolist()
    return LinePost(label, role, station, (x, y))


def _assembly(line: LineArrays, rules: WireRules, labels: _Labels, k: int, before: _Side, after: _Side) -> Assembly:
    role, label = NAMES[int(line.role[k])], labels.assembly[k]
    if line.role[k] == Role.PULL:
        return _pull(line, rules, label, k)
    pulled = _post(line, label, role, float(line.along[k]))
    diagonals, rails = [], 0
    for side in (before, after):
        chain = [label, *(post.label for post in side.posts)]
        if side.across:
            chain.append(side.across)
        diagonals += list(itertools.pairwise(chain))
        rails += len(chain) - 1
    if before.across:
        rails -= 1
    shared = k > 0 and line.short[k - 1] == 1
    posts = (*(() if shared else reversed(before.posts)), pulled, *after.posts)
    brace = _brace_word(int(max(line.spans_before[k], line.spans_after[k])), rules)
    return Assembly(label, role, pulled.station_m, float(line.turn[k]), brace, posts, rails, tuple(diagonals))


def _brace_word(spans: int, rules: WireRules) -> str:
    if rules.word("brace") in ("none", "strut"):
        return rules.word("brace")
    return ("none", "single", "double")[spans]


def _pull(line: LineArrays, rules: WireRules, label: str, k: int) -> Assembly:
    """A pull assembly: the wire of each side is tied to its far post, so that both brace wires work."""
    spans, at = int(line.spans_after[k]), float(line.along[k])
    if not spans:
        post = _post(line, label, "pull", at)
        return Assembly(label, "pull", post.station_m, 0.0, _brace_word(0, rules), (post,), 0, ())
    reach = float(line.reach_after[k])
    names = [f"{label}{'abc'[j]}" for j in range(spans + 1)]
    posts = tuple(
        _post(line, name, "brace" if 0 < j < spans else "pull", at - reach + 2.0 * reach * j / spans)
        for j, name in enumerate(names)
    )
    pairs = list(itertools.pairwise(names))
    diagonals = (*pairs, *((b, a) for a, b in reversed(pairs)))
    station = float(line.way.level_of(np.array([at]))[0])
    return Assembly(label, "pull", station, 0.0, _brace_word(spans, rules), posts, spans, diagonals)


def _stretch_records(
    line: LineArrays, rules: WireRules, assemblies: list[Assembly], labels: _Labels, every: float
) -> list[Stretch]:
    starts, ends = line.way.level_of(line.start).tolist(), line.way.level_of(line.end).tolist()
    posts = sorted((post.station_m, post.label) for assembly in assemblies for post in assembly.posts)
    at = np.array([station for station, _ in posts])
    wood_every, stays = int(rules.number("wood every")), int(rules.number("stays"))
    running = _running(line, every)

    def name(number: int, station: float) -> str:
        if number < 0:
            return labels.fixed[-1 - number]
        near = int(np.abs(at - station).argmin())
        return posts[near][1] if abs(at[near] - station) < _JOINED_M else assemblies[0].label

    made = []
    for k, bays in enumerate(line.bays.tolist()):
        wood = (bays - 1) // wood_every if wood_every else 0
        along = float(line.end[k] - line.start[k])
        made.append(
            Stretch(k + 1, name(int(line.first[k]), starts[k]), name(int(line.last[k]), ends[k]), starts[k], ends[k],
                    along, bays, along / bays, wood, bays - 1 - wood, stays * bays, wood_every, running[k])
        )  # fmt: skip
    return made


def _running(line: LineArrays, every: float) -> list[tuple[Running, ...]]:
    """The round stations of a line, stretch by stretch."""
    found: list[list[Running]] = [[] for _ in line.bays]
    station = np.arange(0.0, float(line.way.at[-1]), every)
    along = line.way.along_of(station)
    of = np.searchsorted(line.start, along + 1e-6, side="right") - 1
    inside = (of >= 0) & (along < line.end[np.maximum(of, 0)] - 1e-6)
    of, along, station = of[inside], along[inside], station[inside]
    past = np.maximum(along - line.start[of], 0.0)
    post = np.floor(past / line.spacing[of] + 1e-6)
    rest = np.maximum(past - post * line.spacing[of], 0.0)
    for k, at, number, over in zip(of.tolist(), station.tolist(), post.tolist(), rest.tolist(), strict=True):
        found[k].append(Running(at, int(number), over))
    return [tuple(row) for row in found]


def _curves(line: LineArrays) -> tuple[LineCurve, ...]:
    at = line.way.at.tolist()
    return tuple(
        LineCurve(at[one.first], at[one.last], one.radius, one.turn, one.bay,
                  middle_ordinate(one.radius, chord_turn(one.bay, one.radius)))
        for one in line.curves
    )  # fmt: skip


def _legs(line: LineArrays, every: float, openings: Sequence[Opening]) -> tuple[LineLeg, ...]:
    """Its straight pieces; those within curves are none.

    No point is sighted in an opening: no lath stands in a stream or a road, and the braced posts beside it are in line.
    """
    made = []
    curved = {k for one in line.curves for k in range(one.first, one.last)}
    for k, (a, b) in enumerate(zip(line.way.at[:-1].tolist(), line.way.at[1:].tolist(), strict=True)):
        if k in curved:
            continue
        parts = max(1, math.ceil((b - a) / every - 1e-9)) if every else 1
        sights = (a + (b - a) * j / parts for j in range(1, parts))
        made.append(LineLeg(a, b, tuple(s for s in sights if not any(o.from_m <= s <= o.to_m for o in openings))))
    return tuple(made)


def _gate_posts(assemblies: list[Assembly], opening: Opening) -> tuple[str, str]:
    def near(station: float) -> str:
        return min(
            (post for a in assemblies for post in a.posts if post.role != "brace"),
            key=lambda post: abs(post.station_m - station),
        ).label

    return near(opening.from_m), near(opening.to_m)


def _remarks(run: str, line: LineArrays, rules: WireRules, profile: Profile | None, driven: int) -> list[Remark]:
    about = f"run {run}"
    said = [Remark("line-driven-posts", "caution", about, (("run", run),))] if driven else []
    for name in rules.documents:
        kinds = sorted({kind for _, kind in wire_documents()[name].rules})
        if rules.kind not in kinds:
            about_it = (("run", run), ("document", name), ("kinds", ", ".join(kinds)), ("kind", rules.kind))
            said.append(Remark("line-other-kind", "caution", about, about_it))
    if not rules.wire_side:
        said.append(Remark("line-wire-side", "ask", about, (("run", run),)))
    if profile is None:
        said.append(Remark("line-level", "assumption", about, (("run", run),)))
    for key in rules.silent:
        rule = rules.rule(key)
        if rule is not None and rule.source != "as typed":
            slug = "line-not-said" if rules.documents else "line-no-rules"
            said.append(Remark(slug, "assumption", about, (("run", run), ("key", key), ("source", rule.source))))
    for one in _curves(line):
        args = (("run", run), ("radius_m", one.radius_m), ("bay_m", one.bay_m), ("from_m", one.from_m),
                ("to_m", one.to_m), ("degrees", round(math.degrees(abs(one.turn)))))  # fmt: skip
        said.append(Remark(f"line-curve-{one.outside}", "caution", about, args))
        said.append(_curve_said(run, one, rules))
    short = int((line.short > 0).sum())
    if short:
        said.append(Remark("line-short-piece", "caution", about, (("run", run), ("count", short))))
    return said


def _curve_said(run: str, one: LineCurve, rules: WireRules) -> Remark:
    """Whether wire may be pulled round a curve, and how far: by whom, or asked."""
    rule = rules.rule("curve turn")
    args = (("run", run), ("from_m", one.from_m), ("to_m", one.to_m), ("degrees", round(math.degrees(abs(one.turn)))))
    if rule is None or isinstance(rule.value, str):
        return Remark("line-curve-ask", "ask", f"run {run}", args)
    more = (*args, ("source", rule.source))
    if rule.value <= 0.0:
        return Remark("line-curve-against", "caution", f"run {run}", more)
    most = (*more, ("most", round(math.degrees(rule.value), 1)))
    return Remark("line-curve-held", "note", f"run {run}", most)


def _reasons(run: str, line: LineArrays, rules: WireRules) -> list[Reason]:
    about = f"run {run}"
    made = [
        Reason(about, rule.key, rule.value, rule.unit or "count", rule.words or "as the rule has it", (), rule.source)
        for rule in rules.rules
        if not isinstance(rule.value, str) and not rule.row
    ]
    longest = rules.rule("longest bay")
    if longest is not None:
        counted = (("longest_m", rules.number("longest bay")), ("stretches", len(line.bays)))
        made.append(
            Reason(about, "bays", int(line.bays.sum()), "count", "each stretch / longest bay, rounded up", counted,
                   longest.source)
        )  # fmt: skip
    return made
