"""Problems and exceptions. This room imports nothing of ours.

A :class:`Problem` is what is wrong with something a person wrote: where, what was found, what is
allowed, and a hint. Exceptions carry problems; nobody catches an exception to read its text::

    PalewrightError
    +-- ProblemError          one or more problems with what was typed (also a ValueError)
    |   +-- NotationError     a length, bearing, grade or sum of money that cannot be read
    |   +-- JobError          a job file that cannot be read or planned
    +-- TableError            a data file of ours or of the firm's own is unusable
    +-- OutputError           the output folder cannot be written
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace

from palewright.record import Record

__all__ = [
    "JobError",
    "NotationError",
    "OutputError",
    "PalewrightError",
    "Problem",
    "ProblemError",
    "TableError",
    "Where",
]


class Where(Record):
    """A place in a file (1-based line and column) or an object by name ("run rear, post 7").

    ``line`` 0 means the place has no line. ``width`` is the length of the marked span in characters.
    ``path`` is the key path in the job file, for instance ``runs[0].gates[1].opening``.
    """

    file: str = ""
    line: int = 0
    column: int = 0
    width: int = 1
    path: str = ""
    thing: str = ""

    def __str__(self) -> str:
        place = self.file
        if self.line:
            place = f"{place}:{self.line}:{self.column}" if place else f"{self.line}:{self.column}"
        if self.thing:
            place = f"{place} ({self.thing})" if place else self.thing
        return place


class Problem(Record):
    """One thing wrong with what a person wrote, or one caution about it.

    slug
        kebab-case name with an entry in docs/messages.md.
    what
        one English sentence without the place.
    severity
        "error" (nothing is written) or "caution" (the work goes on and the paper says so).
    found, allowed, hint, source
        the value as typed, the values allowed, what to do, and the published source of a limit.
    excerpt
        the line of the file, for marking the span under it.
    """

    slug: str
    what: str
    where: Where = field(default_factory=Where)
    severity: str = "error"
    found: str = ""
    allowed: str = ""
    hint: str = ""
    source: str = ""
    excerpt: str = ""

    def at(self, where: Where, excerpt: str = "") -> Problem:
        """The same problem, placed in a file."""
        return replace(self, where=where, excerpt=excerpt or self.excerpt)

    def render(self) -> str:
        """The problem as the command line prints it."""
        place = str(self.where)
        head = f"{place}  {self.severity}  {self.slug}" if place else f"{self.severity}  {self.slug}"
        what = self.what
        if self.found:
            what += f": found {self.found}"
        if self.allowed:
            what += f"; allowed: {self.allowed}"
        lines = [head, f"  {what}"]
        if self.excerpt:
            start = max(self.where.column - 1, 0)
            lines.append(f"     {self.excerpt}")
            lines.append("     " + " " * start + "~" * max(self.where.width, 1))
        if self.hint:
            lines.append(f"  hint: {self.hint}")
        if self.source:
            lines.append(f"  source: {self.source}")
        return "\n".join(lines)


class PalewrightError(Exception):
    """Everything that Palewright raises on purpose."""


class ProblemError(PalewrightError, ValueError):
    """One or more problems with what was typed; ``problems`` holds them all."""

    def __init__(self, problems: Iterable[Problem] | Problem) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(problem.render() for problem in self.problems))


class NotationError(ProblemError):
    """A length, angle, bearing, grade or sum of money that cannot be read.

    ``where.column`` and ``where.width`` of its problem mark the span inside the text itself.
    """


class JobError(ProblemError):
    """A job file that cannot be read, or a job that cannot be planned as written."""


class TableError(PalewrightError):
    """A data file is missing, or does not hold what it must."""


class OutputError(PalewrightError):
    """The output folder cannot be written; the previous output is left whole."""
