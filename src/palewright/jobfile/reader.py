"""Read a job file into a Job."""

from __future__ import annotations

import re
from datetime import datetime
from itertools import pairwise
from os import PathLike, fspath
from typing import Any

from palewright.errors import JobError, Problem, Where
from palewright.jobfile.composing import read_source
from palewright.jobfile.keys import TOP, UNITS
from palewright.jobfile.measured import tape_specs
from palewright.jobfile.names import Names
from palewright.jobfile.permit import build_agreements, build_lot
from palewright.jobfile.reading import MISSING, Reading, Table, nearest
from palewright.jobfile.runs import build_fences, build_runs
from palewright.jobfile.site import SiteParts, build_site_parts
from palewright.jobfile.source import LIMITS, Node, decode, need_table
from palewright.jobfile.values import is_ask
from palewright.model import Job, LocateSpec, MemberAnswer, SiteSpec, StakeSpec
from palewright.notation.units import units

__all__ = ["read", "read_bytes", "read_file", "read_text", "read_words"]


def read(path: str | PathLike[str]) -> Job:
    """Read a job file.

    path
        the YAML file.
    Returns the job in SI. Raises JobError with every problem that was found, each with line and column.
    """
    name = fspath(path)
    return read_bytes(read_file(name), name)


def read_file(name: str) -> bytes:
    """The bytes of a file, one more than are allowed at most."""
    try:
        with open(name, "rb") as stream:
            return stream.read(LIMITS.file_bytes + 1)
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or "not a file name"
        raise JobError(
            Problem("file-unreadable", "the file cannot be read", Where(file=name), found=said,
                    hint="is the name spelled right?")
        ) from error  # fmt: skip


def read_words(path: str | PathLike[str]) -> str:
    """The text of a file of calls, held to what a job file is held to. Raises JobError."""
    name = fspath(path)
    source, problems = decode(read_file(name), name)
    if problems:
        raise JobError(problems)
    return source.text


def read_text(text: str, file: str = "") -> Job:
    """Read a job from text, as :func:`read` does from a file.

    >>> read_text("palewright: 1\\njob: {title: A small yard}").title
    'A small yard'
    """
    return read_bytes(text.encode("utf-8", errors="surrogatepass"), file)


def read_bytes(data: bytes, file: str = "") -> Job:
    """Read a job from the bytes of a file."""
    source, node, problems = read_source(data, file)
    if node is None and problems:
        raise JobError(problems)
    node = need_table(source, node, problems)
    rd = Reading(source)
    rd.problems.extend(problems)
    rd.unit, rd.vara, rd.foot = _units(rd, node)
    rd.azimuths = _azimuths(node)
    job = _build(rd, TOP.read(rd, node, ""))
    if rd.problems:
        shown = sorted(rd.problems, key=lambda problem: (problem.where.line, problem.where.column))
        if rd.left_out:
            shown.append(Problem("more-problems", f"{rd.left_out} more problems are not shown", Where(file=file)))
        raise JobError(shown)
    return job


def _units(rd: Reading, node: Node) -> tuple[str, str, str]:
    """Unit, vara and foot of the job, needed before any length is read; wrong words are reported later."""
    found = {"unit": "", "vara": "", "foot": "international"}
    for key, value in node.pairs:
        if key.text == "job" and value.kind == "table":
            for inner, text in value.pairs:
                if inner.text in found and text.kind == "text":
                    found[inner.text] = text.text.strip()
                if inner.text == "vara":
                    found["vara"] = _vara(rd, text)
    unit = found["unit"] if found["unit"] in UNITS else ""
    return unit, found["vara"], "survey" if found["foot"] == "survey" else "international"


def _azimuths(node: Node) -> str:
    """Where bare angles in calls are counted from, needed before any call is read; a wrong word is reported later."""
    found = [inner.text.strip() for key, value in node.pairs if key.text == "boundary" and value.kind == "table"
             for name, inner in value.pairs if name.text == "azimuths" and inner.kind == "text"]  # fmt: skip
    return {"from north": "north", "from south": "south"}.get(found[0], "") if found else ""


def _vara(rd: Reading, node: Node) -> str:
    """The state whose vara is meant. A wrong one is reported here, once, and not at every length in varas."""
    if node.kind != "text" or node.is_null or is_ask(node):
        return ""
    known = units().vara
    state = node.text.strip()
    if state.lower() in known:
        return state
    names = [name.title() for name in known]
    close = nearest(state, names)
    hint = f"did you mean `{close}`?" if close else "type the lengths in feet instead"
    rd.wrong("vara-state-unknown", "no fixed vara is known for this state", node, "job.vara",
             allowed=", ".join(names), hint=hint)  # fmt: skip
    return names[0]


