"""Edits on the text of a job file: what is written is what was meant, reads like a person's, and can be taken back."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from tests.drafting.jobs import rows

from palewright import drafting, plan
from palewright.drafting.edits import (
    AddGate,
    ChangeGate,
    Delete,
    DrawBoundary,
    DrawBuilding,
    DrawOld,
    DrawRun,
    DrawZone,
    Edit,
    Follows,
    Length,
    Move,
    MoveGate,
    PasteDeed,
    RemoveKey,
    Rename,
    SetValue,
    Square,
    Tape,
    Walk,
    WalkOn,
    Wall,
)
from palewright.drafting.edits_json import edits_from_json, edits_to_json
from palewright.drafting.seeing import read_job
from palewright.errors import ProblemError, Where
from palewright.jobfile import Document, read_text
from palewright.model import Job

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
TANSY = (EXAMPLES / "tansy-court.yaml").read_text("utf-8")
HOUSE = (EXAMPLES / "house-and-tape.yaml").read_text("utf-8")
EMPTY = "palewright: 1\njob: {title: Yard}\n"
FOOT = 0.3048

L_SHAPE: list[Edit] = [
    DrawRun(((0.0, 0.0), (12.19, 0.0), (12.2, 9.15)), name="rear", yard="left"),
    AddGate("rear", (12.2, 4.6)),
    Length("leg rear 1", "41' 6 1/2\""),
    ChangeGate("gate gate", opening="5 ft", hinges="near B", swings="to yard"),
    DrawZone("gas service", ((5.0, -3.0), (6.0, 10.0)), "24 in", "hand dig", "1 in", "gas"),
    Follows("rear", "racked"),
]


def done(text: str, *edits: Edit) -> str:
    return drafting.apply(text, edits, EXAMPLES).text


def placeless(job: Job) -> Job:
    """The job without the lines and columns of its file."""

    def bare(value: object) -> object:
        if isinstance(value, Where):
            return Where()
        if isinstance(value, tuple):
            return tuple(bare(item) for item in value)
        if hasattr(value, "__dataclass_fields__"):
            return replace(value, **{name: bare(getattr(value, name)) for name in value.__dataclass_fields__})  # type: ignore[type-var]
        return value

    return bare(job)  # type: ignore[return-value]


def test_an_l_shaped_fence_with_a_gate_from_nothing_reads_like_an_example() -> None:
    assert (
        done(EMPTY, *L_SHAPE)
        == """\
palewright: 1
job: {title: Yard}

