"""Posts of a residential chain-link job, by the counting rules of home leaflets for chain link.

Source: home chain-link leaflets (line posts at most 10 ft apart, terminals at ends, corners and gates, each shared
corner once) applied to runs of 20, 26, 80 and 50 ft with one 4 ft opening between the first two: 6 terminals and
1 + 2 + 7 + 4 = 14 line posts, 176 ft of fabric. Counts exact.

sources: clhome, clest
"""

from __future__ import annotations

import pytest
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, posts_by_role, run

from palewright.model import HoleRule, PostSize


def test_six_terminals_fourteen_line_posts():
    pipe = PostSize("1 5/8", 1.625 * IN, 1.625 * IN, True)
    terminal = PostSize("2 3/8", 2.375 * IN, 2.375 * IN, True)
    link = kind(
        longest=10 * FT,
        family="chain link",
        two_faced=False,
        posts=(("line", pipe), ("end", terminal), ("gate", terminal)),
        holes=(("line", HoleRule(6 * IN, 24 * IN, 0.0)), ("end", HoleRule(8 * IN, 24 * IN, 0.0))),
    )
    places = points(A=(0, 0), B=(50, 0), C=(50, 80), D=(0, 80))
    design = lay([run("yard", "A", "B", "C", "D", gates=(gate("walk", 4, 20, "A"),))], places, kinds={"fence": link})
    roles = posts_by_role(design)
    assert sum(count for role, count in roles.items() if role != "line") == 6
    assert roles["line"] == 14
    assert [sum(1 for bay in design.bays if bay.leg == k and bay.kind == "fence") for k in range(3)] == [2 + 3, 8, 5]
    assert design.runs[0].fence_m / FT == pytest.approx(176)
