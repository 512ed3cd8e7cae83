"""Legal descriptions as they are pasted: what is read, what is passed by, what is told. The texts here are invented."""

from __future__ import annotations

import math
import re
import time
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.boundary import Options, Prose, closure, is_prose, read_prose
from palewright.errors import Problem, ProblemError
from palewright.jobfile import read_deed, read_text

FT = 0.3048
LOT = """\
Commencing at the northeast corner of Lot 7, Block 3 of Tansy Court, according to the plat recorded in Plat Book 12,
page 7; thence South 02 degrees 14 minutes 30 seconds East along the east line of said Lot 7, a distance of 50.00 feet
to a 5/8 inch iron pin found and the POINT OF BEGINNING; thence continuing S 02°14'30" E along the line of the lands of
J. Marrow, 148.20 feet to a 5/8 inch iron pin found, capped LS 1178; thence along a curve to the right having a radius
of 250.00 feet, an arc distance of 61.35 feet, a central angle of 14°03'36", a chord bearing of S 80°12' W and chord
distance of 61.20 feet to a stone; thence N 87° W along the northerly right-of-way line of Mill Road (a 60-foot
right-of-way), One Hundred Twenty (120.00) feet, more or less, to a 1/2" rebar set, said point being on the northerly
line of Lot 8 and 30.00 feet from its corner; thence along the road to the POINT OF BEGINNING, containing 0.52 acres,
more or less. SUBJECT TO a 10 foot utility easement recorded in Deed Book 44, Page 102.
"""


def degrees(prose: Prose) -> list[float | None]:
    return [None if c.read.azimuth is None else round(math.degrees(c.read.azimuth), 6) for c in prose.calls]


def feet(prose: Prose) -> list[float | None]:
    return [None if c.read.length is None else round(c.read.length.m / FT, 6) for c in prose.calls]


def problems(text: str, **options: str) -> dict[str, str]:
    """Problems of a text by slug, with what was found."""
    with pytest.raises(ProblemError) as told:
        read_prose(text, Options(**options))
    for problem in told.value.problems:
        line = [*text.splitlines(), ""][problem.where.line - 1]
        assert 1 <= problem.where.column <= len(line) + 1
        assert problem.where.column - 1 + problem.where.width <= len(line) + 1
        assert problem.render()
    return {problem.slug: problem.found for problem in told.value.problems}


def around(*calls: str, head: str = "Beginning at a stake", tail: str = "to the place of beginning.") -> str:
    return f"{head}; " + "".join(f"thence {call}; " for call in calls[:-1]) + f"thence {calls[-1]} {tail}"


# ---------------------------------------------------------------- a whole description


def test_calls_and_what_stands_beside_them() -> None:
    prose = read_prose(LOT)
    assert degrees(prose) == [pytest.approx(177.758333), pytest.approx(260.2), 273.0, None]
    assert feet(prose) == [148.2, 61.2, 120.0, None]
    assert [c.monument for c in prose.calls] == [
        "5/8 inch iron pin found, capped LS 1178",
        "stone",
        '1/2" rebar set',
        "",
    ]
    assert [c.read.about for c in prose.calls] == [False, False, True, False]
    curve = prose.calls[1].read.curve
    assert curve is not None
    assert (curve.side, curve.joins) == ("right", "")
    assert [part.m / FT for part in (curve.radius, curve.arc) if part] == pytest.approx([250.0, 61.35])
    assert math.degrees(curve.delta or 0.0) == pytest.approx(14.06)
    assert prose.calls[0].along == ("along the line of the lands of J. Marrow",)
    assert prose.calls[2].noted == (
        "60-foot right-of-way",
        "said point being on the northerly line of Lot 8 and 30.00 feet from its corner",
    )
    assert prose.comes_back


def test_calls_to_the_beginning_are_no_part_of_the_ring() -> None:
    prose = read_prose(LOT)
    (tie,) = prose.ties
    assert tie.text == "South 02 degrees 14 minutes 30 seconds East 50.00 feet"
    assert prose.begins == "5/8 inch iron pin found"
    assert len(read_prose(LOT.replace("Commencing", "Beginning").replace("POINT", "TRUE POINT", 1)).ties) == 1
    assert "deed-goes-on" in problems(LOT.replace("Commencing", "Beginning"))
    assert "deed-beginning-missing" in problems(LOT.replace("the POINT OF BEGINNING; ", "a corner; ", 1))


