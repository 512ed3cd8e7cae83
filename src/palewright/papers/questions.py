"""What must be answered before the price goes out: one row for each question, what it can hurt, where it stands."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from palewright.model import Remark
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.words import say

__all__ = ["lines_of", "questions", "topic_of"]

_TOPICS = (
    "runs", "locate", "zones", "front", "rules", "corners", "frost", "soil", "wind", "yard", "follows", "heights",
    "good side", "fabric side", "hinges", "swings", "tape", "fence", "street", "hardware", "lot",
    "agreement", "risk", "record", "prices", "value", "other",
)  # fmt: skip
"""In the order of what they can hurt."""

_LONGEST = 400
"""Characters of a question: a sentence is never cut, only what is typed without end."""
_CORNER_KEYS = "found|matches record|what|size|cap|stamp|stands off|rests on|who|when|record"
_OF_KEY = (
    (r"locate(\..*)?", "locate"),
    (rf"boundary\.corners\.(?P<what>.+?)(\.({_CORNER_KEYS}))?", "corners"),
    (r"boundary\.corners", "corners"),
    (r"boundary\.risk", "risk"),
    (r"boundary\.record", "record"),
    (r"points\.(?P<what>.+?)\.(found|matches record)", "corners"),
    (r"site\.frost", "frost"),
    (r"site(\.soil)?", "soil"),
    (r"site\.(wind|exposure)", "wind"),
    (r"runs\[\d+\]\.yard", "yard"),
    (r"runs\[\d+\]\.follows", "follows"),
    (r"heights\[\d+\]\.(falls|rises)", "heights"),
    (r"points\..+\.height", "heights"),
    (r"fences\.[^.]+\.good side", "good side"),
    (r"runs\[\d+\]\.gates\[\d+\]\.hinges", "hinges"),
    (r"runs\[\d+\]\.gates\[\d+\]\.swings", "swings"),
    (r"(measured|levels)\[.*", "tape"),
    (r"fences\.(?P<what>.+)", "fence"),
    (r"prices", "prices"),
    (r"lot\.front", "front"),
    (r"rules", "rules"),
    (r"lot\.streets\[.*", "street"),
    (r"lot\.gates\.(?P<what>.+)\.[^.]+", "hardware"),
    (r"lot\..+", "lot"),
    (r"agreements\[.*", "agreement"),
    (r"(?P<what>.+)", "value"),
)
"""Key paths of the job file to topics; ``what`` is the thing that is asked about."""

_OF_REMARK = {
    "nothing-to-lay-out": ("runs", ""),
    "locate-not-entered": ("locate", ""),
    "no-zones-typed": ("zones", ""),
    "frost-not-given": ("frost", ""),
    "yard-not-said": ("yard", "run"),
    "follows-not-said": ("follows", "run"),
    "good-side-not-said": ("good side", "fence"),
    "fabric-side-not-said": ("fabric side", "fence"),
    "gate-hinges-not-said": ("hinges", "gate"),
    "gate-swings-not-said": ("swings", "gate"),
    "permit-front-not-said": ("front", "sides"),
    "permit-ask": ("rules", "rule"),
}
"""Remarks to topics, and the argument that names the thing."""


@dataclass(slots=True)
class _Row:
    things: list[str] = field(default_factory=list)
    typed: list[int] = field(default_factory=list)
    said: list[int] = field(default_factory=list)

    @property
    def lines(self) -> list[int]:
        """Where ``ask`` is typed; where that is not every thing, also where the things stand."""
        return self.typed if len(self.typed) >= len(self.said) else self.typed + self.said


def questions(sheet: Sheet) -> list[dict[str, str]]:
    """The rows: what to ask, what it can hurt, the lines of the job file."""
    rows: dict[tuple[str, str], _Row] = {}
    for at in sheet.plan.asks:
        topic, thing = topic_of(at.path)
        if topic == "good side" and (topic := _side(sheet, at.path)) == "":
            continue
        _of(rows, topic, thing).typed.append(at.line)
    for remark in sheet.plan.remarks:
        if remark.level == "ask":
            _of(rows, *_said(sheet, remark)).said.append(remark.at.line)
    if ("locate", "") in rows:
        rows["locate", ""].things = _missing(sheet)
    return [_row(sheet, topic, row) for topic in _TOPICS for (of, _), row in rows.items() if of == topic]


def topic_of(path: str) -> tuple[str, str]:
    """The topic of a value that was left open, by its key path, and the thing that it is of, or "".

    >>> topic_of("site.frost"), topic_of("fences.privacy.good side")
    (('frost', ''), ('good side', ''))
    """
    for pattern, topic in _OF_KEY:
        match = re.fullmatch(pattern, path)
        if match is not None:
            return topic, match.groupdict().get("what") or ""
    return "value", path


def _side(sheet: Sheet, path: str) -> str:
    """The topic of a side left open: fabric hangs on one, and a fence that is the same on both sides has none."""
    kind = sheet.kinds().get(path.removeprefix("fences.").removesuffix(".good side"))
    if kind is not None and kind.family == "chain link":
        return "fabric side"
    return "good side" if kind is None or kind.two_faced else ""


def _said(sheet: Sheet, remark: Remark) -> tuple[str, str]:
    topic, argument = _OF_REMARK.get(remark.slug, ("other", ""))
    if topic == "other":
        return topic, say(remark, sheet.plan.settings)
    return topic, str(dict(remark.args).get(argument, ""))


def _missing(sheet: Sheet) -> list[str]:
    return [sheet("locate.missing_" + re.sub(r"\W", "_", name)) for name in sheet.plan.locate.missing]


def _of(rows: dict[tuple[str, str], _Row], topic: str, thing: str) -> _Row:
    """The row of a topic with a thing in it; a sentence that belongs to no topic has a row of its own."""
    row = rows.setdefault((topic, thing if topic == "other" else ""), _Row())
    if thing and thing not in row.things:
        row.things.append(thing)
    return row


def _row(sheet: Sheet, topic: str, row: _Row) -> dict[str, str]:
    key = topic.replace(" ", "_")
    what = ", ".join(short(thing, _LONGEST) for thing in row.things)
    asked = sheet(f"ask.{key}_of", what=what) if what else sheet(f"ask.{key}")
    return {"what": asked, "hurts": sheet(f"ask.{key}_hurts"), "lines": lines_of(sheet, row.lines)}


def lines_of(sheet: Sheet, lines: list[int]) -> str:
    """A reference to lines of the job file: "line 70", "lines 70, 77"; "" where there is none."""
    known = sorted({line for line in lines if line})
    if not known:
        return ""
    shown = ", ".join(str(line) for line in known[:8]) + (", …" if len(known) > 8 else "")
    return sheet("decisions.line" if len(known) == 1 else "decisions.lines", lines=shown)
