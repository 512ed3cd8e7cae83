"""The locate sheet: every proposed dig, what was typed of the locate, and what is still missing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from palewright.errors import JobError, Problem, Where
from palewright.locate.lines import line_digs
from palewright.model import Design, DigItem, Job, LinePlan, LocateSheet, LocateSpec, Remark, Site, Stakeout, Zone
from palewright.plane import XY, inside, point_path_distance

__all__ = ["PRIVATE_LINES", "STAKE_DEPTH_M", "STAKE_WIDTH_M", "locate_sheet"]

PRIVATE_LINES = (
    "irrigation",
    "septic",
    "well line",
    "propane",
    "pool",
    "outbuilding power",
    "low-voltage lighting",
    "dog fence wire",
    "drains",
    "private cable",
    "sewer lateral",
    "geothermal",
)
"""Lines nobody marks, each to be ticked: what lies past the meter or belongs to the owner (common practice)."""

STAKE_WIDTH_M = 0.0508
"""Width of a stake across its corners, as dug [m]: 2 in (common practice)."""
STAKE_DEPTH_M = 0.4572
"""Depth to which a stake is driven [m]: 18 in (common practice)."""


def locate_sheet(
    job: Job,
    site: Site,
    design: Design,
    stakeout: Stakeout,
    lines: Sequence[LinePlan] = (),
    today: date | None = None,
) -> LocateSheet:
    """The locate block of every crew page.

    job
        whose ``locate`` holds what was typed. site: its zones; design: its holes; stakeout: its stakes; lines: its
        runs of wire, whose posts are digs whether they are dug or driven. today: a ticket that ran out before that day
        is told.
    Returns a sheet with one DigItem for each hole and each stake, to be marked in white. It is ``entered`` only when
    ticket, called on, legal from and expires are typed, the days as YYYY-MM-DD, and every listed member, at least one,
    has answered; ``missing`` names what is not. Even then nothing is declared clear: the sheet says what was checked.
    Raises JobError when the ticket expires before digging is legal, or was called in after it. Source: common practice;
    digging is governed by the local notice centre and its law.
    """
    typed = job.locate
    problems = _date_problems(typed)
    if problems:
        raise JobError(problems)
    missing = _missing(typed)
    digs = (*_holes(design), *_stakes(site, stakeout), *(dig for line in lines for dig in line_digs(line)))
    remarks: list[Remark] = []
    if missing:
        args = (("missing", ", ".join(missing)), *((("part", "yes"),) if typed.begun else ()))
        remarks.append(Remark("locate-not-entered", "ask", "locate", args))
    expires = _date(typed.expires)
    if digs and today is not None and expires is not None and expires < today:
        remarks.append(Remark("locate-expired", "caution", "locate", (("expires", expires.isoformat()),)))
    if digs and not site.zones:
        remarks.append(Remark("no-zones-typed", "ask", "locate"))
    listed = {_plain(name): name for name in PRIVATE_LINES}
    said = tuple(dict.fromkeys(listed.get(_plain(name), name) for name in typed.private if _plain(name)))
    private = tuple(dict.fromkeys((*said, *PRIVATE_LINES)))
    return LocateSheet(not missing, typed, missing, digs, private, tuple(remarks), said)


def _plain(name: str) -> str:
    """A name without case and without the word line: "Pool lines" is the pool of the list."""
    return re.sub(r"\s+lines?$", "", " ".join(name.lower().split()))


def _missing(typed: LocateSpec) -> tuple[str, ...]:
    days = (("called on", typed.called_on), ("legal from", typed.legal_from), ("expires", typed.expires))
    missing = [] if typed.ticket.strip() else ["ticket"]
    missing += [name for name, value in days if _date(value) is None]
    if not typed.members or any(not member.answer.strip() for member in typed.members):
        missing.append("answers")
    return tuple(missing)


def _date(words: str) -> date | None:
    """The date at the start of the words when it is written YYYY-MM-DD; None otherwise."""
    try:
        return date.fromisoformat(words.strip()[:10])
    except ValueError:
        return None


def _date_problems(typed: LocateSpec) -> list[Problem]:
    called, legal, expires = typed.called_on, typed.legal_from, typed.expires
    hint = "read both dates from the ticket again"
    problems = []
    if _before(expires, legal):
        what, found = "the locate expires before digging is legal", f"legal from {legal}, expires {expires}"
        allowed = "an expiry on or after the first legal day"
        problems.append(Problem("locate-expires-first", what, _where(typed), found=found, allowed=allowed, hint=hint))
    if _before(legal, called):
        what, found = "digging is legal before the locate was called in", f"called on {called}, legal from {legal}"
        allowed = "a first legal day on or after the call"
        problems.append(
            Problem("locate-legal-before-call", what, _where(typed), found=found, allowed=allowed, hint=hint)
        )
    return problems


def _before(words: str, other: str) -> bool:
    """Whether one day comes before another; False where either is not written as a day."""
    day, than = _date(words), _date(other)
    return day is not None and than is not None and day < than


def _where(typed: LocateSpec) -> Where:
    return typed.at if typed.at.line or typed.at.file else Where(thing="locate")


def _holes(design: Design) -> list[DigItem]:
    return [
        DigItem(
            post.label,
            "hole",
            post.xy,
            post.hole.diameter_m,
            post.hole.depth_m,
            post.hole.hand_dig,
            tuple(hit.zone for hit in post.hole.hits if hit.clear_m < 0.0),
        )
        for post in design.posts
        if post.hole is not None
    ]


def _stakes(site: Site, stakeout: Stakeout) -> list[DigItem]:
    """Stakes that are driven: not those held at a wall, nor those refused."""
    digs: list[DigItem] = []
    for string in stakeout.strings:
        at_wall = (string.zero == "wall", string.end_with == "wall")
        for stake, wall in zip(string.stakes, at_wall, strict=True):
            if wall or stake.refused:
                continue
            hits = [zone for zone in site.zones if _clear(zone, stake.xy) < STAKE_WIDTH_M / 2.0]
            hand = any(zone.kind == "hand dig" for zone in hits)
            names = tuple(zone.name for zone in hits)
            digs.append(DigItem(stake.label, "stake", stake.xy, STAKE_WIDTH_M, STAKE_DEPTH_M, hand, names))
    return digs


def _clear(zone: Zone, at: XY) -> float:
    if zone.closed and len(zone.points) > 2 and inside(at, zone.points):
        return -zone.half_m
    return point_path_distance(at, zone.points, zone.closed) - zone.half_m
