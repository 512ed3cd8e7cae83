"""What the crew needs on slopes: post tops under level strings, bays on the ground, pulls of a level tape."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

from palewright.layout.grade import height_at
from palewright.model import Gate, Leg, LevelLineMark, Mark, Meeting, Post, PostHeight, Run, StringLine
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.slope_cuts import board_words
from palewright.papers.slope_heals import healed
from palewright.stakeout import COMFORT_M, Pull, along_slope, level_pulls

__all__ = ["along_words", "gate_lines", "heights_pages", "meeting_rows", "slope_notes"]

_MARK_M = 0.0254 / 8
"""Along the slope and level are both told where they differ by more than a mark."""

_OFF_M = 0.0254
"""Ground that stands so far from the table is not the ground that was measured (our own choice): 1 in."""

_TOLD = 6
"""So many breaks of a run are told on the decision page (our own choice)."""

_SAME = 1e-6
_STEP_M = 0.0008
_FOOT_M = 0.3048


def heights_pages(sheet: Sheet) -> list[dict[str, Any]]:
    """A page for each run whose ground is known: its level strings, its posts under them, its bays."""
    return [_page(sheet, run, meeting) for run, meeting in _runs(sheet)]


def _metric(sheet: Sheet) -> str:
    return "_metric" if sheet.measures.style == "metric" else ""


def _runs(sheet: Sheet) -> Iterator[tuple[Run, Meeting]]:
    for meeting in sheet.plan.design.meetings:
        run = next(run for run in sheet.plan.design.runs if run.name == meeting.run)
        if run.profile is not None:
            yield run, meeting


def _page(sheet: Sheet, run: Run, meeting: Meeting) -> dict[str, Any]:
    posts, length = sheet.posts(), sheet.measures.length
    hung = [_string_of(meeting, k) for k in range(len(meeting.posts))]
    return {
        "title": sheet("slope.heights", run=short(run.name, 40)),
        "intro": sheet("slope.intro", off=sheet.measures.small(_OFF_M)),
        "set_how": sheet("slope.set_how", good=sheet(f"slope.level_good{_metric(sheet)}")),
        "strings": [
            {
                "name": sheet("slope.string", number=number),
                "posts": ranges(string.posts),
                "above": length(string.above_m),
                "at": sheet("slope.above_at", post=sheet.post(string.post)),
            }
            for number, string in enumerate(meeting.strings, 1)
        ],
        "steps": any(abs(height.step_m) > _STEP_M for height in meeting.posts),
        "posts": [
            _post(
                sheet,
                posts[height.post],
                height,
                string,
                any(not met.known for met in meeting.bays[max(0, k - 1) : k + 1]),
            )
            for k, (height, string) in enumerate(zip(meeting.posts, hung, strict=True))
        ],
        "bays": list(_bay_rows(sheet, run, meeting, hung)),
        "proposed": _proposed(sheet, meeting),
    }


def _string_of(meeting: Meeting, k: int) -> tuple[int, LevelLineMark] | None:
    """Number of the level string that a post hangs on, and the string."""
    height = meeting.posts[k]
    for number, string in enumerate(meeting.strings, 1):
        below = height.below_string_m
        if below is not None and height.post in string.posts and abs(string.height_m - height.top_m - below) < _SAME:
            return number, string
    return None


def _post(
    sheet: Sheet, post: Post, height: PostHeight, hung: tuple[int, LevelLineMark] | None, unsure: bool
) -> dict[str, Any]:
    """One post under its level string; ``unsure``: the ground under a bay at its side is not known."""
    show, hole = sheet.measures, post.hole
    off = post.stock_m - post.length_m
    cut = sheet("slope.cut_from", stock=show.length(post.stock_m), off=show.small(off)) if post.stock_m else ""
    return {
        "post": height.post,
        "string": str(hung[0]) if hung else "",
        "top": show.small(hung[1].height_m - height.top_m) if hung else "",
        "ground": show.length(hung[1].height_m - height.ground_m) if hung else "",
        "length": show.length(post.length_m) if hole is not None else sheet("crew.no_hole"),
        "hole": show.inches(hole.depth_m) if hole is not None else "",
        "step": _signed(sheet, height.step_m) if abs(height.step_m) > _STEP_M else "",
        "cut": _not_final(sheet, cut, height, unsure) if hole is not None else "",
    }


def _not_final(sheet: Sheet, cut: str, height: PostHeight, unsure: bool) -> str:
    """What to cut off a post; first that the ground beside it is not known, where that is so."""
    if not unsure:
        return cut
    said = sheet("slope.post_dark" if not height.known else "slope.post_beside_dark")
    return f"{said} {cut}" if cut else said


def _signed(sheet: Sheet, value: float) -> str:
    key = "slope.up" if value > 0.0 else "slope.down"
    return sheet(key, by=sheet.measures.small(abs(value)))


def _bay_rows(
    sheet: Sheet, run: Run, meeting: Meeting, hung: list[tuple[int, LevelLineMark] | None]
) -> Iterator[dict[str, Any]]:
    """A row for each bay; one for neighbours over ground that nobody knows."""
    bays = sheet.plan.design.bays
    for known, group in itertools.groupby(range(len(meeting.bays)), key=lambda k: meeting.bays[k].known):
        places = list(group)
        if known:
            yield from (_bay(sheet, run, meeting, k, hung) for k in places)
            continue
        start, end = bays[meeting.bays[places[0]].bay - 1].start, bays[meeting.bays[places[-1]].bay - 1].end
        yield {"bay": f"{start} – {end}", "mode": sheet("slope.dark"), "rise": "", "along": "", "low": ["", ""],
               "least": None, "most": None, "do": [sheet("slope.bay_dark")], "broken": True}  # fmt: skip


def _bay(
    sheet: Sheet, run: Run, meeting: Meeting, k: int, hung: list[tuple[int, LevelLineMark] | None]
) -> dict[str, Any]:
    """How one bay meets the ground, and what its cuts are."""
    met, show = meeting.bays[k], sheet.measures
    bay = sheet.plan.design.bays[met.bay - 1]
    rise = met.bottom_m[1] - met.bottom_m[0]
    return {
        "bay": f"{bay.start} – {bay.end}",
        "mode": sheet.term("gate" if met.mode == "gate" else met.mode),
        "rise": _signed(sheet, rise) if abs(rise) > _STEP_M else sheet("slope.level"),
        "along": show.length(met.along_m) if met.along_m - bay.length_m > _MARK_M else "",
        "low": [_under(sheet, hung[k + end], met.bottom_m[end]) for end in (0, 1)],
        "least": {"gap": show.small(met.least.gap_m), "at": show.length(met.least.at_m)},
        "most": {"gap": show.small(met.most.gap_m), "at": show.length(met.most.at_m)},
        "do": [*healed(sheet, run, meeting, met, "heal"), *board_words(sheet, run, meeting, met)],
        "broken": bool(met.breaks),
    }


def _under(sheet: Sheet, hung: tuple[int, LevelLineMark] | None, height_m: float) -> str:
    """How far below its level string the bottom of the fence stands at a post."""
    return sheet.measures.length(hung[1].height_m - height_m) if hung else ""


def _proposed(sheet: Sheet, meeting: Meeting) -> str:
    """What "best" weighed, where the way to meet the ground was left to the program."""
    if all(met.asked != "best" for met in meeting.bays):
        return ""
    weights = ", ".join(f"{sheet('slope.weight_' + name)} {value:g}" for name, value in meeting.weights)
    return sheet("slope.proposed", weights=weights, cost=f"{meeting.cost:.2f}", bound=f"{meeting.bound:.2f}")


def gate_lines(sheet: Sheet, gate: Gate) -> list[str]:
    """How high the level bottom of a gate's leaves stands over the ground at both its posts."""
    for _, meeting in _runs(sheet):
        met = next((met for met in meeting.bays if met.bay == gate.bay), None)
        if met is not None and met.known:
            grounds = {height.post: height.ground_m for height in meeting.posts}
            first, last = gate.posts
            gaps = [sheet.measures.small(met.bottom_m[0] - grounds[label]) for label in (first, last)]
            return [sheet("slope.leaf", first=first, last=last, first_gap=gaps[0], last_gap=gaps[1])]
    return []


