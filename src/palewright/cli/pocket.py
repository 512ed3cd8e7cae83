"""``palewright pocket``: quick figures of the trade, without a job."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

import click

from palewright.errors import ProblemError

if TYPE_CHECKING:
    from palewright.plan import Pocket

__all__ = ["pocket"]

_F = TypeVar("_F", bound=Callable[..., Any])

# An argument such as "-5 ft" is a bad value (exit 1), not an unknown flag.
_LOOSE = {"ignore_unknown_options": True, "help_option_names": ["-h", "--help"]}


def _common(command: _F) -> _F:
    for option in (
        click.option("--unit", default="", help="unit of bare numbers, for instance ft, in, m"),
        click.option("--why", is_flag=True, help="add the formula and its source"),
        click.option("--json", "as_json", is_flag=True, help="one JSON object, numbers SI"),
    ):
        command = option(command)
    return command


class _Hinted(click.Group):
    """A group in which every problem says what is allowed and what to do: the contract of the pocket sums."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except ProblemError as error:
            name = ctx.invoked_subcommand or ""
            raise ProblemError(
                replace(
                    problem,
                    allowed=problem.allowed or "a quantity with its unit",
                    hint=problem.hint or f"palewright pocket {name} --help shows how each quantity is written",
                )
                for problem in error.problems
            ) from error


@click.group(cls=_Hinted)
def pocket() -> None:
    """Quick figures of the trade. Every quantity carries its unit: "84 ft", "137' 4 3/8\\"", 20%."""


@pocket.command("spacing", context_settings=_LOOSE)
@click.argument("length")
@click.option("--longest", required=True, help="longest bay, centre to centre")
@click.option("--shortest", default="", help="shortest bay allowed")
@click.option(
    "--rule",
    type=click.Choice(["even", "short-last", "short-both"]),
    default="even",
    help="how what is left is shared out",
)
@click.option("--grade", default="", help="slope of the ground, for instance 8% or 1:12")
@click.option("--along-grade", is_flag=True, help="the longest bay is measured along the slope")
@_common
def spacing(
    length: str,
    longest: str,
    shortest: str,
    rule: str,
    grade: str,
    along_grade: bool,
    unit: str,
    why: bool,
    as_json: bool,
) -> None:
    """Bays between two end posts. LENGTH is level, between the centres of the end posts."""
    from palewright import plan
    from palewright.notation import parse_grade

    if along_grade and not grade:
        raise click.UsageError("--along-grade needs --grade")
    slope = parse_grade(grade) if grade else None
    answer = plan.pocket_spacing(
        _length(length, unit, "LENGTH"),
        _length(longest, unit, "--longest"),
        _length(shortest, unit, "--shortest") if shortest else 0.0,
        rule,
        slope if along_grade else None,
    )
    _print(answer, as_json, why, _spacing_words)


@pocket.command("square", context_settings=_LOOSE)
@click.argument("leg")
@click.argument("other_leg", metavar="LEG")
@click.option("--angle", default="90", help="angle between the legs in degrees, 90 unless given")
@click.option("--error", default="", help="how much too long the diagonal was held")
@click.option("--run", "run_on", default="", help="how far the second leg runs on")
@_common
def square(leg: str, other_leg: str, angle: str, error: str, run_on: str, unit: str, why: bool, as_json: bool) -> None:
    """Diagonal that makes a corner, and what an error in it does at the end of a run."""
    from palewright import plan

    answer = plan.pocket_square(
        _length(leg, unit, "LEG"),
        _length(other_leg, unit, "LEG"),
        _degrees(angle),
        _length(error, unit, "--error", least=-math.inf) if error else 0.0,
        _length(run_on, unit, "--run", least=0.0) if run_on else 0.0,
    )
    _print(answer, as_json, why, _square_words)


