"""What the phone says of a moved hole, against the bays and zones measured from the moved places with shapely."""

import itertools
import math
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon
from tests.asbuilt.yards import EIGHTH, plan_of, said

from palewright import plan as engine
from palewright.asbuilt import Mover, as_built, fold, mark_m
from palewright.model import Plan, Zone
from palewright.notation import parse_length
from palewright.papers import asbuilt_data, yard_pack

JOBS = ["tansy-court", "corner-lot", "chain-link-run"]


def zone_shape(zone: Zone) -> object:
    if zone.closed and len(zone.points) > 2:
        return Polygon(zone.points).buffer(zone.half_m, quad_segs=64)
    line = LineString(zone.points) if len(zone.points) > 1 else Point(zone.points[0])
    return line.buffer(zone.half_m, quad_segs=64)


def true_answer(plan: Plan, label: str, at: float) -> bool | None:
    """Whether a line post moved along its string may stand there; None where rounding decides."""
    mover = Mover(plan)
    on = mover.on(label)
    post = mover.posts[label]
    xy = (post.xy[0] + on.u[0] * at, post.xy[1] + on.u[1] * at)
    margins = []
    for bay in plan.design.bays:
        if label not in (bay.start, bay.end) or bay.kind == "gate":
            continue
        other = mover.posts[bay.end if bay.start == label else bay.start].xy
        length = math.dist(xy, other)
        kind = next(kind for kind in plan.kinds if kind.name == bay.fence)
        least, most = max(kind.shortest_m, kind.longest_m / 3.0), kind.longest_m
        margins += [most - length + EIGHTH / 2, length - least + EIGHTH / 2]  # half a mark is no difference
    for zone in plan.site.zones:
        if zone.kind not in ("no hole", "pin", "hand dig"):
            continue
        shape = zone_shape(zone)
        now, then = (shape.distance(Point(p)) - post.hole.diameter_m / 2.0 for p in (post.xy, xy))
        if now >= -1e-6:
            margins.append(then)
    worst = min(margins)
    return None if abs(worst) < 1e-3 else worst > 0.0


@pytest.mark.parametrize("name", JOBS)
@given(data=st.data())
@settings(max_examples=60, deadline=None)
def test_a_row_says_what_measuring_the_moved_places_says(name: str, data: st.DataObject) -> None:
    plan = plan_of(name)
    free = [p.label for p in plan.design.posts if p.move and p.move.back_stop not in ("fixed", "given bay")]
    sloped = {met.post for meeting in plan.design.meetings for met in meeting.posts}
    label = data.draw(st.sampled_from([one for one in free if one not in sloped]))
    ticks = data.draw(st.integers(-96, 96))
    truth = true_answer(plan, label, ticks * EIGHTH)
    if truth is None or ticks == 0:
        return
    hole = next(hole for hole in pack(name)["holes"] if hole["label"] == label)
    row = next(row for row in hole["moved"]["ranges"] if row["from"] <= ticks <= row["to"])
    assert row["ok"] == truth, (label, ticks, row)


PACKS: dict[str, dict] = {}


def pack(name: str) -> dict:
    if name not in PACKS:
        PACKS[name] = yard_pack(plan_of(name), "en")
    return PACKS[name]


@pytest.mark.parametrize("name", JOBS)
def test_room_on_the_phone_is_the_room_of_the_crew_sheet(name: str) -> None:
    """All that the plan allows fits, and past it what is more than half a mark does not."""
    plan = plan_of(name)
    mover = Mover(plan)
    for post in plan.design.posts:
        back, onward = mover.room(post.label)
        if not post.move or back + onward == 0.0:
            continue
        assert {round(back, 9), round(onward, 9)} == {round(post.move.back_m, 9), round(post.move.on_m, 9)}
        assert mover.moved(post.label, onward).fits
        assert mover.moved(post.label, -back).fits
        assert not mover.moved(post.label, onward + 0.002).fits
        assert not mover.moved(post.label, -back - 0.002).fits


