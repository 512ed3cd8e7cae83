"""What every paper has: title, words, the locate block, the flags that stand on every page, cautions."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import Any

from palewright.model import Kind, LineStatus, Plan, Post, Run
from palewright.papers.clean import clean, short
from palewright.papers.measures import Measures
from palewright.papers.words import has, table, term, text, zone_name
from palewright.record import Record
from palewright.sources import all_sources

__all__ = ["Sheet", "locate_block", "ranges"]

_BLANKS = 3
_SAME_M = 0.001


class Sheet(Record):
    """A plan with the words and the measures that its papers use."""

    plan: Plan
    language: str
    measures: Measures

    @classmethod
    def of(cls, plan: Plan) -> Sheet:
        """The words and measures the job asks for; English for a language that the papers do not speak."""
        language = plan.settings.language if plan.settings.language in ("en", "es") else "en"
        return cls(plan, language, Measures.of(plan.settings))

    def __call__(self, key: str, /, **args: object) -> str:
        """The text of ``table.entry``."""
        return text(key, self.language, **args)

    def corners_found(self, key: str, status: LineStatus) -> str:
        """The text of a key with how many corners count, and in another how many pins more do not."""
        more = "+more" if status.more else ""
        return self(key + more, found=status.found, total=status.total, more=status.more)

    def term(self, word: str) -> str:
        """A word of the records in the job's language."""
        return term(word, self.language)

    def post(self, label: str) -> str:
        """A post by its label: "post 5", or the wall bracket."""
        return f"{self('common.bracket' if label.startswith('W') else 'common.post')} {label}"

    def zone(self, name: str) -> str:
        """A zone by its name; the fence of an old footing is named only where there are several old fences."""
        return zone_name(name, self.language, whose=len(self.plan.site.removals) > 1)

    def posts(self) -> dict[str, Post]:
        """Posts by label."""
        return {post.label: post for post in self.plan.design.posts}

    def kinds(self) -> dict[str, Kind]:
        """Fences by name."""
        return {kind.name: kind for kind in self.plan.kinds}

    def height(self, kind: Kind) -> str:
        """How the height of a fence adds up: board 6' 0", top 6' 2" above ground."""
        parts = ", ".join(
            self("common.part_of_height", word=self.term(word), length=self._part(metres))
            for word, metres in kind.height_words
            if metres
        )
        return self("common.height_words", parts=parts, height=self.measures.length(kind.height_m))

    def _part(self, metres: float) -> str:
        return self.measures.length(metres) if metres >= 0.6 else self.measures.small(metres)

    def source(self, key: str) -> str:
        """A source as a paper names it: our own words translated, a key of the ledger by its document's title."""
        entry = "common." + key.replace(" ", "_")
        if has(entry):
            return self(entry)
        return all_sources()[key].title if key in all_sources() else key

    def _level(self, run: Run) -> str:
        name = short(run.name, 40)
        if not run.fall_m:
            return name
        key = f"common.level_{'fall' if run.fall_m > 0 else 'rise'}_{run.fall_by or 'typed'}"
        return self(key, run=name, fall=self.measures.small(abs(run.fall_m)))

    def assumed(self) -> list[str]:
        """The corners whose angle nobody measured: by name, and the post that stands there."""
        site = self.plan.site
        names = [str(dict(r.args).get("point", "")) for r in site.remarks if r.slug == "assumed-right-angle"]
        return [self.point(name) for name in names]

    def point(self, name: str) -> str:
        """A named point, and the post that stands there."""
        at = next((point.xy for point in self.plan.site.points if point.name == name), None)
        stands = (p.label for p in self.plan.design.posts if at and p.number and math.dist(p.xy, at) < _SAME_M)
        label = next(stands, "")
        return f"{short(name, 30)} ({self.post(label)})" if label else short(name, 30)

    def flags(self) -> list[str]:
        """What must be said on every page: line not located, TRIAL, level ground assumed, assumed corners, no frost."""
        plan, flags = self.plan, []
        ring = plan.site.ring
        if ring is None:
            flags.append(self("common.no_boundary"))
        elif not ring.status.located:
            flags.append(self.corners_found("common.not_located", ring.status))
        trial = [run.name for run in plan.design.runs if run.trial]
        if trial:
            flags.append(self("common.trial_runs", runs=_names(trial)))
        flat = [self._level(run) for run in plan.design.runs if run.level_assumed]
        show = self.measures.length
        flat += [
            self("common.level_part", run=short(run.name, 40), start=show(a), end=show(b))
            for run in plan.design.runs
            for a, b in run.assumed
        ]
        if flat:
            flags.append(f"{self('common.level', runs=', '.join(flat))}: {self('common.lengths_not_final')}")
        if self.assumed():
            flags.append(self("common.assumed_corners", points=", ".join(self.assumed())))
        if not plan.settings.north:
            flags.append(self("common.no_north"))
        return flags

    def head(self, name: str) -> dict[str, Any]:
        """Data that every paper's template reads."""
        settings = self.plan.settings
        title = str(clean(settings.title)).strip() or self("common.no_title")
        return {
            "language": self.language,
            "paper": "a4" if settings.paper == "a4" else "us-letter",
            "title": short(title, 120),
            "short_title": short(title, 60),
            "document": self(name, title=short(title, 90)),
            "address": short(settings.address, 200),
            "client": short(settings.client, 200),
            "file": self("common.file", file=short(settings.file, 40)) if settings.file else "",
            "flags": self.flags(),
            "common": table("common", self.language),
            "locate": locate_block(self),
        }


