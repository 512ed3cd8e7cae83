"""What the bench of long lines measures is right: ours and the floor have the same posts on the same ground."""

from __future__ import annotations

import numpy as np
from bench.line import floor, ground, path, whole

from palewright.layout.line_rules import resolve_wire
from palewright.model import FenceSpec


def test_ours_and_the_floor_agree() -> None:
    grid, rules = ground(1200), resolve_wire(FenceSpec("ranch", "barbed wire", (("longest bay", 5.0),)))
    table, counts, rolls = whole(grid, path(3.0), rules)
    least = floor(grid, table)
    assert np.abs(least["ground_m"] - table["ground_m"]).max() < 0.002
    assert (np.diff(table["along_m"]) <= 5.0 + 1e-9).all()
    assert len(table) == sum(
        n
        for what, n in counts.items()
        if what in ("end", "corner", "anchor", "pull", "brace", "stiff", "low", "high", "wood", "steel")
    )
    wire = 5 * 3000.0
    assert rolls >= wire / (1320 * 0.3048)