@pytest.mark.parametrize("name", [*JOBS, "sloping-yard", "house-and-tape"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_table_answers_every_mark_once(name: str, language: str) -> None:
    made = yard_pack(plan_of(name), language)
    tables = [hole[key]["rows"] for hole in made["holes"] for key in ("offset", "depth")]
    tables += [hole["moved"]["ranges"] for hole in made["holes"]]
    tables += [check["rows"] for check in made["checks"]] + [bay["ranges"] for bay in made["bays"]]
    tables += [gate["clear"]["rows"] for gate in made["gates"]] + [run["gap"]["rows"] for run in made["runs"]]
    tables += [run["built"]["rows"] for run in made["runs"]]
    tables += [other["offset"]["rows"] for hole in made["holes"] for other in hole["others"]]
    assert tables
    for rows in tables:
        assert (rows[0]["from"], rows[-1]["to"]) == (-(10**9), 10**9)
        assert all(one["to"] + 1 == two["from"] for one, two in itertools.pairwise(rows))
        assert all(row["from"] <= row["to"] and row["say"] for row in rows)


def test_both_posts_of_a_bay_moved() -> None:
    """Bay by the sum of the moves of its ends, each with its sign: against the distance between the moved places."""
    plan = plan_of()
    mover = Mover(plan)
    bay = next(bay for bay in pack("tansy-court")["bays"] if bay["about"] == "bay 13-14")
    for one, two in ((-10, 8), (20, -4), (6, 6), (-16, 16)):
        places = {}
        for label, ticks in (("13", one), ("14", two)):
            on, xy = mover.on(label), mover.posts[label].xy
            places[label] = (xy[0] + on.u[0] * ticks * EIGHTH, xy[1] + on.u[1] * ticks * EIGHTH)
        net = bay["signs"][0] * one + bay["signs"][1] * two
        row = next(row for row in bay["ranges"] if row["from"] <= net <= row["to"])
        assert row["ok"] == (math.dist(places["13"], places["14"]) <= 8 * 0.3048 + EIGHTH / 2)


@pytest.mark.parametrize("name", [*JOBS, "sloping-yard", "house-and-tape"])
def test_a_bay_at_a_bend_grows_by_what_its_posts_stand_off_either_string(name: str) -> None:
    """Against the distance between places: a corner post off its first string makes the bay along the other longer."""
    plan = plan_of(name)
    mover, mark = Mover(plan), mark_m(plan.settings)
    bent = 0
    made = pack(name)
    for bay in [*made["bays"], *made["gates"]]:  # an opening grows as a bay does
        labels = [end.removeprefix("post ") for end in bay["ends"]]
        before = [mover.posts[label].xy for label in labels]
        after, net = [], 0.0
        for label, xy, along, away in zip(labels, before, bay["signs"], bay["away"], strict=True):
            on = mover.on(label)
            if on is None or label.startswith("W"):
                after.append(xy)
                continue
            after.append(tuple(xy[k] + (8 * on.u[k] - 4 * on.away[k]) * mark for k in (0, 1)))
            net += 8 * along - 4 * away
            bent += 0.1 < abs(along) < 0.9 or abs(away) > 0.1
        assert net * mark == pytest.approx(math.dist(*after) - math.dist(*before), abs=0.6 * mark)
    assert bent


def test_a_pack_in_millimetres_and_in_hundredths_of_a_foot() -> None:
    from dataclasses import replace

    plan = plan_of()
    for style, unit in (("metric", {"metre": 1000, "mm": 1}), ("decimal-feet", {"feet": 100})):
        made = yard_pack(replace(plan, settings=replace(plan.settings, print_style=style)), "en")
        assert unit.items() <= made["units"].items()
        hole = next(hole for hole in made["holes"] if hole["label"] == "2")
        row = next(row for row in hole["moved"]["ranges"] if row["from"] <= 0 <= row["to"])
        assert row["ok"]
        deep = hole["depth"]["ticks"] * made["units"]["tick_m"]
        assert deep == pytest.approx(1.0922, abs=0.0016)  # 43 in are 1,092.2 mm, and no tape of millimetres reads them
        posts = as_built(
            replace(plan, settings=replace(plan.settings, print_style=style)),
            fold(
                said((hole["about"], "measured", {"depth_m": deep}), ("post 3", "measured", {"depth_m": deep - 0.0031}))
            ),
        ).posts
        assert [post.deep_enough for post in posts if post.depth_m is not None] == [True, False]


def test_nobody_digs_before_the_locate() -> None:
    made = pack("tansy-court")
    assert made["locate"]["dig"] is False
    assert "DO NOT DIG" in made["locate"]["head"]
    assert all(hole["wait"] for hole in made["holes"])


def test_a_corner_reads_on_both_its_strings() -> None:
    """Post 1 of the example hangs on two strings; each says what its own tape reads there, as the crew sheet does."""
    plan = plan_of()
    holes = {hole["label"]: hole for hole in pack("tansy-court")["holes"]}
    marks = {}
    for string in plan.stakeout.strings:
        for mark in string.marks:
            marks.setdefault(mark.post, {})[f"string {string.name}"] = mark
    both = {label: found for label, found in marks.items() if len(found) > 1 and label in holes}
    assert both
    for label, found in both.items():
        hole = holes[label]
        read = {one["string"]: one["ticks"] for one in (hole, *hole["others"])}
        assert read.keys() == found.keys()
        for string, mark in found.items():
            reads = mark.from_rezero_m if mark.rezero else mark.reads_m
            assert abs(read[string] * EIGHTH - reads) <= EIGHTH / 2 + 1e-9


def test_a_run_is_read_against_what_was_signed() -> None:
    from dataclasses import replace

    plan = plan_of()
    name = plan.design.runs[0].name
    made = yard_pack(replace(plan, settings=replace(plan.settings, signed=((name, 60 * 0.3048),))), "en")
    run = next(run for run in made["runs"] if run["about"] == f"run {name}")
    told = {
        at: next(row for row in run["built"]["rows"] if row["from"] <= at <= row["to"]) for at in (5760, 5768, 5600)
    }
    assert run["built"]["ticks"] == 60 * 96
    assert [row["ok"] for row in told.values()] == [True, False, False]
    assert told[5768]["say"].startswith('1" longer than the signed length, 60\' 0"')


TWENTY_FEET = """palewright: 1
job: {{title: Twenty feet}}
points:
  A: {{at: [0 ft, 0 ft]}}
  B: {{at: [20 ft, 0 ft]}}
fences:
  field: {{kind: post-and-rail, longest bay: 8 ft, rails: 3}}
runs:
  - {{name: front, fence: field, through: [A, B], yard: left{own}}}
"""


@pytest.mark.parametrize(
    ("own", "shortest", "room"),
    [(", shortest bay: 6 ft", 6.0, 8.0), (", shortest bay: 2 ft", 2.0, 16.0), ("", 8.0 / 3.0, 16.0)],
)
def test_the_shortest_bay_of_a_run_is_that_of_the_sheet(own: str, shortest: float, room: float, tmp_path: Path) -> None:
    """Three bays of 6 ft 8 in: 8 in of room down to 6 ft, 16 in up to 8 ft; without one of its own a third of 8 ft."""
    (tmp_path / "job.yaml").write_text(TWENTY_FEET.format(own=own), "utf-8")
    plan = engine.make_plan(*engine.load(tmp_path / "job.yaml"), search_cuts=False)
    mover = Mover(plan)
    assert [limits.shortest_m / 0.3048 for limits in mover.limits.values()] == pytest.approx([shortest] * 3)
    back, on = (far / 0.0254 for far in mover.room("2"))
    assert (back, on) == pytest.approx((room, room))
    made = yard_pack(plan, "en")
    bay = next(bay for bay in made["bays"] if bay["about"] == "bay 2-3")
    first_good = next(row["from"] for row in bay["ranges"] if row["ok"])
    assert first_good == -int((80 - shortest * 12) * 8 + 1e-6)


@pytest.mark.parametrize("style", ["feet-inches", "decimal-feet", "metric"])
@pytest.mark.parametrize("part", [0.1, 0.4, 0.6, 0.9])
def test_a_bay_at_its_limit_is_judged_alike_on_the_phone_and_on_the_sheet(
    style: str, part: float, tmp_path: Path
) -> None:
    """Three bays that are 5 marks and a part of one shorter than 8 ft. Post 2 back by more and more marks makes the bay
    after it longer: 5 marks more fit, 6 are over by a part of a mark, which is told where that is more than half of one,
    and 7 are too long. The hole, the bay and the sheet say the same."""
    mark = {"feet-inches": EIGHTH, "decimal-feet": 0.003048, "metric": 0.001}[style]
    text = TWENTY_FEET.format(own="").replace("20 ft, 0 ft", f"{3 * (8 * 0.3048 - (6 - part) * mark):.9f} m, 0 m")
    text = text.replace("title: Twenty feet", f"title: Twenty feet, print: {style}")
    (tmp_path / "job.yaml").write_text(text, "utf-8")
    plan = engine.make_plan(*engine.load(tmp_path / "job.yaml"), search_cuts=False)
    made = yard_pack(plan, "en")
    hole = next(hole for hole in made["holes"] if hole["label"] == "2")
    bay = next(bay for bay in made["bays"] if bay["about"] == "bay 2-3")
    for ticks in (5, 6, 7):
        rows = [("post 2", "measured", {"back_m": -ticks * mark}), ("post 3", "measured", {"back_m": 0.0})]
        sheet = asbuilt_data(plan, as_built(plan, fold(said(*rows))))
        bad = next(row["bad"] for row in sheet["bays"] if row["bay"] == "2-3")
        answers = [
            next(row["ok"] for row in hole["moved"]["ranges"] if row["from"] <= -ticks <= row["to"]),
            next(row["ok"] for row in bay["ranges"] if row["from"] <= ticks <= row["to"]),
            not bad,
        ]
        assert answers == [ticks == 5 or (ticks == 6 and part < 0.5)] * 3, (ticks, answers)


def test_lines_from_the_word_of_the_owner_are_told_as_not_located() -> None:
    locate = pack("tansy-court")["locate"]
    assert locate["said"] == [
        "irrigation: from the owner's word, NOT LOCATED. Find it before you dig.",
        "yard hydrant line: from the owner's word, NOT LOCATED. Find it before you dig.",
    ]
    assert "yard hydrant line" not in locate["private"]
    assert "septic" in locate["private"]


@pytest.mark.parametrize("name", JOBS)
def test_what_to_do_instead_stays_within_reach(name: str) -> None:
    """A foot is a new layout, so no advice sends a hole farther. One post more is for a bay that is off by more than the
    tolerance."""
    rooms = []
    for hole in pack(name)["holes"]:
        for row in hole["moved"]["ranges"]:
            rooms += re.findall(r"(?:no farther than|room for) (.+?) toward", row["say"])
    assert rooms or name == "chain-link-run"  # its bays have a foot of room and more
    assert all(parse_length(room).m <= 0.3048 + 1e-9 for room in rooms)
    plan = plan_of(name)
    mover = Mover(plan)
    for hole in pack(name)["holes"]:
        for row in hole["moved"]["ranges"]:
            if "One post more" in row["say"]:
                least = min(abs(row["from"]), abs(row["to"]))
                then = mover.moved(hole["label"], math.copysign(least, row["from"]) * EIGHTH).bays
                assert max(one.by_m for one in then) > plan.settings.tolerance_m


def test_the_limit_of_a_bay_is_told_from_centre_to_centre_and_clear() -> None:
    """Bays of tansy-court are 8 ft at most from centre to centre; between two 3 1/2 in posts 7 ft 8 1/2 in are clear."""
    bay = next(bay for bay in yard_pack(plan_of())["bays"] if bay["about"] == "bay 11-12")
    assert bay["ranges"][-1]["say"].startswith(
        "Bay 11-12 becomes too long: 8' 0\" at most from centre to centre, 7' 8 1/2\" clear."
    )
    assert bay["length_ticks"] - bay["clear_ticks"] == 28


def test_panels_that_cannot_grow_follow_a_moved_post_to_the_cut_one(tmp_path: Path) -> None:
    """44 ft of 8 ft panels: five whole ones and one of 4 ft. Post 2 back by 6 in makes bay 2-3 8 ft 6 in; with posts 3 to 6
    as far back, bays 2-3 to 5-6 stay 8 ft and bay 6-7 becomes 4 ft 6 in. Post 2 onward: bay 1-2 begins at the end post."""
    text = (
        "palewright: 1\njob: {title: Panels}\npoints:\n  A: {at: [0 ft, 0 ft]}\n  B: {at: [44 ft, 0 ft]}\n"
        "fences:\n  white: {kind: vinyl-panels}\n"
        "runs:\n  - {name: front, fence: white, through: [A, B], yard: left, follows: level-top}\n"
    )

    def answer(clear: str, at: int) -> str:
        (tmp_path / "job.yaml").write_text(text + clear)
        made = yard_pack(engine.make_plan(*engine.load(tmp_path / "job.yaml")))
        hole = next(hole for hole in made["holes"] if hole["label"] == "2")
        at *= 1 if hole["plus"] == "toward post 3" else -1
        return str(next(row["say"] for row in hole["moved"]["ranges"] if row["from"] <= at <= row["to"]))

    assert "move posts 3-6 as far the same way too: bay 6-7 takes it up." in answer("", -48)
    assert "as far the same way" not in answer("", 48)
    pipe = "clear of:\n  - {name: pipe, through: [[31 ft, -20 ft], [31 ft, 20 ft]], width: 0 in, each side: 4 in, inside it: no hole}\n"
    assert "as far the same way" not in answer(pipe, -48)  # the hole of post 5, at 32 ft, would reach it
