"""One line measured with a corrected tape: Mahun's lessons on distances, chapter E, section 4 (feet, pounds, Fahrenheit).

The page prints its figures as pictures; the input is read from it, the parts are recomputed outside this project. Tape
100.004 ft at 70 F, 23 lb, supported throughout; 2.2 lb over 102 ft, 0.004 sq in, 29 000 000 psi, 0.0000065 per F. Used at
50 F and 15 lb: 436.48 ft, two lengths lying and two lengths and the rest hanging from their ends.

The same author's self-study 3, problem 5, prints 0.14 ft off level for 1:10 000 in 100 ft; that is 1:1 000 000. Right is
1.414 ft.

sources: mahun-distances
"""

from __future__ import annotations

import math

import pytest

from palewright.survey import (
    length_correction,
    level_length,
    measured_line,
    pull_correction,
    sag_correction,
    temperature_correction,
)

READ = 436.48
PARTS = {
    "length": (length_correction(READ, 100.0, 100.004), 0.0175),
    "temperature": (temperature_correction(READ, 50.0, 70.0, 6.5e-6), -0.0567),
    "pull": (pull_correction(READ, 15.0, 23.0, 0.004, 29.0e6), -0.0301),
    "sag": (sag_correction([100.0, 100.0, 36.48], 2.2 / 102.0, 15.0), -0.1765),
}


@pytest.mark.parametrize("name", PARTS)
def test_each_correction(name: str) -> None:
    ours, theirs = PARTS[name]
    assert abs(ours - theirs) <= 0.00005


def test_sag_of_one_length_and_of_the_rest() -> None:
    assert abs(sag_correction([100.0], 2.2 / 102.0, 15.0) + 0.0861) <= 0.0001  # 0.08615: either last digit
    assert abs(sag_correction([36.48], 2.2 / 102.0, 15.0) + 0.0042) <= 0.00005


def test_the_line() -> None:
    line = measured_line(READ, {name: ours for name, (ours, _) in PARTS.items()})
    assert abs(line.true_m - 436.234) <= 0.0005
    assert math.fsum(line.corrections.values()) == pytest.approx(line.true_m - READ, abs=1e-12)


def test_an_end_off_level_by_1_414_in_100() -> None:
    assert 100.0 - level_length(100.0, 1.414) == pytest.approx(0.01, rel=0.001)
    assert (100.0 - level_length(100.0, 0.14)) / 100.0 == pytest.approx(1.0e-6, rel=0.05)
