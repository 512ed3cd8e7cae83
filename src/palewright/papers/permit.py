"""The rules of the place as data: every result with its numbers, where it is, its clause, and what must be asked."""

from __future__ import annotations

import itertools
from typing import Any

from palewright.model import Finding, Permit, Plan, Rule
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.words import has, say, table

__all__ = ["asked", "permit_data", "result_rows", "short_rows", "where_of"]

_WORDS = {"line", "allows", "ground"}
"""Arguments that are words of the rules and not names that somebody gave."""


def permit_data(plan: Plan) -> dict[str, Any]:
    """Everything that the rules pages of the permit paper print, as plain data; for a plan with a permit record."""
    sheet = Sheet.of(plan)
    permit = plan.permit
    assert permit is not None
    rows = result_rows(sheet)
    counts = {key: sum(row["verdict"] == verdict for row in rows)
              for key, verdict in (("meets", "meets"), ("fails", "does-not"), ("asks", "ask"))}  # fmt: skip
    ring = plan.site.ring
    return sheet.head("permit.document") | {
        "w": table("permit", sheet.language),
        "given": permit.rules is not None,
        "book": _book(sheet, permit),
        "facts": sheet("permit.facts", **counts) if permit.rules is not None else "",
        "fails": [row for row in rows if row["verdict"] == "does-not"],
        "asks": [row for row in rows if row["verdict"] == "ask"],
        "rows": rows,
        "pool": any(finding.kind == "pool" for finding in permit.findings),
        "walls": [say(remark, plan.settings) for remark in plan.design.remarks if remark.slug == "pool-wall"],
        "stale": sheet("permit.stale", rules=", ".join(short(name, 60) for name in permit.stale))
        if permit.stale
        else "",
        "on_ground": bool(sheet.plan.design.meetings),
        "record_lines": sheet("permit.record_lines") if ring is not None and not ring.status.located else "",
    }


def _book(sheet: Sheet, permit: Permit) -> list[dict[str, str]]:
    book = permit.rules
    if book is None:
        return []
    cells = (("place", book.place), ("source", book.source), ("checked", book.checked), ("answered", book.answered))
    return [{"label": sheet(f"permit.{key}"), "value": short(value, 120)} for key, value in cells]


def result_rows(sheet: Sheet) -> list[dict[str, str]]:
    """One row for each result."""
    permit = sheet.plan.permit
    if permit is None:
        return []
    book = permit.rules
    rules = {rule.name: rule for rule in book.rules} if book is not None else {}
    rows = [_row(sheet, finding, rules.get(finding.rule), permit) for finding in permit.findings]
    for before, row in itertools.pairwise(rows):
        row["again"] = "yes" if row["number"] == before["number"] else ""
    return rows


def _row(sheet: Sheet, finding: Finding, rule: Rule | None, permit: Permit) -> dict[str, str]:
    args = _args(sheet, finding)
    measure = sheet(f"permit.m_{finding.measure}", **args)
    value, unknown = _value(sheet, finding, finding.provided), sheet("permit.unknown")
    if finding.measure == "easement" and "length_m" in args:
        value = sheet("permit.count_posts", posts=args["posts"], length=args["length_m"])
    return {
        "number": str(finding.number) if finding.number else "–",
        "again": "",
        "rule": short(finding.rule, 60) or sheet("permit.no_rule"),
        "clause": _clause(sheet, rule, permit),
        "note": short(rule.note, 160) if rule is not None else "",
        "where": where_of(sheet, finding),
        "measure": measure,
        "provided": ""
        if finding.measure in ("none-there", "no-walls") or (finding.ask and value == unknown)
        else value,
        "required": _required(sheet, finding) if finding.number else sheet("permit.not_typed"),
        "ask": asked(sheet, finding),
        "result": sheet(f"permit.{finding.verdict}"),
        "verdict": finding.verdict,
    }


def _clause(sheet: Sheet, rule: Rule | None, permit: Permit) -> str:
    """The clause; with source and day where they are not those of the file."""
    book = permit.rules
    if rule is None or book is None:
        return ""
    if (rule.source, rule.checked) == (book.source, book.checked):
        return sheet("permit.clause", clause=short(rule.clause, 80))
    return sheet(
        "permit.clause_own",
        clause=short(rule.clause, 80),
        source=short(sheet.source(rule.source), 80),
        checked=rule.checked,
    )


