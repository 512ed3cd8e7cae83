"""Exit codes of the command line, in one place."""

from __future__ import annotations

from enum import IntEnum

__all__ = ["Exit"]


class Exit(IntEnum):
    """What a command says to the shell."""

    DONE = 0
    """It did what was asked."""
    PROBLEMS = 1
    """Something that a person wrote is wrong, or a file to be read is not there; nothing was written."""
    USAGE = 2
    """The command itself is wrong: a flag or choice that is unknown, missing, or does not go with another."""
    OUTPUT = 3
    """What stands under --out cannot be written, or is there already and is not replaced; it is left whole."""
