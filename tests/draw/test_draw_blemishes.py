"""No blemish on any sheet: no leader through a word, a post or another leader, no word on a building."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
import shapely
from tests.draw.conftest import EXAMPLES, plan_named, sheets
from tests.draw.random_jobs import planned
from tests.draw.test_draw_random import ink

from palewright import draw
from palewright.draw.board import LEADER_MM
from palewright.draw.labels import Labels
from palewright.draw.place import HARD, Box, Placer, box_of_segment
from palewright.draw.scene import Circle, Line, Polygon, Scene, Text
from palewright.model import Plan

BOARDS = "{kind: boards, board: 6 ft, bottom gap: 2 in, longest bay: 8 ft, good side: neighbour}"
JOBS = {
    "many gates": """palewright: 1
job: {title: Six gates}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [0 ft, 90 ft]}, C: {at: [120 ft, 90 ft]}, D: {at: [120 ft, 0 ft]}}
fences: {b: BOARDS}
runs:
  - name: yard
    fence: b
    through: [A, B, C, D]
    yard: right
    gates:
      - {name: bin gate, opening: 3 ft, starts: 8 ft from A, hinges: near A, swings: to yard}
      - {name: rear gate, opening: 4 ft, starts: 12 ft from B, hinges: near B, swings: to yard}
      - {name: alley gate, opening: 12 ft, starts: 50 ft from B, leaves: 2, swings: to yard}
      - {name: dog gate, opening: 3 ft, starts: 90 ft from B, hinges: near B, swings: out}
      - {name: mower gate, opening: 5 ft, starts: 10 ft from C, hinges: near C, swings: to yard}
      - {name: east gate, opening: 4 ft, starts: 22 ft from C, hinges: near C, swings: to yard}
""",
    "ten foot yard": """palewright: 1
job: {title: Ten foot yard, tape: 25 ft}
walls: [{from: house left, to: house right, length: 14 ft}]
walks: [{from: house left, along: house right, go: [3 ft, right, 10 ft, right, 10 ft], call: [A, B, C]}]
fences: {b: BOARDS}
runs:
  - name: bin yard
    fence: b
    through: [house left, A, B, C]
    yard: right
    ends: {house left: {at wall: bracket}}
    gates: [{opening: 3 ft, starts: 2 ft from B, hinges: near B, swings: to yard}]
""",
    "metric, a house by the gate": """palewright: 1
job: {title: By the metre, print: metric, tape: 30 m}
points: {A: {at: [0 m, 0 m]}, B: {at: [0 m, 21.4 m]}, C: {at: [16.2 m, 22.1 m]}, D: {at: [17.0 m, 0.4 m]}}
boundary: {through: [A, B, C, D]}
buildings: {house: [[3 m, 2 m], [12 m, 2 m], [12 m, 9 m], [3 m, 9 m]]}
fences: {b: {kind: boards, board: 1.8 m, bottom gap: 50 mm, longest bay: 2.4 m, good side: yard}}
runs:
  - name: around
    fence: b
    sides: all
    inside boundary: {face: 0.2 m}
    gates: [{opening: 1.2 m, starts: 5 m from A, hinges: near A, swings: to yard}]
