"""Tables that a phone compares a reading with: whole marks of the tape, and what to say from one to another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from palewright.asbuilt import Advice, advise, check_verdict, expected_on_tape, mark_m
from palewright.model import CornerCheck, Tie
from palewright.papers.sheet import Sheet

__all__ = ["END", "built_rows", "check_rows", "depth_rows", "joined", "offset_rows", "spread", "units", "up_to_rows"]

END = 10**9
"""Marks beyond which no tape reads: where the first row begins and the last ends."""

_SPREAD_M = 0.0508
"""Advice is given for readings that are up to so much off, 2 in; more is a slip of another sort (our own choice)."""

Say = Callable[[int], tuple[bool, str]]


def units(sheet: Sheet) -> dict[str, Any]:
    """The marks of the tape, and how many make its units."""
    style, mark = sheet.measures.style, mark_m(sheet.plan.settings)
    made: dict[str, Any] = {"style": style, "tick_m": mark}
    if style == "metric":
        return made | {"metre": 1000, "mm": 1}
    if style == "decimal-feet":
        return made | {"feet": 100}
    return made | {"feet": 12 * sheet.plan.settings.fraction, "inch": sheet.plan.settings.fraction}


def spread(sheet: Sheet) -> int:
    """How many marks off a reading still gets advice of its own."""
    return round(_SPREAD_M / mark_m(sheet.plan.settings))


def joined(first: int, last: int, say: Say, below: tuple[bool, str], above: tuple[bool, str]) -> list[dict[str, Any]]:
    """Rows from mark to mark with one answer each, neighbours with the same answer joined; ends as given."""
    rows = [{"from": -END, "to": first - 1, "ok": below[0], "say": below[1]}]
    for mark in range(first, last + 1):
        ok, text = say(mark)
        if (ok, text) != (rows[-1]["ok"], rows[-1]["say"]):
            rows.append({"from": mark, "to": mark, "ok": ok, "say": text})
        rows[-1]["to"] = mark
    if above != (rows[-1]["ok"], rows[-1]["say"]):
        rows.append({"from": last + 1, "to": END, "ok": above[0], "say": above[1]})
    rows[-1]["to"] = END
    return rows


def check_rows(sheet: Sheet, check: Tie | CornerCheck) -> tuple[int, list[dict[str, Any]]]:
    """The mark that a check must read, and what to do by how much it reads off."""
    mark = mark_m(sheet.plan.settings)
    expected = expected_on_tape(check.diagonal_m if isinstance(check, CornerCheck) else check.length_m, mark)
    advice = advise(sheet.plan, check)
    toward = sheet.post(advice.toward) if advice.toward in sheet.posts() else advice.toward
    tolerance = sheet("common.tolerance", tolerance=sheet.measures.tolerance(check.tolerance_m))

    def say(at: int) -> tuple[bool, str]:
        off = (at - expected) * mark
        verdict = check_verdict(check, off)
        if verdict == "passed":
            return True, sheet("yard.check_passed", tolerance=tolerance)
        if verdict == "explained":
            return True, sheet("yard.check_explained", off=sheet.measures.taped(abs(off)))
        return False, _advice(sheet, advice, toward, off)

    wide = spread(sheet)
    far = (False, sheet("yard.check_far", most=sheet.measures.taped(wide * mark)))
    return expected, joined(expected - wide, expected + wide, say, far, far)


def _advice(sheet: Sheet, advice: Advice, toward: str, off: float) -> str:
    """What to move for a reading that is off [m], longer positive; ``toward``: the words for its way."""
    way = "long" if off > 0.0 else "short"
    small = sheet.measures.small
    name = sheet.post(advice.name) if advice.what == "nail" else advice.name
    return sheet(
        f"yard.{advice.what}_{way}",
        off=small(abs(off)),
        by=small(abs(off) * advice.per),
        name=name,
        string=advice.string,
        toward=toward,
    )


def offset_rows(sheet: Sheet, face_m: float) -> tuple[int, list[dict[str, Any]]]:
    """From the string to a near face: the mark it must read, and what to do with the post."""
    mark, tolerance = mark_m(sheet.plan.settings), sheet.plan.settings.tolerance_m
    expected, wide = expected_on_tape(face_m, mark), spread(sheet)

    def say(at: int) -> tuple[bool, str]:
        off = (at - expected) * mark
        if abs(off) <= tolerance + 1e-6:
            return True, sheet("yard.in_line")
        return False, sheet("yard.too_far" if off > 0.0 else "yard.too_near", off=sheet.measures.taped(abs(off)))

    most = sheet.measures.taped(wide * mark)
    near, far = sheet("yard.far_too_near", most=most), sheet("yard.far_too_far", most=most)
    return expected, joined(expected - wide, expected + wide, say, (False, near), (False, far))


def depth_rows(sheet: Sheet, depth_m: float) -> tuple[int, list[dict[str, Any]]]:
    """The least mark that a hole must be deep, and what to say below and above."""
    needed = expected_on_tape(depth_m, mark_m(sheet.plan.settings))
    shallow = sheet("yard.shallow", depth=sheet.measures.inches(depth_m))
    return needed, [
        {"from": -END, "to": needed - 1, "ok": False, "say": shallow},
        {"from": needed, "to": END, "ok": True, "say": sheet("yard.deep")},
    ]


def up_to_rows(sheet: Sheet, limit_m: float, within: str, beyond: str) -> tuple[int, list[dict[str, Any]]]:
    """The last mark within a limit, and what to say up to it and beyond."""
    last = int(limit_m / mark_m(sheet.plan.settings) + 1e-6)
    return last, [
        {"from": -END, "to": last, "ok": True, "say": within},
        {"from": last + 1, "to": END, "ok": False, "say": beyond},
    ]


def built_rows(sheet: Sheet, planned_m: float, signed_m: float | None) -> dict[str, Any]:
    """What a run must read along it: as signed, else as planned; and what to say of a reading that is off."""
    wanted = planned_m if signed_m is None else signed_m
    mark, tolerance, show = mark_m(sheet.plan.settings), sheet.plan.settings.tolerance_m, sheet.measures
    expected, wide = expected_on_tape(wanted, mark), spread(sheet)
    than = sheet("yard.length_planned" if signed_m is None else "yard.length_signed", length=show.length(wanted))

    def say(at: int) -> tuple[bool, str]:
        off = (at - expected) * mark
        if abs(off) <= tolerance + 1e-6:
            return True, sheet("yard.built_good", tolerance=show.small(tolerance), than=than)
        return False, sheet(
            "yard.built_longer" if off > 0.0 else "yard.built_shorter", off=show.taped(abs(off)), than=than
        )

    far = (False, sheet("yard.built_far", most=show.taped(wide * mark), than=than))
    rows = joined(expected - wide, expected + wide, say, far, far)
    return {"text": show.length(wanted), "ticks": expected, "rows": rows}
