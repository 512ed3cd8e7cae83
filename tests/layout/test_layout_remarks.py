"""What a reader must know: remarks and reasons, and that every slug has its words."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from tests.layout.yard_builder import FT, IN, gate, inset, kind, lay, points, ring, run, zone

from palewright.errors import JobError
from palewright.model import EndSpec, FallSpec, Job, PostSize, SiteSpec

ROOT = Path(__file__).parents[2]
SQUARE = points(A=(0, 0), B=(40, 0), C=(40, 40), D=(0, 40))


def by_slug(design):
    found = {}
    for remark in design.remarks:
        found.setdefault(remark.slug, []).append(remark)
    return found


def test_level_ground_is_assumed_on_every_run_and_a_typed_fall_is_told():
    runs = [run("one", "A", "B", "C"), run("two", "C", "D")]
    design = lay(runs, SQUARE, falls=[FallSpec("A", "B", 12 * IN), FallSpec("C", "B", 6 * IN), FallSpec("A", "D", 1.0)])
    found = by_slug(design)
    assert [dict(r.args)["run"] for r in found["level-ground-assumed"]] == ["one", "two"]
    # A to B falls 12 in, C to B falls 6 in: so B to C rises 6 in; together 6 in down
    assert dict(found["fall-typed"][0].args)["fall_m"] == pytest.approx(6 * IN)
    assert design.runs[0].fall_m == pytest.approx(6 * IN)
    assert design.runs[1].fall_m is None
    assert len(found["post-lengths-not-final"]) == 1


def test_frost_is_asked_for_once_and_not_when_given():
    runs = [run("one", "A", "B"), run("two", "B", "C")]
    assert len(by_slug(lay(runs, SQUARE))["frost-not-given"]) == 1
    with_frost = Job("t", runs=tuple(runs), site=SiteSpec(frost_m=0.9))
    assert "frost-not-given" not in by_slug(lay(runs, SQUARE, job=with_frost))


def test_what_was_not_said_is_asked():
    plain = kind(good_side="")
    found = by_slug(lay([run("r", "A", "B", yard="")], SQUARE, kinds={"fence": plain}))
    assert {"follows-not-said", "yard-not-said", "good-side-not-said"} <= found.keys()
    said = by_slug(lay([run("r", "A", "B", follows="racked")], SQUARE))
    assert not {"follows-not-said", "yard-not-said", "good-side-not-said"} & said.keys()


def test_the_yard_is_the_inside_of_the_boundary_when_not_said():
    lot = ring([(-1, -1), (60, -1), (60, 60), (-1, 60)])
    design = lay([run("r", "A", "D", yard="")], SQUARE, boundary=lot)
    assert "yard-not-said" not in by_slug(design) or design.legs[0].yard == "right"
    near = lay([run("r", "E", "F", yard="")], points(E=(-0.9, 5), F=(-0.9, 50)), boundary=lot)
    assert near.legs[0].yard == "right"
    assert "yard-not-said" not in by_slug(near)


def test_a_yard_that_changes_sides_where_two_runs_meet_is_told():
    """Walked A, B, C with the yard on the right; the second run also drawn from C to B, where the yard is on its left."""
    for second, slip in ((("B", "C", "right"), "left"), (("C", "B", "left"), "right")):
        *ends, right = second
        for yard, told in ((right, None), (slip, ("one", "two", right))):
            design = lay([run("one", "A", "B", yard="right"), run("two", *ends, yard=yard)], SQUARE)
            said = [dict(r.args) for r in design.remarks if r.slug == "yard-changes-sides"]
            assert [(one["run"], one["other"], one["word"]) for one in said] == ([told] if told else [])
    tee = points(T=(20, 0), U=(20, 30))
    design = lay([run("one", "A", "B", yard="right"), run("cross", "T", "U", yard="left")], (*SQUARE, *tee))
    assert "yard-changes-sides" not in by_slug(design)


def test_two_leaves_wider_than_one_carries_well_are_not_told_to_become_two():
    for leaves, known in ((1, False), (2, True)):
        drive = replace(gate("drive", 12, 8, "A"), leaves=leaves)
        (said,) = by_slug(lay([run("r", "A", "B", gates=(drive,))], SQUARE))["leaf-wide"]
        assert ("leaves" in dict(said.args)) == known


def test_a_sharp_corner_is_pointed_out_and_a_square_one_not():
    places = points(A=(0, 0), B=(40, 0), C=(20, 20))
    found = by_slug(lay([run("r", "A", "B", "C")], places))
    assert dict(found["acute-corner"][0].args)["angle"].startswith("45")
    assert "acute-corner" not in by_slug(lay([run("r", "A", "B", "C")], SQUARE))


@pytest.mark.parametrize(("family", "told"), [("panels", True), ("post and rail", True), ("boards", False)])
def test_panels_and_rails_need_swivels_off_square(family, told):
    places = points(A=(0, 0), B=(40, 0), C=(60, 40))
    odd = {"fence": kind(family=family)}
    assert ("swivel-corner" in by_slug(lay([run("r", "A", "B", "C")], places, kinds=odd))) == told
    assert "swivel-corner" not in by_slug(lay([run("r", "A", "B", "C")], SQUARE, kinds=odd))


def test_stations_from_a_line_that_is_not_located_are_trial():
    corners = [(-1, -1), (-1, 90), (90, 90), (90, -1)]
    places = (*SQUARE, *points(NW=(-1, 90), NE=(90, 90)))
    from palewright.model import RunSpec

    by_sides = RunSpec("r", "fence", sides=(1,), inset=inset("face", 6))
    open_ = lay([by_sides, run("s", "A", "B")], places, boundary=ring(corners))
    assert [r.trial for r in open_.runs] == [True, False]
    assert dict(by_slug(open_)["trial-stations"][0].args)["total"] == 4
    assert not lay([by_sides], places, boundary=ring(corners, located=True)).runs[0].trial
    named = ring(corners, names=["SW", "NW", "NE", "SE"])
    assert lay([run("s", "NW", "NE")], places, boundary=named).runs[0].trial


def test_holes_in_hand_dig_zones_and_loose_ground_are_listed():
    zones = [
        zone("drain", (-5, 0), (50, 0), half_in=12, kind="hand dig", utility=""),
        zone("old footing", (0, 0), half_in=5, kind="loose ground", utility=""),
    ]
    design = lay([run("r", "A", "B")], SQUARE, zones=zones)
    found = by_slug(design)
    assert dict(found["hand-dig-holes"][0].args) == {"run": "r", "count": 6, "posts": "1, 2, 3, 4, 5, 6"}
    assert dict(found["holes-in-loose-ground"][0].args)["posts"] == "1"
    assert all(post.hole.hand_dig for post in design.posts)
    assert [hit.zone for hit in design.posts[0].hole.hits] == ["drain", "old footing"]


def test_a_hole_that_only_touches_an_old_footing_is_not_in_loose_ground():
    # 40 ft in five bays: a post at 96 in and each 96 in on; an old footing of 10 in centred 10 in before it touches
    for start in (0.0, 0.1, 7.3, 101.7):
        places = points(A=(start, 0), B=(start + 40, 0))
        near = [zone("old footing", (start + (288 - 10) / 12, 0), half_in=5, kind="loose ground", utility="")]
        design = lay([run("r", "A", "B")], places, zones=near)
        assert "holes-in-loose-ground" not in by_slug(design)
        assert [hit.clear_m for hit in design.posts[3].hole.hits] == [0.0]
    in_it = [zone("old footing", ((480 - 9.9) / 12, 0), half_in=5, kind="loose ground", utility="")]
    assert (
        dict(by_slug(lay([run("r", "A", "B")], SQUARE, zones=in_it))["holes-in-loose-ground"][0].args)["posts"] == "6"
    )


def test_posts_no_stock_reaches():
    base = kind()
    short = replace(base, posts=(("line", PostSize("4x4", 3.5 * IN, 3.5 * IN, False, (6 * FT,))),))
    found = by_slug(lay([run("r", "A", "B")], SQUARE, kinds={"fence": short}))
    assert {dict(r.args)["role"] for r in found["post-longer-than-stock"]} == {"end", "line"}
    none = replace(base, posts=(("line", PostSize("4x4", 3.5 * IN, 3.5 * IN)),))
    assert "post-stock-not-known" in by_slug(lay([run("r", "A", "B")], SQUARE, kinds={"fence": none}))


def test_the_smallest_stock_that_reaches_is_bought():
    # 74 in above + 26 in in the ground = 100 in: 10 ft of 8 and 10
    post = lay([run("r", "A", "B")], SQUARE).posts[0]
    assert post.length_m == pytest.approx(100 * IN)
    assert post.stock_m == pytest.approx(10 * FT)


def test_reasons_are_per_stretch_hole_gate_and_run():
    design = lay([run("r", "A", "B", "C", gates=(gate("g", 4, 12, "A"),))], SQUARE)
    found = {(r.about, r.quantity): r for r in design.reasons}
    # 12 ft to the gate, which takes 4 ft; 24 ft less the gate post from there to B; 40 ft from B to C
    stretches = {about: reason.value for (about, what), reason in found.items() if what == "bays"}
    assert stretches == {
        "run r, post 1 to post 3": 2,
        "run r, post 4 to post 7": 3,
        "run r, post 7 to post 12": 5,
    }
    assert found["run r", "length"].value == pytest.approx(80 * FT)
    assert found["gate g", "allowance"].source
    assert found["fence gate hole", "hole diameter"].value == pytest.approx(14 * IN)
    assert found["fence line post", "post length"].value == pytest.approx(100 * IN)


def test_a_short_piece_between_fixed_posts_is_one_short_bay_and_said():
    design = lay([run("r", "A", "M", "B")], (*SQUARE, *points(M=(1.5, 0))))
    assert design.bays[0].length_m == pytest.approx(1.5 * FT)
    remark = by_slug(design)["short-bay"][0]
    args = dict(remark.args)
    assert (remark.level, args["start"], args["end"]) == ("caution", "1", "2")
    assert args["length_m"] == pytest.approx(1.5 * FT)
    assert args["third_m"] == pytest.approx(8 * FT / 3)
    assert "holes-run-together" not in by_slug(design)


def test_a_sliver_between_a_gate_post_and_a_corner_says_how_far_to_move_the_gate_and_both_ways_work():
    def made(starts):
        return lay([run("r", "A", "B", "C", gates=(gate("g", 4, starts, "A"),))], SQUARE)

    # A to B is 40 ft: the opening ends 9 in before B, the 6x6 of the gate stands 6 1/4 in from the corner post
    design = made(35.25)
    args = dict(by_slug(design)["short-bay"][0].args)
    assert args["gate"] == "g"
    assert args["length_m"] == pytest.approx(6.25 * IN)
    assert args["share_m"] == pytest.approx(6.25 * IN)
    assert args["away_m"] == pytest.approx(25.75 * IN)  # 32 in, a third of 8 ft, less 6 1/4 in
    # holes of 14 and 10 in across: 7 + 5 - 6 1/4
    assert dict(by_slug(design)["holes-run-together"][0].args)["over_m"] == pytest.approx(5.75 * IN)
    shared, farther = made(35.25 + 6.25 / 12), made(35.25 - 25.75 / 12)
    assert len(shared.posts) == len(farther.posts) - 1 == len(design.posts) - 1
    for better in (shared, farther):
        assert not {"short-bay", "holes-run-together"} & set(by_slug(better))


def test_a_sliver_between_a_gate_post_and_a_wall_is_told_to_move_away_only():
    wall = run("r", "A", "B", gates=(gate("g", 4, 1, "A"),), ends=(EndSpec("A", "bracket"),))
    args = dict(by_slug(lay([wall], SQUARE))["short-bay"][0].args)
    assert "share_m" not in args
    assert args["away_m"] == pytest.approx(22.75 * IN)  # 32 in less the 9 1/4 in from the wall to the gate post


# ---------------------------------------------------------------- the words


def _sources():
    return "\n".join(
        path.read_text("utf-8")
        for path in sorted((ROOT / "src/palewright/layout").glob("*.py"))
        if not path.name.startswith(("bays", "kinds", "gates", "_kind"))
    )


def test_every_problem_slug_has_its_message():
    slugs = set(re.findall(r'Problem\(\s*"([a-z-]+)"', _sources()))
    slugs |= {"crossing-runs", "runs-overlap", "run-crosses-itself", "gates-overlap", "gate-post-too-near"}
    told = set(re.findall(r"^## ([a-z-]+)$", (ROOT / "docs/messages.md").read_text("utf-8"), re.M))
    assert len(slugs) > 15
    assert slugs <= told


def test_every_remark_slug_has_words_for_its_arguments():
    """Remarks made in one awkward job, each with a sentence whose places are its arguments."""
    words = tomllib.loads((ROOT / "src/palewright/papers/words/en.toml").read_text("utf-8"))["remark"]
    lot = ring([(-0.2, -3), (-0.2, 90), (90, 90), (90, -3)], names=["SW", "NW", "NE", "SE"])
    shed = ("shed", tuple((x * FT, y * FT) for x, y in ((20, 2), (30, 2), (30, 9), (20, 9))))
    runs = [
        run(
            "one", "A", "B", "E", gates=(gate("g", 4, 22, "A", hinges="", swings=""),), ends=(EndSpec("E", "bracket"),)
        ),
        run("two", "F", "G", yard="", gates=(gate("h", 4, 4, "F", swings="out"),)),
    ]
    places = (*SQUARE, *points(E=(20, 25), F=(0, 0.5), G=(0, 30)))
    odd = {"fence": kind(good_side="", family="panels")}
    zones = [zone("oak", (22, 4), half_in=6, utility=""), zone("drain", (-5, 0), (50, 0), kind="hand dig")]
    design = lay(runs, places, kinds=odd, boundary=lot, buildings=[shed], zones=zones, falls=[FallSpec("F", "G", 0.2)])
    assert len(by_slug(design)) > 14
    for remark in design.remarks:
        assert remark.slug in words, remark.slug
        assert set(re.findall(r"\{(\w+)\}", words[remark.slug])) <= {name for name, _ in remark.args}, remark.slug


# ---------------------------------------------------------------- fixed posts in zones


def problem(runs, zones, places=SQUARE):
    with pytest.raises(JobError) as error:
        lay(runs, places, zones=zones)
    return error.value.problems


def test_a_corner_in_a_no_hole_zone_is_told_how_far_in_and_the_smallest_move():
    # gas line along x = 39.5 ft, 12 in kept clear each side of its centre; the hole's radius is 5 in
    gas = zone("gas service", (39.5, -20), (39.5, 60), half_in=12)
    found = problem([run("r", "A", "B", "C", "D")], [gas])
    (corner_b, corner_c) = [p for p in found if p.slug == "post-in-no-hole-zone"]
    assert "gas service" in corner_b.what
    assert "point B" in corner_b.what
    assert '11"' in corner_b.found  # 17 in of reach less 6 in away
    assert '11"' in corner_b.hint
    assert "away from A" in corner_b.hint
    assert "point C" in corner_c.what


def test_a_gate_post_in_a_no_hole_zone():
    gas = zone("gas service", (12, -20), (12, 60), half_in=12)
    found = problem([run("r", "A", "B", gates=(gate("g", 4, 12, "A"),))], [gas])
    assert [p.slug for p in found] == ["post-in-no-hole-zone"]
    # the gate post stands 2 3/4 in before the line; 19 in are needed
    assert "1' 4 1/4\"" in found[0].hint
    assert "back" in found[0].hint


def test_a_bracket_has_no_hole_to_test():
    gas = zone("gas service", (0, -20), (0, 60), half_in=12)
    design = lay([run("r", "A", "B", ends=(EndSpec("A", "bracket"),))], SQUARE, zones=[gas])
    assert design.posts[0].hole is None
    assert all(post.hole is not None for post in design.posts[1:])


def test_two_zones_together_give_the_move_that_clears_both():
    one = zone("one", (40, -20), (40, 60), half_in=12)
    two = zone("two", (42, -20), (42, 60), half_in=12)
    found = problem([run("r", "A", "B")], [one, two])
    # out past the second: 24 + 12 + 5 = 41 in; back: 17 in
    assert "1' 5\"" in found[0].hint
    assert "toward A" in found[0].hint
