"""What the first five minutes ask, and what is answered."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from palewright.web.shapes import Change, Shape


class Answer(Change):
    """What was answered to one question of the first five minutes: a text for each of its fields, and ``answer``."""

    question: Annotated[str, Field(max_length=80)]
    values: dict[Annotated[str, Field(max_length=80)], Annotated[str, Field(max_length=20_000)]]


class Choice(Shape):
    """One choice of a field, or one answer: what is sent, and what is shown."""

    value: str
    text: str


class Blank(Shape):
    """A field of a question; one without a label is sent back as it came."""

    key: str
    label: str = ""
    value: str = ""
    hint: str = ""
    choices: list[Choice] = Field([])


class Question(Shape):
    """One question in plain words."""

    slug: str
    text: str
    fields: list[Blank] = Field([])
    answers: list[Choice] = Field([])


class Walk(Shape):
    """Where the first five minutes stand: what was assumed so far, the next question, if there is one, and what is said
    of readings that contradict each other."""

    said: list[str] = Field([])
    question: Question | None = None
    doubts: list[str] = Field([])
