"""A network as arrays: points as numbers, observations by kind, places to start from."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from palewright.model import Network, Observation
from palewright.record import Record
from palewright.survey.rows import KINDS, Block, Flags, Floats, Ints, wrap
from palewright.survey.system import State, System

__all__ = ["Arrays", "let_go", "read_network", "size_of"]

_GOLDEN = math.pi * (3.0 - math.sqrt(5.0))


class Arrays(Record):
    """A network ready to be adjusted.

    names
        of the points, their numbers being 0, 1, ... ; only points with a place. unplaced: names of the others.
    start
        approximate places. sigma (m,) and assumed (m,): of every observation of the network. out (m,): observations
        that name an unplaced point. floating: the datum is "least" or "free".
    """

    names: list[str]
    unplaced: tuple[str, ...]
    system: System
    start: State
    sigma: Floats
    value: Floats
    assumed: Flags
    out: Flags
    datum: str

    @property
    def floating(self) -> bool:
        """Whether the network keeps its place by a convention, not by held points."""
        return self.datum != "held"


def read_network(network: Network) -> Arrays:
    """Arrays of a network that :func:`palewright.survey.network_checks.check_network` finds nothing wrong with."""
    with_xy = [point for point in network.points if point.xy is not None]
    index = {point.name: k for k, point in enumerate(with_xy)}
    places = np.array([point.xy for point in with_xy], dtype=np.float64).reshape(-1, 2)
    held = np.array([point.held and network.datum == "held" for point in with_xy], dtype=np.bool_)
    blocks, station, out = _blocks(network.observations, index)
    places = _apart(places, held, blocks)
    system = System(blocks, len(network.observations), places, held, station)
    return Arrays(
        names=[point.name for point in with_xy],
        unplaced=tuple(point.name for point in network.points if point.xy is None),
        system=system,
        start=State(places, _zeros(blocks, places, len(station))),
        sigma=np.array([o.sigma for o in network.observations]),
        value=np.array([o.value for o in network.observations]),
        assumed=np.array([o.source == "assumed" for o in network.observations], dtype=np.bool_),
        out=out,
        datum=network.datum,
    )


def _blocks(observations: tuple[Observation, ...], index: dict[str, int]) -> tuple[list[Block], Ints, Flags]:
    """Blocks of the observations whose points all have places, the station of every circle, and which are left out."""
    kept: dict[str, list[tuple[int, Observation]]] = {kind: [] for kind in KINDS}
    out = np.zeros(len(observations), dtype=np.bool_)
    for k, observation in enumerate(observations):
        if all(name in index for name in observation.points):
            kept[observation.kind].append((k, observation))
        else:
            out[k] = True
    circles: dict[tuple[str, str], int] = {}
    for _, o in kept["direction"]:
        circles.setdefault((o.points[0], o.group), len(circles))
    blocks = [_block(kind, some, index, circles) for kind, some in kept.items() if some]
    return blocks, np.array([index[name] for name, _ in circles], dtype=np.int64), out


def _block(
    kind: str, some: list[tuple[int, Observation]], index: dict[str, int], circles: dict[tuple[str, str], int]
) -> Block:
    signs = {"clockwise": 1.0, "left": 1.0, "right": -1.0, "": 1.0 if kind == "on line" else 0.0}
    zero = [circles[o.points[0], o.group] if kind == "direction" else -1 for _, o in some]
    return Block(
        kind,
        np.array([k for k, _ in some], dtype=np.int64),
        np.array([[index[name] for name in o.points] for _, o in some], dtype=np.int64),
        np.array([o.value for _, o in some]),
        np.array([o.sigma for _, o in some]),
        np.array([signs[o.side] for _, o in some]),
        np.array(zero, dtype=np.int64),
    )


def _apart(places: Floats, held: Flags, blocks: list[Block]) -> Floats:
    """Places with points that an observation joins moved off one another, so that every direction exists."""
    size = size_of(places) or 1.0
    places = places.copy()
    for block in blocks:
        for one, two in zip(block.points.T[:-1], block.points.T[1:], strict=True):
            same = np.hypot(*(places[one] - places[two]).T) < 1e-9 * size
            for a, b in zip(one[same], two[same], strict=True):
                k = b if not held[b] else a
                places[k] += 1e-3 * size * np.array([math.cos(k * _GOLDEN), math.sin(k * _GOLDEN)])
    return places


def _zeros(blocks: list[Block], places: Floats, circles: int) -> Floats:
    """Azimuth of the zero of each circle: the mean direction of azimuth minus reading."""
    for block in blocks:
        if block.kind == "direction":
            d = places[block.points[:, 1]] - places[block.points[:, 0]]
            turn = np.arctan2(d[:, 0], d[:, 1]) - block.value
            first = np.full(circles, 0.0)
            first[block.zero[::-1]] = turn[::-1]
            rest = wrap(turn - first[block.zero])
            return np.asarray(
                first + np.bincount(block.zero, rest, circles) / np.bincount(block.zero, minlength=circles)
            )
    return np.zeros(circles)


def size_of(places: Floats) -> float:
    """Diagonal of the box around some places (k, 2) [m]; 0 where there are none."""
    return float(np.hypot(*np.ptp(places, axis=0))) if len(places) else 0.0


def let_go(network: Network, free: set[str]) -> Network:
    """The network with some held points let go."""
    points = tuple(replace(p, held=False) if p.name in free else p for p in network.points)
    return replace(network, points=points)
