"""The data of the papers: every number a crew reads is the plan's own, in words that a crew reads."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from tests.sample_plan import sample_plan

from palewright.model import Item, LocateSheet, LocateSpec, MemberAnswer, Move, Remark, Tie, ZoneHit
from palewright.notation import show_inches, show_length
from palewright.papers import crew_data, decisions_data, materials_data
from palewright.papers.measures import Measures
from palewright.papers.sheet import ranges


@pytest.fixture(scope="module")
def plan():
    return sample_plan()


def spanish(plan):
    return replace(plan, settings=replace(plan.settings, language="es"))


def texts(value):
    """Every text anywhere in the data."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from texts(item)
    elif isinstance(value, list):
        for item in value:
            yield from texts(item)


@pytest.mark.parametrize("make", [crew_data, materials_data, decisions_data])
@pytest.mark.parametrize("language", ["en", "es", "fr"])
def test_data_is_plain(plan, make, language):
    data = make(replace(plan, settings=replace(plan.settings, language=language)))
    assert json.loads(json.dumps(data)) == data


def test_every_mark_of_every_string_is_a_row(plan):
    data = crew_data(plan)
    for string, page in zip(plan.stakeout.strings, data["strings"], strict=True):
        rows = [row for row in page["rows"] if row["kind"] == "mark"]
        assert [row["post"] for row in rows] == [mark.post for mark in string.marks]
        assert [row["reads"] for row in rows] == [show_length(mark.reads_m) for mark in string.marks]
        assert page["centre"] == show_length(string.offset_m)
        assert page["face"] == show_length(string.face_m)


def test_the_zero_is_told_by_the_crossing(plan):
    data = crew_data(plan)
    string, page = plan.stakeout.strings[1], data["strings"][1]
    assert "crossing with string rear 1" in page["zero"][0]["label"]
    assert page["zero"][0]["value"] == show_length(string.zero_reads_m)
    assert page["zero"][1] == {"label": "Post 10 is then at", "value": show_length(string.first_reads_m)}
    assert "string rear 3" in page["zero"][2]["label"]


def test_wall_and_bracket(plan):
    page = crew_data(plan)["strings"][3]
    assert "wall face" in page["zero"][2]["label"]
    last = page["rows"][-1]
    assert (last["post"], last["hole"], last["move"]) == ("W1", "no hole", [])


def test_hand_dig_is_told(plan):
    rows = {row["post"]: row for page in crew_data(plan)["strings"] for row in page["rows"]}
    by_hand = {p.label for p in plan.design.posts if p.hole and p.hole.hand_dig}
    assert by_hand
    assert {label for label, row in rows.items() if row["hand"]} == by_hand
    assert all(rows[label]["dig"] == "BY HAND" for label in by_hand)


def test_no_machine_is_named_before_the_locate_is_entered(plan):
    """Every hole waits, in both languages; once all is typed, all but the hand-dug ones go by machine."""
    for job, wait in ((plan, "wait"), (spanish(plan), "espere")):
        data = crew_data(job)
        rows = [row for page in data["strings"] for row in page["rows"] if row.get("hole") and row["post"] != "W1"]
        assert {row["dig"] for row in rows if not row["hand"]} == {wait}
        assert {row["wait"] for row in rows if row["hand"]} == {wait}
        assert data["wait"].startswith(f"{wait}:")
    entered = crew_data(replace(plan, locate=replace(plan.locate, entered=True, missing=())))
    rows = [row for page in entered["strings"] for row in page["rows"] if row["post"] != "W1"]
    assert {row["dig"] for row in rows} == {"machine", "BY HAND"}
    assert {row["wait"] for row in rows} == {""}
    assert entered["wait"] == ""


