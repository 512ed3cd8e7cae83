"""The stake-out plan: strings on their stakes, crossings and what the tapes read there, triangles, ties."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from palewright.draw.board import NOTE_MM, Board, readable
from palewright.draw.fence import Look, draw_fence, draw_holes, draw_posts, label_posts
from palewright.draw.fonts import text_width
from palewright.draw.notes import plan_notes
from palewright.draw.place import HARD, box_of_text
from palewright.draw.scene import Scene
from palewright.draw.sheets import Draft, boards_for, choose, finish, index_draft, match_lines, occupy_heading
from palewright.draw.site import draw_site, name_site
from palewright.draw.symbols import CHECK_DASH, TIE_DASH, crossing_sign, stake_sign
from palewright.draw.words import Words, short
from palewright.model import CornerCheck, Crossing, Plan, Stake, StringLine
from palewright.plane import along, line_meet, sub, unit

__all__ = ["draw_checks", "draw_stakeout", "draw_strings", "stakeout_drafts", "stakeout_sheets"]

XY = tuple[float, float]


def draw_stakeout(board: Board, plan: Plan, words: Words) -> None:
    """Everything of the stake-out on one board; the fence is background, what the crew sets is not."""
    draw_site(board, plan, light=True)
    draw_holes(board, plan)
    draw_fence(board, plan, Look(light=True))
    draw_posts(board, plan, Look(light=True))
    draw_strings(board, plan)
    label_posts(board, plan)
    _name_stakes(board, plan)
    for crossing in plan.stakeout.crossings:
        _name_crossing(board, crossing, words)
    for string in plan.stakeout.strings:
        if string.zero != "crossing":
            _name_zero(board, string, words)
        _name_string(board, string, words)
    name_site(board, plan, words, light=True)


def draw_checks(board: Board, plan: Plan, words: Words) -> None:
    """The tapes that prove the stake-out: ties and corner triangles with their figures."""
    draw_site(board, plan, light=True)
    _ties(board, plan)
    _checks(board, plan)
    draw_fence(board, plan, Look(light=True))
    draw_posts(board, plan, Look(light=True))
    for string in plan.stakeout.strings:
        ends = tuple(board.at(stake.xy) for stake in string.stakes)
        board.chain(ends, "string", stroke_mm=0.18, weight=30.0, crossing=8.0, id=string.name)
    for crossing in plan.stakeout.crossings:
        crossing_sign(board, board.at(crossing.xy), id=f"{crossing.strings[0]} {crossing.strings[1]}")
    named = {label for tie in plan.stakeout.ties for label in (tie.start, tie.end)}
    named |= {check.post for check in plan.stakeout.checks}
    label_posts(board, plan, named)
    _name_ties(board, plan, words)
    _name_checks(board, plan, words)
    name_site(board, plan, words, light=True)


def draw_strings(board: Board, plan: Plan) -> None:
    """Strings, stakes, crossings and zero marks, without their words."""
    for string in plan.stakeout.strings:
        ends = tuple(board.at(stake.xy) for stake in string.stakes)
        board.chain(ends, "string", stroke_mm=0.35, weight=HARD / 2, crossing=12.0, id=string.name)
    for string in plan.stakeout.strings:
        for stake in string.stakes:
            if not stake.refused:
                stake_sign(board, board.at(stake.xy), id=stake.label)
    for crossing in plan.stakeout.crossings:
        crossing_sign(board, board.at(crossing.xy), id=f"{crossing.strings[0]} {crossing.strings[1]}")
    for string in plan.stakeout.strings:
        if string.zero != "crossing":
            _zero_mark(board, string)


def _zero_mark(board: Board, string: StringLine) -> None:
    """A short cross line where the tape is held."""
    p, a, b = board.at(string.zero_xy), board.at(string.start_xy), board.at(string.end_xy)
    length = math.dist(a, b)
    n = (-(b[1] - a[1]) / length * 1.6, (b[0] - a[0]) / length * 1.6)
    board.chain(((p[0] - n[0], p[1] - n[1]), (p[0] + n[0], p[1] + n[1])), "string", stroke_mm=0.5, weight=HARD)


def _ring_spots(p: XY, half: float, rise: float, gaps: tuple[float, ...] = (1.6, 3.2, 5.5)) -> list[tuple[XY, float]]:
    spots = []
    for n, gap in enumerate(gaps):
        for k in range(12):
            c, s = math.cos(math.pi * k / 6 + 0.26), math.sin(math.pi * k / 6 + 0.26)
            reach = gap + min(half / max(abs(c), 1e-6), rise / max(abs(s), 1e-6))
            spots.append(((p[0] + c * reach, p[1] + s * reach), 2.0 * n + 0.01 * k))
    return spots


def _name_stakes(board: Board, plan: Plan) -> None:
    seen: set[str] = set()
    for string in plan.stakeout.strings:
        for stake in string.stakes:
            if stake.label not in seen:
                seen.add(stake.label)
                _name_stake(board, stake)


def _name_stake(board: Board, stake: Stake) -> None:
    p = board.at(stake.xy)
    if stake.refused or not board.shows(p):
        return
    half, rise = board.block([stake.label], 3.2, "bold")
    board.label([stake.label], p, _ring_spots(p, half, rise), 3.2, "bold", "stake", 0.35, id=stake.label)


def _name_crossing(board: Board, crossing: Crossing, words: Words) -> None:
    p = board.at(crossing.xy)
    if not board.shows(p):
        return
    lines = [
        words("reads", string=short(name), reads=words.length(reads))
        for name, reads in zip(crossing.strings, crossing.reads_m, strict=True)
    ]
    half, rise = board.block(lines, 3.0, "bold")
    board.label(lines, p, _ring_spots(p, half, rise, (2.0, 4.0, 7.0)), 3.0, "bold", "reading", 0.5,
                id=f"{crossing.strings[0]} {crossing.strings[1]}")  # fmt: skip


def _name_zero(board: Board, string: StringLine, words: Words) -> None:
    p = board.at(string.zero_xy)
    if not board.shows(p):
        return
    text = (
        words("zero_wall", string=short(string.name))
        if string.zero == "wall"
        else words("zero", string=short(string.name))
    )
    half, rise = board.block([text], NOTE_MM)
    board.label([text], p, _ring_spots(p, half, rise, (2.0, 4.0, 7.0)), role="reading", id=string.name)


def _name_string(board: Board, string: StringLine, words: Words) -> None:
    """The name of a string along it, on the side that has room."""
    a, b = board.at(string.stakes[0].xy), board.at(string.stakes[1].xy)
    angle = readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    up = (-math.sin(angle), -math.cos(angle))
    text = words("string_short", name=short(string.name))
    width = text_width(text, 3.2, "bold")
    options, scores = [], []
    for away in (1.1, -3.4, 2.4, -4.7, 3.6, -5.9):
        for t in (0.5, 0.42, 0.58, 0.35, 0.65, 0.25, 0.75):
            at = (a[0] + (b[0] - a[0]) * t + up[0] * away, a[1] + (b[1] - a[1]) * t + up[1] * away)
            options.append(at)
            scores.append(((box_of_text(at, width, 3.2, "middle", angle, 0.3),), abs(away) / 2 + abs(t - 0.5)))
    order = sorted(range(len(options)), key=lambda k: scores[k][1])
    found, cost = board.placer.best(scores[k] for k in order)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    if cost >= 20.0 and board.shows(middle):
        half, rise = board.block([text], 3.2, "bold")
        board.label([text], middle, _ring_spots(middle, half, rise), 3.2, "bold", "string", id=string.name)
    elif found >= 0:
        board.write(text, options[order[found]], 3.2, "middle", angle, weight="bold", role="string", id=string.name)


def _triangle(plan: Plan, check: CornerCheck) -> tuple[XY, XY, XY] | None:
    """Corner and leg ends of a check on its two strings, in the world [m]: legs run into the yard along the strings."""
    strings = {string.name: string for string in plan.stakeout.strings}
    one, two = (strings.get(name) for name in check.strings)
    if one is None or two is None:
        return None
    hit = line_meet(
        one.start_xy, unit(sub(one.end_xy, one.start_xy)), two.start_xy, unit(sub(two.end_xy, two.start_xy))
    )
    if hit is None:
        return None
    corner = along(one.start_xy, one.end_xy, hit[0]) if hit[0] else one.start_xy
    ends = []
    for string, leg in zip((one, two), check.legs_m, strict=True):
        far = max((string.start_xy, string.end_xy), key=lambda p: math.dist(p, corner))
        ends.append(along(corner, far, leg))
    return (corner, ends[0], ends[1])


def _checks(board: Board, plan: Plan) -> None:
    for check in plan.stakeout.checks:
        triangle = _triangle(plan, check)
        if triangle is not None:
            page = [board.at(p) for p in triangle]
            board.chain(
                (page[1], page[2]),
                "check",
                stroke_mm=0.2,
                dash=CHECK_DASH,
                weight=40.0,
                crossing=5.0,
                id=f"corner {check.post}",
            )


def _name_checks(board: Board, plan: Plan, words: Words) -> None:
    for check in plan.stakeout.checks:
        triangle = _triangle(plan, check)
        if triangle is None:
            continue
        one, two, three = (words.length(v) for v in (*check.legs_m, check.diagonal_m))
        text = words("triangle", post=check.post, one=one, two=two, three=three)
        _along_tape(board, text, board.at(triangle[1]), board.at(triangle[2]), "triangle", f"corner {check.post}")


def _places(plan: Plan) -> dict[str, XY]:
    places = {point.name: point.xy for point in plan.site.points}
    if plan.site.ring is not None:
        places |= {corner.name: corner.xy for corner in plan.site.ring.corners}
    places |= {stake.label: stake.xy for string in plan.stakeout.strings for stake in string.stakes}
    return places | {post.label: post.xy for post in plan.design.posts}


def _ties(board: Board, plan: Plan) -> None:
    places = _places(plan)
    for tie in plan.stakeout.ties:
        if tie.start in places and tie.end in places and tie.why != "overall":
            ends = (board.at(places[tie.start]), board.at(places[tie.end]))
            board.chain(
                ends, "check", stroke_mm=0.18, dash=TIE_DASH, weight=40.0, crossing=5.0, id=f"{tie.start} {tie.end}"
            )


def _name_ties(board: Board, plan: Plan, words: Words) -> None:
    places = _places(plan)
    for tie in plan.stakeout.ties:
        if tie.start not in places or tie.end not in places or tie.why == "overall":
            continue
        a, b = board.at(places[tie.start]), board.at(places[tie.end])
        text = f"{short(tie.start, 24)} – {short(tie.end, 24)}: {words.length(tie.length_m)}"
        _along_tape(board, text, a, b, "tie", f"{tie.start} {tie.end}")


def _along_tape(board: Board, text: str, a: XY, b: XY, role: str, id: str) -> None:
    """A figure along its tape where there is room, else on a leader from the middle of it."""
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    angle = readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    up = (-math.sin(angle), -math.cos(angle))
    width = text_width(text, NOTE_MM)
    options, scores = [], []
    for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78, 0.15, 0.85):
        for away in (1.0, -3.0):
            at = (a[0] + (b[0] - a[0]) * t + up[0] * away, a[1] + (b[1] - a[1]) * t + up[1] * away)
            options.append(at)
            scores.append(((box_of_text(at, width, NOTE_MM, "middle", angle, 0.3),), abs(t - 0.5) * 4 + abs(away) / 4))
    order = sorted(range(len(options)), key=lambda k: scores[k][1])
    found, cost = board.placer.best(scores[k] for k in order)
    fits = width < math.dist(a, b) + 6.0
    if found >= 0 and fits and cost < 100.0:
        board.write(text, options[order[found]], NOTE_MM, "middle", angle, role=role, halo=True, id=id)
    elif board.shows(middle):
        half, rise = board.block([text], NOTE_MM)
        board.label([text], middle, _ring_spots(middle, half, rise), role=role, halo=True, id=id)


def stakeout_drafts(plan: Plan, words: Words, first: int = 1) -> list[Draft]:
    """The stake-out, then the tapes that prove it, each on one board or on tiles; none without a string."""
    stakeout = plan.stakeout
    if not stakeout.strings:
        return []
    title = plan.settings.title
    alt = {
        "title": title,
        "strings": len(stakeout.strings),
        "ties": len(stakeout.ties),
        "triangles": len(stakeout.checks),
    }
    drafts = _drafts(plan, words, first, "stakeout", draw_stakeout, alt)
    if stakeout.ties or stakeout.checks:
        drafts += _drafts(plan, words, first + len(drafts), "checks", draw_checks, alt)
    return drafts


def _drafts(
    plan: Plan,
    words: Words,
    first: int,
    kind: str,
    draw: Callable[[Board, Plan, Words], None],
    alt: Mapping[str, object],
) -> list[Draft]:
    notes = plan_notes(plan, words, kind)
    choice = choose(plan, notes, strings=True, close=True)
    name = words(kind)
    drafts, tile = [], first
    if choice.tiled:
        drafts.append(index_draft(plan, words, notes, choice, first + 1, name))
        tile = first + 1
    said = words("alt_" + kind, **alt, scale=choice.scale.words)
    boards = boards_for(choice, notes)
    for k, board in enumerate(boards):
        occupy_heading(board, notes)
        if choice.tiled:
            match_lines(board, k, choice, tile, words)
        draw(board, plan, words)
        part = words("tile", name=name, part=k + 1, parts=len(boards)) if choice.tiled else name
        drafts.append(Draft(board, choice.layout, choice.scale, part, kind, notes, said, plan.settings.north))
    return drafts


def stakeout_sheets(plan: Plan, first: int = 1, total: int = 0) -> list[Scene]:
    """The stake-out plan at a true scale: strings, stakes, crossings with their readings; then the tapes that prove it.

    first, total
        number of the first sheet and of all sheets; 0: these are all. No sheet where there is no string.
    """
    words = Words(plan.settings)
    return finish(stakeout_drafts(plan, words, first), plan, words, first, total)
