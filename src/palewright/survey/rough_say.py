"""What is wrong with the tapes of a network, and which measurement would fix or settle a point."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Collection, Iterator, Mapping, Sequence

from palewright.errors import Problem
from palewright.model import Advice, Observation
from palewright.notation import show_length
from palewright.plane import XY
from palewright.survey.rough_cluster import Cluster
from palewright.survey.rough_options import FITS
from palewright.survey.tie import tie_gap

__all__ = ["fixing_advice", "parted_by", "scale_advice", "settling_advice", "short_ties"]

_SIGMA_M = 0.0061
_LOOKED_AT = 60
_AROUND = 12
_NO_DRIFT = 100
"""In a network of more points than this, places far from what was given may have drifted together."""


# ---------------------------------------------------------------- tapes that do not meet


def short_ties(world: Cluster) -> list[Problem]:
    """Pairs of tapes to one point that are too short, or too unequal, for their base; each tape named once."""
    found: list[tuple[bool, float, str, Observation, Observation, float]] = []
    for name in world.index.order:
        if name in world.at and (world.index.points[name].held or world.misfit(name) <= FITS):
            continue
        tapes = _tapes(world, name)
        for gap, a, b in _gaps(world, tapes):
            found.append((gap < 0.0, -abs(gap), name, tapes[a], tapes[b], gap))
    said: set[int] = set()
    problems = []
    for _, _, name, one, two, gap in sorted(found, key=lambda entry: entry[:2]):
        if not {id(one), id(two)} & said:
            said |= {id(one), id(two)}
            problems.append(_short(world, name, one, two, gap))
    return problems


def _tapes(world: Cluster, name: str) -> dict[str, Observation]:
    found: dict[str, Observation] = {}
    for k in world.index.touching[name]:
        o = world.index.observations[k]
        if o.kind == "distance":
            other = o.points[1] if o.points[0] == name else o.points[0]
            if other in world.at:
                found.setdefault(other, o)
    return found


def _gaps(world: Cluster, tapes: dict[str, Observation]) -> Iterator[tuple[float, str, str]]:
    """Pairs of tapes that miss each other by more than their spread allows."""
    for one, two in itertools.combinations(tapes, 2):
        base = _base(world, one, two)
        if base is None:
            continue
        gap = tie_gap(base[0], tapes[one].value, tapes[two].value)
        if abs(gap) > FITS * math.sqrt(tapes[one].sigma ** 2 + tapes[two].sigma ** 2 + base[1] ** 2):
            yield gap, one, two


def _base(world: Cluster, one: str, two: str) -> tuple[float, float] | None:
    """Length of a base and its spread: as taped, or else from the places; None where those may have drifted."""
    for k in world.index.touching[one]:
        o = world.index.observations[k]
        if o.kind == "distance" and two in o.points:
            return o.value, o.sigma
    spread = math.hypot(world.spread[one], world.spread[two])
    given = all(world.index.points[name].held for name in (one, two))
    return (math.dist(world.at[one], world.at[two]), spread) if given or len(world.at) <= _NO_DRIFT else None


def _firm(world: Cluster, name: str) -> bool:
    """Whether enough else agrees on a point that the tapes which do not meet are only a suspicion."""
    if name not in world.at:
        return False
    agree = sum(abs(world.gap(o, zero, world.at)) < FITS for o, zero in world.ready(name))
    return world.index.points[name].held or agree >= 3


def _short(world: Cluster, name: str, one: Observation, two: Observation, gap: float) -> Problem:
    first = one.points[1] if one.points[0] == name else one.points[0]
    second = two.points[1] if two.points[0] == name else two.points[0]
    base = (_base(world, first, second) or (0.0,))[0]
    a, b, whole, by = (show_length(value, fraction=16) for value in (one.value, two.value, base, abs(gap)))
    if gap > 0.0:
        what = f"the tapes from {first} and from {second} to {name} do not meet: together they are {by} too short"
        allowed = f"together at least {whole}"
    else:
        what = f"the tapes from {first} and from {second} to {name} do not meet: they differ by {by} too much"
        allowed = f"different by at most {whole}"
    return Problem(
        "tapes-do-not-meet",
        what,
        where=one.at,
        severity="caution" if all(_firm(world, p) for p in (name, first, second)) else "error",
        found=f"{first}-{name} {a}, {second}-{name} {b}, {first}-{second} {whole}",
        allowed=allowed,
        hint="measure all three again; look for a whole foot misread",
    )


# ---------------------------------------------------------------- what to measure


def parted_by(world: Cluster, name: str, xy: XY, other: XY) -> tuple[str, str]:
    """Two points tied to a point with its two places on either side of the line through them; ("", "") if none are."""
    ties = [q for k in world.index.touching[name] for q in world.index.observations[k].points if q != name]
    for one, two in itertools.combinations(dict.fromkeys(q for q in ties if q in world.at), 2):
        a, b = world.at[one], world.at[two]
        off = [(b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) for p in (xy, other)]
        if off[0] * off[1] < 0.0:
            return one, two
    return "", ""


def settling_advice(
    world: Cluster, name: str, xy: XY, other: XY, tape_m: float, doubtful: Collection[str] = ()
) -> Advice | None:
    """The tape that tells best on which of two places a point is; None where no placed point can tell.

    doubtful
        points whose own place is not settled: none of them tells.
    """
    near = [
        (abs(math.dist(xy, q) - math.dist(other, q)), -k, p)
        for k, (p, q) in enumerate(world.at.items())
        if p != name and p not in doubtful and 0.0 < math.dist(xy, q) <= tape_m and p not in _tapes(world, name)
    ]
    if not near or max(near)[0] < 1e-3:
        return None
    return Advice("distance", (max(near)[2], name), name, None, world.spread.get(name, _sigma(world)))


def scale_advice(world: Cluster, names: Sequence[str]) -> Advice:
    """The tape that a network of angles alone wants: between its first two points."""
    return Advice("distance", (names[0], names[1]), names[1], None, _sigma(world))


def fixing_advice(world: Cluster, apart: Sequence[Cluster], undetermined: Sequence[str], tape_m: float) -> list[Advice]:
    """For every point that is not fixed, the tapes that would fix it; then those that tie a piece built apart."""
    tied: list[Advice] = []
    left = dict.fromkeys(undetermined)
    for piece in sorted(apart, key=lambda cluster: -len(cluster.at)):
        own = [name for name in piece.at if name in left]
        if len(own) >= 2:
            tied += _tie_piece(world, piece, own, tape_m)
            for name in own:
                left.pop(name, None)
    return [advice for name in left for advice in _fix_point(world, name, tape_m)] + tied


def _sigma(world: Cluster) -> float:
    return statistics.median([o.sigma for o in world.index.observations if o.kind == "distance"] or [_SIGMA_M])


def _tie_piece(world: Cluster, piece: Cluster, own: list[str], tape_m: float) -> list[Advice]:
    """Tapes from a piece to the rest: as many as it can still move, less what is shared or measured already."""
    shared = [name for name in piece.at if name in world.at]
    need = max(1, 3 - 2 * len(shared))
    ends = _wide(piece.at, own)
    hosts = _wide(world.at, [name for name in world.at if name not in shared] or list(world.at))
    pairs = [(host, end) for end in ends for host in hosts if host != end]
    return [Advice("distance", pair, pair[1], None, _sigma(world)) for pair in pairs[:need]]


def _wide(at: Mapping[str, XY], names: Sequence[str]) -> list[str]:
    """Two of the points, far apart."""
    some = list(names)[:_LOOKED_AT]
    if len(some) < 2:
        return some
    first, second = max(itertools.combinations(some, 2), key=lambda two: math.dist(at[two[0]], at[two[1]]))
    return [first, second]


def _fix_point(world: Cluster, name: str, tape_m: float) -> list[Advice]:
    sigma = _sigma(world)
    where = [shape for o, zero in world.ready(name) for shape in world.shapes(name, o, zero)[:1]]
    if not where:
        return [Advice("distance", (host, name), name, None, sigma) for host in _wide(world.at, list(world.at))]
    shape = where[0]
    if shape[2]:
        turns = [2.0 * math.pi * k / _AROUND for k in range(_AROUND)]
        at = [(shape[0] + shape[2] * math.cos(t), shape[1] + shape[2] * math.sin(t)) for t in turns]
    else:
        at = [(shape[0] + s * shape[3], shape[1] + s * shape[4]) for s in (-tape_m / 2.0, -3.0, 3.0, tape_m / 2.0)]
    measured = set(_tapes(world, name))
    hosts = [p for p in itertools.islice(world.at, _LOOKED_AT) if p not in measured]
    if not hosts:
        return []
    best = max(hosts, key=lambda p: math.fsum(_crossing(shape, world.at[p], q, tape_m) for q in at))
    sines = sorted(_crossing(shape, world.at[best], q, tape_m) for q in at)
    sine = min(max(sines[len(sines) // 2], 0.1), 1.0)
    return [Advice("distance", (best, name), name, None, sigma / math.sqrt(1.0 - math.sqrt(1.0 - sine * sine)))]


def _crossing(shape: tuple[float, float, float, float, float], host: XY, at: XY, tape_m: float) -> float:
    """Sine of the angle at which a tape from the host crosses what holds the point already; 0 beyond the tape."""
    reach = math.dist(host, at)
    if not 1e-6 < reach <= tape_m:
        return 0.0
    nx, ny = (at[0] - shape[0], at[1] - shape[1]) if shape[2] else (-shape[4], shape[3])
    size = math.hypot(nx, ny) or 1.0
    return abs(nx * (at[1] - host[1]) - ny * (at[0] - host[0])) / (size * reach)
