"""One row of an elevation on real ground: ground line, fence, posts in their holes, level strings, gaps that bind."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.elevation_row import (
    bay_figures,
    continued,
    draw_gate,
    draw_post,
    gate_heights,
    half_width,
    label_post,
    name_gate,
    rails_seen,
    vertical,
)
from palewright.draw.elevation_slope import Slope, bottom_of, zero_of
from palewright.draw.fence import gate_asks
from palewright.draw.fonts import text_width
from palewright.draw.infill import Opening, draw_infill, line_at
from palewright.draw.palette import BLACK, GREY
from palewright.draw.place import HARD
from palewright.draw.scene import Hatch
from palewright.draw.words import Words
from palewright.model import Bay, BayMeeting, Gap, Gate, Kind, LevelLineMark, Plan, Post, PostHeight
from palewright.record import Record

__all__ = ["Band", "bands_of", "bands_tall", "draw_ground_row"]

XY = tuple[float, float]

_EPS = 1e-6
_BAND_MM = 4.0
_CHAIN = (6.0, 1.2, 1.0, 1.2)
"""Dashes of a level string, long and short in turn [mm]."""
_BROKEN = Hatch(math.radians(45), 0.8, 0.18)
_OPEN = (2.4, 1.6)
"""Dashes of ground that nobody knows, and of the fence over it [mm]."""
_LEAST_STEP_M = 0.0008
_WORST = {"least-gap": "least_gap", "most-gap": "most_gap"}
_OVER = {
    "least-gap": "over_least_gap",
    "most-gap": "over_most_gap",
    "legal-height": "over_legal_height",
    "rack": "over_rack",
    "largest-step": "over_largest_step",
}
_MARKS_M = (0.001, 0.0016, 0.0032, 0.0064)
_UNDER_MM = 1.6
"""From the deepest hole to the figures under it."""


class Band(Record):
    """A row of figures under the posts; ``turned`` where they stand upright for want of room, ``tall`` [mm]."""

    name: str
    figures: tuple[tuple[float, str], ...]
    turned: bool
    tall: float


def bands_of(slope: Slope, words: Words, mm_per_m: float) -> list[Band]:
    """Figures under the posts of a piece: post lengths, hole depths, heights of the ground, steps."""
    zero, posts = zero_of(slope.meeting).ground_m, slope.posts()
    bays = zip(slope.strip.bays, slope.meeting.bays, strict=True)
    open_ = {label for (_, _, bay), met in bays if not met.known for label in (bay.start, bay.end)}
    rows = {
        "band_post": [(s, _final(words.length(p.length_m), p, open_)) for s, p, _ in posts if p.hole is not None],
        "band_hole": [(s, _final(words.inches(p.hole.depth_m), p, open_)) for s, p, _ in posts if p.hole is not None],
        "band_ground": [(s, _signed(h.ground_m - zero, words.length) if h.known else "?") for s, _, h in posts],
        "band_step": [(s, _signed(h.step_m, words.inches)) for s, _, h in posts if abs(h.step_m) > _LEAST_STEP_M],
    }
    return [_band(words(key), figures, mm_per_m) for key, figures in rows.items() if figures]


def _final(text: str, post: Post, open_: set[str]) -> str:
    """A figure of a post; in parentheses where the ground beside it is not known."""
    return f"({text})" if post.label in open_ else text


def _band(name: str, figures: Sequence[tuple[float, str]], mm_per_m: float) -> Band:
    wide = [text_width(text, NOTE_MM) for _, text in figures]
    pairs = zip(itertools.pairwise(figures), itertools.pairwise(wide), strict=True)
    turned = any((b[0] - a[0]) * mm_per_m < (one + two) / 2 + 0.8 for (a, b), (one, two) in pairs)
    return Band(name, tuple(figures), turned, max(wide) + 1.6 if turned else _BAND_MM)


def bands_tall(bands: Sequence[Band]) -> float:
    """How tall the figures under a row are [mm]."""
    return sum(band.tall for band in bands) + _UNDER_MM


def _signed(value: float, show: object) -> str:
    assert callable(show)
    text = str(show(abs(value)))
    return text if text == str(show(0.0)) else f"{'+' if value > 0 else '-'}{text}"


def draw_ground_row(board: Board, plan: Plan, slope: Slope, words: Words, detailed: bool) -> None:
    """The piece; ``detailed`` where the heights at its first post are told in parts."""
    strip = slope.strip
    posts, bays = slope.posts(), slope.bays()
    names = _fill(board, plan, slope)
    for a, b, _, met in bays:
        if met.known:
            _wedges(board, slope, a, b, met)
    first, last = slope.start <= strip.posts[0][0] + _EPS, slope.end >= strip.length - _EPS
    _ground_line(board, slope, first, last)
    for station, post, height in posts:
        deep = height.ground_m - (post.hole.depth_m if post.hole else 0.0)
        draw_post(board, station, post, _four(slope, (deep, height.foot_m, height.ground_m, height.top_m)))
    y = _bands(board, slope, words)
    bay_figures(board, [(a, b, bay) for a, b, bay, _ in bays], y + 4.0, words)
    strings = _strings(board, slope)
    for station, post, height in posts:
        label_post(board, (station, slope.up(height.top_m)), post, words)
    for gate, place in names:
        name_gate(board, gate, place, words, gate_asks(plan, gate, words))
    for number, string, span in strings:
        _name_string(board, number, string, span, words)
    if detailed and bays[0][3].known:
        _parts(board, slope, posts[0], bays[0][3], words)
    if not last:
        continued(board, slope.end, (slope.up(posts[-1][2].ground_m), slope.up(posts[-1][2].top_m)), False)
    if not first:
        continued(board, slope.start, (slope.up(posts[0][2].ground_m), slope.up(posts[0][2].top_m)), True)
    for a, b, bay, met in (bay for bay in bays if bay[3].known):
        _gaps(board, slope, (a, b, bay, met), words)


def _fill(board: Board, plan: Plan, slope: Slope) -> list[tuple[Gate, tuple[float, float, float]]]:
    """What stands between the posts of every bay; returns the gates, and where the name of each belongs."""
    kinds = {kind.name: kind for kind in plan.kinds}
    gates = {gate.bay: gate for gate in plan.design.gates}
    halves = {post.label: half_width(post) for _, post, _ in slope.posts()}
    names = []
    for a, b, bay, met in slope.bays():
        faces = a + halves[bay.start], b - halves[bay.end]
        if bay.number in gates:
            gate = gates[bay.number]
            names.append((gate, _leaves(board, slope, (gate, met), kinds.get(bay.fence), faces)))
        elif not met.known:
            _assumed(board, slope, (a, b, met), faces)
        elif bay.fence in kinds:
            seen = rails_seen(plan.design.legs[bay.leg], kinds[bay.fence])
            _infill(board, slope, (a, b, met), kinds[bay.fence], faces, seen)
    return names


def _four(slope: Slope, heights: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    a, b, c, d = (slope.up(height) for height in heights)
    return a, b, c, d


def _between(a: float, b: float, ends: XY, x: float) -> XY:
    """The point at ``x`` of the line between two heights at stations ``a`` and ``b``."""
    return (x, ends[0] + (ends[1] - ends[0]) * (x - a) / (b - a))


def _leaves(
    board: Board, slope: Slope, hung: tuple[Gate, BayMeeting], kind: Kind | None, faces: XY
) -> tuple[float, float, float]:
    """The leaves of a gate, level; returns from where to where, and the top, for their name."""
    gate, met = hung
    low, high = gate_heights(gate, kind)
    foot = met.bottom_m[0]
    top = slope.up(foot + high - low)
    draw_gate(board, gate, (faces[0], slope.up(foot)), (faces[1], top))
    return (*faces, top)


def _infill(
    board: Board, slope: Slope, item: tuple[float, float, BayMeeting], kind: Kind, faces: XY, seen: bool
) -> None:
    """The infill of a bay between two post faces."""
    (a, b, met), (x0, x1) = item, faces
    if x1 > x0:
        bottom = bottom_of(slope, a, b, met)
        ends = (slope.up(met.top_m[0]), slope.up(met.top_m[1]))
        inner = [p for p in bottom if x0 < p[0] < x1]
        chain = ((x0, line_at(bottom, x0)), *inner, (x1, line_at(bottom, x1)))
        place = Opening(chain, (_between(a, b, ends, x0), _between(a, b, ends, x1)), slope.times)
        draw_infill(board, kind, place, seen)


def _assumed(board: Board, slope: Slope, item: tuple[float, float, BayMeeting], faces: XY) -> None:
    """The outline of a bay over ground that nobody knows."""
    (a, b, met), (x0, x1) = item, faces
    for ends in (met.bottom_m, met.top_m):
        line = (slope.up(ends[0]), slope.up(ends[1]))
        board.chain([board.at(_between(a, b, line, x)) for x in (x0, x1)], "infill", stroke_mm=0.25, dash=_OPEN)


def _ground_line(board: Board, slope: Slope, first: bool, last: bool) -> None:
    """The ground: hatched where it is known, dashed where not."""
    profile = slope.strip.run.profile
    assert profile is not None
    gaps = [(max(gap.from_m, slope.start), min(gap.to_m, slope.end)) for gap in profile.unknown]
    gaps = [(a, b) for a, b in gaps if b - a > _EPS]
    cuts = sorted({slope.start, slope.end, *(end for gap in gaps for end in gap)})
    for a, b in itertools.pairwise(cuts):
        chain = [board.at(p) for p in slope.ground(a, b)]
        if a == slope.start:
            chain.insert(0, (chain[0][0] - (4.0 if first else 3.0), chain[0][1]))
        if b == slope.end:
            chain.append((chain[-1][0] + (7.0 if last else 3.0), chain[-1][1]))
        if (a, b) in gaps:
            board.chain(chain, "ground", stroke_mm=0.35, dash=_OPEN, weight=HARD / 4, crossing=1.0)
        else:
            board.chain(chain, "ground", stroke_mm=0.6, weight=HARD / 4, crossing=1.0)
            _hatch(board, chain)


def _hatch(board: Board, chain: Sequence[XY]) -> None:
    x = chain[0][0] + 1.0
    while x < chain[-1][0] - 2.0:
        y = line_at(chain, x + 1.2)
        board.chain(((x + 1.2, y), (x, y + 1.2)), "ground", stroke_mm=0.13, colour=GREY)
        x += 2.4


def _strings(board: Board, slope: Slope) -> list[tuple[int, LevelLineMark, tuple[float, float, float]]]:
    """Level strings over the posts that hang on them, dash-dot; returns each with its ends and its page height."""
    drawn, posts = [], slope.posts()
    labels = {post.label for _, post, _ in posts}
    for number, string in enumerate(slope.meeting.strings, 1):
        if labels.isdisjoint(string.posts):
            continue
        stations = [s for s, post, height in posts if _hangs(string, post, height)]
        if stations:
            (x0, y), (x1, _) = (board.at((s, slope.up(string.height_m))) for s in (stations[0], stations[-1]))
            x0, x1 = x0 - 3.0, x1 + 3.0
            board.chain(((x0, y), (x1, y)), "string", stroke_mm=0.25, dash=_CHAIN, weight=6.0, crossing=2.0)
            drawn.append((number, string, (x0, x1, y)))
    return drawn


def _name_string(
    board: Board, number: int, string: LevelLineMark, span: tuple[float, float, float], words: Words
) -> None:
    """Where and how high a level string is set, over its line."""
    x0, x1, y = span
    text = words("string_level", number=number, above=words.length(string.above_m), post=string.post)
    half, rise = board.block([text], NOTE_MM)
    spots = [
        ((x0 + half + (x1 - x0 - 2 * half) * share, y - up - rise), cost + abs(share - 0.5))
        for cost, up in ((0.0, 0.6), (2.0, 3.6), (3.0, 5.2), (6.0, 8.6), (8.0, 12.0), (10.0, 15.4))
        for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.1, 0.9, 0.0, 1.0)
    ]
    board.label([text], ((x0 + x1) / 2, y), spots, NOTE_MM, role="string", pad=0.2)


def _hangs(string: LevelLineMark, post: Post, height: PostHeight) -> bool:
    """Whether a post hangs on a string: one that a loop begins and ends at may hang on two."""
    below = height.below_string_m
    return post.label in string.posts and below is not None and abs(string.height_m - height.top_m - below) < 1e-6


def _bands(board: Board, slope: Slope, words: Words) -> float:
    """The figures under the posts; returns the page height below them."""
    y = board.at((0.0, slope.extent()[0]))[1] + _UNDER_MM
    left = board.at((slope.start, 0.0))[0]
    top = y
    for band in bands_of(slope, words, board.view.mm_per_m):
        half = max((text_width(text, NOTE_MM) for _, text in band.figures), default=0.0) / 2
        edge = left - (2.4 if band.turned else half + 1.6)
        board.write(band.name, (edge, y + band.tall / 2), NOTE_MM, "end", layer="dimension", role="dimension",
                    middle=True)  # fmt: skip
        for station, text in band.figures:
            x = board.at((station, 0.0))[0]
            board.write(text, (x, y + band.tall / 2), NOTE_MM, "middle", math.pi / 2 if band.turned else 0.0,
                        "dimension", role="dimension", middle=True)  # fmt: skip
        y += band.tall
    for station, post, height in slope.posts():
        foot = board.at((station, slope.up(height.ground_m - (post.hole.depth_m if post.hole else 0.0))))
        if foot[1] < top - 1.0:
            board.chain((foot, (foot[0], top - 0.4)), "dimension", stroke_mm=0.13, colour=GREY)
    return y


def _parts(board: Board, slope: Slope, first: tuple[float, Post, PostHeight], met: BayMeeting, words: Words) -> None:
    """At the left end: room under the first bay at its post, its infill, and the whole above ground."""
    x = board.at((first[0], 0.0))[0]
    marks = [first[2].ground_m, met.bottom_m[0], met.top_m[0]]
    texts = [words.length(abs(high - low)) for low, high in itertools.pairwise(marks)]
    vertical(board, x - 6.0, [slope.up(mark) for mark in marks], texts, True)


# ---------------------------------------------------------------- gaps


def _breaks(met: BayMeeting, rule: str) -> float | None:
    return next((by for slug, by in met.breaks if slug == rule), None)


def _wedges(board: Board, slope: Slope, a: float, b: float, met: BayMeeting) -> None:
    """Hatched: where the room under a bay breaks its rule."""
    bottom, ground = bottom_of(slope, a, b, met), slope.ground(a, b)
    for rule, gap, sign in (("most-gap", met.most, 1.0), ("least-gap", met.least, -1.0)):
        by = _breaks(met, rule)
        if by is None:
            continue
        allowed = (gap.gap_m - sign * by) * slope.times
        for x0, x1 in _over(bottom, ground, allowed, sign):
            ring = [(x0, line_at(ground, x0)), (x1, line_at(ground, x1)), (x1, line_at(bottom, x1)),
                    (x0, line_at(bottom, x0))]  # fmt: skip
            board.area([board.at(p) for p in ring], "infill", hatch=_BROKEN, stroke_mm=0.13, colour=BLACK)


def _over(bottom: Sequence[XY], ground: Sequence[XY], allowed: float, sign: float) -> Iterator[XY]:
    """Stretches between knots in which the room is beyond what is allowed."""
    at = sorted({x for x, _ in (*bottom, *ground)})
    over = [sign * (line_at(bottom, x) - line_at(ground, x) - allowed) for x in at]
    for (x0, x1), (d0, d1) in zip(itertools.pairwise(at), itertools.pairwise(over), strict=True):
        if max(d0, d1) <= 0.0:
            continue
        turn = x0 + (x1 - x0) * d0 / (d0 - d1) if d0 * d1 < 0.0 else None
        yield (x0 if d0 >= 0.0 or turn is None else turn, x1 if d1 >= 0.0 or turn is None else turn)


def _gaps(board: Board, slope: Slope, item: tuple[float, float, Bay, BayMeeting], words: Words) -> None:
    """The gaps of a bay that bind: least and most of the whole run, and those that break a rule; other broken rules."""
    a, b, _, met = item
    bind = slope.binding
    even = bind.most.most.gap_m - bind.least.least.gap_m < _LEAST_STEP_M
    least, most = bind.least is met, bind.most is met and not even
    for rule, gap, worst in (("least-gap", met.least, least), ("most-gap", met.most, most)):
        by = _breaks(met, rule)
        if by is None and not worst:
            continue
        key = _WORST[rule] if worst and not even else "gap"
        lines = [words(key, gap=_signed(gap.gap_m, words.inches).lstrip("+"))]
        if by is not None:
            allowed = gap.gap_m + (by if rule == "least-gap" else -by)
            lines.append(words(_OVER[rule], allowed=words.inches(allowed)))
        _gap(board, slope, item, gap, lines)
    for rule, by in met.breaks:
        most_by, count = bind.worst[rule]
        if rule in _OVER and rule not in _WORST and by == most_by:
            middle = board.at(_between(a, b, (slope.up(met.top_m[0]), slope.up(met.top_m[1])), (a + b) / 2))
            spots = [((middle[0], middle[1] + 5.0), 0.0), ((middle[0], middle[1] - 4.0), 1.0)]
            text = words(_OVER[rule], by=_by(by, words))
            text = text if count == 1 else words("over_many", what=text, count=count)
            board.label([text], middle, spots, NOTE_MM, "bold", role="gap")


def _by(by: float, words: Words) -> str:
    text = words.inches(by)
    if text != words.inches(0.0):
        return text
    least = next(shown for size in _MARKS_M if (shown := words.inches(size)) != text)
    return words("trifle", mark=least)


def _gap(board: Board, slope: Slope, item: tuple[float, float, Bay, BayMeeting], gap: Gap, lines: list[str]) -> None:
    """One gap, dimensioned at its place; beside the post where it lies at one."""
    a, b, bay, met = item
    holes = {post.label: post.hole.diameter_m / 2 for _, post, _ in slope.posts() if post.hole is not None}
    aside = 1.2 / board.view.mm_per_m
    x = min(max(gap.at_m, a + aside + holes.get(bay.start, 0.0)), b - aside - holes.get(bay.end, 0.0))
    foot = board.at((x, line_at(slope.ground(a, b), x)))
    head = board.at((x, line_at(bottom_of(slope, a, b, met), x)))
    low, high = max(foot[1], head[1]) + 1.6, min(foot[1], head[1]) - 1.6
    board.chain(((foot[0], low), (foot[0], high)), "dimension", stroke_mm=0.18)
    for x0, y0 in (foot, head):
        board.chain(((x0 - 0.8, y0 + 0.8), (x0 + 0.8, y0 - 0.8)), "dimension", stroke_mm=0.4)
    strong = "bold" if len(lines) > 1 else "regular"
    half, rise = board.block(lines, NOTE_MM, strong)
    spots = [
        ((foot[0] + side * (half - 0.4), foot[1] + down + rise), down + abs(side))
        for down in (2.0, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0)
        for side in (0.0, 1.0, -1.0, 0.5, -0.5)
    ]
    spots.sort(key=lambda spot: spot[1])
    board.label(lines, (foot[0], low - 1.0), spots, NOTE_MM, strong, role="gap", pad=0.2)