def test_moves_point_at_the_neighbours_and_never_promise_more(plan):
    rows = {row["post"]: row for page in crew_data(plan)["strings"] for row in page["rows"]}
    assert "toward post 4" in rows["5"]["move"][0]["big"]
    assert "toward post 6" in rows["5"]["move"][1]["big"]
    assert rows["1"]["move"] == [{"big": "FIXED: do not move", "small": ""}]
    post = next(p for p in plan.design.posts if p.label == "5")
    inches = post.move.back_m / 0.0254
    shown = rows["5"]["move"][0]["big"].split(" toward")[0]
    assert shown == show_inches(int(inches * 8) / 8 * 0.0254)


def test_a_move_of_nothing_and_its_stop(plan):
    posts = tuple(
        replace(p, move=Move(0.0, "zone gas service", 0.05, "short bay")) if p.label == "5" else p
        for p in plan.design.posts
    )
    changed = replace(plan, design=replace(plan.design, posts=posts))
    row = next(r for page in crew_data(changed)["strings"] for r in page["rows"] if r.get("post") == "5")
    assert row["move"] == [
        {"big": "not toward post 4", "small": "(gas service)"},
        {"big": '1 7/8" toward post 6', "small": "(shortest bay)"},
    ]


def test_no_room_either_way_and_the_longest_bay_is_told_once(plan):
    posts = tuple(replace(p, move=Move(0.0, "bay", 0.0, "bay")) if p.label == "5" else p for p in plan.design.posts)
    changed = crew_data(replace(plan, design=replace(plan.design, posts=posts)))
    row = next(r for page in changed["strings"] for r in page["rows"] if r.get("post") == "5")
    assert row["move"] == [{"big": "no room to move", "small": ""}]
    assert "longest bay" in changed["w"]["move_note"]


def test_moves_follow_the_run_also_when_the_tape_runs_the_other_way(plan):
    string = plan.stakeout.strings[0]
    turned = replace(string, marks=tuple(reversed(string.marks)))
    changed = replace(plan, stakeout=replace(plan.stakeout, strings=(turned, *plan.stakeout.strings[1:])))
    rows = {row["post"]: row for row in crew_data(changed)["strings"][0]["rows"]}
    assert "toward post 4" in rows["5"]["move"][0]["big"]


def test_rezero_rows(plan):
    string = plan.stakeout.strings[0]
    marks = tuple(replace(m, rezero=1, from_rezero_m=m.reads_m - 10.0) if m.reads_m > 10.0 else m for m in string.marks)
    first = replace(string, marks=marks, rezeros_m=(10.0,), sighted_m=(9.0,))
    changed = replace(plan, stakeout=replace(plan.stakeout, strings=(first, *plan.stakeout.strings[1:])))
    page = crew_data(changed)["strings"][0]
    kinds = [row["kind"] for row in page["rows"]]
    at = kinds.index("rezero")
    assert kinds.count("rezero") == 1
    assert show_length(10.0) in page["rows"][at]["text"]
    after = page["rows"][at + 1]
    mark = next(m for m in marks if m.rezero)
    assert after["reads"] == show_length(mark.from_rezero_m)
    assert show_length(mark.reads_m) in after["from_zero"]
    assert show_length(9.0) in page["sighted"]


def test_stakes_moved_and_refused(plan):
    string = plan.stakeout.strings[0]
    stakes = (
        replace(string.stakes[0], refused="zone gas service"),
        replace(string.stakes[1], moved="zone pin NE"),
    )
    changed = replace(
        plan, stakeout=replace(plan.stakeout, strings=(replace(string, stakes=stakes), *plan.stakeout.strings[1:]))
    )
    page = crew_data(changed)["strings"][0]
    assert page["stakes"][0]["strong"]
    assert page["stakes"][0]["text"].startswith("NO STAKE S1")
    assert "gas service" in page["stakes"][0]["text"]
    assert "moved because of pin NE" in page["stakes"][1]["text"]
    said = crew_data(spanish(changed))["strings"][0]["stakes"][1]["text"]
    assert "NE" in said
    assert "pin" not in said


