"""From what a job says was measured to the observations of a network: tapes, squares, ties, walks.

A walk is a chain of tapes and turns. A turn that nobody measured becomes an observation of source "assumed".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from palewright.model import Measurement, Observation, PointSpec, TapeSpec, Turn, Walk
from palewright.survey.tape import (
    STANDARD_TEMPERATURE_C,
    TapedLine,
    length_correction,
    measured_line,
    pull_correction,
    sag_correction,
    temperature_correction,
)

__all__ = ["Accuracy", "DEFINED_M", "corrected", "observations"]

DEFINED_M = 1e-4
"""Standard deviation of what defines a point, as "on line, at 62 ft" does: as good as exact [m]."""

#: kind of observation, value [m or rad], the person's words for the tool, lengths of the arms [m] -> sigma [m or rad]
Accuracy = Callable[[Measurement | None, str, float], float]

_TURN = 2.0 * math.pi


def observations(
    measured: Iterable[Measurement],
    walks: Sequence[Walk],
    points: Iterable[PointSpec],
    accuracy: Accuracy,
    tapes: Iterable[TapeSpec] = (),
) -> tuple[Observation, ...]:
    """Every observation that the measurements, the walks and the points on lines of a job make.

    accuracy
        standard deviation for (measurement or None for a walk, kind of observation, value): [m], or [rad] for angles.
    tapes
        of the job: a reading with one of them is corrected by what is known of it (:func:`corrected`).
    A place reached in a walk without a name is called by :func:`step_name`. Heights (kind "rise") are left out: they
    are a network of their own.
    """
    found: list[Observation] = []
    squared = set()
    named = {tape.name: tape for tape in tapes}
    for m in measured:
        found += _of_measurement(m, accuracy, named.get(m.how))
        if m.kind == "square":
            squared |= {(m.points[1], m.points[0]), (m.points[1], m.points[2])}
    for k, walk in enumerate(walks):
        found += _of_walk(walk, k, accuracy, squared)
    for spec in points:
        if spec.how == "on line":
            line = (spec.name, *spec.line)
            found.append(Observation("on line", line, 0.0, DEFINED_M, "record", at=spec.at))
            found.append(Observation("along", line, spec.distance_m, DEFINED_M, "record", at=spec.at))
    return tuple(found)


def corrected(m: Measurement, tape: TapeSpec | None) -> TapedLine:
    """The level length of a tape read: corrections of the tape itself, then the slope.

    tape
        what is known of the tape, or None. A correction is made where both the tape and the reading say enough for it.
    Raises ProblemError when nothing, or less than the rise, is left. Source: :mod:`palewright.survey.tape`.
    """
    added: dict[str, float] = {}
    if tape is not None and tape.marked_m and tape.true_m:
        added["length"] = length_correction(m.value, tape.marked_m, tape.true_m)
    if tape is not None and m.temperature_c is not None:
        right = STANDARD_TEMPERATURE_C if tape.right_at_c is None else tape.right_at_c
        added["temperature"] = temperature_correction(m.value, m.temperature_c, right)
    if tape is not None and m.pull_n:
        if tape.right_under_n is not None and tape.section_m2:
            added["pull"] = pull_correction(m.value, m.pull_n, tape.right_under_n, tape.section_m2)
        if tape.weight_n_m and m.spans:
            added["sag"] = sag_correction([m.value / m.spans] * m.spans, tape.weight_n_m, m.pull_n)
    return measured_line(m.value, added, m.rise_m)


def _of_measurement(m: Measurement, accuracy: Accuracy, tape: TapeSpec | None) -> list[Observation]:
    def make(kind: str, points: tuple[str, ...], value: float, side: str = "", group: str = "") -> Observation:
        sigma = m.within or accuracy(m, kind, value)
        words = "" if kind in ("along", "east", "north") else m.text
        return Observation(kind, points, value, sigma, m.source, side, group, m.how, words, m.at)

    if m.kind == "tape":
        return [make("distance", m.points, corrected(m, tape).true_m)]
    if m.kind == "square":
        return [make("angle", m.points, m.value)]
    if m.kind == "direction":
        return [make("azimuth", m.points, m.value % _TURN)]
    if m.kind == "sights":
        group = f"{m.points[0]} {m.at.line}:{m.at.column}"
        pairs = zip(m.points[1:], m.readings, strict=True)
        return [make("direction", (m.points[0], name), reading, group=group) for name, reading in pairs]
    if m.kind in ("on line", "offset"):
        first = make(m.kind, m.points, m.value, m.side)
        return [first] if m.at_m is None else [first, make("along", m.points, m.at_m)]
    if m.kind == "parallel":
        return [make("parallel", m.points, 0.0)]
    if m.kind == "position" and m.xy is not None:
        return [make("east", m.points, m.xy[0]), make("north", m.points, m.xy[1])]
    return []


def step_name(k: int, step: int) -> str:
    """What a place without a name is called: step ``step`` of walk ``k``, both from 0."""
    return f"walk {k + 1}, length {step + 1}"


def _of_walk(walk: Walk, k: int, accuracy: Accuracy, squared: set[tuple[str, str]]) -> list[Observation]:
    """Tapes along the walk, and a direction at every place where it starts or turns.

    ``squared``: corners that were measured: (corner, a point on an arm).
    """
    found: list[Observation] = []
    back = walk.sight if walk.facing == "away" else ""
    ahead = walk.sight if walk.facing == "toward" else ""
    here, turned, turns, gone = walk.start, 0.0, [], 0
    azimuth = walk.azimuth if walk.facing == "azimuth" else None
    for step in walk.steps:
        if step.turn is not None:
            turned += step.turn
            turns.append(step)
        if step.length_m is None:
            continue
        if step.length_m == 0.0:  # a name for the place where one stands
            gone += 1
            continue
        name = walk.names[gone] if gone < len(walk.names) else ""
        there = name or step_name(k, gone)
        gone += 1
        sigma = accuracy(None, "distance", step.length_m)
        found.append(Observation("distance", (here, there), step.length_m, sigma, words=step.words, at=step.at))
        arm = back or ahead
        if azimuth is not None:
            value = (azimuth - turned) % _TURN
            sigma = accuracy(None, "azimuth", value)
            found.append(Observation("azimuth", (here, there), value, sigma, at=walk.at))
            azimuth = None
        elif arm and not _measured(here, arm, there, squared):
            found.append(_direction(arm, here, there, (math.pi if back else 0.0) - turned, turns, accuracy, step))
        back, ahead, here, turned, turns = here, "", there, 0.0, []
    return found


def _measured(here: str, arm: str, there: str, squared: set[tuple[str, str]]) -> bool:
    return (here, arm) in squared and (here, there) in squared


def _direction(
    arm: str, here: str, there: str, clockwise: float, turns: list[Turn], accuracy: Accuracy, step: Turn
) -> Observation:
    """Straight on, or the turn at ``here``: clockwise from ``arm`` to ``there`` [rad]."""
    value = clockwise % _TURN
    if not turns:  # straight on, as well as a line is held over so far
        sigma = accuracy(None, "on line", 0.0) / (step.length_m or 1.0)
        return Observation("angle", (arm, here, there), value, sigma, "measured", "clockwise", at=step.at)
    assumed = any(turn.assumed for turn in turns)
    sigma = accuracy(None, "assumed" if assumed else "angle", value)
    words, at = " ".join(turn.words for turn in turns), turns[0].at
    source = "assumed" if assumed else "measured"
    return Observation("angle", (arm, here, there), value, sigma, source, "clockwise", words=words, at=at)
