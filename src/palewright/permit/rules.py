"""The rules of a place from a TOML file: every value as somebody typed it, with clause, source and day looked up."""

from __future__ import annotations

import contextlib
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from pathlib import PurePath
from typing import Any

from palewright.errors import JobError, NotationError, Problem, Where
from palewright.model import Rule, RuleBook
from palewright.notation import parse_length
from palewright.permit.rule_keys import FILE_KEYS, KINDS, Field, keys_of

__all__ = ["read_rules"]

_LIMIT = 1_000_000
_MOST_RULES = 500
_VERSION = 1
_OURS = re.compile(r"(?m)^\s*(palewright_rules|\[\[\s*rule\s*\]\])")


@dataclass(slots=True)
class _Reading:
    """A file being read: its lines, its name and what is wrong with it."""

    lines: list[str]
    file: str
    problems: list[Problem]

    def where(self, key: str, number: int, thing: str = "") -> Where:
        """Where a key of the rule of that number stands (0: a key of the file itself), as far as lines tell."""
        heads = [k for k, line in enumerate(self.lines) if re.match(r"\s*\[\[\s*rule\s*\]\]", line)]
        first, last = 0, heads[0] if heads else len(self.lines)
        if number:
            first = heads[number - 1] if number <= len(heads) else 0
            last = heads[number] if number < len(heads) else len(self.lines)
        quoted = re.escape(key)
        for k in range(first, last):
            match = re.match(rf"\s*(?:{quoted}|\"{quoted}\")\s*=", self.lines[k])
            if key and match:
                start = len(self.lines[k]) - len(self.lines[k].lstrip())
                return Where(self.file, k + 1, start + 1, max(len(key), 1), thing=thing)
        return Where(self.file, first + 1 if number else 0, 1 if number else 0, thing=thing)

    def wrong(self, slug: str, what: str, where: Where, **more: str) -> None:
        """Keep a problem with its line."""
        excerpt = self.lines[where.line - 1] if 0 < where.line <= len(self.lines) else ""
        self.problems.append(Problem(slug, what, where=where, excerpt=excerpt[:200], **more))


def read_rules(text: str, file: str = "") -> RuleBook:
    """Read a file of rules.

    text
        TOML: the keys of the file, then one ``[[rule]]`` after the other. file: its name for messages.
    Raises JobError with every problem: a key that is not known (with the nearest spelling), a value that cannot be
    read, a key that is missing, two rules of one name. docs/permit.md lists the keys.

    >>> book = read_rules('''
    ... palewright_rules = 1
    ... place = "a town of our invention"
    ... source = "made up"
    ... checked = 2026-05-04
    ... [[rule]]
    ... name = "height in front"
    ... kind = "height"
    ... clause = "4 (a)"
    ... yards = ["front"]
    ... most = "4 ft"
    ... ''')
    >>> book.rules[0].length("most"), book.rules[0].checked
    (1.2192, '2026-05-04')
    """
    rd = _Reading(text.splitlines(), file, [])
    if not _OURS.search(text):  # some other file: nothing of what stands in it is repeated
        raise JobError(
            Problem("rules-not-ours", "this is no file of rules", Where(file=file), found="no `palewright_rules` in it",
                    allowed=f"palewright_rules = {_VERSION}, then [[rule]]",
                    hint="is this the file that `rules` means?")
        )  # fmt: skip
    data = _parse(rd, text)
    place, source, checked = _head(rd, data)
    made = [_rule(rd, table, number, source, checked) for number, table in enumerate(_tables(rd, data), 1)]
    rules = [rule for rule in made if rule is not None]
    for k, rule in enumerate(rules):
        if rule.name in [other.name for other in rules[:k]]:
            rd.wrong("rules-value", "two rules have the same name", rule.at, found=rule.name)
    answered = _text(rd, data, "answered", 0, "the file", must=False)
    if rd.problems:
        raise JobError(rd.problems)
    return RuleBook(place, source, checked, tuple(rules), answered, PurePath(file).name)


def _head(rd: _Reading, data: dict[str, Any]) -> tuple[str, str, str]:
    """Place, source and day of a file."""
    for key in data:
        if key != "rule" and key not in FILE_KEYS:
            _unknown(rd, key, [*FILE_KEYS, "rule"], 0, "the file")
    if data.get("palewright_rules") != _VERSION:
        rd.wrong("rules-value", "the version of the file of rules is said first", rd.where("palewright_rules", 0),
                 found=str(data.get("palewright_rules", "none"))[:40],
                 allowed=f"palewright_rules = {_VERSION}")  # fmt: skip
    place, source = (_text(rd, data, key, 0, "the file") for key in ("place", "source"))
    return place, source, _day(rd, data, 0, "the file") if "checked" in data else _missing(rd, "checked", 0, "the file")


