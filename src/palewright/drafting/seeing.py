"""From a job and its plan to all that a screen shows; a job that cannot be planned is shown as far as it goes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

from palewright import jobfile, plan
from palewright.drafting.counting import counts_of, difference_of
from palewright.drafting.elevations import elevations_of
from palewright.drafting.grounds import ground_items
from palewright.drafting.measured import next_tapes, tape_items, tape_lines
from palewright.drafting.notices import asks_of, notices_of, problem_notices
from palewright.drafting.scene_fence import fence_items, line_items
from palewright.drafting.scene_site import site_items
from palewright.drafting.sight_records import Bar, Change, Counts, Difference, Item, Sight
from palewright.drafting.speech import Speech, settings_of
from palewright.drafting.strings import string_items
from palewright.drafting.things import Things, things_of
from palewright.drafting.wishes import wish_items
from palewright.errors import JobError, Problem, ProblemError, Where
from palewright.model import Design, Job, Kind, LinePlan, Plan, Remark, Settings, Site, Stakeout
from palewright.plan.engine import Laid, load_text
from palewright.plan.site import build_site

__all__ = ["broken", "changes", "read_job", "sight", "sight_of", "sight_of_laid", "unread"]

_FEET = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
_METRES = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)
_FOOT = 0.3048
_EMPTY = (0.0, 0.0, 30 * _FOOT, 20 * _FOOT)
"""What an empty page shows: a few steps each way [m]."""
_MARGIN = 0.04


def sight(
    text: str,
    folder: Path | None = None,
    *,
    language: str = "en",
    against: str | None = None,
    file: str = "job.yaml",
    strings: bool = False,
    today: date | None = None,
) -> Sight:
    """What a screen shows of the text of a job file.

    folder
        of the files that the job names. against: the text of an earlier version, for the differences. file: its name,
        for problems.
    Never raises for what a person typed: problems are among the notices, and what can be drawn is drawn.
    """
    try:
        job = read_job(text, folder, file)
    except ProblemError as error:
        return unread(error.problems, language)
    earlier = _planned(against, folder, today) if against is not None else None
    try:
        made = plan.make_plan(job, None, today, search_cuts=False)
    except ProblemError as error:
        return broken(job, error.problems, language)
    return sight_of(made, job, language=language, against=earlier, strings=strings)


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
    made: Plan, job: Job, *, language: str = "en", against: Plan | None = None, strings: bool = False
) -> Sight:
    """What a screen shows of a plan.

    against
        an earlier plan of the job, for the differences. strings: draw the strings of the crew too.
    """
    shown = Shown(made.settings, made.site, made.kinds, made.design, made.lines, made.asks, _more(made),
                  made.stakeout if strings else None)  # fmt: skip
    return see(shown, job, language, against)


def sight_of_laid(laid: Laid, job: Job, *, language: str = "en", against: Plan | None = None) -> Sight:
    """What a screen shows of a job that is laid out and no more: without what only a whole plan says."""
    kinds = tuple(laid.kinds.values())
    shown = Shown(laid.settings, laid.site, kinds, laid.design, laid.lines, job.asks, None, None)
    return see(shown, job, language, against)


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


def see(shown: Shown, job: Job, language: str, against: Plan | None) -> Sight:
    """The parts of a plan as a screen shows them."""
    speech, things = Speech(shown.settings, language), things_of(job)
    site, design = shown.site, shown.design
    lines = tape_lines(job, site, speech)
    items = [
        *ground_items(job, shown.design, speech),
        *site_items(job, site, things, speech),
        *fence_items(design, things, speech),
        *line_items(shown.lines, things, speech),
        *tape_items(job, site, lines),
        *(string_items(shown.stakeout, speech) if shown.stakeout is not None else ()),
    ]
    remarks = site.remarks + design.remarks + tuple(remark for line in shown.lines for remark in line.remarks)
    remarks += shown.more or ()
    counts = counts_of(design, shown.lines, speech)
    return Sight(
        title=shown.settings.title,
        language=speech.language,
        print=shown.settings.print_style,
        north=site.north,
        extent=extent_of(items),
        bars=bars_of(shown.settings.print_style, speech),
        items=tuple(items),
        elevations=elevations_of(design, {kind.name: kind for kind in shown.kinds}, things, speech),
        notices=notices_of(remarks, things, items, speech),
        counts=counts,
        difference=_difference(design, counts, against, speech),
        tapes=lines,
        next=next_tapes(site, remarks, speech),
        asks=asks_of(shown.asks, things, speech),
        assumed=_assumed(remarks, speech),
        whole=shown.more is not None,
    )


def _more(made: Plan) -> tuple[Remark, ...]:
    """What only a whole plan says; not what is said of the list to buy, which has its own sheet."""
    inside = made.inside.remarks if made.inside is not None else ()
    permit = made.permit.remarks if made.permit is not None else ()
    return made.stakeout.remarks + inside + made.locate.remarks + permit


def _difference(design: Design, counts: Counts, against: Plan | None, speech: Speech) -> Difference | None:
    if against is None:
        return None
    before = counts_of(against.design, against.lines, speech)
    return difference_of(design, counts, against.design, before, speech)


def _assumed(remarks: Sequence[Remark], speech: Speech) -> tuple[str, ...]:
    return tuple(dict.fromkeys(speech.remark(remark) for remark in remarks if remark.level == "assumption"))


def unread(problems: Iterable[Problem], language: str) -> Sight:
    """Nothing can be drawn: the file cannot be read."""
    notices = problem_notices(problems, Things({}, {}, {}))
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
    said = notices_of(remarks, things, items, speech)
    return Sight(
        title=job.title, language=speech.language, print=job.print_style, north=site.north if site else False,
        extent=extent_of(items), bars=bars_of(job.print_style, speech), items=tuple(items), elevations=(),
        notices=(*problem_notices(problems, things), *said), counts=Counts(), tapes=lines,
        next=next_tapes(site, remarks, speech) if site is not None else (),
        asks=asks_of(job.asks, things, speech), assumed=_assumed(remarks, speech),
    )  # fmt: skip


def _site(job: Job) -> Site | None:
    try:
        return build_site(job)
    except JobError:
        return None


def extent_of(items: Iterable[Item]) -> tuple[float, float, float, float]:
    """The box round everything that is drawn, with a margin [m]."""
    spots = [xy for item in items for xy in (*item.points, *((item.centre,) if item.centre else ()))]
    if not spots:
        return _EMPTY
    x0, x1 = min(x for x, _ in spots), max(x for x, _ in spots)
    y0, y1 = min(y for _, y in spots), max(y for _, y in spots)
    room = max(_MARGIN * max(x1 - x0, y1 - y0), 1.0)
    return (x0 - room, y0 - room, x1 + room, y1 + room)


def bars_of(style: str, speech: Speech) -> tuple[Bar, ...]:
    """Round lengths for the scale bar and the grid."""
    if style == "metric":
        return tuple(Bar(float(m), f"{m:g} m") for m in _METRES)
    unit = speech.term("ft")
    return tuple(Bar(feet * _FOOT, f"{feet} {unit}") for feet in _FEET)


def changes(before: Sight, after: Sight) -> Change:
    """What differs between two sights of one job."""
    known = {item.id: item for item in before.items}
    items = tuple(item for item in after.items if (old := known.get(item.id)) is not item and old != item)
    ids = {item.id for item in after.items}
    names = ("title", "language", "print", "north", "extent", "bars", "elevations", "notices", "counts", "difference",
             "tapes", "next", "asks", "assumed", "whole", "drawn")  # fmt: skip
    rest = tuple((name, getattr(after, name)) for name in names if getattr(after, name) != getattr(before, name))
    return Change(items, tuple(key for key in known if key not in ids), rest)
