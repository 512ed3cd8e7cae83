"""The figures beside the drawing, and what differs from an earlier plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from palewright.drafting.sight_records import Counts, Difference, DifferenceLine, RunCounts
from palewright.drafting.speech import Speech
from palewright.model import Leg, LinePlan
from palewright.papers.words import has as paper_has
from palewright.papers.words import text as paper_text

if TYPE_CHECKING:
    from palewright.drafting.pieces import RunParts

__all__ = ["RunFigures", "counts_of", "difference_of", "figures_of_run"]

XY = tuple[float, float]

_MOVED_M = 0.001


class RunFigures(NamedTuple):
    """Figures of one run: its row, its length, the posts that are numbered in it, its bays, its longest bay [m]."""

    row: RunCounts
    length_m: float
    posts: int
    holes: int
    bays: int
    longest_m: float


def figures_of_run(parts: RunParts, speech: Speech) -> RunFigures:
    """Figures of one run; a post that it shares counts in its row, and in the total where it is numbered."""
    run = parts.run
    stands = {label for leg in parts.legs for label in leg.posts}
    row = RunCounts(
        f"run {run.name}", run.name, run.fence, speech.length(run.length_m),
        sum(parts.all[label].number > 0 for label in stands), len(parts.gates), *_binding(parts.legs, speech),
    )  # fmt: skip
    longest = max((bay.length_m for bay in parts.bays if bay.kind != "gate"), default=0.0)
    numbered = sum(post.number > 0 for post in parts.posts)
    holes = sum(post.hole is not None for post in parts.posts)
    return RunFigures(row, run.length_m, numbered, holes, len(parts.bays), longest)


def counts_of(figures: Sequence[RunFigures], lines: Sequence[LinePlan], speech: Speech) -> Counts:
    """Figures of all runs together and of each."""
    length = math.fsum(run.length_m for run in figures) + math.fsum(line.length_m for line in lines)
    wire = sum(line.holes for line in lines)
    driven = {line.run: dict(line.counts).get("steel", 0) for line in lines}
    rows = [run.row for run in figures]
    rows += [
        RunCounts(f"run {line.run}", line.run, "", speech.length(line.length_m), line.holes + driven[line.run],
                  len(line.gates), "", "")
        for line in lines
    ]  # fmt: skip
    longest = max((run.longest_m for run in figures), default=0.0)
    words = dict.fromkeys(row.binding_text for row in rows if row.binding_text)
    return Counts(
        speech.length(length), length, sum(run.posts for run in figures) + wire + sum(driven.values()),
        sum(run.holes for run in figures) + wire, sum(row.gates for row in rows), sum(run.bays for run in figures),
        speech.length(longest) if longest else "", "; ".join(words), tuple(rows),
    )  # fmt: skip


def _binding(legs: Sequence[Leg], speech: Speech) -> tuple[str, str]:
    """The rule that decided the number of bays on the longest of the legs that were divided, and in words."""
    divided = [leg for leg in legs if leg.binding not in ("gate", "")] or legs
    if not divided:
        return "", ""
    word = max(divided, key=lambda leg: leg.length_m).binding
    if word.startswith("zone "):
        return word, paper_text("decisions.bound_by_zone", speech.language, zone=word[5:])
    key = f"binding.{word}"
    return word, paper_text(key, speech.language) if paper_has(key, speech.language) else speech.term(word)


def difference_of(
    counts: Counts, before: Counts, now: Mapping[str, XY], was: Mapping[str, XY], speech: Speech
) -> Difference:
    """Figures that differ, and posts and gates that moved, are new or are gone.

    now, was
        where they stand, by id [m].
    """
    lines = []
    for what, a, b in (
        ("fence", before.fence_m, counts.fence_m),
        ("posts", before.posts, counts.posts),
        ("holes", before.holes, counts.holes),
        ("gates", before.gates, counts.gates),
        ("bays", before.bays, counts.bays),
    ):
        one, two = (speech.length(a), speech.length(b)) if what == "fence" else (str(a), str(b))
        if one != two:
            by = abs(b - a)
            shown = speech.length(by) if what == "fence" else str(by)
            text = speech("differ.more" if b > a else "differ.less", what=speech(f"differ.{what}"), by=shown)
            lines.append(DifferenceLine(what, one, two, text))
    moved = tuple(key for key, spot in now.items() if key in was and math.dist(was[key], spot) > _MOVED_M)
    return Difference(
        tuple(lines), moved, tuple(key for key in now if key not in was), tuple(key for key in was if key not in now)
    )
