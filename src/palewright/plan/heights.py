"""From rises and levelling notes to heights of named points: the level network of a job and its adjustment."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from palewright.errors import Problem, ProblemError
from palewright.model import (
    AdjustedLevels,
    ClosureLimit,
    Heights,
    Job,
    LevelClosure,
    LevelLine,
    LevelNote,
    Measurement,
    MissingHeight,
    Observation,
    PointHeight,
    Rise,
    Suspect,
)
from palewright.plane import XY, distance
from palewright.survey import adjust_levels, guess_suspect, level_pieces, stated_sigma
from palewright.tables import closure_rules

__all__ = ["job_heights"]

#: How far apart two points are taken to be where their places are not known: 100 ft [m].
_FAR_M = 30.48
#: 95 of 100 errors lie within so many standard deviations.
_NINETEEN = 1.96
#: A guess must fit the blunder to so many standard deviations.
_FITS = 2.0

Setup = tuple[int, tuple[int, ...]]
"""A set-up of the instrument: the note of its backsight, and those of its foresights."""


def job_heights(job: Job, places: Mapping[str, XY]) -> Heights | None:
    """Heights of the points of a job; None where nothing was levelled and no height is given.

    places
        of points, as far as they are known: how good a rise is hangs on how far it went.
    Without a given height the heights float: the first point of the largest connected part counts as zero. Readings
    that are known to be wrong are left out; where it is not known which, none is. Raises ProblemError for tools whose
    accuracy nobody knows.
    """
    given = {spec.name: spec.height_m for spec in job.points if spec.height_m is not None}
    problems: list[Problem] = []
    setups = _named_setups(job)
    rises = (*_measured_rises(job, places, problems), *_rod_readings(job, places, setups, problems))
    if problems:
        raise ProblemError(problems)
    if not rises:
        points = tuple(PointHeight(name, height, 0.0) for name, height in given.items())
        return Heights(points, "", (), AdjustedLevels(points, (), 0.0, 0, None, None, None, None)) if given else None
    instruments = set(itertools.chain.from_iterable(setups))
    above = "" if given else _datum(rises, instruments)
    adjusted = _told(adjust_levels(given or {above: 0.0}, rises), rises, job.tape_m)
    sure = all(suspect.alone for suspect in adjusted.suspects) and len(adjusted.doubted) < 2
    kept = adjusted.without if adjusted.without is not None and sure else adjusted
    points = tuple(point for point in kept.points if point.name not in instruments)
    closures = [_closure(k, line, given, places) for k, line in enumerate(job.levels, 1)]
    missing = _missing(adjusted, points, instruments, above, places)
    return Heights(points, above, rises, adjusted, job.levels, tuple(c for c in closures if c), missing)


def _datum(rises: Sequence[Rise], instruments: set[str]) -> str:
    """The point that counts as zero: the first one of the largest part, of a line of levels before others."""
    pieces = [[name for name in piece if name not in instruments] for piece in level_pieces(rises)]
    largest = max(pieces, key=len)
    return next((rise.start for rise in rises if rise.kind == "back" and rise.start in largest), largest[0])


# ---------------------------------------------------------------- the readings


def _apart(places: Mapping[str, XY], a: str, b: str) -> float | None:
    return distance(places[a], places[b]) if a in places and b in places else None


def _measured_rises(job: Job, places: Mapping[str, XY], problems: list[Problem]) -> Iterator[Rise]:
    for m in job.measured:
        if m.kind != "rise":
            continue
        try:
            far = _apart(places, m.points[0], m.points[1])
            sigma = m.within or stated_sigma(m, "rise", _FAR_M if far is None else far)
            yield Rise(m.points[0], m.points[1], m.value, sigma, m.at, "rise", m.text, m.how)
        except ProblemError as error:
            problems += error.problems


def _named_setups(job: Job) -> list[list[str]]:
    """A name for the line of sight of every set-up, line by line, that no point of the job has."""
    taken = {point.name for point in job.points} | {note.point for line in job.levels for note in line.notes}
    taken |= {name for m in job.measured for name in m.points}
    names = (name for k in itertools.count(1) if (name := f"set-up {k}") not in taken)
    return [[next(names) for _ in _setups(line)] for line in job.levels]


def _setups(line: LevelLine) -> list[Setup]:
    """Every set-up of a line: each backsight begins one, foresights belong to the one that stands."""
    found: list[tuple[int, list[int]]] = []
    for k, note in enumerate(line.notes):
        if note.fore is not None and found:
            found[-1][1].append(k)
        if note.back is not None or note.back_text:
            found.append((k, []))
    return [(back, tuple(fores)) for back, fores in found]


def _rod_readings(
    job: Job, places: Mapping[str, XY], names: Sequence[Sequence[str]], problems: list[Problem]
) -> Iterator[Rise]:
    """Every rod reading as a rise from its point to the line of sight: readings of one set-up share that, no more."""
    for line, sights in zip(job.levels, names, strict=True):
        try:
            for (back, fores), sight in zip(_setups(line), sights, strict=True):
                sigma = _setup_sigma(line, (back, fores), places) / math.sqrt(2.0)
                first = line.notes[back]
                if first.back is not None:
                    yield Rise(first.point, sight, first.back, sigma, first.at, "back", first.back_text, line.how)
                for note in (line.notes[k] for k in fores):
                    value = note.fore or 0.0
                    yield Rise(note.point, sight, value, sigma, note.at, "fore", note.fore_text, line.how)
        except ProblemError as error:
            problems += error.problems


def _setup_sigma(line: LevelLine, setup: Setup, places: Mapping[str, XY]) -> float:
    """Standard deviation of a rise from one set-up of a line [m], by its longest pair of sights."""
    if line.within:
        return line.within
    back, fores = setup
    start = line.notes[back].point
    known = [far for k in fores if (far := _apart(places, start, line.notes[k].point)) is not None]
    said = Measurement("rise", (start,), 0.0, line.how, at=line.at)
    return stated_sigma(said, "rod", max(known, default=_FAR_M))


# ---------------------------------------------------------------- what was found


def _told(adjusted: AdjustedLevels, rises: Sequence[Rise], tape_m: float) -> AdjustedLevels:
    """Suspects with their size as the rest have it, and the slip that would explain it."""
    suspects = []
    for suspect in adjusted.suspects:
        if suspect.alone and adjusted.without is not None:
            suspect = replace(suspect, by=-adjusted.without.fits[suspect.index].residual)
        suspects.append(slip_of(suspect, rises[suspect.index], adjusted.fits[suspect.index].redundancy, tape_m))
    return replace(adjusted, suspects=tuple(suspects))


def slip_of(suspect: Suspect, rise: Rise, redundancy: float, tape_m: float) -> Suspect:
    """A suspect with the likeliest slip: one of a tape, or a rise written down for a fall."""
    seen = Observation("rise", (rise.start, rise.end), rise.value, rise.sigma, words=rise.words)
    told = guess_suspect(suspect, seen, redundancy, tape_m=tape_m)
    off = _FITS * rise.sigma / math.sqrt(max(redundancy, 1e-9))
    turned = rise.kind == "rise" and abs(suspect.by) > off and abs(suspect.by - 2.0 * rise.value) <= off
    return replace(suspect, guess="up for down", reading=-rise.value) if turned and not told.guess else told


def _missing(
    adjusted: AdjustedLevels,
    points: Sequence[PointHeight],
    instruments: set[str],
    above: str,
    places: Mapping[str, XY],
) -> tuple[MissingHeight, ...]:
    """Parts that nothing ties to a height, each with the rise that would."""
    loose = {name for name in adjusted.undetermined if name not in instruments}
    known = [above] if above else [point.name for point in points]
    found = []
    for piece in adjusted.pieces:
        names = tuple(name for name in piece if name in loose)
        if names and known:
            pairs = [(_apart(places, a, b), a, b) for a in known for b in names]
            near = min((pair for pair in pairs if pair[0] is not None), default=pairs[0])
            found.append(MissingHeight(names, near[1], near[2]))
    return tuple(found)


# ---------------------------------------------------------------- how notes close


def _closure(number: int, line: LevelLine, given: Mapping[str, float], places: Mapping[str, XY]) -> LevelClosure | None:
    """How a line closes on its last reading of a point that it read before, or between two given heights."""
    setups = _setups(line)
    home = {k: at for at, (_, fores) in enumerate(setups) for k in fores}
    for last in sorted(home, reverse=True):
        for first in range(last):
            same = line.notes[first].point == line.notes[last].point
            both = line.notes[first].point in given and line.notes[last].point in given
            found = _between(line, setups, home, first, last) if same or both else None
            if found is not None:
                return _closed(number, line, setups, found, (first, last), given, places)
    return None


def _between(
    line: LevelLine, setups: Sequence[Setup], home: Mapping[int, int], first: int, last: int
) -> tuple[int, int, list[float], list[float]] | None:
    """Set-ups from one note to another with the readings that carry the height; None where the chain is broken."""
    starts = {back: at for at, (back, _) in enumerate(setups)}
    note = line.notes[first]
    a, reading = (starts[first], note.back) if first in starts else (home.get(first, -1), note.fore)
    b = home[last]
    if reading is None or not 0 <= a <= b:
        return None
    backs, fores = [reading], []
    for at in range(a, b):
        turn = setups[at + 1][0]
        ahead, behind = line.notes[turn].fore, line.notes[turn].back
        if home.get(turn) != at or ahead is None or behind is None:
            return None
        fores.append(ahead)
        backs.append(behind)
    return a, b, backs, [*fores, line.notes[last].fore or 0.0]


def _closed(
    number: int,
    line: LevelLine,
    setups: Sequence[Setup],
    found: tuple[int, int, list[float], list[float]],
    ends: tuple[int, int],
    given: Mapping[str, float],
    places: Mapping[str, XY],
) -> LevelClosure:
    a, b, backs, fores = found
    start, end = line.notes[ends[0]], line.notes[ends[1]]
    known = 0.0 if start.point == end.point else given[end.point] - given[start.point]
    turns = [start, *(line.notes[setups[at][0]] for at in range(a + 1, b + 1)), end]
    length = line.length_m if a == 0 and b == len(setups) - 1 and line.length_m else _length(turns, places)
    back, fore = math.fsum(backs), math.fsum(fores)
    sigmas = [_setup_sigma(line, setups[at], places) for at in range(a, b + 1)]
    limits = [(rule, rule.allows(length)) for rule in closure_rules()]
    return LevelClosure(
        number, start.point, end.point, b - a + 1, back, fore, known, back - fore - known,
        _NINETEEN * math.hypot(*sigmas), length,
        tuple(ClosureLimit(rule.name, most, rule.source) for rule, most in limits if most is not None), line.at,
    )  # fmt: skip


def _length(turns: Sequence[LevelNote], places: Mapping[str, XY]) -> float | None:
    """Length of a line by the places of its turning points [m]; None where one of them has none."""
    parts = [_apart(places, one.point, two.point) for one, two in itertools.pairwise(turns)]
    known = [part for part in parts if part is not None]
    return math.fsum(known) if len(known) == len(parts) else None
