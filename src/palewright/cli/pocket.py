"""``palewright pocket``: quick figures of the trade, without a job."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import click

from palewright.cli.pocket_close import close
from palewright.cli.pocket_ground import rack, slope
from palewright.cli.pocket_parts import (
    LOOSE,
    common,
    print_answer,
    read_degrees,
    read_length,
    read_quantity,
    show,
    show_volume,
    style,
)
from palewright.errors import ProblemError

__all__ = ["pocket"]

_ALLOWED = {"close": "one call a line: a bearing and a length with its unit, or the parts of a curve"}


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
                    allowed=problem.allowed or _ALLOWED.get(name, "a quantity with its unit"),
                    hint=problem.hint or f"palewright pocket {name} --help shows how each quantity is written",
                )
                for problem in error.problems
            ) from error


@click.group(cls=_Hinted)
def pocket() -> None:
    """Quick figures of the trade. Every quantity carries its unit: "84 ft", "137' 4 3/8\\"", 20%."""


@pocket.command("spacing", context_settings=LOOSE)
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
@common
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
        read_length(length, unit, "LENGTH"),
        read_length(longest, unit, "--longest"),
        read_length(shortest, unit, "--shortest") if shortest else 0.0,
        rule,
        slope if along_grade else None,
        slope,
    )
    print_answer(answer, as_json, why, _spacing_words)


@pocket.command("square", context_settings=LOOSE)
@click.argument("leg")
@click.argument("other_leg", metavar="LEG")
@click.option("--angle", default="90", help="angle between the legs in degrees, 90 unless given")
@click.option("--error", default="", help="how much too long the diagonal was held")
@click.option("--run", "run_on", default="", help="how far the second leg runs on")
@common
def square(leg: str, other_leg: str, angle: str, error: str, run_on: str, unit: str, why: bool, as_json: bool) -> None:
    """Diagonal that makes a corner, and what an error in it does at the end of a run."""
    from palewright import plan

    if run_on and not error:
        raise click.UsageError("--run needs --error: it says how far the corner is off at the end of the run")
    answer = plan.pocket_square(
        read_length(leg, unit, "LEG"),
        read_length(other_leg, unit, "LEG"),
        read_degrees(angle),
        read_length(error, unit, "--error", least=-math.inf) if error else 0.0,
        read_length(run_on, unit, "--run", least=0.0) if run_on else 0.0,
    )
    print_answer(answer, as_json, why, _square_words)


@pocket.command("concrete", context_settings=LOOSE)
@click.option("--hole", required=True, help="diameter of the hole")
@click.option("--depth", required=True, help="depth of the hole")
@click.option("--post", "post", default="", help="side of the post, as it measures")
@click.option("--by", "by", default="", help="other side of the post")
@click.option("--pipe", "pipe", default="", help="outside diameter of a pipe")
@click.option("--gravel", default="", help="gravel under the post")
@click.option("--holes", type=int, default=1, help="how many such holes")
@common
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
        read_length(hole, unit, "--hole"),
        read_length(depth, unit, "--depth"),
        read_length(post or pipe, unit, "--post" if post else "--pipe"),
        read_length(by, unit, "--by") if by else None,
        bool(pipe),
        read_length(gravel, unit, "--gravel", least=0.0) if gravel else 0.0,
        holes,
        style(),
    )
    print_answer(answer, as_json, why, _concrete_words)


@pocket.command("gate", context_settings=LOOSE)
@click.option("--kind", required=True, help="kind of gate: chain-link, boards, farm, ...")
@click.option("--opening", required=True, help="clear between the faces of the gate posts")
@click.option("--leaves", type=int, default=1, help="1 or 2")
@common
def gate(kind: str, opening: str, leaves: int, unit: str, why: bool, as_json: bool) -> None:
    """Leaf that fits an opening, with the hardware allowance of the kind."""
    from palewright import plan

    width = read_length(opening, unit, "--opening")
    answer = plan.pocket_gate("-".join(kind.lower().split()), width, leaves, style())
    print_answer(answer, as_json, why, lambda values: _gate_words(values, leaves))


