"""A field fence worked by hand, and laws that every line of wire keeps.

The field: 900, 800 and 600 ft with inside corners of 70 and 110 degrees, one gate of 16 ft whose near edge is 300 ft past
the first corner, gate posts 8 in wide. Gate posts are then at 1,200 ft less 4 in, and 16 ft 8 in farther.

Tennessee, single H (bays to 14 ft, pulls to 330 ft, rails of 8 ft): 900 is 3 pulls of 300; 299.667 to the gate is one; the
483.667 behind it are 2 of 241.833; 600 is 2 of 300. Between a post that is pulled and the next brace 8 ft go off, at a pull
assembly 4 ft on each side: 288, 292, 288 | 283.667 | 229.833, 229.833 | 288, 288 ft, by 14 rounded up 21 four times, 17
twice, 21 twice: 160 bays, 152 line posts. Posts of braces: ends 2 and 2, four pull assemblies 2 each, corners 3 each, gate
posts 2 each, 22 in all; rails 2 + 4 + 4 + 2 = 12. Wire from tie to tie: 304, 308, 304, 299.667, 245.833 twice, 304 twice,
with 2 ft at each end and a foot for each splice: 8 rolls of 330 ft. The other three in the same way.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.wire_builder import FT, laid, planned, rules, straight

from palewright.errors import JobError
from palewright.layout.line import Role
from palewright.layout.line_ground import Way, dips_and_rises
from palewright.layout.line_posts import line_posts, post_table
from palewright.layout.line_records import Opening, line_counts, line_plan
from palewright.layout.line_sizes import post_length
from palewright.supply.line import rolls_for, wire_rolls

TENNESSEE = "tennessee 2002"
VIRGINIA = "virginia 2007, ohio dot 607"


def field() -> Way:
    """900, 800 and 600 ft, turning left by 110 and 70 degrees."""
    at, heading, path = np.zeros(2), 0.0, [np.zeros(2)]
    for length, turn in ((900.0, 110.0), (800.0, 70.0), (600.0, 0.0)):
        at = at + length * FT * np.array([math.cos(heading), math.sin(heading)])
        path.append(at)
        heading += math.radians(turn)
    return Way.of(np.array(path))


def gate() -> Opening:
    near = (1200.0 - 4.0 / 12.0) * FT
    return Opening("field gate", 16 * FT, near, near + (16 + 8 / 12) * FT)


@pytest.mark.parametrize(
    ("documents", "brace", "bays", "braced_posts", "rails", "wires", "wood"),
    [
        (TENNESSEE, "single", [21, 21, 21, 21, 17, 17, 21, 21], 22, 12, 16, 38),
        (TENNESSEE, "double", [20, 21, 20, 20, 16, 16, 20, 20], 34, 24, 32, 31),
        (VIRGINIA, "single", [27, 27, 18, 29, 36], 16, 9, 10, 31),
        (VIRGINIA, "double", [26, 26, 17, 28, 35], 25, 18, 20, 30),
    ],
)
def test_the_field_by_hand(
    documents: str, brace: str, bays: list[int], braced_posts: int, rails: int, wires: int, wood: int
) -> None:
    which = rules(rules=documents, brace=brace)
    line = planned(field(), which, gates=(gate(),))
    assert [one.bays for one in line.stretches] == bays
    assert sum(len(one.posts) for one in line.assemblies) == braced_posts
    assert sum(one.rails for one in line.assemblies) == line.count("rail") == rails
    assert sum(len(one.diagonals) for one in line.assemblies) == line.count("diagonal") == wires
    assert (line.count("wood"), line.count("wood") + line.count("steel")) == (wood, sum(bays) - len(bays))
    need, rolls = rolls_for(line.pulls_m, 330 * FT, 2 * FT, 1 * FT)
    assert rolls == 8
    assert need / FT > 2310
    assert sum(roll.what == "woven-wire" for roll in wire_rolls(line)) == 8


def test_seven_rolls_are_as_long_as_the_field_and_too_few() -> None:
    assert 2300 / 330 < 7
    line = planned(field(), rules(rules=TENNESSEE, brace="none"), gates=(gate(),))
    assert line.wire_m / FT == pytest.approx(2300 - 16 - 8 / 12)
    assert rolls_for(line.pulls_m, 330 * FT, 2 * FT, 1 * FT)[1] == 8


def test_stretches_of_tennessee_by_hand() -> None:
    line = planned(field(), rules(rules=TENNESSEE, brace="single"), gates=(gate(),))
    feet = [one.along_m / FT for one in line.stretches]
    assert feet == pytest.approx([288, 292, 288, 283 + 2 / 3, 229 + 5 / 6, 229 + 5 / 6, 288, 288])
    assert [pull / FT for pull in line.pulls_m] == pytest.approx(
        [304, 308, 304, 299 + 2 / 3, 245 + 5 / 6, 245 + 5 / 6, 304, 304]
    )
    assert [(one.start, one.end) for one in line.stretches][:4] == [
        ("B1", "P1a"), ("P1b", "P2a"), ("P2b", "B2"), ("B3", "B4")
    ]  # fmt: skip
    first = line.stretches[0].running
    assert [(one.station_m / FT, one.post, one.past_m / FT) for one in first] == [
        (pytest.approx(100), 6, pytest.approx(92 - 6 * 288 / 21)),
        (pytest.approx(200), 14, pytest.approx(192 - 14 * 288 / 21, abs=1e-6)),
    ]


def test_a_brace_wire_goes_from_the_foot_of_the_pulled_post_to_the_head_of_the_brace_post() -> None:
    line = planned(field(), rules(rules=TENNESSEE, brace="double"), gates=(gate(),))
    by_label = {one.label: one for one in line.assemblies}
    assert by_label["E1"].diagonals == (("E1", "B1"), ("B1", "B2"))
    assert by_label["P1"].diagonals == (("P1a", "P1b"), ("P1b", "P1c"), ("P1c", "P1b"), ("P1b", "P1a"))
    corner = by_label["C1"]
    assert [post.label for post in corner.posts] == ["B3", "B4", "C1", "B5", "B6"]
    assert corner.diagonals == (("C1", "B4"), ("B4", "B3"), ("C1", "B5"), ("B5", "B6"))
    assert math.degrees(math.pi - abs(corner.turn)) == pytest.approx(70)


def test_a_gate_near_a_corner_shares_its_brace() -> None:
    which = rules(rules=TENNESSEE, brace="single")
    for room, posts, rails in ((7.0, 0, 1), (14.0, 1, 2), (30.0, 2, 2)):
        opening = Opening("gate", 16 * FT, room * FT, (room + 16.5) * FT)
        line = planned(straight(300), which, gates=(opening,))
        ends = [one for one in line.assemblies if one.station_m <= opening.from_m + 0.01]
        assert sum(len(one.posts) for one in ends) == 2 + posts
        assert sum(one.rails for one in ends) == rails
        assert sum(len(one.diagonals) for one in ends) == 2
        assert sum(one.rails for one in line.assemblies) == line.count("rail")


def test_struts_take_no_post_in_the_line() -> None:
    line = planned(straight(3000), rules(rules="fg2 mild", longest_bay=3.5))
    assert line.count("strut") == 2 * len(line.pulls_m) == 14
    assert line.count("rail") == 0
    assert max(line.pulls_m) <= 150.0


paths = st.lists(
    st.tuples(st.floats(30.0, 900.0), st.floats(-2.6, 2.6)), min_size=1, max_size=7
)  # lengths [m] and turns [rad]


def path_of(legs: list[tuple[float, float]]) -> np.ndarray:
    at, heading, path = np.zeros(2), 0.0, [np.zeros(2)]
    for length, turn in legs:
        at = at + length * np.array([math.cos(heading), math.sin(heading)])
        path.append(at)
        heading += turn
    return np.array(path)


@settings(max_examples=150, deadline=None)
@given(
    paths,
    st.sampled_from(["none", "single", "double", "by pull", "strut"]),
    st.floats(2.0, 12.0),
    st.floats(40.0, 500.0),
    st.sampled_from(["0", "1", "4"]),
    st.integers(0, 2**31),
)
def test_laws_of_a_line(
    legs: list[tuple[float, float]], brace: str, bay: float, pull: float, wood: str, seed: int
) -> None:
    """Bays and pulls within their limits, nothing left out and nothing twice, records and arrays count alike."""
    path = path_of(legs)
    which = rules(brace=brace, longest_bay=bay, longest_pull=pull, wood_every=wood)
    flat = Way.of(path)
    s = np.unique(np.concatenate([flat.at, np.linspace(0.0, flat.at[-1], 60)]))
    z = np.random.default_rng(seed).normal(0.0, 1.5, len(s)).cumsum()
    for way in (flat, Way.of(path, s, z)):
        line = laid(way, which)
        assert (line.spacing <= bay + 1e-9).all()
        assert (np.diff(line.along) <= pull + 1e-9).all()
        apart = np.diff(line_posts(line, which).along)
        assert apart.min() > 0.005
        assert apart.max() <= max(bay, 8 * FT) + 1e-9
        assert apart.sum() == pytest.approx(way.along[-1])
        made = line_plan("r", line, which, (), False, None)
        held = sum(len(one.posts) for one in made.assemblies)
        assert held + line.posts == len(apart) + 1
        assert sum(one.rails for one in made.assemblies) == made.count("rail")
        assert sum(len(one.diagonals) for one in made.assemblies) == made.count("diagonal")
        assert sum(one.wood + one.steel for one in made.stretches) == made.count("wood") + made.count("steel")
        table = post_table(line, which)
        assert (np.diff(table["station_m"]) > 0.0).all()
        labels = [post.label for one in made.assemblies for post in one.posts]
        assert len(set(labels)) == len(labels)
        for one in made.assemblies:
            known = {*labels}
            assert all(foot in known and head in known for foot, head in one.diagonals)


def test_level_ground_gives_the_flat_answer() -> None:
    which = rules(rules=TENNESSEE)
    way = field()
    level = Way.of(way.xy, way.at, np.full(len(way.at), 321.0))
    flat, raised = laid(way, which), laid(level, which)
    assert line_counts(flat, which) == line_counts(raised, which)
    assert post_table(flat, which)["station_m"] == pytest.approx(post_table(raised, which)["station_m"], abs=1e-9)


def test_bays_are_measured_along_the_slope() -> None:
    """On one even slope of 3 in 4 everything is as on a level line that is 5/4 as long."""
    which = rules(rules=TENNESSEE)
    slope = Way.of(np.array([[0.0, 0.0], [400.0, 0.0]]), np.array([0.0, 400.0]), np.array([0.0, 300.0]))
    level = laid(Way.of(np.array([[0.0, 0.0], [500.0, 0.0]])), which)
    sloped = laid(slope, which)
    assert line_counts(sloped, which) == line_counts(level, which)
    assert post_table(sloped, which)["station_m"] * 1.25 == pytest.approx(post_table(level, which)["station_m"])


def test_dips_and_rises_stand_first() -> None:
    """A valley of 3 m and a hill of 3 m: one post at the bottom, held down, one at the top, bays equal beside them."""
    way = Way.of(
        np.array([[0.0, 0.0], [180.0, 0.0]]), np.array([0.0, 61.0, 122.0, 180.0]), np.array([10.0, 7.0, 10.0, 7.0])
    )
    station, what = dips_and_rises(way, 0.3)
    assert station.tolist() == [61.0, 122.0]
    assert what.tolist() == [-1, 1]
    line = laid(way, rules(rules=TENNESSEE, longest_pull=200.0))
    assert line.fixed_role.tolist() == [Role.LOW, Role.HIGH]
    table = post_table(line, rules(rules=TENNESSEE))
    low = table[table["role"] == Role.LOW]
    assert low["station_m"].tolist() == [61.0]
    assert low["length_m"][0] > table[table["role"] == Role.HIGH]["length_m"][0]


@pytest.mark.parametrize(
    ("typed", "length_m"), [(6.5 * FT, 6.5 * FT), ("5 in x 7 1/2 ft", 7.5 * FT), ("100 mm x 2.1 m", 2.1)]
)
def test_stock_that_is_typed_is_as_long_as_typed(typed: object, length_m: float) -> None:
    which = rules(post_line=typed)
    assert post_length(which, "wood") == pytest.approx(length_m)
    assert which.word("post line").endswith(("ft", "m"))


@pytest.mark.parametrize("typed", ["oak", "6", True, "4 in x"])
def test_stock_without_a_length_is_refused(typed: object) -> None:
    with pytest.raises(JobError) as told:
        rules(post_line=typed)
    assert [problem.slug for problem in told.value.problems] == ["wire-value"]
