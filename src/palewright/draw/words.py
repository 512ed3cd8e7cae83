"""Words and lengths on the drawings, in the language and the print style of the job."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources

from palewright.model import Course, LineStatus, Settings
from palewright.notation import show_bearing, show_inches, show_length

__all__ = ["Words", "call_words", "corners_found", "languages", "short", "word_table"]

_LONGEST = 36
_INCHES_M = 0.6
_LONGEST_CALL = 90
"""Characters of a call that still stand on a drawing as they were typed (our own choice)."""


@functools.cache
def _tables() -> dict[str, dict[str, str]]:
    return tomllib.loads(resources.files("palewright.draw").joinpath("words.toml").read_text("utf-8"))


def languages() -> tuple[str, ...]:
    """Languages the drawings speak."""
    return tuple(_tables())


def word_table(language: str) -> dict[str, str]:
    """All words of a language; English for one that is not there."""
    tables = _tables()
    return tables.get(language, tables["en"])


def short(name: str, most: int = _LONGEST) -> str:
    """A name as it stands on a drawing: one line, at most ``most`` characters.

    >>> short("gas service"), short("a name that goes on and on and never comes to an end", 12)
    ('gas service', 'a name that…')
    """
    line = " ".join(name.split())
    return line if len(line) <= most else line[: most - 1].rstrip() + "…"


class Words:
    """Says keys of ``words.toml`` and lengths as the job prints them."""

    def __init__(self, settings: Settings) -> None:
        self.language = settings.language if settings.language in _tables() else "en"
        self._table = word_table(self.language)
        self._style = settings.print_style
        self._fraction = settings.fraction

    def __call__(self, key: str, **values: object) -> str:
        """The words of a key with its values filled in; raises KeyError for an unknown key."""
        return self._table[key].format(**values) if values else self._table[key]

    def __contains__(self, key: str) -> bool:
        return key in self._table

    def length(self, metres: float) -> str:
        """A length as the job prints it."""
        return show_length(metres, self._style, self._fraction)

    def spread(self, metres: float) -> str:
        """How far something is off: hundredths of a foot where the job prints feet so; inches under two feet."""
        if self._style == "decimal-feet" or metres >= _INCHES_M:
            return self.length(metres)
        return self.inches(metres)

    def inches(self, metres: float) -> str:
        """A depth or diameter of a hole, as the crew sheets print it: inches, or millimetres."""
        return show_inches(metres, self._fraction, self._style)


def corners_found(words: Words, key: str, status: LineStatus) -> str:
    """The text of a key with how many corners count, and in another how many pins more do not."""
    return words(f"{key}_more" if status.more else key, found=status.found, total=status.total, more=status.more)


def call_words(words: Words, course: Course) -> str:
    """The call of a side as it was typed; as it was read where a pasted deed makes it too long for a drawing."""
    if len(course.text) <= _LONGEST_CALL or course.about:
        return course.text
    course_read = f"{show_bearing(course.azimuth)} {words.length(course.length_m)}"
    if course.arc is None:
        return course_read
    radius, arc = words.length(course.arc.radius_m), words.length(course.arc.length_m)
    return words("arc_call", radius=radius, arc=arc, chord=course_read)
