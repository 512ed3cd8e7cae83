"""A plain lot for sums by hand: 60 ft wide, 120 ft deep, the house 30 ft behind the front line; and its rules."""

from __future__ import annotations

import functools
from dataclasses import replace
from datetime import date

from palewright import jobfile
from palewright.model import Finding, Permit, Plan
from palewright.permit import read_rules
from palewright.plan import make_plan

FT, IN = 0.3048, 0.0254
TODAY = date(2026, 11, 25)

LOT = """palewright: 1
job: {title: A plain lot, north: none}
points:
  SW: {at: [0 ft, 0 ft]}
  NW: {at: [0 ft, 120 ft]}
  NE: {at: [60 ft, 120 ft]}
  SE: {at: [60 ft, 0 ft]}
boundary: {through: [SW, NW, NE, SE], yards: {1: side, 2: rear, 3: side, 4: front}}
buildings: {house: [[15 ft, 30 ft], [45 ft, 30 ft], [45 ft, 60 ft], [15 ft, 60 ft]]}
fences:
  privacy: {kind: boards, board: 6 ft, bottom gap: 2 in, longest bay: 8 ft, good side: neighbour, hole: {line: 10 in}}
  mesh: {kind: chain-link, fabric: 4 ft, longest bay: 10 ft, tie rule: 12 in}
"""
"""Sides: 1 left (x = 0), 2 rear (y = 120 ft), 3 right (x = 60 ft), 4 front (y = 0)."""

LEFT = "runs: [{name: left, fence: privacy, through: [[1 ft, 5 ft], [1 ft, 110 ft]], yard: right, follows: racked}]\n"
REAR = "runs: [{name: rear, fence: privacy, through: [[5 ft, %s ft], [55 ft, %s ft]], yard: right, follows: racked}]\n"
HEAD = 'palewright_rules = 1\nplace = "an invented town"\nsource = "made up"\nchecked = 2026-05-04\n'


def rule(kind: str, **keys: str) -> str:
    """One rule as text; values are TOML."""
    lines = [f'[[rule]]\nname = "{kind}"\nkind = "{kind}"\nclause = "1"']
    return "\n".join([*lines, *(f"{key} = {value}" for key, value in keys.items())]) + "\n"


@functools.cache
def planned(text: str, rules: str, today: date = TODAY) -> Plan:
    """The plan of a job and its rules."""
    job = jobfile.read_text(text, "plain.yaml")
    if rules:
        job = replace(job, rules=read_rules(HEAD + rules, "rules.toml"))
    return make_plan(job, today=today)


def permit_of(text: str, rules: str, today: date = TODAY) -> Permit:
    """The permit record of a job and its rules."""
    permit = planned(text, rules, today).permit
    assert permit is not None
    return permit


def findings(text: str, rules: str) -> tuple[Finding, ...]:
    """What the rules say of a job."""
    return permit_of(text, rules).findings