def test_area_is_called_and_an_easement_is_no_area() -> None:
    prose = read_prose(LOT)
    (area,) = prose.areas
    assert area.called
    assert area.about
    assert area.m2 == pytest.approx(0.52 * 43_560 * FT**2)
    assert area.within_m2 == pytest.approx(0.005 * 43_560 * FT**2)
    assert "10 foot utility easement" in prose.noted
    assert {"Lot 7", "Block 3", "Plat Book 12", "page 7", "Deed Book 44", "Page 102"} <= set(prose.noted)


def test_words_without_a_number_are_passed_by_and_listed() -> None:
    prose = read_prose(
        around("N 10 E 5 feet crossing a dry gully", "S 80 E 5 feet by the old orchard", "S 60 W 8 feet")
    )
    assert prose.calls[0].passed == ("crossing a dry gully",)
    assert prose.calls[1].passed == ("by the old orchard",)


# ---------------------------------------------------------------- spellings

SPELLINGS = [
    ("North thirty-six degrees East twelve and one half rods", 36.0, 12.5 * 16.5),
    ("S. 30 degrees 15' W., 7 ch., 17 lk.,", 210.25, 7 * 66 + 17 * 0.66),
    ("due West, Forty (40) feet,", 270.0, 40.0),
    ("North 200 feet along the road", 0.0, 200.0),
    ("North along the road 200 feet", 0.0, 200.0),
    ("N45-30-15E a distance of 120.55' to a pin", 45.504167, 120.55),
    ("S.12°30'E. for a distance of 100.00 feet (30.48 m)", 167.5, 100.0),
    ("N 12 E, passing an iron pin at 20.00 feet, a total distance of 100.00 feet,", 12.0, 100.0),
    ("N 12 E 100.00 feet, passing a pin at 20.00 feet,", 12.0, 100.0),
    ("northeasterly N 12*30' E along Highway 41, 100 US survey feet", 12.5, 100 * 1200 / 3937 / FT),
    ("N 12 E (North twelve degrees East) 100 feet (One Hundred feet)", 12.0, 100.0),
    ("running South seventy-four degrees thirty minutes West one hundred and fifty and five-tenths feet", 254.5, 150.5),
    ("az 157°30', 3 chains (engineer's)", 157.5, 300.0),
    ("157°30' from true south, 80 feet", 337.5, 80.0),
]


@pytest.mark.parametrize(("call", "bearing", "length"), SPELLINGS, ids=[call[:30] for call, _, _ in SPELLINGS])
def test_a_call_in_the_spellings_of_deeds(call: str, bearing: float, length: float) -> None:
    prose = read_prose(around(call, "S 1 E 10 feet", "W 3 feet"))
    assert degrees(prose)[0] == pytest.approx(bearing)
    assert feet(prose)[0] == pytest.approx(length)


CURVES = [
    "along the arc of a curve to the left, having a radius of 25.00 feet, through a central angle of 90°00'00\", an arc"
    " length of 39.27 feet (the chord of which bears N 45°00'00\" E, 35.36 feet)",
    "with a curve to the left whose radius is 25.00 feet, the chord bears N 45°00'00\" E a distance of 35.36 feet, for an arc"
    " distance of 39.27 feet and a central angle of ninety (90) degrees",
    "ALONG A CURVE TO THE L (CHORD BEARS: N 45 DEG 0' 0\" E 35.36 FT, RADIUS = 25.00 FT, ARC = 39.27 FT, DELTA 90°)",
]


@pytest.mark.parametrize("call", CURVES)
def test_a_curve_in_the_spellings_of_deeds(call: str) -> None:
    prose = read_prose(around("N 10 feet", call, "W 3 feet"))
    read = prose.calls[1].read
    assert read.curve is not None
    assert read.curve.side == "left"
    assert [part.m / FT for part in (read.curve.radius, read.curve.arc, read.length) if part] == pytest.approx(
        [25.0, 39.27, 35.36]
    )
    assert (math.degrees(read.azimuth or 0.0), math.degrees(read.curve.delta or 0.0)) == pytest.approx((45.0, 90.0))


