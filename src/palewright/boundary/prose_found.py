"""What was found in one call of a legal description, and problems of notation placed in the whole text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from palewright.boundary.prose_words import Text, carries_number, problem_at
from palewright.errors import NotationError, Problem
from palewright.notation.angles import DEGREE, MINUTE, SECOND
from palewright.notation.curves import CurveText
from palewright.notation.lengths import Length
from palewright.notation.scan import Token

__all__ = ["ABOUT", "BARRIER", "CARDINAL", "Found", "SIDE", "of_bearing", "placed", "unread"]

BARRIER = "|"
"""Kind of the token that stands where a note was: what is before and after it does not belong together."""
CARDINAL = {"n", "north", "s", "south", "e", "east", "w", "west"}
SIDE = CARDINAL | {"northerly", "southerly"}
ABOUT = (("more", "or", "less"), ("plus", "or", "minus"))


@dataclass(slots=True)
class Found:
    """What was found in one call.

    azimuth, length
        of the line, or of the chord of a curve; ``said``: the words they were read from. used: tokens that were read or
        told. noted: spans of lengths that are not the call's.
    """

    azimuth: float | None = None
    length: Length | None = None
    north: str = ""
    curve: CurveText | None = None
    about: bool = False
    lacks: set[str] = field(default_factory=set)
    said: list[str] = field(default_factory=list)
    used: set[Token] = field(default_factory=set)
    noted: list[tuple[int, int]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def take(self, tokens: Sequence[Token]) -> None:
        """These tokens were read, or told."""
        self.used.update(tokens)


def placed(text: Text, error: NotationError, start: int, end: int) -> list[Problem]:
    """Problems of notation, placed in the whole text; from start to end where their own place is not inside."""
    made = []
    for problem in error.problems:
        first = problem.where.column - 1
        last = first + problem.where.width
        if not start <= first < end:
            first, last = start, end
        made.append(
            problem_at(text, problem.slug, problem.what, first, last, allowed=problem.allowed, hint=problem.hint)
        )
    return made


def of_bearing(token: Token) -> bool:
    """Whether a token can belong to a bearing: a number, its marks, the last letter."""
    return (
        token.kind in {"number", "part", "odd", "-", "°", "'", '"'}
        or token.text in DEGREE | MINUTE | SECOND | {"e", "w", "east", "west", "easterly", "westerly"}
    )  # fmt: skip


def unread(found: Found, tokens: Sequence[Token]) -> list[Token]:
    """Tokens that carry a number and were neither read nor told."""
    return [token for token in tokens if carries_number(token) and token not in found.used]
