"""Cuts of bays on slopes in words: boards scribed to the ground under a level top, the kick board under a bay."""

from __future__ import annotations

import numpy as np

from palewright.layout.meeting_cuts import board_edges, cut_to_ground, under_bay
from palewright.model import BayMeeting, Meeting, Run
from palewright.papers.sheet import Sheet

__all__ = ["board_words", "kick_words"]


def _span(sheet: Sheet, run: Run, met: BayMeeting) -> tuple[float, float]:
    """Stations of the two posts of a bay [m]."""
    bays = sheet.plan.design.bays
    leg = sheet.plan.design.legs[bays[met.bay - 1].leg]
    start = leg.from_m + sum(bays[number - 1].length_m for number in leg.bays[: leg.bays.index(met.bay)])
    return start, start + bays[met.bay - 1].length_m


def board_words(sheet: Sheet, run: Run, meeting: Meeting, met: BayMeeting) -> list[str]:
    """Boards under a level top: how many, and from which length to which, each cut at its bottom along the ground."""
    kind, profile = sheet.kinds().get(sheet.plan.design.bays[met.bay - 1].fence), run.profile
    if met.mode != "level-top" or kind is None or profile is None:
        return []
    if kind.family != "boards" or kind.pattern == "horizontal" or kind.board_width_m <= 0.0:
        return [sheet("slope.cut_along")]
    start, end = _span(sheet, run, met)
    edges = board_edges(start, end, kind.board_width_m, kind.board_gap_m)
    ground = np.array(profile.stations_m), np.array(profile.heights_m)
    cuts = cut_to_ground(*ground, edges, (start, end), met.top_m, met.least.gap_m)
    show = sheet.measures
    lengths = {"low": show.up(float(cuts.length.min())), "high": show.up(float(cuts.blank.max()))}
    return [sheet("slope.boards", count=len(edges), **lengths)]


def kick_words(sheet: Sheet, run: Run, meeting: Meeting, met: BayMeeting, by_m: float) -> str:
    """The board that closes the wedge under a bay: from where to where, and how high; ``by_m`` is its room too much."""
    profile = run.profile
    assert profile is not None
    start, end = _span(sheet, run, met)
    ground = np.array(profile.stations_m), np.array(profile.heights_m)
    kind = sheet.kinds()[sheet.plan.design.bays[met.bay - 1].fence]
    a, b, high = under_bay(*ground, (start, end), met.bottom_m, kind.bottom_gap_m, met.most.gap_m - by_m)
    show = sheet.measures
    return sheet("slope.kick", start=show.length(a), end=show.length(b), high=show.up(high))