@pocket.command("step", context_settings=LOOSE)
@click.option("--fall", required=True, help="from the first post to the last")
@click.option("--run", "run_on", required=True, help="level, from the first post to the last")
@click.option("--panels", type=int, required=True, help="how many panels step down")
@common
def step(fall: str, run_on: str, panels: int, unit: str, why: bool, as_json: bool) -> None:
    """Panels that step down a slope by the same drop: the drop at each post, from 0 at the first."""
    from palewright import plan

    answer = plan.pocket_step(read_length(fall, unit, "--fall"), read_length(run_on, unit, "--run"), panels)
    print_answer(answer, as_json, why, _step_words)


@pocket.command("tie", context_settings=LOOSE)
@click.argument("base")
@click.argument("a")
@click.argument("b")
@click.option("--sigma", default="", help="standard deviation of each of the two tapes")
@common
def tie(base: str, a: str, b: str, sigma: str, unit: str, why: bool, as_json: bool) -> None:
    """Point by two tapes: A from the start of the BASE, B from its end. They do not say on which side it lies."""
    from palewright import plan

    answer = plan.pocket_tie(
        read_length(base, unit, "BASE"),
        read_length(a, unit, "A"),
        read_length(b, unit, "B"),
        read_length(sigma, unit, "--sigma") if sigma else None,
        style(),
    )
    print_answer(answer, as_json, why, _tie_words)


@pocket.command("tape", context_settings=LOOSE)
@click.option("--read", required=True, help="the line as the tape reads it")
@click.option("--nominal", default="", help="length marked on the tape; with --true")
@click.option("--true", "true", default="", help="length of the tape when compared; with --nominal")
@click.option("--rise", default="", help="difference in height of the ends, for a line taped along a slope")
@click.option("--temperature", default="", help="of the tape, for instance 50 F; with --standard-temperature")
@click.option("--standard-temperature", default="", help="at which the tape is right, mostly 68 F or 20 C")
@click.option("--expansion", default="6.45e-6 /F", help="of the tape; steel unless given")
@click.option("--pull", default="", help="on the tape, for instance 15 lbf")
@click.option("--standard-pull", default="", help="at which the tape is right; with --pull and --section")
@click.option("--section", default="", help="cross section of the ribbon, for instance 0.004 in2")
@click.option("--modulus", default="29e6 psi", help="of the ribbon; steel unless given")
@click.option("--weight-per-length", default="", help="of a tape that hangs, for instance 0.02 lb/ft; with --pull")
@click.option("--spans", type=click.IntRange(1, 1000), default=1, help="equal spans that it hangs in")
@common
def tape(read: str, unit: str, why: bool, as_json: bool, **given: Any) -> None:
    """True length of a line measured with a steel tape: each correction that is given is applied and named."""
    from palewright import plan

    together = (("nominal", "true"), ("temperature", "standard_temperature"), ("standard_pull", "section"))
    if any(bool(given[one]) != bool(given[other]) for one, other in together):
        raise click.UsageError("--nominal and --true go together; so do --temperature and --standard-temperature, "
                               "and --pull, --standard-pull and --section")  # fmt: skip
    if bool(given["pull"]) != bool(given["standard_pull"] or given["weight_per_length"]):
        raise click.UsageError("--pull goes with --standard-pull and --section, or with --weight-per-length")
    pull = read_quantity(given["pull"], "force", "--pull") if given["pull"] else 0.0
    answer = plan.pocket_tape(
        read_length(read, unit, "--read"),
        compared=(read_length(given["nominal"], unit, "--nominal"), read_length(given["true"], unit, "--true"))
        if given["true"]
        else None,
        rise_m=read_length(given["rise"], unit, "--rise", least=-math.inf) if given["rise"] else 0.0,
        temperatures=(
            read_quantity(given["temperature"], "temperature"),
            read_quantity(given["standard_temperature"], "temperature"),
        )
        if given["temperature"]
        else None,
        per_k=read_quantity(given["expansion"], "expansion"),
        pulls=(pull, read_quantity(given["standard_pull"], "force")) if given["standard_pull"] else None,
        ribbon=(
            read_quantity(given["section"], "area", "--section"),
            read_quantity(given["modulus"], "pressure", "--modulus"),
        )
        if given["section"]
        else None,
        hung=(read_quantity(given["weight_per_length"], "weight per length"), pull, given["spans"])
        if given["weight_per_length"]
        else None,
    )
    print_answer(answer, as_json, why, lambda values: _tape_words(values, read, unit))


