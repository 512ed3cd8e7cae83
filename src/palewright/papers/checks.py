"""Corners and checks of the crew sheets: tapes that place the corners, triangles on the strings, tapes that prove."""

from __future__ import annotations

import itertools
import math
from typing import Any

from palewright.model import CornerCheck, Tie
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.words import say

__all__ = ["checks_data"]

_FOOT_M = 0.3048


def checks_data(sheet: Sheet) -> dict[str, Any]:
    """What the pages of corners and checks print, in the order of work.

    Tapes have the numbers they have on the drawings: from what stands, then triangles, then diagonals; whole lengths
    have none.
    """
    stakeout = sheet.plan.stakeout
    number = itertools.count(1)
    finds = [_tape(sheet, tie, str(next(number))) for tie in stakeout.ties if tie.why == "tie"]
    corners = [_corner(sheet, check, str(next(number))) for check in stakeout.checks]
    proofs = [
        _tape(sheet, tie, "" if tie.why == "overall" else str(next(number)))
        for tie in stakeout.ties
        if tie.why != "tie"
    ]
    few = [r for r in stakeout.remarks if r.slug in ("nothing-stands", "few-ties")]
    return {
        "finds": [
            {"to": to, "tapes": list(tapes)} for to, tapes in itertools.groupby(finds, lambda tape: str(tape["to"]))
        ],
        "few": [say(remark, sheet.plan.settings) for remark in few],
        "to_find": [
            sheet.post(label)
            for remark in few
            if remark.slug == "nothing-stands"
            for label in str(dict(remark.args)["posts"]).split(", ")
        ],
        "corners": corners,
        "ties": proofs,
    }


def _corner(sheet: Sheet, check: CornerCheck, number: str) -> dict[str, Any]:
    show = sheet.measures
    one, two = (short(name, 40) for name in check.strings)
    legs = [show.length(leg) for leg in check.legs_m]
    way = sheet("crew.corner_way_chord")
    if check.method.startswith("3-4-5 by "):
        way = sheet("crew.corner_way_345", times=check.method[9:])
    square = abs(check.angle - math.pi / 2.0) < 1e-4
    return {
        "number": number,
        "at": sheet("crew.corner_at", post=check.post),
        "strings": sheet("crew.corner_strings", one=one, two=two),
        "what": sheet("crew.corner_square") if square else sheet("crew.corner_angle"),
        "way": way,
        "do": sheet("crew.corner_do", one=one, two=two, one_leg=legs[0], two_leg=legs[1]),
        "along": [sheet("crew.along", string=one), sheet("crew.along", string=two)],
        "legs": legs,
        "diagonal": show.length(check.diagonal_m),
        "tolerance": _within(sheet, check),
        "proves": _proves(sheet, check),
        "angle": check.angle,
        "ratio": check.legs_m[1] / check.legs_m[0],
        "assumed": check.assumed,
    }


def _tape(sheet: Sheet, tie: Tie, number: str) -> dict[str, Any]:
    labels = {post.label for post in sheet.plan.design.posts}
    start, end = (sheet.post(name) if name in labels else short(name, 40) for name in (tie.start, tie.end))
    return {
        "number": number,
        "from": start,
        "to": end,
        "why": sheet.term(tie.why),
        "expect": sheet.measures.length(tie.length_m),
        "tolerance": _within(sheet, tie),
        "notes": [note for note in (_long(sheet, tie, start), _proves(sheet, tie)) if note],
    }


def _within(sheet: Sheet, check: CornerCheck | Tie) -> str:
    return sheet("common.tolerance", tolerance=sheet.measures.tolerance(check.tolerance_m))


def _proves(sheet: Sheet, check: CornerCheck | Tie) -> str:
    """How far off the far end may be, where a tape does not read as closely as the job asks."""
    if check.far_off_m <= sheet.plan.settings.tolerance_m * 1.001:
        return ""
    return sheet("crew.proves_only", off=sheet.measures.small(check.far_off_m))


def _long(sheet: Sheet, tie: Tie, start: str) -> str:
    """How to tape what is longer than the tape: equal whole feet (metres) to points in line, and the rest."""
    tape = sheet.plan.settings.tape_m
    if tie.length_m <= tape + 1e-9:
        return ""
    step = 1.0 if sheet.measures.style == "metric" else _FOOT_M
    pieces = math.ceil(tie.length_m / tape - 1e-9)
    part = min(tape, math.ceil(tie.length_m / pieces / step - 1e-9) * step)
    show = sheet.measures.length
    rest = tie.length_m - (pieces - 1) * part
    key = "crew.tape_long" if pieces == 2 else "crew.tape_longer"
    return sheet(key, tape=show(tape), part=show(part), start=start, rest=show(rest))