def _build(rd: Reading, top: Any) -> Job:
    assert isinstance(top, Table)
    names = Names(rd)
    parts = build_site_parts(rd, top, names)
    fences = build_fences(top)
    runs = build_runs(rd, top, names, parts)
    sides = len(parts.corner_names)
    lot = build_lot(rd, top, names, sides, [name for name, _ in parts.buildings], runs)
    agreements = build_agreements(rd, top, names, sides)
    names.check()
    north, basis = _north(top, parts)
    job = top.get("job")
    job = job if isinstance(job, Table) else Table(top.at, "job")
    locate, site, stakes = (top.get(key) for key in ("locate", "site", "stakes"))
    return Job(
        title=job.get("title", ""),
        file=rd.source.file,
        version=top.get("palewright", 1),
        address=job.get("address", ""),
        client=job.get("client", ""),
        notes=tuple(job.get("notes", [])),
        print_style=job.get("print", "feet-inches"),
        fraction=job.get("round to", 8),
        language=job.get("language", "en"),
        paper=job.get("paper", "letter"),
        tape_m=job.get("tape", 30.48),
        north=north,
        north_basis=basis,
        points=tuple(parts.points),
        walks=tuple(parts.walks),
        measured=tuple(parts.measured),
        tapes=tape_specs(rd, top),
        boundary=parts.boundary,
        fences=fences,
        runs=runs,
        removals=tuple(parts.removals),
        zones=tuple(parts.zones),
        falls=tuple(parts.falls),
        ground=parts.ground,
        locate=_locate(rd, locate) if isinstance(locate, Table) else LocateSpec(at=top.place("locate")),
        site=_site(site) if isinstance(site, Table) else SiteSpec(at=top.place("site")),
        stakes=_stakes(stakes) if isinstance(stakes, Table) else StakeSpec(at=top.place("stakes")),
        buildings=tuple(parts.buildings),
        prices_file=top.get("prices", ""),
        currency=job.get("currency", ""),
        asks=tuple(rd.asks),
        at=top.at,
        prices_at=top.place("prices") if top.typed("prices") else Where(),
        lot=lot,
        agreements=agreements,
        rules_file=top.get("rules", ""),
        rules_at=top.place("rules") if top.typed("rules") else Where(),
        levels=tuple(parts.levels),
    )


def _north(top: Table, parts: SiteParts) -> tuple[bool, str]:
    """Whether the job has a north, and what it rests on."""
    job = top.get("job")
    if isinstance(job, Table) and job.typed("north"):
        basis = str(job.get("north", ""))
        return (False, "") if basis.lower() in ("", "none", "no") else (True, basis)
    boundary = parts.boundary
    if boundary is None:
        if any(walk.azimuth is not None for walk in parts.walks):
            return True, "bearings of the walk"
        return False, ""
    if boundary.calls:
        return True, f"bearings of the boundary, {boundary.bearings}".removesuffix(", ")
    placed = {point.name for point in parts.points if point.how in ("coordinates", "calls")}
    if all(ref.xy is not None or ref.name in placed for ref in boundary.through):
        return True, "coordinates of the boundary"
    return False, ""


_DAY = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?![0-9-])(?:(?:T| +)([0-9]{1,2}:[0-9]{2})(?![0-9]))?")


def _day(text: str) -> str | None:
    """The day at the beginning of a text, an hour or words behind it; None where it is no day of the calendar."""
    match = _DAY.match(text)
    if match is None:
        return None
    hour, _, minute = (match.group(2) or "0:00").partition(":")
    try:
        datetime.fromisoformat(match.group(1)).replace(hour=int(hour), minute=int(minute))
    except ValueError:
        return None
    return match.group(1)


def _locate(rd: Reading, table: Table) -> LocateSpec:
    members = []
    for word, value in table.get("members", []):
        if isinstance(value, Table):
            members.append(MemberAnswer(word.text, value.get("answer", ""), value.get("when", "")))
        else:
            members.append(MemberAnswer(word.text, "" if value is MISSING else str(value)))
    days = []
    for key in ("called on", "legal from", "expires"):
        typed = table.get(key)
        day = _day(typed) if typed is not None else None
        if day is not None:
            days.append((day, key))
        elif typed is not None:
            rd.wrong_at("not-a-day", f"`{key}` is not a day of the calendar", table.place(key), found=typed[:60],
                        allowed="year-month-day, and the hour where it is known: 2026-05-05 07:00",
                        hint="write it like 2026-05-26 (year-month-day), or `ask`")  # fmt: skip
    for (before, key), (after, other) in pairwise(days):
        if after < before:
            rd.wrong_at("locate-dates", f"`{other}` is earlier than `{key}`", table.place(other), found=after,
                        allowed=f"{before} or later")  # fmt: skip
    return LocateSpec(
        table.get("ticket", ""), table.get("called on", ""), table.get("legal from", ""), table.get("expires", ""),
        tuple(members), tuple(table.get("private", [])), table.at,
    )  # fmt: skip


def _site(table: Table) -> SiteSpec:
    return SiteSpec(
        table.get("frost"), table.get("soil", ""), table.get("wind", ""), table.get("exposure", ""),
        table.get("frost source", ""), table.at,
    )  # fmt: skip


def _stakes(table: Table) -> StakeSpec:
    usual = StakeSpec()
    return StakeSpec(
        table.get("offset", usual.offset_m), table.get("beyond", usual.beyond_m),
        table.get("paint margin", usual.paint_m), table.get("longest string", usual.longest_string_m),
        table.get("tolerance", usual.tolerance_m), table.get("mark", usual.mark_extra_m), table.at,
        table.get("with", ""),
    )  # fmt: skip
