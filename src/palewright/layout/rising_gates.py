"""Gates where the ground is not level: how high each leaf hangs, and what the owner must know of its swing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from palewright.layout.meeting_gates import Sweep, leaf_sweep, sector
from palewright.layout.meeting_ground import ground_at
from palewright.layout.meeting_rules import Floats
from palewright.model import Gate, GateSpec, Kind, Profile, Remark
from palewright.plane import XY, distance, sub, turn_between
from palewright.record import Record

__all__ = ["LEAST_CLEAR_M", "Heights", "Leaf", "hang_gate", "hung", "said_of_gate"]

Heights = Callable[[Floats], Floats]
"""Places (n, 2) [m] to heights of the ground there [m]; nan where it is not known."""

UPHILL_M = 0.00635
"""A swing whose ground rises by no more than a quarter of an inch is level: what a crew sets (common practice)."""

LEAST_CLEAR_M = 0.0254
"""1 in from a leaf to the highest ground in its swing (common practice: do-it-yourself guides)."""


class Leaf(Record):
    """The leaves of one gate: their common bottom, the most room below it while shut, by how much the swing lifts it.

    bottom_m
        height of the bottom [m]. low_gap_m, rise_m: [m]. unknown: share of the swing whose ground is not known.
    """

    bottom_m: float
    low_gap_m: float
    rise_m: float
    unknown: float


def hang_gate(
    gate: Gate, start: XY, from_m: float, profile: Profile, clearance_m: float, heights: Heights | None
) -> Leaf:
    """How high the leaves of a gate hang so that they clear all known ground of their swing.

    start, from_m
        beginning of the straight piece that it hangs in, and its station [m]. clearance_m: below the leaf [m].
    heights
        ground beside the run, or None: then only the ground along the run counts. Where both are known they are laid
        on one another at the closed leaf.
    Source: geometry (:func:`palewright.layout.meeting_gates.leaf_sweep`).
    """
    swept: list[Sweep] = []
    shut: list[float] = []
    for fan in gate.swing:
        hinge, latch = fan[0], fan[1]
        places = sector(hinge, latch, _turned(fan))
        ends = [from_m + distance(start, p) for p in (hinge, latch)]
        ground, highest = _ground(places, ends, profile, heights)
        shut.append(highest)
        swept.append(leaf_sweep(ground, clearance_m, max(0.0, highest - float(np.nanmax(ground)))))
    bottom = max(one.bottom for one in swept)
    return Leaf(
        bottom_m=bottom,
        low_gap_m=bottom - min(one.closed_lowest for one in swept),
        rise_m=max(0.0, bottom - clearance_m - max(shut)),
        unknown=max(one.unknown for one in swept),
    )


def _turned(fan: Sequence[XY]) -> float:
    """The angle through which a leaf opens [rad], positive to the left."""
    arms = [sub(p, fan[0]) for p in fan[1:]]
    return sum(turn_between(a, b) for a, b in pairwise(arms))


def _ground(places: Floats, ends: Sequence[float], profile: Profile, heights: Heights | None) -> tuple[Floats, float]:
    """Heights of the ground under the leaf, and the highest anywhere below the closed leaf [m]."""
    s, z = np.array(profile.stations_m), np.array(profile.heights_m)
    at = np.linspace(ends[0], ends[1], places.shape[1])
    ground = np.full(places.shape[:2], np.nan)
    if heights is not None:
        ground = heights(places.reshape(-1, 2)).reshape(ground.shape)
        known = np.isfinite(ground[0])
        if known.any():
            ground += float(np.mean(ground_at(s, z, at[known]) - ground[0][known]))
    ground[0] = ground_at(s, z, at)
    inside = z[(s > min(ends)) & (s < max(ends))]
    return ground, max([float(ground[0].max()), *inside.tolist()])


def hung(gate: Gate, leaf: Leaf, hinge_ground_m: float, kind: Kind) -> Gate:
    """The gate with its leaf above the ground at its hinge post; as it is where that is as on level ground."""
    bottom, up = leaf.bottom_m - hinge_ground_m, leaf.rise_m if leaf.rise_m > UPHILL_M else 0.0
    if max(abs(bottom - gate.bottom_m), abs(leaf.low_gap_m - gate.low_gap_m), up) < 1e-9:
        return gate
    return replace(gate, bottom_m=bottom, top_m=bottom + kind.infill_m, low_gap_m=leaf.low_gap_m, uphill_m=up)


def said_of_gate(gate: Gate, spec: GateSpec, leaf: Leaf, clearance_m: float) -> list[Remark]:
    """An uphill swing, with its rise and what stays open on the low side; ground that nobody measured; a low leaf."""
    about, name = f"gate {gate.name}", ("gate", gate.name)
    remarks = []
    if leaf.rise_m > UPHILL_M:
        slug, level = ("gate-uphill-kept", "note") if spec.uphill == "keep" else ("gate-swings-uphill", "caution")
        args = (name, ("rise_m", leaf.rise_m), ("bottom_m", gate.bottom_m), ("gap_m", leaf.low_gap_m))
        remarks.append(Remark(slug, level, about, args, spec.at))
    if leaf.unknown > 0.0:
        remarks.append(Remark("gate-swing-not-known", "ask", about, (name,), spec.at))
    if clearance_m < LEAST_CLEAR_M - 1e-9:
        args2 = (name, ("gap_m", clearance_m), ("least_m", LEAST_CLEAR_M))
        remarks.append(Remark("gate-leaf-low", "caution", about, args2, spec.at))
    return remarks
