"""From a person's words for a tool to a standard deviation. What is not said counts as the poorer of the usual ones."""

from __future__ import annotations

import functools
import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import replace

from palewright.errors import Problem, ProblemError, Where
from palewright.model import Measurement
from palewright.notation import parse_length, show_length
from palewright.tables import ToolAccuracy, tool_accuracies

__all__ = ["right_angle_sigma", "stated_sigma", "tool_accuracy", "triangle_legs"]

_LIKE = 0.8
_NEAR = 0.65
_SHORT = 3
_BESIDE = {
    "and", "with", "the", "for", "our", "own", "old", "new", "from", "feet", "foot", "inch", "inches", "meter",
    "meters", "metre", "metres", "people", "person", "persons", "man", "men", "helper", "crew", "used", "each",
    "both", "twice", "con", "dos", "una", "uno", "las", "los", "pies", "personas",
}  # fmt: skip
"""Words that people write beside those of a tool."""
_LEAST_FUZZY = 4
_TYPICAL_M = 30.0
_LONGEST = 200
_SQUARE_SLACK = 0.01
_TABLES = {
    "distance": "length", "along": "length", "offset": "length", "on line": "line", "parallel": "angle",
    "angle": "angle", "direction": "angle", "azimuth": "angle", "assumed": "angle", "east": "position",
    "north": "position", "rise": "level", "rod": "level",
}  # fmt: skip
_UNSAID = {"assumed": "assumed", "direction": "transit", "azimuth": "phone compass", "rod": "builders level"}
_TRIPLE = re.compile(
    r"(?P<a>\d{1,6}(?:\.\d{1,6})?)\s*[-:x/,\u2013]\s*(?P<b>\d{1,6}(?:\.\d{1,6})?)\s*[-:x/,\u2013]\s*"
    r"(?P<c>\d{1,6}(?:\.\d{1,6})?)\s*(?P<unit>feet|foot|ft|'|inches|inch|in\b|\"|metres|meters|metre|meter|m\b|cm\b)?",
    re.ASCII | re.IGNORECASE,
)


def tool_accuracy(words: str, kind: str = "length") -> ToolAccuracy:
    """The row of the table of accuracies that a person's words mean.

    words
        as typed: "long fibreglass", "steel, two people", "speed square"; spelling may be off by a letter or two. "":
        the poorer of the usual tools.
    kind
        "length", "angle", "position", "line" or "level".
    Returns the row whose phrase takes most of the words; of equals, the poorer. Raises ProblemError, with the choices
    and the nearest spelling, where no phrase fits or a word is left that says nothing of a tool; TableError for another
    kind. Source: table of accuracies.

    >>> tool_accuracy("long fiberglas").name, tool_accuracy("steel tape and two people").name, tool_accuracy("").name
    ('long fibreglass tape', 'steel tape, two people', 'long fibreglass tape')
    """
    tools = tool_accuracies(kind)
    if not words.strip():
        return next(tool for tool in tools if tool.unset)
    said = _plain(words[: _LONGEST + 1]).split()
    known = {word for tool in tools for phrase in tool.words for word in phrase}
    strange = [one for one in said if not _heard(one, known) and not _said_beside(one)]
    heard = {word for one in said for word in _heard(one, known)}
    scored = [
        (max((len(p) for p in tool.words if p <= heard), default=0), tool.sigma(_TYPICAL_M), tool) for tool in tools
    ]
    score, _, tool = max(scored, key=lambda entry: entry[:2])
    if not score or strange:
        raise ProblemError(_unknown(words, strange, known, tools))
    return tool


def _unknown(words: str, strange: Sequence[str], known: set[str], tools: Sequence[ToolAccuracy]) -> Problem:
    """Words of which some say nothing of a tool, with the nearest spelling of the first that has one."""
    long = sorted(word for word in known if len(word) >= _LEAST_FUZZY)
    import difflib

    near = {one: difflib.get_close_matches(one, long, n=1, cutoff=_NEAR) for one in strange}
    meant = next((f"`{one}`: did you mean `{close[0]}`? " for one, close in near.items() if close), "")
    if not meant and strange and len(strange) < len(_plain(words).split()):
        meant = f"`{strange[0]}` says nothing of a tool. "
    return Problem(
        "accuracy-unknown",
        "how good this tool is, is not known",
        found=repr(words[:_LONGEST]),
        allowed=", ".join(tool.name for tool in tools),
        hint=f"{meant}use one of these words, or give the accuracy itself with `within`",
    )


