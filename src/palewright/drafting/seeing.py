"""From a job and its plan to all that a screen shows; a job that cannot be planned is shown as far as it goes."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

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
from palewright.errors import JobError, Problem, ProblemError
from palewright.model import Job, Plan, Remark, Site
from palewright.plan.site import build_site

__all__ = ["changes", "read_job", "sight", "sight_of"]

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
    file: str = "",
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
        things = Things({}, {}, {})
        return _bare(problem_notices(error.problems, things), language)
    earlier = _planned(against, folder, today) if against is not None else None
    try:
        made = plan.make_plan(job, None, today, search_cuts=False)
    except ProblemError as error:
        return _broken(job, error.problems, language)
    return sight_of(made, job, language=language, against=earlier, strings=strings)


def read_job(text: str, folder: Path | None = None, name: str = "") -> Job:
    """The job of a text, with the files that it names; prices are not read. Raises JobError."""
    job = jobfile.read_text(text, name)
    if not (job.rules_file or job.ground.files):
        return job
    if folder is None:
        return replace(job, rules_file="") if job.rules_file and not job.ground.files else job
    with tempfile.NamedTemporaryFile("w", suffix=".yaml", dir=folder, delete=False, encoding="utf-8") as file:
        file.write(_without_prices(text))
    try:
        return plan.load(Path(file.name))[0]
    finally:
        os.unlink(file.name)


def _without_prices(text: str) -> str:
    document = jobfile.Document(text)
    if document.get("prices") is not None:
        document.set("prices", "ask")
    return document.dump()


def _planned(text: str, folder: Path | None, today: date | None) -> Plan | None:
    try:
        return plan.make_plan(read_job(text, folder), None, today, search_cuts=False)
    except ProblemError:
        return None


def sight_of(
    made: Plan, job: Job, *, language: str = "en", against: Plan | None = None, strings: bool = False,
    whole: bool = True,
) -> Sight:  # fmt: skip
    """What a screen shows of a plan.

    against
        an earlier plan of the job, for the differences. strings: draw the strings of the crew too.
    whole
        False: only what is drawn, and said of site and layout; the rest is left out.
    """
    speech, things = Speech(made.settings, language), things_of(job)
    site, design = made.site, made.design
    lines = tape_lines(job, site, speech)
    items = [
        *ground_items(job, made, speech),
        *site_items(job, site, things, speech),
        *fence_items(design, things, speech),
        *line_items(made.lines, things, speech),
        *tape_items(job, site, lines),
        *(string_items(made.stakeout, speech) if strings else ()),
    ]
    remarks = shown_remarks(made, whole)
    counts = counts_of(design, made.lines, speech)
    return Sight(
        title=made.settings.title,
        language=speech.language,
        print=made.settings.print_style,
        north=site.north,
        extent=extent_of(items),
        bars=bars_of(made.settings.print_style, speech),
        items=tuple(items),
        elevations=elevations_of(design, {kind.name: kind for kind in made.kinds}, things, speech),
        notices=notices_of(remarks, things, items, speech),
        counts=counts,
        difference=_difference(made, counts, against, speech),
        tapes=lines,
        next=next_tapes(site, remarks, speech),
        asks=asks_of(made.asks, things, speech),
        assumed=_assumed(remarks, speech),
        whole=whole,
    )


def shown_remarks(made: Plan, whole: bool) -> tuple[Remark, ...]:
    """What is said on the screen: not what is said of the list to buy, which has its own sheet."""
    said = made.site.remarks + made.design.remarks
    said += tuple(remark for line in made.lines for remark in line.remarks)
    if not whole:
        return said
    inside = made.inside.remarks if made.inside is not None else ()
    permit = made.permit.remarks if made.permit is not None else ()
    return said + made.stakeout.remarks + inside + made.locate.remarks + permit


def _difference(made: Plan, counts: Counts, against: Plan | None, speech: Speech) -> Difference | None:
    if against is None:
        return None
    before = counts_of(against.design, against.lines, speech)
    return difference_of(made.design, counts, against.design, before, speech)


def _assumed(remarks: Sequence[Remark], speech: Speech) -> tuple[str, ...]:
    return tuple(dict.fromkeys(speech.remark(remark) for remark in remarks if remark.level == "assumption"))


def _bare(notices: tuple[object, ...], language: str) -> Sight:
    """Nothing can be drawn: the file cannot be read."""
    speech = Speech(settings_of(Job("")), language)
    return Sight(
        "", speech.language, "feet-inches", False, _EMPTY, bars_of("feet-inches", speech), (), (), notices,  # type: ignore[arg-type]
        Counts(), drawn=False,
    )  # fmt: skip


def _broken(job: Job, problems: Iterable[Problem], language: str) -> Sight:
    """A job that cannot be planned: its site where that stands, and the runs as they were asked for."""
    speech, things = Speech(settings_of(job), language), things_of(job)
    site = _site(job)
    lines = tape_lines(job, site, speech) if site is not None else ()
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
