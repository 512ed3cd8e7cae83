"""The first five minutes: from an empty page to a first sheet, one plain question at a time.

Which question comes next is read from the job file alone. Nothing is invented: what nobody says stays ``ask``, and what
is assumed is listed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path

from palewright.drafting.applying import Applied, apply
from palewright.drafting.desk import refuse
from palewright.drafting.naming import known_names, new_letters
from palewright.drafting.seeing import sight
from palewright.drafting.sight_records import Choice, Sight
from palewright.drafting.walk_answers import ANSWERS
from palewright.drafting.walk_job import WalkJob
from palewright.errors import Problem, ProblemError, Where
from palewright.record import Record

__all__ = ["Field", "Question", "Walkthrough", "walk_answer", "walk_questions"]

_TOOLS = ("steel tape", "long fibreglass", "hand laser", "wheel on grass", "pacing")
_SIDE = re.compile(r"`(?P<point>.+): \{left of: \[(?P<a>.+), (?P<b>.+)\]\}`")
_SAID = frozenset({"no-boundary", "no-north", "frost-not-given", "locate-not-entered"})
_DOUBTS = frozenset({
    "tapes-do-not-meet", "tape-differs", "tape-suspect", "reading-suspect", "angle-suspect", "rise-suspect",
    "rod-suspect", "measurements-one-wrong", "measurements-several-wrong", "measurements-disagree",
    "measurements-many-wrong", "measurements-one-perhaps", "measurements-two-perhaps", "measurements-contradict",
    "tape-slip", "reading-slip", "angle-slip",
})  # fmt: skip
"""What is said of readings that contradict each other, and of the one that looks misread."""


class Field(Record):
    """One blank of a question: its key, what it is, what stands in it, an example; ``choices`` where there are some."""

    key: str
    label: str
    value: str = ""
    hint: str = ""
    choices: tuple[Choice, ...] = ()


class Question(Record):
    """One question, its blanks, and the answers that may be given."""

    slug: str
    text: str
    fields: tuple[Field, ...]
    answers: tuple[Choice, ...]


class Walkthrough(Record):
    """What was assumed so far, or is not known, and the next question; None when there is nothing more to ask.

    doubts
        which readings contradict each other, and which looks misread: then nothing is done, whatever was asked.
    """

    said: tuple[str, ...]
    question: Question | None = None
    doubts: tuple[str, ...] = ()


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")


def walk_questions(text: str, language: str = "en", folder: Path | None = None) -> Walkthrough:
    """The next question for a job, and what it rests on so far.

    text
        of the job file. Raises JobError where it is no job file at all.

    >>> walk_questions("palewright: 1\\njob: {title: Yard}\\n").question.slug
    'house'
    """
    job = WalkJob(text, folder, language)
    question = next((found for ask in _ASKS if (found := ask(job)) is not None), None)
    if not job.rows("walls") and not job.document.get("points") and not job.rows("measured"):
        return Walkthrough((), question)
    missing = [notice.text for notice in job.sight.notices if notice.slug in _SAID]
    doubts = [" ".join(_sentence(s) for s in (n.text, n.hint) if s) for n in job.sight.notices if n.slug in _DOUBTS]
    return Walkthrough((*job.sight.assumed, *missing), question, tuple(doubts))


def walk_answer(
    text: str, slug: str, values: Mapping[str, str], language: str = "en", folder: Path | None = None
) -> Applied:
    """What an answer makes of the job file.

    slug
        of the question. values: of its blanks by their keys, and ``answer``.
    Raises ProblemError where a value cannot be used.
    """
    if slug not in ANSWERS:
        raise refuse("edit-unusable", "there is no such question", slug)
    job = WalkJob(text, folder, language)
    given = {str(key): " ".join(str(value).split()) for key, value in values.items()}
    made = apply(text, ANSWERS[slug](job, given), folder, language)
    if slug != "tape":  # a tape reads what it reads, also when the others do not allow it
        _refuse_broken(job, sight(made.text, folder))
    return made


def _refuse_broken(job: WalkJob, after: Sight) -> None:
    """An answer that nothing can be drawn with is refused in the words of what is wrong with it."""
    found = [n for n in after.notices if n.level == "problem" and n.slug != "point-either-side"]
    if found and not [n for n in job.sight.notices if n.level == "problem"]:
        raise ProblemError(
            [Problem(n.slug, n.text, Where(path=n.path), found=n.found, allowed=n.allowed, hint=n.hint) for n in found]
        )


# ---------------------------------------------------------------- the questions, in their order


def _house(job: WalkJob) -> Question | None:
    """From an empty page: a wall that stands there."""
    if job.rows("walls") or job.document.get("points") or job.rows("measured") or job.document.get("boundary"):
        return None
    fields = (
        Field("left", job.say("left"), job.say("house_left")),
        Field("right", job.say("right"), job.say("house_right")),
        Field("length", job.say("length"), hint=job.say("for_instance", what="38' 4\"")),
        Field("tool", job.say("tool"), choices=job.choice(*_TOOLS)),
    )
    return Question("house", job.say("house"), fields, job.choice("go"))


def _side(job: WalkJob) -> Question | None:
    """Two tapes leave two places: on which side is it?"""
    found = next((n for n in job.sight.notices if n.slug == "point-either-side"), None)
    match = _SIDE.search(found.hint) if found is not None else None
    if match is None:
        return None
    said = job.say("side", point=match["point"], a=match["a"], b=match["b"])
    blanks = tuple(Field(key, "", match[key]) for key in ("point", "a", "b"))
    return Question("side", said, blanks, job.choice("left", "right"))


def _begin(job: WalkJob) -> Question | None:
    """A wall stands there: where does the fence leave it?"""
    walls = job.rows("walls")
    if not walls or job.rows("walks") or job.rows("runs"):
        return None
    ends = (str(walls[0].get("from")), str(walls[0].get("to")))
    fields = (
        Field("start", job.say("start"), ends[0], choices=tuple(Choice(end, end) for end in ends)),
        Field("length", job.say("straight_on"), hint=job.say("for_instance", what="14 ft")),
        Field("name", job.say("name"), _next_name(job)),
    )
    return Question("begin", job.say("begin"), fields, job.choice("go"))


def _on(job: WalkJob) -> Question | None:
    """The walk goes on, or it is done."""
    walks = job.rows("walks")
    if not walks or job.rows("runs"):
        return None
    called = job.names(["walks", len(walks) - 1, "call"])
    other = str(walks[-1].get("along") or walks[-1].get("toward"))
    turns = [one.split()[0] for one in job.names(["walks", len(walks) - 1, "go"]) if one.startswith(("left", "right"))]
    fields = (
        Field("turn", job.say("turn"), turns[-1] if turns else "right", choices=job.choice("right", "left")),
        Field("angle", job.say("angle"), hint=job.say("angle_hint")),
        Field("length", job.say("how_far"), hint=job.say("for_instance", what="46' 6\"")),
        Field("name", job.say("name"), _next_name(job)),
    )
    answers = (*job.choice("go"), Choice("back", job.say("choice_back", end=other)), *job.choice("done"))
    return Question("on", job.say("on", point=called[-1]), fields, answers)


def _fence(job: WalkJob) -> Question | None:
    """What is built: kind, height, whose the good side is."""
    fences, runs = job.document.get("fences"), job.rows("runs")
    if not isinstance(fences, Mapping) or not runs:
        return None
    name = str(runs[0].get("fence"))
    held = fences.get(name)
    if not isinstance(held, Mapping) or set(held) - {"kind", "good side"}:
        return None
    fields = (
        Field("fence", "", name),
        Field("kind", job.say("kind"), str(held.get("kind")), choices=job.choice("boards", "panels", "chain-link")),
        Field("tall", job.say("tall"), hint=job.say("for_instance", what="6 ft")),
        Field("good", job.say("good"), "ask", choices=job.choice("neighbour", "yard", "ask")),
    )
    return Question("fence", job.say("fence"), fields, job.choice("go"))


def _yard(job: WalkJob) -> Question | None:
    """On which side the yard is."""
    for k, run in enumerate(job.rows("runs")):
        if run.get("yard") in (None, "ask"):
            names = job.names(["runs", k, "through"])
            if len(names) > 1:
                said = job.say("yard", a=names[0], b=names[1])
                return Question("yard", said, (Field("run", "", str(k)),), job.choice("left", "right"))
    return None


def _ends(job: WalkJob) -> Question | None:
    """How the fence ends on a wall."""
    stands = {str(wall.get(key)) for wall in job.rows("walls") for key in ("from", "to")}
    for k, run in enumerate(job.rows("runs")):
        names = job.names(["runs", k, "through"])
        held = run.get("ends")
        given = set(held) if isinstance(held, Mapping) else set()
        for end in (names[0], names[-1]) if len(names) > 1 else ():
            if end in stands and end not in given:
                blanks = (Field("run", "", str(k)), Field("end", "", end))
                return Question("ends", job.say("ends", end=end), blanks, job.choice("bracket", "post", "clear 6 in"))
    return None


def _gate(job: WalkJob) -> Question | None:
    """A gate in the first run."""
    runs = job.rows("runs")
    names = job.names(["runs", 0, "through"])
    if not runs or "gates" in runs[0] or len(names) < 2:
        return None
    fields = (
        Field("opening", job.say("opening"), hint=job.say("for_instance", what="4 ft")),
        Field("point", job.say("gate_from"), names[0], choices=tuple(Choice(name, name) for name in names)),
        Field("starts", job.say("starts"), hint=job.say("for_instance", what="5 ft")),
        Field("swings", job.say("swings"), "ask", choices=job.choice("to yard", "out", "ask")),
    )
    return Question("gate", job.say("gate"), fields, job.choice("go", "none"))


def _tape(job: WalkJob) -> Question | None:
    """The tape that would help most."""
    found = next((one for one in job.sight.next if one.kind == "distance" and len(one.points) == 2), None)
    if found is None:
        return None
    a, b = found.points
    used = [str(row.get("with") or "") for row in (*job.rows("walls"), *job.rows("measured"))]
    tool = used[-1] if used and used[-1] in _TOOLS else ""
    fields = (
        Field("a", "", a),
        Field("b", "", b),
        Field("reads", job.say("reads"), hint=job.say("for_instance", what="41' 6 1/2\"")),
        Field("tool", job.say("tool"), tool, choices=job.choice(*_TOOLS)),
    )
    return Question("tape", f"{job.say('tape', a=a, b=b)} {found.text}", fields, job.choice("go"))


_ASKS: tuple[Callable[[WalkJob], Question | None], ...] = (
    _house, _side, _begin, _on, _fence, _yard, _ends, _gate, _tape
)  # fmt: skip


def _next_name(job: WalkJob) -> str:
    return new_letters(known_names(job.document.get([])), 1)[0]
