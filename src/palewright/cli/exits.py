"""Exit codes of the command line, in one place."""

from __future__ import annotations

from enum import IntEnum

__all__ = ["Exit"]


class Exit(IntEnum):
    """What a command says to the shell."""

    DONE = 0
    """It did what was asked."""
    PROBLEMS = 1
    """Something that a person wrote is wrong; nothing was written."""
    USAGE = 2
    """The command itself was misspelt."""
    OUTPUT = 3
    """The output could not be written; the previous output is whole."""
