"""What to move when a check reads off: against the stake-out's own figures and against moved places."""

import math
from pathlib import Path

import pytest
from tests.asbuilt.yards import plan_of

from palewright import plan as engine
from palewright.asbuilt import advise, check_ids
from palewright.asbuilt.advising import swing
from palewright.model import CornerCheck
from palewright.stakeout import square


def test_swing_is_the_turn_of_three_sides_as_held() -> None:
    """The exact turn of the triangle (law of cosines), for a small error."""
    error = 0.003
    exact = square(8.5, 6.4, math.radians(80.0), error, 20.0)
    assert swing(8.5, 6.4, math.radians(80.0), 20.0) * error == pytest.approx(exact.sideways_m, rel=2e-3)


@pytest.mark.parametrize("name", ["tansy-court", "corner-lot", "chain-link-run", "house-and-tape"])
def test_moving_as_advised_brings_the_tape_back(name: str) -> None:
    """A corner that is wrong by the advised move reads off by what the advice was asked for, to first order."""
    plan = plan_of(name)
    strings = {string.name: string for string in plan.stakeout.strings}
    places = {post.label: post.xy for post in plan.design.posts}
    tried = 0
    for _, check in check_ids(plan.stakeout):
        if not isinstance(check, CornerCheck):
            continue
        advice = advise(plan, check)
        one, two = (strings[name] for name in check.strings)
        crossing = next(
            c.xy for c in plan.stakeout.crossings if c.post == check.post and set(c.strings) == {one.name, two.name}
        )
        stake = next(s.xy for s in two.stakes if s.label == advice.name)

        def ray(to: tuple[float, float], at: tuple[float, float] = crossing) -> tuple[float, float]:
            far = math.dist(at, to)
            return ((to[0] - at[0]) / far, (to[1] - at[1]) / far)

        u, v = ray(max((s.xy for s in one.stakes), key=lambda xy: math.dist(xy, crossing))), ray(stake)
        toward = ray(places[advice.toward])
        assert u[0] * toward[0] + u[1] * toward[1] > 0.9  # the post stands off the string by its offset
        off = 0.004
        by = off * advice.per / math.dist(stake, crossing)
        turn = by if u[0] * v[1] - u[1] * v[0] > 0.0 else -by
        a, b = check.legs_m
        swung = (v[0] * math.cos(turn) - v[1] * math.sin(turn), v[0] * math.sin(turn) + v[1] * math.cos(turn))
        angle = check.angle - math.acos(u[0] * v[0] + u[1] * v[1])
        assert abs(angle) < 2e-3
        before, after = (math.dist((a * u[0], a * u[1]), (b * w[0], b * w[1])) for w in (v, swung))
        assert after - before == pytest.approx(off, rel=5e-3)
        tried += 1
    assert tried


@pytest.mark.parametrize("name", ["tansy-court", "corner-lot"])
def test_swing_against_the_tolerance_of_the_stake_out(name: str) -> None:
    """far_off_m of a corner is what its tolerance lets the far end of the longer leg of the fence move."""
    plan = plan_of(name)
    ends = {string.name: string.marks[-1].reads_m - string.marks[0].reads_m for string in plan.stakeout.strings}
    tried = 0
    for check in plan.stakeout.checks:
        longest = max(ends[name] for name in check.strings)
        if all(plan.stakeout.strings[k].arc is None for k in range(len(plan.stakeout.strings))):
            moved = swing(*check.legs_m, check.angle, longest) * check.tolerance_m
            assert moved == pytest.approx(check.far_off_m, rel=0.02)
            tried += 1
    assert tried


def test_numbers_are_those_of_the_papers() -> None:
    from palewright.papers.checks import checks_data
    from palewright.papers.sheet import Sheet

    plan = plan_of()
    data = checks_data(Sheet.of(plan))
    papers = [tape["number"] for row in data["finds"] for tape in row["tapes"]]
    papers += [corner["number"] for corner in data["corners"]] + [
        tie["number"] for tie in data["ties"] if tie["number"]
    ]
    ours = [name.removeprefix("check ") for name, _ in check_ids(plan.stakeout)]
    assert [name for name in ours if "-" not in name] == sorted(papers, key=int)
    assert len(set(ours)) == len(ours)


WALL = """palewright: 1
job: {title: Two walls}
points:
  house left: {at: [50 ft, 120 ft]}
  house right: {at: [100 ft, 120 ft]}
  L: {at: [2 ft, 120 ft]}
  M: {at: [2 ft, 2 ft]}
  N: {at: [148 ft, 2 ft]}
  O: {at: [148 ft, 120 ft]}
buildings:
  house: [[50 ft, 120 ft], [100 ft, 120 ft], [100 ft, 150 ft], [50 ft, 150 ft]]
fences:
  field: {kind: post-and-rail, longest bay: 8 ft, rails: 3}
runs:
  - name: yard
    fence: field
    through: [house left, L, M, N, O, house right]
    yard: left
    ends: {house left: {at wall: bracket}, house right: {at wall: bracket}}
"""


def test_no_bracket_on_a_wall_is_ever_told_to_move(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(WALL, "utf-8")
    plan = engine.make_plan(*engine.load(tmp_path / "job.yaml"), search_cuts=False)
    stand = {post.label for post in plan.design.posts if not post.number}
    ties = [check for _, check in check_ids(plan.stakeout) if not isinstance(check, CornerCheck)]
    ends = [tie for tie in ties if tie.end in stand]
    assert [(advise(plan, tie).name, advise(plan, tie).toward) for tie in ends] == [(t.start, t.end) for t in ends]
    assert ends
    assert all(advise(plan, tie).name not in stand for tie in ties)