@pytest.mark.parametrize(
    ("cause", "english", "words"),
    [
        ("boundary", "the boundary", "el lindero"),
        ("building", "a building", "un edificio"),
        ("post 5", "post 5", "poste 5"),
        ("zone boundary", "boundary", "boundary"),
        ("zone old chain link, old footing 3", "old footing no. 3", "base vieja n.º 3"),
    ],
)
def test_what_a_stake_was_moved_for_is_said_in_the_language_of_the_job(plan, cause, english, words):
    string = plan.stakeout.strings[0]
    first = replace(string, stakes=(replace(string.stakes[0], moved=cause), string.stakes[1]))
    changed = replace(plan, stakeout=replace(plan.stakeout, strings=(first, *plan.stakeout.strings[1:])))
    assert crew_data(changed)["strings"][0]["stakes"][0]["text"].endswith(f"moved because of {english}.")
    assert crew_data(spanish(changed))["strings"][0]["stakes"][0]["text"].endswith(f"movida por {words}.")


def test_string_to_bring_has_two_feet_more_at_each_end(plan):
    tool = next(tool for tool in crew_data(plan)["tools"] if " of string " in tool)
    length = sum(string.length_m for string in plan.stakeout.strings) + len(plan.stakeout.strings) * 2 * 2 * 0.3048
    assert tool.startswith(show_length(math.ceil(length / 0.3048) * 0.3048))  # a whole foot
    assert "2' 0\" at each end" in tool
    assert "2' 0\" longer at each end" in crew_data(plan)["strings"][0]["total"]["cut"]


def test_an_old_footing_near_a_hole_is_named_apart_from_the_distance(plan):
    hit = ZoneHit("old chain link, old footing 5", "loose ground", 0.25)
    posts = tuple(
        replace(p, hole=replace(p.hole, hits=(hit,))) if p.label == "5" and p.hole else p for p in plan.design.posts
    )
    changed = replace(plan, design=replace(plan.design, posts=posts))

    def near(job):
        return next(r["near"] for page in crew_data(job)["strings"] for r in page["rows"] if r.get("post") == "5")

    assert near(changed) == ['old footing no. 5: 9 3/4" off the hole edge']
    assert near(spanish(changed)) == ['base vieja n.º 5: a 9 3/4" del borde del hoyo']


# ---------------------------------------------------------------- tapes


def with_ties(plan, *ties):
    return replace(plan, stakeout=replace(plan.stakeout, ties=ties))


def test_a_tape_longer_than_the_tape_says_in_its_row_how(plan):
    """116 ft 2 1/2 in with a 100 ft tape: 59 ft to a sighted point and the rest; 250 ft in three."""
    long = 116 * 0.3048 + 2.5 * 0.0254
    data = crew_data(with_ties(plan, Tie("1", "24", long, 0.5 * 0.0254, "overall")))
    (note,) = data["ties"][0]["notes"]
    assert "59' 0\" from post 1" in note
    assert "57' 2 1/2\"" in note
    data = crew_data(with_ties(plan, Tie("1", "24", 250 * 0.3048, 0.5 * 0.0254, "overall")))
    (note,) = data["ties"][0]["notes"]
    assert "every 84' 0\" from post 1" in note
    assert "82' 0\"" in note
    assert crew_data(with_ties(plan, Tie("1", "24", 30.0, 0.0127, "overall")))["ties"][0]["notes"] == []


def test_a_tape_that_cannot_read_as_closely_as_asked_says_what_it_proves(plan):
    weak = Tie("1", "24", 26.0, 0.25 * 0.0254, "diagonal", 1.5 * 0.0254)
    (note,) = crew_data(with_ties(plan, weak))["ties"][0]["notes"]
    assert note.endswith('± 1 1/2".')
    good = replace(weak, far_off_m=plan.settings.tolerance_m)
    assert crew_data(with_ties(plan, good))["ties"][0]["notes"] == []
    checks = tuple(replace(check, far_off_m=1.5 * 0.0254) for check in plan.stakeout.checks)
    corners = crew_data(replace(plan, stakeout=replace(plan.stakeout, checks=checks)))["corners"]
    assert all(corner["proves"].endswith('± 1 1/2".') for corner in corners)


