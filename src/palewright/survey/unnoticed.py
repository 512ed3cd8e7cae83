"""Tapes in which a whole foot misread would pass unnoticed, how far it would move a point, and what would show it.

A reading is checked only by what the others say along it. Three tapes to a point check each other well where they come
from well apart, and hardly where two of them run nearly in one line: there the point simply moves to where the misread
tape has it, and everything agrees. Or the point turns over the line of two of its hosts, where the third tape misses by
no more than was misread. Source: W. Baarda, A testing procedure for use in geodetic networks (1968), external
reliability: a blunder b in reading i moves the unknowns by Q a_i b / sigma_i^2.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

import numpy as np

from palewright.model import NetFit, Network, Observation
from palewright.plane import XY
from palewright.record import Record
from palewright.survey.quality import CRITICAL, NONCENTRAL
from palewright.survey.rows import Floats

__all__ = ["Unnoticed", "unnoticed_tapes"]

_SURELY = (CRITICAL + 1.6449) / NONCENTRAL
"""A blunder so many times the least one is found with 95 % chance instead of 80 %."""
_MOVES = 0.5
_TAPES = 3
_LEAST_LOOK = 0.5


class Unnoticed(Record):
    """A tape whose misreading would not be seen.

    index
        of the observation; ``point``: the end of it that would move most, ``moves``: how far [m]. host: the point from
        which a tape would show it best, "" where none can.
    """

    index: int
    point: str
    moves: float
    host: str


def unnoticed_tapes(
    network: Network, fitted: NetFit, covariance: Callable[[tuple[str, str]], Floats], blunder: float, tape_m: float
) -> tuple[Unnoticed, ...]:
    """Tapes in which a blunder may well not be found and would move a point by more than half its size.

    network, fitted
        as adjusted, and its fit. covariance: of two determined points, (4, 4), east and north of each in turn [m2].
    blunder
        how much is misread, 0.3048 for a whole foot [m, > 0]. tape_m: longest tape to advise [m].
    "May well not": found with less than 95 % chance at a significance of 0.001.
    Returns them by how far they move a point, the farthest first.
    """
    at = {point.name: point.xy for point in fitted.points}
    found = []
    for fit, o in zip(fitted.fits, network.observations, strict=True):
        checked = fit.least_blunder is not None and _SURELY * fit.least_blunder <= blunder
        if o.kind != "distance" or o.source != "measured" or checked or not at.keys() >= set(o.points):
            continue
        one, two = o.points
        length = math.dist(at[one], at[two])
        if length > 0.0:
            unit = np.subtract(at[two], at[one]) / length
            shift = covariance((one, two)) @ np.concatenate([-unit, unit]) * blunder / o.sigma**2
            found.append(
                (fit.index, *max((one, shift[:2]), (two, shift[2:]), key=lambda end: float(np.hypot(*end[1]))))
            )
    found += _turned_over(network, at, blunder)
    answers: dict[int, Unnoticed] = {}
    for index, name, moved in found:
        far = float(np.hypot(*moved))
        if far > _MOVES * blunder and (index not in answers or answers[index].moves < far):
            host = _shows(name, moved / far, at, network.observations, tape_m)
            answers[index] = Unnoticed(index, name, far, host)
    return tuple(sorted(answers.values(), key=lambda tape: -tape.moves))


def _turned_over(network: Network, at: dict[str, XY], blunder: float) -> list[tuple[int, str, Floats]]:
    """Points that might as well stand over the line of two that they are taped to, were one tape misread: the tape, the
    point, and how it would move [m]."""
    held = {p.name for p in network.points if p.held}
    tapes: dict[str, list[tuple[int, str]]] = {}
    for k, o in enumerate(network.observations):
        for name in o.points:
            other = o.points[o.points[0] == name] if o.kind == "distance" else ""
            tapes.setdefault(name, []).append((k, other if other in at and name in at else ""))
    found = []
    for name, some in tapes.items():
        hosts = dict.fromkeys(host for _, host in some)
        if name in held or "" in hosts or len(some) < _TAPES:
            continue
        for a, b in itertools.combinations(hosts, 2):
            over = _mirrored(at[name], at[a], at[b])
            miss = {k: abs(math.dist(over, at[host]) - network.observations[k].value) for k, host in some}
            off = [k for k, far in miss.items() if far > CRITICAL * network.observations[k].sigma]
            if len(off) == 1 and miss[off[0]] <= blunder + CRITICAL * network.observations[off[0]].sigma:
                found.append((off[0], name, np.subtract(over, at[name])))
    return found


def _mirrored(p: XY, a: XY, b: XY) -> XY:
    """A point turned over the line through two others; itself where these are one."""
    z, w = complex(*b) - complex(*a), complex(*p) - complex(*a)
    over = complex(*a) + z * (w / z).conjugate() if z else complex(*p)
    return over.real, over.imag


def _shows(name: str, way: Floats, at: dict[str, XY], observations: Sequence[Observation], tape_m: float) -> str:
    """The point within the tape, not taped yet, that looks most nearly along the way in which a point would move."""
    taped = {q for o in observations if o.kind == "distance" and name in o.points for q in o.points}
    best, seen = "", _LEAST_LOOK
    for host, xy in at.items():
        reach = math.dist(xy, at[name])
        if host not in taped and 0.0 < reach <= tape_m:
            looks = abs(float(np.dot(way, np.subtract(xy, at[name])))) / reach
            if looks > seen + 1e-9:
                best, seen = host, looks
    return best
