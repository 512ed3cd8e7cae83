"""The list of what was measured: each line with how far the others would have it otherwise, and which is doubted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from palewright.drafting.sight_records import Item, NextTape, TapeLine
from palewright.drafting.speech import Speech
from palewright.draw.network_sheet import doubted_readings, shown_fit
from palewright.model import Job, Measurement, Observation, Remark, Site, Survey
from palewright.survey import CRITICAL

__all__ = ["next_tapes", "tape_items", "tape_lines"]

XY = tuple[float, float]

_LENGTHS = frozenset({"distance", "on line", "offset", "along", "east", "north"})
_KINDS = {
    "tape": "distance", "square": "angle", "direction": "azimuth", "sights": "direction", "on line": "along",
    "offset": "offset", "parallel": "parallel", "position": "east", "rise": "rise",
}  # fmt: skip
_EXACT = 1e-9
_ADVICE = ("next-tape", "next-tape-line", "next-tape-fixes")


def tape_lines(job: Job, site: Site | None, speech: Speech) -> tuple[TapeLine, ...]:
    """One line for everything under ``measured`` and ``walls``, in the order of the file."""
    survey = site.survey if site is not None else None
    seen = _by_path(survey) if survey is not None else {}
    return tuple(_line(number, m, survey, seen.get(m.at.path, ()), speech) for number, m in enumerate(job.measured, 1))


def _by_path(survey: Survey) -> Mapping[str, tuple[int, ...]]:
    found: dict[str, tuple[int, ...]] = {}
    for k, o in enumerate(survey.network.observations):
        found[o.at.path] = (*found.get(o.at.path, ()), k)
    return found


def _line(number: int, m: Measurement, survey: Survey | None, rows: tuple[int, ...], speech: Speech) -> TapeLine:
    kind = "angle" if m.kind == "square" and not _square(m) else m.kind.replace(" ", "_")
    what = speech("tape." + kind, points=" – ".join(m.points))
    reads = m.text or _amount(m.kind in ("tape", "rise", "offset"), m.value, speech)
    state, off, guess, misses = "not used", "", "", False
    if survey is not None and rows:
        state, off, guess = _judged(survey, rows, speech)
        misses = any(abs(shown_fit(survey).fits[k].test or 0.0) > CRITICAL for k in rows)
    said = "misses" if state == "off" and misses else state.replace(" ", "_")
    said = speech("tape.say_" + said, what=what, reads=reads, off=off)
    return TapeLine(f"tape {number}", number, m.at.path, m.kind, m.points, what, reads, m.how, off, state, said, guess)


def _square(m: Measurement) -> bool:
    return abs(m.value - math.pi / 2.0) < _EXACT


def _judged(survey: Survey, rows: tuple[int, ...], speech: Speech) -> tuple[str, str, str]:
    """State, residual and guess of a line: the worst of its readings."""
    fit, doubted = shown_fit(survey), doubted_readings(survey)
    for k in rows:
        if k in doubted:
            o = survey.network.observations[k]
            off = _off(o, -fit.fits[k].residual, speech)
            return "doubted", off, _guess(survey, k, o, speech)
    checked = [k for k in rows if fit.fits[k].test is not None]
    if not checked:
        return "unchecked", "", ""
    worst = max(checked, key=lambda k: abs(fit.fits[k].test or 0.0))
    off = _off(survey.network.observations[worst], -fit.fits[worst].residual, speech)
    return ("off" if off else "fits"), off, ""


def _off(o: Observation, by: float, speech: Speech) -> str:
    """How much a reading is too long (+) or too short (-) by the others; "" where nothing shows."""
    lengths = o.kind in _LENGTHS
    shown = speech.measures.inches(abs(by)) if lengths else f"{math.degrees(abs(by)):.2f}°"
    nothing = speech.measures.inches(0.0) if lengths else "0.00°"
    return "" if shown == nothing else f"{'+' if by > 0.0 else '−'}{shown}"


def _guess(survey: Survey, k: int, o: Observation, speech: Speech) -> str:
    for suspect in survey.adjusted.suspects:
        if suspect.index == k and suspect.guess:
            guess = speech.term(suspect.guess)
            if suspect.reading is None:
                return speech("tape.guess", guess=guess)
            reading = _amount(o.kind in _LENGTHS, suspect.reading, speech)
            return speech("tape.guess_reading", guess=guess, reading=reading)
    return ""


def _amount(length: bool, value: float, speech: Speech) -> str:
    return speech.length(value) if length else f"{math.degrees(value):.2f}°"


def tape_items(job: Job, site: Site, lines: tuple[TapeLine, ...]) -> Iterator[Item]:
    """The tapes as lines of the drawing."""
    places = {point.name: point.xy for point in site.points}
    for line, m in zip(lines, job.measured, strict=True):
        spots = [places[name] for name in m.points if name in places]
        if len(spots) == len(m.points) and len(spots) > 1 and m.kind in ("tape", "square", "direction"):
            marks = (line.state, *(["square"] if m.kind == "square" and _square(m) else []))
            yield Item(line.id, "tape", "measured", path=line.path, text=line.reads, say=line.say, marks=marks,
                       points=tuple(spots))  # fmt: skip


def next_tapes(site: Site, remarks: tuple[Remark, ...], speech: Speech) -> tuple[NextTape, ...]:
    """What to tape next, in words; the best first."""
    said = [speech.remark(remark) for remark in remarks if remark.slug in _ADVICE]
    if site.survey is None:
        return tuple(NextTape("distance", (), text) for text in said)
    rows = []
    for k, advice in enumerate(site.survey.adjusted.advice):
        points = " – ".join(advice.points)
        text = said[0] if k == 0 and said else speech("tape.next", points=points, point=advice.for_point)
        rows.append(NextTape(advice.kind, advice.points, text))
    return tuple(rows)