pocket.add_command(close)
pocket.add_command(rack)
pocket.add_command(slope)

# ---------------------------------------------------------------- words


def _spacing_words(values: dict[str, Any]) -> list[str]:
    marks = "  ".join(show(mark) for mark in values["marks_m"])
    many = "bay" if values["bays"] == 1 else "bays"
    lines = [
        f"{values['bays']} {many}, {values['posts']} posts ({values['line_posts']} line posts): "
        + _grouped(values["spacing_m"]),
        f"marks: {marks}",
    ]
    if "along_m" in values:
        lines.append(f"bays and marks are level; along the slope: {_grouped(values['along_m'])}")
    return lines


def _grouped(bays: list[float]) -> str:
    """Bays with how many of each follow one another."""
    groups: list[tuple[str, int]] = []
    for bay in bays:
        shown = show(bay)
        if groups and groups[-1][0] == shown:
            groups[-1] = (shown, groups[-1][1] + 1)
        else:
            groups.append((shown, 1))
    return ", ".join(f"{count} of {shown}" for shown, count in groups)


def _square_words(values: dict[str, Any]) -> list[str]:
    lines = [f"diagonal {show(values['diagonal_m'])}"]
    if values["turn_deg"]:
        off = f", the far end stands {show(abs(values['sideways_m']))} off" if values["sideways_m"] else ""
        lines.append(f"turned by {values['turn_deg']:.4f}°{off}")
    return lines


def _concrete_words(values: dict[str, Any]) -> list[str]:
    lines = [f"one hole: {show_volume(values['net_m3'])} of concrete ({show_volume(values['gross_m3'])} of hole)"]
    lines.append("bags for one hole: " + ", ".join(f"{n} x {bag}" for bag, n in values["bags"].items()))
    if values["holes"] > 1:
        lines.append(
            f"bags for {values['holes']} holes, rounded up once: "
            + ", ".join(f"{n} x {bag}" for bag, n in values["bags_all"].items())
        )
    return lines


def _gate_words(values: dict[str, Any], leaves: int) -> list[str]:
    leaf = show(values["leaf_m"])
    return [
        f"{f'leaf {leaf}' if leaves == 1 else f'{leaves} leaves of {leaf}'}, {show(values['allowance_m'])} for hardware"
    ]


def _step_words(values: dict[str, Any]) -> list[str]:
    return [
        f"each panel drops {show(values['step_m'])}, a post every {show(values['spacing_m'])}",
        "drop at each post: " + "  ".join(show(mark) for mark in values["marks_m"]),
    ]


def _tie_words(values: dict[str, Any]) -> list[str]:
    lines = [f"{show(values['along_m'])} along the base, {show(values['off_m'])} off it, to either side"]
    lines.append(f"the tapes cross at {values['crossing_deg']:.1f}°")
    if not 30.0 <= values["crossing_deg"] <= 150.0:
        lines[-1] += ": too flat to hold, keep between 30° and 150°"
    if values["semi_major_m"] is not None:
        lines.append(f"known to {show(values['semi_major_m'])} by {show(values['semi_minor_m'])} (one sigma)")
    return lines


def _tape_words(values: dict[str, Any], read: str, unit: str) -> list[str]:
    def own(value_m: float) -> str:
        """In the notation of the reading, to a thousandth of a foot or a tenth of a millimetre."""
        if typed.unit in ("m", "cm", "mm"):
            return f"{value_m:.4f} m"
        return f"{value_m / 0.3048:.3f} ft" if "." in read else show(value_m)

    from palewright.notation import parse_length

    typed = parse_length(read, unit=unit)
    named = {name.removesuffix("_m"): value for name, value in values["corrections"].items()}
    return [f"true length {own(values['true_m'])}", *(f"{name}: {own(value)}" for name, value in named.items())]
