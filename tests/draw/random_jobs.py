"""Plans of random jobs for the drawings: lots with a fence inside, and walks that begin at a wall."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from palewright import jobfile
from palewright.errors import JobError
from palewright.model import Plan
from palewright.plan import make_plan

KINDS = (
    "{kind: boards, board: 6 ft, bottom gap: 2 in, longest bay: 8 ft, good side: neighbour}",
    "{kind: chain-link, fabric: 4 ft, longest bay: 10 ft, tie rule: 12 in}",
    "{kind: post-and-rail, rails: 3, longest bay: 10 ft, good side: yard}",
)
GATES = (
    "{opening: 4 ft, starts: 6 ft from %s, hinges: near %s, swings: to yard}",
    "{name: the wide drive gate, opening: 10 ft, starts: 5 ft from %s, leaves: 2, swings: to yard}",
)
OLD = "remove: [{name: old fence, through: [[%.1f ft, 3 ft], [%.1f ft, 9 ft]], posts every: 8 ft, footing: 10 in, then: %s}]"


def _head(draw: Any) -> str:
    style = draw(st.sampled_from(["feet-inches", "feet-inches", "metric", "decimal-feet"]))
    language, paper = draw(st.sampled_from(["en", "es"])), draw(st.sampled_from(["letter", "a4"]))
    tape = "30 m" if style == "metric" else "100 ft"
    return (
        f"palewright: 1\njob: {{title: Any yard, print: {style}, tape: {tape}, language: {language}, paper: {paper}}}\n"
    )


def _gates(draw: Any, corner: str) -> str:
    picked = draw(st.lists(st.sampled_from(GATES), max_size=1))
    return "".join(f"\n      - {gate % ((corner,) * gate.count('%s'))}" for gate in picked)


@st.composite
def lots(draw: Any) -> str:
    """A fence all the way round, some inches inside the sides of a lot; perhaps an old fence across it."""
    count = draw(st.integers(3, 7))
    turns = [2 * math.pi * (k + draw(st.floats(-0.25, 0.25))) / count for k in range(count)]
    far = [draw(st.floats(24.0, 110.0)) for _ in range(count)]
    corners = [(150 + r * math.sin(t), 150 + r * math.cos(t)) for r, t in zip(far, turns, strict=True)]
    points = "".join(f"  P{k}: {{at: [{x:.2f} ft, {y:.2f} ft]}}\n" for k, (x, y) in enumerate(corners, 1))
    names = ", ".join(f"P{k}" for k in range(1, count + 1))
    what = draw(st.sampled_from(["face: 8 in", "post: 6 in", "footing: 3 in"]))
    gates = _gates(draw, "P1")
    text = _head(draw) + f"points:\n{points}boundary: {{through: [{names}]}}\n"
    text += f"fences:\n  f: {draw(st.sampled_from(KINDS))}\nruns:\n  - name: around\n    fence: f\n    sides: all\n"
    text += f"    inside boundary: {{{what}}}\n" + (f"    gates:{gates}\n" if gates else "")
    if draw(st.booleans()):
        low, high = draw(st.floats(60, 120)), draw(st.floats(130, 200))
        text += OLD % (low, high, draw(st.sampled_from(["pull", "leave"]))) + "\n"
    return text


@st.composite
def walks(draw: Any) -> str:
    """A fence from one end of a house wall round a yard, one to four corners of any angle."""
    legs, names = [f"{draw(st.integers(5, 30))} ft"], ["A"]
    for k in range(draw(st.integers(1, 4))):
        angle = draw(st.sampled_from([90, 90, 75, 105, 120]))
        turn = "right" if angle == 90 else f"inside angle {angle}° right"
        legs += [turn, f"{draw(st.integers(8, 95))} ft"]
        names.append("BCDE"[k])
    wall = draw(st.integers(12, 60))
    gates = _gates(draw, "house left")
    return (
        _head(draw) + f"walls: [{{from: house left, to: house right, length: {wall} ft}}]\n"
        f"walks:\n  - {{from: house left, along: house right, go: [{', '.join(legs)}], call: [{', '.join(names)}]}}\n"
        f"fences:\n  f: {draw(st.sampled_from(KINDS))}\nruns:\n  - name: yard\n    fence: f\n"
        f"    through: [house left, {', '.join(names)}]\n    yard: right\n    ends: {{house left: {{at wall: post}}}}\n"
        + (f"    gates:{gates}\n" if gates else "")
    )


def planned(text: str) -> Plan:
    """The plan of a job; a job that is refused is not drawn."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_text(text, encoding="utf-8")
        try:
            return make_plan(jobfile.read(path))
        except JobError:
            assume(False)
    raise AssertionError