def test_a_curve_that_is_described_where_it_begins() -> None:
    prose = read_prose(
        around(
            "N 10 E 20.00 feet to the beginning of a tangent curve to the right, having a radius of 25.00 feet",
            "along said curve through a central angle of 90°, an arc distance of 39.27 feet",
            "W 3 feet",
        )
    )
    curve = prose.calls[1].read.curve
    assert curve is not None
    assert (curve.side, curve.joins, curve.radius and curve.radius.text) == ("right", "tangent", "25.00 feet")
    assert feet(prose)[0] == 20.0


def test_areas_in_old_and_new_units() -> None:
    for words, acres in (
        ("thirty acres two roods and four perches", 30.525),
        ("0.14 of an acre", 0.14),
        ("22,651 square feet or 0.52 acres", 22_651 / 43_560),
        ("one-half acre", 0.5),
        ("2 hectares", 20_000 / 4046.8564224),
    ):
        prose = read_prose(around("N 10 feet", "E 10 feet", "S 45 W 14 feet", tail=f"to the POB, containing {words}."))
        assert prose.areas[0].m2 / 4046.8564224 == pytest.approx(acres)


def test_the_north_of_the_bearings() -> None:
    text = around("N 10 feet", "E 10 feet", "S 45 W 14 feet")
    assert read_prose(f"{text} Bearings are based on grid north, NAD 83.").bearings == "grid"
    assert read_prose(f"{text} All bearings are magnetic of the year 1998.").bearings == "magnetic"
    assert read_prose(text).bearings == ""


# ---------------------------------------------------------------- what is told


