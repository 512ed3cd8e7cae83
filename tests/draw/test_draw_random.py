"""Drawings of random jobs, judged from outside with shapely: no two words touch, every tape can be told and is in its table."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
import shapely.affinity
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.draw.conftest import NAMES, plan_named, sheets
from tests.draw.random_jobs import lots, planned, walks

from palewright import draw
from palewright.draw.elevation import _even
from palewright.draw.fonts import text_width
from palewright.draw.offsets import offsets
from palewright.draw.scene import Circle, Line, Polygon, Scene, Text
from palewright.draw.view import Extent, Field, fit, tiles
from palewright.draw.words import Words
from palewright.model import Plan
from palewright.notation import show_length

FEW = settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
JOBS = st.one_of(lots(), walks())


def ink(t: Text) -> shapely.Polygon:
    """A text from its baseline to the height of its capitals (0.714 of the size), turned as it is set."""
    width = text_width(t.text, t.size_mm, t.weight)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[t.anchor]
    flat = shapely.box(t.at[0] + left, t.at[1] - 0.714 * t.size_mm, t.at[0] + left + width, t.at[1])
    return shapely.affinity.rotate(flat, -t.angle, origin=t.at, use_radians=True)


def touching(scene: Scene) -> list[str]:
    texts = list(scene.texts())
    shapes = [ink(t) for t in texts]
    pairs = shapely.STRtree(shapes).query(shapes, predicate="intersects").T
    return [
        f"{texts[a].text!r} on {texts[b].text!r}"
        for a, b in pairs
        if a < b and shapes[a].intersection(shapes[b]).area > 1e-9
    ]


def legible(plan: Plan, scenes: list[Scene]) -> int:
    """What must hold on every sheet of every job; how many sheets there are."""
    for scene in scenes:
        assert touching(scene) == [], scene.title
        page = shapely.box(8.0, 8.0, scene.width_mm - 8.0, scene.height_mm - 8.0)
        for t in scene.texts():
            assert page.covers(ink(t)), (scene.title, t.text)
        frames(scene)
    tapes(plan, scenes)
    return len(scenes)


def frames(scene: Scene) -> None:
    """No frame of a detail lies on another, on a word of the sheet itself, or on a post of it."""
    rings = [
        p
        for p in scene.primitives
        if isinstance(p, Polygon) and p.space == "detail" and p.stroke_mm == 0.35 and p.layer == "label"
    ]
    boxes = [shapely.Polygon(p.points) for p in rings]
    assert all(not a.intersects(b) for a, b in itertools.combinations(boxes, 2))
    for t in scene.texts():
        if t.space == "model":
            assert not any(box.intersects(ink(t)) for box in boxes), t.text
    for p in scene.primitives:
        if p.layer == "post" and p.space == "model":
            at = (
                p.centre
                if isinstance(p, Circle)
                else p.points[0]
                if isinstance(p, Polygon)
                else p.a
                if isinstance(p, Line)
                else None
            )
            assert at is None or not any(box.contains(shapely.Point(at)) for box in boxes)


def tapes(plan: Plan, scenes: list[Scene]) -> None:
    """Every tape of the stake-out has one number, on its own line and away from all others, and one row that says it."""
    places = {point.name: point.xy for point in plan.site.points} | {post.label: post.xy for post in plan.design.posts}
    if plan.site.ring is not None:
        places |= {corner.name: corner.xy for corner in plan.site.ring.corners}
    expected = [
        show_length(c.diagonal_m, plan.settings.print_style, plan.settings.fraction) for c in plan.stakeout.checks
    ]
    for tie in plan.stakeout.ties:
        if tie.why != "overall":
            # a tie in line with a wall is its length along the wall; a post 5 mm beside that line is 3 um farther at 4 m
            assert math.dist(places[tie.start], places[tie.end]) == pytest.approx(tie.length_m, abs=1e-5)
            expected.append(show_length(tie.length_m, plan.settings.print_style, plan.settings.fraction))
    said: list[str] = []
    numbers: list[int] = []
    for scene in scenes:
        if scene.kind == "checks":
            rows = [t for t in scene.texts() if t.role == "table"]
            said += [t.text for t in rows if t.anchor == "end"]
            here = sorted(int(t.text) for t in scene.texts() if t.role == "tape")
            assert sorted(int(t.text) for t in rows if t.anchor == "middle") == here
            numbers += here
            attributable(scene)
    assert sorted(said) == sorted(expected)
    assert sorted(numbers) == list(range(1, len(expected) + 1))


def attributable(scene: Scene) -> None:
    """A circle stands on one line of tape alone, or its leader ends in a dot on one alone."""
    lines = {}
    for p in scene.primitives:
        if p.layer == "check" and p.space == "model" and isinstance(p, Line) and p.dash:
            lines[p.id] = shapely.LineString((p.a, p.b))
    rings = [p for p in scene.primitives if isinstance(p, Circle) and p.id.startswith("number ") and p.space == "model"]
    owners = set()
    for circle in (p for p in rings if p.radius_mm > 1.0):
        feet = [p.centre for p in rings if p.id == circle.id and p.radius_mm < 1.0]
        foot = shapely.Point(feet[0] if feet else circle.centre)
        near = sorted(lines, key=lambda name: lines[name].distance(foot))
        assert lines[near[0]].distance(foot) < 1e-6
        room = 0.8 if feet else circle.radius_mm
        assert all(lines[name].distance(foot) > room for name in near[1:]), (scene.title, circle.id, near[:2])
        assert all(lines[name].distance(shapely.Point(circle.centre)) > circle.radius_mm for name in near[1:])
        owners.add(near[0])
    assert len(owners) == len(lines)


@FEW
@given(JOBS)
def test_random_jobs_are_legible(text: str) -> None:
    plan = planned(text)
    assert legible(plan, draw.all_sheets(plan)) >= 1


@pytest.mark.parametrize("name", [name for name in NAMES if name != "by hand"])
def test_examples_are_legible(name: str) -> None:
    assert legible(plan_named(name), sheets(plan_named(name))) >= 1


@FEW
@given(lots())
def test_offsets_are_what_was_asked_for(text: str) -> None:
    """The distance printed at a side is the least that the fence has to that side, and no less than was asked for."""
    plan = planned(text)
    ring = plan.site.ring
    assert ring is not None
    (run,) = plan.design.runs
    asked = {"face": 8 * 0.0254, "post": 6 * 0.0254, "footing": 3 * 0.0254}[run.inside]
    found = offsets(plan)
    lot = shapely.Polygon([corner.xy for corner in ring.corners])
    for offset in found:
        assert offset.what == run.inside
        assert offset.distance_m >= asked - 1e-4
        for fence, side in offset.spots:
            assert lot.exterior.distance(shapely.Point(side)) < 1e-6
            assert math.dist(fence, side) == pytest.approx(lot.exterior.distance(shapely.Point(fence)), abs=0.02)
    said = [t.text for t in draw.plan_sheets(plan)[0].texts() if t.role == "offset"]
    words = Words(plan.settings)
    assert {text.split()[-1] for text in said} <= {words.length(offset.distance_m).split()[-1] for offset in found}


@given(st.lists(st.floats(0.5, 9.0), min_size=1, max_size=9), st.floats(9.0, 30.0))
@settings(max_examples=200, deadline=None)
def test_rows_are_few_and_even(sizes: list[float], room: float) -> None:
    """Against every way to cut a short list: no fewer groups would do, and none of as many has a smaller largest group."""
    groups = _even(sizes, room)
    assert [k for a, b in groups for k in range(a, b)] == list(range(len(sizes)))
    largest = max(sum(sizes[a:b]) for a, b in groups)
    fits = {}
    for cuts in itertools.chain.from_iterable(
        itertools.combinations(range(1, len(sizes)), n) for n in range(len(sizes))
    ):
        ends = [0, *cuts, len(sizes)]
        tallest = max(sum(sizes[a:b]) for a, b in itertools.pairwise(ends))
        if tallest <= room:
            fits.setdefault(len(cuts) + 1, []).append(tallest)
    assert len(groups) == min(fits)
    assert largest <= min(fits[len(groups)]) + 1e-3


@given(st.floats(0.0, 6.28), st.floats(300.0, 2500.0), st.floats(-1.2, 1.2))
@settings(max_examples=60, deadline=None)
def test_tiles_cover_the_fence_and_are_few(turn: float, length: float, bend: float) -> None:
    """Two straight legs on tiles: all covered, each tile used, and no more tiles than a grid round the middle takes."""
    a = (0.0, 0.0)
    b = (length * math.cos(turn), length * math.sin(turn))
    c = (b[0] + length * math.cos(turn + bend), b[1] + length * math.sin(turn + bend))
    xs, ys = zip(a, b, c, strict=True)
    field, overlap = Field(8.0, 8.0, 211.0, 184.0), 9.0
    extent = Extent(min(xs), min(ys), max(xs), max(ys))
    scale = fit(Extent(0.0, 0.0, 10.0, 10.0), field, "feet-inches", largest=480.0)
    found = tiles([[a, b, c]], extent, field, scale, overlap)
    path = shapely.LineString([a, b, c])
    metres = scale.denominator / 1000.0
    boxes = [shapely.box(e.left, e.bottom, e.right, e.top) for e in found]
    assert all(path.intersects(box) for box in boxes)
    # a sheet shows the overlap round its tile
    assert shapely.union_all([box.buffer(overlap * metres, join_style="mitre") for box in boxes]).covers(path)
    wide, tall = (field.width - 2 * overlap) * metres, (field.height - 2 * overlap) * metres
    across, down = max(1, math.ceil(extent.width / wide - 1e-9)), max(1, math.ceil(extent.height / tall - 1e-9))
    left, low = extent.centre[0] - across * wide / 2, extent.centre[1] - down * tall / 2
    grid = [
        shapely.box(left + i * wide, low + j * tall, left + (i + 1) * wide, low + (j + 1) * tall)
        for i in range(across)
        for j in range(down)
    ]
    assert len(found) <= sum(path.intersects(box) for box in grid)
