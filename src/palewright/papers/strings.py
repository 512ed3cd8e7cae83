"""The string pages of the crew sheets: how a string is set, and the table of its holes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from palewright.model import Bay, Mark, Move, Post, StringLine, ZoneHit
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.slope_heals import top_moves
from palewright.papers.slopes import along_words, slope_notes
from palewright.papers.stock import post_words
from palewright.papers.undecided import string_asks
from palewright.papers.words import has, say

__all__ = ["TIE_M", "face_note", "hole_rows", "string_page"]

TIE_M = 0.6096
"""String taken up round a stake and in the knot at each end [m]: 2 ft (common practice)."""

_NEAR = 0.3048
"""A zone that is no utility is named beside a hole when this near to its edge [m]; our own choice."""

_SAME = 0.0005
_NOTHING = ('0"', "0 mm", "0.00'")


def string_page(sheet: Sheet, string: StringLine) -> dict[str, Any]:
    """One string: name, offsets, how to set it, hole table."""
    marks = string.marks
    first, last = (marks[0].post, marks[-1].post) if marks else ("", "")
    return {
        "name": sheet("crew.string", name=short(string.name, 60)),
        "posts": sheet("crew.string_posts", first=first, last=last) if marks else "",
        "run": sheet("crew.string_run", run=short(string.run, 60)),
        "trial": any(run.name == string.run and run.trial for run in sheet.plan.design.runs),
        "side": sheet(f"crew.side_{string.side}") if has(f"crew.side_{string.side}") else "",
        "asks": string_asks(sheet, string),
        "centre": _centre(sheet, string),
        "face": sheet.measures.length(string.face_m) if string.arc is None else "",
        "arc": _arc(sheet, string),
        "stakes": [_stake(sheet, string, k) for k in (0, 1)],
        "zero": _zero(sheet, string),
        "total": {
            "label": sheet("crew.string_total"),
            "value": sheet.measures.length(string.length_m),
            "cut": sheet("crew.string_cut", tie=sheet.measures.length(TIE_M)),
        },
        "sighted": _sighted(sheet, string),
        "slope": slope_notes(sheet, string),
        "notes": _notes(sheet, string),
        "rows": hole_rows(sheet, string),
    }


def _centre(sheet: Sheet, string: StringLine) -> str:
    """String to hole centre; of a curve from the least to the most."""
    offs = [mark.offset_m for mark in string.marks if mark.offset_m is not None]
    if string.arc is None or not offs:
        return sheet.measures.length(string.offset_m)
    return sheet("crew.arc_off", least=sheet.measures.length(min(offs)), most=sheet.measures.length(max(offs)))


def _arc(sheet: Sheet, string: StringLine) -> dict[str, str]:
    """What is said of a string beside a curve: its check by the middle ordinate; empty for a straight one."""
    arc, length = string.arc, sheet.measures.length
    if arc is None or not string.marks:
        return {}
    ends = {"first": string.marks[0].post, "last": string.marks[-1].post}
    base = max((at for at in string.rezeros_m if at <= arc.check_m), default=0.0)
    return {
        "note": sheet("crew.arc_note" if arc.way == "chord" else "crew.arc_note_tangent"),
        "check": sheet("crew.arc_check", reads=length(arc.check_m - base), **ends),
        "off": length(arc.off_m),
        "middle": sheet("crew.arc_middle", middle=length(arc.middle_m), radius=length(arc.radius_m), **ends),
    }


def _notes(sheet: Sheet, string: StringLine) -> list[dict[str, Any]]:
    """What the stake-out says of this string, and of its posts whose face stands otherwise from it."""
    said: dict[str, bool] = {}
    for remark in sheet.plan.stakeout.remarks:
        args = dict(remark.args)
        if remark.about != f"string {string.name}" or remark.slug == "stake-refused":
            continue
        if remark.slug == "face-offset-differs":
            key = "crew.face_other" if args["count"] == 1 else "crew.face_others"
            text = sheet(key, posts=args["posts"], face=sheet.measures.length(float(args["face_m"])))
            text += _at_wider(sheet, string, args)
        else:
            text = say(remark, sheet.plan.settings)
        said[text] = remark.level == "caution"
    return [{"text": text, "strong": strong} for text, strong in said.items()]


def face_note(sheet: Sheet, string: StringLine, mark: Mark) -> str:
    """Where to measure to at a post whose face stands otherwise from the string than the others'; "" as at those.

    On a curve each post has its own distance anyway.
    """
    if mark.face_m is None:
        centre = string.offset_m if mark.offset_m is None else mark.offset_m
        return sheet("crew.face_turned", posts=mark.post, centre=sheet.measures.length(centre))
    face = sheet.measures.length(mark.face_m)
    if mark.offset_m is not None or face == sheet.measures.length(string.face_m):
        return ""
    return sheet("crew.face_other", posts=mark.post, face=face)


def _at_wider(sheet: Sheet, string: StringLine, args: Mapping[str, Any]) -> str:
    """What becomes of rails on the face where the posts are thicker than the others."""
    by = float(args["usual_m"]) - float(args["face_m"])
    post = sheet.posts().get(str(args["posts"]).split(", ")[0])
    half = string.offset_m - float(args["usual_m"]) + _SAME
    if post is None or post.depth_m / 2.0 < half or sheet.kinds()[post.kind].value("rail mount") != "on face":
        return ""
    return " " + sheet("crew.face_rails", by=sheet.measures.small(by))


def _place(sheet: Sheet, string: StringLine, end: int) -> str:
    """What stands at an end of the string, in words."""
    what = string.zero if end == 0 else string.end_with
    partner = string.zero_with if end == 0 else _string_name(sheet, string.end_with)
    if (end == 0 and what == "crossing") or (end == 1 and partner):
        return sheet("crew.place_crossing", string=short(partner, 40))
    if what == "wall":
        return sheet("crew.place_wall")
    return sheet("crew.place_post", post=_end_post(sheet, string, end))


def _end_post(sheet: Sheet, string: StringLine, end: int) -> str:
    """What stands at an end of the string: its last post, or the wall bracket beyond it, which has no mark.

    ``end`` 0 is the zero end, 1 the far end. There is a bracket where the end reads otherwise than the last hole.
    """
    if not string.marks:
        return ""
    mark = string.marks[-1 if end else 0]
    reads = string.end_reads_m if end else string.zero_reads_m
    if abs(reads - mark.reads_m) < _SAME:
        return sheet.post(mark.post)
    posts = sheet.posts()
    for leg in sheet.plan.design.legs:
        for bracket, beside in ((leg.posts[0], leg.posts[1:2]), (leg.posts[-1], leg.posts[-2:-1])):
            if beside == (mark.post,) and posts[bracket].hole is None:
                return sheet.post(bracket)
    return sheet.post(mark.post)


def _string_name(sheet: Sheet, word: str) -> str:
    """The name of the string that ``word`` names, or ""."""
    names = [other.name for other in sheet.plan.stakeout.strings]
    if word in names:
        return word
    if word.startswith("string ") and word[7:].isdigit() and 0 < int(word[7:]) <= len(names):
        return names[int(word[7:]) - 1]
    return word[7:] if word.startswith("string ") and word[7:] in names else ""


def _stake(sheet: Sheet, string: StringLine, end: int) -> dict[str, Any]:
    stake = string.stakes[end]
    place = _place(sheet, string, end)
    args = {"stake": stake.label, "place": place, "beyond": sheet.measures.taped(stake.beyond_m)}
    if stake.refused:
        where = sheet("crew.refused_at", place=place)
        said = sheet("crew.stake_refused", stake=stake.label, place=where, refused=_obstacle(sheet, stake.refused))
        return {"text": said, "strong": True}
    if stake.moved:
        return {"text": sheet("crew.stake_moved", **args, moved=_obstacle(sheet, stake.moved)), "strong": False}
    if stake.beyond_m <= 0.0:
        return {"text": sheet("crew.stake_at", stake=stake.label, place=place), "strong": False}
    return {"text": sheet("crew.stake", **args), "strong": False}


def _obstacle(sheet: Sheet, what: str) -> str:
    """What a stake was moved for: a zone by its name, a post, the boundary, a building."""
    sort, _, name = what.partition(" ")
    if sort == "post":
        return sheet.post(name)
    return short(sheet.zone(name) if sort == "zone" else sheet.term(what), 60)


def _zero(sheet: Sheet, string: StringLine) -> list[dict[str, str]]:
    """The readings that set and check the tape: label and value."""
    length = sheet.measures.length
    first = string.marks[0].post if string.marks else ""
    if string.zero == "crossing":
        label = sheet("crew.zero_crossing", **{"with": short(string.zero_with, 40)})
    elif string.zero == "wall":
        label = sheet("crew.zero_wall")
    else:
        label = sheet("crew.zero_stake_line", post=_end_post(sheet, string, 0))
    rows = [{"label": label, "value": length(string.zero_reads_m)}]
    if first:
        rows.append({"label": sheet("crew.first_post", post=first), "value": length(string.first_reads_m)})
    partner = _string_name(sheet, string.end_with)
    if partner:
        label = sheet("crew.end_crossing", **{"with": short(partner, 40)})
    elif string.end_with == "wall":
        label = sheet("crew.end_wall")
    else:
        label = sheet("crew.end_post", post=_end_post(sheet, string, 1))
    base = max((at for at in string.rezeros_m if at <= string.end_reads_m), default=0.0)
    if base:
        label = f"{label} {sheet('crew.end_rezero')}"
    return [*rows, {"label": label, "value": length(string.end_reads_m - base)}]


def _sighted(sheet: Sheet, string: StringLine) -> str:
    if not string.sighted_m:
        return ""
    reads = ", ".join(sheet.measures.length(at) for at in string.sighted_m)
    return sheet("crew.sighted" if len(string.sighted_m) == 1 else "crew.sighted_many", reads=reads)


# ---------------------------------------------------------------- the table


def hole_rows(sheet: Sheet, string: StringLine) -> list[dict[str, Any]]:
    """Rows of the hole table: marks, with a re-zero row before the first mark read from each re-zero."""
    posts = sheet.posts()
    bays = {(bay.start, bay.end): bay for bay in sheet.plan.design.bays}
    slopes = along_words(sheet, string)
    rows: list[dict[str, Any]] = []
    done = 0
    for k, mark in enumerate(string.marks):
        while done < min(mark.rezero, len(string.rezeros_m)):
            rows.append(_rezero_row(sheet, string, done))
            done += 1
        before = string.marks[k - 1].post if k else ""
        bay = bays.get((before, mark.post)) or bays.get((mark.post, before))
        rows.append(_mark_row(sheet, string, mark, posts[mark.post], bay, before))
        rows[-1]["gap_note"] = ", ".join(filter(None, (rows[-1]["gap_note"], slopes.get(mark.post, ""))))
    return rows


def _rezero_row(sheet: Sheet, string: StringLine, number: int) -> dict[str, Any]:
    at = string.rezeros_m[number]
    base = string.rezeros_m[number - 1] if number else 0.0
    args = {"number": number + 1, "reads": sheet.measures.length(at - base)}
    post = next((mark.post for mark in string.marks if abs(mark.reads_m - at) < 1e-6), "")
    if post:
        return {"kind": "rezero", "text": sheet("crew.rezero_post", **args, post=post)}
    return {"kind": "rezero", "text": sheet("crew.rezero", **args)}


def _mark_row(sheet: Sheet, string: StringLine, mark: Mark, post: Post, bay: Bay | None, before: str) -> dict[str, Any]:
    show = sheet.measures
    return {
        "kind": "mark",
        "post": mark.post,
        "reads": show.length(mark.from_rezero_m if mark.rezero else mark.reads_m),
        "from_zero": sheet("crew.rezero_from", reads=show.length(mark.reads_m)) if mark.rezero else "",
        "gap": _gap(sheet, mark, bay, before),
        "off": show.length(mark.offset_m) if mark.offset_m is not None else "",
        "off_face": _off_face(sheet, mark),
        "gap_note": _gap_note(sheet, bay),
        **_hole(sheet, post),
        "move": _moves(sheet, post),
        "role": sheet.term(post.role),
        "what": _what(sheet, post),
        "also": _also(sheet, string, post),
    }


def _gap(sheet: Sheet, mark: Mark, bay: Bay | None, before: str) -> str:
    """From the mark before: along the string, and on a curve straight from post to post, which proves it."""
    if not before:
        return ""
    return sheet.measures.length(bay.length_m if bay is not None and mark.offset_m is not None else mark.gap_m)


def _off_face(sheet: Sheet, mark: Mark) -> str:
    if mark.offset_m is None:
        return ""
    if mark.face_m is None:
        return sheet("crew.arc_no_face")
    return sheet("crew.arc_face", face=sheet.measures.length(mark.face_m))


def _gap_note(sheet: Sheet, bay: Bay | None) -> str:
    if bay is None:
        return ""
    if bay.kind == "gate":
        gate = next((g for g in sheet.plan.design.gates if g.bay == bay.number), None)
        if gate is not None:
            opening = sheet.measures.length(gate.opening_m)
            return sheet("crew.gate_before", gate=short(gate.name, 24), opening=opening)
    return sheet("crew.cut_before") if bay.cut else ""


def _hole(sheet: Sheet, post: Post) -> dict[str, Any]:
    hole = post.hole
    if hole is None:
        return {
            "hole": sheet("crew.no_hole"),
            "frost": "",
            "dig": sheet("crew.no_hole_long"),
            "wait": "",
            "hand": False,
            "near": [],
        }
    show = sheet.measures
    near = [
        _near(sheet, hit)
        for hit in sorted(hole.hits, key=lambda hit: hit.clear_m)
        if hit.utility or hit.clear_m < _NEAR
    ]
    wait = "" if sheet.plan.locate.entered else sheet("crew.wait")
    return {
        "hole": f"{show.inches(hole.diameter_m)} × {show.inches(hole.depth_m)}",
        "frost": sheet("crew.frost_open") if sheet.plan.settings.frost_m is None else "",
        "dig": sheet("crew.hand") if hole.hand_dig else wait or sheet("crew.machine"),
        "wait": wait if hole.hand_dig else "",
        "hand": hole.hand_dig,
        "near": near[:2],
    }


def _near(sheet: Sheet, hit: ZoneHit) -> str:
    """A zone that a hole is in or near."""
    zone = short(sheet.zone(hit.zone), 40)
    if hit.clear_m < 0.0:
        return sheet("crew.in_zone", zone=zone)
    key = "crew.near_footing" if ", old footing " in hit.zone else "crew.near_zone"
    return sheet(key, zone=zone, clear=sheet.measures.down(hit.clear_m))


def _moves(sheet: Sheet, post: Post) -> list[dict[str, str]]:
    """How far the hole may move each way, in words; one line for a post that must not move.

    The longest bay, which stops most of them, is named once under the table; any other stop beside the length.
    """
    move = post.move
    if post.hole is None:
        return []
    if move is None or (_fixed(move.back_stop) and _fixed(move.on_stop)):
        return [{"big": sheet("crew.fixed"), "small": ""}]
    ways = _ways(sheet, post, move)
    stops = ["" if stop == "bay" else sheet("crew.move_stop", stop=_stop(sheet, stop)) for _, stop, _ in ways]
    lengths = [sheet.measures.down(length_m) for length_m, _, _ in ways]
    if all(length in _NOTHING for length in lengths):
        return [{"big": sheet("crew.move_neither"), "small": " ".join(dict.fromkeys(filter(None, stops)))}]
    rows = []
    tops = top_moves(sheet, sheet.plan.design.legs[post.legs[0]], post.label)
    for k, (_, _, label) in enumerate(ways):
        toward = sheet.post(label) if label else sheet("common.toward_end")
        none = lengths[k] in _NOTHING
        big = sheet("crew.move_none", post=toward) if none else sheet("crew.move", length=lengths[k], post=toward)
        small = stops[k] if k or stops[0] != stops[1] else ""
        rows.append({"big": big, "small": " ".join(filter(None, (small, "" if none else tops[k])))})
    return rows


def _ways(sheet: Sheet, post: Post, move: Move) -> list[tuple[float, str, str]]:
    """Both ways a post may move: how far, what stops it, and the neighbour it moves toward.

    Back is toward the start of the run, whichever way the tape is laid; the neighbours are those of the leg.
    """
    leg = sheet.plan.design.legs[post.legs[0]]
    at = leg.posts.index(post.label)
    before = leg.posts[at - 1] if at else ""
    after = leg.posts[at + 1] if at + 1 < len(leg.posts) else ""
    return [(move.back_m, move.back_stop, before), (move.on_m, move.on_stop, after)]


def _fixed(stop: str) -> bool:
    return stop == "fixed"


def _stop(sheet: Sheet, stop: str) -> str:
    if stop.startswith("zone "):
        return sheet("crew.stop_zone", zone=short(sheet.zone(stop[5:]), 28))
    return sheet(f"stop.{stop}") if has(f"stop.{stop}") else short(stop, 40)


def _what(sheet: Sheet, post: Post) -> str:
    if post.hole is None:
        return ""
    length = sheet("crew.whole_length", length=sheet.measures.length(post.length_m))
    return f"{post_words(sheet, post)}, {length}"


def _also(sheet: Sheet, string: StringLine, post: Post) -> str:
    if post.hole is None:
        return ""
    strings = sheet.plan.stakeout.strings
    others = [s.name for s in strings if s.name != string.name and any(m.post == post.label for m in s.marks)]
    return sheet("crew.also_on", string=", ".join(short(name, 30) for name in others)) if others else ""
