"""How far inside the line posts stand: hand sums, simulation with numpy and scipy, and what must not be answered."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from scipy.optimize import least_squares

from palewright import jobfile, plan
from palewright.errors import JobError
from palewright.exchange import plan_json
from palewright.model import Inside, Plan
from palewright.papers.decisions import decisions_data
from palewright.plan import explain, make_plan

FT, IN = 0.3048, 0.0254
PIN = "found: 5/8 in iron pin with cap, matches record: yes"
LOT = """palewright: 1
job: {{title: Bramble lot}}
points:
  SW: {{at: [0 ft, 0 ft], {sw}}}
  SE: {{at: [100 ft, 0 ft], {se}}}
  NE: {{at: [100 ft, 60 ft], {ne}}}
  NW: {{at: [0 ft, 60 ft], {nw}}}
boundary: {{through: [SW, SE, NE, NW]{risk}}}
measured: [{{tape: [SW, SE], reads: 100 ft, with: steel tape}}]
fences: {{f: {{kind: boards, board: 6 ft, good side: yard, hole: {{line: 8 in, end: 8 in}}}}}}
runs: [{{name: r, fence: f, sides: [1], begins abreast of: P, ends abreast of: Q, yard: left, follows: racked,
         inside boundary: {{{inset}}}}}]
