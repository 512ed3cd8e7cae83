"""Random ground, posts and rules for the tests of how a fence meets the ground."""

from __future__ import annotations

import numpy as np

from palewright.layout.meeting_rules import Floats, GroundRules

IN = 0.0254
FT = 0.3048


def profile(rng: np.random.Generator, bays: int, roughness_in: float = 1.0) -> tuple[Floats, Floats, Floats]:
    """Knots of rolling ground with humps and dips inside bays, and posts not evenly apart."""
    length = bays * 8 * FT
    stations = np.unique(np.concatenate([[0.0], rng.uniform(0.0, length, 4 * bays), [length]]))
    slope = np.clip(rng.normal(0.0, 0.04) + np.cumsum(rng.normal(0.0, 0.012, len(stations) - 1)), -0.2, 0.2)
    heights = 100.0 + np.concatenate([[0.0], np.cumsum(slope * np.diff(stations))])
    heights += rng.normal(0.0, 0.5 * roughness_in * IN, len(stations))
    posts = np.arange(bays + 1) * 8 * FT
    posts[1:-1] += rng.uniform(-1.0, 1.0, bays - 1) * 2 * FT * rng.integers(0, 2)
    return stations, heights, posts


def rules(rng: np.random.Generator, grid_in: float = 0.25) -> GroundRules:
    """Rules that a fence may have; steps are multiples of the grid."""
    least = float(rng.choice([0.0, 0.5, 1.0]))
    return GroundRules(
        infill_m=72 * IN,
        least_m=least * IN,
        target_m=2 * IN,
        most_m=float(rng.choice([4.0, 8.0, 14.0, 20.0])) * IN,
        rack=None if rng.random() < 0.5 else float(rng.choice([0.06, 10 / 72, 0.3])),
        smallest_step_m=float(rng.choice([0.0, 2.0, 4.0])) * IN,
        largest_step_m=float(rng.choice([np.inf, 12.0])) * IN,
        step_multiple_m=float(rng.choice([0.0, 1.0, 2.0])) * grid_in * IN,
        grid_m=grid_in * IN,
        legal_m=None if rng.random() < 0.5 else float(rng.choice([78.0, 84.0, 96.0])) * IN,
        equal=bool(rng.random() < 0.3),
    )
