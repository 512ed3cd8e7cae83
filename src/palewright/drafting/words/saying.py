"""Problems in another language, as far as there are words: the program makes them in English."""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from palewright.errors import Problem, ProblemError

__all__ = ["problem_in", "said_in", "said_in_language"]

BLANK = "{}"
_SAID = ":said}"
_FEW, _JOINT = 6, 8  # letters
_LONGEST, _DEEPEST = 2000, 8


class _UntoldError(Exception):
    """A part of a sentence has no words."""


class _Words:
    """Sentences of one table: those without blanks by themselves, the others the most exact first."""

    def __init__(self, rows: Mapping[str, str]) -> None:
        self.whole = {known: said.format() for known, said in rows.items() if BLANK not in known}
        blanks = [(known.split(BLANK), said) for known, said in rows.items() if BLANK in known]
        self.blanks = sorted(blanks, key=lambda row: (not _joins(*row), -sum(map(len, row[0]))))

    def say(self, text: str, language: str, deep: int = 0) -> str | None:
        """A text in the language; None where this table has no words for it. ``deep``: blanks that it stands in."""
        if deep > _DEEPEST or len(text) > _LONGEST:
            return None
        if text in self.whole:
            return self.whole[text]
        for parts, said in self.blanks:
            if text.startswith(parts[0]) and text.endswith(parts[-1]) and all(part in text for part in parts):
                match = _pattern(tuple(parts), _SAID in said).fullmatch(text)
                if match is not None:
                    try:
                        return said.format(*(_Blank(value, language, deep + 1) for value in match.groups()))
                    except _UntoldError:
                        continue
        return None


class _Blank:
    """What stands in a blank: as it is; as ``word`` in the language where it has words; as ``said`` it must have them;
    of ``keys`` of the job file only what joins them is said in the language."""

    def __init__(self, value: str, language: str, deep: int) -> None:
        self.value, self.language, self.deep = value, language, deep

    def __format__(self, how: str) -> str:
        if not how:
            return self.value
        sentences, words, _ = _catalogue(self.language)
        if how == "keys":
            return re.sub(r"\b(and|or)\b", lambda joint: words.whole[joint[0]], self.value)
        said = words.say(self.value, self.language, self.deep) or sentences.say(self.value, self.language, self.deep)
        if said is None and how == "said":
            raise _UntoldError
        return said or self.value


def _joins(parts: list[str], said: str) -> bool:
    """Whether it only joins sentences: these are told apart before they are looked for."""
    return _SAID in said and sum(map(len, parts)) <= _JOINT


@functools.cache
def _pattern(parts: tuple[str, ...], strict: bool) -> re.Pattern[str]:
    """What a sentence looks like. Commas in the blanks of one that has hardly any words would make it fit any list."""
    blank = "(.+?)" if strict or sum(map(len, parts)) > _FEW else "([^,;]+?)"
    return re.compile(blank.join(map(re.escape, parts)))


@functools.cache
def _catalogue(language: str) -> tuple[_Words, _Words, _Words]:
    """The sentences of a language, the words that may stand in their blanks, and what is found."""
    file = Path(__file__).with_name(f"problems_{language}.toml")
    if language == "en" or not file.is_file():
        return _Words({}), _Words({}), _Words({})
    rows = tomllib.loads(file.read_text("utf-8"))
    words, found = rows.pop("word"), rows.pop("found")
    return _Words(rows), _Words(words), _Words(found)


def said_in(text: str, language: str) -> str | None:
    """A sentence of the program in a language; None where there are no words for it.

    >>> said_in("gates of run rear overlap", "es"), said_in("gates of run rear overlap", "en")
    ('hay portones del tramo rear uno sobre otro', None)
    >>> said_in("a list of 2 or more is expected here", "es")
    'aquí se espera esto: una lista de 2 o más'
    """
    return _catalogue(language)[0].say(text, language)


def problem_in(problem: Problem, language: str) -> Problem:
    """The same problem, what can be said in the language in it. What somebody typed stays as it was typed."""
    if language == "en":
        return problem
    what, allowed, hint = (said_in(text, language) or text for text in (problem.what, problem.allowed, problem.hint))
    found = _catalogue(language)[2].say(problem.found, language) or problem.found
    return replace(problem, what=what, allowed=allowed, hint=hint, found=found)


@contextmanager
def said_in_language(language: str) -> Iterator[None]:
    """Problems that are raised within are raised in the language, as far as there are words."""
    try:
        yield
    except ProblemError as error:
        if language == "en":
            raise
        raise ProblemError([problem_in(problem, language) for problem in error.problems]) from error
