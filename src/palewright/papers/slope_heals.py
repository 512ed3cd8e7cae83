"""What would heal a rule that a bay does not keep, and what a moved post does to its top, in words."""

from __future__ import annotations

from palewright.model import BayMeeting, Leg, Meeting, MeetingRemedy, Run
from palewright.papers.sheet import Sheet
from palewright.papers.slope_cuts import kick_words

__all__ = ["healed", "top_moves"]

_FOOT_M = 0.3048
_STEP_M = 0.0254 / 16
"""A top that moves by less than this over a foot stays (our own choice): 1/16 in."""


def healed(sheet: Sheet, run: Run, meeting: Meeting, met: BayMeeting, key: str) -> list[str]:
    """Each rule that a bay does not keep, and what would heal it; the office or the owner says which.

    key
        of the sentence: "heal" for the crew, "decide" for the decision page.
    """
    bay = sheet.plan.design.bays[met.bay - 1]
    said = []
    for rule, by in met.breaks:
        place = met.most if rule == "most-gap" else met.least
        args = {"by": sheet.measures.up(by), "at": sheet.measures.length(place.at_m)}
        fact = sheet(f"slope.broken_{rule.replace('-', '_')}", **args)
        mine = [remedy for remedy in meeting.remedies if (remedy.bay, remedy.rule) == (met.bay, rule)]
        ways = "; ".join(_way(sheet, run, meeting, met, remedy, by) for remedy in mine)
        words = sheet(
            f"slope.{key}" if ways else f"slope.{key}_none", fact=fact, ways=ways, bay=f"{bay.start} – {bay.end}"
        )
        said.append(words)
    return said


def _way(sheet: Sheet, run: Run, meeting: Meeting, met: BayMeeting, remedy: MeetingRemedy, by_m: float) -> str:
    if remedy.slug == "kick-board":
        return kick_words(sheet, run, meeting, met, by_m)
    show = sheet.measures
    amount = show.length(remedy.amount_m) if remedy.slug == "another-bay" else show.up(remedy.amount_m)
    ends = {"start": show.length(remedy.from_m), "end": show.length(remedy.to_m)}
    return sheet(f"slope.remedy_{remedy.slug.replace('-', '_')}", amount=amount, count=remedy.count, **ends)


def top_moves(sheet: Sheet, leg: Leg, label: str) -> tuple[str, str]:
    """What the top of a post does for each foot, or 10 cm, that it is moved back or on along its leg; "": it stays.

    It keeps to the line of the bay that it moves into: that of a racked bay slopes, every other is level.
    """
    at = leg.posts.index(label)
    into = (leg.bays[at - 1] if at else 0, leg.bays[at] if at < len(leg.bays) else 0)
    return _rate(sheet, leg, into[0], -1.0), _rate(sheet, leg, into[1], 1.0)


def _rate(sheet: Sheet, leg: Leg, number: int, way: float) -> str:
    meetings = (meeting for meeting in sheet.plan.design.meetings if meeting.run == leg.run)
    met = next((met for meeting in meetings for met in meeting.bays if met.bay == number), None)
    if met is None or met.mode not in ("racked", "grade"):
        return ""
    slope = way * (met.top_m[1] - met.top_m[0]) / sheet.plan.design.bays[number - 1].length_m
    if abs(slope) * _FOOT_M < _STEP_M:
        return ""
    show = sheet.measures
    per = 0.1 if show.style == "metric" else _FOOT_M
    key = "slope.moved_up" if slope > 0.0 else "slope.moved_down"
    return sheet(key, by=show.small(abs(slope) * per), per=show.length(per))
