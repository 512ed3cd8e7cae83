"""A first job file from a few answers: what `palewright new` asks, and what it writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from palewright.errors import JobError, Problem, Where
from palewright.jobfile.new_checks import (
    any_line,
    is_calls,
    is_gate,
    is_kind,
    is_length,
    is_line,
    is_pasted,
    is_points,
    is_rules,
    is_steps,
    is_turn,
    is_wire_kind,
    one_of,
    pair_of,
    pasted_calls,
)
from palewright.jobfile.reader import read_text
from palewright.jobfile.writing import write_value
from palewright.record import Record

__all__ = ["Question", "new_job_text", "questions"]


class Question(Record):
    """One question of `palewright new`.

    key
        name of the answer. prompt: the question. example: an answer as typed.
    check
        what is wrong with an answer in words, "" when nothing is.
    only_if
        (key, answers): asked only after one of those answers; () for always. must: False where ``ask`` is an answer.
    """

    key: str
    prompt: str
    example: str
    check: Callable[[str], str]
    only_if: tuple[str, ...] = ()
    must: bool = False

    def asked(self, answers: Mapping[str, str]) -> bool:
        """Whether it is asked after the answers so far."""
        return not self.only_if or answers.get(self.only_if[0]) in self.only_if[1:]


WAYS = ("walk", "deed", "points", "line")
_TALL = {"board": "boards", "fabric": "fabric", "panel": "panels", "top of rails": "top rail"}

# What is asked only after some answers: (key, answers).
_BY_WALK, _BY_DEED, _BY_POINTS = ("known", "walk"), ("known", "deed"), ("known", "points")
_DRAWN = ("known", "walk", "points")
_OF_FENCE, _OF_WIRE = ("known", "walk", "deed", "points"), ("known", "line")

_JOB = (
    Question("title", "What is the job called?", "Tansy Court lot 7", any_line, must=True),
    Question("address", "Where is it?", "7 Tansy Court", any_line),
)
_PLACE = (
    Question(
        "known",
        f"What is known of the place: {', '.join(WAYS)}? (line: a fence of wire over land)",
        "walk",
        one_of(*WAYS),
        must=True,
    ),
    Question("wall", "How long is the house wall that the walk starts from?", "38' 4\"", is_length, _BY_WALK),
    Question(
        "walk",
        "Walk from the left end of that wall, your back to its right end. Lengths and turns, with commas?",
        "14 ft, right, 46 ft, right, 66 ft, right, 46 ft",
        is_steps,
        _BY_WALK,
    ),
    Question(
        "calls",
        "The calls of the deed in order, with semicolons between them; or its description as it stands, in one line?",
        "N 01°05' W 151.40 ft; N 87°50' E 80.35 ft; to beginning",
        is_calls,
        _BY_DEED,
    ),
    Question("record", "Which deed or plat is it?", "plat book 12, page 7", any_line, _BY_DEED),
    Question("inside", "How far inside the line shall the face of the fence be?", "8 in", is_length, _BY_DEED),
    Question(
        "points",
        "The points of the fence in order, east then north, with semicolons between them?",
        "0 ft, 0 ft; 0 ft, 46 ft; 66 ft, 46 ft",
        is_points,
        _BY_POINTS,
    ),
    Question(
        "line",
        "Walk the line from its first post. Lengths and turns, with commas?",
        "900 ft, inside angle 70° left, 800 ft, right, 400 ft",
        is_line,
        _OF_WIRE,
    ),
)
_KIND = (
    Question("kind", "Which kind of fence?", "boards", is_kind, _OF_FENCE, must=True),
    Question("wire", "Which kind of wire fence?", "woven wire", is_wire_kind, _OF_WIRE, must=True),
    Question("rules", "Whose rules of it, by agency and year?", "tennessee 2002", is_rules, _OF_WIRE),
    Question("wire side", "On which side of the posts is the wire?", "to the field", any_line, _OF_WIRE),
    Question("tall", "How tall are boards, fabric or panels?", "6 ft", is_length, _OF_FENCE),
    Question(
        "good side",
        "Where does the good side look: neighbour, yard, both?",
        "neighbour",
        one_of("neighbour", "yard", "both"),
        _OF_FENCE,
    ),
    Question("longest bay", "Longest distance between posts?", "8 ft", is_length, _OF_FENCE),
    Question("yard", "Is the yard left or right of that way?", "right", one_of("left", "right"), _DRAWN),
)
_GATE = (
    Question("gate", "How wide is the gate? (none: no gate)", "4 ft", is_gate),
    Question("gate from", "How far from the first point does the opening start?", "5 ft", is_length),
)
_REST = (
    Question("frost", "How deep does frost go there?", "30 in", is_length),
    Question(
        "print",
        "How shall lengths be printed: feet-inches, decimal-feet, metric?",
        "feet-inches",
        one_of("feet-inches", "decimal-feet", "metric"),
    ),
    Question("language", "Language of the papers: en, es?", "en", one_of("en", "es")),
)


def questions() -> tuple[Question, ...]:
    """The questions in order.

    >>> [question.key for question in questions()][:3]
    ['title', 'address', 'known']
    """
    return (*_JOB, *_PLACE, *_KIND, *_GATE, *_REST)


def new_job_text(answers: Mapping[str, str]) -> str:
    """A first job file, with comments.

    answers
        by the keys of :func:`questions`; what is missing, empty or ``ask`` is written as ``ask``.
    Returns text that reads without a problem. Raises JobError with every answer that cannot be used.

    >>> text = new_job_text({"title": "Yard", "known": "points", "points": "0 ft, 0 ft; 40 ft, 0 ft", "kind": "boards"})
    >>> read_text(text).points[1].xy
    (12.192, 0.0)
    """
    given = {key: str(value).strip() for key, value in answers.items()}
    given = {key: value for key, value in given.items() if value not in ("", "ask")}
    given |= {"good side": "neighbour"} if given.get("good side") == "neighbor" else {}
    problems = []
    for question in questions():
        answer = given.get(question.key, "")
        if not question.asked(given):
            given.pop(question.key, None)
            continue
        said = question.check(answer) if answer else ""
        if question.must and not answer:
            said = "an answer is needed"
        if said:
            where = Where(thing=f"answer {question.key}")
            problems.append(
                Problem("answer-unusable", said, where, found=answer[:60], hint=f"for instance {question.example}")
            )
    if problems:
        raise JobError(problems)
    text = "\n".join(_lines(given)) + "\n"
    read_text(text)
    return text


def _lines(given: Mapping[str, str]) -> list[str]:
    lines = [
        "# A job file of Palewright. `ask` stands for what is not known yet: the papers leave the place open.",
        "# Lengths are typed as on a tape, with their unit: 16' 4 1/2\", 12.5 ft, 3.25 m.",
        "palewright: 1",
        "job:",
        f"  title: {write_value(given['title'])}",
        f"  address: {_or_ask(given, 'address')}",
        f"  print: {given.get('print', 'feet-inches')}",
        f"  language: {given.get('language', 'en')}",
        "  tape: 100 ft",
        "",
    ]
    points, place = {"walk": _walk, "deed": _deed, "points": _by_points, "line": _line}[given["known"]](given)
    lines += place
    lines += _wire(given) if given["known"] == "line" else _fence(given)
    lines += _run(given, points)
    lines += [
        "# Where lines lie that nobody may dig through: take the # away and fill in.",
        "# clear of:",
        "#   - {name: gas service, through: [[10 ft, 0 ft], [60 ft, 0 ft]], width: 1 in, each side: 24 in,",
        "#      inside it: hand dig, utility: gas}",
        "",
        "# The utility locate. Nothing is dug before it is answered.",
        "locate: {ticket: ask, called on: ask, legal from: ask, expires: ask}",
        f"site: {{frost: {_or_ask(given, 'frost', True)}, soil: ask, wind: ask, exposure: ask}}",
    ]
    return lines


def _or_ask(given: Mapping[str, str], key: str, flow: bool = False) -> str:
    return write_value(given[key], flow) if key in given else "ask"


def _letters(count: int) -> list[str]:
    return [chr(65 + k) if count <= 26 else f"A{k + 1}" for k in range(count)]


def _walk(given: Mapping[str, str]) -> tuple[list[str], list[str]]:
    ends = ["house left", "house right"]
    if "wall" not in given or "walk" not in given:
        return [], [
            "# The wall of the house and the walk around the yard: take the # away and fill in.",
            "# walls:",
            "#   - {from: house left, to: house right, length: 38 ft}",
            "# walks:",
            "#   - {from: house left, along: house right, go: [14 ft, right, 46 ft], call: [A, B]}",
            "",
        ]
    steps = [step.strip() for step in given["walk"].split(",")]
    names = _letters(sum(not is_turn(step) for step in steps))
    return [ends[0], *names, ends[1]], [
        "# A wall of the house that stands there, and its length.",
        "walls:",
        f"  - {{from: house left, to: house right, length: {write_value(given['wall'], True)}}}",
        "",
        "# Walk on past the left end of the wall, in line with it. A plain left or right is a right angle that nobody",
        "# measured: it is listed as assumed until it stands under `measured`.",
        "walks:",
        "  - from: house left",
        "    along: house right",
        f"    go: {write_value(steps)}",
        f"    call: {write_value(names)}",
        "",
        "# measured:",
        "#   - {square: [house left, A, B], by: 9-12-15 ft}",
        "",
    ]


def _deed(given: Mapping[str, str]) -> tuple[list[str], list[str]]:
    if "calls" not in given:
        return [], [
            "# The calls of the deed: take the # away and fill in.",
            "# boundary:",
            "#   calls:",
            "#     - ...",
            "",
        ]
    text = given["calls"]
    calls = [call.strip() for call in text.split(";") if call.strip()]
    pasted = is_pasted(text)
    names = [f"P{k + 1}" for k in range(pasted_calls(text) if pasted else len(calls))]
    listed = ["  calls:", *(f"    - {write_value(call)}" for call in calls)]
    return names, [
        "# The line of the property as the deed calls it. That it closes proves arithmetic, and nothing on the ground.",
        "boundary:",
        "  start: P1",
        f"  names: {write_value(names)}",
        *([f"  deed: {write_value(text)}"] if pasted else listed),
        "  # What was found at each corner; until two of them agree with the record the line is not located.",
        "  # corners: {P1: {found: 5/8 in iron pin, matches record: yes}}",
        f"  record: {_or_ask(given, 'record')}",
        "",
    ]


def _by_points(given: Mapping[str, str]) -> tuple[list[str], list[str]]:
    if "points" not in given:
        return [], [
            "# The points of the fence: take the # away and fill in.",
            "# points:",
            "#   A: {at: [0 ft, 0 ft]}",
            "",
        ]
    pairs = [pair_of(part) for part in given["points"].split(";") if part.strip()]
    names = _letters(len(pairs))
    rows = [f"  {name}: {{at: {write_value(pair, True)}}}" for name, pair in zip(names, pairs, strict=True)]
    return names, ["# Points by coordinates, east then north.", "points:", *rows, ""]


def _line(given: Mapping[str, str]) -> tuple[list[str], list[str]]:
    if "line" not in given:
        return [], [
            "# The line, its first length along x; the walk goes on from there: take the # away and fill in.",
            "# points:",
            "#   A: {at: [0 ft, 0 ft]}",
            "#   B: {at: [900 ft, 0 ft]}",
            "# walks:",
            "#   - {from: B, along: A, go: [inside angle 70° left, 800 ft], call: [C]}",
            "",
        ]
    first, *steps = (step.strip() for step in given["line"].split(","))
    names = _letters(1 + sum(not is_turn(step) for step in (first, *steps)))
    lines = [
        "# The line as it was walked, its first length along x. No north is known.",
        "points:",
        f"  A: {{at: {write_value(['0 ft', '0 ft'], True)}}}",
        f"  B: {{at: {write_value([first, '0 ft'], True)}}}",
        "",
    ]
    if steps:
        go, call = write_value(steps), write_value(names[2:])
        lines += ["walks:", "  - from: B", "    along: A", f"    go: {go}", f"    call: {call}", ""]
    return names, lines


def _wire(given: Mapping[str, str]) -> list[str]:
    rules = f", rules: {write_value(given['rules'], True)}" if "rules" in given else ""
    side = f", wire side: {write_value(given['wire side'], True)}" if "wire side" in given else ""
    return [
        "# The kind of wire. What no document of an agency says is common practice, and told as such.",
        "fences:",
        f"  fence: {{kind: {given['wire']}{rules}{side}}}",
        "",
    ]


def _fence(given: Mapping[str, str]) -> list[str]:
    from palewright.tables import kind_table

    keys = kind_table(given["kind"]).keys
    tall = next((key for key in _TALL if key in keys), "")
    lines = ["# The kind of fence, with the values of this job laid over its own.", "fences:", "  fence:"]
    lines.append(f"    kind: {given['kind']}")
    if tall:
        lines.append(f"    {tall}: {_or_ask(given, 'tall')}")
    if "longest bay" in keys and "longest bay" in given:
        lines.append(f"    longest bay: {write_value(given['longest bay'])}")
    lines += [f"    good side: {_or_ask(given, 'good side')}            # neighbour, yard or both", ""]
    return lines


def _run(given: Mapping[str, str], points: list[str]) -> list[str]:
    deed = given["known"] == "deed"
    if not points or (deed and "inside" not in given):
        said = "how far inside the line it stands" if points else "where it goes"
        return [
            f"# A run needs to know {said}: take the # away and fill in.",
            "# runs:",
            "#   - {name: fence, fence: fence, "
            + ("sides: all, inside boundary: {face: ...}}" if deed else "through: [A, B]}"),
            "",
        ]
    lines = ["# Where the fence goes.", "runs:", "  - name: fence", "    fence: fence"]
    if deed:
        lines += ["    sides: all", f"    inside boundary: {{face: {write_value(given['inside'], True)}}}"]
    else:
        lines.append(f"    through: {write_value(points)}")
    wire = given["known"] == "line"
    if not deed and not wire:
        lines.append(f"    yard: {_or_ask(given, 'yard')}")
    if given["known"] == "walk":
        lines += ["    ends:", *(f"      {name}: {{at wall: bracket}}" for name in (points[0], points[-1]))]
    if not wire:
        lines.append("    follows: ask               # racked, stepped, level-top or grade")
    if given.get("gate", "none") == "none":
        return [*lines, ""]
    if "gate from" not in given:
        return [*lines, f"    # gates: [{{opening: {given['gate']}, starts: ... from {points[0]}}}]", ""]
    starts = write_value(f"{given['gate from']} from {points[0]}", True)
    hung = "" if wire else ", hinges: ask, swings: ask"
    gate = f"{{opening: {write_value(given['gate'], True)}, starts: {starts}{hung}}}"
    return [*lines, "    gates:", f"      - {gate}", ""]
