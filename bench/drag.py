"""A corner is dragged on the drawing table: from the edit to the JSON that a page is sent, on 60 and on 2,000 posts.

Floor: the sight of the job is written as JSON once by the standard library.
"""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable

from palewright import drafting
from palewright.drafting.edits import Edit, Length, Move
from palewright.web.desk import encode

_RUNS = 112
_ROW = """\
  - name: row {k}
    fence: privacy
    through: [A{k}, B{k}, C{k}]
    yard: right
    follows: racked
"""
_GATE = "    gates: [{{name: gate {k}, opening: 4 ft, starts: 22 ft from A{k}, hinges: near A{k}, swings: to yard}}]\n"

_SIXTY = """\
palewright: 1
job: {title: bench}
points:
  A: {at: [0 ft, 0 ft]}
  B: {at: [0 ft, 112 ft]}
  C: {at: [126 ft, 116 ft]}
  D: {at: [128 ft, 6 ft]}
  E: {at: [80 ft, 0 ft]}
  F: {at: [40 ft, 50 ft]}
  G: {at: [40 ft, 98 ft]}
fences:
  privacy: {kind: boards, board: 6 ft, longest bay: 8 ft, good side: neighbour}
runs:
  - {name: west, fence: privacy, through: [A, B], yard: right, follows: racked}
  - {name: north, fence: privacy, through: [B, C], yard: right, follows: racked,
     gates: [{name: north gate, opening: 4 ft, starts: 22 ft from B, hinges: near B, swings: to yard}]}
  - {name: east, fence: privacy, through: [C, D], yard: right, follows: racked,
     gates: [{name: east gate, opening: 4 ft, starts: 22 ft from C, hinges: near C, swings: to yard}]}
  - {name: south, fence: privacy, through: [D, E], yard: right, follows: racked}
  - {name: inner, fence: privacy, through: [F, G], yard: right, follows: racked}
clear of:
  - {name: gas, through: [[50 ft, 60 ft], [53 ft, 140 ft]], width: 1 in, each side: 24 in, inside it: hand dig,
     utility: gas}
  - {name: drain, through: [[-30 ft, 40 ft], [20 ft, 44 ft]], width: 4 in, each side: 12 in, inside it: no hole}
"""


def sixty() -> str:
    """The job of ``bench.replan`` as a file: five runs, 60 posts."""
    return _SIXTY


def many(runs: int = _RUNS) -> str:
    """Rows of fence, 18 posts each, all in one job."""
    points, rows = [], []
    for k in range(runs):
        y = 40 * k
        points += [f"  A{k}: {{at: [0 ft, {y} ft]}}", f"  B{k}: {{at: [100 ft, {y + 3} ft]}}",
                   f"  C{k}: {{at: [104 ft, {y + 30} ft]}}"]  # fmt: skip
        rows.append(_ROW.format(k=k) + (_GATE.format(k=k) if k % 5 == 0 else ""))
    head = "palewright: 1\njob: {title: bench}\npoints:\n" + "\n".join(points)
    fences = "\nfences:\n  privacy: {kind: boards, board: 6 ft, longest bay: 8 ft, good side: neighbour}\nruns:\n"
    return head + fences + "".join(rows)


def timed(call: Callable[[int], object], repeats: int) -> tuple[float, float]:
    """Median and 99th percentile of the seconds of one call, after two warm-ups."""
    times = []
    for k in range(repeats + 2):
        start = time.perf_counter()
        call(k)
        times.append(time.perf_counter() - start)
    times = sorted(times[2:])
    return statistics.median(times), times[min(len(times) - 1, int(0.99 * len(times)))]


def measure(name: str, text: str, about: str, at: tuple[float, float], repeats: int) -> None:
    """Drag one point to and fro."""
    trial = drafting.Trial(text)

    def edits(k: int) -> list[Edit]:
        return [Move(about, (at[0] + 0.01 * (k % 40), at[1] + 0.007 * (k % 29)))]

    def step(k: int) -> bytes:
        found = trial.shifted(edits(k))
        assert found is not None
        return encode(found)

    moved = timed(lambda k: trial.move(edits(k)), repeats)
    sent = timed(step, repeats)
    whole = drafting.to_json(trial.sight)
    floor, _ = timed(lambda k: json.dumps(whole), 20)
    size = len(step(3))
    print(f"{name}: {trial.sight.counts.posts} posts, {len(trial.sight.elevations)} runs")
    print(f"  edit -> sight      median {moved[0] * 1e3:7.2f} ms   p99 {moved[1] * 1e3:7.2f} ms")
    print(f"  edit -> JSON sent  median {sent[0] * 1e3:7.2f} ms   p99 {sent[1] * 1e3:7.2f} ms   {size / 1024:.0f} KiB")
    print(f"  json of the whole         {floor * 1e3:7.2f} ms")
    print(f"  ratio                     {sent[0] / floor:7.2f}")


def main() -> None:
    """Print the medians, the 99th percentiles and the ratios."""
    measure("drag, few runs", sixty(), "point B", (0.0, 34.0), 200)
    measure("drag, many runs", many(), "point B50", (30.4, 610.0), 60)
    trial = drafting.Trial(sixty())
    typed = timed(lambda k: trial.change([Length("leg north 1", f"{126 + k % 3} ft")]), 60)
    print(f"a typed length, few runs: median {typed[0] * 1e3:.2f} ms")


if __name__ == "__main__":
    main()
