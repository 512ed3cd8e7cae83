"""Runs of wire where they may stand: inside the line, along curved sides, clear of zones, in the locate."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from palewright import jobfile
from palewright.errors import JobError
from palewright.exchange import dumps, loads
from palewright.exchange.lines_csv import line_posts_csv
from palewright.layout.line_posts import post_table
from palewright.layout.line_records import relaid
from palewright.model import LinePlan, Plan
from palewright.papers.stretches import stretches_data
from palewright.papers.write import write_papers
from palewright.plan import make_plan
from palewright.plane import Side, side_distance

FT = 0.3048
SQUARE = """
palewright: 1
job: {title: Right of way}
boundary:
  start: SW
  names: [SW, NW, NE, SE]
  calls: [N 0° W 600 ft, N 90° E 900 ft, S 0° E 600 ft, S 90° W 900 ft]
fences: {pasture: {kind: woven wire, wire side: to the road}}
runs:
  - {name: field, fence: pasture, RUN}
"""
CURVED = SQUARE.replace("N 90° E 900 ft", "{curve: right, radius: 500 ft, arc: 523.598776 ft, chord: N 30° E}")
POINTS = """
palewright: 1
job: {title: Over a line}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [BACK ft, 0 ft]}, P: {at: [PIPE ft, -50 ft]}, Q: {at: [PIPE ft, 50 ft]}}
fences: {pasture: {kind: woven wire, wire side: to the road}}
ZONES
runs:
  - {name: field, fence: pasture, through: [A, B]}
