"""Problems in another language, as far as there are words: the program makes them in English."""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from palewright.errors import Problem, ProblemError

__all__ = ["problem_in", "said_in", "said_in_language"]


@functools.cache
def _catalogue(language: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    file = Path(__file__).with_name(f"problems_{language}.toml")
    if language == "en" or not file.is_file():
        return ()
    rows = tomllib.loads(file.read_text("utf-8"))
    return tuple((re.compile("(.+?)".join(map(re.escape, known.split("{}")))), said) for known, said in rows.items())


def said_in(text: str, language: str) -> str | None:
    """A sentence of the program in a language; None where there are no words for it.

    >>> said_in("gates of run rear overlap", "es"), said_in("gates of run rear overlap", "en")
    ('hay portones del tramo rear uno sobre otro', None)
    """
    for pattern, said in _catalogue(language):
        match = pattern.fullmatch(text)
        if match is not None:
            return said.format(*match.groups())
    return None


def problem_in(problem: Problem, language: str) -> Problem:
    """The same problem, what can be said in the language in it."""
    what = said_in(problem.what, language)
    hint = said_in(problem.hint, language) if problem.hint else None
    return replace(problem, what=what or problem.what, hint=hint or problem.hint)


@contextmanager
def said_in_language(language: str) -> Iterator[None]:
    """Problems that are raised within are raised in the language, as far as there are words."""
    try:
        yield
    except ProblemError as error:
        if language == "en":
            raise
        raise ProblemError([problem_in(problem, language) for problem in error.problems]) from error
