"""Colours: our own for the fence, the public utility-marking colours for utilities only."""

from __future__ import annotations

import functools
import math
import tomllib
from importlib import resources
from typing import Any

from palewright.draw.scene import Hatch

__all__ = [
    "BLACK",
    "BUILDING",
    "FENCE",
    "GREY",
    "INFILL",
    "PALE",
    "PAPER",
    "utility_colour",
    "utility_hatch",
    "utility_named",
    "zone_layer",
]


@functools.cache
def _palette() -> dict[str, Any]:
    return tomllib.loads(resources.files("palewright.draw").joinpath("palette.toml").read_text("utf-8"))


FENCE: str = _palette()["fence"]
INFILL: str = _palette()["infill"]
BLACK: str = _palette()["ink"]
GREY: str = _palette()["grey"]
PALE: str = _palette()["pale"]
BUILDING: str = _palette()["building"]
PAPER: str = _palette()["paper"]

_HATCHES = {
    "no hole": Hatch(math.radians(45), 1.6, 0.13, cross=True),
    "hand dig": Hatch(math.radians(45), 2.2, 0.13),
    "loose ground": Hatch(math.radians(-45), 2.2, 0.13),
    "pin": Hatch(math.radians(0), 1.2, 0.13),
}


def zone_layer(utility: str) -> str:
    """Layer of a zone.

    >>> zone_layer("gas"), zone_layer("")
    ('zone-gas', 'zone-other')
    """
    return f"zone-{utility}" if utility_named(utility) else "zone-other"


def utility_named(utility: str) -> bool:
    """Whether the colour code has a colour for it."""
    return utility in ("gas", "electric", "water", "sewer", "communication", "reclaimed")


def utility_colour(utility: str) -> str:
    """Marking colour of a utility; grey for what is none."""
    colours = _palette()["utility"]
    return str(colours[utility] if utility in colours and utility not in ("source", "survey") else colours["other"])


def utility_hatch(kind: str) -> Hatch:
    """Hatch of a zone by its kind: crossed lines for no hole, single lines for hand dig."""
    return _HATCHES.get(kind, _HATCHES["no hole"])