def meeting_rows(sheet: Sheet) -> list[dict[str, Any]]:
    """For the decision page: how each run meets the ground, in a few figures."""
    rows: list[dict[str, Any]] = []
    show = sheet.measures
    for run, meeting in _runs(sheet):
        modes: dict[str, int] = {}
        lit = [met for met in meeting.bays if met.known]
        for met in meeting.bays:
            modes[met.mode] = modes.get(met.mode, 0) + 1
        posts = sheet.posts()
        longest = max((posts[height.post] for height in meeting.posts if height.known), key=lambda post: post.length_m)
        ground = [height.ground_m for height in meeting.posts if height.known]
        rows.append(
            {
                "run": short(run.name, 40),
                "asked": _asked(sheet, meeting),
                "bays": ", ".join(
                    f"{count} {sheet('slope.dark_bays') if mode == 'assumed' else sheet.term(mode)}"
                    for mode, count in modes.items()
                ),
                "falls": show.length(max(ground) - min(ground)),
                "longest": f"{show.length(longest.length_m)} ({sheet.post(longest.label)})",
                "gaps": f"{show.small(min(met.least.gap_m for met in lit))} – "
                f"{show.small(max(met.most.gap_m for met in lit))}",
                "broken": str(sum(bool(met.breaks) for met in meeting.bays) or ""),
                "proposed": _proposed(sheet, meeting),
                "remedies": _remedies(sheet, run, meeting),
            }
        )
    return rows


