"""A first job file from a few answers: what `palewright new` asks, and what it writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from palewright import notation
from palewright.errors import JobError, NotationError, Problem, Where
from palewright.jobfile.calls import read_call
from palewright.jobfile.phrases import read_step
from palewright.jobfile.reader import read_text
from palewright.jobfile.reading import Reading
from palewright.jobfile.source import Node, Source
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
        (key, answer): asked only after that answer; () for always. must: False where ``ask`` is an answer.
    """

    key: str
    prompt: str
    example: str
    check: Callable[[str], str]
    only_if: tuple[str, str] | tuple[()] = ()
    must: bool = False


WAYS = ("walk", "deed", "points")
_TALL = {"board": "boards", "fabric": "fabric", "panel": "panels", "top of rails": "top rail"}


def questions() -> tuple[Question, ...]:
    """The questions in order.

    >>> [question.key for question in questions()][:3]
    ['title', 'address', 'known']
    """
    return (
        Question("title", "What is the job called?", "Tansy Court lot 7", _any, must=True),
        Question("address", "Where is it?", "7 Tansy Court", _any),
        Question("known", f"What is known of the place: {', '.join(WAYS)}?", "walk", _way, must=True),
        Question(
            "wall", "How long is the house wall that the walk starts from?", "38' 4\"", _length, ("known", "walk")
        ),
        Question(
            "walk",
            "Walk from the left end of that wall, your back to its right end. Lengths and turns, with commas?",
            "14 ft, right, 46 ft, right, 66 ft, right, 46 ft",
            _steps,
            ("known", "walk"),
        ),
        Question(
            "calls",
            "The calls of the deed in order, with semicolons between them?",
            "N 01°05' W 151.40 ft; N 87°50' E 80.35 ft; to beginning",
            _calls,
            ("known", "deed"),
        ),
        Question("record", "Which deed or plat is it?", "plat book 12, page 7", _any, ("known", "deed")),
        Question(
            "inside", "How far inside the line shall the face of the fence be?", "8 in", _length, ("known", "deed")
        ),
        Question(
            "points",
            "The points of the fence in order, east then north, with semicolons between them?",
            "0 ft, 0 ft; 0 ft, 46 ft; 66 ft, 46 ft",
            _points,
            ("known", "points"),
        ),
        Question("kind", "Which kind of fence?", "boards", _kind, must=True),
        Question("tall", "How tall are boards, fabric or panels?", "6 ft", _length),
        Question("good side", "Where does the good side look: neighbour, yard, both?", "neighbour", _good_side),
        Question("longest bay", "Longest distance between posts?", "8 ft", _length),
        Question("yard", "Is the yard left or right of that way?", "right", _side),
        Question("gate", "How wide is the gate? (none: no gate)", "4 ft", _gate),
        Question("gate from", "How far from the first point does the opening start?", "5 ft", _length),
        Question("frost", "How deep does frost go there?", "30 in", _length),
        Question("print", "How shall lengths be printed: feet-inches, decimal-feet, metric?", "feet-inches", _print),
        Question("language", "Language of the papers: en, es?", "en", _language),
    )


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
    problems = []
    for question in questions():
        answer = given.get(question.key, "")
        if question.only_if and given.get(question.only_if[0]) != question.only_if[1]:
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
    points, place = {"walk": _walk, "deed": _deed, "points": _by_points}[given["known"]](given)
    lines += place
    lines += _fence(given)
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
    names = _letters(sum(not _is_turn(step) for step in steps))
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
    calls = [call.strip() for call in given["calls"].split(";") if call.strip()]
    names = [f"P{k + 1}" for k in range(len(calls))]
    return names, [
        "# The line of the property as the deed calls it. That it closes proves arithmetic, and nothing on the ground.",
        "boundary:",
        "  start: P1",
        f"  names: {write_value(names)}",
        "  calls:",
        *(f"    - {write_value(call)}" for call in calls),
        "  # What was found at each corner; until two of them agree with the record the line is not located.",
        "  # corners: {P1: {found: iron pin, matches record: yes}}",
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
    pairs = [_pair(part) for part in given["points"].split(";") if part.strip()]
    names = _letters(len(pairs))
    rows = [f"  {name}: {{at: {write_value(pair, True)}}}" for name, pair in zip(names, pairs, strict=True)]
    return names, ["# Points by coordinates, east then north.", "points:", *rows, ""]


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
        lines += [f"    through: {write_value(points)}", f"    yard: {_or_ask(given, 'yard')}"]
    if given["known"] == "walk":
        lines += ["    ends:", *(f"      {name}: {{at wall: bracket}}" for name in (points[0], points[-1]))]
    lines.append("    follows: ask               # racked, stepped, level-top or grade")
    if given.get("gate", "none") == "none":
        return [*lines, ""]
    if "gate from" not in given:
        return [*lines, f"    # gates: [{{opening: {given['gate']}, starts: ... from {points[0]}}}]", ""]
    starts = write_value(f"{given['gate from']} from {points[0]}", True)
    gate = f"{{opening: {write_value(given['gate'], True)}, starts: {starts}, hinges: ask, swings: ask}}"
    return [*lines, "    gates:", f"      - {gate}", ""]


# checks: what is wrong with an answer, in words


def _any(answer: str) -> str:
    return "" if answer.isprintable() and len(answer) <= 200 else "one line of text is expected"


def _of(*words: str) -> Callable[[str], str]:
    return lambda answer: "" if answer in words else f"one of {', '.join(words)} is expected"


_way, _good_side, _side = _of(*WAYS), _of("neighbour", "yard", "both"), _of("left", "right")
_print, _language = _of("feet-inches", "decimal-feet", "metric"), _of("en", "es")


def _kind(answer: str) -> str:
    from palewright.tables import kind_names

    return _of(*kind_names())(answer)


def _length(answer: str) -> str:
    try:
        return "" if notation.parse_length(answer).m > 0 else "a length larger than 0 is expected"
    except NotationError as error:
        return error.problems[0].what


def _gate(answer: str) -> str:
    return "" if answer == "none" else _length(answer)


def _said(read: Callable[[Reading, Node, str], object], text: str) -> str:
    reading = Reading(Source(text, ""))
    read(reading, Node("text", 0, len(text), text=text), "")
    return reading.problems[0].what if reading.problems else ""


def _is_turn(step: str) -> bool:
    return bool(step) and not step[0].isdigit() and step[0] != "."


def _steps(answer: str) -> str:
    steps = [step.strip() for step in answer.split(",")]
    said = next((said for step in steps if (said := _said(read_step, step))), "")
    return said or ("a walk ends with a length" if _is_turn(steps[-1]) else "")


def _calls(answer: str) -> str:
    calls = [call.strip() for call in answer.split(";") if call.strip()]
    if len(calls) < 3:
        return "three calls or more are expected"
    return next((said for call in calls if (said := _said(read_call, call))), "")


def _pair(text: str) -> list[str]:
    return [part.strip() for part in text.split(",")]


def _points(answer: str) -> str:
    pairs = [_pair(part) for part in answer.split(";") if part.strip()]
    if len(pairs) < 2:
        return "two points or more are expected"
    for pair in pairs:
        if len(pair) != 2:
            return "each point is two lengths, east then north"
        try:
            for part in pair:
                notation.parse_length(part, signed=True)
        except NotationError as error:
            return error.problems[0].what
    return ""
