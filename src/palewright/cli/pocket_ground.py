"""``palewright pocket slope`` and ``rack``: lengths and panels on sloping ground."""

from __future__ import annotations

from typing import Any

import click

from palewright.cli.pocket_parts import LOOSE, common, print_answer, read_length, show

__all__ = ["rack", "slope"]


@click.command("slope", context_settings=LOOSE)
@click.option("--level", default="", help="length measured level")
@click.option("--along", default="", help="length measured along the slope, instead of --level")
@click.option("--grade", required=True, help="slope of the ground, for instance 8%, 1:12 or 7°")
@common
def slope(level: str, along: str, grade: str, unit: str, why: bool, as_json: bool) -> None:
    """Level length, length along the slope and rise, from one of the two lengths and the grade."""
    from palewright import plan
    from palewright.notation import parse_grade

    if bool(level) == bool(along):
        raise click.UsageError("give one of --level and --along")
    answer = plan.pocket_slope(
        parse_grade(grade),
        read_length(level, unit, "--level") if level else None,
        read_length(along, unit, "--along") if along else None,
    )
    print_answer(answer, as_json, why, _slope_words)


@click.command("rack", context_settings=LOOSE)
@click.option("--panel", required=True, help="length of the panel along its rails")
@click.option("--rise", default="", help="from one end of the panel to the other")
@click.option("--grade", default="", help="slope of the ground instead of --rise, for instance 8% or 1:12")
@click.option("--limit", default="", help="the most that the panel may rise from end to end")
@common
def rack(panel: str, rise: str, grade: str, limit: str, unit: str, why: bool, as_json: bool) -> None:
    """A panel racked to a slope with its pickets plumb: its angle, its level length, and whether it may."""
    from palewright import plan
    from palewright.notation import parse_grade

    if bool(rise) == bool(grade):
        raise click.UsageError("give one of --rise and --grade")
    answer = plan.pocket_rack(
        read_length(panel, unit, "--panel"),
        read_length(rise, unit, "--rise", least=0.0) if rise else None,
        parse_grade(grade) if grade else None,
        read_length(limit, unit, "--limit", least=0.0) if limit else None,
    )
    print_answer(answer, as_json, why, _rack_words)


def _slope_words(values: dict[str, Any]) -> list[str]:
    return [
        f"level {show(values['level_m'])}, along the slope {show(values['along_m'])}",
        f"rises {show(values['rise_m'])}, {values['angle_deg']:.2f}°",
    ]


def _rack_words(values: dict[str, Any]) -> list[str]:
    lines = [
        f"racked by {values['angle_deg']:.2f}°: rises {show(values['rise_m'])} in {show(values['plan_m'])} level",
    ]
    if values["within_limit"] is not None:
        lines.append(
            "within its limit" if values["within_limit"] else "MORE than its limit: step it, or take another panel"
        )
    return lines