def test_tapes_from_what_stands_are_told_by_post_and_all_are_numbered_through(plan):
    ties = (
        Tie("pin", "1", 5.0, 0.01, "tie"),
        Tie("house", "1", 6.0, 0.01, "tie"),
        Tie("house", "10", 7.0, 0.01, "tie"),
        Tie("1", "24", 8.0, 0.01, "diagonal"),
        Tie("1", "10", 9.0, 0.01, "overall"),
    )
    data = crew_data(with_ties(plan, *ties))
    assert [(row["to"], [t["from"] for t in row["tapes"]]) for row in data["finds"]] == [
        ("post 1", ["pin", "house"]),
        ("post 10", ["house"]),
    ]
    numbers = [t["number"] for row in data["finds"] for t in row["tapes"]]
    numbers += [corner["number"] for corner in data["corners"]] + [tie["number"] for tie in data["ties"]]
    assert numbers == ["1", "2", "3", "4", "5", "6", "7", ""]


def test_a_post_that_nothing_fixes_says_so_in_its_row(plan):
    remark = Remark("few-ties", "caution", "ties", (("posts", "1, 10"), ("count", 2)))
    lost = replace(with_ties(plan, Tie("pin", "1", 5.0, 0.01, "tie")).stakeout, remarks=(remark,))
    for job, begins in ((plan, "NOT LOCATABLE"), (spanish(plan), "NO UBICABLE")):
        data = crew_data(replace(job, stakeout=lost))
        assert [len(row["tapes"]) for row in data["finds"]] == [1, 0]
        assert all(row["lost"].startswith(begins) for row in data["finds"])
        assert any(line.startswith(begins) for line in data["stop"])


def test_nothing_that_stands_is_said_at_the_step_that_finds_the_corners(plan):
    remark = Remark("nothing-stands", "caution", "ties", (("posts", "1, 10"), ("count", 2)))
    stakeout = replace(plan.stakeout, order=("locate", "points", "corners", "dig"), remarks=(remark,))
    for job, begins in ((plan, "NOTHING THAT STANDS"), (spanish(plan), "NO SE NOMBRA NADA EN PIE")):
        data = crew_data(replace(job, stakeout=stakeout))
        assert data["order"][1].startswith(begins)
        assert "1, 10" in data["order"][1]
        assert [label.split()[1] for label in data["to_find"]] == ["1", "10"]


# ---------------------------------------------------------------- notes of a string


def test_a_string_has_its_own_notes_alone_and_cautions_are_strong(plan):
    name = plan.stakeout.strings[0].name
    faces = (("string", name), ("posts", "3, 4"), ("face_m", 0.5334), ("usual_m", 0.56515), ("count", 2))
    near = (("string", name), ("fence", "old chain link"), ("posts", "2"), ("count", 1), ("clear_m", 0.0254))
    remarks = (
        Remark("face-offset-differs", "note", f"string {name}", faces),
        Remark("string-near-old-post", "caution", f"string {name}", near),
        Remark("zero-stake-line", "note", "string other", (("string", "other"), ("post", "9"))),
    )
    pages = crew_data(replace(plan, stakeout=replace(plan.stakeout, remarks=remarks)))["strings"]
    assert [(note["text"][:26], note["strong"]) for note in pages[0]["notes"]] == [
        ("Posts 3, 4 differ from the", False),
        (f'String {name} comes within 1"'[:26], True),
    ]
    assert pages[0]["notes"][0]["text"].endswith("face 1' 9\".")
    assert all(page["notes"] == [] for page in pages[1:])


# ---------------------------------------------------------------- the old fence