@pytest.mark.parametrize(
    ("call", "slug", "found"),
    [
        ("N 12 E 100 feet and 7 widgets", "deed-number-not-read", "'7'"),
        ("N 12 E 100 feet and half a day", "deed-number-not-read", "'half'"),
        ("N 12 E 100 feet two stones", "deed-number-not-read", "'two'"),
        ("N 12 E 12,5 feet", "deed-number-not-read", "'12,5'"),
        ("N 12 E \u0663\u0663 feet", "deed-number-not-read", "'\u0663\u0663'"),
        ("N 12 E One Hundred Twenty (130.00) feet", "deed-said-twice", "'One Hundred Twenty (130.00)'"),
        ("N 12 E (N 13 E) 100 feet", "deed-said-twice", "'N 12 E (N 13 E'"),
        ("N 12 E 100.00 feet (31.48 m)", "deed-said-twice", "'100.00 feet (31.48 m'"),
        ("N 12 E 100 feet 50 feet", "deed-two-distances", "'50 feet'"),
        ("N 12 E 100 feet N 13 E", "deed-two-bearings", "'N 13 E'"),
        ("northerly along the wall 100 feet", "deed-bearing-missing", "'northerly along the wall 100 feet'"),
        ("at right angles to the road 100 feet", "deed-bearing-missing", "'at right angles to the road 100 feet'"),
        ("N 12 E along the wall to a pin", "deed-distance-missing", "'N 12 E along the wall to a pin'"),
        ("N 95 E 100 feet", "bearing-degrees-range", "'95'"),
        ("N 12°75' E 100 feet", "bearing-minutes-range", "'75'"),
        ("northeast 100 feet", "bearing-half-way", "'northeast'"),
        ("along a curve having a radius of 25.00 feet, an arc of 39.27 feet", "curve-side-missing", ""),
        ("along a curve to the left, a radius of 25 feet, delta 90°, to a point 30 feet on", "deed-number-not-read", "'30'"),
        ("N 12 varas", "vara-state-missing", "'varas'"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_told_at_its_place(call: str, slug: str, found: str) -> None:
    told = problems(around(call, "S 1 E 10 feet", "W 3 feet"))
    assert slug in told
    if found:
        assert told[slug] == found


@pytest.mark.parametrize(
    "words", ["LESS AND EXCEPT the west 10 feet", "excepting therefrom the well", "SAVE AND EXCEPT", "less the road"]
)
def test_an_exception_is_refused(words: str) -> None:
    assert "deed-exception" in problems(around("N 10 feet", "E 10 feet", "S 45 W 14 feet") + f" {words}.")


def test_a_second_description_is_refused() -> None:
    one = around("N 10 feet", "E 10 feet", "S 45 W 14 feet")
    assert "deed-goes-on" in problems(f"{one} Also {one}")


def test_a_text_without_calls() -> None:
    assert "deed-empty" in problems("Lot 7 of Tansy Court")
    assert "deed-empty" in problems("")
    assert not is_prose("S36-00-00E 379.25\nN 12 E 3 ft\n")
    assert is_prose(LOT)


def test_bare_numbers_take_the_unit_that_is_given() -> None:
    text = around("N 12 E 100.00 to a pin", "S 1 E, 10", "W 3")
    assert "deed-number-not-read" in problems(text)
    assert feet(read_prose(text, Options(unit="ft"))) == [100.0, 10.0, 3.0]


# ---------------------------------------------------------------- laws

PIECES = [
    "thence", "N 12°30' E", "S 45 W", "North", "due west", "100.00 feet", "61.35'", "(30.48 m)", "One Hundred Twenty",
    "(120.00)", "feet", "more or less", "along the line of Lot 7", "along a curve to the right", "radius of 250 feet",
    "arc 61.35 feet", "central angle of 14°03'36\"", "chord bearing of S 80°12' W", "and", ",", ";", ".", "(", ")",
    "to a 5/8 inch iron pin found", "capped LS 1178", "to the POINT OF BEGINNING", "said point being 3 feet from",
    "containing 0.52 acres", "22,651 square feet", "Commencing at", "Beginning at", "Plat Book 12, page 7", "half", "two",
    "12,5", "1/0", "1 1/2", "7", "0", "½", "\u0663", "\u00b2", "#5 rebar", "May 4, 2003", "a 60-foot right-of-way",
    "LESS AND EXCEPT", "passing", "at 20 feet", "total distance of", "the beginning of a curve", "along said curve",
    "bearings are grid", "\n", "°", "'", "\"", "-", "*", "=", "\x00", "$10", "NW1/4", "5th", "1.", "(2)", "the following two (2) courses:",
]  # fmt: skip


def read_or_told(text: str) -> Prose | None:
    """The reading, or None where problems are told, each at its place."""
    told: tuple[Problem, ...] = ()
    try:
        return read_prose(text)
    except ProblemError as error:
        told = error.problems
    assert told
    for problem in told:
        assert problem.slug
        assert 1 <= problem.where.line <= text.count("\n") + 1
        assert problem.found
    return None


@pytest.mark.parametrize(
    "words",
    ["to a pin " + "LS " * 6_000, "to a 5/8 inch " * 1_300, "Lots 1, " + "2, " * 6_000,
     "along the " * 1_900, "N 1 E 5 feet thence " * 600, "(" * 19_000, "to a pin capped \"" + "x" * 19_000],
    ids=["licences", "sizes", "lots", "lines", "calls", "brackets", "quote"],
)  # fmt: skip
def test_a_long_text_of_one_kind_is_read_or_told_without_searching_for_ever(words: str) -> None:
    """None of these is a description; blanks behind one are nothing."""
    assert read_or_told(f"Beginning at a stake; thence {words}"[:20_000]) is None
    assert read_or_told(f"Beginning at a stake; thence N 1 E 5 feet{' ' * 19_000}") is not None


def test_every_monument_of_a_call_is_said() -> None:
    (call, *_) = read_prose(around("N 5 feet to an iron pin at a white oak", "E 5 feet", "S 45 W 7 feet")).calls
    assert call.monument == "iron pin; white oak"


def said(prose: Prose, text: str) -> str:
    """Every word of the reading that may hold a numeral."""
    parts = [*prose.noted, *prose.passed, prose.commences, prose.begins]
    for call in (*prose.ties, *prose.calls):
        parts += [call.text, call.monument, *call.along, *call.noted, *call.passed]
    parts += [text[area.start : area.end] for area in prose.areas]
    return "\n".join(parts)


_LISTS = re.compile(r"\(\d\)|\b\d\.(?=\s)")
"""Numbers of a list of calls."""


def numerals(text: str) -> Counter[str]:
    return Counter(re.findall(r"\d+", text))


@settings(max_examples=800, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=40).map(" ".join))
def test_any_pieces_are_read_or_told_and_no_numeral_is_lost(text: str) -> None:
    prose = read_or_told(text)
    if prose is not None:
        assert not numerals(_LISTS.sub(" ", text)) - numerals(said(prose, text))


@settings(max_examples=400, deadline=None)
@given(st.text(max_size=400) | st.text("0123456789½'\"° NSEW.,;()\n", max_size=60))
def test_any_text_is_read_or_told(text: str) -> None:
    """What is read has every figure that was typed; what is not is told with its place and the words that stand there."""
    for words in (text, f"Beginning; thence {text}; thence N 1 E 3 feet"):
        prose = read_or_told(words)
        if prose is None:
            continue
        assert not numerals(_LISTS.sub(" ", words)) - numerals(said(prose, words))
        if words is not text:
            assert prose.calls[-1].text.endswith("N 1 E 3 feet")


@settings(max_examples=500, deadline=None)
@given(st.integers(0, 160), st.sampled_from(["917", "917.5", "nine", "9,1", "half", "917 feet", "1/3", "N 17 E"]))
def test_a_number_that_is_slipped_in_is_told_or_shown(place: int, number: str) -> None:
    """Wherever a number stands in the invented description, it is a problem or stands in the reading, word for word."""
    words = LOT.split(" ")
    place = min(place, len(words))
    text = " ".join([*words[:place], number, *words[place:]])
    prose = read_or_told(text)
    if prose is not None:
        assert not numerals(text) - numerals(said(prose, text))
        assert number.split()[0].lower() in said(prose, text).lower()


@given(
    st.lists(
        st.tuples(st.sampled_from("NS"), st.integers(1, 89), st.integers(0, 59), st.sampled_from("EW"), st.integers(100, 99999)),
        min_size=3, max_size=8,
    )
)  # fmt: skip
def test_calls_in_sentences_are_the_calls_line_by_line(rows: list[tuple[str, int, int, str, int]]) -> None:
    lines = [f"{a} {d}°{m:02d}' {b} {n / 100:.2f} feet" for a, d, m, b, n in rows]
    prose = read_prose(around(*(f"{line} to a stone" for line in lines)))
    ours = [(c.read.azimuth, c.read.length and c.read.length.m) for c in prose.calls]
    theirs = [(c.azimuth, c.length_m) for c in read_deed("\n".join(lines))]
    assert ours == theirs
    assert closure([(a or 0.0, n or 0.0) for a, n in ours]).perimeter_m > 0.0


@pytest.mark.parametrize("pin", ["1/2 inch rebar with cap 4410", "iron rod with plastic cap #88", "pin w/ tag 120"])
def test_the_number_of_a_cap_belongs_to_its_pin(pin: str) -> None:
    prose = read_prose(around(f"N 10 E 100 feet to a {pin}", "E 50 feet", ""))
    assert prose.calls[0].monument == pin


# ---------------------------------------------------------------- courses that lean on the call before


def test_the_same_course_is_that_of_the_call_before() -> None:
    prose = read_prose(
        around(
            "N 12°30' E 100 feet to a stone",
            "continuing on the same course, along the line of Lot 7, 50 feet",
            "in the same direction 20 feet",
            "S 80° E 90 feet",
            "due West",
        )
    )
    assert degrees(prose)[:4] == [12.5, 12.5, 12.5, 100.0]
    assert feet(prose)[:4] == [100.0, 50.0, 20.0, 90.0]
    assert prose.calls[1].text == "on the same course 50 feet"
    assert prose.calls[1].along == ("along the line of Lot 7",)


@pytest.mark.parametrize(
    ("call", "hint"),
    [
        ("continuing along said line, 50 feet", "`on the same course`"),
        ("along the fence, 50 feet", "is no bearing"),
    ],
)
def test_a_line_that_is_continued_is_no_bearing(call: str, hint: str) -> None:
    with pytest.raises(ProblemError) as told:
        read_prose(around("N 12°30' E 100 feet", call, "S 80° E 90 feet"))
    assert [problem.slug for problem in told.value.problems] == ["deed-bearing-missing"]
    assert hint in told.value.problems[0].hint


def test_a_curve_has_no_course_to_go_on_in() -> None:
    curve = "along a curve to the left, radius 100 feet, arc 50 feet, chord N 10° E 49.48 feet"
    with pytest.raises(ProblemError) as told:
        read_prose(around("N 12°30' E 100 feet", curve, "on the same course 50 feet", "S 80° E 90 feet"))
    assert told.value.problems[0].hint.startswith("no straight call")


@pytest.mark.parametrize(
    ("before", "curve", "side"),
    [
        ("N 88°55' E 150 feet", "a curve concave southerly, radius 200 feet, delta 30°", "right"),
        ("N 88°55' E 150 feet", "a curve concave to the north, radius 200 feet, delta 30°", "left"),
        ("N 45° E 150 feet", "a curve, concave toward the northwest, radius 200 feet, arc 100 feet", "left"),
        ("due North 20 feet", "a curve concave easterly, radius 20 feet, delta 170°, chord S 88° E 39.8 feet", ""),
        ("due South 20 feet", "a curve concave southeasterly, radius 20 feet, arc 20 feet, chord N 45° E 19 feet", "right"),
        ("due North 20 feet", "a curve concave to the left, radius 20 feet, delta 20°", "left"),
        ("N 88°55' E 150 feet", "a curve concave easterly, radius 200 feet, delta 30°", ""),
        ("due East 9 feet", "a non-tangent curve concave southerly, radius 200 feet, delta 30°", ""),
    ],
)  # fmt: skip
def test_the_hollow_side_of_a_curve_tells_where_it_goes(before: str, curve: str, side: str) -> None:
    """Drawn by hand: walking east, a curve whose centre lies south goes right."""
    text = around(before, f"along {curve}", "S 2° W 100 feet")
    if side:
        found = read_prose(text).calls[1].read.curve
        assert found is not None
        assert found.side == side
    else:
        assert list(problems(text)) == ["curve-side-missing"]


def test_a_distance_along_the_arc_of_said_curve_is_its_arc() -> None:
    head = "N 88° E 100 feet to the point of curvature of a curve concave to the southwest, having a radius of 25 feet"
    found = read_prose(
        around(head, "along the arc of said curve, 39.27 feet to the point of tangency", "S 2° E 90 feet")
    )
    curve = found.calls[1].read.curve
    assert curve is not None
    assert curve.arc is not None
    assert (curve.side, curve.arc.m) == ("right", pytest.approx(39.27 * FT))


@pytest.mark.parametrize("nail", ["60d nail found in a fence post", "sixty penny nail set", "20 d common nail"])
def test_the_size_of_a_nail_in_pennies_is_part_of_it(nail: str) -> None:
    found = read_prose(around(f"N 100 feet to a {nail}", "E 90 feet", "S 40 W 120 feet"))
    assert "nail" in found.calls[0].monument


def test_a_curve_that_is_hollow_to_its_other_side_is_told() -> None:
    curve = "along a curve to the left, concave southerly, radius 200 feet, delta 30°"
    assert list(problems(around("N 88° E 150 feet", curve, "S 2° W 100 feet"))) == ["curve-side-concave"]


def test_varas_are_those_of_the_state_that_is_named() -> None:
    """36 Texas varas are 100 feet; a California vara is 33 inches (NIST; Texas units of land measure)."""
    calls = ("N 36 Texas varas", "E 98 varas", "S 12 California varas", "W 90 feet")
    assert feet(read_prose(around(*calls), Options(vara="Texas"))) == [100.0, pytest.approx(98 / 0.36), 33.0, 90.0]
    assert list(problems(around(*calls))) == ["vara-state-missing"]
    curve = "along a curve to the left, radius 36 Texas varas, arc 50 feet, chord N 10° E 49.48 feet"
    found = read_prose(around("N 10 feet", curve, "S 90 feet")).calls[1].read.curve
    assert found is not None
    assert found.radius is not None
    assert found.radius.m == pytest.approx(100 * FT)


def test_the_number_of_a_cap_belongs_to_the_pin() -> None:
    prose = read_prose(around("N 100 feet to a 5/8 inch iron rod found, cap 1178", "E 90 feet", "S 40 W 120 feet"))
    assert prose.calls[0].monument == "5/8 inch iron rod found, cap 1178"


def test_calls_that_nothing_divides_are_told_in_a_time_that_grows_with_the_text() -> None:
    """A text four times as long may take eight times as long, and not sixteen."""

    job = "palewright: 1\njob: {{title: x}}\nboundary:\n  start: A\n  deed: '{}'\n"

    def seconds(count: int) -> float:
        spent = []
        for _ in range(3):
            start = time.process_time()
            with pytest.raises(ProblemError) as caught:
                read_text(job.format("N 45 E 100 ft " * count))
            spent.append(time.process_time() - start)
            assert "deed-two-bearings" in {problem.slug for problem in caught.value.problems}
        return min(spent)

    seconds(10)
    assert seconds(1200) < 8 * seconds(300)
