"""Worked counts of the trade, each by the rule it states: a home chain-link job, wood privacy, board on board, panels.

Counts of chain link: clest (bands, ties, hog rings, by home rule), byesville (ties by interval). Vertical boards: geometry.
Split rail: split (11 ft rails, 10 ft bays). Panels of 72 1/2 in centre to centre: common practice. Counts have no tolerance;
lengths are printed to 0.01 in or 0.001 in and are held to half of that.

sources: clest, split
"""

import itertools
from pathlib import Path

import pytest
from tests.supply.hand_design import FT, IN, Hand, buy, kind_of, need, taken

from palewright.layout.bays_spacing import spacing
from palewright.supply import boards_lapped, boards_spaced

CHAIN_LINK = {
    "fabric": 4, "top-rail": 9, "tension-bar": 8, "tension-band": 24, "brace-band": 8, "rail-end": 8, "carriage-bolt": 32,
    "dome-cap": 6, "loop-cap": 14, "rail-tie": 88, "hog-ring": 88, "line-post": 14, "end-post": 2, "gate-post": 2,
    "corner-post": 2,
}  # fmt: skip
TIES = [("f567", 56), (12 * IN, 56), ("home", 42)]


def chain_link(*values):
    """Runs of 20, 26, 80 and 50 ft, one 4 ft opening between the first two; 4 ft fabric."""
    hand = Hand(kind_of("chain-link", ("fabric", 4 * FT), *values))
    hand.leg(("fence", 20 * FT), ("gate", 4 * FT), ("fence", 26 * FT), end="corner")
    return hand.leg(("fence", 80 * FT), end="corner").leg(("fence", 50 * FT))


@pytest.mark.parametrize(("what", "count"), CHAIN_LINK.items())
def test_counts_of_chain_link(what, count):
    assert buy(taken(chain_link()), what) == count


@pytest.mark.parametrize(("rule", "count"), TIES)
def test_ties_by_the_rules_that_disagree(rule, count):
    assert buy(taken(chain_link(("tie rule", rule))), "post-tie") == count


def test_fabric_and_rail_lengths():
    result = taken(chain_link())
    assert need(result, "fabric") / FT == pytest.approx(176)
    assert need(result, "top-rail") / FT == pytest.approx(176)


@pytest.mark.parametrize(("what", "count"), CHAIN_LINK.items())
def test_from_the_job_file(what, count):
    """The same yard from its job file, through the layout."""
    assert buy(_example(), what) == count


def _example():
    from palewright.plan.engine import load, make_plan

    job, prices = load(Path(__file__).resolve().parents[2] / "examples" / "chain-link-run.yaml")
    return make_plan(job, prices).takeoff


def test_wood_privacy():
    """150 ft at most 8 ft: 19 bays of 94.74 in, 20 posts, 57 rails, 328 boards of 5.5 in, 345 with 5 %."""
    hand = Hand(kind_of("boards", ("rail stock", 8 * FT))).leg(("fence", 150 * FT))
    result = taken(hand)
    assert len(hand.bays) == 19
    assert hand.bays[0].length_m / IN == pytest.approx(94.74, abs=0.005)
    assert len(hand.posts) == 20
    assert need(result, "rail") == 57
    assert need(result, "board") == 328
    assert buy(result, "board") == 345
    # from the outer post face the first and the last rail would be 94.74 + 1.75 = 96.49 in, 1/2 in more than they are
    (told,) = [dict(remark.args) for remark in result.remarks if remark.slug == "rail-from-centre"]
    assert told["posts"] == "1, 20"
    assert told["length_m"] / IN == pytest.approx(96.49, abs=0.005)
    offered = taken(Hand(kind_of("boards")).leg(("fence", 150 * FT)))
    assert not any(remark.slug == "rail-from-centre" for remark in offered.remarks)
    assert sum(cut.count * cut.stock_m for cut in offered.cuts) / FT <= 57 * 8 + 3 * 4


def test_board_on_board():
    """100 ft: 267 boards lapping 1 in; a bay of 96 in: 22 lapping 1 in, 24 lapping 1 1/2 in."""
    assert boards_lapped(1200 * IN, 5.5 * IN, 1.0 * IN) == 267
    assert boards_lapped(96 * IN, 5.5 * IN, 1.0 * IN) == 22
    assert boards_lapped(96 * IN, 5.5 * IN, 1.5 * IN) == 24


def test_spaced_boards():
    """12 boards of 5.5 in over 96 in leave 2.727 in; 2.75 in would overrun by 1/4 in."""
    count, gap = boards_spaced(96 * IN, 5.5 * IN, 2.75 * IN)
    assert count == 12
    assert gap / IN == pytest.approx(2.727, abs=0.0005)
    assert pytest.approx(0.25) == 12 * 5.5 + 11 * 2.75 - 96


def test_split_rail():
    """200 ft in 10 ft bays, three rails: 21 posts, 60 rails. (Length / 11 gives 19 and 57: too few.)"""
    hand = Hand(kind_of("post-and-rail")).leg(("fence", 200 * FT))
    result = taken(hand)
    assert sum(need(result, f"{role}-post") for role in ("line", "end")) == 21
    assert need(result, "split-rail") == 60


def test_aluminium_panels():
    """100 ft at 72 1/2 in: 16 whole and a last one of 40 in, or 17 of 70.59 in; 18 posts either way."""
    kind = kind_of("metal-panels")
    marks = spacing(100 * FT, kind.longest_m, rule="short-last")
    bays = [b - a for a, b in itertools.pairwise(marks)]
    assert bays[-1] / IN == pytest.approx(40, abs=0.005)
    hand = Hand(kind).leg(("bays", bays))
    result = taken(hand)
    assert need(result, "panel") == 16
    assert need(result, "panel-to-cut") == 1
    assert len(hand.posts) == 18
    even = spacing(100 * FT, kind.longest_m)
    assert len(even) == 18
    assert even[1] / IN == pytest.approx(70.59, abs=0.005)
    assert need(taken(Hand(kind).leg(("fence", 100 * FT))), "panel-to-cut") == 17
