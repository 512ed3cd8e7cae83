"""The sheet of what was measured: every reading has a number and a row, the doubted one is strong, ellipses to scale."""

from __future__ import annotations

import math

import pytest

from palewright import draw, jobfile, plan
from palewright.draw.network_sheet import giants, shown_fit, stretch
from palewright.draw.scene import Line, Polygon, Scene, Text
from palewright.model import Plan

FT = 0.3048
QUAD = {"A B": 100.02, "B C": 60.01, "C D": 99.98, "D A": 60.03, "A C": 116.65, "B D": 116.60}
CENTRE = {"A E": 58.31, "B E": 58.30, "C E": 58.33, "D E": 58.33}


def made(readings: dict[str, float]) -> Plan:
    rows = "".join(f"  - {{tape: [{', '.join(e.split())}], reads: {x} ft}}\n" for e, x in readings.items())
    text = (
        "palewright: 1\njob: {title: Bramble lot}\npoints: {D: {stands: old post, left of: [A, B]}}\n"
        f"measured:\n{rows}fences: {{f: {{kind: boards, good side: yard}}}}\n"
        "runs: [{name: r, fence: f, through: [A, B], yard: left, follows: racked}]\n"
    )
    return plan.make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))


def network(result: Plan) -> Scene:
    return next(scene for scene in draw.all_sheets(result) if scene.kind == "network")


def test_every_reading_has_its_number_on_the_drawing_and_in_the_table():
    scene = network(made(QUAD | CENTRE))
    drawn = {p.text for p in scene.primitives if isinstance(p, Text) and p.role == "tape" and p.space == "model"}
    listed = {p.text for p in scene.primitives if isinstance(p, Text) and p.space == "sheet" and p.text.isdigit()}
    assert drawn == {str(k + 1) for k in range(10)}
    assert drawn <= listed


def test_the_doubted_reading_is_drawn_strong_and_told_with_its_size():
    result = made(QUAD | CENTRE | {"A C": 117.65})
    scene = network(result)
    strong = {p.id for p in scene.primitives if isinstance(p, Line) and p.layer == "check" and p.stroke_mm > 0.8}
    assert {i for i in strong if i.startswith("reading")} == {"reading 5"}
    assert any("DOUBTED: off +12" in p.text for p in scene.primitives if isinstance(p, Text))


def test_an_ellipse_has_the_size_that_the_note_says():
    result = made(QUAD | CENTRE)
    scene, survey = network(result), result.site.survey
    denominator = next(d for d in (120, 240, 360, 480, 600) if f"1\" = {d // 12}'" in scene.alt)
    times = stretch(survey, denominator)
    words = " ".join(p.text for p in scene.primitives if isinstance(p, Text))
    assert f"{times} times larger" in words
    fit = next(f for f in shown_fit(survey).points if f.name == "C")
    ring = next(p for p in scene.primitives if isinstance(p, Polygon) and p.id == "ellipse C")
    longest = max(math.dist(a, b) for a in ring.points for b in ring.points)
    assert longest == pytest.approx(2.0 * fit.semi_major * times * 1000.0 / denominator, rel=0.01)


def test_a_job_without_measurements_has_no_such_sheet():
    text = (
        "palewright: 1\njob: {title: T}\npoints: {A: {at: [0 ft, 0 ft]}, B: {at: [50 ft, 0 ft]}}\n"
        "fences: {f: {kind: boards, good side: yard}}\nruns: [{name: r, fence: f, through: [A, B], yard: left}]\n"
    )
    bare = plan.make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))
    assert all(scene.kind != "network" for scene in draw.all_sheets(bare))


def test_a_table_that_leaves_no_room_gives_way_to_the_drawing():
    spots = {f"S{i}{j}": (20.0 * i, 18.0 * j + i * i) for i in range(5) for j in range(4)}
    names = list(spots)
    pairs = {(a, b): math.dist(spots[a], spots[b]) for k, a in enumerate(names) for b in names[k + 1 :]}
    rows = "".join(f"  - {{tape: [{a}, {b}], reads: {d:.2f} ft}}\n" for (a, b), d in pairs.items() if d < 50.0)
    text = (
        "palewright: 1\njob: {title: Many tapes}\n"
        "points: {S00: {at: [0 ft, 0 ft]}, S40: {at: [80 ft, 16 ft]}, S11: {left of: [S00, S40]}}\n"
        f"measured:\n{rows}fences: {{f: {{kind: boards, good side: yard}}}}\n"
        "runs: [{name: r, fence: f, through: [S00, S40], yard: left, follows: racked}]\n"
    )
    scene = network(plan.make_plan(jobfile.read_bytes(text.encode(), "job.yaml")))
    spread = [p.at for p in scene.primitives if isinstance(p, Text) and p.role == "thing"]
    assert len(spread) > len(spots) / 2
    assert max(math.dist(a, b) for a in spread for b in spread) > 80.0
    assert any("Too many readings" in p.text for p in scene.primitives if isinstance(p, Text))


def test_a_point_that_a_phone_alone_placed_does_not_shrink_the_ellipses_of_the_others():
    plain, text = made(QUAD | CENTRE), "  - {position: T, coordinates: [40 ft, 90 ft], with: phone}\n"
    rows = "".join(f"  - {{tape: [{', '.join(e.split())}], reads: {x} ft}}\n" for e, x in (QUAD | CENTRE).items())
    points = "A: {at: [0 ft, 0 ft]}, B: {at: [100.02 ft, 0 ft]}, D: {stands: old post, left of: [A, B]}"
    body = f"palewright: 1\njob: {{title: Bramble lot}}\npoints: {{{points}}}\nmeasured:\n{rows}{text}"
    result = plan.make_plan(jobfile.read_bytes(body.encode(), "job.yaml"))
    survey = result.site.survey
    assert [fit.name for fit in giants(survey)] == ["T"]
    assert giants(plain.site.survey) == []
    scene = network(result)
    ids = {p.id for p in scene.primitives if isinstance(p, Polygon)}
    assert {"ellipse C", "ellipse D", "ellipse E"} <= ids
    assert "ellipse T" not in ids
    ring = next(p for p in scene.primitives if isinstance(p, Polygon) and p.id == "ellipse C")
    assert max(math.dist(a, b) for a in ring.points for b in ring.points) > 2.0  # mm: it can be seen
    words = " ".join(p.text for p in scene.primitives if isinstance(p, Text))
    assert "Too large to draw" in words
    assert "T (±" in words
