"""Plans to draw: the one built by hand, every example, a long fence, Spanish in metres."""

from __future__ import annotations

import functools
import math
from dataclasses import replace
from pathlib import Path

import pytest
from tests.sample_plan import sample_plan

from palewright import draw, jobfile
from palewright.draw.scene import Scene
from palewright.model import Design, Plan
from palewright.plan import make_plan

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))
FT = 0.3048


def long_plan() -> Plan:
    """Two legs of 205 bays of 8 ft, a bend between them: too long for one sheet."""
    plan = sample_plan()
    post, bay, leg = plan.design.posts[1], plan.design.bays[0], plan.design.legs[0]
    step, half, turn = 8 * FT, 205, (0.3, -0.4)
    corner = (half * step * math.cos(turn[0]), half * step * math.sin(turn[0]))

    def xy(i: int) -> tuple[float, float]:
        if i <= half:
            return (i * step * math.cos(turn[0]), i * step * math.sin(turn[0]))
        return (corner[0] + (i - half) * step * math.cos(turn[1]), corner[1] + (i - half) * step * math.sin(turn[1]))

    posts, bays = [], []
    for i in range(2 * half + 1):
        legs = (0, 1) if i == half else (0,) if i < half else (1,)
        role = "corner" if i == half else "end" if i in (0, 2 * half) else "line"
        posts.append(
            replace(post, label=str(i + 1), number=i + 1, role=role, xy=xy(i), axis=turn[legs[-1]], legs=legs,
                    places=(("long", i * step),))
        )  # fmt: skip
        if i:
            bays.append(replace(bay, number=i, run="long", leg=int(i > half), start=str(i), end=str(i + 1), length_m=step,
                                clear_m=step - 0.09))  # fmt: skip
    legs2 = tuple(
        replace(leg, index=k, run="long", start=xy(k * half), end=xy((k + 1) * half), azimuth=math.pi / 2 - turn[k],
                length_m=half * step, from_m=k * half * step, posts=tuple(str(n) for n in range(k * half + 1, (k + 1) * half + 2)),
                bays=tuple(range(k * half + 1, (k + 1) * half + 1)))
        for k in (0, 1)
    )  # fmt: skip
    run = replace(plan.design.runs[0], name="long", legs=(0, 1), length_m=2 * half * step, fence_m=2 * half * step)
    return replace(
        plan,
        design=Design((run,), legs2, tuple(posts), tuple(bays), ()),
        stakeout=replace(plan.stakeout, strings=(), crossings=(), checks=(), ties=()),
        site=replace(plan.site, zones=(), removals=(), buildings=()),
    )


@functools.cache
def plan_named(name: str) -> Plan:
    if name == "by hand":
        return sample_plan()
    if name == "long":
        return long_plan()
    if name == "spanish":
        plan = plan_named("tansy-court")
        return replace(plan, settings=replace(plan.settings, language="es", print_style="metric", paper="a4"))
    return make_plan(jobfile.read(next(path for path in EXAMPLES if path.stem == name)))


_SHEETS: dict[int, tuple[Plan, list[Scene]]] = {}


def sheets(plan: Plan) -> list[Scene]:
    """Every sheet of a plan, drawn once; the plan is kept, so that no other comes to have its identity."""
    if id(plan) not in _SHEETS:
        _SHEETS[id(plan)] = plan, draw.all_sheets(plan)
    return _SHEETS[id(plan)][1]


NAMES = ("by hand", "spanish", *(path.stem for path in EXAMPLES))


@pytest.fixture(params=NAMES)
def any_plan(request: pytest.FixtureRequest) -> Plan:
    return plan_named(request.param)


@pytest.fixture
def hand_plan() -> Plan:
    return plan_named("by hand")


@pytest.fixture
def far_plan() -> Plan:
    return plan_named("long")
