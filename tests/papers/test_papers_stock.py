"""Stock on the material list: sizes in both languages and both units, one and many, gates by opening and leaf, cuts."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from tests.sample_plan import sample_plan

from palewright.jobfile import read_text
from palewright.model import Cut, CutPart, Item, Reason
from palewright.papers import materials_data
from palewright.papers.sheet import Sheet
from palewright.papers.stock import bought_words, post_pairs, size_words
from palewright.plan.engine import load, make_plan

FT, IN = 0.3048, 0.0254
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def shown(plan, **settings):
    return replace(plan, settings=replace(plan.settings, **settings))


def sheet(**settings):
    return Sheet.of(shown(sample_plan(), **settings))


@pytest.mark.parametrize(
    ("size", "code", "english", "spanish", "metric"),
    [
        ("4x4 x 10 ft", "post.wood.4x4.10ft", "4x4 x 10 ft", "4x4 x 10 pies", "4x4 (89 x 89 mm) x 10 ft (3.05 m)"),
        ("2x4 x 16 ft", "rail.2x4.16ft", "2x4 x 16 ft", "2x4 x 16 pies", "2x4 (38 x 89 mm) x 16 ft (4.88 m)"),
        ("2 3/8 in x 6 1/2 ft", "post.pipe.2-3/8.6.5ft", "2 3/8 in pipe x 6 1/2 ft", "tubo de 2 3/8 pulg x 6 1/2 pies",
         "2 3/8 in (60 mm) pipe x 6 1/2 ft (1.98 m)"),
        ("48 in, 11 1/2 gauge", "fabric", "48 in, 11 1/2 gauge", "48 pulg, calibre 11 1/2", "48 in (1219 mm), 11 1/2 gauge"),
        ("5/16 x 1 1/4 in", "bolt.carriage", "5/16 x 1 1/4 in", "5/16 x 1 1/4 pulg", "5/16 x 1 1/4 in (7.9 x 32 mm)"),
        ("72 x 96 in", "panel.vinyl.72x96in", "72 x 96 in", "72 x 96 pulg", "72 x 96 in (1829 x 2438 mm)"),
        ("80 lb", "concrete.80lb", "80 lb", "80 lb", "80 lb (36 kg)"),
        ("1/2 cu ft", "gravel.bag", "1/2 cu ft", "1/2 pie cúbico", "1/2 cu ft (14 L)"),
        ("5 cu yd", "", "5 cu yd", "5 yardas cúbicas", "5 cu yd (3.8 m³)"),
        ("round 6 x 7 ft", "post.split.round-6.gate.7ft", "6 in round x 7 ft", "redondo de 6 pulg x 7 pies", "6 in round (152 mm) x 7 ft (2.13 m)"),
        ("5x5 x 7 ft", "post.vinyl.5x5.line.7ft", "5x5 vinyl x 7 ft", "5x5 de vinilo x 7 pies", "5x5 (127 x 127 mm) vinyl x 7 ft (2.13 m)"),
        ("5x5", "cap.vinyl.5x5", "5x5", "5x5", "5x5 (127 x 127 mm)"),
        ("", "hinge.boards", "", "", ""),
    ],
)  # fmt: skip
def test_sizes(size, code, english, spanish, metric):
    """Millimetres: 3.5 in = 88.9, 1.5 in = 38.1, 2 3/8 in = 60.3; 10 ft = 3.048 m; 80 lb = 36.3 kg; 1/2 cu ft = 14.2 L."""
    assert size_words(sheet(language="en"), size, code) == english
    assert size_words(sheet(language="es"), size, code) == spanish
    assert size_words(sheet(language="en", print_style="metric"), size, code) == metric


def rows(plan, **settings):
    data = materials_data(shown(plan, **settings))
    return {item["code"]: item for group in data["groups"] for item in group["items"]}


@pytest.mark.parametrize(("count", "one", "many"), [(1, "pieza", ""), (4, "", "piezas")])
def test_one_and_many_in_spanish(count, one, many):
    units = {"each": one or many, "bag": "saco" if one else "sacos", "ft": "pie" if one else "pies",
             "box of 100": "caja de 100" if one else "cajas de 100", "roll of 75 ft": "rollo de 75 pies" if one else "rollos de 75 pies",
             "load of 5 cu yd": "viaje de 5 yardas cúbicas" if one else "viajes de 5 yardas cúbicas"}  # fmt: skip
    plan = sample_plan()
    items = tuple(
        Item(f"code.{k}", "rail", "2x4 x 8 ft", 1.0, "each", 0.0, count, unit, 1.0, "rails")
        for k, unit in enumerate(units)
    )
    found = rows(replace(plan, takeoff=replace(plan.takeoff, items=items)), language="es")
    assert [found[f"code.{k}"]["unit"] for k in range(len(units))] == list(units.values())


def test_a_gate_is_named_by_opening_and_leaf():
    plan = make_plan(*load(EXAMPLES / "chain-link-run.yaml"))
    code = "gate.chain-link.48x48in"
    assert rows(plan)[code]["size"] == "for a 48 in opening: leaf 44 1/4 in, 48 in high"
    spanish = rows(plan, language="es", print_style="metric")[code]["size"]
    assert spanish == "para claro de 48 pulg (1219 mm): hoja de 44 1/4 pulg (1124 mm), 48 pulg (1219 mm) de alto"


def test_what_is_bought_is_told_in_spanish_to_the_last_unit():
    """Names, sizes and units of a job of wire, for whoever is shown prices: no English word between the Spanish ones."""
    told = bought_words(make_plan(*load(EXAMPLES / "field-fence-tennessee.yaml")), "es")
    assert ("Portón de campo para claro de 16 pies", "pieza") in told
    assert ("Alambre de púas", "rollos de 1320 pies") in told
    english = re.compile(r"\b(bags?|box(es)?|rolls?|each|feet|ft|in|cu|for|of|opening|gauge)\b")
    assert [pair for pair in told if english.search(" ".join(pair))] == []


def test_a_code_in_several_lines_says_its_total():
    """Corner and line posts of one section and length: the counter hands out one kind of post."""
    plan = make_plan(*load(EXAMPLES / "house-and-tape.yaml"))
    posts = [
        item
        for group in materials_data(plan)["groups"]
        for item in group["items"]
        if item["code"] == "post.wood.4x4.10ft"
    ]
    total = sum(int(item["buy"]) for item in posts)
    assert len(posts) == 2
    assert {item["in_all"] for item in posts} == {f"{total} in all"}


def test_the_cutting_list_of_a_plan_serves_every_rail():
    plan = make_plan(*load(EXAMPLES / "house-and-tape.yaml"))
    (group,) = materials_data(plan)["cuts"]
    bought = sum(item.buy for item in plan.takeoff.items if item.what == "rail")
    assert sum(int(row["take"].split(" × ")[0]) for row in group["rows"]) == bought
    assert group["said"].endswith("no way of cutting takes less.")
    assert group["name"] == "Rail 2x4"


def test_rows_of_the_cutting_list():
    """Alike lengths in one row; parts that go on from each other are named by the first and the last."""
    plan = sample_plan()
    item = Item("rail.2x4.16ft", "rail", "2x4 x 16 ft", 14.0, "each", 0.0, 14, "each", 1.0, "rails")
    one = [Cut(item.code, "rail", 16 * FT, 2, (CutPart(15 * FT, (k, k + 1)),), FT) for k in (1, 3, 5, 7)]
    two = Cut(item.code, "rail", 16 * FT, 3, (CutPart(8 * FT, (9,)), CutPart(7 * FT, (), ("side gate",))), FT - IN / 8)
    three = [
        Cut(item.code, "rail", 16 * FT, count, (CutPart(14 * FT, (k,)),), 2 * FT) for k, count in ((12, 1), (14, 2))
    ]
    reason = Reason("rail.2x4", "rail bought", 224 * FT, "m", "", (("bound_m", 220 * FT),))
    takeoff = replace(plan.takeoff, items=(item,), cuts=(*three, *one, two), reasons=(reason,), kerf_m=IN / 8)
    data = materials_data(replace(plan, takeoff=takeoff))
    (group,) = data["cuts"]
    assert group["said"] == "224' 0\" bought: no way of cutting takes less than 220' 0\"."
    assert [(row["take"], row["cut"], row["for"], row["left"]) for row in group["rows"]] == [
        ("8 × 16 ft", "15' 0\"", "1-3 … 7-9 (2 of each)", '12"'),
        ("3 × 16 ft", "14' 0\"", "14-15 (2); 12-13", "2' 0\""),
        ("3 × 16 ft", "8' 0\" + 7' 0\"", "9-10 + side gate (3)", '11 7/8"'),
    ]
    assert 'a saw cut of 1/8" is counted' in data["cut_note"]


def test_split_rails_of_short_bays_are_cut_to_reach_through_both_posts():
    """Bays of 7' 1" to 9' do not take an 11 ft rail whole: it is cut to bay and half a post at both its ends."""
    plan = make_plan(*load(EXAMPLES / "corner-angles.yaml"))
    (group,) = materials_data(plan)["cuts"]
    assert group["note"].endswith("pointed again.")
    singles = [cut for cut in plan.takeoff.cuts if len(cut.parts) == 1]
    bays = {bay.number: bay for bay in plan.design.bays}
    posts = {post.label: post for post in plan.design.posts}
    for cut in singles:
        bay = bays[cut.parts[0].bays[0]]
        ends = (posts[bay.start].width_m + posts[bay.end].width_m) / 2
        assert cut.parts[0].length_m == pytest.approx(bay.length_m + ends, abs=0.02)
    said = {row["cut"] for row in group["rows"]}
    short = [cut for cut in singles if 11 * FT - cut.parts[0].length_m > FT]
    assert len(short) > 8
    assert said == {Sheet.of(plan).measures.length(cut.parts[0].length_m) for cut in short} | {"whole"}
    assert all(row["left"] or row["cut"] == "whole" for row in group["rows"])


def test_a_split_rail_of_a_full_bay_is_used_whole():
    """11 ft rails make bays of 10 ft (guide to split-rail fences): what is over goes into the laps."""
    job = """\
