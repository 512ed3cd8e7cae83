"""Sites made up at random, with one tape misread, through the whole program; and what became of each.

A house with four or six corners, typed with coordinates or only taped, and points in the yard to 6 to 14 in all, each
with three tapes from the corners and points before it, mostly near ones. Tapes scatter as their accuracy says and are
read to 1/8 in. ``python -m tests.survey.sites 2000`` prints the rates (docs/rough-places.md has them).
"""

from __future__ import annotations

import itertools
import math
import random
import re
import sys
from collections import Counter
from dataclasses import dataclass

import numpy as np

from palewright import jobfile
from palewright.errors import JobError
from palewright.model import Site
from palewright.plan.site import site_and_network

FT = 0.3048
WRONG_FT, SIGMAS = 0.5, 3.5
"""A point is placed wrongly when it is farther off than both: half a foot, and so many of its standard deviations."""

Places = dict[str, tuple[float, float]]


@dataclass
class Made:
    """True places and tapes [ft]; ``bad`` the number of the tape misread, -1 none."""

    at: Places
    tapes: list[tuple[str, str, float]]
    bad: int
    house: list[str]
    held: bool


def sigma(feet: float) -> float:
    """Of a tape [ft]: 0.03 ft, and 1 in 2000."""
    return math.hypot(0.03, feet / 2000.0)


def make(number: int, misread: bool = True) -> Made:
    """The site of a number."""
    draw = random.Random(number)
    count, held = draw.randint(6, 14), draw.random() < 0.5
    at = _house(draw, count)
    house = list(at)
    x0, y0 = (min(xy[k] for xy in at.values()) - 1.0 for k in (0, 1))
    x1, y1 = (max(xy[k] for xy in at.values()) + 1.0 for k in (0, 1))
    while len(at) < count:
        p = draw.uniform(0.0, 100.0), draw.uniform(0.0, 110.0)
        inside = x0 < p[0] < x1 and y0 < p[1] < y1
        if not inside and all(math.dist(p, q) > 4.0 for q in at.values()):
            at[f"P{len(at) - len(house) + 1}"] = p
    names = list(at)
    pairs = [] if held else list(itertools.combinations(house, 2))
    for k in range(len(house), count):
        near = sorted(names[:k], key=lambda q: math.dist(at[names[k]], at[q]) + draw.uniform(0.0, 40.0))
        pairs += [(names[k], q) for q in near[:3]]
    tapes = []
    for a, b in pairs:
        true = math.dist(at[a], at[b])
        tapes.append((a, b, round((true + draw.gauss(0.0, sigma(true))) * 96.0) / 96.0))
    bad = draw.randrange(len(tapes)) if misread else -1
    if misread:
        a, b, reads = tapes[bad]
        tapes[bad] = (a, b, _misread(draw, reads))
    return Made(at, tapes, bad, house, held)


def _house(draw: random.Random, count: int) -> Places:
    w, d = draw.uniform(24.0, 52.0), draw.uniform(20.0, 36.0)
    x, y = draw.uniform(20.0, 35.0), draw.uniform(25.0, 40.0)
    corners = [(0.0, 0.0), (w, 0.0), (w, d), (0.0, d)]
    if draw.random() < 0.3:
        cut = draw.uniform(8.0, w - 8.0), draw.uniform(6.0, d - 6.0)
        corners = [*corners[:3], (cut[0], d), cut, (0.0, cut[1])][: max(4, min(6, count - 2))]
    return {f"H{k + 1}": (x + p[0], y + p[1]) for k, p in enumerate(corners)}


def _misread(draw: random.Random, reads: float) -> float:
    """A whole foot as often as not; ten feet, five, some inches, two digits swapped, a six for a nine."""
    while True:
        slip = draw.choice(["foot"] * 3 + ["ten feet"] * 2 + ["inches", "ten inches", "swap", "six nine", "five feet"])
        steps = {"foot": 1.0, "ten feet": 10.0, "five feet": 5.0, "ten inches": 10.0 / 12.0}
        whole = str(int(reads))
        if slip in steps or slip == "inches":
            now = reads + draw.choice((-1, 1)) * steps.get(slip, draw.randint(3, 10) / 12.0)
        elif slip == "swap":
            now = reads - int(whole) + int(whole[:-2] + whole[-1] + whole[-2]) if len(whole) > 1 else reads
        else:
            turned = {"6": "9", "9": "6"}
            k = draw.choice([k for k, c in enumerate(whole) if c in turned] or [-1])
            now = reads - int(whole) + int(whole[:k] + turned[whole[k]] + whole[k + 1 :]) if k >= 0 else reads
        if now > 1.0 and abs(now - reads) > 0.2:
            return now


