"""Runs of wire on the phone, against the positions of every post worked out by hand from the layout's own stretches."""

from __future__ import annotations

from itertools import pairwise

import pytest
from tests.asbuilt.yards import plan_of

from palewright.asbuilt import known_abouts
from palewright.notation import parse_length
from palewright.papers import yard_pack

JOBS = ["field-fence-tennessee", "field-fence-virginia"]


@pytest.mark.parametrize("name", JOBS)
def test_a_run_is_walked_through_once_from_end_to_end(name: str) -> None:
    plan = plan_of(name)
    made, line = yard_pack(plan), plan.lines[0]
    (run,) = made["wire"]
    cards = {one["about"]: one for one in (*made["wire_posts"], *made["stretches"])}
    assert sorted(run["holes"]) == sorted(cards)
    assert set(run["holes"]) <= known_abouts(plan)
    labels = [cards[about].get("label", "-") for about in run["holes"]]
    for before, here, after in zip(labels, labels[1:], labels[2:], strict=False):
        if here == "-":
            one = next(s for s in line.stretches if (s.start, s.end) == (before, after))
            assert one.bays >= 1
    assert labels[0] == "E1"
    assert labels.count("-") == len(line.stretches)


@pytest.mark.parametrize("name", JOBS)
def test_line_posts_are_read_from_the_start_of_their_stretch(name: str) -> None:
    """The whole length of a stretch, divided by its bays: post k stands k parts from the start; every fourth is of wood."""
    plan = plan_of(name)
    for one, said in zip(plan.lines[0].stretches, yard_pack(plan)["stretches"], strict=True):
        reads = [parse_length(text).m for row in said["posts"] for text in row["reads"].split(" · ")]
        assert len(reads) == one.bays - 1
        for k, metres in enumerate(reads, 1):
            assert metres == pytest.approx(k * one.along_m / one.bays, abs=0.0254 / 16 + 1e-9)
        wood = [row["posts"] for row in said["posts"] if row["sort"] == "WOOD"]
        assert wood == [str(k) for k in range(4, one.bays, 4)]
        assert sum(row["sort"] == "WOOD" for row in said["posts"]) == one.wood


@pytest.mark.parametrize("name", JOBS)
def test_every_brace_wire_is_told_at_both_its_posts(name: str) -> None:
    plan = plan_of(name)
    posts = {one["label"]: one for one in yard_pack(plan)["wire_posts"]}
    for one in plan.lines[0].assemblies:
        for foot, head in one.diagonals:
            said = f"Brace wire: foot of {foot} to head of {head}"
            assert all(said in posts[label]["brace"] for label in (foot, head))
        for before, here in pairwise(one.posts):
            gap = here.station_m - before.station_m
            text = next(line for line in posts[here.label]["set"] if line.endswith("centre to centre"))
            assert parse_length(text.partition(" from ")[0]).m == pytest.approx(gap, abs=0.0254 / 16 + 1e-9)
        assert all(posts[post.label]["hole"] == '12" wide, 42" deep' for post in one.posts)
