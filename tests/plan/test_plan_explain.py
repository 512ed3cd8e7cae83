"""What is said of a thing: every name has reasons, those of its own stretch and hole, in words."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from palewright import plan as engine
from palewright.cli.summary import reason_text
from palewright.errors import ProblemError
from palewright.model import Plan, Reason

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))


@cache
def made(name: str) -> Plan:
    path = next(path for path in EXAMPLES if path.stem == name)
    return engine.make_plan(*engine.load(path))


def said(name: str, thing: str) -> str:
    plan = made(name)
    return "\n".join(reason_text(reason, plan.settings) for reason in engine.explain(plan, thing))


@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_every_name_that_is_listed_has_a_reason_with_a_source(name):
    plan = made(name)
    codes = {item.code for item in plan.takeoff.items}  # two walls, two equal lots of brackets
    for thing in engine.things(plan):
        reasons = engine.explain(plan, thing)
        assert reasons, thing
        assert thing in codes or len(set(reasons)) == len(reasons), thing
        assert all(reason.source and reason.formula for reason in reasons), thing


@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_a_bay_is_explained_by_the_stretch_it_lies_in_and_by_no_other(name):
    plan = made(name)
    modules = {kind.name: kind.module_m for kind in plan.kinds}
    for bay in plan.design.bays:
        reasons = engine.explain(plan, f"bay {bay.number}")
        counts = [reason for reason in reasons if reason.quantity == "bays"]
        assert len(counts) == (0 if bay.kind == "gate" else 1)
        for reason in counts:
            first, last = reason.about.rpartition(", post ")[2].split(" to post ")
            stretch = [b for b in plan.design.bays if b.leg == bay.leg and b.kind != "gate"]
            begin = next(k for k, b in enumerate(stretch) if b.start == first)
            end = next(k for k, b in enumerate(stretch) if b.end == last)
            mine = stretch[begin : end + 1]
            assert bay in mine
            assert len(mine) == reason.value
            if modules[bay.fence] is None:  # a stretch of panels is measured between post faces
                total = dict(reason.inputs)["length between fixed posts_m"]
                level = math.fsum(b.length_m for b in mine)
                slopes = any(bay.run == run.name and run.profile is not None for run in plan.design.runs)
                assert level == pytest.approx(total, abs=1e-9) or (slopes and level < total)  # along the slope there


@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_a_post_is_explained_by_its_own_hole(name):
    plan = made(name)
    for post in plan.design.posts:
        found = {r.quantity: r.value for r in engine.explain(plan, f"post {post.label}") if r.about.endswith(" hole")}
        if post.hole is None:
            assert not found
        else:
            assert (found["hole diameter"], found["hole depth"]) == (post.hole.diameter_m, post.hole.depth_m)


def test_holes_of_tansy_court_are_as_typed_across_and_deep_by_the_custom():
    text = said("tansy-court", "post 3")
    assert "hole diameter = 10\"\n    the kind's rule\n    with fill concrete\n    source: as typed" in text
    assert "governs a third of the post in the ground" in text
    assert "part 0.333333" in text  # a pure number, not a length


def test_a_name_will_do_without_its_sort_where_only_one_thing_bears_it():
    plan = made("tansy-court")
    assert engine.explain(plan, "side gate") == engine.explain(plan, "gate side gate")
    assert engine.explain(plan, "w1") == engine.explain(plan, "post W1")
    with pytest.raises(ProblemError) as caught:
        engine.explain(plan, "7")
    assert caught.value.problems[0].hint == "one of: post 7, bay 7"


def test_units_and_sources_are_said_in_words():
    assert "bulking 1.25" in said("tansy-court", "spoil")
    assert "weight = 9,939 lb" in said("tansy-court", "concrete")
    assert 'misclosure = under 1/16"' in said("tansy-court", "boundary")
    assert "Washington Administrative Code 332-130-090 [wac332-130]" in said("tansy-court", "boundary")
    assert "need 176' 0\", waste 0.03, one holds 50' 0\"" in said("chain-link-run", "fabric.48in.11-1/2ga.50ft")
    assert "stopped by longest bay" in said("tansy-court", "post 18")
    assert "the zero reads 2' 0\"" in said("tansy-court", "string D")
    assert "why: two corners agree" in said("tansy-court", "boundary")
    reason = Reason("post 1", "chance that it is over side 4", "corner-not-found", "", "none")
    assert "= a corner of this side was not found: no chance" in reason_text(reason, made("tansy-court").settings)


@pytest.mark.parametrize(
    ("asked", "told"), [("corner NE", "5/8 in iron pin"), ("point SE", "none found"), ("SW", "side 4 = 83' 5 5/8\"")]
)
def test_a_corner_of_the_boundary_is_known_by_either_name(asked, told):
    """The calls as typed: S 85°39'15" W 83.47 ft is side 4, from SE to SW; 83.47 ft is 83' 5 5/8" on a tape."""
    assert told in said("tansy-court", asked)


def test_near_names_of_a_corner_are_listed_and_where_nothing_is_near_how_to_see_all():
    for asked, hint in (("corner NEE", "corner NE"), ("qqqqqq", "lists every name")):
        with pytest.raises(ProblemError) as caught:
            engine.explain(made("tansy-court"), asked)
        assert hint in caught.value.problems[0].hint
