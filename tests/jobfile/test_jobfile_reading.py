"""What a job file says, in SI: points, walks, measurements, boundary, fences, runs and the rest."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from palewright import jobfile
from palewright.errors import JobError, Where
from palewright.model import Job
from palewright.plan import load, make_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
IN = 0.0254


def asked(job):
    """Key paths of what was left open."""
    return tuple(at.path for at in job.asks)


def test_what_is_left_open_has_its_place_in_the_file():
    job = jobfile.read_text("palewright: 1\njob: {title: T}\nsite:\n  frost: 30 in\n  soil: ask\n")
    assert [(at.path, at.line, at.column, at.width) for at in job.asks] == [("site.soil", 5, 9, 3)]


def ft(feet: float) -> float:
    """Feet to metres, rounded once: the international foot is 0.3048 m exactly."""
    return float(Fraction(feet) * Fraction("0.3048"))


def inch(inches: float) -> float:
    return float(Fraction(inches) * Fraction("0.0254"))


def read(body: str, job: str = "{title: T}") -> Job:
    return jobfile.read_text(f"palewright: 1\njob: {job}\n{body}", "job.yaml")


def test_the_smallest_job():
    job = read("")
    assert (job.title, job.version, job.file) == ("T", 1, "job.yaml")
    assert (job.print_style, job.fraction, job.language, job.paper) == ("feet-inches", 8, "en", "letter")
    assert job.tape_m == pytest.approx(ft(100))
    assert (job.north, job.boundary, job.points, job.runs, job.asks) == (False, None, (), (), ())


def test_job_table():
    job = read(
        "",
        "{title: T, address: 7 Tansy Court, client: ask, print: metric, round to: 1/16 in, tape: 30 m, language: es, "
        "paper: a4, north: grid, notes: [one, two], currency: USD}",
    )
    assert (job.address, job.client, job.print_style, job.fraction) == ("7 Tansy Court", "", "metric", 16)
    assert (job.language, job.paper, job.tape_m, job.north, job.north_basis) == ("es", "a4", 30.0, True, "grid")
    assert (job.notes, job.currency, asked(job)) == (("one", "two"), "USD", ("job.client",))


def test_lengths_are_exact():
    job = read("points:\n  A: {at: [41' 6 1/2\", -3 ch 25 lk]}\n  B: {at: [0 ft, 12.5 ft]}")
    east, north = job.points[0].xy or (0, 0)
    assert east == inch(498.5)
    assert north == pytest.approx(-(3 * 66 + 25 * 0.66) * ft(1), abs=1e-12)
    assert job.points[1].xy == (0.0, ft(12.5))


def test_unit_foot_and_vara_of_the_job():
    job = read("points:\n  A: {at: [10, 2 m]}\n", "{title: T, unit: ft}")
    assert job.points[0].xy == (ft(10), 2.0)
    job = read("points:\n  A: {at: [10 ft, 0 ft]}\n", "{title: T, foot: survey}")
    assert job.points[0].xy == (float(10 * 1200 / 3937), 0.0)
    job = read("points:\n  A: {at: [36 varas, 0 ft]}\n", "{title: T, vara: Texas}")
    assert job.points[0].xy == pytest.approx((ft(100), 0.0))


def test_the_unit_reaches_tables_that_stand_before_job():
    text = "palewright: 1\npoints:\n  A: {at: [10, 20]}\njob: {title: T, unit: m}\n"
    assert jobfile.read_text(text).points[0].xy == (10.0, 20.0)


def test_every_way_to_place_a_point():
    job = read(
        "points:\n"
        '  NE: {at: [500 ft, 800 ft], found: "5/8 in iron pin, cap 1178", matches record: yes, keep clear: 12 in}\n'
        "  P: {from: NE, calls: [S 2 E 60 ft, due west 10 ft]}\n"
        "  B: {on line: [NE, P], distance: 12 ft}\n"
        "  oak: {stands: a white oak}\n"
        "  pin: {stands: in the hedge, found: ask}\n"
    )
    ne, p, b, oak, pin = job.points
    assert (ne.how, ne.found, ne.matches_record) == ("coordinates", "5/8 in iron pin, cap 1178", True)
    assert ne.pin_clear_m == pytest.approx(inch(12))
    assert (p.how, p.start, len(p.calls)) == ("calls", "NE", 2)
    assert p.calls[1].azimuth == pytest.approx(1.5 * math.pi)
    assert (b.how, b.line, b.distance_m) == ("on line", ("NE", "P"), pytest.approx(ft(12)))
    assert (oak.how, oak.found, pin.found) == ("thing", "", "")
    assert asked(job) == ("points.pin.found",)


WALLS = "walls: [{from: L, to: R, length: 40 ft}]\n"


def walk(go: str, call: str):
    return read(f"{WALLS}walks: [{{from: L, along: R, go: [{go}], call: [{call}]}}]").walks[0]


def test_a_walk():
    made = walk("18 ft, left, 46 ft, right, 3 m", "A, _, C")
    assert (made.start, made.sight, made.facing, made.names) == ("L", "R", "away", ("A", "", "C"))
    assert [step.length_m for step in made.steps] == [ft(18), None, ft(46), None, 3.0]
    assert [step.turn for step in made.steps][1::2] == [math.pi / 2, -math.pi / 2]
    assert [step.assumed for step in made.steps] == [False, True, False, True, False]
    assert made.steps[0].words == "18 ft"


@pytest.mark.parametrize(
    ("step", "degrees"),
    [
        ("left 30°", 30),
        ("right 30°", -30),
        ("left 90°", 90),
        ("turns 45° left", 45),
        ("turn right 12 deg", -12),
        ("turns 110° to the left", 110),
        ("inside angle 70° left", 110),
        ("inside angle 110° right", -70),
        ("inside angle right 88°30'", -91.5),
    ],
)
def test_a_turn_that_was_measured(step, degrees):
    turn = walk(f'10 ft, "{step}", 10 ft', "A, B").steps[1]
    assert turn.turn == pytest.approx(math.radians(degrees), abs=1e-12)
    assert not turn.assumed
    assert turn.words == step


def test_the_other_ways_to_begin_a_walk():
    job = read(
        WALLS + "walks:\n  - {from: L, toward: R, go: [5 ft], call: [A]}\n"
        "  - {from: A, bearing: N 90 E, go: [5 ft], call: [B]}\n"
    )
    assert [w.facing for w in job.walks] == ["toward", "azimuth"]
    assert job.walks[1].azimuth == pytest.approx(math.pi / 2)
    assert (job.north, job.north_basis) == (True, "bearings of the walk")


def test_a_wall_defines_its_ends_and_a_tape():
    job = read(WALLS)
    assert [(p.name, p.how) for p in job.points] == [("L", "thing"), ("R", "thing")]
    tape = job.measured[0]
    assert (tape.kind, tape.points, tape.value, tape.text) == ("tape", ("L", "R"), ft(40), "40 ft")


def test_measurements():
    job = read(
        WALLS + "measured:\n"
        "  - {tape: [L, oak], reads: 41' 6 1/2\", with: long fibreglass}\n"
        "  - {square: [L, R, oak], by: 9-12-15 ft}\n"
        "  - {angle: [R, L, oak], inside angle: 88°, by: chord}\n"
        "  - {direction: [L, R], bearing: N 45 E}\n"
        "  - {on line: [L, R], point: M, at: 12 ft}\n"
        "  - {tape: [L, elm], reads: ask}\n"
    )
    kinds = [(m.kind, m.points, m.how) for m in job.measured[1:]]
    assert kinds == [
        ("tape", ("L", "oak"), "long fibreglass"),
        ("square", ("L", "R", "oak"), "9-12-15 ft"),
        ("square", ("R", "L", "oak"), "chord"),
        ("direction", ("L", "R"), ""),
    ]
    assert [m.value for m in job.measured[1:]] == pytest.approx(
        [inch(498.5), math.pi / 2, math.radians(88), math.pi / 4]
    )
    assert job.measured[1].text == "41' 6 1/2\""
    points = {p.name: p for p in job.points}
    assert (points["M"].how, points["M"].line, points["M"].distance_m) == ("on line", ("L", "R"), ft(12))
    assert points["oak"].how == points["elm"].how == "thing"
    assert asked(job) == ("measured[5].reads",)


CALLS = "  calls: [N 0 E 100 ft, N 90 E 50 ft, S 0 W 100 ft, to beginning]\n"


def test_a_boundary_by_calls():
    job = read(
        "boundary:\n  start: SW\n" + CALLS + "  names: [SW, NW, NE, SE]\n"
        "  corners: {NW: {found: iron pin, matches record: yes}, SE: record only, NE: ask}\n"
        "  yards: {2: rear, 4: street front, 1: ask}\n  record: plat book 12\n"
        "points:\n  SW: {found: stone, matches record: no}\n"
    )
    made = job.boundary
    assert made is not None
    assert (made.start.name, made.start.xy) == ("SW", (0.0, 0.0))
    assert [(c.azimuth, c.length_m) for c in made.calls[:2]] == [(0.0, ft(100)), (math.pi / 2, ft(50))]
    assert (made.calls[3].azimuth, made.calls[3].length_m) == (None, None)
    assert made.names == ("SW", "NW", "NE", "SE")
    found = [(c.name, c.found, c.matches_record) for c in made.corners]
    assert found == [("SW", "stone", False), ("NW", "iron pin", True), ("NE", "", None), ("SE", "", None)]
    assert made.yards == ((2, "rear"), (4, "street front"))
    assert made.record == "plat book 12"
    assert job.points == ()
    assert (job.north, job.north_basis) == (True, "bearings of the boundary")
    assert asked(job) == ("boundary.corners.NE", "boundary.yards.1")


def test_names_of_corners_are_made_up():
    made = read("boundary:\n" + CALLS).boundary
    assert made is not None
    assert made.names == ("corner 1", "corner 2", "corner 3", "corner 4")
    made = read("boundary:\n  start: [10 ft, 20 ft]\n" + CALLS).boundary
    assert made is not None
    assert made.start.xy == (ft(10), ft(20))


def test_a_boundary_through_points():
    job = read(
        "points:\n  A: {at: [0 ft, 0 ft], found: pin}\n"
        "boundary: {through: [A, [0 ft, 50 ft], [40 ft, 50 ft], [40 ft, 0 ft], A]}\n"
    )
    made = job.boundary
    assert made is not None
    assert made.names == ("A", "corner 2", "corner 3", "corner 4")
    assert (made.start.name, len(made.through)) == ("A", 4)
    assert [(c.name, c.found) for c in made.corners] == [("A", "pin")]
    assert (job.north, job.north_basis) == (True, "coordinates of the boundary")


def test_a_boundary_through_walked_points_has_no_north():
    job = read(
        WALLS + "walks: [{from: L, along: R, go: [9 ft, left, 9 ft, left, 9 ft], call: [A, B, C]}]\n"
        "boundary: {through: [A, B, C]}"
    )
    assert job.north is False


@pytest.mark.parametrize("word", ["none", "no", "ask"])
def test_north_can_be_denied(word):
    job = read("boundary:\n" + CALLS, f"{{title: T, north: {word}}}")
    assert (job.north, job.north_basis) == (False, "")


def test_a_fence_hands_on_what_is_the_kinds_own():
    job = read(
        "fences:\n  privacy:\n    kind: boards\n    board: 6 ft\n    bottom gap: 2 in\n    rails: 3\n"
        "    good side: neighbour\n    post: {line: 4x4, gate: 6x6}\n    hole: {line: 10 in, depth: ask, fill: concrete}\n"
        "    pattern: board on board\n    overlap: 1 1/4 in\n    post cap: yes\n    waste: 5%\n    gauge: 9\n"
        "    rail size: 1.66\n    brace size: 1 5/8\n    brace: {wire: 9 in}\n    reveal: ask\n    longest bay: 8'\n"
    )
    fence = job.fences[0]
    assert (fence.name, fence.kind, fence.good_side) == ("privacy", "boards", "neighbour")
    assert dict(fence.values) == {
        "board": ft(6),
        "bottom gap": pytest.approx(inch(2)),
        "rails": 3,
        "post.line": "4x4",
        "post.gate": "6x6",
        "hole.line": pytest.approx(inch(10)),
        "hole.fill": "concrete",
        "pattern": "board on board",
        "overlap": pytest.approx(inch(1.25)),
        "post cap": True,
        "waste": 0.05,
        "gauge": "9",
        "rail size": "1.66",
        "brace size": "1 5/8",
        "brace.wire": pytest.approx(inch(9)),
        "longest bay": ft(8),
    }
    places = dict(fence.value_places)
    assert set(places) == {"kind", *dict(fence.values)}
    assert (places["overlap"].line, places["overlap"].column, places["overlap"].width) == (13, 14, 8)
    assert asked(job) == ("fences.privacy.hole.depth", "fences.privacy.reveal")


def test_a_firms_own_kind():
    fence = read("fences: {own: {kind: ours, kind file: ours.toml, good side: ask}}").fences[0]
    assert (fence.kind, fence.kind_file, fence.good_side) == ("ours", "ours.toml", "ask")
    assert read("fences: {own: {kind: boards}}").fences[0].good_side == ""


def test_a_good_side_left_open_is_planned_and_asked_for():
    typed = f"{POINTS}runs: [{{name: r, fence: f, through: [A, B], yard: left, follows: racked}}]\n"
    plan = make_plan(read(typed.replace("kind: boards", "kind: boards, board: 6 ft, good side: ask")))
    assert asked(plan) == ("fences.f.good side",)
    assert [remark.level for remark in plan.design.remarks if remark.slug == "good-side-not-said"] == ["ask"]
    with pytest.raises(JobError) as refused:
        make_plan(read(typed))
    assert [problem.slug for problem in refused.value.problems] == ["good-side-missing"]


def test_a_job_without_runs_may_hold_an_empty_list_of_them():
    assert replace(read("runs: []"), at=Where()) == replace(read(""), at=Where())


def test_a_point_with_a_place_may_say_what_stands_there():
    (point,) = read("points: {P: {at: [1 ft, 2 ft], stands: old oak}}").points
    assert (point.how, point.xy) == ("coordinates", (ft(1), ft(2)))


def test_the_price_list_has_a_place():
    job = read("prices: list.csv")
    assert (job.prices_file, job.prices_at.line, job.prices_at.column) == ("list.csv", 3, 9)


@pytest.mark.parametrize(("data", "slug"), [(None, "prices-unreadable"), (b"\xff", "prices-not-utf8")])
def test_a_price_list_that_cannot_be_read_is_said_where_it_is_named(tmp_path, data, slug):
    file = tmp_path / "job.yaml"
    file.write_text("palewright: 1\njob: {title: T}\nprices: list.csv\n", encoding="utf-8")
    if data is not None:
        (tmp_path / "list.csv").write_bytes(data)
    with pytest.raises(JobError) as refused:
        load(file)
    (problem,) = refused.value.problems
    assert (problem.slug, problem.where.file, problem.where.line, problem.where.column) == (slug, str(file), 3, 9)


@pytest.mark.parametrize("typed", ["2026-05-05", "2026-05-05 07:00", "2026-05-05T07:00", "2026-05-05 7 am"])
def test_days_and_hours_of_the_locate(typed):
    assert read(f"locate: {{legal from: {typed}}}").locate.legal_from == typed


@pytest.mark.parametrize("at", ["walk", "gate 2"])
def test_a_given_bay_starts_at_a_gate(at):
    gates = "gates: [{name: walk, opening: 4 ft, starts: 5 ft from A}, {opening: 4 ft, starts: 20 ft from A}]"
    run = run_of(f"through: [A, B], {gates}, given bays: [{{at: {at}, toward: B, bay: 72.5 in}}]")
    assert (run.given[0].point, run.given[0].toward) == (at, "B")


POINTS = (
    "points: {A: {at: [0 ft, 0 ft]}, B: {at: [50 ft, 0 ft]}, C: {at: [50 ft, 40 ft]}, W: {stands: house}}\n"
    "fences: {f: {kind: boards}}\n"
)


def run_of(keys: str, before: str = POINTS):
    return read(f"{before}runs:\n  - {{name: r, fence: f, {keys}}}\n").runs[0]


def test_a_run_through_points():
    run = run_of(
        "through: [A, B, [60 ft, 0 ft], C], yard: left, follows: racked, bays: short last, shortest bay: 3 ft, "
        "strings: out, inside boundary: {post: 2 in}",
        POINTS + "boundary: {through: [[0 ft, 0 ft], [99 ft, 0 ft], [99 ft, 99 ft]]}\n",
    )
    assert [(ref.name, ref.xy) for ref in run.through] == [
        ("A", None),
        ("B", None),
        ("", (ft(60), 0.0)),
        ("C", None),
    ]
    assert (run.yard, run.follows, run.divide, run.strings) == ("left", "racked", "short last", "out")
    assert run.shortest_m == ft(3)
    assert run.inset is not None
    assert (run.inset.of, run.inset.distance_m, run.closed) == ("post", pytest.approx(inch(2)), False)


def test_what_a_run_is_when_little_is_said():
    run = run_of("through: [A, B]")
    assert (run.yard, run.follows, run.divide, run.strings, run.closed) == ("", "", "", "yard", False)
    assert (run.inset, run.gates, run.ends, run.given, run.shortest_m) == (None, (), (), (), None)


def test_strings_of_the_job():
    text = f"palewright: 1\njob: {{title: T, strings: out}}\n{POINTS}runs: [{{name: r, fence: f, through: [A, B]}}]"
    assert jobfile.read_text(text).runs[0].strings == "out"


BOUNDARY = "fences: {f: {kind: boards}}\nboundary:\n  names: [SW, NW, NE, SE]\n  start: SW\n" + CALLS


@pytest.mark.parametrize(
    ("typed", "sides", "closed"),
    [
        ("all", (1, 2, 3, 4), True),
        ("[2]", (2,), False),
        ("[4, 1, 2]", (4, 1, 2), False),
        ("[2, 3, 4, 1]", (2, 3, 4, 1), True),
        ("[3, 2, 1]", (3, 2, 1), False),
        ("[1, 4, 3]", (1, 4, 3), False),
        ("[4, 3, 2, 1]", (4, 3, 2, 1), True),
        ("[2, 1, 4, 3]", (2, 1, 4, 3), True),
    ],
)
def test_a_run_along_sides(typed, sides, closed):
    run = run_of(f"sides: {typed}, inside boundary: {{face: 8 in}}", BOUNDARY)
    assert (run.sides, run.closed) == (sides, closed)


def test_sides_walked_backward_and_a_bay_given_at_a_gate_are_planned():
    job = read(
        "points: {SW: {at: [0 ft, 0 ft]}, NW: {at: [0 ft, 100 ft]}, NE: {at: [80 ft, 100 ft]}, SE: {at: [80 ft, 0 ft]}}\n"
        "boundary: {through: [SW, NW, NE, SE]}\n"
        "fences: {f: {kind: boards, board: 6 ft, good side: neighbour}}\n"
        "runs: [{name: r, fence: f, sides: [3, 2, 1], inside boundary: {face: 8 in}, follows: racked,\n"
        "  gates: [{name: walk, opening: 4 ft, starts: 30 ft from NE}],\n"
        "  given bays: [{at: walk, toward: NW, bay: 72.5 in}]}]\n"
    )
    design = make_plan(job).design
    # walked from SE by NE and NW to SW: north, west, south
    headings = [(leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]) for leg in design.legs]
    assert [
        (round(math.copysign(min(abs(x), 1), x)), round(math.copysign(min(abs(y), 1), y))) for x, y in headings
    ] == [
        (0, 1),
        (-1, 0),
        (0, -1),
    ]
    k = next(k for k, bay in enumerate(design.bays) if bay.kind == "gate")
    assert design.bays[k + 1].length_m == pytest.approx(inch(72.5), abs=1e-9)


def test_a_loop_along_sides_walked_backward_begins_where_its_first_side_ends():
    job = read(
        "points: {SW: {at: [0 ft, 0 ft]}, NW: {at: [0 ft, 100 ft]}, NE: {at: [80 ft, 100 ft]}, SE: {at: [80 ft, 0 ft]}}\n"
        "boundary: {through: [SW, NW, NE, SE]}\n"
        "fences: {f: {kind: boards, board: 6 ft, good side: neighbour}}\n"
        "runs: [{name: r, fence: f, sides: [2, 1, 4, 3], inside boundary: {post: 9.25 in}, follows: racked,\n"
        "  call: [A, B, C, D], gates: [{opening: 4 ft, starts: 20 ft from B, hinges: near B}]}]\n"
    )
    design = make_plan(job).design
    # side 2 runs from NW to NE: walked back from NE by NW, SW and SE, a foot inside by post centres
    foot = inch(12)
    corners = [(79 * foot, 99 * foot), (foot, 99 * foot), (foot, foot), (79 * foot, foot)]
    assert [leg.start for leg in design.legs] == [pytest.approx(corner, abs=1e-9) for corner in corners]
    assert [leg.yard for leg in design.legs] == ["left"] * 4
    assert design.runs[0].closed
    assert len(design.posts) == len(design.bays)
    hinge = next(post for post in design.posts if post.label == design.gates[0].hinge[0])
    assert hinge.xy == pytest.approx((foot, 79 * foot + inch(2.75)), abs=1e-9)  # 6x6: half of 5 1/2 in


def test_a_run_along_sides_walked_backward_has_its_ends_the_other_way_round():
    keys = "sides: [3, 2], inside boundary: {face: 8 in}, short bay at: "
    assert run_of(keys + "SE", BOUNDARY).divide == "short first"  # side 3 from NE to SE, walked from SE
    assert run_of(keys + "NW", BOUNDARY).divide == "short last"


def test_a_run_along_sides_that_begins_and_ends_abreast_of_points():
    run = run_of(
        "sides: [1, 2], inside boundary: {face: 8 in}, begins abreast of: [10 ft, 20 ft], ends abreast of: SE, "
        "call: [K, L, M], gates: [{opening: 4 ft, starts: 9 ft from L}]",
        BOUNDARY,
    )
    assert (run.begins.xy, run.finishes.name, run.call) == ((ft(10), ft(20)), "SE", ("K", "L", "M"))
    assert run.gates[0].from_point == "L"


def test_a_run_that_comes_back_is_closed():
    run = run_of("through: [A, B, C, A]")
    assert ([ref.name for ref in run.through], run.closed) == (["A", "B", "C"], True)
    assert run_of("through: [A, B, C], closed: yes").closed


@pytest.mark.parametrize(
    ("typed", "how", "clear"),
    [("bracket", "bracket", 0), ("post", "post at wall", 0), ("clear 6 in", "post clear", inch(6))],
)
def test_ends_at_a_wall(typed, how, clear):
    end = run_of(f"through: [A, W], ends: {{W: {{at wall: {typed}}}}}").ends[0]
    assert (end.point, end.how, end.clear_m) == ("W", how, pytest.approx(clear))


def gate_of(keys: str, through: str = "[A, B, C]"):
    return run_of(f"through: {through}, gates: [{{{keys}}}]").gates[0]


def test_a_gate():
    gate = gate_of("name: side, opening: 4 ft, starts: 22 ft from B, hinges: near B, swings: to yard, opens: 120°")
    assert (gate.name, gate.opening_m, gate.leaf_m, gate.leaves) == ("side", ft(4), None, 1)
    assert (gate.starts_m, gate.from_point, gate.reference) == (ft(22), "B", "start")
    assert (gate.hinges, gate.swings) == ("near", "yard")
    assert gate.open_angle == pytest.approx(math.radians(120))


def test_a_gate_by_leaf_by_its_middle_and_at_a_post():
    gate = gate_of("leaf: 46 1/2 in, centre: 30 ft from B, leaves: 2, swings: out")
    assert (gate.name, gate.opening_m, gate.leaf_m) == ("gate 1", None, pytest.approx(inch(46.5)))
    assert (gate.reference, gate.leaves, gate.swings) == ("centre", 2, "out")
    gate = gate_of("opening: 4 ft, at: B, swings: ask")
    assert (gate.starts_m, gate.from_point, gate.reference, gate.swings) == (0.0, "B", "start", "")


@pytest.mark.parametrize(
    ("starts", "hinges", "side"),
    [
        ("5 ft from B", "near", "near"),
        ("5 ft from B", "far", "far"),
        ("5 ft from B", "near B", "near"),
        ("5 ft from B", "far from B", "far"),
        ("5 ft from B", "near C", "far"),  # the gate lies between B and C
        ("5 ft from B", "far from C", "near"),
        ("5 ft from B", "near A", "near"),  # B is nearer to A than the far post
        ("5 ft from C", "near C", "near"),
        ("5 ft from C", "near B", "far"),  # C is the last point: the gate lies back toward B
        ("5 ft from C", "near A", "far"),
        ("5 ft from B", "ask", ""),
    ],
)
def test_hinges_are_named_by_a_point(starts, hinges, side):
    assert gate_of(f"opening: 4 ft, starts: {starts}, hinges: {hinges}").hinges == side


def test_given_bays_and_the_short_bay():
    run = run_of(
        "through: [A, B, C], short bay at: C, given bays: [{at: B, toward: C, bay: 8 ft, count: 2, why: brace}]"
    )
    bay = run.given[0]
    assert (bay.point, bay.toward, bay.length_m, bay.count, bay.why) == ("B", "C", ft(8), 2, "brace")
    assert run.divide == "short last"
    assert run_of("through: [A, B], short bay at: A").divide == "short first"


def test_parts_of_a_run_follow_the_ground_in_their_own_way():
    run = run_of("through: [A, B], follows: racked, stretches: [{from: A, to: 12 ft from A, follows: stepped}]")
    (part,) = run.stretches
    assert (part.start, part.end, part.follows) == ((0.0, "A"), (ft(12), "A"), "stepped")
    assert run.follows == "racked"
    assert part.steps is None
    more = "{from: A, to: 12 ft from A, follows: stepped, steps: {in: 1 in, largest: 6 in}}"
    (part,) = run_of(f"through: [A, B], stretches: [{more}]").stretches
    assert (part.steps.multiple_m, part.steps.largest_m) == pytest.approx((ft(1 / 12), ft(0.5)))


@pytest.mark.parametrize(
    ("stretch", "slug"),
    [
        ("{from: A, to: 12 ft from Q, follows: stepped}", "not-on-run"),
        ("{from: A, to: 12 ft from A, follows: sideways}", "not-a-choice"),
        ("{from: A, follows: stepped}", "missing-key"),
        ("{from: A, to: -2 ft from A, follows: stepped}", "length-out-of-range"),
    ],
)
def test_a_part_that_cannot_be_read(stretch, slug):
    with pytest.raises(JobError) as caught:
        run_of(f"through: [A, B], stretches: [{stretch}]")
    assert [problem.slug for problem in caught.value.problems] == [slug]


def test_old_fences_zones_and_heights():
    job = read(
        POINTS + "remove: [{name: old, through: [A, B], posts every: 8 ft, footing: 10 in, then: pull, "
        "kind: chain link, height: 4 ft}]\n"
        "clear of:\n"
        "  - {name: gas, through: [A, [60 ft, 0 ft]], width: 1 in, each side: 24 in, inside it: hand dig, utility: gas}\n"
        "  - {name: tree, at: C, each side: 6 ft, inside it: no hole}\n"
        "  - {name: tank, through: [A, B, C], closed: yes, each side: 2 ft, inside it: no hole, utility: none}\n"
        "heights:\n  - {falls: 30 in, from: A, to: B}\n  - {rises: 6 in, from: B, to: C}\n"
        "  - {falls: ask, from: A, to: C}\n"
    )
    old = job.removals[0]
    assert (old.name, old.every_m, old.then, old.kind) == ("old", ft(8), "pull", "chain link")
    assert (old.footing_m, old.height_m) == (pytest.approx(inch(10)), ft(4))
    gas, tree, tank = job.zones
    assert (gas.width_m, gas.each_side_m, gas.inside, gas.utility) == (IN, pytest.approx(inch(24)), "hand dig", "gas")
    assert (tree.through[0].name, tree.width_m, tree.inside, tree.utility) == ("C", 0.0, "no hole", "")
    assert (tank.closed, gas.closed) == (True, False)
    assert [(f.start, f.end, f.fall_m) for f in job.falls] == [
        ("A", "B", pytest.approx(inch(30))),
        ("B", "C", pytest.approx(-inch(6))),
    ]


def test_locate_site_stakes_and_the_rest():
    job = read(
        POINTS + "locate:\n  ticket: 0123\n  called on: 2026-05-01\n  legal from: 2026-05-05 07:00\n  expires: ask\n"
        "  members: {gas: marked, water: ask, sewer: {answer: clear, when: 2026-05-02}}\n  private: irrigation\n"
        "site: {frost: 36 in, frost source: town desk, soil: clay, wind: 115 mph, exposure: B}\n"
        "stakes: {offset: 18 in, beyond: 4 ft, paint margin: 2 in, tolerance: 1/4 in, longest string: 80 ft, mark: 0 in}\n"
        "buildings: {house: [W, A, [0 ft, 9 ft]]}\nprices: prices.csv\n"
    )
    assert (job.locate.ticket, job.locate.legal_from, job.locate.expires) == ("0123", "2026-05-05 07:00", "")
    answers = [(m.name, m.answer, m.when) for m in job.locate.members]
    assert answers == [("gas", "marked", ""), ("water", "", ""), ("sewer", "clear", "2026-05-02")]
    assert job.locate.private == ("irrigation",)
    assert (job.site.frost_m, job.site.wind, job.site.frost_source) == (pytest.approx(inch(36)), "115 mph", "town desk")
    assert (job.stakes.offset_m, job.stakes.mark_extra_m) == (pytest.approx(inch(18)), 0.0)
    assert job.stakes.tolerance_m == pytest.approx(inch(0.25))
    assert job.buildings[0][0] == "house"
    assert job.prices_file == "prices.csv"
    assert asked(job) == ("locate.expires", "locate.members.water")


def test_ask_in_place_of_a_whole_table():
    job = read("locate: ask\nsite: ask\nprices: ask\n")
    assert asked(job) == ("locate", "site", "prices")
    assert (job.locate.ticket, job.site.frost_m, job.prices_file) == ("", None, "")


def test_ask_in_quotes_is_a_word():
    job = read("", '{title: "ask", client: "ask"}')
    assert (job.title, job.client, job.asks) == ("ask", "ask", ())


def test_names_keep_their_spelling():
    job = read(
        'points: {7: {at: [0 ft, 0 ft]}, yes: {at: [1 ft, 0 ft]}, "1.10": {at: [2 ft, 0 ft]}, N: {at: [3 m, 0 m]}}'
    )
    assert [point.name for point in job.points] == ["7", "yes", "1.10", "N"]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("line_end", [b"\n", b"\r\n"])
def test_line_ends_and_byte_order_mark(mark, line_end):
    data = (EXAMPLES / "tansy-court.yaml").read_bytes()
    plain = jobfile.read_bytes(data, "x")
    assert jobfile.read_bytes(mark + data.replace(b"\n", line_end), "x") == plain


def test_every_example_reads_clean():
    names = {path.name for path in EXAMPLES.glob("*.yaml")}
    wanted = {"tansy-court", "proclamation-7647", "chain-link-run", "house-and-tape", "corner-angles"}
    assert {f"{name}.yaml" for name in wanted} <= names
    for name in sorted(names):
        job = jobfile.read(EXAMPLES / name)
        assert job.runs
        assert job.fences
        assert job.file == str(EXAMPLES / name)


def test_places_lie_on_what_they_name():
    """Every place of the demo's records points at the text of its value in the file."""
    path = EXAMPLES / "tansy-court.yaml"
    lines = path.read_text(encoding="utf-8").split("\n")
    job = jobfile.read(path)

    def text(at):
        return lines[at.line - 1][at.column - 1 : at.column - 1 + at.width]

    assert [text(point.at) for point in job.points[:2]] == ["SW", "house rear left"]
    assert job.boundary is not None
    assert [text(call.at) for call in job.boundary.calls] == [call.text for call in job.boundary.calls]
    assert [text(ref.at) for run in job.runs for ref in run.through] == [
        ref.name for run in job.runs for ref in run.through
    ]
    for key, at in job.fences[0].value_places:
        assert at.path == f"fences.privacy.{key}"
    assert text(dict(job.fences[0].value_places)["hole.gate"]) == "14 in"
    assert text(job.runs[1].gates[0].at).startswith("{name: side gate")
    assert job.runs[1].gates[0].at.path == "runs[1].gates[0]"


def test_a_boundary_that_names_a_point_again_is_told_of_its_start() -> None:
    text = "palewright: 1\njob: {title: T}\npoints: {NW: {at: [0 ft, 0 ft]}}\nboundary: {names: [NW, NE, S], calls: [E 40 ft, S 30 ft, to beginning]START}\n"
    with pytest.raises(JobError) as caught:
        jobfile.read_text(text.replace("START", ""))
    (problem,) = caught.value.problems
    assert problem.slug == "name-twice"
    assert "`start`" in problem.hint
    assert jobfile.read_text(text.replace("START", ", start: NW"))
