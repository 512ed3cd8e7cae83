"""The figures beside the drawing, and what differs from an earlier plan."""

from __future__ import annotations

import math
from collections import Counter

from palewright.drafting.sight_records import Counts, Difference, DifferenceLine, RunCounts
from palewright.drafting.speech import Speech
from palewright.model import Design, Leg, LinePlan
from palewright.papers.words import has as paper_has
from palewright.papers.words import text as paper_text

__all__ = ["counts_of", "difference_of"]

XY = tuple[float, float]

_MOVED_M = 0.001


def counts_of(design: Design, lines: tuple[LinePlan, ...], speech: Speech) -> Counts:
    """Figures of all runs together and of each."""
    length = math.fsum(run.length_m for run in design.runs) + math.fsum(line.length_m for line in lines)
    holes = sum(post.hole is not None for post in design.posts) + sum(line.holes for line in lines)
    posts = sum(post.number > 0 for post in design.posts) + sum(line.holes for line in lines)
    of_run = Counter(name for post in design.posts if post.number for name, _ in post.places)
    gates = Counter(gate.run for gate in design.gates)
    by_run: dict[str, list[Leg]] = {}
    for leg in design.legs:
        by_run.setdefault(leg.run, []).append(leg)
    rows = [
        RunCounts(
            f"run {run.name}", run.name, run.fence, speech.length(run.length_m), of_run[run.name], gates[run.name],
            *_binding(by_run.get(run.name, []), speech),
        )
        for run in design.runs
    ]  # fmt: skip
    rows += [
        RunCounts(f"run {line.run}", line.run, "", speech.length(line.length_m), line.holes, len(line.gates), "", "")
        for line in lines
    ]
    fence = [bay for bay in design.bays if bay.kind != "gate"]
    longest = speech.length(max(bay.length_m for bay in fence)) if fence else ""
    words = dict.fromkeys(row.binding_text for row in rows if row.binding_text)
    return Counts(
        speech.length(length), length, posts, holes, len(design.gates) + sum(len(line.gates) for line in lines),
        len(design.bays), longest, "; ".join(words), tuple(rows),
    )  # fmt: skip


def _binding(legs: list[Leg], speech: Speech) -> tuple[str, str]:
    """The rule that decided the number of bays on the longest of the legs that were divided, and in words."""
    divided = [leg for leg in legs if leg.binding not in ("gate", "")] or legs
    if not divided:
        return "", ""
    word = max(divided, key=lambda leg: leg.length_m).binding
    key = f"binding.{word}"
    return word, paper_text(key, speech.language) if paper_has(key, speech.language) else speech.term(word)


def difference_of(now: Design, counts: Counts, was: Design, before: Counts, speech: Speech) -> Difference:
    """Figures that differ, and posts and gates that moved, are new or are gone."""
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
    old, new = _places(was), _places(now)
    moved = tuple(key for key, spot in new.items() if key in old and math.dist(old[key], spot) > _MOVED_M)
    return Difference(
        tuple(lines), moved, tuple(key for key in new if key not in old), tuple(key for key in old if key not in new)
    )


def _places(design: Design) -> dict[str, XY]:
    """Where every post and every gate stands, by id."""
    spots = {post.label: post.xy for post in design.posts}
    gates = {f"gate {gate.name}": spots[gate.posts[0]] for gate in design.gates}
    return {f"post {label}": xy for label, xy in spots.items()} | gates
