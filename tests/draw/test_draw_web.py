"""What was measured, lightly on the plan: which lines, how light, what is left out, and how well points are known."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from palewright import jobfile, plan
from palewright.draw.plan_sheet import plan_sheets
from palewright.draw.scene import Line, Scene, Text
from palewright.model import Plan
from palewright.papers.measures import Measures

EXAMPLES = Path(__file__).parents[2] / "examples"
SIDES = {"A B": 100.02, "B C": 60.01, "C D": 99.98, "D A": 60.03, "A C": 116.65, "B D": 116.60}
CENTRE = {"A E": 58.31, "B E": 58.30, "C E": 58.33, "D E": 58.33}


def quad(wrong: float = 0.0) -> Plan:
    rows = "".join(
        f"  - {{tape: [{', '.join(ends.split())}], reads: {x + wrong * (ends == 'A C'):.2f} ft, within: 0.02 ft}}\n"
        for ends, x in (SIDES | CENTRE).items()
    )
    text = (
        "palewright: 1\njob: {title: Bramble lot, tape: 150 ft}\npoints: {D: {stands: old post, left of: [A, B]}}\n"
        f"measured:\n{rows}fences: {{f: {{kind: boards, good side: yard}}}}\n"
        "runs: [{name: r, fence: f, through: [A, B, C, D], closed: yes, yard: left, follows: racked}]\n"
    )
    return plan.make_plan(jobfile.read_bytes(text.encode(), "job.yaml"), search_cuts=False)


def example(name: str) -> Plan:
    job, prices = plan.load(EXAMPLES / f"{name}.yaml")
    return plan.make_plan(job, prices, search_cuts=False)


def web(scene: Scene) -> list[Line]:
    return [p for p in scene.primitives if isinstance(p, Line) and p.id.startswith("measured ") and p.dash]


def texts(scene: Scene) -> set[str]:
    return {p.text for p in scene.primitives if isinstance(p, Text)}


def test_diagonals_and_ties_are_on_the_plan_and_the_sides_along_the_fence_are_not() -> None:
    made = quad()
    (scene,) = plan_sheets(made)
    observed = made.site.survey.network.observations
    drawn = {" ".join(observed[int(line.id.split()[1]) - 1].points) for line in web(scene)}
    assert drawn == {"A C", "B D", *CENTRE}
    assert "measured; ± 19 times in 20" in texts(scene)
    assert not any("misread" in text for text in texts(scene))


def test_the_web_is_under_the_fence_and_lighter_than_it() -> None:
    (scene,) = plan_sheets(quad())
    fence = [k for k, p in enumerate(scene.primitives) if p.layer == "fence" and p.space == "model"]
    lines = [k for k, p in enumerate(scene.primitives) if p.id.startswith("measured ") and p.space == "model"]
    assert max(lines) < min(fence)
    thick = [p.stroke_mm for p in scene.primitives if isinstance(p, Line) and p.layer == "fence" and p.space == "model"]
    assert max(line.stroke_mm for line in web(scene)) < min(thick) / 3


def test_points_carry_how_well_they_are_known_19_times_in_20_as_papers_write_it() -> None:
    for made in (quad(), example("house-and-tape")):
        (scene,) = plan_sheets(made)
        small, fits = Measures.of(made.settings).small, made.site.survey.adjusted.points
        within = {f"{fit.name} ± {small(2.4477 * fit.semi_major)}" for fit in fits if fit.semi_major > 0.001}
        assert len(within) >= 4
        assert within <= texts(scene)


def test_a_misread_tape_is_struck_through() -> None:
    (scene,) = plan_sheets(quad(1.0))
    struck = {p.id for p in scene.primitives if isinstance(p, Line) and p.id.startswith("measured ") and not p.dash}
    observed = quad(1.0).site.survey.network.observations
    assert [observed[int(name.split()[1]) - 1].points for name in struck] == [("A", "C")]
    assert "misread, or in doubt" in texts(scene)


@pytest.mark.parametrize("name", ["tansy-court", "house-and-tape", "corner-angles"])
def test_no_reading_runs_along_a_dimension_string(name: str) -> None:
    for scene in plan_sheets(example(name)):
        strings = [p for p in scene.primitives if isinstance(p, Line) and p.layer == "dimension" and p.space == "model"]
        for line in web(scene):
            for string in strings:
                if math.dist(string.a, string.b) > 10.0:
                    ends = [_off(p, string) for p in (line.a, line.b)]
                    assert max(ends) > 1.8 or math.dist(line.a, line.b) < 3.0


def _off(p: tuple[float, float], line: Line) -> float:
    (ax, ay), (bx, by) = line.a, line.b
    return abs((bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)) / math.dist(line.a, line.b)


def test_nothing_measured_nothing_drawn() -> None:
    for scene in plan_sheets(example("corner-lot")):
        assert not web(scene)
        assert not any(text.startswith("measured") or "± " in text for text in texts(scene))
