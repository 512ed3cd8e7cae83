"""Slips of the eye and the pencil: what was made is found, what fits nothing is not claimed, whatever is typed."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sample_plan import sample_plan

from palewright.model import Observation, Suspect
from palewright.papers.words import say
from palewright.survey import guess_suspect, misreadings, suspect_remark

FT, IN = 0.3048, 0.0254
SIGMA = 0.012 * FT
ENGLISH = sample_plan().settings
SPANISH = replace(ENGLISH, language="es")

#: written, true reading [m], sigma [m], the slip
MADE = [
    ("41' 6 1/2\"", 40 * FT + 6.5 * IN, "whole feet"),
    ("41' 6 1/2\"", 42 * FT + 6.5 * IN, "whole feet"),
    ("41' 6 1/2\"", 31 * FT + 6.5 * IN, "ten feet"),
    ("41' 0\"", 40 * FT + 10 * IN, "ten inches for a foot"),
    ("41' 10\"", 42 * FT, "ten inches for a foot"),
    ("41' 6\"", 41.6 * FT, "tenths for inches"),
    ("41.6 ft", 41 * FT + 6 * IN, "tenths for inches"),
    ("41.11 ft", 41 * FT + 11 * IN, "tenths for inches"),
    ("41' 6 1/2\"", 41 * FT + 9.5 * IN, "six and nine"),
    ("69.25 ft", 66.25 * FT, "six and nine"),
    ("41.6 ft", 46.1 * FT, "swapped digits"),
    ("14' 3\"", 41 * FT + 3 * IN, "swapped digits"),
    ("41' 4\"", 41 * FT + 8 * IN, "wrong side of the foot"),
    ("41.30 ft", 40.70 * FT, "wrong side of the foot"),
    ("41' 6 1/2\"", 141 * FT + 6.5 * IN, "tape length dropped"),
    ("141.25 ft", 41.25 * FT, "tape length dropped"),
    ("12.65 m", 13.65, "whole metres"),
    ("12.65 m", 12.55, "whole decimetres"),
    ("12.65 m", 12.95, "six and nine"),
    ("12.65 m", 16.25, "swapped digits"),
    ("12.65 m", 42.65, "tape length dropped"),
    ("12.63 m", 12.67, "wrong side of the mark"),
]


@pytest.mark.parametrize(("words", "true", "slip"), MADE)
def test_a_slip_that_was_made_is_among_those_named_and_the_reading_is_right(words: str, true: float, slip: str) -> None:
    written = _written(words)
    tape_m = 30.0 if words.endswith("m") else 100 * FT
    found = misreadings(words, written - true + 0.002 * FT, SIGMA, tape_m=tape_m)
    assert slip in [m.guess for m in found if m.reading == pytest.approx(true, abs=1e-9)]
    assert found[0].reading == pytest.approx(true, abs=1e-9)
    assert math.fsum(m.chance for m in found) <= 1.0 + 1e-12


def _written(words: str) -> float:
    """By hand, without the reader of the program."""
    if words.endswith(" m"):
        return float(words[:-2])
    if words.endswith(" ft"):
        return float(words[:-3]) * FT
    feet, inches = words.rstrip('"').split("' ")
    whole, _, half = inches.partition(" ")
    return float(feet) * FT + (float(whole) + (0.5 if half else 0.0)) * IN


def test_a_foot_too_long_may_be_a_burnt_foot_too() -> None:
    found = misreadings("41' 6 1/2\"", FT, SIGMA)
    assert [m.guess for m in found] == ["whole feet", "burnt foot"]
    assert found[0].reading == found[1].reading
    assert "burnt foot" not in [m.guess for m in misreadings("41' 6 1/2\"", -FT, SIGMA)]


def test_the_sign_of_a_correction() -> None:
    found = misreadings("300.00 ft", 0.30 * FT, 0.01 * FT, correction=0.15 * FT)
    assert found[0].guess == "other sign"
    assert found[0].reading == pytest.approx(299.70 * FT)


def test_angles() -> None:
    degree = math.radians(1.0)
    assert misreadings("98°30'00\"", degree, degree / 60, angle=True)[0].guess == "whole degrees"
    assert misreadings("41°30'", (41 - 14) * degree, degree / 60, angle=True)[0].guess == "swapped digits"
    assert misreadings("237°40'", 180 * degree, degree / 60, angle=True)[0].guess == "sighted back"


@pytest.mark.parametrize(
    ("words", "blunder", "sigma"),
    [
        ("41' 6 1/2\"", 0.55 * FT, SIGMA),  # nothing that people do
        ("41' 6 1/2\"", 1.5 * SIGMA, SIGMA),  # no blunder at all
        ("41' 6 1/2\"", 1.0 * FT, 3.0 * FT),  # nobody can tell
        ("41' 6 1/2\"", 1.3 * FT, 0.5 * FT),
        ("about forty", FT, SIGMA),
        ("", FT, SIGMA),
        ("41", FT, SIGMA),  # no unit
        ("41' 6\"", math.nan, SIGMA),
        ("41' 6\"", math.inf, SIGMA),
    ],
)
def test_nothing_is_claimed_without_support(words: str, blunder: float, sigma: float) -> None:
    assert misreadings(words, blunder, sigma) == ()


def test_claims_come_true_as_often_as_they_say() -> None:
    """Tapes to an eighth of an inch, slips of three sorts or a blunder of any size: most claims are so."""
    draw = random.Random(11)
    claimed = right = 0
    for _ in range(1500):
        feet, eighths = draw.randint(12, 98), draw.randrange(96)
        written = feet * FT + eighths * IN / 8
        whole, part = divmod(eighths, 8)
        words = f"{feet}' {whole} {part}/8\"" if part else f"{feet}' {whole}\""
        slip = draw.choice([FT, -FT, 10 * FT, None])
        blunder = (
            slip if slip is not None else draw.choice([-1, 1]) * math.exp(draw.uniform(math.log(0.05), math.log(5.0)))
        )
        sigma = draw.uniform(0.01, 0.15) * FT
        found = misreadings(words, blunder + draw.gauss(0.0, sigma), sigma)
        if found:
            claimed += 1
            right += abs(found[0].reading - (written - blunder)) < 0.01
    assert claimed > 500
    assert right / claimed > 0.85


pieces = st.lists(
    st.sampled_from([*"0123456789", "'", '"', " ", ".", "/", "ft", "in", "m", "½", "-", "e", "°", "69"]), max_size=10
)


@given(st.one_of(st.text(max_size=40), pieces.map("".join)), st.floats(-50, 50), st.floats(1e-6, 5), st.booleans())
def test_any_words(words: str, blunder: float, sigma: float, angle: bool) -> None:
    found = misreadings(words, blunder, sigma, unit="ft", angle=angle)
    assert all(m.reading > 0.0 and 0.0 < m.chance <= 1.0 for m in found)
    assert math.fsum(m.chance for m in found) <= 1.0 + 1e-9


def test_a_suspect_is_given_its_guess_and_said_in_both_languages() -> None:
    seen = Observation("distance", ("NE", "house 1"), 41 * FT + 6.5 * IN, SIGMA, words="41' 6 1/2\"")
    suspect = guess_suspect(Suspect(0, FT + 0.001), seen, 0.6)
    assert suspect.guess == "whole feet"
    assert suspect.reading == pytest.approx(40 * FT + 6.5 * IN)
    remark = suspect_remark(suspect, seen)
    english = say(remark, ENGLISH)
    assert english.startswith('The tape from NE to house 1 is 12" longer than the rest allow')
    assert "whole foot misread" in english
    assert "40' 6 1/2\"" in english
    spanish = say(suspect_remark(suspect, seen, ("A-B", "B-C")), SPANISH)
    assert "NE" in spanish
    assert "A-B, B-C" in spanish
    assert "{" not in english + spanish
    assert "whole" not in spanish
    assert guess_suspect(Suspect(0, FT), seen, 0.0) == Suspect(0, FT)
    plain = say(suspect_remark(Suspect(0, -0.55 * FT), seen), ENGLISH)
    assert "shorter" in plain
    assert "?" not in plain


def test_other_readings_have_their_own_words() -> None:
    offset = Observation("offset", ("P", "A", "B"), 3.0, 0.01, words="9' 10\"")
    angle = Observation("angle", ("A", "B", "C"), 1.5, 0.01, words="85°57'")
    assert suspect_remark(Suspect(0, 0.3), offset).slug == "reading-suspect"
    said = say(suspect_remark(Suspect(0, 0.1), angle), ENGLISH)
    assert "larger" in said
    assert "°" in said
