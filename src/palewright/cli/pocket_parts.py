"""What every pocket sum shares: its flags, how quantities are read, how the answer is printed."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from palewright.errors import Problem, ProblemError, Where

if TYPE_CHECKING:
    from palewright.plan import Pocket

__all__ = [
    "LOOSE", "common", "print_answer", "read_degrees", "read_length", "read_quantity", "show", "show_volume", "style",
]  # fmt: skip

#: answers are printed as the first length was typed
_STYLE = "palewright.style"
_METRIC = ("m", "cm", "mm", "km")

_F = TypeVar("_F", bound=Callable[..., Any])

# An argument such as "-5 ft" is a bad value (exit 1), not an unknown flag.
LOOSE = {"ignore_unknown_options": True, "help_option_names": ["-h", "--help"]}


def common(command: _F) -> _F:
    """The flags --unit, --why and --json of a command."""
    for option in (
        click.option("--unit", default="", help="unit of bare numbers, for instance ft, in, m"),
        click.option("--why", is_flag=True, help="add the formula and its source"),
        click.option("--json", "as_json", is_flag=True, help="one JSON object, numbers SI"),
    ):
        command = option(command)
    return command


def read_length(text: str, unit: str, name: str, least: float | None = None) -> float:
    """A length from an argument; larger than 0 unless ``least`` says otherwise."""
    from palewright.notation import parse_length

    read = parse_length(text, unit=unit, signed=True)
    click.get_current_context().meta.setdefault(_STYLE, "metric" if read.unit in _METRIC else "feet-inches")
    value = read.m
    if (least is None and value <= 0.0) or (least is not None and value < least):
        raise ProblemError(
            Problem(
                "length-out-of-range",
                f"{name} must be {'larger than 0' if least is None else 'at least 0'}",
                where=Where(thing=name),
                found=text,
                allowed="a length larger than 0" if least is None else "0 or more",
                hint="check the sign and the unit",
            )
        )
    return value


def read_quantity(text: str, kind: str, name: str = "") -> float:
    """A force, area, ... from an argument; larger than 0 where it has a ``name``."""
    from palewright.notation import parse_quantity

    value = parse_quantity(text, kind)
    if name and value <= 0.0:
        what, allowed = f"{name} must be larger than 0", f"a {kind} larger than 0"
        raise ProblemError(
            Problem("quantity-out-of-range", what, where=Where(thing=name), found=text, allowed=allowed,
                    hint="check the sign and the unit")
        )  # fmt: skip
    return value


def read_degrees(text: str) -> float:
    """An angle between two legs: a bare number is degrees, since the flag says so."""
    from palewright.notation import parse_angle

    value = parse_angle(f"{text}°" if text.strip().replace(".", "", 1).isdigit() else text)
    if not 0.0 < value < math.pi:
        raise ProblemError(
            Problem(
                "angle-out-of-range",
                "the angle between two legs lies between 0 and 180 degrees",
                where=Where(thing="--angle"),
                found=text,
                allowed="more than 0 and less than 180",
                hint="give the inside angle of the corner",
            )
        )
    return value


def print_answer(answer: Pocket, as_json: bool, why: bool, words: Callable[[dict[str, Any]], list[str]]) -> None:
    """The answer as JSON, or in words with its formula and source where asked; cautions beside the JSON."""
    for caution in answer.cautions:
        click.echo(f"caution: {caution}", err=True)
    if as_json:
        click.echo(json.dumps(answer.values))
        return
    for line in words(dict(answer.values)):
        click.echo(line)
    if why:
        click.echo(f"formula: {answer.formula}")
        click.echo(f"source: {answer.source}")


def style() -> str:
    """The notation of the first length that was typed: "feet-inches" or "metric"."""
    return str(click.get_current_context().meta.get(_STYLE, "feet-inches"))


def show(value_m: float) -> str:
    """A length in the notation of the first one that was typed."""
    from palewright.notation import show_length

    return show_length(value_m, style(), fraction=16)


def show_volume(value_m3: float) -> str:
    """A volume in cubic feet, or in litres where the first length was metric."""
    if style() == "metric":
        return f"{value_m3 * 1000.0:.1f} L"
    return f"{value_m3 / 0.3048**3:.2f} cu ft"
