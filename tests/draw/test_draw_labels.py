"""Nothing overlaps, nothing is cut off: every text of every sheet against every other and against what it must not touch."""

from __future__ import annotations

import itertools
import math

import pytest
from tests.draw.conftest import sheets

from palewright import draw
from palewright.draw.fonts import text_width
from palewright.draw.place import Box, boxes_meet
from palewright.draw.scene import Arc, Circle, Line, Polygon, Polyline, Scene, Text
from palewright.model import Plan

CAP, DESCENT = 0.714, 0.0
"""Capitals and figures reach from the baseline to 0.714 of the size."""


def box(t: Text) -> Box:
    """The ink of a text: its own set width (not the width the layout assumed), baseline to capitals."""
    width = text_width(t.text, t.size_mm, t.weight)
    ux, uy = math.cos(t.angle), -math.sin(t.angle)
    shift = {"start": width / 2, "middle": 0.0, "end": -width / 2}[t.anchor]
    up = CAP / 2 * t.size_mm
    return Box(t.at[0] + ux * shift + uy * up, t.at[1] + uy * shift - ux * up, ux, uy, width / 2, CAP / 2 * t.size_mm)


def segments(scene: Scene, layers: set[str]) -> list[Box]:
    out = []
    for p in scene.primitives:
        if p.layer not in layers or p.space != "model":
            continue
        chain: tuple[tuple[float, float], ...] = ()
        if isinstance(p, Line):
            chain = (p.a, p.b)
        elif isinstance(p, Polyline):
            chain = p.points
        elif isinstance(p, Polygon):
            chain = (*p.points, p.points[0])
        elif isinstance(p, Circle):
            out.append(Box(*p.centre, 1.0, 0.0, p.radius_mm, p.radius_mm))
        elif isinstance(p, Arc):
            turns = [p.start + p.sweep * k / 12 for k in range(13)]
            chain = tuple(
                (p.centre[0] + p.radius_mm * math.cos(t), p.centre[1] - p.radius_mm * math.sin(t)) for t in turns
            )
        for a, b in itertools.pairwise(chain):
            length = math.dist(a, b)
            if length > 1e-9:
                u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
                out.append(Box((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, *u, length / 2, 0.01))
    return out


def overlaps(scene: Scene) -> list[str]:
    """Texts that overlap another text, or a post, gate, stake or fence line."""
    found = []
    texts = [(t, box(t)) for t in scene.texts()]
    for (a, ba), (b, bb) in itertools.combinations(texts, 2):
        if boxes_meet(ba, bb):
            found.append(f"{a.text!r} ({a.role}) on {b.text!r} ({b.role})")
    layers = {"post", "gate"} | ({"string", "fence"} if scene.kind in ("plan", "stakeout") else set())
    hard = segments(scene, layers)
    for t, bt in texts:
        if t.space == "model" and t.role != "match":
            found += [f"{t.text!r} ({t.role}) on a line at {h.x:.1f}, {h.y:.1f}" for h in hard if boxes_meet(bt, h)]
    return found


def test_no_overlap_on_any_sheet(any_plan: Plan) -> None:
    for scene in sheets(any_plan):
        assert overlaps(scene) == [], scene.title


def test_no_overlap_on_tiles(far_plan: Plan) -> None:
    for scene in sheets(far_plan):
        assert overlaps(scene) == [], scene.title


def test_the_overlap_test_sees_an_overlap(hand_plan: Plan) -> None:
    scene = draw.plan_sheets(hand_plan)[0]
    first = next(t for t in scene.texts() if t.role == "post-label")
    moved = Text(layer="label", text="99", at=(first.at[0] + 0.5, first.at[1]), size_mm=3.1)
    crowded = Scene(scene.width_mm, scene.height_mm, "t", (*scene.primitives, moved), scene.view)
    assert overlaps(crowded)


def test_every_text_is_on_the_page(any_plan: Plan) -> None:
    for scene in sheets(any_plan):
        for t in scene.texts():
            for x, y in box(t).corners():
                assert 8.0 <= x <= scene.width_mm - 8.0, (scene.title, t.text)
                assert 8.0 <= y <= scene.height_mm - 8.0, (scene.title, t.text)


def test_sheet_texts_do_not_cross_the_ruling(any_plan: Plan) -> None:
    """Title strip, notes and key stay in their cells: no sheet text crosses a sheet line."""
    for scene in sheets(any_plan):
        lines = []
        for p in scene.primitives:
            if p.layer == "sheet" and isinstance(p, Line) and p.space == "sheet":
                lines.append((p.a, p.b))
            if p.layer == "sheet" and isinstance(p, Polygon) and len(p.points) == 4 and not p.fill:
                lines += list(itertools.pairwise((*p.points, p.points[0])))
        for t in scene.texts():
            if t.space != "sheet" or t.role == "north":
                continue
            for a, b in lines:
                length = math.dist(a, b)
                u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
                line = Box((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, *u, length / 2, 0.01)
                assert not boxes_meet(box(t), line), (scene.title, t.text)


def test_every_post_is_numbered_once(any_plan: Plan) -> None:
    for scene in sheets(any_plan):
        if scene.kind in ("plan", "stakeout"):
            said = sorted(t.text for t in scene.texts() if t.role == "post-label")
            assert said == sorted(post.label for post in any_plan.design.posts)


def test_every_post_is_numbered_somewhere_on_tiles(far_plan: Plan) -> None:
    said = {t.text for s in draw.plan_sheets(far_plan) for t in s.texts() if t.role == "post-label"}
    assert said == {post.label for post in far_plan.design.posts}


def test_every_crossing_and_stake_is_named(any_plan: Plan) -> None:
    scenes = [s for s in sheets(any_plan) if s.kind == "stakeout"]
    texts = [t for s in scenes for t in s.texts()]
    readings = {t.id for t in texts if t.role == "reading"}
    assert {f"{c.strings[0]} {c.strings[1]}" for c in any_plan.stakeout.crossings} <= readings
    stakes = {s.label for string in any_plan.stakeout.strings for s in string.stakes if not s.refused}
    assert {t.text for t in texts if t.role == "stake"} == stakes


@pytest.mark.parametrize("role", ["post-label"])
def test_hole_labels_are_large_enough(any_plan: Plan, role: str) -> None:
    """Figures at least 2.2 mm high; no type on a sheet smaller than 2.4 mm."""
    for scene in sheets(any_plan):
        for t in scene.texts():
            assert t.size_mm >= 2.4
            if t.role == role:
                assert t.size_mm * CAP >= 2.2
