"""DXF, read back with ezdxf: audit clean, units, layers, entities counted against the scene, posts where the plan has them."""

from __future__ import annotations

import collections
import io
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from palewright import draw
from palewright.draw.dims import stretches
from palewright.draw.scene import Arc, Circle, Line, Polygon, Polyline, Text
from palewright.draw.words import Words
from palewright.model import Plan

FT = 0.3048
ROOT = Path(__file__).parents[2]


def read(plan: Plan) -> Any:
    return ezdxf.read(io.StringIO(draw.dxf_text(plan)))


def test_audit_is_clean_and_units_are_said(any_plan: Plan) -> None:
    doc = read(any_plan)
    audit = doc.audit()
    assert not audit.errors
    assert not audit.fixes
    metric = any_plan.settings.print_style == "metric"
    assert doc.header["$INSUNITS"] == (6 if metric else 2)  # DXF reference: 2 feet, 6 metres
    assert doc.header["$MEASUREMENT"] == (1 if metric else 0)


def test_entities_are_those_of_the_scene(any_plan: Plan) -> None:
    expected: collections.Counter[tuple[str, str]] = collections.Counter()
    for p in draw.model_scene(any_plan).primitives:
        match p:
            case Line():
                expected[p.layer, "LINE"] += 1
            case Polyline():
                expected[p.layer, "LWPOLYLINE"] += 1
            case Polygon():
                expected[p.layer, "LWPOLYLINE"] += p.stroke_mm > 0
                expected[p.layer, "HATCH"] += p.hatch is not None or p.fill not in ("", "#ffffff")
            case Circle():
                expected[p.layer, "CIRCLE"] += 1
            case Arc():
                expected[p.layer, "ARC"] += 1
            case Text():
                expected[p.layer, "TEXT"] += 1
    doc = read(any_plan)
    found = collections.Counter((e.dxf.layer, e.dxftype()) for e in doc.modelspace() if e.dxf.layer != "sheet")
    assert found == +expected
    assert all(e.dxf.layer in doc.layers for e in doc.modelspace())


def test_posts_are_closed_true_size_and_in_place(any_plan: Plan) -> None:
    unit = 1.0 if any_plan.settings.print_style == "metric" else FT
    square = [p for p in any_plan.design.posts if p.number and not p.round]
    rings = list(read(any_plan).modelspace().query('LWPOLYLINE[layer=="post"]'))
    assert len(rings) == len(square)
    for post, ring in zip(square, rings, strict=True):
        points = [(x * unit, y * unit) for x, y in ring.get_points("xy")]
        assert ring.closed
        centre = (sum(p[0] for p in points) / 4, sum(p[1] for p in points) / 4)
        assert math.dist(centre, post.xy) < 1e-6
        sides = sorted((math.dist(points[0], points[1]), math.dist(points[1], points[2])))
        assert sides == pytest.approx(sorted((post.width_m, post.depth_m)), abs=1e-6)


def test_holes_are_circles_of_their_diameter(any_plan: Plan) -> None:
    unit = 1.0 if any_plan.settings.print_style == "metric" else FT
    circles = [
        (c.dxf.center.x * unit, c.dxf.center.y * unit, c.dxf.radius * unit)
        for c in read(any_plan).modelspace().query('CIRCLE[layer=="hole"]')
    ]
    for post in any_plan.design.posts:
        if post.hole is not None:
            x, y, r = min(circles, key=lambda c: (math.dist(c[:2], post.xy) > 1e-6, c[2]))
            assert math.dist((x, y), post.xy) < 1e-6
            assert r == pytest.approx(post.hole.diameter_m / 2, abs=1e-6)


def test_gate_swings_are_arcs_of_the_leaf(hand_plan: Plan) -> None:
    arcs = list(read(hand_plan).modelspace().query('ARC[layer=="gate"]'))
    leaves = sorted(gate.leaf_m for gate in hand_plan.design.gates for _ in range(gate.leaves))
    assert sorted(arc.dxf.radius * FT for arc in arcs) == pytest.approx(leaves, rel=1e-9)
    for arc in arcs:
        sweep = (arc.dxf.end_angle - arc.dxf.start_angle) % 360.0
        assert sweep == pytest.approx(90.0, abs=1e-6)


def test_a_drawing_without_north_is_titled_local(any_plan: Plan) -> None:
    texts = [e.dxf.text for e in read(any_plan).modelspace().query('TEXT[layer=="sheet"]')]
    assert texts[0].startswith("LOCAL: ") == (not any_plan.settings.north)
    assert any("SURVEY" in text or "LEVANTAMIENTO" in text for text in texts)


def test_same_bytes_twice(hand_plan: Plan) -> None:
    assert draw.dxf_text(hand_plan) == draw.dxf_text(hand_plan)


def test_same_bytes_whatever_the_hash_seed() -> None:
    """Each process orders its sets of words anew; no drawing may show it."""
    code = (
        "import hashlib; from tests.sample_plan import sample_plan; from palewright import draw, jobfile;"
        "from palewright.plan import make_plan; wire = make_plan(jobfile.read('examples/field-fence-virginia.yaml'));"
        "print(*(hashlib.sha256(t.encode()).hexdigest() for plan in (sample_plan(), wire)"
        " for t in (draw.dxf_text(plan), *map(draw.to_svg, draw.all_sheets(plan)))))"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT,
            env=os.environ | {"PYTHONHASHSEED": str(k)},
        ).stdout
        for k in range(4)
    }  # fmt: skip
    assert len(said) == 1


def test_opening_figures_span_the_posts(hand_plan: Plan) -> None:
    """The extension lines beside a gate stand at the centres of its posts, so that a string adds up to its leg."""
    scene = draw.model_scene(hand_plan)
    assert scene.view is not None
    lines = [p for p in scene.primitives if isinstance(p, Line) and p.layer == "dimension"]
    feet = [scene.view.to_world(q) for p in lines for q in (p.a, p.b)]
    at = {post.label: post.xy for post in hand_plan.design.posts}
    for gate in hand_plan.design.gates:
        apart = [math.dist(a, b) for a in feet for b in feet]
        assert min(abs(d - math.dist(*(at[label] for label in gate.posts))) for d in apart) < 1e-6


def test_the_figures_of_a_string_add_up_to_its_leg(any_plan: Plan) -> None:
    """A gate counts between the centres of its posts; the clear opening in brackets is less than that."""
    words = Words(any_plan.settings)
    gates = {bay.number: bay for bay in any_plan.design.bays if bay.kind == "gate"}
    for leg in any_plan.design.legs:
        pieces = stretches(any_plan, leg, words)
        assert [piece.start for piece in pieces[1:]] == [piece.end for piece in pieces[:-1]]
        assert (pieces[0].start, pieces[-1].end) == (leg.posts[0], leg.posts[-1])
        shown = [gates[number] for number in leg.bays if number in gates]
        for bay, piece in zip(shown, (piece for piece in pieces if piece.gate), strict=True):
            assert piece.texts[0].startswith(words.length(bay.length_m))
            assert bay.clear_m < bay.length_m
