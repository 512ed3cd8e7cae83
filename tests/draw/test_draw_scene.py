"""The scene: its JSON against its schema, true scale, hatches, and what docs/scene.md says of it."""

from __future__ import annotations

import dataclasses
import json
import math
import re
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.draw.conftest import sheets

from palewright import draw
from palewright.draw.scene import Arc, Circle, Hatch, Line, Polygon, Polyline, Scene, Text, View, hatch_lines
from palewright.model import Plan

DOCS = Path(__file__).parents[2] / "docs" / "scene.md"
KINDS = (Line, Polyline, Polygon, Circle, Arc, Text)


def test_every_sheet_fits_the_schema(any_plan: Plan) -> None:
    schema = draw.schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for scene in sheets(any_plan):
        data = json.loads(json.dumps(draw.to_json(scene)))
        validator.validate(data)
        assert len(data["primitives"]) == len(scene.primitives)


def test_schema_refuses_a_wrong_primitive(hand_plan: Plan) -> None:
    data = draw.to_json(draw.plan_sheets(hand_plan)[0])
    data["primitives"][0]["layer"] = "attic"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, draw.schema())


def test_docs_list_every_field_and_layer() -> None:
    text = DOCS.read_text(encoding="utf-8")
    for kind in KINDS:
        section = text.split(f"\n### {kind.__name__.lower()}\n")[1].split("\n### ")[0].split("\n## ")[0]
        common = text.split("\n## Every primitive\n")[1].split("\n### ")[0].split("\n## ")[0]
        for field in dataclasses.fields(kind):
            assert f"`{field.name}`" in section + common, (kind.__name__, field.name)
    for record in (Scene, View, Hatch):
        section = text.split(f"\n## {record.__name__}\n")[1].split("\n## ")[0]
        for field in dataclasses.fields(record):
            assert f"`{field.name}`" in section, (record.__name__, field.name)
    for layer in draw.LAYERS:
        assert f"`{layer}`" in text


def test_docs_name_no_field_that_is_gone() -> None:
    text = DOCS.read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([a-z_]+)` \|", text, flags=re.MULTILINE)
    known = {f.name for kind in (*KINDS, Scene, View, Hatch) for f in dataclasses.fields(kind)}
    known |= {"type", "hatch_lines", "palewright_scene"}
    assert set(rows) <= known | set(draw.LAYERS)


@given(
    st.floats(20, 20000), st.floats(-500, 500), st.floats(-500, 500), st.floats(-3.2, 3.2), st.floats(-300, 300),
    st.floats(-300, 300),
)  # fmt: skip
@settings(max_examples=100)
def test_view_is_undone_and_true_to_scale(den: float, x: float, y: float, turn: float, px: float, py: float) -> None:
    view = View(den, (x, y), turn, (100.0, 80.0), "")
    back = view.to_world((px, py))
    assert view.to_page(back) == pytest.approx((px, py), abs=1e-6)
    # one metre in any direction is 1000 / denominator millimetres on the page
    there = view.to_page((back[0] + 0.6, back[1] - 0.8))
    assert math.dist(there, (px, py)) == pytest.approx(1000.0 / den, rel=1e-6)


def test_posts_stand_at_the_stated_scale(any_plan: Plan) -> None:
    """The centre of every drawn post, carried back through the stated denominator, is the post of the plan."""
    (scene,) = [s for s in draw.plan_sheets(any_plan) if s.kind == "plan"]
    assert scene.view is not None
    posts = {post.label: post for post in any_plan.design.posts}
    seen = 0
    for p in scene.primitives:
        if p.layer != "post" or p.space != "model" or not posts[p.id].number:
            continue
        corners = p.points if isinstance(p, Polygon) else (p.centre,) if isinstance(p, Circle) else ()
        centre = (sum(c[0] for c in corners) / len(corners), sum(c[1] for c in corners) / len(corners))
        assert math.dist(scene.view.to_world(centre), posts[p.id].xy) < 1e-6
        seen += 1
    assert seen == sum(1 for post in posts.values() if post.number)


def test_scale_bar_is_true(any_plan: Plan) -> None:
    """Black and white fields of the bar: their length on paper times the denominator is what the figures say."""
    for scene in sheets(any_plan):
        assert scene.view is not None or scene.kind == "elevation"
        words = [p for p in scene.texts() if p.role == "scale-bar"]
        last = words[-1].text
        number, unit = last.split()
        metres = float(number) * (0.3048 if unit == "ft" else 1.0)
        bar = [p for p in scene.primitives if isinstance(p, Polygon) and p.space == "sheet" and p.layer == "sheet"]
        fields = [p for p in bar if abs(p.points[2][1] - p.points[0][1] - 1.6) < 1e-6 and len(p.points) == 4]
        length = max(q[0] for p in fields for q in p.points) - min(q[0] for p in fields for q in p.points)
        assert scene.view is not None
        assert length * scene.view.denominator / 1000.0 == pytest.approx(metres, rel=1e-9)


def test_hatch_lines_lie_inside_and_cover() -> None:
    ring = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)]
    for angle in (0.0, 0.5, math.pi / 4, 2.0):
        lines = hatch_lines(ring, Hatch(angle, 0.5))
        assert all(-1e-6 <= q[0] <= 20 + 1e-6 and -1e-6 <= q[1] <= 10 + 1e-6 for a, b in lines for q in (a, b))
        # length of parallel lines d apart over an area A is A / d, but for the edges
        total = sum(math.dist(a, b) for a, b in lines)
        assert total == pytest.approx(200.0 / 0.5, rel=0.06)
