"""A thousand runs on random ground, laid out as a job lays them out: what holds on every one of them.

Every bay is sampled at each centimetre and at the knots of its ground, between the places of its posts.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, run

from palewright.layout.rising_gates import Heights
from palewright.model import Design, HeightLine, Kind, Profile, RackRule, RunLimits, StepSpec

WAYS = ("racked", "stepped", "level-top", "grade", "mixed", "best", "")


def ground(rng: np.random.Generator, length: float) -> Profile:
    """Rolling ground with humps, dips and now and then a bank, up to one in three."""
    count = int(rng.integers(2, 40))
    s = np.unique(np.concatenate([[0.0, length], rng.uniform(0.0, length, count)]))
    slope = np.clip(rng.normal(0.0, 0.05) + np.cumsum(rng.normal(0.0, 0.02, len(s) - 1)), -0.33, 0.33)
    z = rng.uniform(-5.0, 300.0) + np.concatenate([[0.0], np.cumsum(slope * np.diff(s))])
    z += rng.normal(0.0, rng.choice([0.0, 0.02, 0.06]), len(s))
    return Profile("rear", tuple(s.tolist()), tuple(z.tolist()), tuple(np.full(len(s), 0.01).tolist()), ("spots",))


def fence(rng: np.random.Generator) -> Kind:
    least, most = float(rng.choice([0.0, 0.5, 2.0])), float(rng.choice([3.0, 6.0, 14.0]))
    rack = None if rng.random() < 0.4 else RackRule(float(rng.choice([6.0, 10.0, 24.0])) * IN, 72 * IN)
    family = str(rng.choice(["boards", "panels"]))
    return kind(values=(("least gap", least * IN), ("most gap", most * IN)), rack=rack, family=family)


def laid(rng: np.random.Generator) -> tuple[Design, Design, Profile, Kind, tuple[HeightLine, ...]]:
    """A run on its ground, the same on level ground, and what was asked."""
    long_ft = float(rng.uniform(6.0, 110.0))
    here, made = ground(rng, long_ft * FT), fence(rng)
    steps = (
        StepSpec(
            smallest_m=3 * IN,
            multiple_m=float(rng.choice([0.0, 0.02, 1 * IN])),
            largest_m=14 * IN,
            equal=bool(rng.random() < 0.5),
        )
        if rng.random() < 0.3
        else None
    )
    gates = (gate("side", 4, long_ft / 3, "A"),) if long_ft > 40 and rng.random() < 0.3 else ()
    ask = {"follows": str(rng.choice(WAYS)), "steps": steps, "gates": gates}
    if ask["follows"] == "level-top":  # panels come in one height and are refused
        made = replace(made, family="boards")
    cut = float(rng.uniform(0.0, long_ft * FT))
    lines = () if rng.random() < 0.5 else (_line(here, 0.0, cut, rng), _line(here, cut, long_ft * FT, rng))
    yard, kinds = points(A=(0, 0), B=(long_ft, 0)), {"fence": made}
    level = lay([run("rear", "A", "B", **ask)], yard, kinds=kinds)
    return _on(here, ask, yard, kinds, lines), level, here, made, lines


def _on(here: Profile, ask: dict, yard: tuple, kinds: dict, lines: tuple[HeightLine, ...]) -> Design:
    heights: Heights | None = None
    return lay(
        [run("rear", "A", "B", **ask)],
        yard,
        kinds=kinds,
        ground=lambda paths, called: [here],
        heights=heights,
        limits=(lambda *_: RunLimits(lines)) if lines else None,
    )


def _line(here: Profile, a: float, b: float, rng: np.random.Generator) -> HeightLine:
    """Own grade over one stretch."""
    s = np.array(here.stations_m)
    at = np.unique(np.concatenate([[a, b], s[(s > a) & (s < b)]]))
    z = np.interp(at, s, here.heights_m)
    most = float(rng.choice([76.0, 80.0, 96.0])) * IN
    return HeightLine("local", most, tuple(at.tolist()), tuple(z.tolist()))


@pytest.mark.parametrize("part", range(10))
def test_what_holds_on_any_ground(part: int) -> None:
    told = bays = 0
    for k in range(100):
        design, level, here, made, lines = laid(np.random.default_rng([part, k]))
        found = _bays(design, here, made, lines, (part, k))
        bays, told = bays + len(found), told + sum(found)
        _posts(design, here, made, (part, k))
        _places(design, level, made, (part, k))
        _moves(design, here, made, (part, k))
    assert bays > 400
    assert told < bays


def _bays(design: Design, here: Profile, made: Kind, lines: tuple[HeightLine, ...], where: tuple) -> list[bool]:
    """Gaps and legal heights hold everywhere, or the bay says how far they are missed. Whether anything is told."""
    stations = {post.label: post.xy[0] for post in design.posts}
    s, z = np.array(here.stations_m), np.array(here.heights_m)
    least, most = (float(made.value(key, 0.0)) for key in ("least gap", "most gap"))
    found = []
    for met in design.meetings[0].bays:
        bay = design.bays[met.bay - 1]
        a, b = stations[bay.start], stations[bay.end]
        at = np.unique(np.concatenate([np.arange(a, b, 0.01), s[(s > a) & (s < b)], [b]]))
        under = np.interp(at, s, z)
        room = np.interp(at, (a, b), met.bottom_m) - under
        if met.mode == "level-top":
            assert room[[0, -1]] == pytest.approx([made.bottom_gap_m] * 2, abs=1e-9), where
            room = np.full(2, made.bottom_gap_m)
        breaks = dict(met.breaks)
        found.append(bool(breaks))
        # a leaf is level above all ground of its bay: what stays open below it is told with the gate
        assert room.min() >= least - breaks.get("least-gap", 0.0) - 1e-8, where
        assert room.max() <= most + breaks.get("most-gap", 0.0) + 1e-8 or met.mode == "gate", where
        assert met.least.gap_m == pytest.approx(room.min(), abs=1e-8), where
        assert met.most.gap_m == pytest.approx(room.max(), abs=1e-8), where
        top = np.interp(at, (a, b), met.top_m) + made.height_m - made.top_m
        for line in lines:
            on = (at > line.stations_m[0] - 1e-9) & (at < line.stations_m[-1] + 1e-9)
            over = (top - np.interp(at, line.stations_m, line.heights_m))[on].max(initial=-np.inf) - line.most_m
            assert over <= breaks.get("legal-height", 0.0) + 1e-8, where
        if met.mode in ("racked", "stepped") and made.rack is not None:
            slope = abs(met.bottom_m[1] - met.bottom_m[0]) - breaks.get("rack", 0.0)
            assert slope / (b - a) <= math.tan(math.asin(made.rack.rise_m / made.rack.over_m)) + 1e-8, where
    said = {remark.slug for remark in design.remarks}
    for rule in {rule for met in design.meetings[0].bays for rule, _ in met.breaks}:
        assert f"ground-{rule}" in said, where
    return found


def _posts(design: Design, here: Profile, made: Kind, where: tuple) -> None:
    """Every post reaches the tops of its bays, and is as long as it stands plus what is buried."""
    posts = {post.label: post for post in design.posts}
    for height in design.meetings[0].posts:
        post = posts[height.post]
        assert height.ground_m == pytest.approx(np.interp(post.xy[0], here.stations_m, here.heights_m), abs=1e-9)
        assert post.hole is not None
        assert post.length_m == pytest.approx(height.top_m - height.ground_m + post.hole.in_ground_m, abs=1e-9), where
        assert post.length_m == pytest.approx(height.top_m - height.foot_m, abs=1e-9), where
        assert post.stock_m == 0.0 or post.stock_m >= post.length_m - 1e-6
        tops = [
            met.top_m[side]
            for met in design.meetings[0].bays
            for side, label in enumerate((design.bays[met.bay - 1].start, design.bays[met.bay - 1].end))
            if label == height.post
        ]
        assert height.top_m >= max(tops) + made.above(post.role) - made.top_m - 1e-9, where
        assert height.below_string_m is not None
        assert -1e-9 <= height.below_string_m <= 0.61


def _places(design: Design, level: Design, made: Kind, where: tuple) -> None:
    """Bays fill the run and none is longer than its longest; where nothing goes along the slope posts stand as on level."""
    total = sum(bay.length_m for bay in design.bays)
    assert total == pytest.approx(sum(bay.length_m for bay in level.bays), abs=1e-9), where
    for bay in design.bays:
        assert bay.length_m <= made.longest_m + 1e-9 or bay.kind == "gate", where
    follows = design.runs[0].follows
    if follows in ("stepped", "level-top"):
        assert [post.xy for post in design.posts] == [post.xy for post in level.posts], where
    for post, flat in zip(design.posts, level.posts, strict=False):
        if post.role == flat.role and post.hole is not None and flat.hole is not None:
            assert post.hole.depth_m >= flat.hole.depth_m - 1e-9, where


def _moves(design: Design, here: Profile, made: Kind, where: tuple) -> None:
    """A post moved as far as it may leaves no bay beside it longer than the longest, measured as its fence is measured.

    Ground that rises within a millimetre is the face of a wall: rails and mesh go past it from post to post.
    """
    s = np.array(here.stations_m)
    rise = np.where(np.diff(s) > 0.001, np.diff(here.heights_m), 0.0)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(s), rise))])
    level = design.runs[0].follows in ("stepped", "level-top")
    at = [post.xy[0] for post in design.posts]
    for k in range(1, len(at) - 1):
        move = design.posts[k].move
        if move is None:
            continue
        for spot, beside in ((at[k] - move.back_m, at[k + 1]), (at[k] + move.on_m, at[k - 1])):
            assert at[k - 1] < spot < at[k + 1], where
            ends = (spot, beside) if level else np.interp([spot, beside], s, along)
            assert abs(ends[1] - ends[0]) <= made.longest_m + 1e-6 or move.back_m == move.on_m == 0.0, where
