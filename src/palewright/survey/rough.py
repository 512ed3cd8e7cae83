"""Rough places: where every point of a network nearly is, found from the observations themselves.

Points are placed one by one where circles and lines of what was measured meet, the best supported first. A place that
may be on either side waits until something settles it: a side that was said, a third measurement, or what follows from
each choice further on. What no chain reaches is built apart in a frame of its own, and brought in over shared points,
over north, or by fitting it as a rigid body. One misread tape does not spoil it, because places are chosen by how many
observations agree. A few points that one wrong reading moved are tried again at the end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from palewright.errors import Problem
from palewright.model import Advice, Network
from palewright.plane import XY
from palewright.record import Record
from palewright.survey.rough_again import look_again
from palewright.survey.rough_build import Built, build
from palewright.survey.rough_cluster import NORTH, Index
from palewright.survey.rough_join import Move, fit_move
from palewright.survey.rough_say import fixing_advice, parted_by, scale_advice, settling_advice, short_ties

__all__ = ["OtherPlace", "RoughPlaces", "rough_places"]

_TOLD_APART_M = 1.0


class OtherPlace(Record):
    """A point that fits as well somewhere else: ``xy`` the place that was taken, ``other`` the other one [m].

    beside
        two points that it is tied to, with the two places on either side of the line through them; ("", "") where no
        such line parts them.
    """

    name: str
    xy: XY
    other: XY
    beside: tuple[str, str] = ("", "")


class RoughPlaces(Record):
    """What :func:`rough_places` found.

    places
        (x, y) of every point that could be placed [m].
    frame
        "ground": that of the coordinates that were given; "north": a local one, first point at (0, 0), turned to north;
        "local": first point at (0, 0), second to the east.
    handed
        False: nothing says left from right; the first point off the line of the first two was put to its left.
    undetermined
        points that nothing fixes. ambiguous: points that fit as well somewhere else; what hangs on them goes with them.
    advice
        the measurement that would fix each undetermined point, and settle each ambiguous one; ``before`` is None.
    problems
        tapes that do not meet: an error where nothing else fixes the point, a caution where the rest does.
    """

    places: Mapping[str, XY]
    frame: str
    handed: bool
    undetermined: tuple[str, ...] = ()
    ambiguous: tuple[OtherPlace, ...] = ()
    advice: tuple[Advice, ...] = ()
    problems: tuple[Problem, ...] = ()


def rough_places(network: Network, tape_m: float = 30.48) -> RoughPlaces:
    """Approximate coordinates of every point of a network.

    network
        points (held ones with their place; ``xy`` of others is used where nothing better is known) and observations of
        any kind. One that names a point twice or one that is not there, or is no sound number, is left out.
    tape_m
        longest measurement to advise [m].
    Returns the :class:`RoughPlaces`: good enough to begin an adjustment from, but no adjusted places. The time grows
    nearly in proportion to the observations. Raises nothing of its own. Source: geometry; robust choice by counting
    what agrees.

    >>> from palewright.model import NetPoint, Observation
    >>> points = (NetPoint("A", (0.0, 0.0), held=True), NetPoint("B", (10.0, 0.0), held=True),
    ...           NetPoint("P", side="right", side_of=("A", "B")))
    >>> tapes = (Observation("distance", ("A", "P"), 6.0, 0.01), Observation("distance", ("B", "P"), 8.0, 0.01))
    >>> found = rough_places(Network(points, tapes))
    >>> tuple(round(v, 6) for v in found.places["P"])
    (3.6, -4.8)
    """
    index = Index(network)
    built = _built(network, index)
    frame, world = _frame(built), built.world
    if not world.scaled:
        names = list(world.at)
        return RoughPlaces({}, frame, world.sided, tuple(index.points), advice=(scale_advice(world, names),))
    undetermined = tuple(name for name in index.points if name not in world.at)
    doubtful = {name: built.doubtful[name] for name in index.points if name in built.doubtful}
    ambiguous = tuple(OtherPlace(name, *two, parted_by(world, name, *two)) for name, two in doubtful.items())
    advice = [settling_advice(world, other.name, other.xy, other.other, tape_m, doubtful) for other in ambiguous]
    advice += fixing_advice(world, built.apart, undetermined, tape_m)
    return RoughPlaces(
        {name: world.at[name] for name in index.points if name in world.at},
        frame,
        world.sided,
        undetermined,
        ambiguous,
        tuple(entry for entry in advice if entry is not None),
        tuple(short_ties(world)),
    )


def _built(network: Network, index: Index) -> Built:
    """Everything placed. Where no place is held, what is only said to be near somewhere does not bend the figure: it is
    built from the readings alone and carried there, as long as they place every point."""
    given = [p.name for p in index.points.values() if p.xy is not None]
    floats = given and not any(p.held for p in index.points.values())
    if floats and not any(o.kind in ("east", "north") for o in index.observations):
        points = tuple(replace(p, xy=None) for p in network.points)
        floating = replace(network, points=points, datum="least")
        bare = Index(floating)
        built = look_again(floating, bare, build(bare))
        sure = not built.doubtful or len(given) <= 2
        if sure and built.world.scaled and built.world.at.keys() == index.points.keys():
            _bring(built, {name: xy for name in given if (xy := index.points[name].xy) is not None})
            return built
    return look_again(network, index, build(index))


def _bring(built: Built, given: Mapping[str, XY]) -> None:
    """Carry a figure to the places that were given, turned over where that fits better and nothing inside it tells."""
    world = built.world
    old, new = [world.at[name] for name in given], list(given.values())
    if NORTH in world.zeros and world.sided:
        x, y = Move(world.zeros[NORTH], (0.0, 0.0))(old[0])
        _carry(built, Move(world.zeros[NORTH], (new[0][0] - x, new[0][1] - y)))
        world.zeros[NORTH] = 0.0
    elif len(given) == 1:
        _carry(built, Move(0.0, (new[0][0] - old[0][0], new[0][1] - old[0][1])))
    else:
        images = (False,) if world.sided or len(given) < 3 else (False, True)
        moves = [fit_move(old, new, True, mirrored) for mirrored in images]
        off = [math.fsum(math.dist(move(p), q) for p, q in zip(old, new, strict=True)) for move in moves]
        world.handed = world.handed or (len(moves) > 1 and abs(off[0] - off[1]) > _TOLD_APART_M)
        _carry(built, moves[off.index(min(off))])
    world.ground = True


def _frame(built: Built) -> str:
    """Give a local cluster its convention: first point at (0, 0), north up or the second east, third to the left."""
    world = built.world
    if built.pivot and NORTH in world.zeros:
        cx, cy = world.at[built.pivot]
        c, s = math.cos(world.zeros[NORTH]), math.sin(world.zeros[NORTH])
        _carry(built, lambda p: (cx + c * (p[0] - cx) - s * (p[1] - cy), cy + s * (p[0] - cx) + c * (p[1] - cy)))
    if world.ground or not world.at:
        return "ground"
    names = [name for name in world.index.order if name in world.at]
    a = world.at[names[0]]
    other = next((world.at[name] for name in names[1:] if world.at[name] != a), (a[0] + 1.0, a[1]))
    north = NORTH in world.zeros and world.sided
    turn = world.zeros[NORTH] if north else -math.atan2(other[1] - a[1], other[0] - a[0])
    cos, sin = math.cos(turn), math.sin(turn)

    def move(p: XY) -> XY:
        x, y = p[0] - a[0], p[1] - a[1]
        return (cos * x - sin * y, sin * x + cos * y)

    _carry(built, move)
    if not world.handed and not north:
        off = next(
            (world.at[name][1] for name in names if abs(world.at[name][1]) > 5.0 * world.spread[name] + 1e-6), 0.0
        )
        if off < 0.0:
            _carry(built, lambda p: (p[0], -p[1]))
    return "north" if north else "local"


def _carry(built: Built, move: Callable[[XY], XY]) -> None:
    world = built.world
    world.at = {name: move(xy) for name, xy in world.at.items()}
    built.doubtful = {name: (move(one), move(two)) for name, (one, two) in built.doubtful.items()}
