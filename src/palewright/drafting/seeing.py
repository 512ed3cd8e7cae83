"""From a job and its plan to all that a screen shows; a job that cannot be planned is shown as far as it goes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

from palewright import jobfile, plan
from palewright.drafting.counting import counts_of, difference_of, figures_of_run
from palewright.drafting.elevations import elevations_asked
from palewright.drafting.grounds import ground_items
from palewright.drafting.measured import next_tapes, tape_items, tape_lines
from palewright.drafting.notices import asks_of, in_order, notices_of, problem_notices
from palewright.drafting.pieces import Box, Piece, box_of_items, parts_of_runs, piece_of
from palewright.drafting.scene_fence import line_items
from palewright.drafting.scene_site import site_items
from palewright.drafting.sight_records import Ask, Bar, Change, Counts, Item, NextTape, Notice, Sight, TapeLine
from palewright.drafting.speech import Speech, settings_of
from palewright.drafting.strings import string_items
from palewright.drafting.things import Things, things_of
from palewright.drafting.wishes import wish_items
from palewright.errors import JobError, Problem, ProblemError, Where
from palewright.model import Design, Job, Kind, LinePlan, Plan, Remark, Settings, Site, Stakeout
from palewright.plan.engine import Laid, lay_job, load_text
from palewright.plan.site import build_site
from palewright.plane import XY

__all__ = ["broken", "changes", "earlier", "read_job", "sight", "sight_of", "sight_of_laid", "unread"]

_FEET = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
_METRES = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)
_FOOT = 0.3048
_EMPTY = (0.0, 0.0, 30 * _FOOT, 20 * _FOOT)
"""What an empty page shows: a few steps each way [m]."""
_MARGIN = 0.04
_REST = (
    "title", "language", "print", "north", "extent", "bars", "notices", "counts", "difference", "tapes", "next", "asks",
    "assumed", "drawn",
)  # fmt: skip
"""Keys of a sight beside its items and its side views."""


def sight(
    text: str,
    folder: Path | None = None,
    *,
    language: str = "en",
    against: str | Earlier | None = None,
    file: str = "job.yaml",
    strings: bool = False,
    today: date | None = None,
) -> Sight:
    """What a screen shows of the text of a job file.

    folder
        of the files that the job names. against: an earlier version, for the differences: its text, or what
        :func:`earlier` made of it. file: its name, for problems.
    Never raises for what a person typed: problems are among the notices, and what can be drawn is drawn.
    """
    try:
        job = read_job(text, folder, file)
    except ProblemError as error:
        return unread(error.problems, language)
    before = _planned(against, folder, today) if isinstance(against, str) else against
    try:
        made = plan.make_plan(job, None, today, search_cuts=False)
    except ProblemError as error:
        return broken(job, error.problems, language)
    return sight_of(made, job, language=language, against=before, strings=strings)


def earlier(text: str, folder: Path | None = None, *, language: str = "en") -> Earlier | None:
    """What differences are told against: a version of a job, laid out once. None where it cannot be."""
    try:
        speech = Speech(settings_of(read_job(text, folder)), language)
    except ProblemError:
        return None
    return earlier_of(text, folder, speech)


def read_job(text: str, folder: Path | None = None, name: str = "job.yaml") -> Job:
    """The job of a text, with the files of its folder that it names; prices are not read. Raises JobError."""
    if folder is not None:
        return load_text(text, folder, name, priced=False)[0]
    job = jobfile.read_text(text, name)
    return replace(job, rules_file="", prices_file="", ground=replace(job.ground, files=()))


def _planned(text: str, folder: Path | None, today: date | None) -> Plan | None:
    try:
        return plan.make_plan(read_job(text, folder), None, today, search_cuts=False)
    except ProblemError:
        return None


def sight_of(
    made: Plan, job: Job, *, language: str = "en", against: Plan | Earlier | None = None, strings: bool = False
) -> Sight:
    """What a screen shows of a plan.

    against
        an earlier plan of the job, for the differences. strings: draw the strings of the crew too.
    """
    shown = Shown(made.settings, made.site, made.kinds, made.design, made.lines, made.asks, _more(made),
                  made.stakeout if strings else None)  # fmt: skip
    return see(shown, job, language, _earlier(against, Speech(made.settings, language)))


def sight_of_laid(
    laid: Laid, job: Job, *, language: str = "en", against: str | None = None, folder: Path | None = None
) -> Sight:
    """What a screen shows of a job that is laid out and no more: without what only a whole plan says."""
    shown = shown_laid(laid, job)
    return see(shown, job, language, earlier_of(against, folder, Speech(shown.settings, language)))


def shown_laid(laid: Laid, job: Job) -> Shown:
    """The parts of a job that is laid out and no more."""
    kinds = tuple(laid.kinds.values())
    return Shown(laid.settings, laid.site, kinds, laid.design, laid.lines, job.asks, None, None)


class Shown(NamedTuple):
    """The parts of a plan that a screen shows; ``more``: what only a whole plan says, None while it is not known."""

    settings: Settings
    site: Site
    kinds: tuple[Kind, ...]
    design: Design
    lines: tuple[LinePlan, ...]
    asks: tuple[Where, ...]
    more: tuple[Remark, ...] | None
    stakeout: Stakeout | None


def see(shown: Shown, job: Job, language: str, earlier: Earlier | None) -> Sight:
    """The parts of a plan as a screen shows them."""
    speech, things = Speech(shown.settings, language), things_of(job)
    kinds = {kind.name: kind for kind in shown.kinds}
    pieces = [piece_of(parts, kinds, things, speech) for parts in parts_of_runs(shown.design)]
    frame = frame_of(shown, job, things, speech)
    paths = {item.id: item.path for item in (*frame.items, *(item for piece in pieces for item in piece.items))}
    said = notices_of((*frame.remarks, *shown.design.remarks), things, paths, speech)
    return compose(frame, pieces, said, earlier, speech)


class Frame(NamedTuple):
    """What a screen shows round the runs; ``remarks``: what is said of the site."""

    shown: Shown
    ground: tuple[Item, ...]
    site: tuple[Item, ...]
    over: tuple[Item, ...]
    tapes: tuple[TapeLine, ...]
    next: tuple[NextTape, ...]
    asks: tuple[Ask, ...]
    remarks: tuple[Remark, ...]

    @property
    def items(self) -> tuple[Item, ...]:
        """All that is drawn but the runs."""
        return self.ground + self.site + self.over


class Earlier(NamedTuple):
    """An earlier plan, for the differences: its figures, and where the posts and gates of each run stood, by id."""

    counts: Counts
    parts: tuple[Mapping[str, XY], ...]


def frame_of(shown: Shown, job: Job, things: Things, speech: Speech) -> Frame:
    """Everything but the runs."""
    site = shown.site
    tapes = tape_lines(job, site, speech)
    remarks = site.remarks + tuple(remark for line in shown.lines for remark in line.remarks) + (shown.more or ())
    return Frame(
        shown, *items_round(shown, job, things, speech, tapes, shown.stakeout), tapes,
        next_tapes(site, remarks, speech), asks_of(shown.asks, things, speech), remarks,
    )  # fmt: skip


def items_round(
    shown: Shown | Laid,
    job: Job,
    things: Things,
    speech: Speech,
    tapes: tuple[TapeLine, ...],
    stakeout: Stakeout | None = None,
) -> tuple[tuple[Item, ...], tuple[Item, ...], tuple[Item, ...]]:
    """What is drawn under the runs, of the site, and over the runs."""
    over = (
        *line_items(shown.lines, things, speech),
        *tape_items(job, shown.site, tapes),
        *(string_items(stakeout, speech) if stakeout is not None else ()),
    )
    ground = tuple(ground_items(job, shown.site, shown.design, speech))
    return ground, tuple(site_items(job, shown.site, things, speech)), over


def compose(
    frame: Frame, pieces: Sequence[Piece], said: Iterable[Notice], earlier: Earlier | None, speech: Speech,
    items: bool = True, side: str | None = None,
) -> Sight:  # fmt: skip
    """One sight of its parts; ``items`` False: without what is drawn. ``side``: the run seen from the side."""
    settings, notices = frame.shown.settings, in_order(said)
    counts = counts_of([piece.figures for piece in pieces], frame.shown.lines, speech)
    difference = None
    if earlier is not None:
        known, now = {id(part) for part in earlier.parts}, {id(piece.spots) for piece in pieces}
        spots = {key: xy for piece in pieces if id(piece.spots) not in known for key, xy in piece.spots.items()}
        was = {key: xy for part in earlier.parts if id(part) not in now for key, xy in part.items()}
        difference = difference_of(counts, earlier.counts, spots, was, speech)
    return Sight(
        title=settings.title,
        language=speech.language,
        print=settings.print_style,
        north=frame.shown.site.north,
        extent=extent_of([box_of_items(frame.items), *(piece.box for piece in pieces)]),
        bars=bars_of(settings.print_style, speech),
        items=_drawn(frame, pieces) if items else (),
        elevations=tuple(piece.elevation for piece in pieces if side is None or side == piece.about),
        notices=notices,
        counts=counts,
        difference=difference,
        tapes=frame.tapes,
        next=frame.next,
        asks=frame.asks,
        assumed=tuple(dict.fromkeys(notice.text for notice in notices if notice.level == "assumption")),
        whole=frame.shown.more is not None,
    )


def _drawn(frame: Frame, pieces: Sequence[Piece]) -> tuple[Item, ...]:
    return (*frame.ground, *frame.site, *(item for piece in pieces for item in piece.items), *frame.over)


def earlier_of(text: str | None, folder: Path | None, speech: Speech) -> Earlier | None:
    """Figures and places of an earlier version of the job; None where that could not be planned."""
    if text is None:
        return None
    try:
        laid = lay_job(read_job(text, folder))
    except ProblemError:
        return None
    return _earlier_of(laid.design, laid.lines, speech)


def _earlier(against: Plan | Earlier | None, speech: Speech) -> Earlier | None:
    """Figures and places of an earlier plan."""
    if against is None or isinstance(against, Earlier):
        return against
    return _earlier_of(against.design, against.lines, speech)


def _earlier_of(design: Design, lines: tuple[LinePlan, ...], speech: Speech) -> Earlier:
    counts = counts_of([figures_of_run(part, speech) for part in parts_of_runs(design)], lines, speech)
    posts = {post.label: post.xy for post in design.posts}
    spots = {f"post {label}": xy for label, xy in posts.items()}
    spots |= {f"gate {gate.name}": posts[gate.posts[0]] for gate in design.gates}
    return Earlier(counts, (spots,))


def _more(made: Plan) -> tuple[Remark, ...]:
    """What only a whole plan says; not what is said of the list to buy, which has its own sheet."""
    inside = made.inside.remarks if made.inside is not None else ()
    permit = made.permit.remarks if made.permit is not None else ()
    return made.stakeout.remarks + inside + made.locate.remarks + permit


def unread(problems: Iterable[Problem], language: str) -> Sight:
    """Nothing can be drawn: the file cannot be read."""
    notices = problem_notices(problems, Things({}, {}, {}), language)
    speech = Speech(settings_of(Job("")), language)
    return Sight(
        "", speech.language, "feet-inches", False, _EMPTY, bars_of("feet-inches", speech), (), (), notices,
        Counts(), drawn=False,
    )  # fmt: skip


def broken(job: Job, problems: Iterable[Problem], language: str) -> Sight:
    """A job that cannot be planned: its site where that stands, and the runs as they were asked for."""
    speech, things = Speech(settings_of(job), language), things_of(job)
    site = _site(job)
    lines = tape_lines(job, site, speech)
    items: list[Item] = []
    if site is not None:
        items += site_items(job, site, things, speech)
    items += wish_items(job, site, things, speech)
    if site is not None:
        items += tape_items(job, site, lines)
    remarks = site.remarks if site is not None else ()
    said = in_order(notices_of(remarks, things, {item.id: item.path for item in items}, speech))
    return Sight(
        title=job.title,
        language=speech.language,
        print=job.print_style,
        north=site.north if site is not None else False,
        extent=extent_of([box_of_items(items)]),
        bars=bars_of(job.print_style, speech),
        items=tuple(items),
        elevations=tuple(elevations_asked(job, things, speech)),
        notices=(*problem_notices(problems, things, language), *said),
        counts=Counts(),
        tapes=lines,
        next=next_tapes(site, remarks, speech) if site is not None else (),
        asks=asks_of(job.asks, things, speech),
        assumed=tuple(dict.fromkeys(notice.text for notice in said if notice.level == "assumption")),
    )


def _site(job: Job) -> Site | None:
    try:
        return build_site(job)
    except JobError:
        return None


def extent_of(boxes: Iterable[Box | None]) -> Box:
    """The box round everything that is drawn, with a margin [m]."""
    known = [box for box in boxes if box is not None]
    if not known:
        return _EMPTY
    x0, y0 = min(box[0] for box in known), min(box[1] for box in known)
    x1, y1 = max(box[2] for box in known), max(box[3] for box in known)
    room = max(_MARGIN * max(x1 - x0, y1 - y0), 1.0)
    return (x0 - room, y0 - room, x1 + room, y1 + room)


def bars_of(style: str, speech: Speech) -> tuple[Bar, ...]:
    """Round lengths for the scale bar and the grid."""
    if style == "metric":
        return tuple(Bar(float(m), f"{m:g} m") for m in _METRES)
    unit = speech.term("ft")
    return tuple(Bar(feet * _FOOT, f"{feet} {unit}") for feet in _FEET)


def changes(before: Sight, after: Sight) -> Change:
    """What differs between two sights of one job; where nothing has a place then, what was drawn stays."""
    known = {item.id: item for item in before.items}
    items = tuple((known.get(item.id), item) for item in after.items)
    ids = {item.id for item in after.items}
    gone = tuple(key for key in known if key not in ids) if ids else ()
    return Change(items, gone, rest_of(before, after))


def rest_of(before: Sight, after: Sight) -> tuple[tuple[str, object], ...]:
    """Every key beside the items that differs; of the side views only those that do."""
    rest = [(name, getattr(after, name)) for name in _REST if getattr(after, name) != getattr(before, name)]
    known = {elevation.about: elevation for elevation in before.elevations}
    sides = tuple(one for one in after.elevations if (old := known.get(one.about)) is not one and old != one)
    return (*rest, *([("elevations", sides)] if sides else []), ("whole", after.whole))