palewright: 1
job: {title: A, print: feet-inches}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [20 ft, 0 ft]}}
fences: {rails: {kind: post-and-rail, good side: yard}}
runs: [{name: r, fence: rails, through: [A, B], yard: left, follows: racked}]
"""
    (group,) = materials_data(make_plan(read_text(job)))["cuts"]
    (row,) = group["rows"]
    assert (row["take"], row["cut"], row["for"], row["left"]) == ("6 × 11 ft", "whole", "1-2, 2-3 (3 of each)", "")


@pytest.mark.parametrize(
    ("numbers", "pairs"),
    [
        ((1,), [("1", "2")]),
        ((1, 2, 3), [("1", "4")]),
        ((1, 3), [("1", "2"), ("3", "4")]),
        ((1, 2, 3, 4), [("1", "4"), ("4", "1")]),
        ((4, 5), [("4", "1"), ("2", "W1")]),
        ((), []),
    ],
)
def test_bays_are_told_by_the_posts_they_stand_between(numbers, pairs):
    """Bays 1 to 4 go round from post 1 to post 1, bay 5 goes from post 2 to a wall."""
    ends = {1: ("1", "2"), 2: ("2", "3"), 3: ("3", "4"), 4: ("4", "1"), 5: ("2", "W1")}
    one = sample_plan().design.bays[0]
    bays = {n: replace(one, number=n, start=start, end=end) for n, (start, end) in ends.items()}
    assert post_pairs(numbers, bays) == pairs


def test_a_total_says_that_hauling_is_in_it():
    plan = sample_plan()
    item = Item("x", "rail", "", 1.0, "each", 0.0, 1, "each", 1.0, "rails", price=Decimal(2), cost=Decimal(2))
    for group, label in (("rails", "Total"), ("removal", "Total, removal and hauling included")):
        takeoff = replace(plan.takeoff, items=(replace(item, group=group),), total=Decimal(2), currency="USD")
        assert materials_data(replace(plan, takeoff=takeoff))["total"]["label"] == label


def test_metric_volumes_of_mix():
    plan = make_plan(*load(EXAMPLES / "chain-link-run.yaml"))
    data = materials_data(shown(plan, print_style="metric"))
    assert data["facts"][0]["value"] == "0.33 m³"  # 11.6 cu ft
    assert data["facts"][1]["value"] == "798 kg"  # 22 bags of 80 lb
    assert data["bags"][0] == "Bags of 80 lb (36 kg)"
    assert data["holes"][0]["each"] == "26 L"  # 0.92 cu ft
    bag = next(item for group in data["groups"] for item in group["items"] if item["code"] == "concrete.80lb")
    assert (bag["holds"], bag["unit"]) == ("17 L", "bags")