def _tables(rd: _Reading, data: dict[str, Any]) -> list[dict[str, Any]]:
    """The rules as TOML has them."""
    tables = data.get("rule", [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        rd.wrong("rules-value", "rules are written one after the other", rd.where("rule", 0), allowed="[[rule]]")
        return []
    if len(tables) > _MOST_RULES:
        rd.wrong("rules-value", "there are too many rules in one file", rd.where("", 0), found=str(len(tables)),
                 allowed=f"up to {_MOST_RULES}")  # fmt: skip
        return []
    return tables


def _parse(rd: _Reading, text: str) -> dict[str, Any]:
    if len(text) > _LIMIT:
        raise JobError(Problem("rules-not-toml", "the file of rules is too large", Where(file=rd.file)))
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        said = str(error)
        place = re.search(r"\(at line (\d+), column (\d+)\)", said)
        where = Where(rd.file, int(place[1]), int(place[2])) if place else Where(file=rd.file)
        excerpt = rd.lines[where.line - 1][:200] if 0 < where.line <= len(rd.lines) else ""
        raise JobError(
            Problem("rules-not-toml", "the file of rules is not TOML", where=where,
                    found=said.partition(" (at")[0][:120] or "tables nested too deeply", excerpt=excerpt,
                    hint='a rule begins with [[rule]] and has lines such as most = "4 ft"')
        ) from None  # fmt: skip


def _unknown(rd: _Reading, key: str, known: Iterable[str], number: int, thing: str, kind: str = "") -> None:
    names, place = list(known), f"a rule of kind {kind}" if kind else thing
    near = get_close_matches(key.lower().replace("-", "_").replace(" ", "_")[:80], names, n=1, cutoff=0.6)
    rd.wrong("rules-unknown-key", f"this key is not known in {place}", rd.where(key, number, thing), found=key[:60],
             allowed=", ".join(names), hint=f"did you mean `{near[0]}`?" if near else "")  # fmt: skip


def _missing(rd: _Reading, key: str, number: int, thing: str) -> str:
    rd.wrong("rules-missing-key", f"`{key}` is missing in {thing}", rd.where("", number, thing), hint=f"add `{key} =`")
    return ""


def _text(rd: _Reading, data: dict[str, Any], key: str, number: int, thing: str, must: bool = True) -> str:
    value = data.get(key)
    if value is None:
        return _missing(rd, key, number, thing) if must else ""
    if not isinstance(value, str) or not value.strip() or len(value) > 400:
        rd.wrong("rules-value", f"`{key}` is a text in quotes", rd.where(key, number, thing), found=str(value)[:60])
        return ""
    return " ".join(value.split())


def _day(rd: _Reading, data: dict[str, Any], number: int, thing: str) -> str:
    value = data["checked"]
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, str):
        with contextlib.suppress(ValueError):
            value = date.fromisoformat(value)
    if isinstance(value, date):
        return value.isoformat()
    rd.wrong("rules-value", "`checked` is the day on which the rule was looked up", rd.where("checked", number, thing),
             found=str(value)[:60], allowed="year-month-day, for instance 2026-05-04")  # fmt: skip
    return ""


def _rule(rd: _Reading, table: dict[str, Any], number: int, source: str, checked: str) -> Rule | None:
    given = table.get("name")
    thing = f"rule {given}" if isinstance(given, str) and given.strip() else f"rule number {number}"
    before = len(rd.problems)
    name = _text(rd, table, "name", number, thing)
    kind = _text(rd, table, "kind", number, thing)
    clause = _text(rd, table, "clause", number, thing)
    if kind and kind not in KINDS:
        near = get_close_matches(kind, list(KINDS), n=1, cutoff=0.6)
        rd.wrong("rules-value", "this kind of rule is not known", rd.where("kind", number, thing), found=kind[:60],
                 allowed=", ".join(KINDS), hint=f"did you mean `{near[0]}`?" if near else "")  # fmt: skip
    if kind not in KINDS:
        return None
    fields = keys_of(kind)
    read: dict[str, list[Any]] = {"length": [], "share": [], "word": [], "list": []}
    for key, value in table.items():
        if key not in fields:
            _unknown(rd, key, fields, number, thing, kind)
            continue
        field = fields[key]
        if field.shape != "own":
            made = _value(rd, field, key, value, number, thing)
            if made is not None:
                read["word" if field.shape == "yes" else field.shape].append((key, made))
    for key, field in fields.items():
        if field.must and key not in table:
            _missing(rd, key, number, thing)
    if dict(read["word"]).get("measured", "").endswith("within") and "within" not in table:
        _missing(rd, "within", number, thing)
    own = _text(rd, table, "source", number, thing, must=False) or source
    day = _day(rd, table, number, thing) if "checked" in table else checked
    note = _text(rd, table, "note", number, thing, must=False)
    if len(rd.problems) > before:
        return None
    return Rule(name, kind, clause, own, day, tuple(read["length"]), tuple(read["share"]), tuple(read["word"]),
                tuple(read["list"]), note, rd.where("name", number, thing))  # fmt: skip


def _value(rd: _Reading, field: Field, key: str, value: Any, number: int, thing: str) -> Any:
    """The value of a key, or None after reporting what is wrong."""
    where = rd.where(key, number, thing)
    found = str(value)[:60]
    if field.shape == "length" and isinstance(value, str):
        try:
            metres = parse_length(value).m
        except NotationError as error:
            first = error.problems[0]
            rd.wrong(
                "rules-value", f"`{key}`: {first.what}", where, found=found, allowed=first.allowed, hint=first.hint
            )
            return None
        if 0.0 <= metres <= 1.0e4:
            return metres
    if field.shape == "share" and isinstance(value, str):
        match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]+)?) ?%", value.strip())
        if match is not None and float(match.group(1)) <= 100.0:
            return float(match.group(1)) / 100.0
    if field.shape == "yes" and isinstance(value, bool):
        return "yes" if value else "no"
    if field.shape == "word" and isinstance(value, str) and value in field.words:
        return value
    if field.shape == "list":
        items = [value] if isinstance(value, str) else value
        if isinstance(items, list) and items and all(isinstance(item, str) and item.strip() for item in items):
            odd = [item for item in items if field.words and item not in field.words]
            if not odd:
                return tuple(items)
            found = odd[0][:60]
    near = get_close_matches(found, field.words, n=1, cutoff=0.6) if field.words else []
    rd.wrong("rules-value", f"`{key}` cannot be read", where, found=found, allowed=field.says(),
             hint=f"did you mean `{near[0]}`?" if near else "")  # fmt: skip
    return None
