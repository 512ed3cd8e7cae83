"""The cutting list of a take-off: every rail of every bay, the hand sums of short bays, long end bays and gate frames."""

import math
from collections import Counter

import pytest
from tests.supply.hand_design import FT, IN, Hand, buy, kind_of, need, taken

from palewright.supply.draft import pieces_of
from palewright.tables import saw_kerf, section

RAILS = [
    ("boards", ()),
    ("boards", (("rail stock", 8 * FT),)),
    ("boards", (("pattern", "both sides"),)),
    ("boards", (("rail ends", "post centre"), ("rail mount", "on face"))),
    ("boards", (("pattern", "horizontal"), ("cap board", "2x6"))),
    ("post-and-rail", ()),
    ("post-and-rail", (("rail mount", "on face"), ("rail stock", 16 * FT), ("longest bay", 8 * FT))),
]


def yard(kind):
    return (
        Hand(kind)
        .leg(("fence", 20 * FT), ("gate", 4 * FT), ("fence", 26 * FT), end="corner", turn=1.0)
        .leg(("fence", 80 * FT), ("gate", 10 * FT, 2), ("bays", [40 * IN, 33 * IN, 90 * IN]), end_bracket=True)
    )


@pytest.mark.parametrize(("name", "values"), RAILS)
def test_every_rail_of_every_bay_is_cut_once(name, values):
    hand = yard(kind_of(name, *values))
    result = taken(hand)
    cut = Counter()
    for one in result.cuts:
        parts = [part.length_m for part in one.parts]
        assert one.stock_m == pytest.approx(math.fsum(parts) + saw_kerf() * (len(parts) - 1) + one.left_m)
        assert one.left_m >= 0
        for part in one.parts:
            assert bool(part.bays) != bool(part.gates)
            assert list(part.bays) == list(range(part.bays[0], part.bays[-1] + 1)) if part.bays else True
            cut.update({(one.what, bay): one.count for bay in part.bays})
    fences = [bay.number for bay in hand.bays if bay.kind == "fence"]
    rows = 10 if hand.kind.pattern == "horizontal" else hand.kind.rails  # (72 + 2 1/2) / 8 in: 10 rows of boards
    for what in {one.what for one in result.cuts if any(part.bays for part in one.parts)}:
        assert {cut[what, bay] for bay in fences} == {1 if what == "cap-board" else rows}
    bought = Counter()
    for one in result.cuts:
        bought[one.code] += one.count
    assert bought == Counter({item.code: item.need for item in result.items if item.code in bought})
    assert result.kerf_m == pytest.approx(IN / 8)


@pytest.mark.parametrize(("name", "values"), [RAILS[0], RAILS[-1]])
def test_rails_on_the_face_reach_from_outer_face_to_outer_face(name, values):
    hand = yard(kind_of(name, *values))
    cuts = [(one.count, part) for one in taken(hand).cuts for part in one.parts if part.bays]
    length = math.fsum(count * part.length_m for count, part in cuts)
    faces = math.fsum(piece.face_m for piece in pieces_of(hand.design(), {"fence": hand.kind})["fence"])
    assert length == pytest.approx(hand.kind.rails * faces)


def test_short_bays_share_one_length():
    """Six bays of 40 in between walls, two rails: 240 in a row are 16 + 8 ft less 48 in; 8 + 12 ft hold them exactly."""
    kind = kind_of("boards", ("board", 4 * FT), ("longest bay", 40 * IN))
    result = taken(Hand(kind).leg(("bays", [40 * IN] * 6), start_bracket=True, end_bracket=True))
    assert sum(one.count * one.stock_m for one in result.cuts) == pytest.approx(2 * 20 * FT)
    whole = taken(
        Hand(kind_of("boards", ("board", 4 * FT), ("longest bay", 40 * IN), ("rail stock", 16 * FT))).leg(
            ("bays", [40 * IN] * 6), start_bracket=True, end_bracket=True
        )
    )
    assert need(whole, "rail") == 3  # four bays in each length of 16 ft: twelve bays


def test_an_end_bay_longer_than_the_stock_is_told_and_not_bought_too_short():
    """Bays of 94 3/4 in reach 96 1/2 in to the outer face: a longer length where there is one, else told (case 23)."""
    bays = ("bays", [94.75 * IN] * 4)
    only = taken(Hand(kind_of("boards", ("rail stock", 8 * FT))).leg(bays))
    told = [dict(remark.args) for remark in only.remarks if remark.slug == "rail-from-centre"]
    assert [(args["posts"], round(args["length_m"] / IN, 6), args["stock_m"]) for args in told] == [
        ("1, 5", 96.5, 8 * FT)
    ]
    assert need(only, "rail") == 12
    offered = taken(Hand(kind_of("boards")).leg(bays))
    assert not [remark for remark in offered.remarks if remark.slug == "rail-from-centre"]
    ends = [one for one in offered.cuts for part in one.parts if part.bays in ((1,), (4,))]
    assert all(one.stock_m >= 96.5 * IN for one in ends)
    centre = taken(Hand(kind_of("boards", ("rail stock", 8 * FT), ("rail ends", "post centre"))).leg(bays))
    assert "rail-from-centre" not in {remark.slug for remark in centre.remarks}
    assert {part.length_m for one in centre.cuts for part in one.parts} == {94.75 * IN}


