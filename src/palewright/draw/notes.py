"""What a sheet says beside its drawing: locate, notes, and the key of what is used."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from palewright.draw.line import line_key
from palewright.draw.line_names import line_notes
from palewright.draw.offsets import offsets
from palewright.draw.palette import utility_named
from palewright.draw.table import Row
from palewright.draw.words import Words, corners_found, short
from palewright.model import Plan, Run
from palewright.record import Record

__all__ = ["Notes", "plan_notes", "shows_web"]

_MOST_READ = 150
"""With more readings than this the plan shows none of them (our own choice)."""


_MOST, _MOST_LISTED = 24, 80
"""Letters of the name of a run in a note, and of a list of them: the key stands below (our own choice)."""


class Notes(Record):
    """Words and key of a sheet. ``key``: names of ``symbols.draw_key``; ``locate_entered`` decides how loud it is."""

    title: str
    under_title: tuple[str, ...]
    locate_head: str
    locate_lines: tuple[str, ...]
    locate_entered: bool
    notes: tuple[str, ...]
    key: tuple[str, ...]
    trial: str = ""
    table: tuple[Row, ...] = ()


def _locate(plan: Plan, words: Words) -> tuple[str, tuple[str, ...], bool]:
    typed, sheet = plan.locate.typed, plan.locate
    if not typed.begun:
        return words("locate_missing"), (words("locate_caution"),), False
    lines = [words("locate_from", when=short(typed.legal_from, _MOST))] if typed.legal_from else []
    lines += [words("locate_until", when=short(typed.expires, _MOST))] if typed.expires else []
    ticket = words("locate_ticket", ticket=short(typed.ticket, _MOST))
    if sheet.entered and not sheet.expired:
        return ticket, (*lines, words("locate_caution")), True
    if sheet.entered:
        return words("locate_expired"), (ticket, *lines, words("locate_caution")), False
    names = ", ".join(words("missing_" + name.replace(" ", "_")) for name in sheet.missing)
    lines = [*([ticket] if typed.ticket else []), *lines, words("locate_lacks", missing=names)]
    return words("locate_incomplete"), (*lines, words("locate_caution")), False


def _site_notes(plan: Plan, words: Words, runs: Sequence[Run], drawn: bool) -> Iterable[str]:
    ring = plan.site.ring
    if ring is None:
        yield words("no_boundary")
    else:
        key = "located_note" if ring.status.located else "not_located_note"
        yield corners_found(words, key, ring.status)
    trial = [run.name for run in runs if run.trial]
    if trial:
        yield words(_many("trial_note", trial), runs=_listed(trial))
    flat = [run for run in runs if run.level_assumed]
    plain = [run.name for run in flat if not run.fall_m]
    if plain:
        yield words(_many("level_note", plain), run=_listed(plain))
    for run in runs:
        for start, end in run.assumed:
            yield words("level_part", run=short(run.name, _MOST), start=words.length(start), end=words.length(end))
    for run in flat:
        if run.fall_m:
            key = f"level_{'fall' if run.fall_m > 0 else 'rise'}_{run.fall_by or 'typed'}"
            yield words(key, run=short(run.name, _MOST), fall=words.length(abs(run.fall_m)))
    if drawn and any(post.assumed for post in plan.design.posts):
        yield words("assumed_note")
    if plan.settings.frost_m is None:
        yield words("frost_note")


def _listed(names: Sequence[str]) -> str:
    return short(", ".join(short(name, _MOST) for name in names), _MOST_LISTED)


def _many(key: str, names: Sequence[str]) -> str:
    return key if len(names) == 1 else f"{key}_many"


def _fence_key(plan: Plan) -> Iterable[str]:
    posts = plan.design.posts
    roles = {post.role for post in posts if post.number}
    shape = ":round" if all(post.round for post in posts if post.number) else ""
    yield "fence"
    if "line" in roles:
        yield f"line{shape}"
    if roles & {"end", "corner", "tee", "change", "gate"}:
        yield f"terminal{shape}"
    if any(not post.number for post in posts):
        yield "bracket"
    if any(post.assumed for post in posts):
        yield f"assumed{shape}"
    if any(post.hole is not None and post.hole.hand_dig for post in posts):
        yield f"hand{shape}"
    if plan.design.gates:
        yield "gate"
    unsaid = plan.open("fabric-side-not-said")
    if any(leg.good_side in ("neighbour", "yard") and leg.fence not in unsaid for leg in plan.design.legs):
        yield "good"


def _site_key(plan: Plan) -> Iterable[str]:
    ring = plan.site.ring
    if ring is not None:
        yield "boundary_solid" if ring.status.located else "boundary_dashed"
        if any(c.counts for c in ring.corners):
            yield "found"
        if any(not c.counts for c in ring.corners):
            yield "record"
    for what in ("face", "post", "footing"):
        if any(offset.what == what for offset in offsets(plan)):
            yield f"offset_{what}"
    for then in ("pull", "leave"):
        if any(r.then == then for r in plan.site.removals):
            yield f"removal_{then}"
            yield f"footing_{then}"
    footings = {p for removal in plan.site.removals for p in removal.posts}
    zones = [zone for zone in plan.site.zones if zone.points[0] not in footings]
    for kind, name in (("no hole", "none"), ("hand dig", "hand"), ("loose ground", "loose"), ("pin", "pin")):
        found = (zone.utility if utility_named(zone.utility) else "" for zone in zones if zone.kind == kind)
        yield from dict.fromkeys(f"zone_{name}:{utility}" for utility in found)


def _thing_key(plan: Plan) -> Iterable[str]:
    if any(point.how == "thing" for point in plan.site.points):
        yield "thing"


def shows_web(plan: Plan) -> bool:
    """Whether the plan shows what was measured: where something was, and few enough readings to tell them apart."""
    survey = plan.site.survey
    return survey is not None and 0 < sum(o.source != "assumed" for o in survey.network.observations) <= _MOST_READ


def _web_key(plan: Plan) -> Iterable[str]:
    if shows_web(plan):
        yield "measured"
        if plan.site.survey is not None and plan.site.survey.adjusted.suspects:
            yield "struck"


def _string_key(plan: Plan) -> Iterable[str]:
    if plan.stakeout.strings:
        yield "string"
        yield "stake"
    if plan.stakeout.crossings:
        yield "crossing"


def _asks(plan: Plan, words: Words, runs: Sequence[Run]) -> list[str]:
    """The fences of these runs of which nobody said where the good side looks, or on which side fabric hangs."""
    asked = plan.open("good-side-not-said") | plan.open("fabric-side-not-said")
    names = dict.fromkeys(plan.design.legs[k].fence for run in runs for k in run.legs)
    return [words("ask_good", fence=short(name)) for name in names if name in asked]


def plan_notes(
    plan: Plan,
    words: Words,
    kind: str,
    extra: Iterable[str] = (),
    runs: Sequence[Run] | None = None,
    table: tuple[Row, ...] = (),
    marks: Collection[str] = ("string",),
) -> Notes:
    """Notes of a sheet of ``kind`` (as :attr:`Scene.kind`).

    runs
        those it shows, or all. table: rows beside the drawing.
    marks
        of a stake-out: what is drawn besides the fence, "string", "tie", "check": names of the key.
    """
    runs = plan.design.runs if runs is None else runs
    settings = plan.settings
    head, lines, entered = _locate(plan, words)
    notes = [*_asks(plan, words, runs), *_site_notes(plan, words, runs, kind != "elevation"), *extra]
    key: tuple[str, ...] = ()
    if kind == "plan":
        notes += line_notes(plan, words)
        key = (*_fence_key(plan), *line_key(plan), *_site_key(plan), *_thing_key(plan), *_web_key(plan))
    elif kind in ("stakeout", "checks"):
        shown = plan.stakeout.strings if "string" in marks else ()
        for offset, side in sorted({(round(s.offset_m, 4), s.side) for s in shown}):
            notes.append(
                f"{words('offset_note', offset=words.length(offset)).rstrip('.')}, {words('offset_side_' + side)}."
            )
        dropped = ("good", "gate", "removal_pull", "offset", *(("hand",) if kind == "checks" else ()))
        if kind == "checks":
            notes.append(words("tolerance_note"))
        base = [
            name for name in (*_fence_key(plan), *_site_key(plan), *_thing_key(plan)) if not name.startswith(dropped)
        ]
        strings = _string_key(plan) if "string" in marks else ()
        key = (*strings, *(name for name in ("tie", "check") if name in marks), *base)
    elif kind == "network":
        doubted = ("doubted",) if plan.site.survey and plan.site.survey.adjusted.suspects else ()
        key = ("reading", *doubted, "ellipse", *(name for name in _site_key(plan) if not name.startswith("offset")))
    under = tuple(text for text in (settings.address, settings.client) if text)
    trial = words("trial") if any(run.trial for run in runs) else ""
    return Notes(settings.title, under, head, lines, entered, tuple(notes), key, trial, table)