def test_the_old_fence_has_its_step_and_its_box(plan):
    beside = Remark(
        "old-posts-beside",
        "note",
        "old chain link",
        (("fence", "old chain link"), ("posts", "1-6"), ("count", 6), ("string", "rear 2"), ("from_m", 3.048),
         ("to_m", 12.192), ("near_m", 0.1524), ("far_m", 0.1524), ("side", "fence side")),
    )  # fmt: skip
    stakeout = replace(plan.stakeout, order=("locate", "remove", "dig"), remarks=(beside,))
    data = crew_data(replace(plan, stakeout=stakeout))
    assert "Pulling a post or a footing is digging" in data["order"][1]
    (box,) = data["old"]
    assert box["do"] == 'old chain link: PULL IT. 40\' 0", 6 posts, footings 10" across.'
    assert 'from 10\' 0" to 40\' 0" on its tape, 6" to 6" from it, on the side of the new fence' in box["lines"][0]
    assert any("Old fence" in line for line in data["signoff"])
    left = tuple(replace(removal, then="leave") for removal in plan.site.removals)
    stays = crew_data(replace(plan, stakeout=stakeout, site=replace(plan.site, removals=left)))
    assert stays["order"][1].startswith("The old fence stays")
    assert "LEAVE IT" in stays["old"][0]["do"]


# ---------------------------------------------------------------- the locate


def test_a_locate_not_entered_is_all_empty_lines(plan):
    block = crew_data(plan)["locate"]
    assert block["head"] == "LOCATE NOT ENTERED: DO NOT DIG"
    assert [cell["value"] for cell in block["cells"]] == [""] * 4
    assert {m["answer"] for m in block["members"]} == {""}
    assert block["private"][0] == "irrigation"
    assert crew_data(spanish(plan))["locate"]["head"] == "SIN LOCALIZACIÓN DE SERVICIOS: NO CAVE"


def test_a_locate_entered(plan):
    typed = LocateSpec(
        "1234567",
        "Mon 3 Mar",
        "Thu 6 Mar 7 am",
        "20 Mar",
        (MemberAnswer("Gas", "marked", "4 Mar"), MemberAnswer("Water")),
    )
    sheet = LocateSheet(True, typed, (), plan.locate.digs, ("septic", "koi pond pump"))
    block = crew_data(replace(plan, locate=sheet))["locate"]
    assert block["head"] == "LOCATE"
    assert [cell["value"] for cell in block["cells"]] == ["1234567", "Mon 3 Mar", "Thu 6 Mar 7 am", "20 Mar"]
    assert block["members"][1] == {"name": "Water", "answer": ""}
    assert block["private"] == ["septic", "koi pond pump"]
    assert block["said"] == 0
    known = replace(sheet, private=("koi pond pump", "septic"), said=("koi pond pump",))
    assert crew_data(replace(plan, locate=known))["locate"]["said"] == 1


def test_a_locate_typed_in_part_still_says_do_not_dig(plan):
    sheet = replace(plan.locate, typed=LocateSpec(ticket="12"), missing=("expires",))
    block = crew_data(replace(plan, locate=sheet))["locate"]
    assert block["head"].endswith("DO NOT DIG")
    assert block["missing"] == "Still missing: expires."


# ---------------------------------------------------------------- flags


def test_flags(plan):
    guessed = Remark("assumed-right-angle", "assumption", "point old gate", (("point", "old gate"),))
    flags = crew_data(replace(plan, site=replace(plan.site, remarks=(*plan.site.remarks, guessed))))["flags"]
    assert flags[0] == "STOP box on page 1"
    assert flags[1] == "line not located: 1 of 4 corners found"
    assert flags[2] == "TRIAL: run rear, house side"
    assert flags[3].startswith("LEVEL GROUND ASSUMED on run rear (typed fall 2' 6\")")
    assert flags[4] == "Corner ASSUMED, NOT MEASURED: old gate"


def test_no_boundary_and_no_north_are_flags(plan):
    bare = replace(plan, site=replace(plan.site, ring=None), settings=replace(plan.settings, north=False))
    flags = crew_data(bare)["flags"]
    assert flags[0] == "no boundary given"
    assert "no north: local measure" in flags


