"""Rules against a plain lot; every number is a sum by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from tests.permit.lots import FT, IN, LEFT, LOT, REAR, TODAY, findings, permit_of, planned, rule

from palewright.model import Finding
from palewright.permit import judge
from palewright.plan import explain

FRONT_FACE = 3.875 * IN
"""Boards on a 4x4: half the post 1 3/4 in, rail 1 1/2 in, board 5/8 in."""


def verdicts(found: tuple[Finding, ...]) -> list[str]:
    return [finding.verdict for finding in found]


# ---------------------------------------------------------------- heights by yard


def test_a_run_that_changes_yard_midway_is_cut_there() -> None:
    """From y = 5 to y = 110 ft: front yard to y = 30 (the house), rear yard from y = 60."""
    rules = rule("height", yards='["front"]', most='"4 ft"').replace('name = "height"', 'name = "a"')
    rules += rule("height", yards='["side"]', most='"6 ft 2 in"').replace('name = "height"', 'name = "b"')
    rules += rule("height", yards='["rear"]', most='"6 ft"').replace('name = "height"', 'name = "c"')
    front, side, rear = findings(LOT + LEFT, rules)
    assert front.part == pytest.approx((0.0, 25 * FT), abs=1e-9)
    assert side.part == pytest.approx((25 * FT, 55 * FT), abs=1e-9)
    assert rear.part == pytest.approx((55 * FT, 105 * FT), abs=1e-9)
    assert verdicts((front, side, rear)) == ["does-not", "meets", "does-not"]
    assert front.provided == pytest.approx(74 * IN)
    # 105 ft in 14 bays of 7.5 ft: the front yard ends in bay 4 (22.5 to 30), the rear yard begins in bay 8
    assert front.bays == (1, 2, 3, 4)
    assert side.bays == (4, 5, 6, 7, 8)
    assert rear.bays == (8, 9, 10, 11, 12, 13, 14)
    assert front.posts == ("1", "5")


def test_a_yard_of_a_typed_depth_needs_no_house() -> None:
    empty = LOT.replace("buildings: {house: [[15 ft, 30 ft], [45 ft, 30 ft], [45 ft, 60 ft], [15 ft, 60 ft]]}\n", "")
    (asked,) = findings(empty + LEFT, rule("height", yards='["front"]', most='"4 ft"'))
    assert (asked.verdict, asked.ask) == ("ask", "no-house")
    (front,) = findings(empty + LEFT, rule("height", yards='["front"]', most='"4 ft"', depth='"20 ft"'))
    assert front.part == pytest.approx((0.0, 15 * FT), abs=1e-9)


def test_a_rule_without_yards_holds_everywhere() -> None:
    (whole,) = findings(LOT + LEFT, rule("height", most='"74 in"'))
    assert (whole.verdict, whole.yard) == ("meets", "")
    assert whole.part == pytest.approx((0.0, 105 * FT))


def test_where_the_ground_falls_and_the_top_does_not_follow_it_is_asked() -> None:
    fall = "heights: [{falls: 6 in, from: a, to: b}]\n"
    run = LEFT.replace("[[1 ft, 5 ft], [1 ft, 110 ft]]", "[a, b]").replace("racked", "%s")
    text = LOT.replace("points:\n", "points:\n  a: {at: [1 ft, 5 ft]}\n  b: {at: [1 ft, 110 ft]}\n")
    limit = rule("height", most='"6 ft 6 in"')  # 74 in, and 6 in more at the low end: 80 > 78
    assert verdicts(findings(text + run % "racked" + fall, limit)) == ["meets"]
    (asked,) = findings(text + run % "stepped" + fall, limit)
    assert (asked.verdict, asked.ask) == ("ask", "ground-falls")


def test_a_fence_elsewhere_meets_a_rule() -> None:
    (nothing,) = findings(LOT + REAR % (110, 110), rule("height", yards='["front"]', most='"3 ft"'))
    assert (nothing.verdict, nothing.measure) == ("meets", "none-there")


# ---------------------------------------------------------------- which side is front


CORNER = "lot: {streets: [{name: High Street, side: 4}, {name: Low Street, side: 1}]}\n"
UNSAID = LOT.replace("yards: {1: side, 2: rear, 3: side, 4: front}", "yards: {1: street, 2: rear, 3: side, 4: street}")


def test_a_corner_lot_asks_which_side_is_front() -> None:
    """The left run is 1 ft off side 1: all of it in front if side 1 is; only 25 ft of it if side 4 is."""
    strict = rule("height", yards='["front"]', most='"4 ft"')
    permit = permit_of(UNSAID + LEFT + CORNER, strict)
    assert permit.candidates == (1, 4)
    assert [street.front for street in permit.streets] == [None, None]
    (asked,) = permit.findings
    assert (asked.verdict, asked.ask, dict(asked.args)["sides"]) == ("ask", "front-not-said", "1, 4")
    assert "permit-front-not-said" in {remark.slug for remark in permit.remarks if remark.level == "ask"}


@pytest.mark.parametrize("line", ["", "curb", "centre line"])
def test_a_setback_that_must_be_asked_says_from_which_line(line: str) -> None:
    """Without the line the papers have no words for it."""
    wanted = {"of": '"post"', "least": '"5 ft"', "yards": '["front"]'} | ({"line": f'"{line}"'} if line else {})
    (asked,) = findings(UNSAID + LEFT + CORNER, rule("setback", **wanted))
    assert (asked.verdict, asked.ask, dict(asked.args)["line"]) == ("ask", "front-not-said", line or "property line")


def test_what_every_choice_meets_is_met() -> None:
    loose = rule("height", yards='["front"]', most='"7 ft"')
    (met,) = findings(UNSAID + LEFT + CORNER, loose)
    assert (met.verdict, met.yard, met.part) == ("meets", "", ())


def test_the_front_that_is_typed_is_taken() -> None:
    strict = rule("height", yards='["front"]', most='"4 ft"')
    by_lot = UNSAID + LEFT + CORNER.replace("]}\n", "], front: 1}\n")
    (broken,) = findings(by_lot, strict)
    assert broken.part == pytest.approx((0.0, 105 * FT))
    by_yards = UNSAID.replace("1: street,", "1: street side,").replace("4: street}", "4: street front}") + LEFT + CORNER
    permit = permit_of(by_yards, strict)
    assert permit.candidates == ()
    assert [street.front for street in permit.streets] == [True, False]
    assert permit.findings[0].part == pytest.approx((0.0, 25 * FT))


# ---------------------------------------------------------------- setbacks


@pytest.mark.parametrize(
    ("of", "provided"),
    [("face", 12 * IN - FRONT_FACE), ("post", 12 * IN - 1.75 * IN), ("footing", 12 * IN - 5 * IN)],
)
def test_setback_of_face_post_and_footing(of: str, provided: float) -> None:
    (met,) = findings(LOT + LEFT, rule("setback", of=f'"{of}"', least='"6 in"', yards='["side"]'))[:1]
    assert (met.verdict, met.side, met.run) == ("meets", 1, "left")
    assert met.provided == pytest.approx(provided, abs=1e-9)
    (broken,) = findings(LOT + LEFT, rule("setback", of=f'"{of}"', least='"11 in"', yards='["side"]'))[:1]
    assert broken.verdict == "does-not"


def test_the_nearest_face_agrees_with_the_layout() -> None:
    """The layout measures its insets by other means; the least of them is the least of ours."""
    plan = planned(LOT + LEFT, rule("setback", of='"face"', least='"1 in"'))
    assert plan.permit is not None
    ours = min(float(finding.provided or 0.0) for finding in plan.permit.findings)
    assert ours == pytest.approx(min(dict(post.inset)["face"] for post in plan.design.posts), abs=1e-9)


def test_a_setback_from_the_curb_counts_from_it() -> None:
    street = "lot: {streets: [{name: High Street, side: 4, curb: %s}]}\n"
    limit = rule("setback", of='"post"', least='"12 ft"', line='"curb"')
    (met,) = findings(LOT + LEFT + street % "10 ft", limit)
    # 5 ft to the post centre, less half a post, and 10 ft to the curb
    assert met.provided == pytest.approx(15 * FT - 1.75 * IN, abs=1e-9)
    (asked,) = findings(LOT + LEFT + street % "ask", limit)
    assert (asked.verdict, asked.ask) == ("ask", "line-not-typed")
    assert dict(asked.args) == {"line": "curb", "side": 4, "street": "High Street"}


def test_a_fence_over_the_line_has_a_distance_below_nothing() -> None:
    out = LEFT.replace("[[1 ft, 5 ft], [1 ft, 110 ft]]", "[[-1 ft, 5 ft], [-1 ft, 110 ft]]")
    (broken,) = findings(LOT + out, rule("setback", of='"face"', least='"0 ft"', yards='["side"]'))[:1]
    assert broken.verdict == "does-not"
    assert broken.provided == pytest.approx(-12 * IN - FRONT_FACE, abs=1e-9)


def test_low_fences_may_be_let_alone() -> None:
    (met,) = findings(LOT + LEFT, rule("setback", of='"face"', least='"5 ft"', over='"6 ft 2 in"'))
    assert (met.verdict, met.measure) == ("meets", "none-there")


# ---------------------------------------------------------------- easements


STRIP = "lot: {easements: [{name: drain, side: 2, width: 10 ft}]}\n"


def test_a_hole_that_reaches_into_an_easement_counts() -> None:
    """Line of posts 5 in off the strip: a hole of 10 in just does not reach in; 4 in off, it does by 1 in."""
    limit = rule("easement", allows='"no posts"')
    clear = findings(LOT + REAR % (f"{110 - 5 / 12:.6f}", f"{110 - 5 / 12:.6f}") + STRIP, limit)
    assert verdicts(clear) == ["meets"]
    (broken,) = findings(LOT + REAR % (f"{110 - 4 / 12:.6f}", f"{110 - 4 / 12:.6f}") + STRIP, limit)
    assert (broken.verdict, broken.provided, dict(broken.args)["length_m"]) == ("does-not", 8, 0)
    assert len(broken.posts) == 8  # 50 ft in 7 bays


@pytest.mark.parametrize(
    ("allows", "verdict"),
    [("nothing", "does-not"), ("no posts", "does-not"), ("fence", "meets"), ("with consent", "ask")],
)
def test_what_an_easement_allows(allows: str, verdict: str) -> None:
    (found,) = findings(LOT + REAR % (112, 112) + STRIP, rule("easement", allows=f'"{allows}"'))
    assert found.verdict == verdict
    assert dict(found.args)["length_m"] == pytest.approx(50 * FT)


def test_an_easement_without_a_rule_is_asked() -> None:
    (asked,) = findings(LOT + REAR % (112, 112) + STRIP, "")
    assert (asked.rule, asked.verdict, asked.ask) == ("", "ask", "consent")
    assert (
        findings(
            LOT + LEFT + "lot: {easements: [{name: far, through: [[50 ft, 1 ft], [55 ft, 1 ft], [55 ft, 9 ft]]}]}\n", ""
        )
        == ()
    )


def test_an_easement_that_is_not_typed_is_asked() -> None:
    (asked,) = findings(LOT + LEFT, rule("easement", allows='"nothing"', easements='["sewer"]'))
    assert (asked.verdict, asked.ask) == ("ask", "easement-not-typed")


# ---------------------------------------------------------------- pools and walls


POOL = "lot: {pools: [{through: [[20 ft, 80 ft], [40 ft, 80 ft], [40 ft, 95 ft], [20 ft, 95 ft]], barrier: %s}]%s}\n"


def test_a_six_foot_fence_with_its_rails_outside_is_climbed() -> None:
    """Three rails 28 in apart, the good side to the yard: rails outside, closer than 45 in. A gap of 3 in, at most 2."""
    text = LOT.replace("bottom gap: 2 in", "bottom gap: 3 in") + LEFT + POOL % ("[left]", "")
    limit = rule("pool", height='"48 in"', gap='"2 in"', rails_apart='"45 in"', opening='"4 in"', water='"20 in"')
    found = {
        finding.measure: finding for finding in findings(text.replace("good side: neighbour", "good side: yard"), limit)
    }
    assert found["barrier-height"].verdict == "meets"
    assert (found["gap-under"].verdict, found["gap-under"].provided) == ("does-not", pytest.approx(3 * IN))
    assert found["rails-apart"].verdict == "does-not"
    assert found["opening"].verdict == "meets"
    # 20 ft from the lot line to the water, 1 ft to the posts; boards are now on the yard side
    assert found["water-to-barrier"].provided == pytest.approx(19 * FT - FRONT_FACE)
    turned = {finding.measure: finding.verdict for finding in findings(text, limit)}
    assert turned["rails-inside"] == "meets"


def test_gates_of_a_barrier() -> None:
    gated = LEFT.replace(
        "follows: racked}]",
        "follows: racked, gates: [{name: g, opening: 4 ft, starts: 20 ft from a, hinges: near a, swings: out}]}]",
    )
    gated = gated.replace("[[1 ft, 5 ft], ", "[a, ")
    text = LOT.replace("points:\n", "points:\n  a: {at: [1 ft, 5 ft]}\n") + gated
    limit = rule("pool", self_closing="true", opens='"out"', latch='"54 in"')
    facts = ", gates: {g: {self-closing: %s, latch: %s}}"
    assert verdicts(findings(text + POOL % ("left", facts % ("yes", "54 in")), limit)) == ["meets", "meets", "meets"]
    assert verdicts(findings(text + POOL % ("left", facts % ("no", "53 in")), limit)) == [
        "does-not",
        "meets",
        "does-not",
    ]
    assert verdicts(findings(text + POOL % ("left", ""), limit)) == ["ask", "meets", "ask"]


def test_a_pool_rule_asks_for_pool_and_barrier() -> None:
    limit = rule("pool", height='"48 in"')
    assert findings(LOT + LEFT, limit)[0].ask == "no-pools"
    assert findings(LOT + LEFT + POOL % ("ask", ""), limit)[0].ask == "barrier-not-said"


WALL = "lot: {retaining walls: [{name: terrace, through: [[3 ft, 20 ft], [3 ft, 27 ft]], height: %s, holds: %s}]}\n"


@pytest.mark.parametrize(
    ("counts", "height", "holds", "verdict", "provided"),
    [
        ("all", "30 in", "cut", "does-not", 104 * IN),
        ("fill", "30 in", "fill", "does-not", 104 * IN),
        ("fill", "30 in", "cut", "meets", 74 * IN),
        ("none", "ask", "ask", "meets", 74 * IN),
        ("all", "ask", "cut", "ask", 74 * IN),
        ("fill", "30 in", "ask", "ask", 74 * IN),
    ],
)
def test_a_fence_beside_a_retaining_wall(counts: str, height: str, holds: str, verdict: str, provided: float) -> None:
    """The wall stands 2 ft off, from y = 20 to 27 ft: bays 2 to 4 (7.5 ft each, from y = 5) come nearer than 4 ft."""
    limit = rule("retaining", near='"4 ft"', counts=f'"{counts}"', most='"8 ft"')
    (found,) = findings(LOT + LEFT + WALL % (height, holds), limit)
    assert (found.verdict, found.bays) == (verdict, (2, 3, 4))
    assert found.provided == pytest.approx(provided)


# ---------------------------------------------------------------- looks


def test_good_side_and_material() -> None:
    assert verdicts(findings(LOT + LEFT, rule("good-side", faces='"out"'))) == ["meets"]
    assert verdicts(findings(LOT + LEFT, rule("good-side", faces='"in"'))) == ["does-not"]
    unsaid = LOT.replace("good side: neighbour", "good side: ask")
    (asked,) = findings(unsaid + LEFT, rule("good-side", faces='"out"'))
    assert (asked.verdict, asked.ask) == ("ask", "good-side-not-said")
    mesh = LEFT.replace("privacy", "mesh")
    assert verdicts(findings(LOT + mesh, rule("material", bans='["chain link"]', yards='["front"]'))) == ["does-not"]
    assert verdicts(findings(LOT + LEFT, rule("material", bans='["chain link"]', yards='["front"]'))) == ["meets"]


def test_openness_of_spaced_boards() -> None:
    """Boards of 5 1/2 in with gaps of 2 1/2 in: 2.5 / 8 of the face is open."""
    spaced = LOT.replace("{kind: boards,", "{kind: boards, pattern: spaced, board gap: 2 1/2 in,")
    (found,) = findings(spaced + LEFT, rule("openness", least='"31%"'))
    assert (found.verdict, found.provided) == ("meets", pytest.approx(2.5 / 8.0))
    assert verdicts(findings(spaced + LEFT, rule("openness", least='"32%"'))) == ["does-not"]
    assert findings(LOT + LEFT, rule("openness", least='"10%"'))[0].provided == 0.0


# ---------------------------------------------------------------- the record


def test_rules_grow_old() -> None:
    limit = rule("height", most='"7 ft"')
    assert permit_of(LOT + LEFT, limit, date(2027, 5, 4)).stale == ()
    old = permit_of(LOT + LEFT, limit, date(2027, 5, 5))
    assert old.stale == ("height",)
    assert "permit-rules-stale" in {remark.slug for remark in old.remarks}


def test_a_job_that_says_nothing_has_no_permit() -> None:
    assert planned(LOT + LEFT, "").permit is None


def test_without_a_boundary_everything_is_asked() -> None:
    bare = LOT.replace("boundary: {through: [SW, NW, NE, SE], yards: {1: side, 2: rear, 3: side, 4: front}}\n", "")
    (asked,) = findings(bare + LEFT, rule("height", yards='["front"]', most='"4 ft"'))
    assert (asked.verdict, asked.ask) == ("ask", "no-boundary")


def test_explain_knows_the_rules() -> None:
    plan = planned(LOT + LEFT, rule("height", most='"6 ft"'))
    (reason,) = explain(plan, "rule height")
    assert reason.value == pytest.approx(74 * IN)
    assert dict(reason.inputs)["result"] == "does-not"
    assert "made up" in reason.source


def test_judging_twice_is_the_same() -> None:
    from tests.permit.lots import HEAD

    from palewright import jobfile
    from palewright.permit import read_rules

    rules = rule("height", most='"6 ft"') + rule("setback", of='"face"', least='"6 in"')
    plan = planned(LOT + LEFT, rules)
    job = replace(jobfile.read_text(LOT + LEFT, "plain.yaml"), rules=read_rules(HEAD + rules, "rules.toml"))
    kinds = {kind.name: kind for kind in plan.kinds}
    assert judge(job, plan.site, plan.design, kinds, TODAY) == plan.permit
