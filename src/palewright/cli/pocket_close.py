"""``palewright pocket close``: closure and area of a deed in a text file."""

from __future__ import annotations

import math
from collections.abc import Callable
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
    FILE may also hold a legal description in sentences (thence ..., thence ... to the point of beginning): what was
    read is printed beside its words.
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

    lines = _description(values["prose"], show) if "prose" in values else []
    lines += [f"perimeter {show(values['perimeter_m'])}", *_closure(values, show)]
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


def _closure(values: dict[str, Any], show: Callable[[float], str]) -> list[str]:
    """By how much the calls miss their beginning."""
    from palewright.boundary import LEAST_PRECISION

    if values["precision"] is None:
        return ["closes exactly"]
    off = f"misses its beginning by {show(values['misclosure_m'])}, 1:{values['precision']:,.0f}"
    sums = f"latitudes {show(values['latitude_error_m'])}, departures {show(values['departure_error_m'])}"
    poor = f"WORSE THAN 1:{LEAST_PRECISION:,.0f}: no proof of its own arithmetic. Ask a licensed surveyor."
    return [f"{off} ({sums})", *([poor] if values["precision"] < LEAST_PRECISION else [])]


def _description(prose: dict[str, Any], show: Callable[[float], str]) -> list[str]:
    """A legal description call by call, what was read above its words."""
    from palewright.notation import show_bearing

    lines = ["read from a legal description; check every call against its words:"]
    rows = [*((f"to the beginning {k}", c) for k, c in enumerate(prose["ties"], 1)),
            *((f"{k}", c) for k, c in enumerate(prose["calls"], 1))]  # fmt: skip
    for name, call in rows:
        parts = [] if call["azimuth_deg"] is None else [show_bearing(math.radians(call["azimuth_deg"]))]
        parts += [] if call["length_m"] is None else [show(call["length_m"])]
        read = call["read"] if "curve" in call["read"].lower() or not parts else "  ".join(parts)
        lines.append(f"  {name}  {read or 'to the beginning'}")
        lines.append(f"      words: {call['source']}")
        if call["monument"]:
            lines.append(f"      the record calls for: {call['monument']} (no proof of anything on the ground)")
        lines += [f"      {word}: {'; '.join(call[key])}" for key, word in _BESIDE.items() if call[key]]
    if prose["begins"]:
        lines.append(f"  at the beginning the record calls for: {prose['begins']}")
    around = {"noted": prose["noted"], "passed": prose["passed"]}
    lines += [
        f"  before and after the calls, {_BESIDE[key]}: {'; '.join(said)}" for key, said in around.items() if said
    ]
    return lines


_BESIDE = {"along": "runs", "noted": "noted", "passed": "passed by"}
