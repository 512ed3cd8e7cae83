"""``palewright pocket close``: closure and area of a deed in a text file."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import click

from palewright.cli.pocket_parts import common, print_answer

__all__ = ["close"]


@click.command("close")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--adjust",
    type=click.Choice(["none", "compass", "transit"]),
    default="none",
    help="show the calls with the misclosure spread over them, for comparison",
)
@common
def close(file: Path, unit: str, adjust: str, why: bool, as_json: bool) -> None:
    """Closure and area of a deed: FILE holds one call a line, and # before what is no call.

    A line: S36-00-00E 379.25 (with --unit), N 12 30 15 E 120.55 ft. A curve: curve right, radius 250 ft, arc 61.35 ft,
    chord S 80 12 W. One call may lack its length, or be a bearing and "to beginning": it is solved.
    """
    from palewright import jobfile, plan

    answer = plan.pocket_close(jobfile.read_words(file), str(file), unit, adjust)
    print_answer(answer, as_json, why, _words)


def _words(values: dict[str, Any]) -> list[str]:
    from palewright.notation import show_acres, show_area, show_bearing, show_length

    style = values["style"]

    def show(length_m: float) -> str:
        return show_length(length_m, style)

    def area(square_m: float) -> str:
        return show_area(square_m, style) + ("" if style == "metric" else f", {show_acres(square_m)}")

    def call(made: dict[str, Any]) -> str:
        return f"{show_bearing(math.radians(made['azimuth_deg']))}  {show(made['length_m'])}"

    lines = [f"perimeter {show(values['perimeter_m'])}"]
    if values["precision"] is None:
        lines.append("closes exactly")
    else:
        off = f"misses its beginning by {show(values['misclosure_m'])}, 1:{values['precision']:,.0f}"
        sums = f"latitudes {show(values['latitude_error_m'])}, departures {show(values['departure_error_m'])}"
        lines.append(f"{off} ({sums})")
    lines.append(f"area as called {area(values['area_m2'])}")
    lines += [
        f"curve of call {c['call']}: {c['side']}, radius {show(c['radius_m'])}, central angle {c['delta_deg']:.4f}°,"
        f" arc {show(c['arc_m'])}, chord {show_bearing(math.radians(c['chord_azimuth_deg']))} {show(c['chord_m'])}"
        for c in values["curves"]
    ]
    for gap in [values["missing"], *values["also_missing"]] if "missing" in values else []:
        lines.append(f"call {gap['call']} solved: {call(gap)}")
    if values["crosses"]:
        c = values["crosses"]
        place = f"{show(c['east_m'])} east, {show(c['north_m'])} north of the beginning"
        lines.append(f"SIDES {c['side']} AND {c['other_side']} CROSS, {place}: this is no boundary as it is written")
    if "adjusted" in values:
        lines.append("adjusted, for comparison only (a deed is never changed by it):")
        lines += [f"  {k}  {call(made)}" for k, made in enumerate(values["adjusted"], 1)]
        lines.append(f"area adjusted {area(values['adjusted_area_m2'])}")
    lines += values["said"]
    lines.append("Closing checks the arithmetic of a deed and nothing on the ground.")
    return lines
