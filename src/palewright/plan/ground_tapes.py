"""Tapes between points whose heights are known: whether one that lay along the slope was told from one held level."""

from __future__ import annotations

import math

from palewright.model import Job, Measurement, Remark
from palewright.plan.ground_datum import GroundDatum

__all__ = ["tapes_on_slopes"]

_SEEN_M = 0.00635
"""A tape that lay along the slope is spoken of where that is 1/4 in or more of its length (common practice: what a crew
sets)."""
_SIGMAS = 3.0


def tapes_on_slopes(job: Job, datum: GroundDatum) -> list[Remark]:
    """What the heights of their ends say of tapes; the network keeps them as they were typed.

    A tape without ``rises`` counts as held level. Where the heights show that it would read more along the ground, both
    ways to read it are told; a rise that was typed and that the heights contradict is told.
    """
    sloped: list[tuple[Measurement, float]] = []
    remarks = []
    for tape in job.measured:
        rise = _rise(tape, datum)
        if rise is None or rise >= tape.value:
            continue
        level = math.sqrt(tape.value**2 - rise**2)
        if not tape.rise_m:
            if tape.value - level >= _SEEN_M:
                sloped.append((tape, tape.value - level))
        elif tape.rise_m < tape.value and abs(math.sqrt(tape.value**2 - tape.rise_m**2) - level) >= _SEEN_M:
            args = (("start", tape.points[0]), ("end", tape.points[1]), ("typed_m", tape.rise_m), ("found_m", rise))
            remarks.append(Remark("tape-rise-differs", "caution", "heights", args, tape.at))
    if sloped:
        worst, by = max(sloped, key=lambda item: item[1])
        names = ", ".join(" - ".join(tape.points) for tape, _ in sloped)
        most = (("start", worst.points[0]), ("end", worst.points[1]), ("most_m", by))
        remarks.append(Remark("tapes-on-slope", "caution", "heights", (("tapes", names), *most), worst.at))
    return remarks


def _rise(tape: Measurement, datum: GroundDatum) -> float | None:
    """How much the ends of a tape differ in height [m]; None where that is not known well enough to tell."""
    if tape.kind != "tape" or not all(name in datum.known for name in tape.points):
        return None
    if datum.island.get(tape.points[0], 0) != datum.island.get(tape.points[1], 0):
        return None
    (z0, s0, _), (z1, s1, _) = (datum.known[name] for name in tape.points)
    return abs(z1 - z0) if abs(z1 - z0) >= _SIGMAS * math.hypot(s0, s1) else None