def _names(names: Sequence[str]) -> str:
    return ", ".join(short(name, 40) for name in names)


def locate_block(sheet: Sheet) -> dict[str, Any]:
    """The locate block: values as typed; an empty text is an empty ruled line on the paper."""
    locate = sheet.plan.locate
    typed = locate.typed
    if locate.entered:
        head = sheet("locate.head_entered")
    elif typed.begun:
        head = sheet("locate.head_part")
    else:
        head = sheet("locate.head")
    cells = [
        {"label": sheet(f"locate.{name}"), "value": short(getattr(typed, name), 48)}
        for name in ("ticket", "called_on", "legal_from", "expires")
    ]
    members = [
        {"name": short(m.name, 40), "answer": short(f"{sheet.term(m.answer)} {m.when}".strip(), 48) if m.answer else ""}
        for m in typed.members
    ]
    missing = [sheet("locate.missing_" + re.sub(r"\W", "_", name)) for name in locate.missing]
    private = locate.private or tuple(table("private", sheet.language))
    return {
        "entered": locate.entered,
        "head": head,
        "cells": cells,
        "typed": bool(members),
        "members": members or [{"name": "", "answer": ""} for _ in range(_BLANKS)],
        "private": [_private(sheet, name) for name in private],
        "said": len(locate.said),
        "missing": sheet("locate.missing", missing=", ".join(missing)) if missing else "",
        "w": table("locate", sheet.language),
    }


def _private(sheet: Sheet, name: str) -> str:
    return sheet(f"private.{name}") if has(f"private.{name}") else short(name, 40)


def ranges(labels: Iterable[str | int]) -> str:
    """Labels in few words, runs of three or more numbers joined.

    >>> ranges(["3", "4", "5", "12", "W1"]), ranges([1, 2])
    ('3-5, 12, W1', '1, 2')
    """
    found: list[tuple[int, int]] = []
    rest: list[str] = []
    numbers = set()
    for label in labels:
        if str(label).isdigit():
            numbers.add(int(label))
        elif str(label) not in rest:
            rest.append(str(label))
    for number in sorted(numbers):
        if found and found[-1][1] == number - 1:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    parts: list[str] = []
    for first, last in found:
        parts += [f"{first}-{last}"] if last - first > 1 else [str(n) for n in range(first, last + 1)]
    return ", ".join([*parts, *rest])