def job_text(made: Made) -> bytes:
    """The site as a job file."""
    if made.held:
        points = [f"  {h}: {{at: [{made.at[h][0]!r} ft, {made.at[h][1]!r} ft]}}" for h in made.house]
    else:
        points = [f"  {made.house[2]}: {{stands: corner, left of: [{made.house[0]}, {made.house[1]}]}}"]
    rows = [f"  - {{tape: [{a}, {b}], reads: {r:.4f} ft, within: {sigma(r):.4f} ft}}" for a, b, r in made.tapes]
    return "\n".join(
        ["palewright: 1", "job: {title: Bramble lot}", "points:", *points, "measured:", *rows,
         "fences: {f: {kind: boards, good side: yard}}",
         f"runs: [{{name: r, fence: f, through: [{made.house[0]}, {made.house[1]}], yard: left, follows: racked}}]", ""]
    ).encode()  # fmt: skip


def off(made: Made, site: Site) -> dict[str, float]:
    """How far each point is from its true place [ft]; where nothing holds the frame, laid on the truth by the two points
    that bring most others home."""
    places = {p.name: (p.xy[0] / FT, p.xy[1] / FT) for p in site.points if p.name in made.at}
    names = list(places)
    if made.held:
        return {name: math.dist(made.at[name], places[name]) for name in names}
    z, w = (np.array([complex(*xy[name]) for name in names]) for xy in (places, made.at))
    best = np.full(len(names), np.inf)
    for a, b in itertools.combinations(range(min(len(names), 8)), 2):
        turn = (w[b] - w[a]) / (z[b] - z[a])
        now = np.abs((z - (z[a] + z[b]) / 2.0) * turn / abs(turn) - (w - (w[a] + w[b]) / 2.0))
        if np.minimum(now, 1.0).sum() < np.minimum(best, 1.0).sum():
            best = now
    return dict(zip(names, best.tolist(), strict=True))


LOUD = {"measurements-disagree", "measurements-several-wrong", "network-readings-disagree", "network-points-loose",
        "network-held-contradicted", "measurements-many-wrong", "measurements-two-perhaps"}  # fmt: skip


def verdict(made: Made) -> str:
    """What became of a site."""
    try:
        site, _ = site_and_network(jobfile.read_bytes(job_text(made), "job.yaml"))
    except JobError as error:
        return "refused: " + ", ".join(sorted({problem.slug for problem in error.problems}))
    assert site.survey is not None
    net, adjusted = site.survey.network, site.survey.adjusted
    bad = set(made.tapes[made.bad][:2]) if made.bad >= 0 else set()
    accused = {k for s in adjusted.suspects for k in (s.index, *s.among)}
    named = any(set(net.observations[k].points) == bad for k in accused)
    axis = {point.name: point.semi_major / FT for point in adjusted.points}
    wrong = [name for name, far in off(made, site).items() if far > max(WRONG_FT, SIGMAS * axis.get(name, 0.0))]
    if not wrong:
        return "right" if named or not accused else "right, a good tape accused"
    if named:
        return "told: the misread tape is named"
    if LOUD & {remark.slug for remark in site.remarks}:
        return "told: the readings disagree"
    if accused:
        return "wrong: a good tape accused"
    notes = [str(dict(r.args)["readings"]) for r in site.remarks if r.slug == "measurements-unnoticed"]
    pairs = [set(re.split(" - ", pair)) for note in notes for pair in note.split(", ")]
    return "wrong: named only among tapes whose misreading may pass" if bad in pairs else "wrong: without a word"


def main() -> None:
    """Print how often each thing became of so many sites."""
    first, last = (0, int(sys.argv[1])) if len(sys.argv) == 2 else (int(sys.argv[1]), int(sys.argv[2]))
    found: dict[str, list[int]] = {}
    for number in range(first, last):
        found.setdefault(verdict(make(number, "clean" not in sys.argv)), []).append(number)
    for said, count in Counter({said: len(numbers) for said, numbers in found.items()}).most_common():
        print(f"{count:5d} {100.0 * count / (last - first):6.2f} %  {said}  {found[said][:6]}")


if __name__ == "__main__":
    main()
