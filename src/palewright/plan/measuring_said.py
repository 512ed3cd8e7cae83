"""What is said of the measurements of a job: how they test, what to tape next, corners that were assumed square."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from palewright.model import Adjusted, Advice, Network, Observation, Remark
from palewright.survey import Fixed, Several, angle_at

__all__ = ["MOST_NAMED", "corner_remark", "next_remarks", "several_remarks", "tapes_for", "tested"]

MOST_NAMED = 8
"""Readings named in one remark."""
_MOST_GROUPS, _SEVERAL = 3, 2
#: A corner assumed square that turns out further off than this is told with a caution (common practice).
_SQUARE = math.radians(1.0)
#: 95 of 100 places lie within so many standard deviations of an ellipse (two degrees of freedom, sigma known).
_NINETEEN = 2.4477
#: The same of a distance, which errs one way or the other.
_NINETEEN_LINE = 1.96


def tested(adjusted: Adjusted) -> tuple[tuple[str, float | int | str], ...]:
    """How many checks there are, and how the scatter compares with what the tools are known for."""
    ratio = adjusted.sigma0 or 0.0
    return (("count", adjusted.dof), ("ratio", round(ratio, 2)))


def tapes_for(name: str, advice: Sequence[Advice]) -> str:
    """What to tape so that a point gets a place: to it, or else to the points that it hangs on with it."""
    tapes = [a.points for a in advice if a.for_point == name] or [a.points for a in advice]
    said = " and ".join(f"from {one} to {two}" for one, two in tapes[:3])
    return f"tape {said}, and write it under measured; or give {name} coordinates" if said else ""


def next_remarks(advice: Sequence[Advice]) -> list[Remark]:
    """The tapes that fix what nothing fixes, and the one that betters most: the place that gains, before and after."""
    fixing = [a for a in advice if a.before is None]
    rows = []
    if fixing:
        tapes = ", ".join(" – ".join(a.points) for a in fixing[:MOST_NAMED])
        rows.append(Remark("next-tape-fixes", "note", "measurements", (("tapes", tapes),)))
    for a in [a for a in advice if a.before is not None][:1]:
        times = _NINETEEN_LINE if a.line else _NINETEEN
        args: list[tuple[str, float | int | str]] = [("start", a.points[0]), ("end", a.points[1])]
        args += [("point", a.for_point), ("before_m", times * (a.before or 0.0))]
        args += [("after_m", times * a.after), *zip(("line_start", "line_end"), a.line, strict=False)]
        with_it = [b for b in advice[1:] if (b.for_point, b.before, b.after) == (a.for_point, a.before, a.after)]
        if with_it:
            args += list(zip(("start_2", "end_2"), with_it[0].points, strict=True))
        rows.append(Remark("next-tape-line" if a.line else "next-tape", "note", "measurements", tuple(args)))
    return rows


def several_remarks(told: Several, network: Network, adjusted: Adjusted) -> list[Remark]:
    """Nothing says for certain which reading, or which of several, is wrong; groups that contradict are certain."""
    from palewright.survey import suspect_remark

    def names(readings: Sequence[int]) -> str:
        return ", ".join(" - ".join(network.observations[k].points) for k in readings)

    among = names([suspect.index for suspect in adjusted.suspects])
    args: list[tuple[str, float | int | str]] = [("readings", among)]
    if told.pair:
        slug = "measurements-two-perhaps" if len(told.pair) == _SEVERAL else "measurements-one-perhaps"
        rows = [Remark(slug, "caution", "measurements", (("count", told.left), *args))]
        rows += [suspect_remark(s, network.observations[s.index], perhaps=True) for s in adjusted.suspects]
    elif told.least < _SEVERAL:
        rows = [Remark("measurements-disagree", "caution", "measurements", tested(adjusted))]
    elif told.explained:
        rows = [Remark("measurements-several-wrong", "caution", "measurements", tuple(args))]
    else:
        args = [("least", told.least), *(args if not told.groups else [])]
        rows = [Remark("measurements-many-wrong", "caution", "measurements", tuple(args))]
    for group in told.groups[:_MOST_GROUPS]:
        readings = (("readings", names(group)),)
        rows.append(Remark("measurements-contradict", "caution", "measurements", readings))
    return rows


def corner_remark(o: Observation, places: Mapping[str, Fixed]) -> Remark:
    """A corner that was assumed square, as the measurements have it."""
    a, corner, b = (places[name].xy for name in o.points)
    angle = angle_at(a, corner, b)
    value = o.value if o.value <= math.pi else 2.0 * math.pi - o.value
    level = "caution" if abs(angle - value) > _SQUARE else "note"
    args = (("point", o.points[1]), ("computed_deg", round(math.degrees(angle), 2)))
    return Remark("corner-measured", level, f"point {o.points[1]}", args, o.at)
