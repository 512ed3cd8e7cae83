"""What an expected length is worth, against a stake-out drawn many times and against sums by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from palewright import jobfile, plan
from palewright.model import Plan
from palewright.papers.crew import crew_data
from palewright.plan import explain
from palewright.stakeout.expecting import most_off

FT, IN = 0.3048, 0.0254
YARD = """palewright: 1
job: {title: Bramble yard, tape: 100 ft}
points:
  left: {stands: corner of the house}
  right: {stands: corner of the house}
  Q: {left of: [left, right]}
  R: {left of: [left, right]}
measured:
  - {tape: [left, right], reads: 40 ft, within: WALL}
  - {tape: [left, Q], reads: 45 ft, within: 1/2 in}
  - {tape: [right, Q], reads: 62 ft, within: 1/2 in}
  - {tape: [left, R], reads: 63 ft, within: 1/2 in}
  - {tape: [right, R], reads: 44 ft, within: 1/2 in}
fences: {f: {kind: boards, board: 6 ft, good side: yard}}
runs: [{name: r, fence: f, through: [left, Q, R, right], yard: right, follows: racked,
        ends: {left: {at wall: bracket}, right: {at wall: bracket}}}]
"""


def made(text: str) -> Plan:
    return plan.make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))


def swung(p: np.ndarray, q: np.ndarray, a: float, b: float, near: tuple[float, float]) -> np.ndarray:
    """Where two tapes from p and q meet, on the side of ``near``: two circles, without any derivative."""
    d = float(np.hypot(*(q - p)))
    x = (a * a - b * b + d * d) / (2 * d)
    y = math.sqrt(a * a - x * x)
    u = (q - p) / d
    both = [p + u * x + s * y * np.array([-u[1], u[0]]) for s in (1.0, -1.0)]
    return min(both, key=lambda at: float(np.hypot(*(at - near))))


def test_what_a_figure_is_worth_is_how_much_it_varies_where_the_wall_was_taped_wrong():
    """The crew tapes both corner posts from a wall that is not 40 ft long: circles met anew for each drawn wall."""
    result = made(YARD.replace("WALL", "1 in"))
    posts = {post.label: post.xy for post in result.design.posts}
    at = {point.name: np.array(point.xy) for point in result.site.points}
    placing: dict[str, list[tuple[str, float]]] = {}
    for tie in result.stakeout.ties:
        if tie.why == "tie":
            placing.setdefault(tie.end, []).append((tie.start, tie.length_m))
    assert all({start for start, _ in tapes} == {"left", "right"} for tapes in placing.values())
    sigma = 1.0 * IN
    rng = np.random.default_rng(3)
    u = (at["right"] - at["left"]) / np.hypot(*(at["right"] - at["left"]))
    drawn: dict[tuple[str, str], list[float]] = {}
    others = [tie for tie in result.stakeout.ties if tie.why != "tie"]
    for off in rng.normal(0.0, sigma, 4000):
        stand = {"left": at["left"], "right": at["right"] + u * off}
        now = {
            label: swung(stand[one], stand[two], a, b, posts[label]) for label, ((one, a), (two, b)) in placing.items()
        }
        for tie in others:
            p, q = (
                now.get(name, stand.get({"W1": "left", "W2": "right"}.get(name, ""))) for name in (tie.start, tie.end)
            )
            drawn.setdefault((tie.start, tie.end), []).append(float(np.hypot(*(q - p))))
    assert drawn
    for tie in others:
        lengths = drawn[tie.start, tie.end]
        assert np.mean(lengths) == pytest.approx(tie.length_m, abs=2e-3)
        assert tie.known_m == pytest.approx(2.0 * np.std(lengths), rel=0.06, abs=2e-4)
        assert tie.most_off_m == pytest.approx(math.hypot(tie.tolerance_m, tie.known_m))
    assert max(tie.known_m for tie in others) > 1.0 * IN


def test_a_tape_that_places_a_post_is_right_by_itself():
    for tie in made(YARD.replace("WALL", "1 in")).stakeout.ties:
        if tie.why == "tie":
            assert tie.known_m == pytest.approx(0.0, abs=1e-6)


def test_the_crew_is_told_both_figures_and_the_office_why():
    poor = made(YARD.replace("WALL", "1 in"))
    rows = {(row["from"], row["to"]): row for row in crew_data(poor)["ties"]}
    row = next(r for r in rows.values() if r["known"])
    tie = next(t for t in poor.stakeout.ties if f"post {t.start}" == row["from"] and f"post {t.end}" == row["to"])
    assert row["known"].startswith("points known to ± ")
    assert "stop\u00a0above\u00a0" in row["known"]
    assert crew_data(poor)["proof_known"]
    known, most = explain(poor, f"tape {tie.start} to {tie.end}")
    assert (known.value, most.value) == (tie.known_m, tie.most_off_m)
    assert dict(known.inputs)["hangs on"] == "right, left"
    fine = crew_data(made(YARD.replace("WALL", "1/32 in")))
    assert not fine["proof_known"]
    assert not any(row["known"] for row in (*fine["ties"], *fine["corners"]))


def test_nothing_measured_nothing_said():
    result = made(
        "palewright: 1\njob: {title: x}\npoints: {A: {at: [0 ft, 0 ft]}, B: {at: [50 ft, 0 ft]}, C: {at: [50 ft, 40 ft]}}\n"
        "fences: {f: {kind: boards, good side: yard}}\n"
        "runs: [{name: r, fence: f, through: [A, B, C], yard: left, follows: racked}]\n"
    )
    assert result.stakeout.ties
    assert {tie.known_m for tie in result.stakeout.ties} == {None}
    assert {check.known_m for check in result.stakeout.checks} == {None}


def test_pins_of_the_record_are_known_to_each_other_as_the_standard_asks():
    """Two posts at found pins 100 ft apart: 0.07 ft + 50 ppm is the limit of 95 of 100, 2.4477 standard deviations."""
    pin = "found: 5/8 in iron pin with cap, matches record: yes"
    result = made(
        "palewright: 1\njob: {title: x, tape: 200 ft}\npoints:\n"
        f"  SW: {{at: [0 ft, 0 ft], {pin}}}\n  SE: {{at: [100 ft, 0 ft], {pin}}}\n"
        f"  NE: {{at: [100 ft, 60 ft], {pin}}}\n  NW: {{at: [0 ft, 60 ft], {pin}}}\n"
        "  A: {on line: [SW, SE], distance: 20 ft}\n  B: {on line: [SW, SE], distance: 80 ft}\n"
        "boundary: {through: [SW, SE, NE, NW]}\n"
        "fences: {f: {kind: boards, good side: yard}}\n"
        "runs: [{name: r, fence: f, through: [[0 ft, 4 ft], [100 ft, 4 ft]], yard: left, follows: racked}]\n"
    )
    (overall,) = (tie for tie in result.stakeout.ties if tie.why == "overall")
    sigma = (0.07 + 50e-6 * 100) / 2.4477 * FT
    assert overall.known_m == pytest.approx(2 * sigma, rel=0.05)


def test_the_most_that_is_explained():
    assert most_off(0.0, 0.01) == 0.01
    with pytest.raises(ValueError, match="negative"):
        most_off(-0.001, 0.0)
