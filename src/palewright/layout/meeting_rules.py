"""How a fence may meet the ground: its rules, what looks cost, and the answer. Plain SI numbers, no formula."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from palewright.errors import Problem, ProblemError
from palewright.record import Record

__all__ = [
    "OPEN",
    "Floats",
    "GroundBreak",
    "GroundRemedy",
    "GroundRules",
    "LookWeights",
    "Met",
    "StepsAt",
    "check_rules",
]

Floats = NDArray[np.float64]

#: bays at which the fence ends on both sides: a gate hangs there, or nobody knows the ground
OPEN = ("gate", "assumed")

#: a rule is kept when it is missed by no more than this [m]
SLACK_M = 1e-9


class GroundRules(Record):
    """What the fence must keep.

    infill_m
        from the bottom to the top of the infill [m].
    least_m, target_m, most_m
        room between the bottom and the ground [m]: allowed anywhere in a bay, wished for, allowed anywhere in a bay.
    rack
        most that a racked bay may rise, over its level length; None where the material sets no limit.
    smallest_step_m, largest_step_m, step_multiple_m
        a step is 0 or between the two, and a multiple of the third (0: of the grid) [m].
    grid_m
        what a tape can set: every elevation is a multiple of it above the first one [m].
    legal_m
        most that the top may stand above the reference heights given beside the rules [m]; None: no such rule.
    most_infill_m
        longest board under a level top [m]; None: no such rule.
    equal
        a change of the height of the steps is priced as such, however small: one height for each even stretch.
    """

    infill_m: float
    least_m: float
    target_m: float
    most_m: float
    rack: float | None = None
    smallest_step_m: float = 0.0
    largest_step_m: float = math.inf
    step_multiple_m: float = 0.0
    grid_m: float = 0.00635
    legal_m: float | None = None
    equal: bool = False
    most_infill_m: float | None = None


StepsAt = Sequence["GroundRules | None"]
"""For each post what a step at it must keep; None where the fence may not step."""


class LookWeights(Record):
    """What is weighed when several ways keep the rules, each in metres of post. Common practice, put into numbers here.

    post
        a metre of post beyond that of the same fence on level ground. gap: a metre by which the room under the end of
        a bay differs from the target, both ends of a bay halved.
    step
        a step that is not 0. even: a metre of difference between one step and the next. new: another height of step
        (only with ``GroundRules.equal``, instead of ``even``).
    bend
        a metre of difference in rise between one racked bay and the next, for bays of ``BEND_BAY_M``.
    change
        a change between racked and level. scribe: a bay whose bottom is cut to the ground, board by board.
    """

    post: float = 1.0
    gap: float = 0.5
    step: float = 0.1
    even: float = 1.0
    new: float = 0.3
    bend: float = 0.5
    change: float = 0.3
    scribe: float = 0.05


class GroundBreak(Record):
    """A rule that is not kept.

    rule
        "least-gap", "most-gap", "legal-height", "rack", "largest-step" or "longest-infill".
    bay
        number of the bay from 0; for a step the bay after it. at_m: station where it is worst [m].
    by_m
        how far it is missed [m]. found_m, allowed_m: what is there and what is allowed [m].
    """

    rule: str
    bay: int
    at_m: float
    by_m: float
    found_m: float
    allowed_m: float


class GroundRemedy(Record):
    """What would heal a break of a rule: "fill", "cut", "kick-board", "another-bay", "more-gap", "less-gap",
    "lower-infill", "more-rack", "step-it", "more-levels"; below a gate "lower-leaf", "threshold", "other-swing" or
    "other-place".

    bay, from_m, to_m
        where [m]. amount_m: how deep, how high or how much at the worst place [m]; ``count`` of
        bays for "another-bay", of stretches for "more-levels".
    """

    rule: str
    slug: str
    bay: int
    from_m: float
    to_m: float
    amount_m: float
    count: int = 0


class Met(Record):
    """How a run meets the ground.

    modes
        of each bay: "racked", "stepped", "level-top", "grade", "gate" or "assumed".
    bottoms_m, tops_m
        heights of the infill of each bay at its two posts [m], shape (bays, 2). Under a level top the bottom follows
        the ground between the posts; it is straight otherwise.
    cost, parts
        of what was weighed [m of post], and each share of it by the name of its weight, with "breaks" for rules that
        cannot be kept. bound: nothing on the grid costs less. proof: how that is known.
    breaks
        rules that cannot be kept; empty where all are.
    """

    modes: tuple[str, ...]
    bottoms_m: Floats
    tops_m: Floats
    cost: float
    bound: float
    proof: str
    parts: dict[str, float]
    weights: LookWeights
    breaks: tuple[GroundBreak, ...] = ()


def check_rules(rules: GroundRules) -> None:
    """Raises ProblemError when rules contradict one another."""
    multiple = rules.step_multiple_m / rules.grid_m if rules.grid_m > 0.0 else 0.0
    wrong = (
        not 0.0 < rules.infill_m < math.inf and "the infill has no height",
        not 0.0 < rules.grid_m < math.inf and "the grid of elevations is not larger than 0",
        not rules.least_m <= rules.target_m <= rules.most_m < math.inf
        and "the gap must run from least over target to most",
        rules.rack is not None and not rules.rack >= 0.0 and "the limit of rack is negative",
        not 0.0 <= rules.smallest_step_m <= rules.largest_step_m and "the smallest step is above the largest",
        abs(multiple - round(multiple)) > 1e-6 and "the multiple of the steps is not one of the grid",
        rules.legal_m is not None and not rules.legal_m > 0.0 and "the legal height is not larger than 0",
        rules.most_infill_m is not None
        and not rules.most_infill_m >= rules.infill_m
        and "the longest infill is shorter than the infill",
    )
    found = [words for words in wrong if words]
    if found:
        raise ProblemError(
            Problem(
                "ground-rules-contradict",
                str(found[0]),
                found=", ".join(
                    f"{name} {getattr(rules, name)}" for name in ("least_m", "target_m", "most_m", "grid_m")
                ),
                allowed="0 < infill; least <= target <= most; smallest step <= largest step; steps on the grid",
                hint="give the gap as least, target and most, and the grid as what a tape can set",
            )
        )