""",
}
NAMES = (*(path.stem for path in EXAMPLES), *JOBS)
OWN = {"building", "match", "zone"}
"""Words that may stand on a building: its name, and those that belong to a line across it."""


def blemishes(scene: Scene) -> list[str]:
    found = []
    for space in ("model", "detail"):
        leaders = [
            p
            for p in scene.primitives
            if isinstance(p, Line) and p.stroke_mm == LEADER_MM and p.id and p.space == space and p.layer != "check"
        ]
        lines = [shapely.LineString((p.a, p.b)) for p in leaders]
        words = [t for t in scene.texts() if t.space == space]
        for (p, line), t in itertools.product(zip(leaders, lines, strict=True), words):
            if ink(t).intersection(line).length > 0.1:
                found.append(f"the leader of {p.id!r} runs through {t.text!r}")
        for (p, one), (q, other) in itertools.combinations(zip(leaders, lines, strict=True), 2):
            if one.crosses(other):
                found.append(f"the leaders of {p.id!r} and {q.id!r} cross")
        for post in scene.primitives:
            if post.layer == "post" and post.space == space and isinstance(post, Polygon | Circle):
                shape = (
                    shapely.Polygon(post.points)
                    if isinstance(post, Polygon)
                    else shapely.Point(post.centre).buffer(post.radius_mm)
                )
                for p, line in zip(leaders, lines, strict=True):
                    if p.id != post.id and shape.intersection(line).length > 0.2:
                        found.append(f"the leader of {p.id!r} runs through post {post.id}")
        for house in scene.primitives:
            if isinstance(house, Polygon) and house.layer == "building" and house.fill and len(house.points) > 2:
                found += on_building(house, [t for t in words if house.space == space and t.role not in OWN])
    return found


def on_building(house: Polygon, words: list[Text]) -> list[str]:
    shape = shapely.Polygon(house.points)
    return [
        f"{t.text!r} ({t.role}) on {house.id}" for t in words if ink(t).intersection(shape).area > 0.3 * ink(t).area
    ]


def plan_of(name: str) -> Plan:
    return planned(JOBS[name].replace("BOARDS", BOARDS)) if name in JOBS else plan_named(name)


@pytest.mark.parametrize(("language", "paper"), [("en", "letter"), ("es", "a4")])
@pytest.mark.parametrize("name", NAMES)
def test_no_sheet_has_a_blemish(name: str, language: str, paper: str) -> None:
    plan = plan_of(name)
    settings = replace(plan.settings, language=language, paper=paper)
    if settings != plan.settings:
        plan = replace(plan, settings=settings)
    for scene in (*sheets(plan), *draw.plot_sheets(plan)):
        assert blemishes(scene) == [], scene.title


def test_blemishes_are_seen() -> None:
    leader = Line(layer="label", a=(0.0, 0.0), b=(20.0, 0.0), stroke_mm=LEADER_MM, id="A")
    across = Line(layer="label", a=(15.0, -5.0), b=(15.0, 5.0), stroke_mm=LEADER_MM, id="B")
    word = Text(layer="label", text="word", at=(2.0, 1.0), size_mm=3.0)
    post = Circle(layer="post", centre=(18.0, 0.0), radius_mm=1.0, id="7")
    house = Polygon(
        layer="building", points=((0.0, -4.0), (12.0, -4.0), (12.0, 4.0), (0.0, 4.0)), fill="#eee", id="house"
    )
    seen = blemishes(Scene(100.0, 100.0, "t", (leader, across, word, post, house)))
    assert len(seen) == 4


class Page:
    """Words of one size on a page: each a rectangle that may stand at some places."""

    def __init__(self) -> None:
        self.placer = Placer(0.0, 0.0, 100.0, 100.0)
        self.drawn: list[object] = []
        self.labels = Labels(self.placer, self.drawn)  # type: ignore[arg-type]

    def put(self, name: str, *places: tuple[float, float, float]) -> None:
        def draw_it(at: tuple[float, float]) -> None:
            self.drawn.append((name, at))
            self.placer.add(Box(*at, 1.0, 0.0, 4.0, 2.0), HARD)

        options = [((Box(x, y, 1.0, 0.0, 4.0, 2.0),), price, (x, y)) for x, y, price in places]
        self.labels.put(lambda: options, draw_it)


def test_a_word_makes_room_for_another() -> None:
    """The first took the only place of the second, and has another that costs a little more."""
    page = Page()
    page.put("first", (50.0, 50.0, 0.0), (50.0, 60.0, 3.0))
    page.put("second", (52.0, 50.0, 0.0))
    assert page.labels.lost == 1
    page.labels.settle()
    assert page.labels.lost == 0
    assert sorted(map(str, page.drawn)) == ["('first', (50.0, 60.0))", "('second', (52.0, 50.0))"]


def test_a_word_that_cannot_move_stays() -> None:
    page = Page()
    page.put("first", (50.0, 50.0, 0.0))
    page.put("second", (52.0, 50.0, 0.0))
    page.labels.settle()
    assert page.drawn == [("first", (50.0, 50.0))]
    assert page.labels.lost == 1


def test_what_is_lifted_takes_no_room() -> None:
    placer = Placer(0.0, 0.0, 100.0, 100.0)
    box = Box(30.0, 30.0, math.cos(0.4), math.sin(0.4), 20.0, 2.0)
    placer.add(box, 7.0)
    first = placer.count
    placer.add_line([(25.0, 30.0), (36.0, 30.0)], 5.0)
    assert placer.cost(box_of_segment((29.0, 20.0), (31.0, 40.0))) >= 12.0
    placer.lift([first])
    assert placer.cost(box_of_segment((29.0, 20.0), (31.0, 40.0))) == 5.0
    placer.lift(range(first + 1, placer.count + 1))
    assert placer.cost(box_of_segment((29.0, 20.0), (31.0, 40.0))) == 0.0


def test_a_word_half_on_a_building_costs_half() -> None:
    placer = Placer(0.0, 0.0, 100.0, 100.0)
    placer.add_ground([(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)], 90.0)
    assert placer.cost(Box(20.0, 20.0, 1.0, 0.0, 5.0, 2.0)) == pytest.approx(90.0)
    assert placer.cost(Box(70.0, 20.0, 1.0, 0.0, 5.0, 2.0)) == 0.0
    assert 30.0 <= placer.cost(Box(50.01, 20.0, 1.0, 0.0, 5.0, 2.0)) <= 60.0
    assert placer.cost(Box(20.0, 20.0, 1.0, 0.0, 5.0, 0.1), leader=True) == 0.0