def test_a_bay_longer_than_any_length_on_offer_is_told():
    kind = kind_of("boards", ("rail stock", 8 * FT))
    result = taken(Hand(kind).leg(("bays", [8 * FT, 10 * FT])))
    (told,) = [dict(remark.args) for remark in result.remarks if remark.slug == "stock-too-short"]
    assert told["length_m"] == pytest.approx(120 * IN + 1.75 * IN)
    assert {item.size for item in result.items if item.what == "rail"} == {"2x4 x 8 ft", "2x4 x 11 ft"}


def test_a_mortised_rail_goes_through_both_posts():
    """Posts of 5 in: 11 ft give one bay of 10 ft (125 in), or two of 48 in (53 + 1/8 + 53); 128 in + 5 laps less: told."""
    kind = kind_of("post-and-rail", ("longest bay", 128 * IN))
    result = taken(Hand(kind).leg(("bays", [120 * IN, 48 * IN, 48 * IN])))
    assert need(result, "split-rail") == 3 + 3
    assert "rail-laps-less" not in {remark.slug for remark in result.remarks}
    tight = taken(Hand(kind).leg(("bays", [128 * IN, 120 * IN])))
    (told,) = [dict(remark.args) for remark in tight.remarks if remark.slug == "rail-laps-less"]
    assert (told["bays"], round(told["lap_m"] / IN, 6)) == ("1", 4.0)
    assert need(tight, "split-rail") == 6


def test_screws_where_rails_end_on_a_post_or_pass_one():
    """Four bays of 94 in, three rails, two screws a place: two parts of two bays a row, each on three posts."""
    result = taken(Hand(kind_of("boards")).leg(("bays", [94 * IN] * 4)))
    assert need(result, "rail-screw") == 3 * 2 * 3 * 2
    short = taken(Hand(kind_of("boards", ("rail stock", 8 * FT))).leg(("bays", [94 * IN] * 4)))
    assert need(short, "rail-screw") == 3 * 4 * 2 * 2


def gated(*values):
    """Two bays of 92 in on each side of a 4 ft gate: rails of 184 in and the half posts, 188 1/2 in."""
    return Hand(kind_of("boards", *values)).leg(("bays", [92 * IN] * 2), ("gate", 4 * FT), ("bays", [92 * IN] * 2))


def test_frame_of_a_gate_by_hand():
    """A leaf of 47 in, 72 in high: 2 stiles, 3 rails, 1 diagonal of 85.98 in; 2 x 3 + 2 joints of two screws each."""
    result = taken(gated())
    parts = [(one.count, part) for one in result.cuts for part in one.parts]
    frame = sorted(round(part.length_m / IN, 2) for count, part in parts for _ in range(count) if part.gates)
    assert frame == [47, 47, 47, 72, 72, round(math.hypot(47, 72), 2)]
    places = sum(count * (len(part.bays) + 1) for count, part in parts if part.bays)
    assert need(result, "rail-screw") == places * 2 + (2 * 3 + 2) * 2
    assert need(taken(gated(("gate.screws", 4))), "rail-screw") == places * 2 + (2 * 3 + 2) * 4
    gate, fence = need(result, "gate-board"), need(result, "board")
    assert gate == math.ceil(47 / 5.5)
    assert need(result, "board-nail") == (fence * 3 + gate * (3 + 1)) * 2


def test_rails_and_gate_frames_are_cut_together():
    """Six rails of 188 1/2 in fill 16 ft each; the frame of 370 in and its saw cuts takes 32 ft more."""
    result = taken(gated())
    assert sum(one.count * one.stock_m for one in result.cuts) == pytest.approx((6 * 16 + 32) * FT)
    lines = [item.code for item in result.items if item.what == "rail"]
    assert len(set(lines)) == len(lines)


def test_a_gate_is_named_by_its_opening_and_its_leaf():
    """48 in opening less 3 3/4 in for the hardware (clfleaf): a leaf of 44 1/4 in."""
    hand = Hand(kind_of("chain-link")).leg(("fence", 20 * FT), ("gate", 48 * IN), ("fence", 20 * FT))
    (line,) = [item for item in taken(hand).items if item.what == "gate-leaf"]
    assert line.size == "for a 48 in opening, leaf 44 1/4 in, 48 in high"
    assert line.code == "gate.chain-link.48x48in"
    pair = Hand(kind_of("chain-link")).leg(("fence", 20 * FT), ("gate", 120 * IN, 2), ("fence", 20 * FT))
    (line,) = [item for item in taken(pair).items if item.what == "gate-pair"]
    assert line.size == "for a 120 in opening, each leaf 57 1/4 in, 48 in high"


def test_lengths_on_offer_are_those_of_the_table():
    assert [round(stock / FT) for stock in section("lumber", "2x4").stocks_m] == [8, 10, 12, 16]
    assert buy(taken(Hand(kind_of("boards")).leg(("bays", [94 * IN] * 2))), "rail") == 3


def test_rails_meet_a_gate_post_that_is_deeper_than_the_line_posts():
    """6x6 is 5 1/2 in deep and 4x4 3 1/2 in (PS 20): in line by centres its face stands 1 in farther out."""
    told = [remark for remark in taken(yard(kind_of("boards"))).remarks if remark.slug == "rail-at-wider-post"]
    (remark,) = told
    args = dict(remark.args)
    assert args["by_m"] == pytest.approx(1 * IN)
    assert args["count"] == len(args["posts"].split(", ")) == 4
    between = taken(yard(kind_of("boards", ("pattern", "both sides"))))
    assert not [remark for remark in between.remarks if remark.slug == "rail-at-wider-post"]
