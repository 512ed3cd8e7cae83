"""Differential levelling notes as handbooks print them: BM A at 100.00 ft, four set-ups, ending on a known point.

Heights 93.28, 92.76, 98.25, 94.95; sum of backsights minus sum of foresights -5.05 ft; the end is known as 94.91, so that
the line misses by +0.04, which is spread by set-ups: 93.27, 92.74, 98.22, 94.91. Readings of one quality and least squares
spread it alike.

sources: bench-mark-line
"""

from __future__ import annotations

import pytest

from palewright import jobfile
from palewright.model import Heights
from palewright.plan.heights import job_heights

FT = 0.3048
NOTES = [("BM A", 3.10, None), ("TP1", 6.44, 9.82), ("TP2", 8.76, 6.96), ("TP3", 7.12, 3.27), ("BM B", None, 10.42)]


def heights(points: str) -> Heights:
    rows = "".join(
        f"      - {{point: {name}, " + ", ".join(
            f"{word}: {value} ft" for word, value in (("back", back), ("fore", fore)) if value is not None
        ) + "}\n"
        for name, back, fore in NOTES
    )  # fmt: skip
    text = (
        f"palewright: 1\njob: {{title: line}}\npoints: {{{points}}}\nlevels:\n  - within: 0.02 ft\n    notes:\n{rows}"
    )
    found = job_heights(jobfile.read_text(text), {})
    assert found is not None
    return found


def feet(found: Heights) -> dict[str, float]:
    return {point.name: round(point.height / FT, 4) for point in found.points}


def test_heights_from_one_end():
    found = feet(heights("BM A: {height: 100 ft}"))
    assert found == {"BM A": 100.0, "TP1": 93.28, "TP2": 92.76, "TP3": 98.25, "BM B": 94.95}


def test_closure_on_the_known_end():
    (closure,) = heights("BM A: {height: 100 ft}, BM B: {height: 94.91 ft}").closures
    assert (closure.start, closure.end, closure.setups) == ("BM A", "BM B", 4)
    assert (closure.back_m - closure.fore_m) / FT == pytest.approx(-5.05, abs=1e-9)
    assert closure.misclosure_m / FT == pytest.approx(0.04, abs=1e-9)


def test_the_miss_is_spread_by_set_ups():
    found = feet(heights("BM A: {height: 100 ft}, BM B: {height: 94.91 ft}"))
    assert [found[name] for name in ("TP1", "TP2", "TP3", "BM B")] == pytest.approx(
        [93.27, 92.74, 98.22, 94.91], abs=1e-9
    )


def test_what_a_line_may_miss():
    """0.02 ft on a small site; third order 12 mm times the root of the kilometres."""
    points = "BM A: {height: 100 ft}, BM B: {height: 94.91 ft}"
    (closure,) = heights(points).closures
    assert [(limit.rule, limit.most_m / FT) for limit in closure.limits] == [("small site", pytest.approx(0.02))]
