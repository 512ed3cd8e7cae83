"""A run along sides that begins and ends abreast of things, and names its corners for other runs."""

from __future__ import annotations

import pytest

from palewright import plan
from palewright.errors import JobError
from palewright.jobfile import read_text
from palewright.model import Plan

FOOT = 0.3048
JOB = """palewright: 1
job: {{title: T, tape: 100 ft, north: grid}}
points:
  SW: {{at: [0 ft, 0 ft]}}
  NW: {{at: [0 ft, 100 ft]}}
  NE: {{at: [80 ft, 100 ft]}}
  SE: {{at: [80 ft, 0 ft]}}
  left: {{at: [20 ft, 40 ft]}}
  right: {{at: [60 ft, 45 ft]}}
boundary: {{through: [SW, NW, NE, SE]}}
fences:
  f: {{kind: boards, board: 6 ft, good side: neighbour}}
runs:
  - {{name: rear, fence: f, sides: {sides}, inside boundary: {{post: 12 in}}, begins abreast of: {begins}, ends abreast of: right, call: {call}, follows: racked}}
  - {{name: left side, fence: f, through: [A, left], yard: left, follows: racked, ends: {{left: {{at wall: bracket}}}}}}
"""


def made(sides: str = "[1, 2, 3]", begins: str = "left", call: str = "[A, B, C, D]") -> Plan:
    return plan.make_plan(read_text(JOB.format(sides=sides, begins=begins, call=call)))


def test_ends_stand_abreast_and_inside_by_the_inset() -> None:
    design = made().design
    # worked by hand: post centres 12 in and half a 3 1/2 in post inside the line
    off = 1 + 1.75 / 12
    corners = [(off, 40), (off, 100 - off), (80 - off, 100 - off), (80 - off, 45)]
    legs = [leg for leg in design.legs if leg.run == "rear"]
    path = [legs[0].start, *(leg.end for leg in legs)]
    for (x, y), (wanted_x, wanted_y) in zip(path, corners, strict=True):
        assert x / FOOT == pytest.approx(wanted_x, abs=1e-9)
        assert y / FOOT == pytest.approx(wanted_y, abs=1e-9)


def test_another_run_shares_the_named_post() -> None:
    design = made().design
    first = design.posts[0]
    assert {run for run, _ in first.places} == {"rear", "left side"}
    assert first.role == "corner"
    side = next(run for run in design.runs if run.name == "left side")
    assert side.length_m / FOOT == pytest.approx(20 - 1 - 1.75 / 12, abs=1e-9)


def test_all_of_it_is_trial_while_the_line_is_not_located() -> None:
    assert [run.trial for run in made().design.runs] == [True, True]


@pytest.mark.parametrize(
    ("change", "slug"),
    [
        ({"call": "[A, B, C]"}, "call-count"),
        ({"sides": "all"}, "abreast-not-possible"),
        ({"begins": "'nobody'"}, "unknown-point"),
        ({"call": "[A, B, C, left]"}, "name-twice"),
        ({"sides": "[2, 3]", "begins": "[90 ft, 40 ft]", "call": "[A, B, C]"}, "abreast-not-possible"),
    ],
)
def test_what_cannot_be_is_said(change: dict[str, str], slug: str) -> None:
    with pytest.raises(JobError) as caught:
        made(**change)
    assert slug in [problem.slug for problem in caught.value.problems]
    assert all(problem.where.line for problem in caught.value.problems)


@pytest.mark.parametrize(
    ("inset", "off_in"),
    [
        ("footing: 2 in", 2 + 10 / 2),  # hole of a 4x4 10 in, of a 2 3/8 in pipe 9 1/2 in
        ("post: 6 in", 6 + 3.5 / 2),  # the 4x4 that the board fence shares is the thicker one
        ("face: 6 in", 6 + 3.5 / 2),
    ],
)
def test_a_post_shared_with_a_thicker_fence_keeps_the_inset_too(inset: str, off_in: float) -> None:
    text = JOB.format(sides="[1, 2, 3]", begins="left", call="[A, B, C, D]").replace("post: 12 in", inset)
    text = text.replace("fences:\n", "fences:\n  link: {kind: chain-link, fabric: 4 ft}\n")
    design = plan.make_plan(read_text(text.replace("{name: rear, fence: f,", "{name: rear, fence: link,"))).design
    leg = next(leg for leg in design.legs if leg.run == "rear")
    assert leg.start[0] / FOOT * 12 == pytest.approx(off_in, abs=1e-6)
    of, asked = inset.split(": ")
    for post in design.posts:
        if any(run == "rear" for run, _ in post.places):
            assert dict(post.inset)[of] >= int(asked.removesuffix(" in")) * FOOT / 12 - 1e-9
