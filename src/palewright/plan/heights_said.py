"""What a reader must know of the heights of a job, and how they came about."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model import Heights, Job, LevelClosure, LevelFit, Reason, Remark, Rise, Suspect
from palewright.plan.heights import slip_of

__all__ = ["height_reasons", "height_remarks"]

#: A typed fall is compared to this, or to two standard deviations of the levelled one: an inch (common practice) [m].
_TYPED_M = 0.0254
_SIGMAS = 2.0

Args = tuple[tuple[str, float | int | str], ...]


def height_remarks(job: Job, heights: Heights) -> list[Remark]:
    """Which heights count from what, what is wrong, what nothing checks, what is missing; cautions first."""
    rows = [*_wrong(job, heights), *_closures(heights), *_missing(job, heights), *_falls(job, heights)]
    if heights.above:
        rows.append(Remark("heights-relative", "note", "heights", (("point", heights.above),)))
    return [*rows, *_tested(heights)]


def reading_name(rise: Rise) -> str:
    """A reading as a list names it: both points of a rise, the point of a rod."""
    return f"{rise.start} - {rise.end}" if rise.kind == "rise" else f"{rise.start} ({rise.words or rise.kind})"


def _wrong(job: Job, heights: Heights) -> Iterator[Remark]:
    adjusted, rises = heights.adjusted, heights.rises
    unsure = [suspect for suspect in adjusted.suspects if not suspect.alone]
    for suspect in adjusted.suspects:
        if suspect.alone:
            yield _suspect(suspect, rises[suspect.index], "suspect", "caution")
    if unsure:
        among = sorted({k for suspect in unsure for k in (suspect.index, *suspect.among)})
        args: Args = (("count", len(among)), ("readings", ", ".join(reading_name(rises[k]) for k in among)))
        args += (("heights", ", ".join(adjusted.doubted)),) if adjusted.doubted else ()
        slug = "heights-one-wrong" if len(unsure) == 1 else "heights-several-wrong"
        yield Remark(slug, "caution", "heights", args)
        for k in among if len(unsure) == 1 else ():
            fit = adjusted.fits[k]
            told = slip_of(Suspect(k, fit.blunder or 0.0), rises[k], fit.redundancy, job.tape_m)
            if told.guess:
                yield _suspect(told, rises[k], "slip", "note")
    elif adjusted.doubted:
        one = len(adjusted.doubted) == 1
        by = _given_off(heights, adjusted.doubted[0]) if one else None
        found = (("points", ", ".join(adjusted.doubted)), *((("by_m", by),) if by else ()))
        yield Remark("heights-given-wrong", "caution", "heights", found)


def _given_off(heights: Heights, name: str) -> float | None:
    """By how much a given height that was let go is off [m]."""

    def height(fit: LevelFit) -> float | None:
        return next((point.height for point in fit.points if point.name == name), None)

    without = heights.adjusted.without
    given, free = height(heights.adjusted), height(without) if without is not None else None
    return None if given is None or free is None else abs(given - free)


def _suspect(suspect: Suspect, rise: Rise, word: str, level: str) -> Remark:
    args: Args = (("by_m", abs(suspect.by)), ("more", "larger" if suspect.by > 0.0 else "smaller"))
    if suspect.guess and suspect.reading is not None:
        args = (*args, ("guess", suspect.guess), ("reading_m", suspect.reading))
    if rise.kind == "rise":
        args = (("start", rise.start), ("end", rise.end), *args)
        return Remark(f"rise-{word}", level, f"{rise.start} {rise.end}", args, rise.at)
    sight = {"back": "backsight", "fore": "foresight"}[rise.kind]
    args = (("point", rise.start), ("sight", sight), ("reads", rise.words), *args)
    return Remark(f"rod-{word}", level, f"point {rise.start}", args, rise.at)


def _closures(heights: Heights) -> Iterator[Remark]:
    closed = {closure.line: closure for closure in heights.closures}
    for number, line in enumerate(heights.lines, 1):
        about = f"line of levels {number}"
        closure = closed.get(number)
        if closure is not None:
            yield _closure(about, closure)
            continue
        mine = {note.at for note in line.notes}
        fits = (fit for fit, rise in zip(heights.adjusted.fits, heights.rises, strict=True) if rise.at in mine)
        if all(fit.test is None for fit in fits):
            point = line.notes[0].point
            yield Remark("levels-open", "note", about, (("line", number), ("point", point)), line.at)


def _closure(about: str, closure: LevelClosure) -> Remark:
    """Common practice on a small site decides the word; what the instrument explains stands beside it."""
    allowed = closure.limits[0].most_m
    off = abs(closure.misclosure_m)
    args: Args = (("line", closure.line), ("start", closure.start), ("end", closure.end), ("off_m", off))
    args = (*args, ("allowed_m", allowed), ("expected_m", closure.expected_m))
    if off <= allowed:
        return Remark("levels-close", "note", about, args, closure.at)
    return Remark("levels-miss" if off > closure.expected_m else "levels-coarse", "caution", about, args, closure.at)


def _missing(job: Job, heights: Heights) -> Iterator[Remark]:
    for missing in heights.missing:
        args: Args = (("points", ", ".join(missing.names)), ("start", missing.start), ("end", missing.end))
        yield Remark("heights-loose", "caution", "heights", args)
    known = {point.name for point in heights.points}
    loose = {name for missing in heights.missing for name in missing.names}
    ends = [ref.name for run in job.runs for ref in run.through if ref.name]
    bare = [name for name in dict.fromkeys(ends) if name not in known and name not in loose]
    if bare and known:
        start = heights.above or heights.points[0].name
        yield Remark("heights-missing", "note", "heights", (("points", ", ".join(bare)), ("start", start)))


def _falls(job: Job, heights: Heights) -> Iterator[Remark]:
    """Typed falls that the heights of their two points contradict."""
    known = {point.name: point for point in heights.points}
    for fall in job.falls:
        if fall.start in known and fall.end in known:
            a, b = known[fall.start], known[fall.end]
            levelled = a.height - b.height
            if abs(levelled - fall.fall_m) > max(_TYPED_M, _SIGMAS * math.hypot(a.sigma, b.sigma)):
                args: Args = (("start", fall.start), ("end", fall.end), *_way("typed", fall.fall_m))
                yield Remark("fall-differs", "caution", "heights", (*args, *_way("levelled", levelled)), fall.at)


def _way(word: str, fall: float) -> Args:
    return ((f"{word}_way", "falls" if fall >= 0.0 else "rises"), (f"{word}_m", abs(fall)))


def _tested(heights: Heights) -> Iterator[Remark]:
    adjusted = heights.adjusted
    if not heights.rises:
        return
    if not adjusted.dof:
        yield Remark("heights-unchecked", "note", "heights", (("count", len(heights.rises)),))
        return
    args: Args = (("count", adjusted.dof), ("ratio", round(adjusted.sigma0 or 0.0, 2)))
    found = bool(adjusted.suspects or adjusted.doubted)
    over = adjusted.chi_high is not None and adjusted.weighted_squares > adjusted.chi_high
    if found:
        yield Remark("heights-tested", "note", "heights", args)
    else:
        yield Remark("heights-disagree" if over else "heights-agree", "caution" if over else "note", "heights", args)


def height_reasons(heights: Heights) -> tuple[Reason, ...]:
    """How every height and every closure came about."""
    base = f"above {heights.above}" if heights.above else "from given heights"
    given = {point.name for point in heights.points if point.sigma == 0.0 and not heights.above}
    rows = [
        Reason(f"point {point.name}", "height", point.height, "m", "as given", (), "as typed")
        if point.name in given
        else Reason(f"point {point.name}", "height", point.height, "m",
                    "heights that leave the least sum of (residual / sigma)^2 over the rises",
                    (("counts", base), ("standard deviation_m", point.sigma)), "mikhail-1976")
        for point in heights.points
    ]  # fmt: skip
    for closure in heights.closures:
        about = f"line of levels {closure.line}"
        sums = (("backsights_m", closure.back_m), ("foresights_m", closure.fore_m), ("known rise_m", closure.known_m))
        formula = "sum of backsights - sum of foresights - known rise"
        rows.append(Reason(about, "misclosure", closure.misclosure_m, "m", formula, sums))
        rows += [
            Reason(about, f"allowed, {limit.rule}", limit.most_m, "m", "of the line, or times the root of kilometres",
                   (("length_m", closure.length_m or 0.0),), limit.source)
            for limit in closure.limits
        ]  # fmt: skip
    return tuple(rows)
