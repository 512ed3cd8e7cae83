"""The ground under a path: pieces of it from surfaces and from measured lines, laid together in order of trust."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from palewright.ground.grid import SAG_M
from palewright.ground.pieces import (
    LEAST_M,
    NEAR_M,
    Floats,
    Index,
    Pieces,
    Surface,
    allowed_miss,
    counted,
    joined,
    path_stations,
)
from palewright.model import Profile, Unknown

__all__ = [
    "WALL_M",
    "Conflict",
    "Jump",
    "Laid",
    "Source",
    "lay",
    "line_pieces",
    "steep",
    "surface_pieces",
]

WALL_M = 0.001
"""Where two heights meet at one station, the profile goes from one to the other over this length [m] (our own
choice: no tape shows it)."""

_HALF_HOLE_M = 0.1524
"""Ground is known so far beyond what was measured: 6 in, half of a usual post hole, where it is dug out and filled
again whatever its height was (common practice)."""


class Source(NamedTuple):
    """One way in which the ground under a path is known.

    compared
        False for straight lines between shots: what others find between them is no conflict.
    bridge
        lines that only reach over ground that nothing else knows: they go from what is known on one side of it to what
        is known on the other.
    """

    how: str
    pieces: Pieces
    compared: bool = True
    bridge: bool = False


class Conflict(NamedTuple):
    """Two sources differ by more than three standard deviations: from, to [m], the most and where, which was taken."""

    from_m: float
    to_m: float
    most_m: float
    at_m: float
    taken: str
    left: str


class Jump(NamedTuple):
    """Two heights at one station, ``rise_m`` in walking order [m]. ``wall``: of one source, so it stands there."""

    at_m: float
    rise_m: float
    wall: bool


class Laid(NamedTuple):
    """A profile, and what must be said of it."""

    profile: Profile | None
    conflicts: tuple[Conflict, ...]
    jumps: tuple[Jump, ...]
    unknown: tuple[Unknown, ...]


def surface_pieces(surface: Surface, path: Floats, sag_m: float = SAG_M) -> Pieces:
    """The ground over a path as a surface has it.

    surface
        a TIN or a grid. path: (k, 2) [m]. sag_m: how far the pieces may leave the surface [m].

    >>> from palewright.ground.tin import tin
    >>> roof = tin(np.array([[0, 0, 0], [4, 0, 0], [4, 4, 0], [0, 4, 0], [2, 2, 1.0]]), 0.01)
    >>> [round(float(z), 3) for z in surface_pieces(roof, np.array([[0.0, 2.0], [4.0, 2.0]])).z1]
    [1.0, 0.0]
    """
    return surface.over(np.asarray(path, dtype=float).reshape(-1, 2), sag_m)


def line_pieces(stations: Floats, heights: Floats, sigmas: Floats) -> Pieces:
    """Straight ground between neighbouring shots along a path, stations rising [m]."""
    s, z, e = (np.asarray(column, dtype=float) for column in (stations, heights, sigmas))
    return Pieces(s[:-1], s[1:], z[:-1], z[1:], e[:-1], e[1:])


def lay(run: str, path: Floats, sources: Sequence[Source], surfaces: Sequence[Surface] = (), source: str = "") -> Laid:
    """One profile of a path from several sources.

    run
        its name. path: (k, 2) [m]. sources: the most trusted first: each fills what those before it leave open.
    surfaces
        they say whether ground that nothing reaches lies outside them or is a hole in their data. source: words for the
        profile.
    Where a source differs from the one that was taken by more than three standard deviations of both, and by 1 cm, that
    is a conflict. Without any ground at all the profile is None. Straight ground is laid through a stretch that nothing
    reaches, level beyond the last known height; the stretch is named in ``unknown``, unless it is shorter than half a
    post hole.
    """
    path = np.asarray(path, dtype=float).reshape(-1, 2)
    length = float(path_stations(path)[-1])
    taken, owners = Pieces.none(), np.empty(0, dtype=np.intp)
    conflicts: list[Conflict] = []
    for k, (how, pieces, compared, bridge) in enumerate(sources):
        if compared:
            firm = np.array([sources[int(owner)].compared for owner in owners], dtype=bool)
            others = Pieces(*(column[firm] for column in taken))
            conflicts += _conflicts(others, [sources[int(owner)].how for owner in owners[firm]], pieces, how)
        fresh = _bridged(_outside(pieces, taken), taken) if bridge else _outside(pieces, taken)
        owners = np.concatenate([owners, np.full(len(fresh.start), k)])
        taken = joined([taken, fresh])
        order = np.argsort(taken.start, kind="stable")
        taken, owners = Pieces(*(column[order] for column in taken)), owners[order]
    unknown = _unknown(taken, path, length, surfaces)
    if not len(taken.start):
        return Laid(None, (), (), unknown)
    used = [one.how for k, one in enumerate(sources) if (owners == k).any()]
    s, z, e, jumps = _knots(taken, owners, length)
    knots, heights, sigmas = (tuple(column.tolist()) for column in (s, z, e))
    profile = Profile(run, knots, heights, sigmas, tuple(dict.fromkeys(used)), source, unknown)
    return Laid(profile, _merged(conflicts), jumps, unknown)


def steep(
    stations: Sequence[float], heights: Sequence[float], grade: float = 1.0, least_m: float = 0.6096
) -> list[tuple[int, int]]:
    """Stretches that rise or fall steeper than a grade all along, as first and last knot.

    stations, heights
        of the profile [m]. grade: rise over run, 1 is 45 degrees: steeper soil slides (common practice). least_m: a
        stretch that rises by less is a step or an edge [m], 2 ft unless given. Source: geometry.

    >>> steep([0.0, 2.0, 2.5, 3.0, 9.0], [0.0, 0.1, 1.0, 2.0, 2.0])
    [(1, 3)]
    """
    s, z = np.asarray(stations, dtype=float), np.asarray(heights, dtype=float)
    rise, run = np.diff(z), np.diff(s)
    way = np.where(np.abs(rise) > grade * run, np.sign(rise), 0.0)
    cut = np.flatnonzero(np.diff(way, prepend=np.nan, append=np.nan))
    pairs = zip(cut[:-1].tolist(), cut[1:].tolist(), strict=True)
    return [(a, b) for a, b in pairs if way[a] and abs(z[b] - z[a]) >= least_m]


def _at(pieces: Pieces, k: Index, s: Floats) -> tuple[Floats, Floats]:
    """Heights and standard deviations on pieces k at stations s."""
    share = (s - pieces.start[k]) / (pieces.end[k] - pieces.start[k])
    return (
        pieces.z0[k] + share * (pieces.z1[k] - pieces.z0[k]),
        pieces.s0[k] + share * (pieces.s1[k] - pieces.s0[k]),
    )


def _overlaps(a: Pieces, b: Pieces) -> tuple[Index, Index]:
    """Pairs (piece of a, piece of b) that share ground, both in order and apart."""
    low = np.searchsorted(a.end, b.start + NEAR_M, side="right")
    high = np.searchsorted(a.start, b.end - NEAR_M, side="left")
    of_b, of_a = counted(low, np.maximum(high - low, 0))
    return of_a, of_b


def _outside(new: Pieces, taken: Pieces) -> Pieces:
    """What of new pieces lies beside those that are taken."""
    if not len(taken.start) or not len(new.start):
        return new
    starts, ends = _runs(taken)
    gaps = Pieces(np.concatenate([[-np.inf], ends]), np.concatenate([starts, [np.inf]]), *([np.empty(0)] * 4))
    gap, piece = _overlaps(gaps, new)
    start, end = np.maximum(gaps.start[gap], new.start[piece]), np.minimum(gaps.end[gap], new.end[piece])
    (z0, s0), (z1, s1) = _at(new, piece, start), _at(new, piece, end)
    return Pieces(start, end, z0, z1, s0, s1)


def _bridged(new: Pieces, taken: Pieces) -> Pieces:
    """New pieces with the heights of those that are taken at the ends where they meet them."""
    if not len(taken.start) or not len(new.start):
        return new
    before = np.searchsorted(taken.end, new.start - NEAR_M).clip(max=len(taken.end) - 1)
    after = np.searchsorted(taken.start, new.end - NEAR_M).clip(max=len(taken.start) - 1)
    left, right = np.abs(taken.end[before] - new.start) <= NEAR_M, np.abs(taken.start[after] - new.end) <= NEAR_M
    return new._replace(
        z0=np.where(left, taken.z1[before], new.z0),
        s0=np.where(left, taken.s1[before], new.s0),
        z1=np.where(right, taken.z0[after], new.z1),
        s1=np.where(right, taken.s0[after], new.s1),
    )


def _runs(pieces: Pieces) -> tuple[Floats, Floats]:
    """Stretches that pieces cover without a gap: starts and ends."""
    gap = np.flatnonzero(pieces.start[1:] - pieces.end[:-1] > NEAR_M)
    return pieces.start[np.concatenate([[0], gap + 1])], pieces.end[np.concatenate([gap, [len(pieces.end) - 1]])]


def _conflicts(taken: Pieces, owners: Sequence[str], new: Pieces, how: str) -> list[Conflict]:
    """Stretches over which new pieces differ from what was taken."""
    if not len(taken.start) or not len(new.start):
        return []
    i, k = _overlaps(taken, new)
    start, end = np.maximum(taken.start[i], new.start[k]), np.minimum(taken.end[i], new.end[k])
    miss, worst = np.zeros(len(i)), start.copy()
    for at in (start, end):
        (za, sa), (zb, sb) = _at(taken, i, at), _at(new, k, at)
        off = np.where(np.abs(zb - za) > allowed_miss(sa, sb), zb - za, 0.0)
        worst = np.where(np.abs(off) > np.abs(miss), at, worst)
        miss = np.where(np.abs(off) > np.abs(miss), off, miss)
    return [
        Conflict(float(start[n]), float(end[n]), float(miss[n]), float(worst[n]), owners[i[n]], how)
        for n in np.flatnonzero(miss)
    ]


def _merged(conflicts: Sequence[Conflict]) -> tuple[Conflict, ...]:
    """Conflicts of the same two sources as one each where their stretches touch."""
    found: list[Conflict] = []
    for one in sorted(conflicts, key=lambda c: (c.taken, c.left, c.from_m)):
        last = found[-1] if found else None
        if last is not None and last[4:] == one[4:] and one.from_m - last.to_m <= NEAR_M:
            most = one if abs(one.most_m) > abs(last.most_m) else last
            found[-1] = most._replace(from_m=last.from_m, to_m=max(one.to_m, last.to_m))
        else:
            found.append(one)
    return tuple(sorted(found, key=lambda c: c.from_m))


def _unknown(taken: Pieces, path: Floats, length: float, surfaces: Sequence[Surface]) -> tuple[Unknown, ...]:
    least = _HALF_HOLE_M if len(taken.start) else 2.0 * NEAR_M
    if len(taken.start):
        starts, ends = _runs(taken)
        open_ = list(zip([0.0, *ends], [*starts, length], strict=True))
    else:
        open_ = [(0.0, length)]
    return tuple(Unknown(float(a), float(b), _why(path, (a + b) / 2.0, surfaces)) for a, b in open_ if b - a > least)


def _why(path: Floats, station: float, surfaces: Sequence[Surface]) -> str:
    """ "no-data" within a surface, "outside" where there is one elsewhere, "not-measured" without any."""
    at = path_stations(path)
    xy = np.array([[np.interp(station, at, path[:, 0]), np.interp(station, at, path[:, 1])]])
    if any(surface.covers(xy)[0] for surface in surfaces):
        return "no-data"
    return "outside" if surfaces else "not-measured"


def _knots(taken: Pieces, owners: Index, length: float) -> tuple[Floats, Floats, Floats, tuple[Jump, ...]]:
    """Stations, heights and standard deviations of the whole path; where two heights meet, a short steep piece."""
    meet = taken.start[1:] - taken.end[:-1] <= NEAR_M
    rise = taken.z0[1:] - taken.z1[:-1]
    jump = meet & (np.abs(rise) > NEAR_M)
    jumps = tuple(
        Jump(float(taken.start[k + 1]), float(rise[k]), bool(owners[k] == owners[k + 1]))
        for k in np.flatnonzero(jump & (np.abs(rise) > LEAST_M))
    )
    one = np.concatenate([meet & ~jump, [False]])
    start = taken.start.copy()
    start[1:][jump] = np.minimum(start[1:] + WALL_M, (start[1:] + taken.end[1:]) / 2.0)[jump]
    moved = _at(taken, np.arange(len(start)), start)
    s = np.stack([start, taken.end], axis=1)
    z, e = np.stack([moved[0], taken.z1], axis=1), np.stack([moved[1], taken.s1], axis=1)
    keep = np.stack([np.ones(len(start), dtype=bool), ~one], axis=1)
    s, z, e = s[keep], z[keep], e[keep]
    s[0], s[-1] = (at if abs(s[k] - at) <= NEAR_M else s[k] for k, at in ((0, 0.0), (-1, length)))
    if s[0] > 0.0:
        s, z, e = np.concatenate([[0.0], s]), np.concatenate([z[:1], z]), np.concatenate([e[:1], e])
    if s[-1] < length:
        s, z, e = np.concatenate([s, [length]]), np.concatenate([z, z[-1:]]), np.concatenate([e, e[-1:]])
    return s, z, e, jumps
