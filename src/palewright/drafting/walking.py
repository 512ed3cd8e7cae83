"""The first five minutes: from an empty page to a first sheet, one plain question at a time.

Which question comes next is read from the job file alone. Nothing is invented: what nobody says stays ``ask``, and what
is assumed is listed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from palewright.drafting import edits
from palewright.drafting.applying import Applied, apply
from palewright.drafting.desk import refuse
from palewright.drafting.naming import known_names, new_letters
from palewright.drafting.seeing import sight
from palewright.drafting.sight_records import Choice, Sight
from palewright.drafting.words import text as words
from palewright.errors import Problem, ProblemError, Where
from palewright.jobfile import Document
from palewright.jobfile.writing import Plain
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
_TALL = {"boards": "board", "panels": "panel", "chain-link": "fabric"}


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


class _Job:
    """The file while questions are put: what stands in it, and what a screen shows of it."""

    def __init__(self, text: str, folder: Path | None, language: str) -> None:
        self.text, self.folder, self.language = text, folder, language
        self.document = Document(text)
        self._sight: Sight | None = None

    @property
    def sight(self) -> Sight:
        """As it stands."""
        if self._sight is None:
            self._sight = sight(self.text, self.folder, language=self.language)
        return self._sight

    def say(self, key: str, **args: object) -> str:
        """Words of the questions."""
        return words(f"walk.{key}", self.language, **args)

    def choice(self, *values: str) -> tuple[Choice, ...]:
        """Answers, or values of a blank."""
        return tuple(Choice(value, self.say("choice_" + re.sub(r"[ -]", "_", value))) for value in values)

    def rows(self, path: Sequence[str | int] | str) -> list[Mapping[str, Plain]]:
        """The tables of a list; none where there is no such list."""
        held = self.document.get(path)
        return [row for row in held if isinstance(row, Mapping)] if isinstance(held, list) else []

    def names(self, path: Sequence[str | int]) -> list[str]:
        """A list of names."""
        held = self.document.get(path)
        return [str(name) for name in held] if isinstance(held, list) else []


def walk_questions(text: str, language: str = "en", folder: Path | None = None) -> Walkthrough:
    """The next question for a job, and what it rests on so far.

    text
        of the job file. Raises JobError where it is no job file at all.

    >>> walk_questions("palewright: 1\\njob: {title: Yard}\\n").question.slug
    'house'
    """
    job = _Job(text, folder, language)
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
    if slug not in _ANSWERS:
        raise refuse("edit-unusable", "there is no such question", slug)
    job = _Job(text, folder, language)
    given = {str(key): " ".join(str(value).split()) for key, value in values.items()}
    made = apply(text, _ANSWERS[slug](job, given), folder, language)
    if slug != "tape":  # a tape reads what it reads, also when the others do not allow it
        _refuse_broken(job, sight(made.text, folder))
    return made


def _refuse_broken(job: _Job, after: Sight) -> None:
    """An answer that nothing can be drawn with is refused in the words of what is wrong with it."""
    found = [n for n in after.notices if n.level == "problem" and n.slug != "point-either-side"]
    if found and not [n for n in job.sight.notices if n.level == "problem"]:
        raise ProblemError(
            [Problem(n.slug, n.text, Where(path=n.path), found=n.found, allowed=n.allowed, hint=n.hint) for n in found]
        )


# ---------------------------------------------------------------- the questions, in their order


def _house(job: _Job) -> Question | None:
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


def _side(job: _Job) -> Question | None:
    """Two tapes leave two places: on which side is it?"""
    found = next((n for n in job.sight.notices if n.slug == "point-either-side"), None)
    match = _SIDE.search(found.hint) if found is not None else None
    if match is None:
        return None
    said = job.say("side", point=match["point"], a=match["a"], b=match["b"])
    blanks = tuple(Field(key, "", match[key]) for key in ("point", "a", "b"))
    return Question("side", said, blanks, job.choice("left", "right"))


def _begin(job: _Job) -> Question | None:
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


def _on(job: _Job) -> Question | None:
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


def _fence(job: _Job) -> Question | None:
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


def _yard(job: _Job) -> Question | None:
    """On which side the yard is."""
    for k, run in enumerate(job.rows("runs")):
        if run.get("yard") in (None, "ask"):
            names = job.names(["runs", k, "through"])
            if len(names) > 1:
                said = job.say("yard", a=names[0], b=names[1])
                return Question("yard", said, (Field("run", "", str(k)),), job.choice("left", "right"))
    return None


def _ends(job: _Job) -> Question | None:
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


def _gate(job: _Job) -> Question | None:
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


def _tape(job: _Job) -> Question | None:
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


_ASKS: tuple[Callable[[_Job], Question | None], ...] = (
    _house, _side, _begin, _on, _fence, _yard, _ends, _gate, _tape
)  # fmt: skip


def _next_name(job: _Job) -> str:
    return new_letters(known_names(job.document.get([])), 1)[0]


# ---------------------------------------------------------------- the answers

Given = Mapping[str, str]


def _needed(given: Given, *keys: str) -> list[str]:
    missing = [key for key in keys if not given.get(key)]
    if missing:
        raise refuse("answer-unusable", "an answer is needed", ", ".join(missing))
    return [given[key] for key in keys]


def _house_answer(job: _Job, given: Given) -> list[edits.Edit]:
    left, right, length = _needed(given, "left", "right", "length")
    return [edits.Wall(left, right, length, given.get("tool", ""))]


def _side_answer(job: _Job, given: Given) -> list[edits.Edit]:
    point, a, b = _needed(given, "point", "a", "b")
    side = "right of" if given.get("answer") == "right" else "left of"
    if job.document.get("points") is None:
        return [edits.SetValue("points", {point: {side: [a, b]}})]
    return [edits.SetValue(f"points.{point}", {side: [a, b]})]


def _begin_answer(job: _Job, given: Given) -> list[edits.Edit]:
    start, length, name = _needed(given, "start", "length", "name")
    wall = job.rows("walls")[0]
    other = str(wall.get("to") if str(wall.get("from")) == start else wall.get("from"))
    return [edits.Walk(start, (length,), (name,), along=other)]


def _on_answer(job: _Job, given: Given) -> list[edits.Edit]:
    walks, answer = job.rows("walks"), given.get("answer")
    index = len(walks) - 1
    called = [name for name in job.names(["walks", index, "call"]) if name != "_"]
    start, other = str(walks[index].get("from")), str(walks[index].get("along") or walks[index].get("toward"))
    if answer == "done":
        return [*_run(job, [start, *called]), *_open(job)]
    if answer == "back":
        length = given.get("length")
        taped: list[edits.Edit] = [edits.Tape((called[-1], other), length, given.get("tool", ""))] if length else []
        return [*taped, *_run(job, [start, *called, other]), *_open(job)]
    turn, length, name = _needed(given, "turn", "length", "name")
    step = f"{turn} {given['angle']}" if given.get("angle") else turn
    return [edits.WalkOn((step, length), (name,), index)]


def _run(job: _Job, points: Sequence[str]) -> list[edits.Edit]:
    return [edits.DrawRun(tuple(points), name=job.say("run_name"))]


def _open(job: _Job) -> list[edits.Edit]:
    """What nobody has asked yet stands in the file as open."""
    found: list[edits.Edit] = []
    if job.document.get("locate") is None:
        ask = dict.fromkeys(("ticket", "called on", "legal from", "expires"), "ask")
        found.append(edits.SetValue("locate", ask))
    if job.document.get("site") is None:
        found.append(edits.SetValue("site", dict.fromkeys(("frost", "soil", "wind", "exposure"), "ask")))
    return found


def _fence_answer(job: _Job, given: Given) -> list[edits.Edit]:
    fence, kind = _needed(given, "fence", "kind")
    path = f"fences.{fence}"
    return [
        edits.SetValue(f"{path}.kind", kind),
        edits.SetValue(f"{path}.{_TALL.get(kind, 'board')}", given.get("tall") or "ask"),
        edits.SetValue(f"{path}.good side", given.get("good") or "ask"),
    ]


def _yard_answer(job: _Job, given: Given) -> list[edits.Edit]:
    run, side = _needed(given, "run", "answer")
    return [edits.SetValue(f"runs[{int(run)}].yard", side)]


def _ends_answer(job: _Job, given: Given) -> list[edits.Edit]:
    run, end, how = _needed(given, "run", "end", "answer")
    path, held = f"runs[{int(run)}].ends", job.document.get(["runs", int(run), "ends"])
    rows: dict[str, Plain] = dict(held) if isinstance(held, Mapping) else {}
    before: list[edits.Edit] = [edits.RemoveKey(path)] if rows else []
    return [*before, edits.SetValue(path, rows | {end: {"at wall": how}})]


def _gate_answer(job: _Job, given: Given) -> list[edits.Edit]:
    if given.get("answer") == "none":
        return [edits.SetValue("runs[0].gates", [])]
    opening, point, starts = _needed(given, "opening", "point", "starts")
    row = {"name": job.say("gate_name"), "opening": opening, "starts": f"{starts} from {point}", "hinges": "ask"}
    return [edits.SetValue("runs[0].gates", [row | {"swings": given.get("swings") or "ask"}])]


def _tape_answer(job: _Job, given: Given) -> list[edits.Edit]:
    a, b, reads = _needed(given, "a", "b", "reads")
    return [edits.Tape((a, b), reads, given.get("tool", ""))]


_ANSWERS: dict[str, Callable[[_Job, Given], list[edits.Edit]]] = {
    "house": _house_answer, "side": _side_answer, "begin": _begin_answer, "on": _on_answer, "fence": _fence_answer,
    "yard": _yard_answer, "ends": _ends_answer, "gate": _gate_answer, "tape": _tape_answer,
}  # fmt: skip
