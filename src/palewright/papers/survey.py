"""The measurement page as data: what was read, what is doubted, how well every point stands, what to tape next."""

from __future__ import annotations

import math
from typing import Any

from palewright.draw.network_sheet import readings, shown_fit
from palewright.draw.words import Words
from palewright.model import Adjusted, NetFit, Observation, Plan, Remark, Survey
from palewright.notation import show_dms, show_small_angle
from palewright.papers.clean import short
from palewright.papers.heights import heights_data
from palewright.papers.sheet import Sheet
from palewright.papers.words import say, table

__all__ = ["survey_data", "verdict"]

#: 95 of 100 places lie within so many standard deviations of an ellipse (two degrees of freedom, sigma known).
_NINETEEN = 2.4477
#: The same of a distance, which errs one way or the other.
_NINETEEN_LINE = 1.96
_SAID = (
    "measurements-",
    "tape-suspect",
    "tape-slip",
    "angle-suspect",
    "angle-slip",
    "corner-measured",
    "network-",
    "next-tape",
    "heights-",
    "levels-",
    "rise-suspect",
    "rise-slip",
    "rod-",
    "fall-differs",
)
_MINUTE = math.radians(1.0 / 60.0)
_LENGTHS = ("distance", "on line", "offset", "along", "east", "north")


def verdict(plan: Plan) -> list[Remark]:
    """The remarks that say what the measurements are worth, cautions first."""
    found = [remark for remark in plan.remarks if remark.slug.startswith(_SAID)]
    return sorted(found, key=lambda remark: remark.level != "caution")


def survey_data(plan: Plan) -> dict[str, Any]:
    """Everything that the measurement page prints, as plain data; places and heights only where they were measured."""
    sheet = Sheet.of(plan)
    said = verdict(plan)
    survey, heights = plan.site.survey, plan.site.heights
    return sheet.head("survey.document") | {
        "w": table("survey", sheet.language),
        "first": [say(remark, plan.settings) for remark in said if remark.level == "caution"],
        "said": [say(remark, plan.settings) for remark in said if remark.level != "caution"],
        **(_places(plan, sheet, survey) if survey is not None else {"readings": [], "points": [], "advice": []}),
        "heights": heights_data(sheet, heights) if heights is not None else None,
    }


def _places(plan: Plan, sheet: Sheet, survey: Survey) -> dict[str, Any]:
    fit = shown_fit(survey)
    advice = [_advice(sheet, survey.adjusted, k) for k in range(len(survey.adjusted.advice))]
    return {
        "readings": [_reading(sheet, survey, fit, number) for number in _numbered(plan, survey)],
        "points": [_point(sheet, survey, fit, k) for k in range(len(fit.points))],
        "advice": [row for row in advice if row["before"] != row["after"]],
    }


def _numbered(plan: Plan, survey: Survey) -> list[tuple[str, int]]:
    """Number on the drawing and index of every reading that is listed, as the sheet of the measurements has them."""
    return [(tape.row.number, int(tape.kind.split()[1])) for tape in readings(survey, Words(plan.settings))]


def _reading(sheet: Sheet, survey: Survey, fit: NetFit, number: tuple[str, int]) -> dict[str, Any]:
    label, k = number
    o, found = survey.network.observations[k], fit.fits[k]
    doubted = {s.index for s in survey.adjusted.suspects} | {j for s in survey.adjusted.suspects for j in s.among}
    return {
        "number": label,
        "what": sheet("survey.kind_" + o.kind.replace(" ", "_"), points=" – ".join(short(n, 30) for n in o.points)),
        "tool": short(o.tool, 40) if o.tool else sheet("survey.no_tool"),
        "reads": _reads(sheet, o),
        "sigma": "± " + _amount(sheet, o, o.sigma),
        "off": _amount(sheet, o, abs(found.residual)) if found.test is not None or k in doubted else "",
        "notices": _amount(sheet, o, found.least_blunder) if found.least_blunder is not None else "",
        "doubted": k in doubted,
    }


def _reads(sheet: Sheet, o: Observation) -> str:
    """A length as it was typed; an angle read to better than a minute in minutes and seconds."""
    if o.kind in _LENGTHS:
        return o.words or sheet.measures.length(o.value)
    return show_dms(o.value) if o.sigma < _MINUTE else f"{math.degrees(o.value):.2f}°"


def _amount(sheet: Sheet, o: Observation, value: float) -> str:
    """A length as the job prints how far something is off; an angle in degrees, with more of them where it is small."""
    return sheet.measures.spread(value) if o.kind in _LENGTHS else show_small_angle(value)


def _point(sheet: Sheet, survey: Survey, fit: NetFit, k: int) -> dict[str, str]:
    point = fit.points[k]
    held = {p.name for p in survey.network.points if p.held}
    leaned = {name for j in survey.adjusted.leaned_on for name in survey.network.observations[j].points}
    how = "held" if point.name in held or point.semi_major < 1e-6 else "leaned" if point.name in leaned else "measured"
    within = sheet.measures.spread(_NINETEEN * point.semi_major)
    return {
        "name": short(point.name, 40),
        "within": "" if how == "held" else f"± {within}",
        "how": sheet(f"survey.how_{how}"),
    }


def _advice(sheet: Sheet, adjusted: Adjusted, k: int) -> dict[str, str]:
    advice = adjusted.advice[k]
    spread, times = sheet.measures.spread, _NINETEEN_LINE if advice.line else _NINETEEN
    before = f"± {spread(times * advice.before)}" if advice.before is not None else sheet("survey.not_fixed")
    after = f"± {spread(times * advice.after)}"
    point = sheet.point(advice.for_point)
    if advice.line:
        point = sheet("survey.for_line", point=point, line=" – ".join(short(name, 30) for name in advice.line))
    return {
        "what": sheet("survey.kind_" + advice.kind.replace(" ", "_"), points=" – ".join(advice.points)),
        "point": point,
        "before": before,
        "after": after,
    }