def test_frost_is_said_beside_every_depth(plan):
    data = crew_data(plan)
    rows = [row for page in data["strings"] for row in page["rows"] if row["hole"] != "no hole"]
    assert all(row["frost"] == "frost depth not given" for row in rows)
    assert all(row["frost"] == "frost depth not given" for row in data["holes"])
    cold = crew_data(replace(plan, settings=replace(plan.settings, frost_m=0.762)))
    assert {row["frost"] for page in cold["strings"] for row in page["rows"]} == {""}
    assert cold["holes"][0]["frost"] == 'frost depth 30"'


def test_crew_words_know_no_compass_and_no_decimal_feet(plan):
    parts = ("strings", "corners", "ties", "order", "gates", "holes")
    page_words = list(texts({k: v for k, v in crew_data(plan).items() if k in parts}))
    assert not [t for t in page_words if re.search(r"\b(north|south|east|west)\b", t, re.IGNORECASE)]
    assert not [t for t in page_words if re.search(r"\d\.\d+'", t)]


def test_height_is_worked_out_in_words(plan):
    assert crew_data(plan)["runs"][0]["height"] == ['gap 2", board 6\' 0", top 6\' 2" above ground']


# ---------------------------------------------------------------- materials


def test_items(plan):
    data = materials_data(plan)
    items = [item for group in data["groups"] for item in group["items"]]
    assert sorted((i["code"], i["buy"]) for i in items) == sorted((i.code, f"{i.buy:,}") for i in plan.takeoff.items)
    assert items[0]["serves"].startswith("posts 1, 2, 5-24")
    assert data["total"] == {"label": "No price list was given.", "value": "", "missing": "", "note": ""}


def test_a_missing_price_is_said_and_there_is_no_total(plan):
    first, *rest = plan.takeoff.items
    items = (replace(first, price=Decimal("12.50"), cost=Decimal("362.50")), *rest)
    takeoff = replace(plan.takeoff, items=items, currency="USD")
    total = materials_data(replace(plan, takeoff=takeoff))["total"]
    assert total["value"] == ""
    assert "rail.2x4.16ft" in total["missing"]
    assert "post.4x4.9ft" not in total["missing"]
    full = replace(takeoff, items=(items[0],), total=Decimal("362.50"))
    whole = materials_data(replace(plan, takeoff=full))["total"]
    assert whole["value"] == "$362.50"
    assert "tax and margin are not in it" in whole["note"]


def test_quantities_are_printed_in_their_units(plan):
    base = plan.takeoff.items[0]
    items = tuple(
        replace(base, need=need, unit=unit, per=per, buy_unit="roll")
        for need, unit, per in (
            (50.0, "m", 15.24),
            (10.0, "m2", 1.0),
            (1.0, "m3", 0.5),
            (36.287, "kg", 1.0),
            (2.5, "each", 1.0),
        )
    )
    rows = [
        i
        for g in materials_data(replace(plan, takeoff=replace(plan.takeoff, items=items)))["groups"]
        for i in g["items"]
    ]
    assert [row["need"] for row in rows] == ["164' 0 1/2\"", "108 sq ft", "1.31 cu yd", "80 lb", "2.5"]
    assert rows[0]["holds"] == "50' 0\""


def test_concrete_per_hole_by_hand_sum(plan):
    """10 in hole, 37 in deep, 4 in gravel, 3.5 in square post: (pi 5^2 - 3.5^2) x 33 / 1728 = 1.266 cu ft."""
    row = materials_data(plan)["holes"][0]
    assert row["each"] == "1.27 cu ft"
    assert row["bags"][0] == "3 (2.1)"  # 1.266 / 0.60


# ---------------------------------------------------------------- decisions


