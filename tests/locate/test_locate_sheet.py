"""The locate block: nothing counts as entered until everything is typed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from tests.sample_plan import sample_plan
from tests.stakeout.yards import IN, Yard, ft, site

from palewright.draw.notes import plan_notes
from palewright.draw.words import Words
from palewright.errors import JobError, Where
from palewright.locate import PRIVATE_LINES, locate_sheet
from palewright.locate.sheet import STAKE_DEPTH_M, STAKE_WIDTH_M
from palewright.model import LocateSheet, LocateSpec, MemberAnswer, StakeSpec, Zone, ZoneHit
from palewright.papers import crew_data
from palewright.papers.words import say
from palewright.stakeout import STAKE_DEPTH_M as DRIVEN_M
from palewright.stakeout import STAKE_RADIUS_M, stake_out

FULL = LocateSpec(
    "A-1",
    "2026-05-04",
    "2026-05-07",
    "2026-05-28",
    (MemberAnswer("water", "marked", "2026-05-06"), MemberAnswer("gas", "clear", "2026-05-06")),
)


def sheet(typed: LocateSpec, zones: tuple[Zone, ...] = (), yard: Yard | None = None, **stakes: float) -> LocateSheet:
    yard = yard or Yard().run("a", ft((0, 0), (40, 0), (40, 40)))
    job = yard.job(locate=typed, stakes=StakeSpec(**stakes))
    there = site(zones=zones)
    return locate_sheet(job, there, yard.design(), stake_out(job, there, yard.design()))


def test_nothing_typed() -> None:
    block = sheet(LocateSpec())
    assert not block.entered
    assert block.missing == ("ticket", "called on", "legal from", "expires", "answers")
    remark = next(r for r in block.remarks if r.slug == "locate-not-entered")
    assert remark.level == "ask"
    assert dict(remark.args).keys() == {"missing"}


def test_a_ticket_that_lacks_something_is_called_incomplete_not_missing() -> None:
    remark = next(r for r in sheet(replace(FULL, expires="")).remarks if r.slug == "locate-not-entered")
    settings = sample_plan().settings
    assert say(remark, settings) == "LOCATE NOT COMPLETE: DO NOT DIG."
    assert say(remark, replace(settings, language="es")) == "LOCALIZACIÓN INCOMPLETA: NO CAVE."


def test_all_typed() -> None:
    block = sheet(FULL)
    assert block.entered
    assert block.missing == ()
    assert "locate-not-entered" not in {remark.slug for remark in block.remarks}


@pytest.mark.parametrize(
    ("change", "missing"),
    [
        ({"ticket": " "}, "ticket"),
        ({"called_on": ""}, "called on"),
        ({"legal_from": ""}, "legal from"),
        ({"expires": ""}, "expires"),
        ({"members": ()}, "answers"),
        ({"members": (MemberAnswer("water", "marked"), MemberAnswer("gas", ""))}, "answers"),
    ],
)
def test_one_thing_missing_is_not_entered(change: dict[str, object], missing: str) -> None:
    block = sheet(replace(FULL, **change))  # type: ignore[arg-type]
    assert not block.entered
    assert block.missing == (missing,)


def test_dates_in_words_are_kept_but_not_taken_for_entered() -> None:
    block = sheet(replace(FULL, legal_from="Thursday 7 May, 12:01 AM", expires="2026-06-31"))
    assert not block.entered
    assert block.missing == ("legal from", "expires")
    assert block.typed.legal_from == "Thursday 7 May, 12:01 AM"


@pytest.mark.parametrize(
    ("change", "slug"),
    [
        ({"expires": "2026-05-06"}, "locate-expires-first"),
        ({"legal_from": "2026-05-07 12:01 AM", "expires": "2026-05-01"}, "locate-expires-first"),
        ({"legal_from": "2026-05-03"}, "locate-legal-before-call"),
    ],
)
def test_dates_that_cannot_be(change: dict[str, object], slug: str) -> None:
    at = Where(file="job.yaml", line=7, column=3)
    with pytest.raises(JobError) as caught:
        sheet(replace(FULL, at=at, **change))  # type: ignore[arg-type]
    (problem,) = caught.value.problems
    assert problem.slug == slug
    assert problem.where == at
    assert problem.hint


def test_every_hole_and_every_stake_is_a_dig() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0), (40, 40)))
    block = sheet(LocateSpec(), yard=yard)
    holes = [dig for dig in block.digs if dig.what == "hole"]
    stakes = [dig for dig in block.digs if dig.what == "stake"]
    assert [dig.label for dig in holes] == [post.label for post in yard.posts]
    assert [dig.label for dig in stakes] == ["S1", "S2", "S3", "S4"]
    assert {dig.diameter_m for dig in holes} == {10 * IN}
    assert {dig.depth_m for dig in stakes} == {18 * IN}


def test_a_bracket_and_a_string_held_at_a_wall_are_not_digs() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0)), brackets=(True, False))
    block = sheet(LocateSpec(), yard=yard)
    assert [dig.label for dig in block.digs if dig.what == "hole"] == ["1", "2", "3", "4", "5"]
    assert len([dig for dig in block.digs if dig.what == "stake"]) == 1


def test_refused_stakes_are_not_digs() -> None:
    everywhere = Zone("field", tuple(ft((-90, -90), (90, -90), (90, 90), (-90, 90))), 0.1, "hand dig", closed=True)
    block = sheet(LocateSpec(), (everywhere,))
    assert not [dig for dig in block.digs if dig.what == "stake"]


def test_a_hand_dig_hole_names_the_zone_it_enters() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0)))
    post = yard.posts[2]
    assert post.hole is not None
    hits = (ZoneHit("gas", "hand dig", -0.05, "gas"), ZoneHit("water", "no hole", 0.4, "water"))
    yard.posts[2] = replace(post, hole=replace(post.hole, hand_dig=True, hits=hits))
    block = sheet(LocateSpec(), yard=yard)
    dig = next(d for d in block.digs if d.label == "3")
    assert dig.hand
    assert dig.zones == ("gas",)


def test_private_lines_are_to_be_ticked_and_typed_ones_added() -> None:
    block = sheet(replace(FULL, private=("pond pump", "irrigation", "")))
    assert block.said == ("pond pump", "irrigation")
    assert block.private[:2] == block.said
    assert set(block.private) == {*PRIVATE_LINES, "pond pump"}
    assert len(block.private) == len(PRIVATE_LINES) + 1


def test_a_job_without_zones_asks_for_them() -> None:
    assert "no-zones-typed" in {remark.slug for remark in sheet(FULL).remarks}
    zone = Zone("gas", tuple(ft((200, 0), (200, 9))), 0.6, "hand dig", "gas")
    assert "no-zones-typed" not in {remark.slug for remark in sheet(FULL, (zone,)).remarks}


def test_the_two_rooms_mean_the_same_stake() -> None:
    assert STAKE_WIDTH_M == 2 * STAKE_RADIUS_M
    assert STAKE_DEPTH_M == DRIVEN_M


def test_a_private_line_of_the_list_in_other_words_is_not_listed_twice() -> None:
    block = sheet(replace(FULL, private=("Pool lines", "Well", "irrigation line")))
    assert block.said == ("pool", "well line", "irrigation")
    assert sorted(block.private) == sorted(PRIVATE_LINES)


def test_a_ticket_that_ran_out_stops_the_crew_and_one_that_runs_out_today_does_not() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0), (40, 40)))
    job, there = yard.job(locate=FULL), site()
    last = date.fromisoformat(FULL.expires[:10])
    for days, told in ((0, False), (1, True)):
        block = locate_sheet(
            job, there, yard.design(), stake_out(job, there, yard.design()), today=last + timedelta(days)
        )
        assert ("locate-expired" in {remark.slug for remark in block.remarks}) == told
        plan = replace(sample_plan(), locate=block)
        crew, drawn = crew_data(plan), plan_notes(plan, Words(plan.settings), "plan")
        assert any("RAN OUT" in line for line in crew["stop"]) == told
        assert any("RAN OUT" in line for line in crew["flags"]) == told
        assert ("RAN OUT" in drawn.locate_head) == told
        assert block.entered