def _asked(sheet: Sheet, meeting: Meeting) -> str:
    """How the run was asked to follow the ground; with the posts where it changes along it."""
    bays = sheet.plan.design.bays
    parts = [(asked, list(group)) for asked, group in itertools.groupby(meeting.bays, key=lambda met: met.asked)]
    words = [sheet("slope.asked_best") if asked == "best" else sheet.term(asked) for asked, _ in parts]
    if len(parts) == 1:
        return words[0]
    ends = ((bays[group[0].bay - 1].start, bays[group[-1].bay - 1].end) for _, group in parts)
    return ", ".join(f"{start} – {end} {word}" for word, (start, end) in zip(words, ends, strict=True))


def _remedies(sheet: Sheet, run: Run, meeting: Meeting) -> list[str]:
    """What would heal the rules that are broken, bay by bay; many bays are told on the crew sheets."""
    said = [line for met in meeting.bays for line in healed(sheet, run, meeting, met, "decide")]
    more = [sheet("slope.decide_more", count=len(said) - _TOLD)] if len(said) > _TOLD else []
    return said[:_TOLD] + more


# ---------------------------------------------------------------- marks on slopes


def along_words(sheet: Sheet, string: StringLine) -> dict[str, str]:
    """By post: what a tape laid tight on the ground reads from the mark before, where that is not the level gap."""
    ground, found = _ground(sheet, string), {}
    bays = sheet.plan.design.bays
    unknown = (bays[met.bay - 1] for _, meeting in _runs(sheet) for met in meeting.bays if not met.known)
    dark = [{bay.start, bay.end} for bay in unknown]
    for before, mark in itertools.pairwise(string.marks):
        known = next((knots for knots in ground if _within(knots, before) and _within(knots, mark)), None)
        if known is None or {before.post, mark.post} in dark:
            continue
        along = along_slope(mark.gap_m, _height(known, mark.reads_m) - _height(known, before.reads_m))
        if along - mark.gap_m > _MARK_M:
            found[mark.post] = sheet("slope.along", along=sheet.measures.length(along))
    return found


