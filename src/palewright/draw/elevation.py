"""Elevations: each run unrolled into rows, rows of several runs on one sheet where they go at one scale."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from palewright.draw.board import Board
from palewright.draw.elevation_ground import bands_of, bands_tall, draw_ground_row
from palewright.draw.elevation_row import Strip, draw_row, unroll
from palewright.draw.elevation_slope import Binding, Slope, zero_of
from palewright.draw.fence import gate_asks
from palewright.draw.frame import Layout, layout_of
from palewright.draw.notes import Notes, plan_notes
from palewright.draw.scene import Scene, View
from palewright.draw.sheets import Draft, finish
from palewright.draw.view import Field, Scale
from palewright.draw.words import Words, short
from palewright.model import Plan
from palewright.record import Record

__all__ = ["elevation_drafts", "elevation_sheets"]

_LABELS_MM = 9.5
_GATE_MM = 13.0
_ASK_MM = 3.5
_NAME_MM = 6.0
_BELOW_MM = 12.8
_LEVEL_MM = (27.0, 19.0)
_GROUND_MM = (22.0, 9.0)
"""Left and right of a row: heights in parts and depths of holes stand there, on real ground only names of figures."""
_TRIAL_MM = 9.0
_STRING_MM = 4.5
_TRUE = 120.0
"""Down to this scale heights are drawn as large as lengths; at a smaller one twice as large, where a gap of 2 in would
be a quarter of a millimetre."""
_MOST_GAP_MM = 30.0
_MOST_TOGETHER = 12
"""Runs of more than so many are not tried on common sheets (our own choice): their papers would take long."""

_ARCHITECT = (
    (48.0, '1/4" = 1\'-0"', (0, 2, 4, 8)),
    (96.0, '1/8" = 1\'-0"', (0, 4, 8, 16)),
    (120.0, "1\" = 10'", (0, 5, 10, 20)),
    (240.0, "1\" = 20'", (0, 10, 20, 40)),
)
_METRIC = ((50.0, (0, 0.5, 1, 2)), (100.0, (0, 1, 2, 4)), (200.0, (0, 2, 4, 8)))


class _Row(Record):
    """A piece of a run on its sheet: from station to station [m]; ``above``: over the posts, ``tall``: in all [mm].

    high
        of the highest post over the row's zero [m]. slope: on real ground; None on level ground.
    """

    strip: Strip
    start: float
    end: float
    above: float
    tall: float
    high: float
    slope: Slope | None = None

    @property
    def beside(self) -> tuple[float, float]:
        """Room that its figures need to the left and to the right of it [mm]."""
        return _LEVEL_MM if self.slope is None else _GROUND_MM

    @property
    def first(self) -> bool:
        """Whether the run begins here."""
        return self.start <= self.strip.posts[0][0]


def _scales(style: str) -> list[Scale]:
    """Scales of elevations, from the largest drawing to the smallest."""
    if style == "metric":
        return [
            Scale(n, f"1:{n:g}", tuple(float(m) for m in bar), (*(f"{m:g}" for m in bar[:-1]), f"{bar[-1]:g} m"))
            for n, bar in _METRIC
        ]
    return [
        Scale(n, words, tuple(f * 0.3048 for f in bar), (*(str(f) for f in bar[:-1]), f"{bar[-1]} ft"))
        for n, words, bar in _ARCHITECT
    ]


def _even(sizes: Sequence[float], room: float) -> list[tuple[int, int]]:
    """Neighbours grouped: in as few groups of at most ``room`` as it takes, then as even as that number allows.

    Groups are (first, one past the last); a size larger than the room stands alone.

    >>> _even([4.0, 4.0, 4.0, 4.0], 13.0)
    [(0, 2), (2, 4)]
    """

    def cut(most: float) -> list[tuple[int, int]]:
        groups, first, total = [], 0, 0.0
        for k, size in enumerate(sizes):
            if k > first and total + size > most + 1e-9:
                groups.append((first, k))
                first, total = k, 0.0
            total += size
        return [*groups, (first, len(sizes))]

    least, low, high = len(cut(room)), 0.0, room
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (low, middle) if len(cut(middle)) <= least else (middle, high)
    return cut(high)


def _rows(plan: Plan, strip: Strip, field: Field, scale: Scale, words: Words, named: bool) -> list[_Row]:
    """The run cut at posts into rows that fit across the field, and on a slope into its height."""
    k = 1000.0 / scale.denominator
    stations = [s for s, _ in strip.posts]
    beside = sum(_LEVEL_MM if strip.meeting is None else _GROUND_MM)
    room, most = (field.width - beside) / k, field.height - _TRIAL_MM
    times = 1.0 if scale.denominator <= _TRUE else 2.0
    bind = Binding.of(strip.meeting) if strip.meeting is not None else None
    while True:
        parts = _even([b - a for a, b in itertools.pairwise(stations)], room)
        rows = [_row(plan, strip, span, (k, times, bind), words, named) for span in parts]
        if strip.meeting is None or max(row.tall for row in rows) <= most or len(parts) == len(strip.bays):
            return rows
        room, times = (room, 1.0) if times > 1.0 else (room * 0.8, 1.0)


def _row(
    plan: Plan, strip: Strip, span: tuple[int, int], how: tuple[float, float, Binding | None], words: Words, named: bool
) -> _Row:
    """The bays of a run from one number to another. ``how``: page millimetres for a metre, how many times heights."""
    k, times, bind = how
    (first, last), gates = span, {gate.bay: gate for gate in plan.design.gates}
    start, end = strip.posts[first][0], strip.posts[last][0]
    here = [gates[bay.number] for _, _, bay in strip.bays[first:last] if bay.number in gates]
    asked = _ASK_MM if any(gate_asks(plan, gate, words) for gate in here) else 0.0
    above = (_GATE_MM + asked if here else _LABELS_MM) + (_NAME_MM if named and first == 0 else 0.0)
    if strip.meeting is None or bind is None:
        return _Row(strip, start, end, above, (strip.low + strip.high) * k + above + _BELOW_MM, strip.high)
    slope = Slope.of(strip, strip.meeting, bind, (start, end), times)
    low, high = slope.extent()
    above += _STRING_MM
    tall = (high - low) * k + above + bands_tall(bands_of(slope, words, k)) + _BELOW_MM
    return _Row(strip, start, end, above, tall, high, slope)


def _scale_for(plan: Plan, strip: Strip, field: Field, words: Words) -> Scale:
    """The larger scale where the run fits in one row; else the one of fewest sheets that draws heights as large as
    lengths; smaller when three sheets would not do."""
    offered = _scales(plan.settings.print_style)
    room = field.height - _TRIAL_MM
    fewest, chosen = 4, offered[-1]
    for k, scale in enumerate(offered):
        rows = _rows(plan, strip, field, scale, words, True)
        if max(row.tall for row in rows) > room or (k == 0 and len(rows) > 1):
            continue
        sheets = len(_even([row.tall for row in rows], room))
        if sheets < fewest and (scale.denominator <= _TRUE or fewest > 3):
            fewest, chosen = sheets, scale
        if k == 0:
            break
    return chosen


def elevation_drafts(plan: Plan, words: Words) -> list[Draft]:
    """Sheets of every run in turn; neighbours at one scale share their sheets."""
    groups: list[list[Strip]] = []
    last: Scale | None = None
    for run in plan.design.runs:
        strip = unroll(plan, run)
        if not strip.bays:
            continue
        scale = _scale_for(
            plan, strip, layout_of(plan.settings.paper, False, _notes(plan, [strip], words)).field, words
        )
        if scale == last:
            groups[-1].append(strip)
        else:
            groups.append([strip])
        last = scale
    return [draft for group in _together(plan, groups, words) for draft in _group(plan, group, words)]


def _together(plan: Plan, groups: list[list[Strip]], words: Words) -> list[list[Strip]]:
    """Neighbouring groups made one where that saves a sheet."""
    made = groups[:1]
    for group in groups[1:]:
        both = [*made[-1], *group]
        few = len(both) <= _MOST_TOGETHER
        if few and _sheets(plan, both, words) < _sheets(plan, made[-1], words) + _sheets(plan, group, words):
            made[-1] = both
        else:
            made.append(group)
    return made


def _sheets(plan: Plan, strips: list[Strip], words: Words) -> int:
    return len(_packed(plan, strips, words)[2])


def _packed(plan: Plan, strips: list[Strip], words: Words) -> tuple[Layout, Scale, list[list[_Row]]]:
    """The rows of runs that share a scale, sheet by sheet: in as few sheets as a scale with true heights allows."""
    notes = _notes(plan, strips, words)
    layout = layout_of(plan.settings.paper, False, notes)
    field = layout.field
    largest = max((_scale_for(plan, strip, field, words) for strip in strips), key=lambda s: s.denominator)
    smaller = [scale for scale in _scales(plan.settings.print_style) if scale.denominator > largest.denominator]
    offered = [largest, *(scale for scale in smaller if scale.denominator <= _TRUE)]
    room = field.height - (_TRIAL_MM if notes.trial else 0.0)
    options = []
    for scale in offered:
        rows = [row for strip in strips for row in _rows(plan, strip, field, scale, words, len(strips) > 1)]
        options.append((scale, [rows[a:b] for a, b in _even([row.tall for row in rows], room)]))
    return layout, *min(options, key=lambda option: len(option[1]))


def _group(plan: Plan, strips: list[Strip], words: Words) -> list[Draft]:
    """The sheets of runs that share a scale."""
    layout, scale, sheets = _packed(plan, strips, words)
    whole = all(sheet[0].first for sheet in sheets)
    drafts = []
    for number, sheet in enumerate(sheets):
        shown = list({row.strip.run.name: row.strip for row in sheet}.values())
        names = ", ".join(short(strip.run.name, 36 // len(shown)) for strip in shown)
        name = words("elevation" if len(shown) == 1 else "elevations", run=names)
        if not whole:
            name = words("tile", name=name, part=number + 1, parts=len(sheets))
        notes = _notes(plan, shown, words, len(strips) > 1, sheet)
        alt = words("alt_elevation", run=names, title=plan.settings.title, scale=scale.words)
        board = _sheet(plan, sheet, layout, scale, words, notes, len(strips) > 1)
        drafts.append(Draft(board, layout, scale, name, "elevation", notes, alt, None))
    return drafts


def _sheet(
    plan: Plan, rows: list[_Row], layout: Layout, scale: Scale, words: Words, notes: Notes, named: bool
) -> Board:
    """Rows under each other, spread over the field; a lone row in the middle."""
    field = layout.field
    k = 1000.0 / scale.denominator
    top = field.top + (_TRIAL_MM if notes.trial else 0.0)
    gap = min(_MOST_GAP_MM, (field.bottom - top - sum(row.tall for row in rows)) / (len(rows) + 1))
    if len(rows) == 1:
        gap = (field.bottom - top - rows[0].tall) / 2
    board: Board | None = None
    for row in rows:
        top += gap
        ground = top + row.above + row.high * k
        before, after = row.beside
        left = field.left + before
        if len(rows) == 1:
            left = (field.left + field.right + before - after - (row.end - row.start) * k) / 2
        view = View(scale.denominator, (row.start, 0.0), 0.0, (left, ground), scale.words)
        board = board or Board(field, view)
        first, board.view = board.view, view
        if named and row.first:
            text = f"{words('run', run=short(row.strip.run.name))}, {_seen(plan, row.strip, words)}"
            board.write(text, (field.left + 3.0, top + 3.6), 3.2, weight="bold", role="run")
        if row.slope is not None:
            draw_ground_row(board, plan, row.slope, words, row.first)
        else:
            draw_row(board, plan, row.strip, row.start, row.end, words, row.first)
        board.view = first
        top += row.tall
    assert board is not None
    return board


def _seen(plan: Plan, strip: Strip, words: Words) -> str:
    leg = plan.design.legs[strip.run.legs[0]]
    asked = strip.run.name in plan.open("yard-not-said")
    return words("seen_ask" if asked else {"right": "seen_yard", "left": "seen_out"}.get(leg.yard, "seen_left"))


def _notes(plan: Plan, strips: Sequence[Strip], words: Words, named: bool = False, rows: Sequence[_Row] = ()) -> Notes:
    """The sheet's notes: side seen, ground, what each kind of hole is, sketched infill."""
    seen = _seen(plan, strips[0], words)
    said = [] if named else [f"{seen[0].upper()}{seen[1:]}."]
    said += _ground_notes(strips, rows, words)
    said += _hole_notes(strips, words)
    said.append(words("infill_note"))
    notes = plan_notes(plan, words, "elevation", runs=[strip.run for strip in strips])
    fences = {strip.run.fence for strip in strips if strip.meeting is None}
    for fence in plan.kinds:
        if fence.name in fences and len(fence.height_words) > 1:
            parts = " + ".join(f"{_part(name, words)} {words.length(size)}" for name, size in fence.height_words)
            key = "height_note" if len(fences) == 1 else "height_note_of"
            said.append(words(key, fence=short(fence.name), height=words.length(fence.height_m), parts=parts))
    return Notes(notes.title, notes.under_title, notes.locate_head, notes.locate_lines, notes.locate_entered,
                 (*said, *notes.notes), (), notes.trial)  # fmt: skip


