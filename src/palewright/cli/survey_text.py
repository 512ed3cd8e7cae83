"""The measurements of a plan as lines of text and as JSON."""

from __future__ import annotations

import json
from dataclasses import replace

from palewright.exchange.records import encoder
from palewright.model import Plan, Survey
from palewright.papers.survey import survey_data

__all__ = ["survey_json", "survey_lines"]


def survey_lines(plan: Plan, survey: Survey) -> list[str]:
    """What the measurement page says, line by line, in English."""
    data = survey_data(replace(plan, settings=replace(plan.settings, language="en")), survey)
    lines = [f"  [caution] {text}" for text in data["first"]] + [f"  [note] {text}" for text in data["said"]]
    lines.append("readings")
    for row in data["readings"]:
        fits = f"off {row['off']}" if row["off"] else "not checked"
        seen = f", would notice {row['notices']}" if row["notices"] else ""
        mark = "  DOUBTED" if row["doubted"] else ""
        lines.append(f"  {row['number']:>3} {row['what']}: {row['reads']} {row['sigma']}, {fits}{seen}{mark}")
    lines.append("points, 19 times in 20 within")
    lines += [f"  {row['name']}: {row['within'] or row['how']}" for row in data["points"]]
    if data["advice"]:
        lines.append("to tape next")
        lines += [f"  {row['what']}: {row['point']} {row['before']} -> {row['after']}" for row in data["advice"]]
    return lines


def survey_json(survey: Survey) -> str:
    """The network and its adjustment as in plan.json: numbers SI, angles in radians."""
    encode = encoder(Survey)
    assert encode is not None
    return json.dumps(encode(survey), indent=1)
