"""From a run as written to its path of post centres: named points, boundary sides with an inset, wall ends."""

from __future__ import annotations

from collections.abc import Mapping

from palewright.boundary import ring_sides
from palewright.errors import Problem, Where
from palewright.layout.frame import SAME, Trace, Vertex
from palewright.layout.say import Say
from palewright.layout.sides import all_side_offsets, ascending, by_sides
from palewright.model import GateSpec, Job, Kind, PointRef, Ring, RunSpec, Site, SitePoint
from palewright.plane import add, distance, dot, inside_sides, left_of, scale, sub, unit

__all__ = ["trace_runs"]


def trace_runs(job: Job, site: Site, kinds: Mapping[str, Kind], say: Say, problems: list[Problem]) -> list[Trace]:
    """Every run traced to its path of post centres; what is wrong goes to ``problems`` and that run is left out."""
    points = {point.name: point for point in site.points}
    known = _of_known_kind(job, kinds, problems)
    offsets = all_side_offsets(site.ring, known, problems)
    along = {index: by_sides(site, spec, kind, offsets, say, problems) for index, spec, kind in known if spec.sides}
    called = {
        vertex.name: vertex
        for index, spec, _ in known
        if spec.sides and spec.call
        for vertex in along[index][0]
        if vertex.name
    }
    unmade = {name for spec in job.runs for name in spec.call} - called.keys()
    traces: list[Trace] = []
    for index, spec, kind in known:
        if spec.sides:
            vertices, closed, sides, bends = along[index]
        elif any(ref.name in unmade for ref in spec.through if ref.name):
            continue  # the run that calls the name out was refused, and said why
        else:
            vertices, closed = _through(spec, points, called, site, problems)
            sides, bends = (), ()
        if len(vertices) < 2:
            continue
        if not _legs_sound(spec, vertices, closed, say, problems):
            continue
        vertices = _at_walls(spec, kind, vertices, closed, say, problems)
        traces.append(Trace(index, spec, kind, vertices, closed, _yard(site.ring, spec, vertices), sides, bends))
    return traces


def _of_known_kind(job: Job, kinds: Mapping[str, Kind], problems: list[Problem]) -> list[tuple[int, RunSpec, Kind]]:
    """The runs whose fence the job has, with their index and kind."""
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
    return known


# ---------------------------------------------------------------- through points


def _through(
    spec: RunSpec,
    points: Mapping[str, SitePoint],
    called: Mapping[str, Vertex],
    site: Site,
    problems: list[Problem],
) -> tuple[list[Vertex], bool]:
    """The vertices of a run through points; ``called``: names that runs by sides gave to their corners."""
    found = [called.get(ref.name) or _vertex(ref, site) for ref in spec.through]
    vertices = [vertex for vertex in found if vertex is not None]
    for ref, vertex in zip(spec.through, found, strict=True):
        if vertex is None:
            problems.append(
                Problem(
                    "unknown-point",
                    f"run {spec.name} goes through a point that the job does not have",
                    ref.at if ref.at.line or ref.at.path else spec.at,
                    found=ref.name or "no coordinates",
                    allowed=", ".join(points) or "no point is described",
                )
            )
    if len(vertices) < len(found):
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


# ---------------------------------------------------------------- soundness, walls, yard


def _legs_sound(spec: RunSpec, vertices: list[Vertex], closed: bool, say: Say, problems: list[Problem]) -> bool:
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
                    found=" and ".join(v.name or say.xy(v.xy) for v in (a, b)),
                    hint="leave one of the two out, or check where they are",
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
                    hint="a smaller clearance, or a next point farther on",
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
        backward = not ascending(ring, spec.sides)
        return "left" if ring.clockwise == backward else "right"
    a, b = vertices[0].xy, vertices[1].xy
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    side = scale(left_of(unit(sub(b, a))), 0.5)
    sides = ring_sides(ring)
    left, right = inside_sides(add(middle, side), sides), inside_sides(sub(middle, side), sides)
    if left != right:
        return "left" if left else "right"
    return ""