@pocket.command("concrete", context_settings=_LOOSE)
@click.option("--hole", required=True, help="diameter of the hole")
@click.option("--depth", required=True, help="depth of the hole")
@click.option("--post", "post", default="", help="side of the post, as it measures")
@click.option("--by", "by", default="", help="other side of the post")
@click.option("--pipe", "pipe", default="", help="outside diameter of a pipe")
@click.option("--gravel", default="", help="gravel under the post")
@click.option("--holes", type=int, default=1, help="how many such holes")
@_common
def concrete(
    hole: str, depth: str, post: str, by: str, pipe: str, gravel: str, holes: int, unit: str, why: bool, as_json: bool
) -> None:
    """Concrete round a post. The post stands on the gravel."""
    from palewright import plan

    if bool(post) == bool(pipe):
        raise click.UsageError("give one of --post and --pipe")
    if by and pipe:
        raise click.UsageError("--by goes with --post")
    answer = plan.pocket_concrete(
        _length(hole, unit, "--hole"),
        _length(depth, unit, "--depth"),
        _length(post or pipe, unit, "--post" if post else "--pipe"),
        _length(by, unit, "--by") if by else None,
        bool(pipe),
        _length(gravel, unit, "--gravel", least=0.0) if gravel else 0.0,
        holes,
    )
    _print(answer, as_json, why, _concrete_words)


@pocket.command("gate", context_settings=_LOOSE)
@click.option("--kind", required=True, help="kind of gate: chain-link, boards, farm, ...")
@click.option("--opening", required=True, help="clear between the faces of the gate posts")
@click.option("--leaves", type=int, default=1, help="1 or 2")
@_common
def gate(kind: str, opening: str, leaves: int, unit: str, why: bool, as_json: bool) -> None:
    """Leaf that fits an opening, with the hardware allowance of the kind."""
    from palewright import plan

    answer = plan.pocket_gate(kind, _length(opening, unit, "--opening"), leaves)
    _print(answer, as_json, why, _gate_words)


# ---------------------------------------------------------------- reading and printing


def _length(text: str, unit: str, name: str, least: float | None = None) -> float:
    """A length from an argument; larger than 0 unless ``least`` says otherwise."""
    from palewright.errors import Problem, Where
    from palewright.notation import parse_length

    value = parse_length(text, unit=unit, signed=least == -math.inf).m
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


def _degrees(text: str) -> float:
    """An angle between two legs: a bare number is degrees, since the flag says so."""
    from palewright.errors import Problem, Where
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


def _print(answer: Pocket, as_json: bool, why: bool, words: Callable[[dict[str, Any]], list[str]]) -> None:
    if as_json:
        click.echo(json.dumps(answer.values))
        return
    for line in words(dict(answer.values)):
        click.echo(line)
    if why:
        click.echo(f"formula: {answer.formula}")
        click.echo(f"source: {answer.source}")


def _show(value_m: float) -> str:
    from palewright.notation import show_length

    return show_length(value_m, fraction=16)


def _spacing_words(values: dict[str, Any]) -> list[str]:
    bays = values["spacing_m"]
    groups: list[tuple[str, int]] = []
    for bay in bays:
        shown = _show(bay)
        if groups and groups[-1][0] == shown:
            groups[-1] = (shown, groups[-1][1] + 1)
        else:
            groups.append((shown, 1))
    made = ", ".join(f"{count} of {shown}" for shown, count in groups)
    marks = "  ".join(_show(mark) for mark in values["marks_m"])
    return [
        f"{values['bays']} bays, {values['posts']} posts ({values['line_posts']} line posts): {made}",
        f"marks: {marks}",
    ]


def _square_words(values: dict[str, Any]) -> list[str]:
    lines = [f"diagonal {_show(values['diagonal_m'])}"]
    if values["turn_deg"]:
        off = f", the far end stands {_show(abs(values['sideways_m']))} off" if values["sideways_m"] else ""
        lines.append(f"turned by {values['turn_deg']:.4f}°{off}")
    return lines


def _concrete_words(values: dict[str, Any]) -> list[str]:
    cubic = 0.3048**3
    lines = [
        f"one hole: {values['net_m3'] / cubic:.2f} cu ft of concrete ({values['gross_m3'] / cubic:.2f} cu ft of hole)"
    ]
    lines.append("bags for one hole: " + ", ".join(f"{n} x {bag}" for bag, n in values["bags"].items()))
    if values["holes"] > 1:
        lines.append(
            f"bags for {values['holes']} holes, rounded up once: "
            + ", ".join(f"{n} x {bag}" for bag, n in values["bags_all"].items())
        )
    return lines


def _gate_words(values: dict[str, Any]) -> list[str]:
    return [f"leaf {_show(values['leaf_m'])}, {_show(values['allowance_m'])} for hardware"]
