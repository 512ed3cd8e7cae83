"""What a steel tape reads and what is true: length, temperature, pull, sag and slope.

Measuring a line adds a correction to the reading; laying out a given length subtracts it. Fibreglass has no coefficient
worth the name: compare it with a steel tape and use the length correction alone (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from palewright.errors import Problem, ProblemError
from palewright.notation import show_length
from palewright.record import Record

__all__ = [
    "MODULUS_STEEL_PA",
    "STANDARD_TEMPERATURE_C",
    "STEEL_PER_K",
    "TapedLine",
    "length_correction",
    "level_length",
    "measured_line",
    "normal_tension",
    "pull_correction",
    "reading_to_set",
    "sag_correction",
    "sag_depth",
    "temperature_correction",
]

STEEL_PER_K = 6.45e-6 * 1.8
"""Expansion of a steel tape: 0.00000645 per degree Fahrenheit (the figure most handbooks give) [1/K]."""
MODULUS_STEEL_PA = 29.0e6 * 6894.757293168361
"""Modulus of elasticity of a steel tape: 29 000 000 psi (handbooks give 28 to 30 million) [Pa]."""
STANDARD_TEMPERATURE_C = 20.0
"""Temperature at which a steel tape is right unless its maker says otherwise: 20 degrees C, 68 degrees F."""


def length_correction(reading: float, nominal: float, true: float) -> float:
    """Correction for a tape that is not as long as it says.

    reading
        as read [m], >= 0. nominal: length marked on the tape [m], > 0. true: its length when compared [m], > 0.
    Returns (true - nominal) / nominal x reading [m], to be added to a measured line. A tape that is too long reads
    short. Raises ValueError outside the ranges. Source: geometry; Mahun, lessons on distances, taping corrections.

    >>> round(500.0 + length_correction(500.0, 100.0, 100.02), 6)
    500.1
    """
    _at_least(0.0, reading)
    _above_zero(nominal, true)
    return (true - nominal) / nominal * reading


def temperature_correction(reading: float, temperature: float, standard: float, per_k: float = STEEL_PER_K) -> float:
    """Correction for a tape warmer or colder than its standard temperature.

    reading
        as read [m], >= 0. temperature, standard: both in one scale of kelvin steps [C or K].
    per_k
        expansion [1/K], >= 0.
    Returns k (T - T0) reading [m], to be added. Raises ValueError outside the ranges.
    Source: Mahun, taping corrections.

    >>> round(temperature_correction(50.0, 0.0, 20.0, 11.2e-6) * 1000, 1)
    -11.2
    """
    _at_least(0.0, reading, per_k)
    return per_k * (temperature - standard) * reading


def pull_correction(
    reading: float, pull: float, standard: float, section: float, modulus: float = MODULUS_STEEL_PA
) -> float:
    """Correction for a pull other than the standard one.

    reading
        as read [m], >= 0. pull, standard: tension now and when the tape was compared [N], >= 0.
    section, modulus
        cross section of the ribbon [m2] and its modulus [Pa], > 0.
    Returns (P - P0) reading / (A E) [m], to be added. Raises ValueError outside the ranges.
    Source: Hooke's law; Mahun, taping corrections.

    >>> round(pull_correction(100.0, 20.0, 10.0, 0.003, 29.0e6), 4)
    0.0115
    """
    _at_least(0.0, reading, pull, standard)
    _above_zero(section, modulus)
    return (pull - standard) * reading / (section * modulus)


def sag_correction(spans: Sequence[float], weight: float, pull: float) -> float:
    """Correction for a tape that hangs between supports.

    spans
        each stretch between two supports [m], >= 0; stretches that lie on the ground are left out.
    weight
        per length [N/m], >= 0. pull: [N], > 0.
    Returns -sum of w^2 L^3 / (24 P^2) [m], span by span: the cube forbids doing it on the total. Never positive.
    Raises ValueError outside the ranges. Source: parabola in place of the catenary; Mahun, taping corrections.

    >>> round(sag_correction([100.0, 100.0, 100.0, 48.75], 0.028, 12.0), 4)
    -0.7068
    """
    _at_least(0.0, weight, *spans)
    _above_zero(pull)
    return -math.fsum(weight**2 * span**3 for span in spans) / (24.0 * pull**2)


def sag_depth(span: float, weight: float, pull: float) -> float:
    """How far the middle of a tape or string hangs below its ends.

    span
        between supports [m], >= 0. weight: per length [N/m], >= 0. pull: [N], > 0.
    Returns w L^2 / (8 P) [m]. Raises ValueError outside the ranges. Source: parabola, statics.

    >>> round(sag_depth(100.0, 0.001, 10.0) * 12, 3)
    1.5
    """
    _at_least(0.0, span, weight)
    _above_zero(pull)
    return weight * span**2 / (8.0 * pull)


def normal_tension(
    weight: float, span: float, standard: float, section: float, modulus: float = MODULUS_STEEL_PA
) -> float:
    """Pull at which stretch and sag cancel for one span hung at both ends.

    weight, span
        per length [N/m] and between supports [m], > 0. standard: pull at which the tape was compared lying [N], >= 0.
    section, modulus
        of the ribbon [m2, Pa], > 0.
    Returns P [N] that solves P^2 (P - P0) = W^2 A E / 24 with W = weight x span; larger than ``standard``. The left
    side grows from 0 there, so there is one such P; Newton from above meets it.
    Raises ValueError outside the ranges. Source: pull and sag corrections set equal; slide deck on taping corrections
    (its own answer, 31 lb, is wrong).

    >>> round(normal_tension(0.028, 100.0, 12.0, 0.015, 29.0e6), 1)
    56.5
    """
    _above_zero(weight, span, section, modulus)
    _at_least(0.0, standard)
    right = (weight * span) ** 2 * section * modulus / 24.0
    pull = standard + math.cbrt(right)
    for _ in range(60):
        step = (pull**2 * (pull - standard) - right) / (3.0 * pull**2 - 2.0 * pull * standard)
        pull -= step
        if abs(step) <= 1e-14 * pull:
            break
    return pull


def level_length(slope: float, rise: float) -> float:
    """Level length of a line taped along a straight slope.

    slope
        along the slope [m], > 0. rise: between its ends, up or down [m], smaller than the slope.
    Returns sqrt(s^2 - h^2) [m], exactly. Raises ProblemError when the rise is as long as the tape. Source: geometry.

    >>> round(100.0 - level_length(100.0, 10.0), 5)
    0.50126
    """
    _above_zero(slope)
    if not abs(rise) < slope:
        raise ProblemError(
            Problem(
                "rise-as-long-as-tape",
                "the rise is as long as the line along the slope",
                found=f"a rise of {show_length(abs(rise), fraction=16)} in {show_length(slope, fraction=16)}",
                allowed="a rise smaller than the length along the slope",
                hint="the rise is the difference in height between the two ends",
            )
        )
    return math.sqrt((slope - rise) * (slope + rise))


class TapedLine(Record):
    """A measured line: its true length [m] and the corrections that were added, by name [m]."""

    true_m: float
    corrections: Mapping[str, float]


def measured_line(reading: float, corrections: Mapping[str, float], rise: float = 0.0) -> TapedLine:
    """True level length of a measured line.

    reading
        as read [m], > 0. corrections: each worked out on the reading [m], by name.
    rise
        between the ends of a line taped along a slope [m]; 0: taped level. Reduced last, exactly, as "slope".
    Raises ProblemError when nothing, or less than the rise, is left. Source: measuring adds corrections.

    >>> line = measured_line(100.0, {"length": 0.02}, rise=10.0)
    >>> round(line.true_m, 5), sorted(line.corrections)
    (99.51884, ['length', 'slope'])
    """
    _above_zero(reading)
    along = reading + math.fsum(corrections.values())
    if along <= 0.0:
        raise ProblemError(
            Problem(
                "corrections-exceed-reading",
                "the corrections take away the whole reading",
                found=f"{show_length(reading, fraction=16)} read and {show_length(along - reading, fraction=16)}",
                allowed="corrections much smaller than the reading",
                hint="check the units of pull, cross section and weight",
            )
        )
    if not rise:
        return TapedLine(along, dict(corrections))
    level = level_length(along, rise)
    return TapedLine(level, {**corrections, "slope": level - along})


def reading_to_set(length: float, corrections: Mapping[str, float]) -> float:
    """What the tape must read to set out a given length: laying out subtracts.

    length
        true length wanted [m], > 0. corrections: each worked out on that length [m], by name.
    Returns the reading [m]. Source: geometry; the sign is the opposite of measuring.

    >>> round(reading_to_set(500.0, {"length": length_correction(500.0, 100.0, 100.02)}), 6)
    499.9
    """
    _above_zero(length)
    return length - math.fsum(corrections.values())


def _above_zero(*values: float) -> None:
    if not all(value > 0.0 for value in values):
        raise ValueError("lengths, pulls, sections and moduli here are larger than 0")


def _at_least(least: float, *values: float) -> None:
    if not all(value >= least for value in values):
        raise ValueError(f"a value is below {least:g}")
