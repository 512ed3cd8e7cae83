"""What a phone says of a hole that is moved along its string: the bays then, what stops it, what to do instead."""

from __future__ import annotations

from typing import Any

from palewright.asbuilt import BayThen, Moved, Mover, bay_about, fitting, following, mark_m
from palewright.model import Bay, Post
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.words import has
from palewright.papers.yard_rows import END, joined
from palewright.plane import dot, sub, unit

__all__ = ["bay_ranges", "moved_table", "signs"]

_REACH_M, _REACH_MANY_M = 0.3048, 0.1524
"""How far a hole is thought to be moved at all: 1 ft, half of it on jobs of more than 400 holes (our own choice)."""

_MANY = 400
_SQUARE, _ALONG = 0.005, 0.9995
_STEP_IN, _STEP_MM = 0.0127, 0.010


def _reach(sheet: Sheet) -> tuple[int, int]:
    """How many marks a step is, and how many a hole is moved at most."""
    mark = mark_m(sheet.plan.settings)
    step = max(1, round((_STEP_MM if sheet.measures.style == "metric" else _STEP_IN) / mark))
    far = _REACH_MANY_M if len(sheet.plan.design.posts) > _MANY else _REACH_M
    return step, int(far / mark / step + 1e-6) * step


def moved_table(sheet: Sheet, mover: Mover, post: Post, onward: str, back: str) -> dict[str, Any]:
    """Bays for every step, and what to say for every mark, of one hole moved along its first string.

    onward, back
        in words: where the tape reads up to, and where it reads down to ("toward post 3", "toward the end").
    """
    mark = mark_m(sheet.plan.settings)
    step, reach = _reach(sheet)
    rows = []
    coarse: dict[int, tuple[tuple[bool, str], tuple[bool, str]]] = {}

    def exact(moved: Moved) -> tuple[tuple[bool, str], tuple[bool, str]]:
        return _verdict(sheet, mover, post, moved, (onward, back)), _place(sheet, post, moved)

    for at in range(-reach, reach + 1, step):
        moved = mover.moved(post.label, at * mark)
        coarse[at] = exact(moved)
        bays = [{"about": bay_about(then.bay), "length": sheet.measures.length(then.length_m)} for then in moved.bays]
        label = sheet("yard.moved_none")
        if at:
            label = f"{sheet.measures.taped(abs(at) * mark)} {onward if at > 0 else back}"
        rows.append({"at": at, "along_m": at * mark, "label": label, "bays": bays})

    def say(at: int) -> tuple[tuple[bool, str], tuple[bool, str]]:
        """A zone is wider than a step and bays only grow or shrink: between two steps that agree nothing changes."""
        low = at // step * step
        if low == at or coarse[low] == coarse[low + step]:
            return coarse[low]
        return exact(mover.moved(post.label, at * mark))

    far = (False, sheet("yard.moved_far", most=sheet.measures.taped(reach * mark)))
    ranges = joined(-reach, reach, lambda at: say(at)[0], far, far)
    place = joined(-reach, reach, lambda at: say(at)[1], far, far)
    return {"step": step, "rows": rows, "ranges": ranges, "place": place}


def _place(sheet: Sheet, post: Post, moved: Moved) -> tuple[bool, str]:
    """Whether the ground lets a hole be there, whatever its bays: for when the posts beside it stand elsewhere too."""
    reasons = [sheet("yard.into_zone", zone=sheet.zone(zone)) for zone in moved.zones]
    if moved.over_line:
        reasons.append(sheet("yard.over_line"))
    if moved.stop and moved.stop not in ("bay", "short bay"):
        reasons.append(_stopped(sheet, moved.stop))
    hand = post.hole is not None and post.hole.hand_dig
    return not reasons, " ".join(reasons or ([sheet("yard.by_hand")] if hand and moved.at_m else []))


def _stopped(sheet: Sheet, stop: str) -> str:
    name = stop.removeprefix("zone ")
    return sheet("yard.stopped", stop=sheet(f"stop.{name}") if has(f"stop.{name}") else sheet.zone(name))


def _verdict(sheet: Sheet, mover: Mover, post: Post, moved: Moved, ways: tuple[str, str]) -> tuple[bool, str]:
    hand = post.hole is not None and post.hole.hand_dig
    if moved.fits:
        said = "yard.stays" if not moved.at_m else "yard.fits"
        return True, " ".join([sheet(said), *([sheet("yard.by_hand")] if hand else [])])
    if moved.stop in ("fixed", "given bay"):
        return False, sheet("yard.fixed")
    reasons = [_bay(sheet, mover, then) for then in moved.bays if then.verdict != "fits"]
    reasons += [sheet("yard.into_zone", zone=sheet.zone(zone)) for zone in moved.zones]
    if moved.over_line:
        reasons.append(sheet("yard.over_line"))
    if moved.stop:
        reasons.append(_stopped(sheet, moved.stop))
    return False, " ".join([*reasons, *_instead(sheet, mover, post, moved, ways)])


