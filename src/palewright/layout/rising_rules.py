"""What a run must keep where the ground is known: gaps, rack, marks, and what each step must be."""

from __future__ import annotations

import itertools
import math
from collections.abc import Container, Sequence
from dataclasses import replace

from palewright.errors import JobError, Problem
from palewright.layout.meeting_rules import GroundRules, StepsAt
from palewright.layout.rising_records import Line
from palewright.layout.say import Say
from palewright.model import StepSpec

__all__ = ["rules_of"]

GRID_M = 0.00635
GRID_METRIC_M = 0.005
"""Bottoms stand on marks a quarter of an inch apart, 5 mm in metric jobs: what a crew sets from a string (common
practice). Where steps are whole numbers of something else the marks are the nearest even part of that."""

OUTGROWN_M = 0.3048
"""Where the program proposes, no board of a level top is more than 1 ft longer than those the rails stand for (our own
choice; a run that asks for a level top gets it, and is told)."""

_SAME_MARK_M = 1e-6

_LEAST_MARK_M = 1e-3
"""Marks finer than 1 mm nobody sets (common practice)."""


def rules_of(line: Line, say: Say, firm: Container[str]) -> tuple[GroundRules, StepsAt]:
    """The rules of a run, and of a step at each of its posts; ``firm``: labels of posts at which it may not step.

    Raises JobError where steps of its stretches have no common mark.
    """
    marks_m = GRID_METRIC_M if say.style == "metric" else GRID_M
    rules = _rules(line, marks_m)
    return rules, _steps(line, rules, marks_m, firm)


def _rules(line: Line, marks_m: float) -> GroundRules:
    kind = line.trace.kind
    least, most = (float(kind.value(key, 0.0) or 0.0) for key in ("least gap", "most gap"))
    target = kind.bottom_gap_m
    if line.limits.most_gap_m is not None:
        most = min(max(most, target), line.limits.most_gap_m)
        target = min(target, most)
    rack = None
    if kind.rack is not None:
        # the limit is given over the length of the panel along its rails, not over its level length
        rack = kind.rack.rise_m / math.sqrt(kind.rack.over_m**2 - kind.rack.rise_m**2)
    grid = _grid([spec.multiple_m for spec in _steps_asked(line) if spec is not None], marks_m)
    if grid < _LEAST_MARK_M:
        raise JobError([_no_mark(line)])
    longest = kind.infill_m + OUTGROWN_M if "best" in line.asked and "level-top" not in line.asked else None
    return GroundRules(
        kind.infill_m,
        min(least, target),
        target,
        max(most, target),
        rack,
        grid_m=grid,
        most_infill_m=longest,
    )


def _steps_asked(line: Line) -> list[StepSpec | None]:
    """What was asked of steps, by bay."""
    return [line.trace.steps_at((a + b) / 2.0) for a, b in itertools.pairwise(line.stations)]


def _steps(line: Line, rules: GroundRules, marks_m: float, firm: Container[str]) -> StepsAt:
    """What a step at each post must keep: as the stretch after it asks; ``firm``: labels of posts without any."""
    asked = _steps_asked(line)
    found: list[GroundRules | None] = []
    for post, spec in zip(line.posts, [*asked, asked[-1]], strict=True):
        if post.label in firm:
            found.append(None)
        elif spec is None:
            found.append(rules)
        else:
            found.append(
                replace(
                    rules,
                    smallest_step_m=spec.smallest_m,
                    largest_step_m=math.inf if spec.largest_m is None else spec.largest_m,
                    step_multiple_m=max(_on_marks(spec.multiple_m, marks_m), rules.grid_m),
                    equal=spec.equal,
                )
            )
    return found


def _no_mark(line: Line) -> Problem:
    spec = line.trace.spec
    return Problem(
        "steps-without-common-mark",
        f"steps of run {spec.name} are whole numbers of lengths that share no mark",
        where=spec.at,
        allowed="`in` of all its stretches whole numbers of 1 mm or more",
        hint="one `in` for the whole run, or such that are multiples of one another",
    )


def _on_marks(multiple: float, marks: float) -> float:
    """What a step is a whole number of, not finer than the marks that a crew sets [m]."""
    return multiple * max(1, round(marks / multiple)) if multiple else 0.0


def _grid(multiples: Sequence[float], marks: float) -> float:
    """The marks nearest to the usual ones of which steps of every sort are whole numbers [m]."""
    common = 0.0
    for multiple in multiples:
        one = _on_marks(multiple, marks)
        while one > _SAME_MARK_M:  # the greatest common measure; each remainder is the nearest one
            common, one = one, abs(common - round(common / one) * one)
    return common / max(1, round(common / marks)) if common else marks
