"""Corners and checks of the crew sheets: tapes that place the corners, triangles on the strings, tapes that prove."""

from __future__ import annotations

import itertools
import math
from typing import Any

from palewright.model import CornerCheck, Tie
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.words import say

__all__ = ["checks_data", "tape_long"]

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
        "finds": _finds(sheet, finds),
        "brackets": [
            {"text": say(remark, sheet.plan.settings), "strong": remark.level == "caution"}
            for remark in stakeout.remarks
            if remark.slug in ("bracket-place", "bracket-not-locatable")
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
        "square_known": sheet("crew.known_note") if any(corner["known"] for corner in corners) else "",
        "proof_known": sheet("crew.known_note") if any(tape["known"] for tape in proofs) else "",
    }


def _finds(sheet: Sheet, tapes: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """A row for each post that tapes place, in order of work, and for each that nothing places."""
    plan = sheet.plan
    rows: dict[str, list[dict[str, Any]]] = {}
    for tape in tapes:
        rows.setdefault(tape["to"], []).append(tape)
    lost: list[str] = []
    lines: dict[str, str] = {}
    for remark in plan.stakeout.remarks:
        args = dict(remark.args)
        if remark.slug == "few-ties":
            lost = [sheet.post(label) for label in str(args["posts"]).split(", ")]
        elif remark.slug == "post-in-line":
            lines[sheet.post(str(args["post"]))] = sheet("crew.find_line", wall=args["wall"], end=args["start"])
    hangs = sheet("crew.find_hangs", points=", ".join(sheet.assumed()))
    hanging = {sheet.post(post.label) for post in plan.design.posts if post.assumed} if sheet.assumed() else set()
    return [
        {
            "to": to,
            "tapes": rows.get(to, []),
            "line": lines.get(to, ""),
            "lost": sheet("crew.find_lost") if to in lost else "",
            "hangs": hangs if to in hanging else "",
        }
        for to in dict.fromkeys((*rows, *lost))
    ]


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
        "known": _known(sheet, check),
        "angle": check.angle,
        "ratio": check.legs_m[1] / check.legs_m[0],
        "assumed": check.assumed,
        "hangs": "" if check.assumed else _hangs(sheet, check.post),
    }


def _hangs(sheet: Sheet, label: str) -> str:
    """On which unmeasured corners the place of a post hangs."""
    post, points = sheet.posts().get(label), sheet.assumed()
    return sheet("crew.corner_hangs", points=", ".join(points)) if post and post.assumed and points else ""


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
        "notes": [note for note in (tape_long(sheet, tie, start), _proves(sheet, tie)) if note],
        "known": _known(sheet, tie),
    }


def _within(sheet: Sheet, check: CornerCheck | Tie) -> str:
    return sheet("common.tolerance", tolerance=sheet.measures.tolerance(check.tolerance_m))


def _proves(sheet: Sheet, check: CornerCheck | Tie) -> str:
    """How far off the far end may be, where a tape does not read as closely as the job asks."""
    if check.far_off_m <= sheet.plan.settings.tolerance_m * 1.001:
        return ""
    return sheet("crew.proves_only", within=_within(sheet, check), off=sheet.measures.small(check.far_off_m))


def _known(sheet: Sheet, check: CornerCheck | Tie) -> str:
    """How well the points behind a figure are known, and above what to stop, where its tolerance asks for more."""
    if check.known_m is None or check.most_off_m is None or check.known_m <= check.tolerance_m:
        return ""
    show = sheet.measures.tolerance
    return sheet("crew.known_only", known=show(check.known_m), most=show(check.most_off_m))


def tape_long(sheet: Sheet, tie: Tie, start: str) -> str:
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