def slope_notes(sheet: Sheet, string: StringLine) -> list[str]:
    """How to tape along a string on a slope: which distance is meant, how level is found, where to break the tape."""
    if not along_words(sheet, string):
        return []
    pulls = _pulls(sheet, string)
    notes = [sheet("slope.level_meant")]
    if any(len(tape) > 1 for tape in pulls):
        notes.append(sheet("slope.break_it", most=sheet.measures.length(_reach(sheet))))
        notes += [_breaks(sheet, string, number, tape) for number, tape in enumerate(pulls) if len(tape) > 1]
    high = [pull for tape in pulls for pull in tape if pull.high_m > _reach(sheet) + _SAME]
    notes += [sheet("slope.too_high", high=sheet.measures.length(pull.high_m)) for pull in high]
    holes = (post for mark in string.marks if (post := sheet.posts()[mark.post]).hole is not None)
    return [*notes, sheet("slope.moved")] if any(post.move is not None for post in holes) else notes


def _reach(sheet: Sheet) -> float:
    """How high a level tape is held: a round figure in the measures of the job."""
    return 1.5 if sheet.measures.style == "metric" else COMFORT_M


def _ground(sheet: Sheet, string: StringLine) -> list[tuple[tuple[float, float], ...]]:
    """The ground along the string, leg by leg, by the readings of its tape; a string may mark several runs."""
    profiles = {run.name: run.profile for run, _ in _runs(sheet)}
    reads = {mark.post: mark.reads_m for mark in string.marks}
    found = []
    for leg in sheet.plan.design.legs:
        known = [post for post in leg.posts if post in reads]
        profile = profiles.get(leg.run)
        if profile is None or len(known) < 2:
            continue
        first, last = reads[known[0]], reads[known[-1]]
        sign = 1.0 if last > first else -1.0
        zero = first - sign * _along(sheet, leg, known[0])
        at = [leg.from_m, *profile.stations_m, leg.from_m + leg.length_m]
        here = sorted({s for s in at if leg.from_m <= s <= leg.from_m + leg.length_m})
        found.append(tuple(sorted((zero + sign * (s - leg.from_m), height_at(profile, s)) for s in here)))
    return sorted(found)


def _along(sheet: Sheet, leg: Leg, post: str) -> float:
    """How far along its leg a post stands [m]."""
    stations = [station - leg.from_m for run, station in sheet.posts()[post].places if run == leg.run]
    return min(stations, key=lambda s: abs(s - leg.length_m / 2))  # a loop begins and ends at one post


def _within(knots: tuple[tuple[float, float], ...], mark: Mark) -> bool:
    return knots[0][0] - _SAME <= mark.reads_m <= knots[-1][0] + _SAME


def _height(knots: tuple[tuple[float, float], ...], at: float) -> float:
    (x0, y0), (x1, y1) = next((pair for pair in itertools.pairwise(knots) if at <= pair[1][0]), knots[-2:])
    return y0 + (y1 - y0) * (at - x0) / (x1 - x0)


def _pulls(sheet: Sheet, string: StringLine) -> list[tuple[Pull, ...]]:
    """Level pulls of the tape, from its zero and from each re-zero on, by its readings."""
    ground = [knot for knots in _ground(sheet, string) for knot in knots]
    if not ground:
        return []
    end = max(string.end_reads_m, string.marks[-1].reads_m)
    starts = [0.0, *(at for at in string.rezeros_m if at < end)]
    step = 0.5 if sheet.measures.style == "metric" else _FOOT_M
    reads = [mark.reads_m for mark in string.marks]
    tapes = zip(starts, [*starts[1:], end], strict=True)
    return [level_pulls(ground, reads, a, b, _reach(sheet), step) for a, b in tapes if b > a]


def _breaks(sheet: Sheet, string: StringLine, number: int, tape: tuple[Pull, ...]) -> str:
    """Where one tape is broken, by what it reads there."""
    at_post = {round(mark.reads_m, 6): mark.post for mark in string.marks}
    zero = tape[0].from_m
    places = []
    for pull in tape[:-1]:
        reads = sheet.measures.length(pull.to_m - zero)
        post = at_post.get(round(pull.to_m, 6))
        places.append(sheet("slope.break_post", reads=reads, post=sheet.post(post)) if post else reads)
    key = "slope.breaks" if len(places) > 1 else "slope.breaks_one"
    tape_name = sheet("slope.from_rezero", number=number) if number else sheet("slope.from_zero")
    return sheet(key, tape=tape_name, count=len(places), places="; ".join(places))
