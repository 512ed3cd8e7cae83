"""Everything that is wrong, doubtful, open or assumed, each with the thing that it is about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from palewright.drafting.sight_records import Ask, Notice
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.drafting.words import has
from palewright.drafting.words import text as words
from palewright.drafting.words.saying import problem_in
from palewright.errors import Problem, Where
from palewright.model import Remark
from palewright.papers.questions import topic_of

__all__ = ["asks_of", "in_order", "notices_of", "problem_notices"]

_ORDER = {"problem": 0, "caution": 1, "ask": 2, "assumption": 3, "note": 4}


def notices_of(remarks: Iterable[Remark], things: Things, shown: Mapping[str, str], speech: Speech) -> list[Notice]:
    """The remarks of a plan, each with the thing that it is about.

    shown
        the key path of everything that is drawn, by id.
    """
    rows = []
    for remark in remarks:
        about = things.of_remark(remark, shown)
        path, line = things.place(remark, about, shown.get(about, ""))
        answer = things.answer(remark) if remark.level == "ask" else ""
        hint = _still_missing(remark, speech) if remark.slug == "locate-not-entered" else ""
        rows.append(
            Notice(remark.slug, remark.level, speech.remark(remark), about, path, line, hint=hint, answer=answer)
        )
    return rows


def _still_missing(remark: Remark, speech: Speech) -> str:
    """What the locate is still without."""
    from palewright.papers.words import text

    names = str(dict(remark.args)["missing"]).split(", ")
    said = [speech("locate.answers") if name == "answers" else _missing(name, speech.language) for name in names]
    return text("locate.missing", speech.language, missing=", ".join(said))


def in_order(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """Cautions first, then as they stand in the file; what would be said twice of one thing is said once."""
    found: dict[tuple[str, str], Notice] = {}
    for notice in sorted(notices, key=lambda n: (_ORDER.get(n.level, 9), n.line, n.path, n.about, n.text)):
        found.setdefault((notice.about, notice.text), notice)
    return tuple(found.values())


def problem_notices(problems: Iterable[Problem], things: Things, language: str = "en") -> tuple[Notice, ...]:
    """The problems of a job that cannot be planned, in a language as far as there are words, else in English."""
    rows = []
    for english in problems:
        about, problem = about_problem(english, things), problem_in(english, language)
        path = problem.where.path or things.path(about)
        line = problem.where.line or things.lines.get(about, 0)
        level = "problem" if problem.severity == "error" else "caution"
        text = problem.what[:1].upper() + problem.what[1:] + "."
        other = "en" if language != "en" and problem.what == english.what else ""
        key = f"hint.{problem.slug.replace('-', '_')}"
        hint = words(key, language) if has(key) else problem.hint  # what to do on the page, not in the file
        answer = f"{path}.follows" if problem.slug == "level-top-not-cut" and path else ""
        rows.append(
            Notice(problem.slug, level, text, about, path, line, problem.found, problem.allowed, hint, other, answer)
        )
    return tuple(rows)


def about_problem(problem: Problem, things: Things) -> str:
    """The thing that a problem is about: by its place in the file, else by the name that it says."""
    if problem.where.path:
        about = things.of_path(problem.where.path)
        if about != "job":
            return about
    known: Mapping[str, str] = things.paths
    for text in (problem.where.thing, problem.found, problem.what):
        for about in known:
            kind, _, name = about.partition(" ")
            if name and (text in (about, name) or re.search(rf"\b{kind} {re.escape(name)}\b", text)):
                return about
    return "job"


def asks_of(asks: Iterable[Where], things: Things, speech: Speech) -> tuple[Ask, ...]:
    """Each value that is left open: what to ask, and what it can hurt."""
    from palewright.papers.words import text

    rows = []
    for at in asks:
        topic, what = topic_of(at.path)
        about = things.of_path(at.path)
        if not what and about.startswith(("run ", "gate ", "fence ")):
            what = about.partition(" ")[2]
        key = "ask." + topic.replace(" ", "_")
        said = text(f"{key}_of", speech.language, what=what) if what and _has(f"{key}_of") else ""
        if topic == "locate":
            said = text("ask.locate_of", speech.language, what=_missing(at.path, speech.language))
        said = said or text(key, speech.language)
        rows.append(Ask(at.path, at.line, said, text(f"{key}_hurts", speech.language), about))
    return tuple(rows)


def _has(key: str) -> bool:
    from palewright.papers.words import has

    return has(key)


def _missing(path: str, language: str) -> str:
    from palewright.papers.words import has, text

    key = path.rpartition(".")[2].replace(" ", "_")
    return text(f"locate.missing_{key}", language) if has(f"locate.missing_{key}") else path