@functools.lru_cache(256)
def _said_beside(word: str) -> bool:
    """Whether a word may stand beside those of a tool: a number, a unit, a word of another table."""
    others = {
        word for kind in set(_TABLES.values()) for tool in tool_accuracies(kind) for p in tool.words for word in p
    }
    return len(word) < _SHORT or any(c.isdigit() for c in word) or word in _BESIDE or bool(_heard(word, others))


def _plain(words: str) -> str:
    """Lower case, no accents or apostrophes, blanks for everything else."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", words) if not unicodedata.combining(c))
    return re.sub(r"[^a-z0-9]+", " ", re.sub(r"['\u2019]", "", bare.lower())).strip()


def _heard(word: str, known: set[str]) -> list[str]:
    """The words of the table that a word may stand for: itself, or the nearest in spelling."""
    if word in known:
        return [word]
    if len(word) < _LEAST_FUZZY or len(word) > 3 * _LEAST_FUZZY * _LEAST_FUZZY:
        return []
    import difflib

    return difflib.get_close_matches(word, sorted(w for w in known if len(w) >= _LEAST_FUZZY), n=1, cutoff=_LIKE)


def triangle_legs(words: str) -> tuple[float, float, float] | None:
    """The sides of the triangle that squared a corner, when a person's words name one.

    words
        "3-4-5", "9-12-15 ft", "6-8-10 by steel"; without a unit the numbers are feet, the smaller and poorer triangle.
    Returns legs and diagonal [m], or None where no triangle is named. Raises ProblemError for three numbers that are
    not the sides of a right-angled triangle (to 1 % of the diagonal).

    >>> [round(side / 0.3048, 6) for side in triangle_legs("9-12-15 ft")]
    [9.0, 12.0, 15.0]
    """
    found = _TRIPLE.search(words[: _LONGEST + 1])
    if found is None:
        return None
    unit = found["unit"] or "ft"
    a, b, c = sorted(parse_length(found[side], unit=unit).m for side in "abc")
    if not a > 0.0 or abs(math.hypot(a, b) - c) > _SQUARE_SLACK * c:
        raise ProblemError(
            Problem(
                "triangle-not-square",
                "these are not the sides of a triangle with a right angle",
                found=found[0].strip(),
                allowed="3-4-5 and its multiples, 5-12-13, 1-1-1.414",
                hint=f"with these legs the diagonal is {show_length(math.hypot(a, b), fraction=16)}",
            )
        )
    return a, b, c


def right_angle_sigma(leg_a: float, leg_b: float, tool: ToolAccuracy) -> float:
    """Standard deviation of a right angle set by taping two legs and the diagonal.

    leg_a, leg_b
        [m], > 0. tool: of the three tapes, for its standard deviation at each length.
    Returns sqrt((c sc)^2 + (a sa)^2 + (b sb)^2) / (a b) [rad]. Raises ValueError for a leg of 0 or less.
    Source: law of cosines, differentiated at a right angle.

    >>> steel = tool_accuracy("steel")
    >>> small, large = right_angle_sigma(0.9144, 1.2192, steel), right_angle_sigma(2.7432, 3.6576, steel)
    >>> round(math.degrees(small), 2), round(math.degrees(large), 2)
    (0.68, 0.23)
    """
    if not (leg_a > 0.0 and leg_b > 0.0):
        raise ValueError("a leg is longer than 0")
    diagonal = math.hypot(leg_a, leg_b)
    sides = (side * tool.sigma(side) for side in (leg_a, leg_b, diagonal))
    return math.hypot(*sides) / (leg_a * leg_b)


def stated_sigma(measured: Measurement | None, kind: str, value: float) -> float:
    """Standard deviation of one observation by what the job says of it.

    measured
        the measurement, for its words; None: the length or turn of a walk, of which nothing is said.
    kind, value
        kind of the observation, or "assumed" for a turn nobody measured; value [m or rad]. Of a "rise" and a "rod" (a
        rise read on a rod from one set-up) the value is how far apart the two points are.
    Returns [m or rad]. Raises ProblemError for words nobody knows, with their place. Source: table of accuracies.

    >>> round(stated_sigma(None, "distance", 30.48) / 0.3048, 3)
    0.064
    """
    table = _TABLES[kind]
    words = (measured.how if measured else "") or _UNSAID.get(kind, "")
    if measured and measured.source == "record" and not measured.how and table != "line":
        words = "plat"
    try:
        if table == "angle" and (legs := triangle_legs(words)):
            return right_angle_sigma(legs[0], legs[1], tool_accuracy(_TRIPLE.sub(" ", words)))
        return tool_accuracy(words, table).sigma(abs(value) if table in ("length", "level") else 0.0)
    except ProblemError as error:
        where = measured.at if measured else Where()
        raise ProblemError(replace(problem, where=where) for problem in error.problems) from error
