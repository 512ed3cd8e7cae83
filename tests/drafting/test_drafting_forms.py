"""What is filled in beside the drawing: evidence at a corner, where a run along sides begins, what stands in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from palewright import jobfile
from palewright.drafting import Item, apply, edits_from_json, sight, typed
from palewright.errors import ProblemError
from palewright.plan import make_plan

TANSY = (Path(__file__).resolve().parents[2] / "examples" / "tansy-court.yaml").read_text("utf-8")
LOT = (
    "palewright: 1\njob: {title: Lot, north: none}\nboundary:\n  through: [[0 ft, 0 ft], [0 ft, 100 ft], [60 ft, 100 ft],"
    " [60 ft, 0 ft]]\n  corners:\n    corner 1: record only   # under the hedge\n"
)
ROD = {"what": "iron rod", "size": "5/8 in", "cap": "plastic cap 2207", "matches": "yes"}


def done(text: str, *edits: dict[str, object], language: str = "en") -> str:
    return apply(text, edits_from_json(list(edits)), None, language).text


def drawn(text: str, about: str) -> Item:
    return next(item for item in sight(text).items if item.id == about)


def test_evidence_at_corners_is_typed_and_seen_at_once() -> None:
    """A pin that is described and matches fills its corner; two of them make the line a located one."""
    assert drawn(LOT, "corner corner 1").marks == ("record only",)
    one = done(LOT, {"kind": "evidence", "about": "corner corner 1", **ROD, "who": "crew lead", "when": "2026-11-26"})
    assert "corner 1: {what: iron rod, size: 5/8 in, cap: plastic cap 2207, matches record: yes," in one
    assert "# under the hedge" in one
    assert drawn(one, "corner corner 1").marks == ("found",)
    assert drawn(one, "side 1").marks == ("not located",)
    two = done(one, {"kind": "evidence", "about": "corner corner 2", **ROD})
    assert drawn(two, "side 1").marks == ("located",)
    unlike = done(two, {"kind": "evidence", "about": "corner corner 2", **ROD, "matches": "no"})
    assert drawn(unlike, "corner corner 2").marks == ("found not counted",)
    assert drawn(unlike, "side 1").marks == ("not located",)
    lath = done(two, {"kind": "evidence", "about": "corner corner 2", "what": "lath", "size": "2 in", "matches": "yes"})
    assert drawn(lath, "corner corner 2").marks == ("record only",)
    gone = done(two, {"kind": "evidence", "about": "corner corner 1"})
    assert drawn(gone, "corner corner 1").marks == ("record only",)


def test_the_form_shows_what_stands_in_the_file_and_taking_it_as_it_is_changes_nothing() -> None:
    said = typed(TANSY, "corner NE")
    assert said == {"what": "5/8 in iron pin", "matches record": "yes"}
    again = {"what": said["what"], "matches": said["matches record"]}
    assert done(TANSY, {"kind": "evidence", "about": "corner NE", **again}) == TANSY
    gate = typed(TANSY, "gate side gate")
    assert (gate["opening"], gate["hinges"]) == ("4 ft", "near A")
    assert typed(TANSY, "post 3") == {}


def test_evidence_typed_at_a_point_that_is_a_corner_stands_in_one_place_afterwards() -> None:
    text = (
        "palewright: 1\njob: {title: Lot, north: none}\npoints:\n  NE: {at: [0 ft, 0 ft], found: iron pin, matches record: no}\n"
        "  SE: {at: [0 ft, 90 ft]}\n  SW: {at: [60 ft, 90 ft]}\nboundary: {through: [NE, SE, SW]}\n"
    )
    assert typed(text, "corner NE") == {"what": "iron pin", "matches record": "no"}
    after = done(text, {"kind": "evidence", "about": "corner NE", **ROD})
    assert after.count("matches record") == 1
    assert drawn(after, "corner NE").marks == ("found",)


@pytest.mark.parametrize(
    ("edit", "slug"),
    [
        ({"about": "corner XX", **ROD}, "no-such-thing"),
        ({"about": "corner NE", "matches": "yes"}, "edit-unusable"),
        ({"about": "corner NE", "what": "iron pin", "rests_on": "a dream"}, ""),
    ],
)
def test_evidence_that_cannot_be_is_refused(edit: dict[str, str], slug: str) -> None:
    with pytest.raises(ProblemError) as refused:
        jobfile.read_text(done(TANSY, {"kind": "evidence", **edit}), "job.yaml")
    assert refused.value.problems[0].slug == slug or not slug


def test_a_run_along_sides_begins_abreast_of_a_point() -> None:
    lot = LOT + "points: {house left: {at: [40 ft, 60 ft]}}\n"
    text = done(lot, {"kind": "run", "sides": ["1"], "inside": "8 in", "begins": "house left"})
    assert "begins abreast of: house left" in text
    assert "along sides" in drawn(text, "run run 1").marks
    first = next(item for item in sight(text).items if item.kind == "post")
    assert first.centre is not None
    assert first.centre[1] == pytest.approx(60 * 0.3048, abs=0.1)
    assert "along sides" not in drawn(TANSY, "run left return").marks


@pytest.mark.parametrize(
    ("kind", "key"),
    [("chain-link", "fabric"), ("vinyl-panels", "panel"), ("post-and-rail", "top of rails"), ("boards", "board")],
)
def test_what_is_built_along_a_run(kind: str, key: str) -> None:
    """Another kind of fence for a run; the fence that was taken for want of another goes when no run has it."""
    begun = done("palewright: 1\njob: {title: Yard}\n", {"kind": "run", "points": [[0, 0], [9, 0]], "name": "rear"})
    text = done(begun, {"kind": "built", "run": "run rear", "fence": kind, "tall": "4 ft", "good": "yard"})
    (fence,) = jobfile.read_text(text, "job.yaml").fences
    assert fence.name == kind
    said = typed(text, f"fence {kind}")
    assert (said[key], said["good side"]) == ("4 ft", "yard")
    both = done(TANSY, {"kind": "built", "run": "run rear", "fence": kind})
    assert {fence.name for fence in jobfile.read_text(both, "job.yaml").fences} == {"privacy", kind}


def test_a_run_becomes_one_of_wire() -> None:
    begun = done("palewright: 1\njob: {title: Field}\n", {"kind": "run", "points": [[0, 0], [900, 0]], "name": "north"})
    text = done(begun, {"kind": "built", "run": "run north", "fence": "barbed wire", "tall": "4 ft", "good": "yard"})
    assert typed(text, "fence barbed wire") == {"kind": "barbed wire", "wire side": "ask"}
    seen = sight(text)
    assert [n.text for n in seen.notices if n.level == "problem"] == []
    assert sum(item.kind == "stretch" for item in seen.items) > 1
    assert "follows" not in typed(text, "run north")


def test_the_ground_under_a_run_is_typed_as_it_was_measured() -> None:
    """A string over 30 ft that falls by a foot: the elevation has that ground, and what was typed comes back."""
    ft = 0.3048
    begun = done(
        "palewright: 1\njob: {title: Yard}\n", {"kind": "run", "points": [[0, 0], [30 * ft, 0]], "name": "rear"}
    )
    drops = ["0 ft: 10 in", "16 ft: 14 in", "30 ft: 22 in"]
    text = done(begun, {"kind": "ground", "run": "run rear", "start": "A", "drops": drops})
    assert "heights:\n  - {string: rear, from: A, drops: [[0 ft, 10 in], [16 ft, 14 in], [30 ft, 22 in]]}" in text
    side = sight(text).elevations[0]
    assert not side.level
    assert side.ground[0][1] - side.ground[-1][1] == pytest.approx(ft)
    assert typed(text, "ground rear") == {"A": "\n".join(drops)}
    assert done(text, {"kind": "ground", "run": "run rear", "start": "A"}) == begun
    even = done(begun, {"kind": "ground", "run": "run rear", "start": "A", "falls": "12 in", "end": "B"})
    assert sight(even).elevations[0].ground[0][1] == pytest.approx(ft)
    for wrong in (
        {"drops": ["10 in"]},
        {"drops": ["0 ft: 10 in"]},
        {"falls": "12 in", "end": "A"},
        {"drops": ["a: b", "c: d"]},
    ):
        with pytest.raises(ProblemError):
            done(begun, {"kind": "ground", "run": "run rear", "start": "A", **wrong})


def test_what_stands_in_the_way_is_told_by_its_name_and_each_is_a_thing_of_the_drawing() -> None:
    with pytest.raises(ProblemError) as refused:
        done(TANSY, {"kind": "delete", "about": "point house rear left"})
    things = [problem.where.thing for problem in refused.value.problems]
    assert things == ["building house", "tape 2", "run rear", "run left return", "gate side gate"]
    assert {item.id for item in sight(TANSY).items} >= set(things)
    for problem in refused.value.problems:
        assert "[" not in problem.what + problem.found + problem.hint  # no key path
    with pytest.raises(ProblemError) as spanish:
        done(TANSY, {"kind": "delete", "about": "fence privacy"}, language="es")
    assert spanish.value.problems[0].found == "tramo rear"
    assert "lo necesita" in spanish.value.problems[0].what


DEED = (
    "beginning at an iron pin; thence N 02°10' E 112.50 feet to an iron pin; thence S 87°50' E 48.00 feet to an iron pin;"
    " thence S 02°10' W 112.50 feet; thence N 87°50' W 48.00 feet to the point of beginning."
)


def test_what_is_drawn_beside_a_pasted_deed_leaves_a_file_that_can_be_read() -> None:
    """A deed whose first corner has no name: where its calls begin gets the coordinates, not a second point."""
    deed = done("palewright: 1\njob: {title: Yard}\n", {"kind": "deed", "text": DEED})
    house = done(deed, {"kind": "building", "name": "house", "points": [[3, 5], [9, 5], [9, 12]]})
    assert "boundary:\n  start: [0 ft, 0 ft]\n  deed: >-" in house
    assert [drawn(house, f"corner corner {k}").centre for k in (1, 2)] == [
        drawn(deed, f"corner corner {k}").centre for k in (1, 2)
    ]
    assert [n for n in sight(house).notices if n.level == "problem"] == []


def test_a_value_that_would_spoil_the_file_is_refused_and_a_spoilt_file_can_be_mended() -> None:
    with pytest.raises(ProblemError):
        done(TANSY, {"kind": "set", "path": "site.frost", "value": "thirty quux"})
    spoilt = TANSY.replace("SE: record only", "SE: {matches record: yes}")
    with pytest.raises(ProblemError):
        jobfile.read_text(spoilt, "job.yaml")
    assert jobfile.read_text(
        done(spoilt, {"kind": "set", "path": "boundary.corners.SE", "value": "record only"}), "j.yaml"
    )


def test_a_gate_slides_in_a_run_that_begins_where_another_was_laid_out() -> None:
    """Point A is called out by a run along sides: it has a place only once that run is laid out."""
    before = drawn(TANSY, "gate side gate")
    middle = [(before.points[0][k] + before.points[1][k]) / 2 for k in (0, 1)]
    text = done(TANSY, {"kind": "move gate", "about": "gate side gate", "at": [middle[0] - 0.6, middle[1]]})
    after = drawn(text, "gate side gate")
    assert after.points[0][0] - before.points[0][0] == pytest.approx(-0.6, abs=0.02)
    changed = [line for line in text.splitlines() if line not in TANSY.splitlines()]
    assert len(changed) == 1
    assert "side gate" in changed[0]


def test_an_old_fence_is_dragged_by_its_corners_and_as_a_whole() -> None:
    text = done(TANSY, {"kind": "old fence", "name": "wire", "points": [[30, 30], [36, 30], [36, 34]], "every": "8 ft",
                        "footing": "8 in", "then": "leave"})  # fmt: skip
    assert drawn(text, "old fence wire").drag == "point"
    bent = done(text, {"kind": "move", "about": "old fence wire", "to": [38, 31], "index": 1})
    assert drawn(bent, "old fence wire").points[1] == pytest.approx((38, 31), abs=0.002)
    assert drawn(bent, "old fence wire").points[0] == drawn(text, "old fence wire").points[0]
    moved = done(text, {"kind": "move", "about": "old fence wire", "to": [31, 30], "held": [30, 30]})
    assert [x for x, _ in drawn(moved, "old fence wire").points] == pytest.approx([31, 37, 37], abs=0.002)


DEED = "Beginning at a pin; thence North 100 feet; thence East 80 feet; thence South 100 feet; thence West 80 feet to the point of beginning."
RING = [[0.0, 0.0], [0.0, 30.48], [24.384, 30.48], [24.384, 0.0]]


@pytest.mark.parametrize("line", [{"kind": "deed", "text": DEED}, {"kind": "boundary", "points": RING, "names": []}])
def test_a_corner_without_a_name_is_drawn_through_and_gets_one(line: dict[str, object]) -> None:
    before = done(
        "palewright: 1\njob: {title: Yard}\n", line,
        {"kind": "run", "name": "rear", "points": ["corner 2", "corner 3", [20, 10]]},
        {"kind": "building", "name": "house", "points": ["corner 1", "corner 2", [8, 8]]},
        {"kind": "zone", "name": "gas", "points": ["corner 4", "corner 2"], "each_side": "24 in", "inside": "hand dig"},
    )  # fmt: skip
    after = done(before, {"kind": "rename", "about": "corner corner 2", "name": "NW"})
    assert [after.count(names) for names in ("[NW, corner 3, A]", "[corner 1, NW, ", "[corner 4, NW]")] == [1, 2, 1]
    plans = [make_plan(jobfile.read_text(text), search_cuts=False) for text in (before, after)]
    was, now = ([post.xy for post in one.design.posts] for one in plans)
    assert was == now
    assert plans[1].site.ring is not None
    assert was[0] == next(corner.xy for corner in plans[1].site.ring.corners if corner.name == "NW")
