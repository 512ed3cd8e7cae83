"""The measurements of a plan as lines of text and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from palewright.exchange.records import encoder
from palewright.model import Heights, Plan, Survey
from palewright.papers.survey import survey_data

__all__ = ["survey_json", "survey_lines"]


def survey_lines(plan: Plan) -> list[str]:
    """What the measurement page says, line by line, in English."""
    data = survey_data(replace(plan, settings=replace(plan.settings, language="en")))
    lines = [f"  [caution] {text}" for text in data["first"]] + [f"  [note] {text}" for text in data["said"]]
    if data["points"]:
        lines += [
            "readings, ± one standard deviation by the tool",
            *(f"  {row['number']:>3} {_reading(row)}" for row in data["readings"]),
        ]
        lines.append("points, 19 times in 20 within")
        lines += [f"  {row['name']}: {row['within'] or row['how']}" for row in data["points"]]
    if data["advice"]:
        lines.append("to tape next")
        lines += [f"  {row['what']}: {row['point']} {row['before']} -> {row['after']}" for row in data["advice"]]
    return [*lines, *(_heights(data["heights"]) if data["heights"] else ())]


def _reading(row: dict[str, Any]) -> str:
    fits = f"off {row['off']}" if row["off"] else "not checked"
    seen = f", would notice {row['notices']}" if row["notices"] else ""
    return f"{row['what']}: {row['reads']} {row['sigma']}, {fits}{seen}{'  DOUBTED' if row['doubted'] else ''}"


def _heights(data: dict[str, Any]) -> Iterator[str]:
    yield "levelled" if data["readings"] else "heights"
    yield from (f"  {_reading(row)}" for row in data["readings"])
    for line in data["lines"]:
        yield line["title"]
        for row in line["rows"]:
            parts = [(word, row[key]) for word, key in (("back", "back"), ("line of sight", "sight"), ("fore", "fore"))]
            read = ", ".join(f"{word} {value}" for word, value in parts if value)
            yield f"  {row['point']}: {read}; {row['height'] or 'no height'}"
        yield from (f"  {text}" for text in line["closes"])
    yield f"heights: {data['base']}"
    yield from (f"  {row['name']}: {row['height']} {row['within'] or row['how']}" for row in data["points"])


def survey_json(plan: Plan) -> str:
    """Network, adjustment and heights as in plan.json, null where there are none: numbers SI, angles in radians."""
    place, level = encoder(Survey), encoder(Heights)
    assert place is not None
    assert level is not None
    survey, heights = plan.site.survey, plan.site.heights
    found = place(survey) if survey is not None else {"network": None, "adjusted": None}
    return json.dumps(found | {"heights": level(heights) if heights is not None else None}, indent=1)
