"""Heights as a paper prints them: points, what was levelled, the notes and how they close."""

from __future__ import annotations

from typing import Any

from palewright.model import AdjustedLevels, Heights, LevelClosure, LevelFit, LevelLine, ObservationFit, Rise
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.words import table

__all__ = ["heights_data"]

#: 95 of 100 errors of a height lie within so many standard deviations.
_NINETEEN = 1.96
_SIGHT = {"back": "backsight", "fore": "foresight"}


def heights_data(sheet: Sheet, heights: Heights) -> dict[str, Any]:
    """What the measurement page prints of heights, as plain data."""
    fit = _shown(heights)
    doubted = {s.index for s in heights.adjusted.suspects} | {j for s in heights.adjusted.suspects for j in s.among}
    readings = zip(heights.rises, fit.fits, strict=True)
    base = sheet("heights.above", point=short(heights.above, 40)) if heights.above else sheet("heights.given")
    return {
        "w": table("heights", sheet.language),
        "base": f"{base} {sheet('heights.unsure')}" if _unsure(heights.adjusted) else base,
        "points": [_point(sheet, heights, k) for k in range(len(heights.points))],
        "readings": [_reading(sheet, rise, found, found.index in doubted) for rise, found in readings],
        "lines": [_line(sheet, heights, fit, k, line) for k, line in enumerate(heights.lines)],
    }


def _unsure(adjusted: AdjustedLevels) -> bool:
    """Whether something is wrong and it is not known what."""
    return any(not suspect.alone for suspect in adjusted.suspects) or len(adjusted.doubted) > 1


def _shown(heights: Heights) -> LevelFit:
    """The fit that the heights are taken from: without the readings that are known to be wrong."""
    rest = heights.adjusted.without
    return heights.adjusted if rest is None or _unsure(heights.adjusted) else rest


def _point(sheet: Sheet, heights: Heights, k: int) -> dict[str, str]:
    point = heights.points[k]
    let_go = point.name in heights.adjusted.doubted and point.sigma > 0.0
    how = "let_go" if let_go else "levelled" if point.sigma > 0.0 else "zero" if heights.above else "given"
    within = sheet.measures.spread(_NINETEEN * point.sigma)
    return {
        "name": short(point.name, 40),
        "height": sheet.measures.length(point.height),
        "within": f"± {within}" if point.sigma > 0.0 else "",
        "how": sheet(f"heights.how_{how}"),
    }


def _reading(sheet: Sheet, rise: Rise, found: ObservationFit, doubted: bool) -> dict[str, Any]:
    small = sheet.measures.spread
    points = {"start": short(rise.start, 30), "end": short(rise.end, 30)}
    rod = f"{sheet.term(_SIGHT[rise.kind])} {points['start']}" if rise.kind in _SIGHT else ""
    return {
        "what": rod or sheet("heights.kind_rise", **points),
        "tool": short(rise.tool, 40) if rise.tool else sheet("survey.no_tool"),
        "reads": rise.words or sheet.measures.length(rise.value),
        "sigma": "± " + small(rise.sigma),
        "off": small(abs(found.residual)) if found.test is not None or doubted else "",
        "notices": small(found.least_blunder) if found.least_blunder is not None else "",
        "doubted": doubted,
    }


def _line(sheet: Sheet, heights: Heights, fit: LevelFit, k: int, line: LevelLine) -> dict[str, Any]:
    key = "heights.line_with" if line.how else "heights.line"
    at = {point.name: point.height for point in fit.points}
    sights = {rise.at: rise.end for rise in heights.rises if rise.kind == "back"}
    shown = sheet.measures.length
    closure = next((closure for closure in heights.closures if closure.line == k + 1), None)
    return {
        "title": sheet(key, line=k + 1, tool=short(line.how, 40)),
        "rows": [
            {
                "point": short(note.point, 40),
                "back": note.back_text if note.back is not None else "",
                "sight": shown(at[sights[note.at]]) if sights.get(note.at) in at else "",
                "fore": note.fore_text if note.fore is not None else "",
                "height": shown(at[note.point]) if note.point in at else "",
            }
            for note in line.notes
        ],
        "closes": _closes(sheet, closure) if closure is not None else [sheet("heights.not_closed")],
    }


def _closes(sheet: Sheet, closure: LevelClosure) -> list[str]:
    """The sums, by how much they miss, and what rules and the instrument allow."""
    shown, small = sheet.measures.length, sheet.measures.spread
    off = small(abs(closure.misclosure_m)) if closure.misclosure_m else small(0.0)
    sums = {"count": closure.setups, "back": shown(closure.back_m), "fore": shown(closure.fore_m)}
    sums |= {"known": shown(closure.known_m), "off": off}
    length = closure.length_m
    first = sheet("heights.setups", **sums) if length is None else sheet(
        "heights.setups_length", length=shown(length), **sums
    )  # fmt: skip
    limits = [
        sheet(f"heights.limit_{limit.rule.replace(' ', '_')}", length=small(limit.most_m),
              source=sheet.source(limit.source))
        for limit in closure.limits
    ]  # fmt: skip
    return [first, *limits, sheet("heights.expected", length=small(closure.expected_m))]
