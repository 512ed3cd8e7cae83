"""From a run as written to its path of post centres: named points, boundary sides with an inset, wall ends."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from palewright.errors import Problem, Where
from palewright.layout.frame import SAME, Outline, Trace, Vertex, reach
from palewright.layout.say import Say
from palewright.model import GateSpec, InsetSpec, Job, Kind, PointRef, PostSize, Ring, RunSpec, Site, SitePoint
from palewright.plane import XY, add, distance, dot, inside, left_of, line_meet, scale, sub, unit

__all__ = ["outline_of", "side_offsets", "trace_runs"]


def outline_of(size: PostSize) -> Outline:
    """The outline of a post of this size."""
    return Outline(size.width_m / 2.0, size.depth_m / 2.0, size.round)


def trace_runs(job: Job, site: Site, kinds: Mapping[str, Kind], say: Say, problems: list[Problem]) -> list[Trace]:
    """Every run traced to its path of post centres; what is wrong goes to ``problems`` and that run is left out."""
    points = {point.name: point for point in site.points}
    known: list[tuple[int, RunSpec, Kind]] = []
    for index, spec in enumerate(job.runs):
        kind = kinds.get(spec.fence)
        if kind is None:
            problems.append(
                Problem(
                    "unknown-fence",
                    f"run {spec.name} names a fence that the job does not have",
                    spec.at,
                    found=spec.fence,
                    allowed=", ".join(sorted(kinds)) or "none is described",
                )
            )
        else:
            known.append((index, spec, kind))
    offsets = _all_side_offsets(site.ring, known, problems)
    traces: list[Trace] = []
    for index, spec, kind in known:
        if spec.sides:
            vertices, closed, sides = _by_sides(site.ring, spec, kind, offsets, say, problems)
        else:
            vertices, closed = _through(spec, points, site, problems)
            sides = ()
        if len(vertices) < 2:
            continue
        if not _legs_sound(spec, vertices, closed, problems):
            continue
        vertices = _at_walls(spec, kind, vertices, closed, say, problems)
        traces.append(Trace(index, spec, kind, vertices, closed, _yard(site.ring, spec, vertices), sides))
    return traces


# ---------------------------------------------------------------- through points


def _through(
    spec: RunSpec, points: Mapping[str, SitePoint], site: Site, problems: list[Problem]
) -> tuple[list[Vertex], bool]:
    vertices: list[Vertex] = []
    sound = True
    for ref in spec.through:
        vertex = _vertex(ref, site)
        if vertex is None:
            sound = False
            problems.append(
                Problem(
                    "unknown-point",
                    f"run {spec.name} goes through a point that the job does not have",
                    ref.at if ref.at.line or ref.at.path else spec.at,
                    found=ref.name or "no coordinates",
                    allowed=", ".join(points) or "no point is described",
                )
            )
        else:
            vertices.append(vertex)
    if not sound:
        return [], False
    closed = spec.closed
    if len(vertices) > 2 and distance(vertices[0].xy, vertices[-1].xy) <= SAME:
        closed = True
        vertices.pop()
    if len(vertices) < 2 or (closed and len(vertices) < 3):
        problems.append(
            Problem(
                "run-too-short",
                f"run {spec.name} needs at least {'three' if closed else 'two'} different points",
                spec.at,
                found=str(len(vertices)),
            )
        )
        return [], False
    return vertices, closed


def _vertex(ref: PointRef, site: Site) -> Vertex | None:
    for point in site.points:
        if (ref.name and point.name == ref.name) or (
            not ref.name and ref.xy is not None and distance(point.xy, ref.xy) <= SAME
        ):
            return Vertex(point.xy, point.name, point.xy, point.assumed_angle)
    if ref.name and site.ring is not None:
        for corner in site.ring.corners:
            if corner.name == ref.name:
                return Vertex(corner.xy, corner.name, corner.xy)
    if ref.xy is not None:
        return Vertex(ref.xy, ref.name, ref.xy)
    return None


# ---------------------------------------------------------------- inside boundary sides


def _all_side_offsets(
    ring: Ring | None, known: list[tuple[int, RunSpec, Kind]], problems: list[Problem]
) -> dict[int, float]:
    """Side number to the offset of its line of post centres, over all runs by sides [m]."""
    offsets: dict[int, float] = {}
    owner: dict[int, str] = {}
    for _, spec, kind in known:
        if ring is None or not spec.sides:
            continue
        for number in spec.sides:
            if number in owner:
                problems.append(
                    Problem(
                        "side-taken-twice",
                        f"side {number} of the boundary carries run {owner[number]} and run {spec.name}",
                        spec.at,
                        found=f"side {number} twice",
                        hint="let one run end where the other begins, or give one of them points of its own",
                    )
                )
            owner.setdefault(number, spec.name)
        for number, offset in side_offsets(ring, spec, kind).items():
            offsets.setdefault(number, offset)
    return offsets


def side_offsets(ring: Ring, spec: RunSpec, kind: Kind) -> dict[int, float]:
    """How far inside each of its sides a run's line of post centres must lie [m].

    ring, spec, kind
        the boundary, a run by sides and its fence; ``spec.inset`` None counts as the face on the line.

    Returns side number to offset [m]: so that every fence face (inset of the face), every post (of the post)
    or every footing edge (of the footing) along the side keeps at least the distance asked for. The largest
    section and the largest hole that can stand along the side decide. A corner post is square to the side
    before it, so toward the side after it the reach of its turned section counts. Geometry.
    """
    inset = spec.inset or InsetSpec("face", 0.0)
    total = len(ring.courses)
    chosen = [number for number in spec.sides if 1 <= number <= total]
    result: dict[int, float] = {}
    for number in chosen:
        a, b = _side(ring, number)
        d = unit(sub(b, a))
        out = scale(_inward(ring, d), -1.0)
        axis = math.atan2(d[1], d[0])
        pa, pb = _side(ring, (number - 2) % total + 1)
        before = math.atan2(pb[1] - pa[1], pb[0] - pa[0])
        roles = ["line", "end", "corner", *(["gate"] if spec.gates else [])]
        reaches = [reach(outline_of(kind.post(role)), axis, out) for role in roles]
        reaches += [reach(outline_of(kind.post(role)), before, out) for role in roles[1:]]
        post = max(reaches)
        if inset.of == "footing":
            extra = max(kind.hole(role).diameter_m for role in roles) / 2.0
        elif inset.of == "post":
            extra = post
        else:
            extra = max(_facing(kind), post)
        result[number] = inset.distance_m + extra
    return result


def _facing(kind: Kind) -> float:
    """From post centres to the face toward the boundary line [m]; the larger one when the good side is not said."""
    if kind.good_side == "neighbour":
        return kind.front_m
    if kind.good_side == "yard":
        return kind.back_m
    return max(kind.front_m, kind.back_m)


def _side(ring: Ring, number: int) -> tuple[XY, XY]:
    corners = ring.corners
    return corners[number - 1].xy, corners[number % len(corners)].xy


def _inward(ring: Ring, d: XY) -> XY:
    left = left_of(d)
    return scale(left, -1.0) if ring.clockwise else left


def _by_sides(
    ring: Ring | None,
    spec: RunSpec,
    kind: Kind,
    offsets: Mapping[int, float],
    say: Say,
    problems: list[Problem],
) -> tuple[list[Vertex], bool, tuple[int, ...]]:
    if ring is None:
        problems.append(
            Problem(
                "no-boundary",
                f"run {spec.name} follows boundary sides, and the job has no boundary",
                spec.at,
                hint="describe the boundary, or give the run points to go through",
            )
        )
        return [], False, ()
    chain = _chain(ring, spec, problems)
    if not chain:
        return [], False, ()
    total = len(ring.courses)
    closed = len(chain) == total
    own = side_offsets(ring, spec, kind)
    fallback = max(own.values())

    def offset(number: int) -> float:
        return own[number] if number in own else offsets.get(number, fallback)

    vertices: list[Vertex] = []
    count = len(chain) if closed else len(chain) + 1
    for k in range(count):
        after = chain[k] if k < len(chain) else chain[-1] % total + 1
        before = (after - 2) % total + 1
        vertices.append(_inset_vertex(ring, before, after, offset(before), offset(after)))
    path = [vertex.xy for vertex in vertices]
    for k, number in enumerate(chain):
        a, b = _side(ring, number)
        p, q = path[k], path[(k + 1) % len(path)]
        if dot(sub(q, p), sub(b, a)) <= SAME:
            problems.append(
                Problem(
                    "inset-collapses",
                    f"run {spec.name} has no length left inside side {number} of the boundary",
                    spec.inset.at if spec.inset is not None and spec.inset.at.line else spec.at,
                    found=f"post centres {say.m(offset(number))} from the line, on a side of {say.m(distance(a, b))}",
                    hint=f"a smaller inset, or points of its own past side {number}",
                )
            )
            return [], False, ()
    if spec.sides[0] != chain[0] and not closed:
        vertices.reverse()
        chain = chain[::-1]
    return vertices, closed, tuple(chain)


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
    if len(set(sides)) == total:
        return sorted(sides)
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


def _inset_vertex(ring: Ring, before: int, after: int, d_before: float, d_after: float) -> Vertex:
    """Where the inset lines of two neighbouring sides meet; on one line: abreast of the corner."""
    a0, a1 = _side(ring, before)
    b0, b1 = _side(ring, after)
    u, v = unit(sub(a1, a0)), unit(sub(b1, b0))
    p = add(a0, scale(_inward(ring, u), d_before))
    q = add(b0, scale(_inward(ring, v), d_after))
    hit = line_meet(p, u, q, v)
    corner = ring.corners[after - 1]
    if hit is None or abs(u[0] * v[1] - u[1] * v[0]) < 1e-9:
        xy = add(b0, scale(_inward(ring, v), max(d_before, d_after)))
    else:
        xy = add(q, scale(v, hit[1]))
    return Vertex(xy, corner.name, corner.xy)


# ---------------------------------------------------------------- soundness, walls, yard


def _legs_sound(spec: RunSpec, vertices: list[Vertex], closed: bool, problems: list[Problem]) -> bool:
    n = len(vertices)
    sound = True
    ends = range(n if closed else n - 1)
    for k in ends:
        a, b = vertices[k], vertices[(k + 1) % n]
        if distance(a.xy, b.xy) <= SAME:
            sound = False
            problems.append(
                Problem(
                    "zero-length-leg",
                    f"run {spec.name} names the same place twice in a row",
                    _ref_at(spec, k + 1),
                    found=" and ".join(v.name or f"({v.xy[0]:.3f}, {v.xy[1]:.3f})" for v in (a, b)),
                )
            )
    if not sound:
        return False
    for k in range(n if closed else n - 2):
        before, at, after = (vertices[(k + j) % n].xy for j in range(3))
        u, v = unit(sub(at, before)), unit(sub(after, at))
        if dot(u, v) < 0.0 and abs(u[0] * v[1] - u[1] * v[0]) < 1e-9:
            sound = False
            problems.append(
                Problem(
                    "run-turns-back",
                    f"run {spec.name} turns straight back on itself at {vertices[(k + 1) % n].name or 'a point'}",
                    _ref_at(spec, k + 1),
                    hint="check the order of its points",
                )
            )
    return sound


def _ref_at(spec: RunSpec, k: int) -> Where:
    if spec.through:
        at = spec.through[k % len(spec.through)].at
        if at.line or at.path:
            return at
    return spec.at


def _at_walls(
    spec: RunSpec, kind: Kind, vertices: list[Vertex], closed: bool, say: Say, problems: list[Problem]
) -> list[Vertex]:
    """Ends at walls: a post against the wall or clear of it moves along the run; a bracket stays on the face."""
    result = list(vertices)
    for end in spec.ends:
        if end.how == "post":
            continue
        places = [] if closed else [k for k in (0, len(vertices) - 1) if vertices[k].name == end.point]
        if not places:
            problems.append(
                Problem(
                    "end-not-an-end",
                    f"run {spec.name} says how it ends at a point where it does not end",
                    end.at,
                    found=end.point,
                    allowed="none: the run is closed" if closed else f"{vertices[0].name} or {vertices[-1].name}",
                )
            )
            continue
        k = places[0]
        toward = vertices[1].xy if k == 0 else vertices[-2].xy
        wall = vertices[k]
        d = unit(sub(toward, wall.xy))
        wall_m = 0.0 if end.how == "bracket" else _post_width(spec.gates, kind, wall.name) / 2.0
        if end.how == "post clear":
            wall_m += end.clear_m
        if wall_m >= distance(wall.xy, toward) - SAME:
            problems.append(
                Problem(
                    "zero-length-leg",
                    f"the post clear of the wall at {end.point} stands beyond the next point of run {spec.name}",
                    end.at,
                    found=say.m(wall_m),
                    allowed=f"less than {say.m(distance(wall.xy, toward))}",
                )
            )
            continue
        result[k] = Vertex(add(wall.xy, scale(d, wall_m)), wall.name, wall.ref, wall.assumed, end.how, wall_m)
    return result


def _post_width(gates: tuple[GateSpec, ...], kind: Kind, point: str) -> float:
    """Width along the run of the post at a wall: a gate post when a gate begins right at it [m]."""
    here = any(g.from_point == point and g.starts_m == 0.0 and g.reference == "start" for g in gates)
    return kind.post("gate" if here else "end").width_m


def _yard(ring: Ring | None, spec: RunSpec, vertices: list[Vertex]) -> str:
    """ "left" or "right" of the run: as said, else the side that lies inside the boundary, else ""."""
    if spec.yard:
        return spec.yard
    if ring is None:
        return ""
    if spec.sides:
        backward = not _ascending(ring, spec.sides)
        return "left" if ring.clockwise == backward else "right"
    a, b = vertices[0].xy, vertices[1].xy
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    side = scale(left_of(unit(sub(b, a))), 0.5)
    corners = [corner.xy for corner in ring.corners]
    left, right = inside(add(middle, side), corners), inside(sub(middle, side), corners)
    if left != right:
        return "left" if left else "right"
    return ""


def _ascending(ring: Ring, sides: tuple[int, ...]) -> bool:
    total = len(ring.courses)
    if len(sides) == total or len(sides) < 2:
        return True
    return sides[1] == sides[0] % total + 1