def _bay(sheet: Sheet, mover: Mover, then: BayThen) -> str:
    short, long = _unfit(sheet, mover, then.bay)
    return long if then.verdict == "too-long" else short


def _unfit(sheet: Sheet, mover: Mover, bay: Bay) -> tuple[str, str]:
    """What to say of a bay that becomes too short, and of one too long: its limits both ways it is taped."""
    limits, ends, length = mover.limits[bay.number], f"{bay.start}-{bay.end}", sheet.measures.length
    posts = bay.length_m - bay.clear_m
    least, most = limits.shortest_m, limits.longest_m
    short = sheet("yard.bay_short", bay=ends, shortest=length(least), clear=length(max(least - posts, 0.0)))
    return short, sheet("yard.bay_long", bay=ends, longest=length(most), clear=length(max(most - posts, 0.0)))


def _instead(sheet: Sheet, mover: Mover, post: Post, moved: Moved, ways: tuple[str, str]) -> list[str]:
    """What to do when it may not stand there: how far it may go either way, one post more, or the office."""
    mark = mark_m(sheet.plan.settings)
    back, onward = mover.room(post.label)
    rooms = [(onward, ways[0]), (back, ways[1])]
    if moved.at_m < 0.0:
        rooms.reverse()
    _, most = _reach(sheet)
    said = []
    for key, (room, way) in zip(("yard.instead_this", "yard.instead_other"), rooms, strict=True):
        if room >= mark:
            said.append(sheet(key, length=sheet.measures.down(min(room, most * mark)), way=way))
    said += _follow(sheet, mover, post, moved)
    tolerance = sheet.plan.settings.tolerance_m
    long = [then.bay for then in moved.bays if then.verdict == "too-long" and then.by_m > tolerance]
    if long and not moved.zones and not moved.over_line:
        said.append(sheet("yard.one_more", bay=f"{long[0].start}-{long[0].end}"))
    return [*said, sheet("yard.else_office" if said else "yard.stop_office")]


def _follow(sheet: Sheet, mover: Mover, post: Post, moved: Moved) -> list[str]:
    """Which posts beyond a bay that becomes too long could be moved alike, and which bay takes it up."""
    wrong = [then for then in moved.bays if then.verdict != "fits"]
    if len(wrong) != 1 or wrong[0].verdict != "too-long" or moved.zones or moved.over_line or moved.stop:
        return []
    found = following(mover, post.label, wrong[0].bay, moved.at_m)
    if found is None:
        return []
    posts = sheet("common.post" if len(found.posts) == 1 else "common.posts")
    return [sheet("yard.follow", posts=f"{posts} {ranges(found.posts)}", bay=f"{found.bay.start}-{found.bay.end}")]


def signs(mover: Mover, ends: tuple[str, str]) -> tuple[list[float], list[float]]:
    """By how many marks a bay or a gate grows for each mark by which its posts stand off, to first order.

    Returns for both of them the cosine to the bay of the way the tape of the first string reads up, and of the way
    away from that string: at a corner or a bend the bay runs along another string.
    """
    along, away = [], []
    for label, end in (ends, ends[::-1]):
        on, here, other = mover.on(label), mover.posts[label].xy, mover.posts[end].xy
        out = unit(sub(here, other)) if here != other else (0.0, 0.0)
        along.append(0.0 if on is None else _cosine(dot(on.u, out)))
        away.append(0.0 if on is None else _cosine(dot(on.away, out)))
    return along, away


def _cosine(part: float) -> float:
    """The cosine; what is along to 2 degrees or square to 0.3 counts so: a foot then is right to half an eighth."""
    return round(part, 4) if _SQUARE < abs(part) < _ALONG else float(round(part))


def bay_ranges(sheet: Sheet, mover: Mover, bay: Bay) -> list[dict[str, Any]]:
    """What to say of a bay by how many marks longer it is than planned, whichever of its posts was moved."""
    least, most = fitting(mover.limits[bay.number], bay.length_m, mover.mark)
    short, long = _unfit(sheet, mover, bay)
    office = sheet("yard.stop_office")
    return [
        {"from": -END, "to": least - 1, "ok": False, "say": f"{short} {office}"},
        {"from": least, "to": most, "ok": True, "say": sheet("yard.bay_good", bay=f"{bay.start}-{bay.end}")},
        {"from": most + 1, "to": END, "ok": False, "say": f"{long} {office}"},
    ]
