"""Re-planning a 5-run, 60-post job after one corner moved, against JSON of its own plan.

Floor: the plan is written as JSON and read back once; re-planning is allowed 5 times that.
"""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable

from palewright import exchange, plan
from palewright.model import FenceSpec, GateSpec, Job, PointRef, PointSpec, RunSpec, StakeSpec, ZoneSpec

FOOT = 0.3048


def job(shift: float = 0.0) -> Job:
    """Five runs round a yard, one gate each in two of them, two zones; corner B moved by ``shift`` [m]."""
    places = {"A": (0, 0), "B": (0, 112), "C": (126, 116), "D": (128, 6), "E": (80, 0), "F": (40, 50), "G": (40, 98)}
    points = []
    for name, (x, y) in places.items():
        xy = (x * FOOT + (shift if name == "B" else 0.0), y * FOOT)
        points.append(PointSpec(name, "coordinates", xy))
    legs = {"west": "AB", "north": "BC", "east": "CD", "south": "DE", "inner": "FG"}
    runs = []
    for name, ends in legs.items():
        gates = ()
        if name in ("north", "east"):
            gates = (GateSpec(f"{name} gate", 4 * FOOT, None, 22 * FOOT, ends[0], hinges="near", swings="yard"),)
        runs.append(
            RunSpec(name, "privacy", tuple(PointRef(end) for end in ends), yard="right", follows="racked", gates=gates)
        )
    zones = (
        ZoneSpec(
            "gas",
            (PointRef(xy=(50 * FOOT, 60 * FOOT)), PointRef(xy=(53 * FOOT, 140 * FOOT))),
            0.0254,
            0.6096,
            "hand dig",
            "gas",
        ),
        ZoneSpec(
            "drain", (PointRef(xy=(-30 * FOOT, 40 * FOOT)), PointRef(xy=(20 * FOOT, 44 * FOOT))), 0.1, 0.3, "no hole"
        ),
    )
    fence = FenceSpec("privacy", "boards", (("board", 6 * FOOT), ("longest bay", 8 * FOOT)), good_side="neighbour")
    return Job("bench", points=tuple(points), fences=(fence,), runs=tuple(runs), zones=zones, stakes=StakeSpec())


def median(call: Callable[[int], object], repeats: int) -> float:
    """Median seconds of one call over ``repeats`` calls, after two warm-ups."""
    times = []
    for k in range(repeats + 2):
        start = time.perf_counter()
        call(k)
        times.append(time.perf_counter() - start)
    return statistics.median(times[2:])


def main() -> None:
    """Print the medians and the ratio."""
    jobs = [job(0.001 * k) for k in range(60)]
    made = plan.make_plan(jobs[0])
    text = exchange.dumps(made)
    holes = sum(post.hole is not None for post in made.design.posts)
    data = json.loads(text)
    replan = median(lambda k: plan.make_plan(jobs[k % 60], search_cuts=False), 60)
    whole = median(lambda k: plan.make_plan(jobs[k % 60]), 12)
    floor = median(lambda k: json.loads(json.dumps(data)), 60)
    print(f"re-plan: {len(made.design.runs)} runs, {holes} posts, plan.json {len(text) / 1024:.0f} KiB")
    print(f"  Job -> Plan     {replan * 1e3:8.2f} ms")
    print(f"  with the search for the least stock to buy {whole * 1e3:8.2f} ms (left out while a corner moves)")
    print(f"  json both ways  {floor * 1e3:8.2f} ms")
    print(f"  ratio           {replan / floor:8.2f}   (wanted: at most 5)")


if __name__ == "__main__":
    main()
