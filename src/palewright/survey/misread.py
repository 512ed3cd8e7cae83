"""What may have happened when a reading is off: a whole foot, a six for a nine, a burnt foot, a tape not counted.

Every slip that people make with a tape is tried on the reading as it was written. Its chance follows from how common
the slip is (weights below: our judgement) and from how well the corrected reading fits the blunder that the rest of the
measurements ask for (normal distribution), against a blunder of any size at all. Below even chances nothing is claimed.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from palewright.errors import NotationError
from palewright.model import Observation, Remark, Suspect
from palewright.notation import parse_angle, parse_length
from palewright.record import Record

__all__ = ["Misreading", "guess_suspect", "misreadings", "suspect_remark"]

_FOOT, _INCH, _DEGREE = 0.3048, 0.0254, math.radians(1.0)
_ANGLES = ("angle", "azimuth", "direction")
_METRIC = ("m", "cm", "mm")
_OTHER = 0.25
"""Weight of a blunder that is none of these slips, of any size: evenly spread over its logarithm."""
_DECADES = math.log(1e5)
_NOTICED = 2.0
_TOLD = 4.0
"""A slip smaller than so many standard deviations cannot be told from the spread of the rest."""
_SAME = 1e-6
_CLAIM = 0.5
_NAMED = 0.05
_NUMBER = re.compile(r"(?<![/\d.])\d+(?:\.\d+)?(?![/\d.])", re.ASCII)

_BY_TENTHS = re.compile(r"\A(?!.*(?:in|[\"\u2033\u201d]|''))(?=.*\d\.\d)", re.IGNORECASE | re.DOTALL)
"""A decimal and no inches anywhere: the reading is in feet and tenths."""

_WEIGHT = {
    "whole feet": 0.20, "ten feet": 0.06, "burnt foot": 0.08, "whole inches": 0.06, "ten inches for a foot": 0.06,
    "tenths for inches": 0.10, "wrong side of the foot": 0.06, "whole tenths": 0.06, "whole metres": 0.16,
    "whole decimetres": 0.16, "whole centimetres": 0.06, "burnt metre": 0.04, "burnt decimetre": 0.06,
    "wrong side of the mark": 0.06, "six and nine": 0.10, "swapped digits": 0.12, "tape length dropped": 0.08,
    "other sign": 0.10, "whole degrees": 0.16, "ten degrees": 0.06, "sighted back": 0.06,
    "several feet": 0.10, "several inches": 0.05,
}  # fmt: skip

Slip = tuple[str, float]
"""A slip and how much the right reading is larger than the one written [m or rad]."""


class Misreading(Record):
    """A slip that explains a blunder: its name, what the reading then should be [m or rad], and its chance, 0 to 1."""

    guess: str
    reading: float
    chance: float


def misreadings(
    words: str,
    blunder: float,
    sigma: float,
    *,
    unit: str = "",
    tape_m: float = 30.48,
    correction: float = 0.0,
    angle: bool = False,
) -> tuple[Misreading, ...]:
    """Which slips explain a reading that is too long, the likeliest first.

    words
        the reading as it was written: ``41' 6 1/2"``, ``41.6 ft``, ``12.65 m``; ``unit``: of a number without one.
    blunder, sigma
        how much too long or large it reads by all the rest, and the standard deviation of that [m or rad], > 0.
    tape_m
        length of the tape, for one not counted [m]. correction: one that was added and may have the wrong sign [m].
    angle
        True where ``words`` are an angle.
    Returns them by the chance of their reading, then by their own; an empty tuple where the blunder is below twice its
    sigma, where the words cannot be read, or where no corrected reading has at least even chances: the guess is then
    nobody's. Raises ValueError for a sigma of 0 or less.
    Source: Bayes' rule; weights of the slips are our judgement.

    >>> [(m.guess, round(m.reading / 0.3048, 2)) for m in misreadings("41.6 ft", -4.5 * 0.3048, 0.006)]
    [('swapped digits', 46.1)]
    """
    if not sigma > 0.0:
        raise ValueError("a standard deviation is larger than 0")
    if not math.isfinite(blunder) or abs(blunder) < _NOTICED * sigma:
        return ()
    written = _value(words, unit, angle)
    if written is None:
        return ()
    tried = _angle_slips(words) if angle else _length_slips(words, unit, tape_m, correction)
    slips = [
        (name, change) for name, change in tried if written + change > 0.0 and abs(change) > max(_SAME, _TOLD * sigma)
    ]
    shared = {name: sum(1 for slip, _ in slips if slip == name) for name, _ in slips}
    weighed = [
        (name, change, _WEIGHT[name] / shared[name] * math.exp(-0.5 * ((blunder + change) / sigma) ** 2))
        for name, change in slips
    ]
    other = _OTHER / (2.0 * _DECADES * abs(blunder)) * sigma * math.sqrt(2.0 * math.pi)
    return _claimed(written, weighed, other + math.fsum(weight for _, _, weight in weighed))


def _claimed(written: float, weighed: list[tuple[str, float, float]], total: float) -> tuple[Misreading, ...]:
    """Those with a chance worth naming, where all that lead to one reading have together at least even chances."""
    named = [Misreading(name, written + change, weight / total) for name, change, weight in weighed]
    named = [m for m in named if m.chance >= _NAMED]
    together = {one: math.fsum(m.chance for m in named if abs(m.reading - one.reading) <= _SAME) for one in named}
    ranked = sorted(named, key=lambda m: (-round(together[m], 9), -m.chance, m.guess))
    return tuple(ranked) if ranked and together[ranked[0]] >= _CLAIM else ()


def _value(words: str, unit: str, angle: bool) -> float | None:
    try:
        return parse_angle(words) if angle else parse_length(words, unit=unit).m
    except NotationError:
        return None


def _rewritten(words: str, value: Callable[[str], float | None]) -> Iterator[Slip]:
    """A six written for a nine or the other way round; two digits that stand side by side swapped."""
    written = value(words)
    texts: list[tuple[str, str]] = []
    for number in _NUMBER.finditer(words):
        places = [k for k in range(*number.span()) if words[k] != "."]
        for k in places:
            if words[k] in "69":
                texts.append(("six and nine", words[:k] + ("9" if words[k] == "6" else "6") + words[k + 1 :]))
        for k, j in itertools.pairwise(places):
            if words[k] != words[j]:
                swapped = words[:k] + words[j] + words[k + 1 : j] + words[k] + words[j + 1 :]
                texts.append(("swapped digits", swapped))
    for name, text in dict.fromkeys(texts):
        other = value(text)
        if written is not None and other is not None and other != written:
            yield name, other - written


def _length_slips(words: str, unit: str, tape_m: float, correction: float) -> Iterator[Slip]:
    read = parse_length(words, unit=unit)
    yield from _rewritten(words, lambda text: _value(text, unit, False))
    yield "tape length dropped", tape_m
    if read.m > tape_m:
        yield "tape length dropped", -tape_m
    if correction:
        yield "other sign", -2.0 * correction
    name = read.unit.removesuffix(" US")
    if name in _METRIC:
        yield from _metric_slips(read.m)
    elif name in ("ft", "in"):
        yield from _foot_slips(read.m, words, by_inches=_BY_TENTHS.search(words) is None)


def _metric_slips(read: float) -> Iterator[Slip]:
    for name, step in (("whole metres", 1.0), ("whole decimetres", 0.1), ("whole centimetres", 0.01)):
        yield name, step
        yield name, -step
    yield "burnt metre", -1.0
    yield "burnt decimetre", -0.1
    beyond = _beyond(read, 0.1)
    yield "wrong side of the mark", 0.1 - 2.0 * beyond
    yield "wrong side of the mark", -2.0 * beyond


def _beyond(read: float, mark: float) -> float:
    """How far past the last mark; 0 on it, whatever rounding has done."""
    beyond = read % mark
    return 0.0 if mark - beyond < _SAME else beyond


def _foot_slips(read: float, words: str, by_inches: bool) -> Iterator[Slip]:
    yield "whole feet", _FOOT
    yield "whole feet", -_FOOT
    yield "ten feet", 10.0 * _FOOT
    yield "ten feet", -10.0 * _FOOT
    for count in (2, 3, 4, 5):
        yield "several feet", count * _FOOT
        yield "several feet", -count * _FOOT
    yield "burnt foot", -_FOOT
    beyond = _beyond(read, _FOOT)
    yield "wrong side of the foot", _FOOT - 2.0 * beyond
    yield "wrong side of the foot", -2.0 * beyond
    step = _INCH if by_inches else _FOOT / 10.0
    name = "whole inches" if by_inches else "whole tenths"
    yield name, step
    yield name, -step
    for count in range(2, 12) if by_inches else ():
        yield "several inches", count * _INCH
        yield "several inches", -count * _INCH
    if by_inches:
        inches, rest = divmod(round(beyond / _INCH * 64.0), 64)
        if inches == 0:
            yield "ten inches for a foot", -2.0 * _INCH
        elif inches == 10:
            yield "ten inches for a foot", 2.0 * _INCH
        if 0 < inches < 10 and not rest:
            yield "tenths for inches", inches * (_FOOT / 10.0 - _INCH)
    else:
        decimals = re.search(r"\.(\d{1,2})(?!\d)", words, re.ASCII)
        if decimals and 0 < int(decimals[1]) < 12:
            yield "tenths for inches", int(decimals[1]) * (_INCH - _FOOT / 10.0 ** len(decimals[1]))


def _angle_slips(words: str) -> Iterator[Slip]:
    yield from _rewritten(words, lambda text: _value(text, "", True))
    for name, step in (("whole degrees", 1.0), ("ten degrees", 10.0), ("sighted back", 180.0)):
        yield name, step * _DEGREE
        yield name, -step * _DEGREE


def guess_suspect(
    suspect: Suspect, observation: Observation, redundancy: float, *, unit: str = "", tape_m: float = 30.48
) -> Suspect:
    """A suspect with the likeliest slip and the reading that it then should be.

    suspect, observation
        what the adjustment found, and the observation it is about, with its ``words``.
    redundancy
        of the observation, 0 < redundancy <= 1: the blunder is known to sigma / sqrt(redundancy).
    unit, tape_m
        of numbers without one; length of the tape [m].
    Returns the suspect unchanged where nothing is likely. Source: :func:`misreadings`.

    >>> seen = Observation("distance", ("A", "B"), 35.5, 0.006, words="116' 5 5/8\\"")
    >>> guess_suspect(Suspect(0, 0.3066), seen, 0.25).guess
    'whole feet'
    """
    if not 0.0 < redundancy <= 1.0:
        return suspect
    sigma = observation.sigma / math.sqrt(redundancy)
    angle = observation.kind in _ANGLES
    found = misreadings(observation.words, suspect.by, sigma, unit=unit, tape_m=tape_m, angle=angle)
    if not found:
        return suspect
    written = _value(observation.words, unit, angle) or 0.0
    return replace(suspect, guess=found[0].guess, reading=observation.value + found[0].reading - written)


def suspect_remark(
    suspect: Suspect, observation: Observation, among: tuple[str, ...] = (), perhaps: bool = False
) -> Remark:
    """What a paper says of a reading that the rest do not allow.

    among
        names of the other readings that may be the wrong one instead. perhaps: where it alone, or with
        another, explains all others, and that may be chance.
    Lengths end in ``_m``, angles in ``_rad``; "longer", "shorter", "larger" and "smaller" and the guess are words of
    the table of terms.

    >>> taped = Observation("distance", ("NE", "house 1"), 12.5, 0.01)
    >>> suspect_remark(Suspect(0, 0.3048, "whole feet", 12.2), taped).slug
    'tape-suspect'
    """
    angle = observation.kind in _ANGLES
    suffix = "rad" if angle else "m"
    more, less = ("larger", "smaller") if angle else ("longer", "shorter")
    args: list[tuple[str, float | int | str]] = [(f"by_{suffix}", abs(suspect.by))]
    args.append(("more", more if suspect.by > 0.0 else less))
    if suspect.guess and suspect.reading is not None:
        args += [("guess", suspect.guess), (f"reading_{suffix}", suspect.reading)]
    if among:
        args.append(("among", ", ".join(among)))
    if perhaps:
        args.append(("perhaps", "perhaps"))
    about = " ".join(observation.points)
    if observation.kind == "distance":
        ends = [("start", observation.points[0]), ("end", observation.points[1])]
        return Remark("tape-suspect", "caution", about, (*ends, *args), observation.at)
    slug = "angle-suspect" if angle else "reading-suspect"
    return Remark(slug, "caution", about, (("points", ", ".join(observation.points)), *args), observation.at)