def test_decisions(plan):
    data = decisions_data(plan)
    assert [row["lines"] for row in data["asks"]] == ["line 40"] * 3  # locate, frost, soil
    assert data["asks"][0]["what"].startswith("Utility locate, still missing: ticket")
    assert "proves arithmetic only" in " ".join(data["closure"])
    assert data["corners"][2] == {"name": "NE", "found": "5/8 in iron pin, cap 1178", "matches": "yes"}
    assert data["corners"][0]["found"] == "record only"
    assert data["insets"][0]["cells"][0] == {"value": '8"', "at": "post 1", "over": False}
    assert [leg["bays"] for leg in data["legs"]] == ["8", "12", "7", "4"]


def test_an_inset_over_the_line_is_a_minus(plan):
    posts = tuple(replace(p, inset=(("face", -0.1),)) if p.label == "5" else p for p in plan.design.posts)
    cell = decisions_data(replace(plan, design=replace(plan.design, posts=posts)))["insets"][0]["cells"][0]
    assert cell == {"value": '-3 7/8"', "at": "post 5", "over": True}


def test_a_plan_with_nothing_in_it(plan):
    bare = replace(
        plan,
        site=replace(plan.site, ring=None, removals=()),
        design=replace(plan.design, runs=(), legs=(), posts=(), bays=(), gates=()),
        stakeout=replace(plan.stakeout, strings=(), crossings=(), checks=(), ties=(), order=(), mark_diameter_m=()),
        takeoff=replace(plan.takeoff, items=()),
        asks=(),
    )
    for make in (crew_data, materials_data, decisions_data):
        assert make(bare)["title"] == plan.settings.title


def test_metric_papers(plan):
    metric = replace(plan, settings=replace(plan.settings, print_style="metric", language="es", paper="a4"))
    data = crew_data(metric)
    assert data["paper"] == "a4"
    assert data["strings"][0]["centre"] == "610 mm"
    assert data["holes"][0]["depth"] == "940 mm"
    assert "redondeos" in data["gap_note"]


# ---------------------------------------------------------------- small parts


def test_ranges():
    assert ranges(["9", "3", "5", "4", "12", "W2"]) == "3-5, 9, 12, W2"
    assert ranges([]) == ""
    assert ranges([7]) == "7"


def test_limits_are_rounded_toward_safety():
    show = Measures()
    assert show.down(0.0254 * 3.99) == '3 7/8"'
    assert show.down(0.0254 * 4.0) == '4"'
    assert show.tolerance(0.0) == '1/16"'
    assert Measures("decimal-feet").down(1.0) == "3.28'"
    assert Measures(fraction=16).down(0.0254 * 3.99) == '3 15/16"'


def test_a_tape_in_tenths_of_a_foot_is_told_no_inches(plan):
    tenths = replace(plan, settings=replace(plan.settings, print_style="decimal-feet"))
    pages = crew_data(tenths)["strings"]
    stakes = [stake["text"] for page in pages for stake in page["stakes"]]
    moves = [move["big"] for page in pages for row in page["rows"] for move in row.get("move", ())]
    assert stakes
    assert moves
    assert not [text for text in stakes + moves if '"' in text]


def test_an_item_without_words_is_printed_in_plain_letters(plan):
    item = Item("x", "snow-plough", "9 ft", 1.0, "each", 0.0, 1, "each", 1.0, "winter")
    data = materials_data(replace(plan, takeoff=replace(plan.takeoff, items=(item,))))
    assert data["groups"][0]["name"] == "winter"
    assert data["groups"][0]["items"][0]["what"] == "snow plough"


def test_distances_to_keep_are_whole_enough_to_remember_and_never_less(plan):
    """100 ft is 30.48 m, 10 ft is 3.048 m."""
    for style, gas, wire in (("metric", "30.5 m", "3.05 m"), ("feet-inches", "100' 0\"", "10' 0\"")):
        data = crew_data(replace(plan, settings=replace(plan.settings, print_style=style)))
        assert any(f"at least {gas} away" in line for line in data["trouble"])
        assert any(f"at least {wire} away" in line for line in data["cautions"])
