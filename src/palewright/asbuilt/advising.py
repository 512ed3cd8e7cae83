"""What to move, and how far, when a check of the stake-out reads off."""

from __future__ import annotations

import itertools
import math

from palewright.model import CornerCheck, Plan, StringLine, Tie
from palewright.plane import XY, angle_between, distance, sub
from palewright.record import Record

__all__ = ["Advice", "advise", "swing"]


class Advice(Record):
    """What to move for a check that is off.

    what
        "stake" (square to its string), "nail" (along the tape), or "nothing" where both ends stand. name: of it.
        string: of a stake, "" of a nail.
    toward
        where it moves when the tape reads too long: a post, or what the tape is held from. per: how far it moves for
        each metre that the tape is off.
    """

    what: str
    name: str
    string: str
    toward: str
    per: float


def swing(leg_a: float, leg_b: float, angle: float, far: float) -> float:
    """How far the far end of one string moves, square to it, for each metre that a diagonal is off.

    leg_a, leg_b
        from the corner to both ends of the diagonal [m], > 0. angle: between them [rad, 0 < angle < pi].
    far
        from the corner to what is moved [m], >= 0.
    Returns far x c / (a b sin(angle)), c the diagonal; to first order. Raises ValueError outside the ranges.
    Source: geometry (law of cosines, differentiated).

    >>> round(swing(9.0, 12.0, math.pi / 2, 60.0), 4)
    8.3333
    """
    if not (leg_a > 0.0 and leg_b > 0.0 and far >= 0.0 and 0.0 < angle < math.pi):
        raise ValueError("legs are longer than 0, and the angle lies between 0 and pi")
    diagonal = math.sqrt(leg_a**2 + leg_b**2 - 2.0 * leg_a * leg_b * math.cos(angle))
    return far * diagonal / (leg_a * leg_b * math.sin(angle))


def advise(plan: Plan, check: Tie | CornerCheck) -> Advice:
    """What to move for a check that is off: the far stake of the second string, or the nail that a tape places."""
    strings = {string.name: string for string in plan.stakeout.strings}
    places = {post.label: post.xy for post in plan.design.posts}
    if isinstance(check, CornerCheck):
        one, two = (strings[name] for name in check.strings)
        crossing = next(
            c.xy for c in plan.stakeout.crossings if c.post == check.post and set(c.strings) == set(check.strings)
        )
        return _stake(one, two, crossing, (*check.legs_m, check.angle), places)
    if check.why == "diagonal":
        ends = {string.name: _ends(string) for string in plan.stakeout.strings}
        ones = [string for string in plan.stakeout.strings if check.start in ends[string.name]]
        twos = [string for string in plan.stakeout.strings if check.end in ends[string.name]]
        for two, one in itertools.product(twos, ones):
            shared = ends[one.name] & ends[two.name]
            if one.name != two.name and shared and not shared & {check.start, check.end}:
                a, b, c = places[check.start], places[check.end], places[next(iter(shared))]
                legs = (distance(a, c), distance(b, c), angle_between(sub(a, c), sub(b, c)))
                return _stake(one, two, c, legs, places)
    return _nail(plan, check)


def _nail(plan: Plan, check: Tie) -> Advice:
    """The nail at the far end of a tape moves; that at its near end where the far one is on a wall."""
    numbers = {post.label: post.number for post in plan.design.posts}
    for nail, other in ((check.end, check.start), (check.start, check.end)):
        if numbers.get(nail):
            return Advice("nail", nail, "", other, 1.0)
    return Advice("nothing", check.end, "", check.start, 1.0)


def _ends(string: StringLine) -> set[str]:
    """The posts at both ends of a string."""
    return {string.marks[0].post, string.marks[-1].post} if string.marks else set()


def _stake(
    one: StringLine, two: StringLine, corner: XY, legs: tuple[float, float, float], places: dict[str, XY]
) -> Advice:
    """The far stake of the second string moves; toward the far post of the first, which makes the angle smaller."""
    stake = max(two.stakes, key=lambda stake: distance(stake.xy, corner))
    toward = max((mark.post for mark in one.marks), key=lambda label: distance(places[label], corner))
    return Advice("stake", stake.label, two.name, toward, swing(*legs, distance(stake.xy, corner)))