"""


def plan_of(text: str) -> Plan:
    return make_plan(jobfile.read_text(text))


def slugs(plan: Plan) -> set[str]:
    return {remark.slug for remark in plan.remarks}


def posts(line: LinePlan) -> np.ndarray:
    table = post_table(relaid(line), line.rules, moves=line.moves)
    return np.column_stack([table["x_m"], table["y_m"], table["role"]])


def along(run: str) -> Plan:
    return plan_of(SQUARE.replace("RUN", run))


def test_wire_along_sides_stands_its_inset_inside() -> None:
    """The faces of the widest posts, 6 in across, stand 1 ft inside the sides; so every post centre is 15 in inside."""
    plan = along("sides: [1, 2], inside boundary: {post: 1 ft}, follows: grade")
    (line,) = plan.lines
    assert line.length_m / FT == pytest.approx(600 + 900 - 4 * 1.25)
    table = posts(line)
    assert table[0][:2] / FT == pytest.approx([1.25, 1.25])
    sides = np.minimum(table[:, 0] - 0.0, 600 * FT - table[:, 1])
    assert sides / FT == pytest.approx(1.25)
    (said,) = (dict(remark.args) for remark in plan.remarks if remark.slug == "line-inset")
    assert said["least_m"] == pytest.approx(FT)
    assert said["asked_m"] == pytest.approx(FT)


def test_an_inset_of_the_footing_counts_from_the_hole() -> None:
    plan = along("sides: [1], inside boundary: {footing: 1 ft}, follows: grade")
    assert posts(plan.lines[0])[:, 0] / FT == pytest.approx(1.5)


def test_all_sides_are_a_closed_run_with_gates_from_corners() -> None:
    plan = along(
        "sides: all, inside boundary: {post: 1 ft}, follows: grade, gates: [{opening: 16 ft, starts: 100 ft from NW}]"
    )
    (line,) = plan.lines
    assert line.closed
    inset = 1 + 4 / 12  # gate posts are 8 in wide
    assert line.length_m / FT == pytest.approx(2 * (600 + 900) - 8 * inset)
    assert line.gates[0].from_m / FT == pytest.approx(600 - 2 * inset + 100 - 4 / 12)


def test_a_run_begins_abreast_of_a_point() -> None:
    text = SQUARE.replace("RUN", "sides: [1, 2], inside boundary: {post: 1 ft}, follows: grade, begins abreast of: P")
    plan = plan_of(text.replace("fences:", "points: {P: {at: [40 ft, 200 ft]}}\nfences:"))
    assert plan.lines[0].path[0] == pytest.approx((1.25 * FT, 200 * FT))


def test_an_inset_that_points_do_not_keep_is_refused() -> None:
    text = SQUARE.replace("RUN", "through: [P, Q], inside boundary: {post: 1 ft}")
    far = "points: {P: {at: [2 ft, 20 ft]}, Q: {at: [2 ft, 500 ft]}}\nfences:"
    assert "line-inset" in slugs(plan_of(text.replace("fences:", far)))
    near = far.replace("Q: {at: [2 ft", "Q: {at: [1 ft")
    with pytest.raises(JobError) as caught:
        plan_of(text.replace("fences:", near))
    assert [problem.slug for problem in caught.value.problems] == ["inset-too-small"]


def test_wire_along_a_curved_side() -> None:
    """A side of 500 ft radius that turns 60 degrees; 1 ft inside bays are of 8 ft: the radius is below 500 ft there."""
    text = CURVED.replace("S 0° E 600 ft, S 90° W 900 ft", "S 0° E 1033.012702 ft, S 90° W 250 ft")
    plan = plan_of(text.replace("RUN", "sides: [1, 2, 3], inside boundary: {post: 1 ft}, follows: grade"))
    (line,) = plan.lines
    (curve,) = line.curves
    assert curve.radius_m / FT == pytest.approx(498.75, abs=0.01)
    assert math.degrees(curve.turn) == pytest.approx(-60, abs=0.6)
    assert curve.bay_m == pytest.approx(8 * FT)
    assert "line-curve-left" in slugs(plan)
    side = Side((0.0, 600 * FT), (250 * FT, 1033.0127 * FT), -math.pi / 3, (500 * FT, 600 * FT), 500 * FT)
    table = post_table(relaid(line), line.rules)
    on = table[(table["station_m"] > curve.from_m) & (table["station_m"] < curve.to_m)]
    off = [side_distance((x, y), side) / FT for x, y in zip(on["x_m"], on["y_m"], strict=True)]
    assert len(off) > 500 / 8
    assert min(off) >= 1.25 - 1e-4
    assert max(off) < 1.26


def over(pipe_ft: float, half: str, kind: str = "no hole") -> Plan:
    zones = f"clear of: [{{name: gas, through: [P, Q], each side: {half}, inside it: {kind}}}]"
    return plan_of(POINTS.replace("BACK", "330").replace("PIPE", f"{pipe_ft}").replace("ZONES", zones))


def test_a_post_in_a_zone_is_moved_within_its_bays() -> None:
    """330 ft between single braces of 8 ft: 314 ft in 20 bays of 15.7 ft; line post 10 stands at 165 ft, over the pipe."""
    plan = over(165.0, "4 in")
    (line,) = plan.lines
    (move,) = line.moves
    assert (move.stretch, move.post, move.zone) == (1, 10, "gas")
    assert move.along_m / FT == pytest.approx(165.0)
    assert 5.0 <= abs(move.by_m) / 0.0254 <= 6.0  # 4 in and half of a driven post
    assert max(move.before_m, move.after_m) <= 16.5 * FT
    assert move.before_m + move.after_m == pytest.approx(2 * 15.7 * FT)
    x = posts(line)[:, 0] / FT
    assert np.abs(x - 165.0).min() >= 5.0 / 12 - 1e-9
    assert "line-posts-moved" in slugs(plan)
    assert not line.in_zones
    stands = [float(row.split(",")[5]) / FT for row in line_posts_csv(plan).splitlines()[1:]]
    assert stands == pytest.approx(x.tolist(), abs=0.01)
    assert loads(dumps(plan)).lines == plan.lines


def test_a_post_that_cannot_be_moved_is_named_by_stretch_and_number() -> None:
    """Bays of 15.7 ft may grow by 9.6 in: a zone of 2 ft each side is wider than that."""
    plan = over(165.0, "2 ft")
    (line,) = plan.lines
    assert not line.moves
    (hit,) = line.in_zones
    assert (hit.stretch, hit.post, hit.label, hit.driven) == (1, 10, "", True)
    (said,) = (dict(remark.args) for remark in plan.remarks if remark.slug == "line-posts-in-zone")
    assert said["posts"] == "B1-B2 #10"
    (dig,) = (dig for dig in plan.locate.digs if dig.zones)
    assert (dig.label, dig.what, dig.hand) == ("B1-B2", "driven post", False)


def test_posts_in_zones_and_what_the_office_noted_stand_on_the_sheet_of_the_crew() -> None:
    text = POINTS.replace("title: ", "notes: [cattle behind], title: ", 1)
    zones = "clear of: [{name: gas, through: [P, Q], each side: 2 ft, inside it: no hole}]"
    data = stretches_data(plan_of(text.replace("BACK", "330").replace("PIPE", "165").replace("ZONES", zones)))
    (line,) = data["lines"]
    assert data["notes"] == ["cattle behind"]
    assert line["stop"][0].startswith("NO POST HERE: B1-B2 #10 ")
    assert "39" in line["wires"]
    assert "NOT SAID" in line["wires"]


def test_gate_posts_are_bought_as_wide_as_they_are_laid_out_and_two_leaves_as_a_pair() -> None:
    text = POINTS.replace("BACK", "330").replace("PIPE", "10").replace("ZONES", "")
    gates = "through: [A, B], gates: [{name: wide, opening: 14 ft, starts: 100 ft from A, leaves: 2}]"
    plan = plan_of(text.replace("through: [A, B]", gates))
    (one,) = plan.lines[0].gates
    bought = {item.code: item for item in plan.takeoff.items}
    assert (one.to_m - one.from_m - one.opening_m) / 0.0254 == pytest.approx(8.0)  # half a post of 8 in on each side
    assert bought["post.wood.8-in-x-8-ft"].buy == 2
    assert bought["gate.farm-gate.pair.14ft"].buy == 1


def test_an_end_post_in_hand_dig_ground_is_named() -> None:
    plan = over(0.0, "1 ft", "hand dig")
    (hit,) = plan.lines[0].in_zones
    assert hit.label == "E1"
    assert "line-posts-hand-dig" in slugs(plan)
    (dig,) = (dig for dig in plan.locate.digs if dig.hand)
    assert dig.label == "E1"


@pytest.mark.parametrize("kind", ["woven wire", "electric wire", "high-tensile wire"])
def test_every_post_dug_or_driven_is_in_the_locate(kind: str) -> None:
    text = POINTS.replace("BACK", "5280").replace("PIPE", "10").replace("ZONES", "").replace("woven wire", kind)
    plan = plan_of(text)
    (line,) = plan.lines
    table = post_table(relaid(line), line.rules)
    assert plan.locate.counted("hole") + plan.locate.counted("driven post") == len(table)
    assert plan.locate.counted("driven post") == line.count("steel")
    assert len(plan.locate.digs) < len(table) / 3
    for dig in plan.locate.digs:
        assert np.hypot(table["x_m"] - dig.xy[0], table["y_m"] - dig.xy[1]).min() < 1e-6
        if dig.to is not None:
            assert np.hypot(table["x_m"] - dig.to[0], table["y_m"] - dig.to[1]).min() < 1e-6


def top(kind: str, values: str) -> set[str]:
    text = POINTS.replace("BACK", "330").replace("PIPE", "10").replace("ZONES", "")
    return slugs(plan_of(text.replace("kind: woven wire", f"kind: {kind}{values}")))


@pytest.mark.parametrize(
    ("kind", "values", "slug"),
    [
        ("barbed wire", ", rules: 'western federal bid, kentucky 2007'", "line-top-kept"),  # 42 in: 42 asked
        ("barbed wire", ", rules: 'western federal bid, kentucky 2007', top least: 44 in", "line-top-low"),
        ("woven wire", ", rules: tennessee 2002", "line-top-ask"),  # mesh of 39 in and a strand, 42 asked
        ("woven wire", ", rules: tennessee 2002, mesh: 47 in", "line-top-kept"),
        ("woven wire", ", rules: tennessee 2002, mesh: 39 in, strands: 0", "line-top-low"),
        ("woven wire", ", rules: tennessee 2002, depth line: 40 in", "line-top-post-short"),  # 78 - 40 = 38 in
    ],
)
def test_the_least_height_of_the_top_wire(kind: str, values: str, slug: str) -> None:
    assert [said for said in top(kind, values) if said.startswith("line-top")] == [slug]


def test_the_sheet_says_miles_drops_digs_and_moved_posts(tmp_path: Path) -> None:
    zones = "clear of: [{name: gas, through: [P, Q], each side: 4 in, inside it: no hole}]"
    base = POINTS.replace("BACK", "11000").replace("ZONES", zones)
    plain = posts(plan_of(base.replace("PIPE", "-90")).lines[0])
    driven = plain[plain[:, 2] == 10][30, 0] / FT
    plan = plan_of(base.replace("PIPE", f"{driven:.3f}"))
    write_papers(plan, tmp_path, only="stretches.pdf")
    with pypdfium2.PdfDocument(tmp_path / "stretches.pdf") as document:
        said = " ".join(" ".join(page.get_textpage().get_text_bounded() for page in document).split())
    assert "Mileage posts: 1: 52+80, 2: 105+60" in said
    assert "where each is dropped" in said
    assert said.count("driven posts") > 30
    assert "to stand clear of gas" in said
    one = next(dig for dig in plan.locate.digs if dig.what == "driven post")
    start, end = one.label.split("-")
    assert f"{start} to {end}: {one.count} driven posts" in said