points:
  A: {at: [0 ft, 0 ft]}
  B: {at: [41' 6 1/2", 0 ft]}
  C: {at: [40' 0 3/8", 30' 0 1/4"]}

fences:
  boards:
    kind: boards
    good side: ask

runs:
  - name: rear
    fence: boards
    through: [A, B, C]
    yard: left
    follows: racked
    gates:
      - {name: gate, opening: 5 ft, starts: 13' 1" from B, hinges: near B, swings: to yard}

clear of:
  - {name: gas service, through: [[16' 4 7/8", -9' 10 1/8"], [19' 8 1/4", 32' 9 3/4"]], width: 1 in, each side: 24 in,
     inside it: hand dig, utility: gas}
"""
    )


def test_what_was_drawn_can_be_printed() -> None:
    made = plan.make_plan(read_text(done(EMPTY, *L_SHAPE)), search_cuts=False)
    assert [gate.opening_m for gate in made.design.gates] == [pytest.approx(5 * FOOT)]
    assert made.design.legs[0].length_m == pytest.approx((41 + 6.5 / 12) * FOOT, abs=3e-4)


def test_comments_and_order_of_a_file_stay() -> None:
    text = done(TANSY, MoveGate("gate side gate", starts="7 ft"), SetValue("site.frost", "32 in"))
    before, after = TANSY.splitlines(), text.splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert len(changed) == 2
    assert changed[0][1] == changed[0][0].replace("6 ft from", "7 ft from")
    assert changed[1][1] == changed[1][0].replace("30 in", "32 in")


def test_twelve_tapes_stand_one_a_line() -> None:
    names = [("house left", "A"), ("house right", "A"), ("house left", "B"), ("house right", "B"), ("A", "B")]
    edits: list[Edit] = [Wall("house left", "house right", "38' 4\"", "steel tape")]
    edits += [Tape(pair, f"{20 + k} ft", "long fibreglass") for k, pair in enumerate(names)]
    edits += [Square(("A", "house left", "house right"), "9-12-15 ft")]
    text = done(EMPTY, *edits)
    assert "walls:\n  - {from: house left, to: house right, length: 38' 4\", with: steel tape}\n" in text
    assert text.count("\n  - {tape: [") == 5
    assert text.endswith("  - {square: [A, house left, house right], by: 9-12-15 ft}\n")
    again = done(text, Tape(("house right", "A"), "31 ft", about="tape 3"))
    assert [a for a, b in zip(text.splitlines(), again.splitlines(), strict=True) if a != b] == [
        "  - {tape: [house right, A], reads: 21 ft, with: long fibreglass}"
    ]


def test_a_walked_point_keeps_its_direction_and_gets_no_coordinates() -> None:
    text = done(HOUSE, Move("point B", (-20.0, 12.0)))
    before, after = Document(HOUSE), Document(text)
    assert after.get("points") is None
    assert before.get("walks[0].go[2]") != after.get("walks[0].go[2]")
    assert {k: v for k, v in enumerate(after.get("walks[0].go")) if k != 2} == {
        k: v for k, v in enumerate(before.get("walks[0].go")) if k != 2
    }
    typed = done(HOUSE, Length("leg yard 3", "70 ft"))
    assert Document(typed).get("walks[0].go[4]") == "70 ft"


@given(st.floats(0.0, 6.28), st.integers(48, 4000))
@settings(max_examples=40, deadline=None)
def test_a_typed_length_of_a_slanted_leg_is_kept_in_the_notation_of_a_tape(turn: float, eighths: int) -> None:
    """Wherever the leg goes, its end is written in inches, as a tape has them, and the leg prints as it was typed."""
    reads = f"{eighths // 8} {eighths % 8}/8 in" if eighths % 8 else f"{eighths // 8} in"
    legs = ((1.0, 2.0), (1.0 + 5.0 * math.cos(turn), 2.0 + 5.0 * math.sin(turn)))
    text = done(EMPTY, DrawRun(legs, name="back", yard="left"), Length("leg back 1", reads))
    for length in Document(text).get("points.B.at"):
        assert re.fullmatch(
            r"-?(\d+ ft|(\d+' )?(\d+|\d+ \d+/(2|4|8|16|32|64)|\d+/(2|4|8|16|32|64))(\"| in))", str(length)
        )
    a, b = (point.xy for point in read_job(text).points)
    assert a is not None
    assert b is not None
    assert math.dist(a, b) == pytest.approx(
        eighths / 8 * 0.0254, abs=0.0254 / 32
    )  # to less than half of what is printed


@pytest.mark.parametrize(
    ("text", "edit", "slug"),
    [
        (TANSY, Move("corner NE", (1.0, 1.0)), "not-by-hand"),
        (HOUSE, Move("point house rear left", (1.0, 1.0)), "not-by-hand"),
        (TANSY, Move("point nowhere", (1.0, 1.0)), "no-such-thing"),
        (TANSY, MoveGate("gate sidegate", (1.0, 1.0)), "no-such-thing"),
        (TANSY, Delete("point house rear left"), "still-needed"),
        (TANSY, Delete("fence privacy"), "still-needed"),
        (TANSY, Delete("boundary"), "still-needed"),
        (TANSY, PasteDeed("N 1 W 20 ft\nN 80 E 30 ft\nto beginning"), "boundary-there"),
        (TANSY, Rename("run rear", "left return"), "name-taken"),
        (TANSY, DrawRun(((0.0, 0.0), (1.0, 1.0)), name="rear"), "name-taken"),
        (TANSY, DrawRun(((0.0, 0.0),)), "edit-unusable"),
        (TANSY, SetValue("runs[9].name", "x"), "cannot-edit"),
        (EMPTY, PasteDeed("thence along the creek as it winds"), ""),
    ],
)
def test_what_cannot_be_done_is_refused_in_words(text: str, edit: Edit, slug: str) -> None:
    with pytest.raises(ProblemError) as refused:
        done(text, edit)
    problem = refused.value.problems[0]
    assert problem.slug == slug or not slug
    assert problem.what


def test_a_name_changes_everywhere() -> None:
    text = done(TANSY, Rename("point house rear left", "kitchen corner"), Rename("gate side gate", "dog gate"))
    assert "house rear left" not in text
    assert "side gate" not in text.replace("keep the side gate shut", "")
    one, two = (plan.make_plan(read_job(t, EXAMPLES), search_cuts=False).design for t in (TANSY, text))
    assert [post.xy for post in one.posts] == [post.xy for post in two.posts]
    assert done(text, Rename("point kitchen corner", "house rear left"), Rename("gate dog gate", "side gate")) == TANSY


def test_a_run_goes_with_the_points_that_only_it_needs() -> None:
    text = done(EMPTY, *L_SHAPE)
    applied = drafting.apply(text, [Delete("run rear")])
    assert Document(applied.text).get("points") is None
    assert "A, B, C" in applied.said[0]
    assert Document(applied.text).get("clear of") is not None


def test_drawing_on_a_walked_job_leaves_everything_in_its_place() -> None:
    before = {item.id: item.centre for item in drafting.sight(HOUSE).items if item.kind == "point"}
    text = done(
        HOUSE, DrawZone("oak", ((-3.0, -5.0),), "4 ft", "no hole"), DrawRun(((-30.0, 0.0), (-30.0, 5.0)), yard="left")
    )
    after = {item.id: item.centre for item in drafting.sight(text).items if item.kind == "point"}
    for key, spot in before.items():
        assert spot is not None
        assert after[key] is not None
        assert math.dist(spot, after[key]) < 0.02  # type: ignore[arg-type]
    assert not [n for n in drafting.sight(text).notices if n.level == "problem"]


def test_a_deed_is_pasted_word_for_word() -> None:
    words = (
        "Beginning at an iron pin at the northeast corner of lot 7; thence S 02°14'30\" E 148.20 feet to an iron pin; "
        "thence S 85°39'15\" W 83.47 feet to a point; thence N 01°05'00\" W 151.40 feet; thence N 87°50'00\" E 80.35 "
        "feet to the point of beginning."
    )
    text = done(EMPTY, PasteDeed(words.replace("; ", ";\n  ")))
    assert Document(text).get("boundary.deed") == words
    assert max(len(line) for line in text.splitlines()) <= 120
    ring = plan.make_plan(read_text(text)).site.ring
    assert ring is not None
    assert len(ring.courses) == 4


def test_a_long_deed_is_refused_for_what_it_is_and_not_for_its_letters() -> None:
    rows = [f"N {k % 90}°{k % 60}'00\" E {10 + k % 7}.25 ft" for k in range(5000)]
    (edit,) = edits_from_json([{"kind": "deed", "text": "\n".join(rows[:2000])}])
    assert len(Document(done(EMPTY, edit)).get("boundary.calls")) == 2000
    (edit,) = edits_from_json([{"kind": "deed", "text": "\n".join(rows)}])
    with pytest.raises(ProblemError) as caught:
        done(EMPTY, edit)
    assert caught.value.problems[0].slug == "too-many-calls"


def test_a_drawn_boundary_has_no_north_and_nothing_found() -> None:
    text = done(EMPTY, DrawBoundary(((0.0, 0.0), (0.0, 30.0), (20.0, 30.0), (20.0, 0.0)), ("SW", "NW", "NE", "SE")))
    sight = drafting.sight(text)
    assert not sight.north
    assert {item.marks for item in sight.items if item.kind == "corner"} == {("record only",)}


def test_survey_feet_are_written_as_survey_feet() -> None:
    """A US survey foot is 1200/3937 m (NIST SP 811); two millionths matter at half a million feet."""
    text = "palewright: 1\njob: {title: Yard, foot: survey}\npoints: {A: {at: [500000 ft, 0 ft]}, B: {at: [500100 ft, 0 ft]}}\n"
    to = (500010 * 1200 / 3937, 0.0)
    after = done(text, Move("point A", to))
    assert Document(after).get("points.A.at") == ["500010 ft", "0 ft"]


EDITS: list[Edit] = [
    *L_SHAPE,
    Move("building house", (1.0, 2.0), 1),
    MoveGate("gate x", (1.0, 2.0)),
    DrawBuilding("house", ((0.0, 0.0), (1.0, 0.0), "A")),
    Walk("a", ("14 ft",), ("A",), along="b"),
    WalkOn(("left", "3 ft"), ("B",), 1),
    RemoveKey("site"),
]


def test_edits_go_through_json_and_back() -> None:
    assert list(edits_from_json(edits_to_json(EDITS))) == EDITS


@pytest.mark.parametrize(
    "wrong",
    [
        "text", [1], [{}], [{"kind": "mvoe"}], [{"kind": "move", "about": "point A"}],
        [{"kind": "move", "about": "point A", "to": [1, float("nan")]}], [{"kind": "move", "about": 3, "to": [1, 2]}],
        [{"kind": "set", "path": "a", "value": None}], [{"kind": "set", "path": "a", "value": "b", "more": 1}],
        [{"kind": "run", "points": [[1, 2, 3]]}], [{"kind": "follows", "run": "a", "follows": True}],
    ],
)  # fmt: skip
def test_edits_that_are_none_are_told(wrong: object) -> None:
    with pytest.raises(ProblemError) as error:
        edits_from_json(wrong)
    assert {problem.slug for problem in error.value.problems} == {"edit-unusable"}


# ---------------------------------------------------------------- laws

PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
SPOT = st.tuples(st.floats(-40, 60), st.floats(-40, 60))
ROWS = rows(3)
PARTS = [item for item in drafting.sight(ROWS).items if item.drag]


@given(st.sampled_from(PARTS), SPOT)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow], phases=PHASES)
def test_what_is_written_reads_back_to_what_was_meant(item: drafting.Item, spot: tuple[float, float]) -> None:
    """To the eighth of an inch that is typed: half of it each way."""
    if item.drag != "point" or item.kind not in ("point", "building", "zone"):
        return
    index = len(item.points) - 1 if item.points else -1
    text = done(ROWS, Move(item.id, spot, index))
    job = read_text(text)
    if item.kind == "point":
        found = next(point.xy for point in job.points if f"point {point.name}" == item.id)
    else:
        refs = dict(job.buildings) | {zone.name: zone.through for zone in job.zones}
        found = refs[item.text][index].xy
    assert found is not None
    assert math.dist(found, spot) <= 0.0254 / 16 * math.sqrt(2) + 1e-9


@given(st.sampled_from(PARTS), SPOT)
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow], phases=PHASES)
def test_an_edit_and_its_opposite_leave_the_job_as_it_was(item: drafting.Item, spot: tuple[float, float]) -> None:
    before = read_text(ROWS)
    if item.kind == "gate":
        text = done(ROWS, MoveGate(item.id, spot))
        back = [
            SetValue(f"{item.path}.{key}", Document(ROWS).get(f"{item.path}.{key}")) for key in ("starts", "hinges")
        ]
        text = done(text, *back)
        assert text == ROWS
    elif item.points:
        text = done(ROWS, Move(item.id, spot, 0))
        text = done(text, Move(item.id, item.points[0], 0))
    elif item.centre is not None:
        text = done(ROWS, Move(item.id, spot))
        text = done(text, Move(item.id, item.centre))
    assert placeless(read_text(text)) == placeless(before)
    assert len(text.splitlines()) == len(ROWS.splitlines())


@given(SPOT, SPOT, SPOT)
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow], phases=PHASES)
def test_a_run_that_is_drawn_and_deleted_leaves_no_trace(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]
) -> None:
    if min(math.dist(a, b), math.dist(b, c), math.dist(c, a)) < 0.01:
        return  # they fall on one point
    drawn = drafting.apply(ROWS, [DrawRun((a, b, c), name="new")])
    assert done(drawn.text, Delete("run new")) == ROWS


@pytest.mark.parametrize("name", ["tansy-court", "house-and-tape"])
def test_nothing_that_a_page_may_ask_of_a_thing_ends_in_a_traceback(name: str) -> None:
    """Of every kind of thing the first one: what cannot be done is a Problem, what was done reads back."""
    text = (EXAMPLES / f"{name}.yaml").read_text("utf-8")
    first = {item.kind: item.id for item in reversed(drafting.sight(text, EXAMPLES).items)}
    problems = []
    for about in (*first.values(), "boundary", "nothing", ""):
        for edit in (Delete(about), Rename(about, "new name"), Move(about, (3.0, 4.0)), MoveGate(about, (5.0, 5.0)),
                     Length(about, "50 ft"), ChangeGate(about, "3 ft"), Tape((), "12 ft", about=about)):  # fmt: skip
            try:
                done(text, edit)
            except ProblemError as error:
                problems += error.problems
    assert problems
    assert all(problem.what and problem.slug for problem in problems)


LOT = """palewright: 1
job: {title: Lot, north: none}
boundary: {through: [[0 ft, 0 ft], [0 ft, 100 ft], [60 ft, 100 ft], [60 ft, 0 ft]]}
"""


def test_a_run_along_sides_is_written_as_a_person_would() -> None:
    wanted = DrawRun(name="rear", sides=("1", "2", "3"), inside="8 in")
    text = drafting.apply(LOT, [wanted]).text
    assert "sides: [1, 2, 3]" in text
    assert "inside boundary: {face: 8 in}" in text
    run = drafting.read_job(text).runs[0]
    assert (run.sides, run.through) == ((1, 2, 3), ())
    round_it = drafting.apply(LOT, [DrawRun(sides=("all",), inside="8 in")]).text
    assert "sides: all" in round_it


@pytest.mark.parametrize(("sides", "inside"), [(("5",), "8 in"), (("x",), "8 in"), (("1",), ""), (("1",), "0 ft")])
def test_a_run_along_no_side_is_refused(sides: tuple[str, ...], inside: str) -> None:
    with pytest.raises(ProblemError):
        drafting.apply(LOT, [DrawRun(sides=sides, inside=inside)])


def test_all_of_a_zone_moves_by_where_it_is_held() -> None:
    text = "palewright: 1\njob: {title: Z}\nclear of:\n  - {name: gas, through: [[0 m, 0 m], [10 m, 0 m]], each side: 1 m, inside it: hand dig}\n"
    moved = drafting.apply(text, [Move("zone gas", (3.0, 5.0), held=(1.0, 0.0))]).text
    zone = drafting.read_job(moved).zones[0]
    assert [ref.xy for ref in zone.through] == [
        pytest.approx((2.0, 5.0), abs=0.002),
        pytest.approx((12.0, 5.0), abs=0.002),
    ]


def test_an_old_fence_is_written_with_what_is_known_of_it() -> None:
    wanted = DrawOld("", ((0.0, 0.0), (24.384, 0.0)), every="8 ft", footing="10 in")
    done = drafting.apply("palewright: 1\njob: {title: Old, north: none}\n", [wanted])
    old = drafting.read_job(done.text).removals[0]
    assert done.made == ("old fence old fence",)
    assert "posts every: 8 ft, footing: 10 in, then: pull" in done.text
    assert [ref.xy for ref in old.through] == [(0.0, 0.0), pytest.approx((24.384, 0.0), abs=0.002)]
