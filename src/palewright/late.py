"""Public names of a room that are imported when they are first asked for, so that a small command starts quickly."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

__all__ = ["late"]


def late(room: str, names: Mapping[str, str]) -> Callable[[str], Any]:
    """The ``__getattr__`` of a room.

    room
        its full name. names: each public name, and the module of the room that it lives in.
    """

    def get(name: str) -> Any:
        if name not in names:
            raise AttributeError(f"module {room!r} has no attribute {name!r}")
        value = getattr(import_module(f"{room}.{names[name]}"), name)
        setattr(sys.modules[room], name, value)
        return value

    return get
