"""What the sheets say: lines located or not, trial, north, locate, level ground, tiles, key."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from tests.draw.conftest import plan_named, sheets

from palewright import draw
from palewright.draw.fonts import text_width
from palewright.draw.offsets import offsets
from palewright.draw.scene import Circle, Line, Polygon, Scene, Text
from palewright.draw.view import Extent, Field, fit, scales
from palewright.draw.words import Words, call_words
from palewright.model import LocateSpec, Plan
from palewright.notation import show_bearing
from palewright.papers.crew import crew_data
from palewright.papers.sketch import tape_sketch


def said(scene: Scene) -> str:
    return " ".join(t.text for t in scene.texts())


def test_lines_that_are_not_located_are_dashed_and_said(hand_plan: Plan) -> None:
    (scene,) = draw.plan_sheets(hand_plan)
    sides = [p for p in scene.primitives if isinstance(p, Line) and p.layer == "boundary" and p.id.startswith("side")]
    assert sum(p.space == "model" for p in sides) == 4
    assert all(p.dash == (3.0, 2.0) for p in sides)
    assert "line not located: 1 of 4 corners found" in said(scene)
    assert "TRIAL: the lines are not located" in said(scene)
    assert "1 of 4 corners found" in said(draw.elevation_sheets(hand_plan)[0])


def test_located_lines_are_not(hand_plan: Plan) -> None:
    ring = hand_plan.site.ring
    assert ring is not None
    status = replace(ring.status, found=2, located=True)
    site = replace(hand_plan.site, ring=replace(ring, status=status))
    runs = tuple(replace(run, trial=False) for run in hand_plan.design.runs)
    plan = replace(hand_plan, site=site, design=replace(hand_plan.design, runs=runs))
    (scene,) = draw.plan_sheets(plan)
    sides = [p for p in scene.primitives if isinstance(p, Line) and p.layer == "boundary" and p.id.startswith("side")]
    assert all(p.dash == (9.0, 1.3, 1.3, 1.3) for p in sides)
    assert "TRIAL" not in said(scene)
    assert "not located" not in said(scene)


def test_found_corners_are_filled_and_record_corners_hollow(hand_plan: Plan) -> None:
    ring = hand_plan.site.ring
    assert ring is not None
    (scene,) = draw.plan_sheets(hand_plan)
    fills = {p.id: p.fill for p in scene.primitives if p.layer == "boundary" and hasattr(p, "radius_mm") and p.id}
    assert fills == {c.name: "#000000" if c.found else "#ffffff" for c in ring.corners}


def test_assumed_posts_are_hollow(any_plan: Plan) -> None:
    (scene,) = draw.plan_sheets(any_plan)
    assumed = {post.label for post in any_plan.design.posts if post.assumed and post.number}
    hollow = {p.id for p in scene.primitives if p.layer == "post" and getattr(p, "fill", "") == "#ffffff" and p.id}
    assert hollow == assumed


def test_no_boundary_is_said_on_every_sheet(hand_plan: Plan) -> None:
    plan = replace(hand_plan, site=replace(hand_plan.site, ring=None))
    for scene in draw.all_sheets(plan):
        assert "NO BOUNDARY GIVEN" in said(scene)


def test_no_north_stands_in_place_of_the_arrow(hand_plan: Plan) -> None:
    with_north = draw.plan_sheets(hand_plan)[0]
    without = draw.plan_sheets(replace(hand_plan, settings=replace(hand_plan.settings, north=False)))[0]
    assert "NO NORTH" in said(without)
    assert without.local
    assert "NO NORTH" not in said(with_north)
    assert [t.text for t in with_north.texts() if t.role == "north"] == ["N"]


def test_the_arrow_points_north(hand_plan: Plan) -> None:
    """The N stands on the side of the arrow to which a step north in the world moves on the page."""
    (scene,) = draw.plan_sheets(hand_plan)
    assert scene.view is not None
    a, b = scene.view.to_page((0.0, 0.0)), scene.view.to_page((0.0, 1.0))
    (letter,) = [t for t in scene.texts() if t.role == "north"]
    arrow = [p for p in scene.primitives if isinstance(p, Polygon) and p.layer == "sheet" and len(p.points) == 3]
    middle = [sum(q[k] for p in arrow for q in p.points) / 6 for k in (0, 1)]
    step, way = (
        (b[0] - a[0], b[1] - a[1]),
        (letter.at[0] - middle[0], letter.at[1] - letter.size_mm * 0.357 - middle[1]),
    )
    turn = math.atan2(step[0] * way[1] - step[1] * way[0], step[0] * way[0] + step[1] * way[1])
    assert abs(turn) < 0.05


def test_locate_block(hand_plan: Plan) -> None:
    for scene in sheets(hand_plan):
        assert "DO NOT DIG" in said(scene)
        assert "NOT A SURVEY" in said(scene)
    typed = LocateSpec(ticket="26-1184", legal_from="Mon 8 June 7:00", expires="22 June")
    part = replace(hand_plan, locate=replace(hand_plan.locate, entered=False, typed=typed, missing=("answers",)))
    words = said(draw.plan_sheets(part)[0])
    for text in ("26-1184", "Legal to dig from Mon 8 June 7:00", "LOCATE NOT COMPLETE", "DO NOT DIG", "expose by hand"):
        assert text in words
    entered = replace(hand_plan, locate=replace(hand_plan.locate, entered=True, typed=typed, missing=()))
    words = said(draw.plan_sheets(entered)[0])
    assert "26-1184" in words
    assert "DO NOT DIG" not in words


def test_the_call_of_a_pasted_deed_is_drawn_as_it_was_read() -> None:
    """The sentence of a curve does not stand on a drawing: arc 112 ft and chord 111.67 ft of the corner lot do."""
    plan = plan_named("corner-lot")
    assert plan.site.ring is not None
    words = Words(plan.settings)
    curve = plan.site.ring.courses[1]
    assert call_words(words, curve) == curve.text
    pasted = replace(curve, text="along said curve to the right " * 4)
    assert call_words(words, pasted) == (
        "radius 420' 0\", arc 112' 0\", chord " + f"{show_bearing(curve.azimuth)} 111' 8\""
    )
    about = replace(pasted, about=True)
    assert call_words(words, about) == about.text


def test_level_ground_and_fall(hand_plan: Plan) -> None:
    words = said(draw.plan_sheets(hand_plan)[0])
    assert "LEVEL GROUND ASSUMED on run rear" in words.replace("  ", " ")
    assert "2' 6\"" in words


def test_gate_dimensions_are_the_openings(hand_plan: Plan) -> None:
    for scene in (draw.plan_sheets(hand_plan)[0], draw.elevation_sheets(hand_plan)[0]):
        assert "4' 0\"" in said(scene)
    assert "10' 0\"" in said(draw.plan_sheets(hand_plan)[0])


def test_an_opening_is_never_a_bare_length(any_plan: Plan) -> None:
    """Opening and leaf stand with their words wherever their length is printed beside a gate."""
    words = Words(any_plan.settings)
    opening, leaf = ("claro", "hoja") if any_plan.settings.language == "es" else ("opening", "lea")
    for scene in sheets(any_plan):
        if scene.kind in ("plan", "elevation"):
            for gate in any_plan.design.gates:
                about = [t.text for t in scene.texts() if t.role == "gate" and t.id == gate.name]
                if about:
                    assert f"{opening} {words.length(gate.opening_m)}" in ", ".join(about)
                    assert re.search(
                        rf"{leaf}[a-z]*( of| de)? {re.escape(words.length(gate.leaf_m))}", ", ".join(about)
                    )
            bold = [t.text for t in scene.texts() if t.role == "dimension" and t.weight == "bold" and not t.angle]
            assert all(f"({opening} " in text for text in bold)


def test_holes_are_printed_as_the_crew_reads_them(any_plan: Plan) -> None:
    crew = crew_data(any_plan)["holes"]
    printed = " ".join(said(scene) for scene in sheets(any_plan) if scene.kind == "elevation")
    for row in crew:
        assert row["depth"] in printed
        assert row["across"] in printed


@pytest.mark.parametrize(("then", "strokes"), [("pull", 1), ("leave", 2)])
def test_an_old_fence_is_drawn_with_its_footings(hand_plan: Plan, then: str, strokes: int) -> None:
    """Dashed where it is pulled, unbroken where it stays; crosses on it; a circle for each footing; all of it in the key."""
    removals = tuple(replace(removal, then=then) for removal in hand_plan.site.removals)
    plan = replace(hand_plan, site=replace(hand_plan.site, removals=removals))
    (scene,) = draw.plan_sheets(plan)
    old = [p for p in scene.primitives if p.layer == "removal" and p.space == "model"]
    circles = [p for p in old if isinstance(p, Circle)]
    assert scene.view is not None
    posts = [xy for removal in removals for xy in removal.posts]
    at = [scene.view.to_world(p.centre) for p in circles]
    assert len(at) == len(posts)
    assert all(min(math.dist(xy, q) for q in at) < 1e-6 for xy in posts)
    lines = [p for p in old if isinstance(p, Line)]
    run = [p for p in lines if math.dist(p.a, p.b) > 5.0]
    assert run
    assert all(bool(p.dash) == (then == "pull") for p in run)
    assert all(p.colour == "#000000" for p in lines)
    inside = [
        p
        for p in lines
        if any(math.dist(p.a, c.centre) <= c.radius_mm and math.dist(p.b, c.centre) <= c.radius_mm for c in circles)
    ]
    assert len(inside) == strokes * len(posts)
    key = {t.text for t in scene.texts() if t.role == "key"}
    assert {f"old fence to {then}", {"pull": "its footing: loose ground", "leave": "its footing: no hole"}[then]} <= key


def test_key_shows_only_what_is_used(hand_plan: Plan) -> None:
    plain = replace(
        hand_plan,
        site=replace(hand_plan.site, zones=(), removals=()),
        design=replace(hand_plan.design, posts=tuple(replace(p, assumed=False) for p in hand_plan.design.posts)),
    )
    key = {t.text for t in draw.plan_sheets(plain)[0].texts() if t.role == "key"}
    full = {t.text for t in draw.plan_sheets(hand_plan)[0].texts() if t.role == "key"}
    gone = {
        "hand dig in here: gas",
        "no hole in here: sewer",
        "no hole: found pin",
        "old fence to pull",
        "right angle not measured",
    }
    assert gone <= full
    assert not gone & key


def test_a_long_fence_is_tiled(far_plan: Plan) -> None:
    index, *tiles = draw.plan_sheets(far_plan)
    assert index.kind == "index"
    assert {t.text for t in index.texts() if t.role == "sheet-index"} == {str(k + 2) for k in range(len(tiles))}
    for k, tile in enumerate(tiles):
        neighbours = [t.text for t in tile.texts() if t.role == "match"]
        assert neighbours
        assert all(f"sheet {k + 2}" not in text for text in neighbours)
        assert f"Sheet {k + 2} of {len(tiles) + 1}" in said(tile)
    # the match line between two sheets is the same line of the world on both
    for k, tile in enumerate(tiles):
        assert tile.view is not None
        for p in tile.primitives:
            if p.layer == "match" and isinstance(p, Line):
                ends = [tile.view.to_world(q) for q in (p.a, p.b)]
                twins = [
                    q for n, other in enumerate(tiles) if n != k and other.view is not None
                    for q in other.primitives if q.layer == "match" and isinstance(q, Line)
                    and math.dist(other.view.to_world(q.a), ends[0]) < 1e-6 and math.dist(other.view.to_world(q.b), ends[1]) < 1e-6
                ]  # fmt: skip
                assert twins


def test_a_tile_keeps_to_its_field(far_plan: Plan) -> None:
    for scene in draw.plan_sheets(far_plan)[1:]:
        for p in scene.primitives:
            if isinstance(p, Line) and p.space == "model":
                for x, y in (p.a, p.b):
                    assert 8.0 - 1e-6 <= x <= scene.width_mm - 8.0 + 1e-6
                    assert 8.0 - 1e-6 <= y <= scene.height_mm - 8.0 + 1e-6


def test_scales_are_the_engineering_ones() -> None:
    """1 in = 10 ft is 1:120, 1 in = 20 ft 1:240, ...: twelve inches to the foot; 1 in = 5 ft for a yard of a few paces."""
    assert [s.denominator / 12 for s in scales("feet-inches")][:8] == [5, 10, 20, 30, 40, 50, 60, 100]
    # the scales of the usual metric rules (from memory): 1:50, 75, 100, 125 of a builder's, 200 to 500 of a surveyor's
    assert [s.denominator for s in scales("metric")][:9] == [50, 75, 100, 125, 200, 250, 300, 400, 500]


def test_papers_are_letter_and_a4(hand_plan: Plan) -> None:
    """ANSI/ASME Y14.1 size A is 8.5 by 11 in; ISO 216 A4 is 210 by 297 mm."""
    letter = {round(v, 6) for v in (8.5 * 25.4, 11 * 25.4)}
    for paper, sides in (("letter", letter), ("a4", {210.0, 297.0})):
        own = paper == hand_plan.settings.paper
        plan = hand_plan if own else replace(hand_plan, settings=replace(hand_plan.settings, paper=paper))
        for scene in sheets(plan):
            assert {round(scene.width_mm, 6), round(scene.height_mm, 6)} == sides


def test_fit_takes_the_largest_that_fits() -> None:
    field = Field(0.0, 0.0, 200.0, 170.0, pad=10.0)
    for width in (5.0, 20.0, 50.0, 90.0):
        scale = fit(Extent(0.0, 0.0, width, 5.0), field, "feet-inches")
        assert width * 1000 / scale.denominator <= 180.0
        larger = [s for s in scales("feet-inches") if s.denominator < scale.denominator]
        if larger:
            assert width * 1000 / larger[-1].denominator > 180.0


def test_elevation_is_true_in_both_directions(hand_plan: Plan) -> None:
    scene = draw.elevation_sheets(hand_plan)[0]
    assert scene.view is not None
    k = 1000.0 / scene.view.denominator
    posts = {post.label: post for post in hand_plan.design.posts}
    tall = [p for p in scene.primitives if isinstance(p, Polygon) and p.layer == "post" and not p.dash]
    assert tall
    for p in tall:
        height = max(q[1] for q in p.points) - min(q[1] for q in p.points)
        assert height / k == pytest.approx(posts[p.id].above_m, abs=1e-9)
    a, b = (next(p for p in tall if p.id == label) for label in ("1", "2"))
    apart = (sum(q[0] for q in b.points) - sum(q[0] for q in a.points)) / 4
    assert apart / k == pytest.approx(hand_plan.design.bays[0].length_m, abs=1e-9)


def test_sheets_are_numbered_through(any_plan: Plan) -> None:
    scenes = sheets(any_plan)
    numbers = [t.text for s in scenes for t in s.texts() if t.role == "sheet-number"]
    word, of = ("Hoja", "de") if any_plan.settings.language == "es" else ("Sheet", "of")
    assert numbers == [f"{word} {k + 1} {of} {len(scenes)}" for k in range(len(scenes))]


def test_files_are_written(hand_plan: Plan, tmp_path: Path) -> None:
    paths = draw.write_drawings(hand_plan, tmp_path)
    names = {path.name for path in paths}
    assert {"plan.svg", "stakeout.svg", "tapes.svg", "elevation.svg", "plan.dxf"} <= names
    assert all(path.stat().st_size > 1000 for path in paths)


def test_importing_is_light() -> None:
    code = "import sys, palewright.draw; print([m for m in ('ezdxf', 'typst', 'fontTools', 'numpy', 'shapely') if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_a_reading_past_a_re_zero_mark_is_drawn_from_it(hand_plan: Plan) -> None:
    """A crossing at 30 m on a string laid again at 25 m: 5 m from the re-zero mark, on the other string 1 m."""
    one, *_ = hand_plan.stakeout.strings
    string = replace(one, name="long", rezeros_m=(25.0,))
    crossing = replace(hand_plan.stakeout.crossings[0], strings=("long", "short"), reads_m=(30.0, 1.0))
    short = replace(one, name="short", rezeros_m=())
    stakeout = replace(hand_plan.stakeout, strings=(string, short), crossings=(crossing,))
    text = said(draw.stakeout_sheets(replace(hand_plan, stakeout=stakeout))[0])
    assert "long reads 16' 4 7/8\" from re-zero" in text
    assert "short reads 3' 3 3/8\"" in text


def test_rails_are_solid_where_no_board_hides_them(any_plan: Plan) -> None:
    """Boards stand on the good side; a run is seen from the right of its walk, so a yard on the right is in front."""
    words = Words(any_plan.settings)
    kinds = {kind.name: kind for kind in any_plan.kinds}
    for run in any_plan.design.runs:
        kind = kinds[run.fence]
        legs = [any_plan.design.legs[k] for k in run.legs]
        alone = replace(any_plan, design=replace(any_plan.design, runs=(run,)))
        if kind.family != "boards" or kind.pattern == "horizontal" or not legs[0].bays:
            continue
        lines = [p for scene in draw.elevation_sheets(alone) for p in scene.primitives if p.layer == "infill"]
        solid = [p for p in lines if isinstance(p, Polygon) and p.fill]
        dashed = [p for p in lines if isinstance(p, Line) and p.dash]
        behind = kind.pattern == "both sides" or legs[0].good_side != {"right": "neighbour", "left": "yard"}.get(
            legs[0].yard
        )
        assert (bool(dashed), bool(solid)) == (behind, not behind), words("run", run=run.name)


@pytest.mark.parametrize("name", ["tansy-court"])
def test_the_key_names_each_utility(name: str) -> None:
    """A gas and a water line: the colour code gives each its colour, so the key has both."""
    scene = sheets(plan_named(name))[0]
    key = [t.text for t in scene.texts() if t.role == "key"]
    assert {"hand dig in here: gas", "hand dig in here: water"} <= set(key)


def test_the_least_distance_to_the_line_is_drawn() -> None:
    """The sides of the lot run away from the fence beyond posts 3, 11 and 36: a drawing must not tell a larger one."""
    plan = plan_named("corner-lot")
    posts = {post.label: post for post in plan.design.posts}
    found = {offset.post: offset for offset in offsets(plan)}
    assert set(found) == {"3", "11", "36"}
    for label, offset in found.items():
        foot = offset.spots[0][1]
        half = posts[label].width_m / 2 + 0.05  # half the post and boards on a rail, at most
        assert offset.distance_m == pytest.approx(math.dist(posts[label].xy, foot) - half, abs=0.06)


def test_a_picture_of_tapes_cuts_no_name() -> None:
    """Every name of which a part is in the picture is in it whole."""
    for name in ("tansy-court", "spanish"):
        for scene in sheets(plan_named(name)):
            if scene.kind != "checks":
                continue
            data = tape_sketch(scene)
            for t in scene.texts():
                half = t.width_mm / 2
                if (
                    t.role != "zone"
                    or t.anchor != "middle"
                    or not data["left"] < t.at[0] < data["left"] + data["width"]
                ):
                    continue
                if data["top"] < t.at[1] < data["top"] + data["height"]:
                    assert t.at[0] - half >= data["left"] - 1e-6
                    assert t.at[0] + half <= data["left"] + data["width"] + 1e-6


def test_a_picture_of_tapes_names_no_zone_that_it_does_not_show() -> None:
    """A gas line that is all below what is cut out loses its name; one that is in it keeps its own."""
    shown = [Line(a=(x, 50.0), b=(x + 60.0, 90.0), layer="check", space="model") for x in (50.0, 70.0)]
    zones = [
        Line(a=(40.0, y), b=(150.0, y), layer="zone-gas", space="model", id=f"gas at {y:g}") for y in (70.0, 170.0)
    ]
    names = [
        Text(
            at=(90.0, y),
            text=f"gas at {z:g}",
            size_mm=3.0,
            layer="label",
            space="model",
            role="zone",
            id=f"gas at {z:g}",
        )
        for y, z in ((72.0, 70.0), (100.0, 170.0))
    ]
    scene = replace(next(iter(sheets(plan_named("tansy-court")))), primitives=(*shown, *zones, *names))
    data = tape_sketch(scene)
    assert [p["text"] for p in data["primitives"] if "text" in p] == ["gas at 70"]


def test_a_long_name_of_a_sheet_is_set_whole_on_two_lines() -> None:
    last = draw.elevation_sheets(plan_named("corner-lot"))[-1]
    lines = [t for t in last.texts() if t.role == "sheet-name"]
    assert [t.text for t in lines] == ["Elevations: runs yard, front, part 3", "of 3"]
    assert all(text_width(t.text, t.size_mm, "bold") <= 54.0 for t in lines)


def test_a_picture_of_tapes_belongs_where_most_of_its_tapes_do() -> None:
    """Tape 3 with its leader, left over from the sheet before, and tapes 5 and 6: each counts once."""
    marks = [
        Circle(centre=(50.0 + n, 50.0), radius_mm=2.0, layer="check", space="model", id="number 3") for n in range(4)
    ]
    marks += [
        Circle(centre=(n * 9.0, 70.0), radius_mm=2.0, layer="check", space="model", id=f"number {n}") for n in (5, 6)
    ]
    scene = replace(next(iter(sheets(plan_named("tansy-court")))), primitives=tuple(marks))
    assert tape_sketch(scene)["part"] == 5
