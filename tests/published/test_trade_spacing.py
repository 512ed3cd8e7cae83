"""Bays of printed worked examples, by the sum that the pocket and the plans share.

Contractors' and makers' pages: 100 ft of stick-built fence at 8 ft at most (the page tries 7.7 ft and gets 12.98 bays;
by arithmetic 13 bays of 92 5/16 in); a 150 ft wood privacy fence (19 bays of 94.74 in, 20 posts); aluminium panels
of 72 1/2 in, 100 ft (16 full and a last one of 40 in, or 17 of 70.59 in; 18 posts); split rail in 10 ft bays, 200 ft
(21 posts); a fall of 36 in over 40 ft and 5 panels (marks 0, 7.2, 14.4, 21.6, 28.8, 36 in). ASTM F567 clause 4.1: line
posts of chain link at most 10 ft apart measured parallel to the grade. State specifications of NRCS 382: barbed 14 ft
(Kentucky), high tensile 30 ft, with a stay 50 ft (Rhode Island), woven 14 ft between pull posts 330 ft apart (Tennessee).
Residential chain link of 20, 26, 80 and 50 ft at 10 ft: 1, 2, 7 and 4 line posts.

Lengths agree to half of the last digit printed; counts are exact.

sources: equal-bays, step-article, split, clest, f567, nrcs-382
"""

from __future__ import annotations

import itertools
import math

import pytest

from palewright.layout.bays import BayRules, divide
from palewright.layout.bays_spacing import spacing
from palewright.plan import pocket_step

IN = 0.0254
FT = 0.3048


def bays_in(marks: tuple[float, ...]) -> list[float]:
    return [(b - a) / IN for a, b in itertools.pairwise(marks)]


def test_a_hundred_feet_at_eight() -> None:
    bays = bays_in(spacing(100 * FT, 8 * FT))
    assert len(bays) == 13
    assert bays == pytest.approx([92.31] * 13, abs=0.005)
    assert bays[0] == pytest.approx(92 + 5 / 16, abs=1 / 32)


def test_a_hundred_and_fifty_feet_of_privacy_fence() -> None:
    marks = spacing(150 * FT, 8 * FT)
    assert len(marks) == 20
    assert bays_in(marks) == pytest.approx([94.74] * 19, abs=0.005)


def test_aluminium_panels_both_ways() -> None:
    last = bays_in(spacing(100 * FT, 72.5 * IN, rule="short-last"))
    assert last == pytest.approx([72.5] * 16 + [40.0], abs=0.005)
    even = spacing(100 * FT, 72.5 * IN)
    assert bays_in(even) == pytest.approx([70.59] * 17, abs=0.005)
    assert len(even) == len(last) + 1 == 18
    panels = divide(100 * FT, BayRules(8 * FT, rule="panels", module_m=72.5 * IN))
    assert (panels.bays, panels.cut) == (17, 1)
    assert bays_in((0.0, *panels.posts_m, 100 * FT)) == pytest.approx(last)


def test_step_marks_at_each_post() -> None:
    """A fall of 36 in over 40 ft and 5 panels: 7.2 in each, a post every 8 ft."""
    values = pocket_step(36 * IN, 40 * FT, 5).values
    assert values["step_m"] / IN == pytest.approx(7.2, abs=1e-9)
    assert [mark / IN for mark in values["marks_m"]] == pytest.approx([0.0, 7.2, 14.4, 21.6, 28.8, 36.0], abs=1e-9)
    assert values["spacing_m"] / FT == pytest.approx(8.0, abs=1e-9)


def test_split_rail_counts_bays_not_rails() -> None:
    assert len(spacing(200 * FT, 10 * FT)) == 21
    assert round(200 / 11 + 1) == 19  # the retail rule by length of rail is two posts short


@pytest.mark.parametrize(
    ("length_ft", "longest_ft", "line_posts"),
    [
        (1320, 14, 94),
        (1320, 30, 43),
        (1320, 50, 26),
        (330, 14, 23),
        (20, 10, 1),
        (26, 10, 2),
        (80, 10, 7),
        (50, 10, 4),
    ],
)
def test_line_posts_between_terminals(length_ft: float, longest_ft: float, line_posts: int) -> None:
    assert len(spacing(length_ft * FT, longest_ft * FT)) - 2 == line_posts


def test_four_woven_segments_of_a_quarter_mile() -> None:
    assert 4 * (len(spacing(1320 * FT / 4, 14 * FT)) - 2) == 92


@pytest.mark.parametrize("grade", [0.0, 0.05, 0.2, -0.2, 0.5])
def test_chain_link_is_spaced_parallel_to_the_grade(grade: float) -> None:
    """No bay above 10 ft along the slope, and one post fewer would be too few."""
    bays = bays_in(spacing(100 * FT, 10 * FT, grade=grade))
    along = [bay * math.hypot(1.0, grade) for bay in bays]
    assert max(along) <= 120.0 + 1e-6
    assert sum(along) / (len(along) - 1) > 120.0
