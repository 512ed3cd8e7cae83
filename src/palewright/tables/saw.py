"""The saw cut that is counted between parts of one length of stock."""

from __future__ import annotations

from functools import cache

from palewright.tables.loader import _load, to_si

__all__ = ["saw_kerf"]


@cache
def saw_kerf() -> float:
    """Width of a saw cut [m]. Source: table of lumber, common practice.

    >>> round(saw_kerf() / 0.0254, 6)
    0.125
    """
    entry = _load("lumber.toml")["saw"]
    return to_si(float(entry["kerf"]), entry["unit"])
