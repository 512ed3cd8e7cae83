"""A pin counts when it is described and compared; a lath, a map, a fix, a fence or a word never does."""

from __future__ import annotations

import pytest

from palewright.boundary import build_ring, line_status, pin_weaknesses
from palewright.model import BoundarySpec, Call, Corner, CornerEvidence, CornerSpec, PointRef, Ring
from palewright.notation import parse_bearing

FT = 0.3048
CHAIN = 20.1168


@pytest.mark.parametrize(
    "found",
    [
        "5/8 in iron pin",
        "iron pipe, 25 mm",
        "#5 rebar",
        "iron rod with cap",
        "brass disc, stamped 17",
        "stone, marked X",
        "granite monument 4 in square",
        "5/8 in rebar, flagged with pink ribbon",
        "pin flag beside a 1/2 in iron pin",
        "varilla de 5/8 pulg con tapa",
        '1" pipe',
    ],
)
def test_a_described_pin_counts(found: str) -> None:
    assert pin_weaknesses(Corner("A", (0.0, 0.0), found, True)) == ()


@pytest.mark.parametrize(
    ("found", "matches", "weak"),
    [
        ("iron pin", True, ("mark",)),
        ("stone", True, ("mark",)),
        ("iron pin, no cap", True, ("mark",)),
        ("varilla sin tapa", True, ("mark",)),
        ("yes", True, ("kind", "mark")),
        ("5/8 in", True, ("kind",)),
        ("something", None, ("kind", "mark", "match")),
        ("5/8 in iron pin", None, ("match",)),
        ("5/8 in iron pin", False, ("differs",)),
        ("5/8 in witness bar", True, ("stands off",)),
        ("wood lath", True, ("no pin",)),
        ("pin flag, pink", True, ("no pin",)),
        ("lath with orange flagging", True, ("no pin",)),
        ("listón con cinta", True, ("no pin",)),
        ("", True, ("record only",)),
    ],
)
def test_what_keeps_a_pin_from_counting(found: str, matches: bool | None, weak: tuple[str, ...]) -> None:
    assert pin_weaknesses(Corner("A", (0.0, 0.0), found, matches)) == weak


def test_parts_describe_a_pin_as_words_do() -> None:
    parts = CornerEvidence(what="iron rod", cap="plastic cap 2207")
    assert pin_weaknesses(Corner("A", (0.0, 0.0), "iron rod, plastic cap 2207", True, parts)) == ()
    bare = CornerEvidence(what="iron rod", cap="none")
    assert pin_weaknesses(Corner("A", (0.0, 0.0), "iron rod, none", True, bare)) == ("mark",)
    off = CornerEvidence(stands_off_m=3 * FT)
    assert pin_weaknesses(Corner("A", (0.0, 0.0), "5/8 in iron pin", True, off)) == ("stands off",)


@pytest.mark.parametrize("rests", ["map", "gnss", "neighbour's fence", "owner's word"])
def test_a_corner_that_rests_on_something_else_never_counts(rests: str) -> None:
    spec = CornerSpec("A", "5/8 in iron pin, cap 12", True, evidence=CornerEvidence(rests_on=rests))
    corner = _ring(SQUARE, (spec, CornerSpec("B", "5/8 in iron pin", True))).corners[0]
    assert (corner.found, corner.evidence.seen, corner.weak) == ("", "5/8 in iron pin, cap 12", (rests,))


def test_lath_and_witness_bar_do_not_locate_a_line() -> None:
    good = CornerSpec("A", "5/8 in iron pin", True)
    lath = _ring(SQUARE, (good, CornerSpec("B", "wood lath", True)))
    assert (lath.status.found, lath.status.located, lath.status.why) == (1, False, "one-corner-found")
    witness = CornerSpec("B", "5/8 in iron bar", True, evidence=CornerEvidence(stands_off_m=0.9))
    bars = _ring(SQUARE, (good, witness))
    assert (bars.status.found, bars.status.more, bars.status.located) == (1, 1, False)
    assert bars.status.why == "pins-stand-off"
    bare = _ring(SQUARE, (good, CornerSpec("B", "iron pin", True)))
    assert (bare.status.located, bare.status.why) == (False, "pins-not-described")
    two = _ring(SQUARE, (good, CornerSpec("B", "1 in pipe", True)))
    assert two.status.located


def test_each_weakness_is_said_once_with_its_corner() -> None:
    ring = _ring(SQUARE, (CornerSpec("A", "pin"), CornerSpec("B", evidence=CornerEvidence(rests_on="map"))))
    _, said = line_status(ring.corners, ring.courses, ())
    assert [(r.slug, r.about) for r in said if r.about.startswith("corner ")] == [
        ("pin-mark-missing", "corner A"),
        ("pin-not-compared", "corner A"),
        ("corner-from-map", "corner B"),
    ]


# The tract of 117 Stat. 3003 closes 1:31,704; the survey of State Law section 32 (1812), in chains, closes 1:165.
TRACT = (
    ("S 88-24-18 E", 84.29), ("S 01-35-54 W", 22.82), ("S 87-30-04 E", 100.26), ("S 02-05-32 W", 19.27),
    ("N 87-31-51 W", 101.94), ("S 00-14-20 W", 6.34), ("S 89-25-54 W", 80.69), ("N 00-34-06 W", 51.53),
)  # fmt: skip
OLD = (("S 24-30 E", 7.17), ("S 64-45 W", 24.0), ("N 25-15 W", 7.17), ("N 10-30 W", 11.70), ("S 86 E", 24.0))
SQUARE = (("N 0 E", 100.0), ("N 90 E", 100.0), ("S 0 W", 100.0), ("N 90 W", 100.0))


def _ring(rows: tuple[tuple[str, float], ...], corners: tuple[CornerSpec, ...] = (), unit: float = FT) -> Ring:
    calls = tuple(Call(f"{b} {d}", parse_bearing(b), d * unit) for b, d in rows)
    names = tuple("ABCDEFGH"[: len(rows)])
    return build_ring(BoundarySpec(PointRef("A"), calls, names=names, corners=corners), (0.0, 0.0), (), {})[0]


@pytest.mark.parametrize(("rows", "unit", "ratio"), [(TRACT, FT, 31_704), (OLD, CHAIN, 165)])
def test_no_closure_however_good_is_proof_without_two_pins(
    rows: tuple[tuple[str, float], ...], unit: float, ratio: int
) -> None:
    ring = _ring(rows, unit=unit)
    assert ring.closure.precision == pytest.approx(ratio, rel=0.005)
    assert not ring.status.located
    one = _ring(rows, (CornerSpec("A", "5/8 in iron pin", True),), unit)
    assert not one.status.located


def test_an_old_deed_is_computed_and_refused_as_proof() -> None:
    calls = tuple(Call(f"{b} {d}", parse_bearing(b), d * CHAIN) for b, d in OLD)
    _, said, _ = build_ring(BoundarySpec(PointRef("A"), calls), (0.0, 0.0), (), {})
    slugs = {remark.slug: remark.level for remark in said}
    assert slugs["closes-poorly"] == "caution"
    assert slugs["line-not-located"] == "caution"
    assert "closes-arithmetic-only" not in slugs
