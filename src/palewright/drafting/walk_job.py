"""A job file while the questions of a walk are put and answered."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from palewright.drafting.seeing import sight
from palewright.drafting.sight_records import Choice, Sight
from palewright.drafting.words import text as words
from palewright.jobfile import Document
from palewright.jobfile.writing import Plain

__all__ = ["WalkJob"]


class WalkJob:
    """What stands in the file, and what a screen shows of it."""

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