def _word(sheet: Sheet, word: str) -> str:
    """A word of the rules in the job's language; words in a list one by one."""
    parts = [part.strip() for part in word.split(",")]
    keys = ["permit.v_" + part.replace(" ", "_") for part in parts]
    return ", ".join(sheet(key) if has(key) else short(part, 60) for key, part in zip(keys, parts, strict=True))


def _gate(sheet: Sheet, name: str) -> str:
    """A gate by its name, the word gate not said twice."""
    said = sheet("common.gate")
    return short(name, 30) if said in name.lower().split() else sheet("permit.gate", gate=short(name, 30))


def _args(sheet: Sheet, finding: Finding) -> dict[str, str]:
    shown = {}
    for name, value in finding.args:
        if name.endswith("_m"):
            shown[name] = sheet.measures.small(float(value))
        elif name == "gate":
            shown[name] = _gate(sheet, str(value))
        else:
            shown[name] = _word(sheet, str(value)) if name in _WORDS else short(str(value), 60)
    return shown


def _value(sheet: Sheet, finding: Finding, value: float | int | str | None) -> str:
    if value is None:
        return sheet("permit.unknown")
    if isinstance(value, str):
        return _word(sheet, value)
    if finding.unit == "share":
        return f"{value:.0%}"
    return sheet.measures.small(float(value)) if finding.unit == "m" else f"{value:,}"


def _required(sheet: Sheet, finding: Finding) -> str:
    if finding.required is None:
        return ""
    value = _value(sheet, finding, finding.required)
    key = {"least": "permit.at_least", "most": "permit.at_most", "not": "permit.not"}.get(finding.bound)
    return sheet(key, value=value) if key else value


def asked(sheet: Sheet, finding: Finding) -> str:
    """What must be asked, or ""."""
    return sheet(f"permit.ask_{finding.ask}", **_args(sheet, finding)) if finding.ask else ""


def where_of(sheet: Sheet, finding: Finding) -> str:
    """Where a result holds, in words."""
    args, parts = dict(finding.args), []
    if "easement" in args:
        parts.append(sheet("permit.easement", easement=short(str(args["easement"]), 40)))
    if "thing" in args:
        corner = args["thing"] == "corner"
        thing = {} if corner else {"thing": short(str(args["thing"]), 30)}
        parts.append(sheet("permit.in_triangle_corner" if corner else "permit.in_triangle", **thing))
    if "gate" in args:
        parts.append(_gate(sheet, str(args["gate"])))
    if "wall" in args:
        parts.append(sheet("permit.wall", wall=short(str(args["wall"]), 30)))
    if finding.run:
        many = "runs" if ", " in finding.run and finding.measure == "easement" else "run"
        parts.append(sheet(f"permit.{many}", run=short(finding.run, 40)))
    if finding.posts:
        shown = ranges(finding.posts)
        if len(finding.posts) == 2:
            shown = sheet("common.posts_range", first=finding.posts[0], last=finding.posts[1])
        parts.append(sheet("permit.post" if len(finding.posts) == 1 else "permit.posts", posts=shown))
    if finding.side:
        parts.append(sheet("permit.side", side=finding.side))
    if finding.yard:
        parts.append(sheet("permit.yard", yard=_word(sheet, finding.yard)))
    if len(finding.part) == 2 and not _whole(sheet, finding):
        low, high = (sheet.measures.length(value) for value in finding.part)
        parts.append(sheet("permit.part", low=low, high=high))
    if "whichever" in args:
        parts.append(sheet("permit.whichever"))
    return ", ".join(parts)


def _whole(sheet: Sheet, finding: Finding) -> bool:
    """Whether a result is of a run from end to end."""
    run = next((run for run in sheet.plan.design.runs if run.name == finding.run), None)
    return run is not None and finding.part[0] < 1e-3 and finding.part[1] > run.length_m - 1e-3


def short_rows(sheet: Sheet) -> list[dict[str, str]]:
    """The results that are not met, and then what must be asked: for the decision page."""
    rows = [row for row in result_rows(sheet) if row["verdict"] != "meets"]
    return sorted(rows, key=lambda row: row["verdict"] == "ask")