def _ground_notes(strips: Sequence[Strip], rows: Sequence[_Row], words: Words) -> Iterator[str]:
    """How heights are drawn and counted where runs stand on real ground."""
    sloped = [strip for strip in strips if strip.meeting is not None]
    if not sloped:
        return
    times = {row.slope.times for row in rows if row.slope is not None} or {1.0}
    yield words("heights_true" if times == {1.0} else "heights_times", times="2")
    zeros = ", ".join(dict.fromkeys(zero_of(strip.meeting).post for strip in sloped if strip.meeting))
    yield words("heights_zero" if len(sloped) == 1 else "heights_zeros", post=zeros)
    yield words("heights_key")
    if any(strip.run.assumed for strip in sloped):
        yield words("not_final")
    if any(met.breaks for strip in sloped if strip.meeting is not None for met in strip.meeting.bays):
        yield words("gaps_broken")


def _hole_notes(strips: Sequence[Strip], words: Words) -> Iterator[str]:
    """What each kind of hole is; how deep it is stands under each post where the ground is known."""
    posts = [(strip, post) for strip in strips for _, post in strip.posts if post.hole is not None]
    several = len({post.kind for _, post in posts}) > 1
    holes: dict[tuple[str, float, float, float], list[str]] = {}
    for strip, post in posts:
        assert post.hole is not None
        across, depth, ground = (round(v, 4) for v in (post.hole.diameter_m, post.hole.depth_m, post.hole.in_ground_m))
        if strip.meeting is not None:
            depth = ground = 0.0
        roles = holes.setdefault((post.kind if several else "", across, depth, ground), [])
        if (role := words("role_" + post.role)) not in roles:
            roles.append(role)
    for (kind, across, depth, ground), roles in holes.items():
        sizes = {"diameter": across, "depth": depth, "ground": ground}
        key = "depth_line" if depth else "hole_line"
        line = words(key, roles=", ".join(roles), **{name: words.inches(m) for name, m in sizes.items()})
        yield words("hole_note_of", fence=short(kind), what=line) if kind else words("hole_note", what=line)


def _part(name: str, words: Words) -> str:
    """A part of the height in the sheet's language, or as its kind calls it."""
    key = "part_" + name.replace(" ", "_")
    return words(key) if key in words else name


def elevation_sheets(plan: Plan, first: int = 1, total: int = 0) -> list[Scene]:
    """Every run unrolled and seen from one side, at a true scale: heights, holes below ground, bays, gates.

    first, total
        number of the first sheet and of all sheets; 0: these are all.
    """
    words = Words(plan.settings)
    return finish(elevation_drafts(plan, words), plan, words, first, total)