stakes: {{with: steel tape}}
walls: []
"""


def lot(inset: str = "face: 3 in", risk: str = "", abreast: int = 2, tape: str = "steel tape", **pins: str) -> Plan:
    found = dict.fromkeys(("sw", "se", "ne", "nw"), PIN) | pins
    text = LOT.format(inset=inset, risk=f", risk: {risk}" if risk else "", **found)
    ends = f"  P: {{at: [{abreast} ft, 3 ft]}}\n  Q: {{at: [{100 - abreast} ft, 3 ft]}}\n"
    text = text.replace("points:\n", "points:\n" + ends).replace("with: steel tape}\nwalls", f"with: {tape}}}\nwalls")
    text = text.replace("walls: []\n", "")
    return make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))


def inside(made: Plan) -> Inside:
    assert made.inside is not None
    return made.inside


def said(made: Plan, slug: str) -> list[dict[str, object]]:
    return [dict(remark.args) for remark in inside(made).remarks if remark.slug == slug]


def test_parts_of_a_standard_deviation_by_hand():
    """Side of 100 ft: 0.075 ft / 2.4477. String ends 2 ft from the pins by a steel tape: 0.02 ft and 2 ft / 5000. A
    post in the middle has half of each end. String 1/4 in, post 1/4 in, hole 1 in."""
    made = lot()
    rows = {row.post: row for row in inside(made).distances}
    posts = {post.label: post for post in made.design.posts}
    end = posts["1"].xy
    tape = math.hypot(0.02 * FT, math.hypot(*end) / 5000)
    first = rows["1"]
    line = 0.075 / 2.4477 * FT
    assert dict(first.parts) == pytest.approx(
        {"line": line, "network": 0, "corner tapes": tape, "string": IN / 4, "post": IN / 4, "hole": IN}, rel=1e-4
    )
    assert first.sigma_m == pytest.approx(math.sqrt(line**2 + tape**2 + 2 * (IN / 4) ** 2), rel=1e-4)
    assert first.footing_sigma_m == pytest.approx(math.sqrt(line**2 + tape**2 + (IN / 4) ** 2 + IN**2), rel=1e-4)
    assert first.face_m == pytest.approx(3 * IN, abs=1e-9)
    assert dict(first.chance)["face"] == pytest.approx(NormalDist().cdf(-first.face_m / first.sigma_m), rel=1e-9)
    middle = rows[str(len(rows) // 2 + 1)]
    last = posts[str(len(rows))].xy
    share = (posts[middle.post].xy[0] - end[0]) / (last[0] - end[0])
    other = math.hypot(0.02 * FT, math.hypot(last[0] - 100 * FT, last[1]) / 5000)
    assert dict(middle.parts)["corner tapes"] == pytest.approx(math.hypot((1 - share) * tape, share * other), rel=1e-3)


def test_the_chance_is_how_often_drawn_errors_put_the_face_over_the_line():
    made = lot("face: 1/2 in")
    row = inside(made).distances[0]
    parts = dict(row.parts)
    rng = np.random.default_rng(11)
    off = sum(rng.normal(0, parts[name], 200_000) for name in ("line", "corner tapes", "string", "post"))
    often = float(np.mean(row.face_m + off < 0))
    assert dict(row.chance)["face"] == pytest.approx(often, abs=4 * math.sqrt(often / 200_000))
    assert 0.05 < often < 0.5


def test_the_least_inset_keeps_the_risk_and_a_little_less_does_not():
    short = lot("face: 1/2 in", "1%")
    told = said(short, "risk-not-kept")
    assert [row["what"] for row in told] == ["footing"]
    least = float(str(told[0]["least_m"]))
    kept, almost = (lot(f"face: {least / IN + more} in", "1%") for more in (0.001, -0.02))
    assert len(said(kept, "risk-kept")) == 1
    assert not said(kept, "risk-not-kept")
    assert said(almost, "risk-not-kept")
    worst = max(max(dict(row.chance).values()) for row in inside(kept).distances)
    assert worst == pytest.approx(0.01, rel=0.01)
    assert inside(kept).margins[0].needed_m == pytest.approx(2.3263 * inside(kept).margins[0].sigma_m, rel=1e-4)


def test_without_a_risk_no_inset_is_named():
    made = lot()
    assert inside(made).risk is None
    assert {margin.needed_m for margin in inside(made).margins} == {None}
    assert not said(made, "risk-kept")
    assert said(made, "wrong-pin-not-counted")


@pytest.mark.parametrize(
    ("pins", "why"),
    [
        (dict.fromkeys(("sw", "se", "ne", "nw"), "keep clear: 0 in"), "line-not-located"),
        ({"sw": "keep clear: 0 in"}, "corner-not-found"),
        ({"sw": PIN.replace("yes", "no")}, "corner-disagrees"),
        ({"sw": PIN.replace(", matches record: yes", "")}, "corner-not-compared"),
    ],
)
def test_a_line_that_is_not_held_gives_distances_and_no_chance(pins, why):
    made = lot(risk="1%", **pins)
    rows = inside(made).distances
    assert {row.why for row in rows} == {why}
    assert {row.sigma_m for row in rows} == {None}
    assert all(row.face_m == pytest.approx(3 * IN, abs=1e-9) and not row.chance and not row.parts for row in rows)
    assert said(made, "chance-not-given") == [{"sides": "1", "count": 1}]
    assert not said(made, "risk-kept")
    assert not said(made, "risk-not-kept")
    cells = decisions_data(made)["line"]
    assert [cell["why"].endswith("no chance can be given") for cell in cells] == [True]


@pytest.mark.parametrize("typed", ["0%", "50%", "1", "one", "-1%", "1e-3"])
def test_a_risk_is_a_share_below_a_half(typed):
    with pytest.raises(JobError) as caught:
        lot(risk=typed)
    assert [problem.slug for problem in caught.value.problems] == ["not-a-risk"]


def test_a_risk_that_is_asked_for_is_a_question():
    made = lot(risk="ask")
    assert inside(made).risk is None
    assert any("How small" in row["what"] for row in decisions_data(made)["asks"])


def test_a_tape_that_nobody_knows_is_a_problem_with_its_place():
    with pytest.raises(JobError) as caught:
        lot(tape="elastic")
    problem = caught.value.problems[0]
    assert (problem.slug, problem.where.path) == ("accuracy-unknown", "stakes")
    assert problem.where.line > 0


# ---------------------------------------------------------------- what was measured

TAPES = {
    "A B": 100.02, "B C": 60.01, "C D": 99.98, "D A": 60.03, "A C": 116.65, "B D": 116.60, "A P": 10.04, "B P": 90.0,
    "D P": 60.10, "A Q": 90.03, "B Q": 10.1, "C Q": 59.9,
}  # fmt: skip


def taped(readings: dict[str, float], within: str = "0.02 ft", extra: str = "") -> Plan:
    rows = "".join(
        f"  - {{tape: [{', '.join(ends.split())}], reads: {feet} ft, within: {within}}}\n"
        for ends, feet in readings.items()
    )
    points = "".join(f"  {name}: {{stands: pin, {PIN}, left of: [A, B]}}\n" for name in "CD")
    points += "".join(f"  {name}: {{stands: pin, {PIN}}}\n" for name in "AB")
    text = (
        "palewright: 1\njob: {title: Bramble lot}\npoints:\n" + points + "  P: {stands: stake, left of: [A, B]}\n"
        "  Q: {stands: stake, left of: [A, B]}\nmeasured:\n" + rows + extra + "boundary: {through: [A, B, C, D]}\n"
        "fences: {f: {kind: boards, board: 6 ft, good side: yard}}\n"
        "runs: [{name: r, fence: f, through: [P, Q], yard: left, follows: racked}]\n"
    )
    return make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))


def test_the_network_part_is_the_spread_of_networks_adjusted_with_drawn_readings():
    """Every drawn set of readings is adjusted by scipy; the distance of the place between P and Q from A-B spreads."""
    made = taped(TAPES)
    rows = inside(made).distances
    ends = [name.split() for name in TAPES]
    names = sorted({name for pair in ends for name in pair})
    start = np.array([next(p.xy for p in made.site.points if p.name == name) for name in names]) / FT
    index = np.array([[names.index(a), names.index(b)] for a, b in ends])

    def errors(flat: np.ndarray, readings: np.ndarray) -> np.ndarray:
        xy = flat.reshape(-1, 2)
        gone = xy[index[:, 0]] - xy[index[:, 1]]
        tied = np.concatenate((xy[0], [xy[1, 1]])) * 1e3  # A stands, B keeps its direction
        return np.concatenate((np.hypot(gone[:, 0], gone[:, 1]) - readings, tied))

    rng = np.random.default_rng(12)
    p, q = start[names.index("P")], start[names.index("Q")]
    shares, offs = [], []
    for row in rows:
        post = next(post.xy for post in made.design.posts if post.label == row.post)
        shares.append((np.array(post) / FT - p) @ (q - p) / ((q - p) @ (q - p)))
    truth = least_squares(errors, start.ravel(), args=(np.array(list(TAPES.values())),)).x.reshape(-1, 2)
    exact = np.hypot(*(truth[index[:, 0]] - truth[index[:, 1]]).T)
    for _ in range(500):
        xy = least_squares(errors, start.ravel(), args=(exact + rng.normal(0, 0.02, len(exact)),)).x.reshape(-1, 2)
        a, b, v, w = (xy[names.index(name)] for name in "ABPQ")
        d = (b - a) / np.linalg.norm(b - a)
        offs.append([d[0] * (s - a)[1] - d[1] * (s - a)[0] for s in (v + u * (w - v) for u in shares)])
    spread = np.std(np.array(offs), axis=0) * FT
    network = [dict(row.parts)["network"] for row in rows]
    assert network == pytest.approx(spread, rel=0.12)
    assert {dict(row.parts)["line"] for row in rows} == {0.0}


def test_neighbouring_corners_are_compared_with_the_figure_of_the_standard():
    spots = {"A": (0, 0), "B": (100, 0), "C": (100, 60), "D": (0, 60), "P": (10, 2), "Q": (90, 2)}
    agree = {ends: round(math.dist(*(spots[name] for name in ends.split())), 3) for ends in TAPES}
    good, poor = taped(agree, "0.005 ft"), taped(agree, "0.05 ft")
    assert {pair.start + pair.end for pair in inside(good).pairs} == {"AB", "BC", "CD", "DA"}
    assert said(good, "relative-precision")[0]["count"] == 4
    assert said(poor, "relative-precision-over")[0]["count"] == 4
    pair = inside(poor).pairs[0]
    assert pair.limit_2cm == pytest.approx(0.02 + 50e-6 * 100 * FT, abs=1e-6)
    assert pair.limit_007ft == pytest.approx(0.07 * FT + 50e-6 * 100 * FT, abs=1e-6)


def test_readings_that_disagree_give_no_chance():
    made = taped(TAPES, "0.0005 ft")
    assert {row.why for row in inside(made).distances} == {"measurements-disagree"}


def test_a_corner_by_phone_names_the_lot_and_one_by_rtk_is_not_told_so():
    """A phone is good for 3.5 m each way: about 375 times 0.0306 ft (a side of 100 ft at the limit of the standard)."""

    def corner(tool: str) -> Plan:
        text = LOT.format(inset="face: 6 in", risk="", sw=PIN, se=PIN, nw=PIN, ne=PIN)
        text = text.replace("NE: {at: [100 ft, 60 ft],", "NE: {stands: pin,").replace("walls: []\n", "")
        text = text.replace("measured: [", f"measured: [{{position: NE, coordinates: [100 ft, 60 ft], with: {tool}}}, ")
        text = text.replace("sides: [1], begins abreast of: P, ends abreast of: Q, yard", "sides: [2], yard")
        return make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))

    phone, rtk = corner("phone"), corner("rtk")
    args = said(phone, "corner-by-position")[0]
    assert (args["corner"], args["sigma_m"], args["times"]) == ("NE", 3.5, round(3.5 / (0.075 / 2.4477 * FT)))
    assert not said(rtk, "corner-by-position")
    assert [row.rests for row in inside(rtk).corners] == ["record", "record", "position", "record"]
    assert [row["corner"] for row in decisions_data(phone)["line_corners"]] == ["SW", "SE", "NE", "NW"]


def test_a_run_from_a_corner_by_phone_may_be_anywhere():
    text = LOT.format(inset="face: 3 in", risk="", sw=PIN, se=PIN, nw=PIN, ne=PIN).replace("walls: []\n", "")
    text = text.replace("NE: {at: [100 ft, 60 ft],", "NE: {stands: pin,")
    text = text.replace("measured: [", "measured: [{position: NE, coordinates: [100 ft, 60 ft], with: phone}, ")
    head, _, tail = text.partition("runs: ")
    run = "[{name: r, fence: f, through: [[98 ft, 10 ft], [98 ft, 50 ft]], yard: left, follows: racked}]\n"
    made = make_plan(jobfile.read_bytes((head + "runs: " + run + tail[tail.index("stakes") :]).encode(), "job.yaml"))
    last = max(inside(made).distances, key=lambda row: row.sigma_m or 0.0)
    assert last.side == 2
    assert last.sigma_m == pytest.approx(3.5 * 50 / 60, rel=0.01)
    assert dict(last.chance)["face"] > 0.4


def test_a_run_that_starts_where_a_run_along_the_line_ends_goes_with_that_line():
    """The other end is typed: nothing was measured, so the network has no part in it and the line its own."""
    text = LOT.format(inset="face: 6 in", risk="", sw=PIN, se=PIN, nw=PIN, ne=PIN).replace("walls: []\n", "")
    text = text.replace("begins abreast of: P, ends abreast of: Q, ", "call: [K, L], ")
    text = text.replace("stakes:", "  - {name: back, fence: f, through: [L, [98 ft, 40 ft]], yard: left}\nstakes:")
    text = text.replace("runs: [{name: r", "runs:\n  - {name: r").replace("{face: 6 in}}]", "{face: 6 in}}")
    made = make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))
    back = [row for row in inside(made).distances if row.run == "back"]
    assert {row.side for row in back} == {2}
    assert {row.why for row in back} == {""}
    assert {dict(row.parts)["network"] for row in back} == {0.0}
    line = (0.07 + 50e-6 * 60) / 2.4477 * FT
    assert [dict(row.parts)["line"] for row in back] == pytest.approx([line] * len(back), rel=1e-4)


# ---------------------------------------------------------------- where it goes


def test_plan_json_carries_it_and_explain_says_what_it_is_made_of():
    made = lot(risk="1%")
    assert plan_json.loads(plan_json.dumps(made)).inside == made.inside
    reasons = {reason.quantity: reason for reason in explain(made, "post 2")}
    sigma = reasons["standard deviation of the face to side 1"]
    parts = dict(sigma.inputs)
    assert sigma.value == pytest.approx(math.sqrt(sum(float(part) ** 2 for part in parts.values())), rel=1e-12)
    assert reasons["line, side 1"].source == "alta-nsps-2021"
    assert reasons["hole"].source == "common practice"
    assert "chance that its footing is over side 1" in reasons


def test_no_boundary_no_distances():
    made = lot()
    bare = replace(made.site, ring=None)
    job = jobfile.read_bytes(b"palewright: 1\njob: {title: Bramble lot}\n", "job.yaml")
    assert plan.inside.how_far_inside(job, bare, {}, made.design, made.stakeout, None) is None


def test_posts_far_from_the_line_are_left_out():
    made = lot("face: 14 ft", abreast=20)
    assert inside(made).distances == ()
    assert inside(made).margins == ()


def test_of_very_many_posts_the_telling_ones_are_listed(monkeypatch):
    whole = lot(risk="1%")
    monkeypatch.setattr("palewright.plan.inside.MOST", 3)
    few = lot(risk="1%")
    assert inside(few).near == inside(whole).near == len(inside(whole).distances) > len(inside(few).distances)
    assert inside(few).margins == inside(whole).margins
    assert {row.post for row in inside(few).distances} >= {"1", str(inside(few).near)}


def test_the_fence_face_at_a_thick_post_counts_as_it_stands_without_a_notch():
    """4x4 line posts are 3.5 in deep, 6x6 end posts 5.5 in (dressed sizes, American Softwood Lumber Standard PS 20):
    rails on the neighbour's side stand out by 1 in more there, and the chance goes with it."""
    old = "good side: yard, hole: {{line: 8 in, end: 8 in}}"
    assert old in LOT
    new = "good side: neighbour, post: {{line: 4x4, end: 6x6}}, hole: {{line: 8 in, end: 14 in}}"
    ends = "points:\n  P: {{at: [2 ft, 3 ft]}}\n  Q: {{at: [98 ft, 3 ft]}}\n"
    found = dict.fromkeys(("sw", "se", "ne", "nw"), PIN)
    text = LOT.replace(old, new).replace("points:\n", ends).format(inset="face: 3 in", risk="", **found)
    made = make_plan(jobfile.read_bytes(text.replace("walls: []\n", "").encode(), "job.yaml"))
    rows = {row.post: row for row in inside(made).distances}
    thick = {post.label for post in made.design.posts if post.role == "end"}
    assert len(thick) == 2
    for post in made.design.posts:
        row, inset = rows[post.label], dict(post.inset)
        out = IN if post.label in thick else 0.0
        assert row.face_m == pytest.approx(inset["face"] - out, abs=1e-6)
        assert (row.post_m, row.footing_m) == pytest.approx((inset["post"], inset["footing"]))
        assert dict(row.chance)["face"] == pytest.approx(NormalDist().cdf(-row.face_m / row.sigma_m), rel=1e-9)
    worst = {margin.of: margin.post for margin in inside(made).margins}
    assert set(worst.values()) <= thick
