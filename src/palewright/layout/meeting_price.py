"""What a way of meeting the ground costs, share by share: told apart from how it was found."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from palewright.layout.meeting_build import BEND_BAY_M
from palewright.layout.meeting_rules import OPEN, SLACK_M, Floats, GroundRules, LookWeights

__all__ = ["priced"]


def priced(
    modes: Sequence[str],
    bottoms_m: Floats,
    tops_m: Floats,
    posts_m: Floats,
    ground_m: Floats,
    rules: GroundRules,
    weights: LookWeights,
    equal: Sequence[bool] = (),
) -> dict[str, float]:
    """The shares of the cost [m of post] by the name of their weight. Gates cost nothing.

    modes
        of each bay. bottoms_m, tops_m: of each bay at its two posts, shape (bays, 2) [m]. posts_m, ground_m: stations
        and heights of the ground at the posts [m]. equal: for each bay whether the steps at its posts are to be alike,
        as ``rules`` say unless given.
    """
    fence = ~np.isin(np.asarray(modes), OPEN)
    rise = np.diff(bottoms_m, axis=1)[:, 0]
    step = tops_m[1:, 0] - tops_m[:-1, 1]
    inner = fence[1:] & fence[:-1]
    stepped = inner & (np.abs(step) > SLACK_M)
    tall = np.full(len(posts_m), -np.inf)
    tall[:-1] = np.where(fence, tops_m[:, 0], -np.inf)
    tall[1:] = np.maximum(tall[1:], np.where(fence, tops_m[:, 1], -np.inf))
    extra = np.where(np.isfinite(tall), np.maximum(0.0, tall - (ground_m + rules.target_m + rules.infill_m)), 0.0)
    off = np.abs(bottoms_m - (np.stack([ground_m[:-1], ground_m[1:]], axis=1) + rules.target_m)).mean(1)
    level, racked = np.asarray(modes) == "stepped", np.asarray(modes) == "racked"
    uneven = np.abs(np.diff(step))[level[2:] & level[1:-1] & level[:-2]]
    alike = (np.asarray(equal) if len(equal) else np.full(len(modes), rules.equal))[1:-1]
    alike = alike[level[2:] & level[1:-1] & level[:-2]]
    slope = rise / np.diff(posts_m)
    both = racked[1:] & racked[:-1]
    bend = np.abs(np.diff(slope))[both & ~stepped] * BEND_BAY_M
    changed = sum(a != b and not {a, b}.intersection(OPEN) for a, b in zip(modes[1:], modes[:-1], strict=True))
    changed += int((both & stepped).sum())
    return {
        "post": weights.post * float(extra.sum()),
        "gap": weights.gap * float(off[fence].sum()),
        "step": weights.step * int(stepped.sum()),
        "even": weights.even * float(uneven[~alike].sum()),
        "new": weights.new * int((uneven[alike] > SLACK_M).sum()),
        "bend": weights.bend * float(bend.sum()),
        "change": weights.change * changed,
        "scribe": weights.scribe * sum(mode == "level-top" for mode in modes),
    }
