"""Runs inside boundary sides: how far in each line of post centres lies, and where the lines meet."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from palewright.errors import Problem
from palewright.layout.abreast import cut_abreast
from palewright.layout.bends import chord_turn, inward_side, offset_meet, offset_radius, with_bends
from palewright.layout.frame import SAME, Bend, Vertex, outline_of, reach
from palewright.layout.say import Say
from palewright.model import InsetSpec, Kind, Ring, RunSpec, Site
from palewright.plane import (
    XY,
    Side,
    add,
    cross,
    dot,
    left_of,
    line_meet,
    middle_ordinate,
    scale,
    sub,
    turn_between,
    unit,
)

__all__ = ["GLANCE", "all_side_offsets", "ascending", "by_sides", "side_offsets"]

GLANCE = math.radians(5.0)
"""Sides that turn by less than this run on nearly straight; our own choice."""


def all_side_offsets(
    ring: Ring | None, known: list[tuple[int, RunSpec, Kind]], problems: list[Problem]
) -> dict[int, float]:
    """Side number to the offset of its line of post centres, over all runs by sides [m].

    Runs on one side share the larger of their offsets, and so do sides that run on nearly straight: lines that meet at
    a glance would otherwise meet far from their corner.
    """
    offsets: dict[int, float] = {}
    if ring is None:
        return offsets
    owner = _owners([spec for _, spec, _ in known if spec.sides], problems)
    for _, spec, kind in known:
        if spec.sides:
            met = _met(len(ring.courses), spec, known)
            for number, offset in side_offsets(ring, spec, kind, owner, met).items():
                offsets[number] = max(offsets.get(number, offset), offset)
    total = len(ring.courses)
    pairs = [(k, k % total + 1) for k in offsets if k % total + 1 in offsets and _turn(ring, k, k % total + 1) < GLANCE]
    for _ in pairs:
        for one, two in pairs:
            offsets[one] = offsets[two] = max(offsets[one], offsets[two])
    return offsets


def _owners(runs: Sequence[RunSpec], problems: list[Problem]) -> dict[int, str]:
    """Side number to the first run on it. Two runs may divide a side between them: each begins or ends along it."""
    owner: dict[int, RunSpec] = {}
    for spec in runs:
        for number in spec.sides:
            if number in owner and not (_ends_along(owner[number], number) and _ends_along(spec, number)):
                first = owner[number].name
                problems.append(
                    Problem(
                        "side-taken-twice",
                        f"side {number} of the boundary carries run {first} and run {spec.name}",
                        spec.at,
                        found=f"side {number} twice",
                        allowed="two runs that divide it: one `ends abreast of` where the other `begins abreast of`",
                        hint=f"let run {first} end and run {spec.name} begin abreast of one point along side {number}, "
                        "or send one of them `through` points of its own",
                    )
                )
            owner.setdefault(number, spec)
    return {number: spec.name for number, spec in owner.items()}


def _ends_along(spec: RunSpec, number: int) -> bool:
    """Whether a run begins or ends between the corners of a side."""
    first = spec.begins is not None and number == spec.sides[0]
    return first or (spec.finishes is not None and number == spec.sides[-1])


def _met(total: int, spec: RunSpec, known: Sequence[tuple[int, RunSpec, Kind]]) -> list[Kind]:
    """The fences of other runs that share a post with a run by sides: they go through it, or along the next side."""
    beside = {_next(total, number, step) for number in spec.sides for step in (-1, 1)} - set(spec.sides)
    beside |= {number for number in spec.sides if _ends_along(spec, number)}
    return [
        kind
        for _, other, kind in known
        if other is not spec
        if not beside.isdisjoint(other.sides) or any(ref.name in spec.call for ref in other.through if ref.name)
    ]


def side_offsets(
    ring: Ring, spec: RunSpec, kind: Kind, fenced: Collection[int] = (), met: Sequence[Kind] = ()
) -> dict[int, float]:
    """How far inside each side a run's line of post centres must lie [m].

    ring, spec, kind
        the boundary, a run by sides and its fence; ``spec.inset`` None counts as the face on the line.
    fenced, met
        sides that carry any fence. met: fences of other runs that share a post with this one.

    Returns side number to offset [m], for the run's own sides: so that every fence face (inset of the face), every post
    (of the post) or every footing edge (of the footing) along the side keeps at least the distance asked for. The
    largest section and the largest hole that can stand there decide; of the face, no post either comes nearer. A corner
    post is square to the side walked before it, so toward the side after it the reach of its turned section counts.
    Geometry.
    """
    total = len(ring.courses)
    own = [number for number in spec.sides if 1 <= number <= total]
    backward = not ascending(ring, spec.sides)
    result: dict[int, float] = {}
    for number in own:
        axes = [number]
        for step in (-1, 1):
            other = _next(total, number, step)
            if ((step == 1) == backward) if other in own else (other in fenced):
                axes.append(other)
        result[number] = _needed(ring, spec, kind, number, axes, met)
    return result


def _needed(ring: Ring, spec: RunSpec, kind: Kind, number: int, axes: Sequence[int], met: Sequence[Kind] = ()) -> float:
    """The offset from one side for posts square to the sides ``axes`` [m]."""
    inset = spec.inset or InsetSpec("face", 0.0)
    roles = ["line", "end", "corner", *(["gate"] if spec.gates else [])]
    shared = [(one, role) for one in met for role in ("end", "corner")]
    stock = [*((kind, role) for role in roles), *shared]
    if inset.of == "footing":
        return inset.distance_m + max(one.hole(role).diameter_m for one, role in stock) / 2.0
    post = max(
        reach(outline_of(one.post(role)), axis, scale(_inward(ring, along), -1.0))
        for other in axes
        for along, axis in _headings(ring, kind, number, other, inset.distance_m)
        for one, role in stock
    )
    facing = _facing(kind)
    side = inward_side(ring, number)
    if side.sweep and offset_radius(ring, side, 0.1) > side.radius:
        # an arc that cuts into the ring comes nearer to a straight bay at its middle than at its posts
        facing += middle_ordinate(side.radius, chord_turn(kind.longest_m, side.radius))
    elif side.sweep:
        # one that bulges out comes nearer beside a post than abreast of it, and faces meet beyond the post
        widest = max(math.hypot(size.width_m, size.depth_m) for size in (kind.post(role) for role in roles))
        post += middle_ordinate(side.radius, chord_turn(widest, side.radius))
        facing /= math.cos(min(chord_turn(kind.longest_m, side.radius) / 2.0, math.radians(75.0)))
    return inset.distance_m + (post if inset.of == "post" else max(facing, post))


def _headings(ring: Ring, kind: Kind, number: int, other: int, inset_m: float) -> list[tuple[XY, float]]:
    """Directions along side ``number`` where posts square to side ``other`` stand, and their axes [rad].

    A post beside an arc is square to a bay, half a bay's turn off the tangent; at a corner the bay begins as far off
    the end of the arc as the fence stands off the other side.
    """
    side, beside = inward_side(ring, number), inward_side(ring, other)
    total = len(ring.courses)
    if other == number:
        along, axis = _heading(side, False), _heading(side, False)
    elif other == _next(total, number, 1):
        along, axis = _heading(side, True), _heading(beside, False)
    else:
        along, axis = _heading(side, False), _heading(beside, True)
    angle = math.atan2(axis[1], axis[0])
    if not beside.sweep:
        return [(along, angle)]
    half = chord_turn(kind.longest_m, beside.radius) / 2.0
    if other != number:
        half = min(half + 2.0 * (inset_m + _facing(kind)) / beside.radius, math.pi / 4.0)
    return [(along, angle - half), (along, angle + half)]


def _heading(side: Side, at_end: bool) -> XY:
    """Direction of travel at the beginning or the end of a side."""
    u, v = unit(sub(side.b, side.a)), side.sweep / 2.0 * (1.0 if at_end else -1.0)
    return (u[0] * math.cos(v) - u[1] * math.sin(v), u[0] * math.sin(v) + u[1] * math.cos(v))


def ascending(ring: Ring, sides: Sequence[int]) -> bool:
    """Whether a run walks its sides in the order of their numbers; a single side is walked so."""
    return len(sides) < 2 or sides[1] == _next(len(ring.courses), sides[0], 1)


def _next(total: int, number: int, step: int) -> int:
    return (number - 1 + step) % total + 1


def _facing(kind: Kind) -> float:
    """From post centres to the face toward the boundary line [m]; the larger one when the good side is not said."""
    if kind.good_side == "neighbour":
        return kind.front_m
    if kind.good_side == "yard":
        return kind.back_m
    return max(kind.front_m, kind.back_m)


def _inward(ring: Ring, d: XY) -> XY:
    left = left_of(d)
    return scale(left, -1.0) if ring.clockwise else left


def by_sides(
    site: Site,
    spec: RunSpec,
    kind: Kind,
    offsets: Mapping[int, float],
    say: Say,
    problems: list[Problem],
) -> tuple[list[Vertex], bool, tuple[int, ...], tuple[Bend, ...]]:
    """The path of a run by sides: vertices in walking order, whether it is closed, sides as walked, arcs as chords.

    ``offsets``: from :func:`all_side_offsets`. What is wrong goes to ``problems``, and there are no vertices then.
    """
    ring = site.ring
    if ring is None:
        problems.append(
            Problem(
                "no-boundary",
                f"run {spec.name} follows boundary sides, and the job has no boundary",
                spec.at,
                hint="describe the boundary, or give the run points to go through",
            )
        )
        return [], False, (), ()
    chain = _chain(ring, spec, problems)
    if not chain:
        return [], False, (), ()
    closed = len(chain) == len(ring.courses)
    vertices = _corners_inside(ring, spec, kind, offsets, chain, say, problems)
    if not vertices:
        return [], False, (), ()
    onward = ascending(ring, spec.sides)
    if not onward:
        chain = chain[::-1]
        vertices.reverse()
        if closed:  # a loop walked back begins where its first side ends: at the same corner
            vertices = [vertices[-1], *vertices[:-1]]
    lain = (inward_side(ring, chain[0]), inward_side(ring, chain[-1]))
    if not cut_abreast(site, spec, vertices, closed, lain, say, problems):
        return [], False, (), ()
    walked, bends = with_bends(ring, _named(spec, vertices, problems), chain, closed, onward, kind.longest_m)
    return walked, closed, tuple(chain), bends


def _corners_inside(
    ring: Ring,
    spec: RunSpec,
    kind: Kind,
    offsets: Mapping[int, float],
    chain: Sequence[int],
    say: Say,
    problems: list[Problem],
) -> list[Vertex]:
    """Where the inset lines of a chain of sides meet and end; none, and a problem, where nothing is left of a side."""
    total = len(ring.courses)
    closed = len(chain) == total

    def offset(number: int, beside: int) -> float:
        return offsets[number] if number in offsets else _needed(ring, spec, kind, number, [beside])

    vertices: list[Vertex] = []
    count = len(chain) if closed else len(chain) + 1
    for k in range(count):
        after = chain[k] if k < len(chain) else chain[-1] % total + 1
        before = (after - 2) % total + 1
        vertices.append(_inset_vertex(ring, (before, after), (offset(before, after), offset(after, before)), offsets))
    collapsed = next((n for k, n in enumerate(chain) if _collapses(ring, n, offset(n, n), vertices, k)), None)
    if collapsed is not None:
        problems.append(
            Problem(
                "inset-collapses",
                f"run {spec.name} has no length left inside side {collapsed} of the boundary",
                spec.inset.at if spec.inset is not None and spec.inset.at.line else spec.at,
                found=f"post centres {say.m(offset(collapsed, collapsed))} from the line, on a side of "
                f"{say.m(ring.courses[collapsed - 1].length_m)}",
                hint=f"a smaller inset, or points of its own past side {collapsed}",
            )
        )
        return []
    return vertices


def _collapses(ring: Ring, number: int, offset_m: float, vertices: Sequence[Vertex], k: int) -> bool:
    """Whether nothing is left of a side moved into the ring; it goes from vertex ``k`` to the next."""
    side, p, q = inward_side(ring, number), vertices[k].xy, vertices[(k + 1) % len(vertices)].xy
    gone = side.sweep != 0.0 and offset_radius(ring, side, offset_m) <= SAME
    return gone or dot(sub(q, p), sub(side.b, side.a)) <= SAME


def _named(spec: RunSpec, vertices: list[Vertex], problems: list[Problem]) -> list[Vertex]:
    """The vertices under the names that the run calls out; one that is left open keeps the name it has."""
    if not spec.call:
        return vertices
    if len(spec.call) != len(vertices):
        problems.append(
            Problem(
                "call-count",
                f"run {spec.name} calls out another number of names than it has corners and ends",
                spec.at,
                found=f"{len(spec.call)} names",
                allowed=f"{len(vertices)}",
                hint="one name for each corner and each end, in walking order; _ for one that needs no name",
            )
        )
        return []
    pairs = zip(vertices, spec.call, strict=True)
    return [replace(vertex, name=name, ref=vertex.xy) if name else vertex for vertex, name in pairs]


def _chain(ring: Ring, spec: RunSpec, problems: list[Problem]) -> list[int]:
    """The sides in boundary order; empty (with a problem) when they do not follow one another."""
    total = len(ring.courses)
    unknown = [number for number in spec.sides if not 1 <= number <= total]
    if unknown:
        problems.append(
            Problem(
                "unknown-side",
                f"run {spec.name} follows a side that the boundary does not have",
                spec.at,
                found=", ".join(str(number) for number in unknown),
                allowed=f"1 to {total}",
            )
        )
        return []
    sides = list(spec.sides)
    for order in (sides, sides[::-1]):
        if len(set(order)) == len(order) and all(b == a % total + 1 for a, b in itertools.pairwise(order)):
            return order
    problems.append(
        Problem(
            "sides-not-consecutive",
            f"the sides of run {spec.name} do not follow one another round the boundary",
            spec.at,
            found=", ".join(str(number) for number in spec.sides),
            allowed=f"consecutive numbers, with 1 after {total}",
            hint="make a run of its own for each unbroken chain of sides",
        )
    )
    return []


def _inset_vertex(ring: Ring, sides: tuple[int, int], apart: tuple[float, float], fenced: Collection[int]) -> Vertex:
    """Where the inset lines of two neighbouring sides meet, ``apart`` from the sides [m].

    Sides in one line: abreast of the corner. At a glance, a side without fence is kept off no less than its neighbour.
    """
    before, after = sides
    d1, d2 = apart
    one, two = inward_side(ring, before), inward_side(ring, after)
    u, v = _heading(one, True), _heading(two, False)
    if abs(turn_between(u, v)) < GLANCE:
        d1 = d1 if before in fenced else max(d1, d2)
        d2 = d2 if after in fenced else max(d1, d2)
    corner = ring.corners[after - 1]
    p = add(corner.xy, scale(_inward(ring, u), d1))
    q = add(corner.xy, scale(_inward(ring, v), d2))
    if one.sweep or two.sweep:
        xy = offset_meet(ring, (one, d1), (two, d2), (p, q))
        return Vertex(xy, corner.name, corner.xy)
    hit = line_meet(p, u, q, v)
    if hit is None or abs(cross(u, v)) < 1e-9:
        xy = add(corner.xy, scale(_inward(ring, v), max(d1, d2)))
    else:
        xy = add(q, scale(v, hit[1]))
    return Vertex(xy, corner.name, corner.xy)


def _turn(ring: Ring, before: int, after: int) -> float:
    """How far the boundary turns from one side to another [rad, 0 to pi]."""
    return abs(turn_between(_heading(inward_side(ring, before), True), _heading(inward_side(ring, after), False)))
