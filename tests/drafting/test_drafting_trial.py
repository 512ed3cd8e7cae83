"""While something is dragged: the same as saving the edit and laying the file out anew."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from tests.drafting.jobs import rows, saw

from palewright import drafting, exchange, plan
from palewright.drafting.edits import ChangeGate, Delete, Edit, Follows, Length, Move, MoveGate
from palewright.drafting.seeing import read_job, sight_of_laid
from palewright.errors import ProblemError
from palewright.layout import lay_out
from palewright.layout.dividing import divide_leg
from palewright.plan.engine import lay_job

T = TypeVar("T")
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DRAWN = """palewright: 1
job: {title: Drawn lot, north: none}
boundary: {through: [[0 ft, 0 ft], [-3 ft, 104 ft], [61 ft, 97 ft], [66 ft, 4 ft]]}
fences: {boards: {kind: boards, good side: yard}}
runs: [{name: back, fence: boards, sides: [1, 2], yard: right, follows: ask, inside boundary: {face: 8 in}}]
"""
TEXTS = {
    "drawn lot": DRAWN,
    "rows": rows(7),
    "rows far apart": rows(6, 60.0),
    **{
        name: (EXAMPLES / f"{name}.yaml").read_text("utf-8")
        for name in ("tansy-court", "house-and-tape", "sloping-yard")
    },
}
GATED = """palewright: 1
job: {title: Gated}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [40 ft, 0 ft]}}
fences: {boards: {kind: boards, good side: yard}}
runs:
  - name: front
    fence: boards
    through: [A, B]
    yard: left
    gates: [{name: side, opening: 4 ft, starts: 6 ft from A, hinges: ask, swings: out}]
"""
TRIALS = {name: drafting.Trial(text, EXAMPLES) for name, text in TEXTS.items()}


def anew(text: str, against: str) -> drafting.Sight:
    job = read_job(text, EXAMPLES)
    return sight_of_laid(lay_job(job), job, against=against, folder=EXAMPLES)


def hand(name: str) -> st.SearchStrategy[Edit]:
    """What a hand may do to one of the jobs."""
    sight = TRIALS[name].sight
    x0, y0, x1, y1 = sight.extent
    spot = st.tuples(st.floats(x0, x1), st.floats(y0, y1))
    points = [item.id for item in sight.items if item.kind in ("point", "corner") and item.drag]
    gates = [item.id for item in sight.items if item.kind == "gate"]
    loose = [item for item in sight.items if item.kind in ("zone", "building") and item.drag]
    legs = [item.id for item in sight.items if item.kind == "dimension"]
    runs = [item.text for item in sight.items if item.kind == "run"]
    choices: list[st.SearchStrategy[Edit]] = [
        st.builds(Move, st.sampled_from(points), spot, snapped=st.booleans()) if points else st.nothing(),
        st.builds(MoveGate, st.sampled_from(gates), spot) if gates else st.nothing(),
        st.builds(ChangeGate, st.sampled_from(gates), st.sampled_from(["3 ft", "42 in"])) if gates else st.nothing(),
        st.builds(Length, st.sampled_from(legs), st.sampled_from(["41' 6 1/2\"", "96 ft", "12.5 m"])),
        st.builds(Follows, st.sampled_from(runs), st.sampled_from(["racked", "stepped", "ask"])),
    ]
    for item in loose:
        corner = st.integers(0, len(item.points) - 1)
        choices.append(st.builds(Move, st.just(item.id), spot, corner, snapped=st.booleans()))
    return st.one_of(choices)


#: A job is laid out several times for each example; a failure is not made smaller, which takes minutes.
FEW_HANDS = settings(
    max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow],
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)  # fmt: skip


@pytest.mark.parametrize("name", TEXTS)
@FEW_HANDS
@given(st.data())
def test_a_trial_is_what_saving_and_planning_gives(name: str, data: st.DataObject) -> None:
    trial = TRIALS[name]
    edits = data.draw(st.lists(hand(name), min_size=1, max_size=2))
    text, refused = tried_to(lambda: trial.text(edits))
    tried, other = tried_to(lambda: trial.move(edits))
    assert refused == other
    if text is not None and tried is not None:
        saved, wrong = tried_to(lambda: anew(text, TEXTS[name]))
        assert saved is None or tried == saved
        assert [n.slug for n in tried.notices if n.level == "problem"] == wrong


def test_a_gate_of_a_run_that_stands_nowhere_cannot_be_moved() -> None:
    """A point by walking that is moved too contradicts itself, and no point has a place then."""
    edits = [Move("point C", (60.0, 60.0)), MoveGate("gate gate 1", (6.416, 0.614))]
    assert tried_to(lambda: TRIALS["house-and-tape"].text(edits)) == (None, ["edit-unusable"])


def test_a_point_that_falls_on_another_is_that_one_in_the_trial_too() -> None:
    edits = [Move("zone oak", (0.375, 66.3)), Move("point A1", (0.0, 0.0), snapped=True)]
    tried = TRIALS["rows"].move(edits)
    assert tried == anew(TRIALS["rows"].text(edits), TEXTS["rows"])
    assert "point A1" not in {item.id for item in tried.items}


def tried_to(do: Callable[[], T]) -> tuple[T | None, list[str]]:
    try:
        return do(), []
    except ProblemError as error:
        return None, [problem.slug for problem in error.problems]


@pytest.mark.parametrize("name", ["rows", "house-and-tape"])
def test_changes_lead_from_the_revision_to_the_trial(name: str) -> None:
    trial = TRIALS[name]
    about = next(item.id for item in trial.sight.items if item.kind == "point" and item.drag)
    x, y = next(item.centre for item in trial.sight.items if item.id == about) or (0.0, 0.0)
    edits = [Move(about, (x + 0.5, y + 0.4))]
    change, after = trial.change(edits), trial.move(edits)
    items = {item.id: item for item in trial.sight.items} | {item.id: item for _, item in change.items}
    for key in change.gone:
        del items[key]
    assert items == {item.id: item for item in after.items}
    assert merged(trial.sight, drafting.to_json(change)) == {
        item["id"]: item for item in drafting.to_json(after)["items"]
    }
    rest = dict(change.rest)
    assert rest["counts"] == after.counts if "counts" in rest else after.counts == trial.sight.counts
    assert after.difference is not None
    assert after.difference.moved


def merged(revision: drafting.Sight, sent: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The items of a page that lays a change over those of the revision."""
    items = {item["id"]: item for item in drafting.to_json(revision)["items"]}
    for item in sent["items"]:
        items[item["id"]] = {k: v for k, v in (items.get(item["id"], {}) | item).items() if v is not None}
    return {key: item for key, item in items.items() if key not in set(sent["gone"])}


def hung(revision: drafting.Sight, sent: dict[str, Any]) -> dict[str, Any]:
    """With what hangs on posts: a hole stands where its post does, a bay from the one of its posts to the other."""
    now = {item["id"]: item for item in drafting.to_json(revision)["items"]}
    told = {item["id"]: item for item in sent["items"]}
    posts = {id: item["centre"] for id, item in told.items() if item.get("centre") and id.startswith("post ")}
    more = []
    for id, item in now.items():
        if item["kind"] == "hole" and item["about"] in posts:
            more.append({"centre": posts[item["about"]], **told.get(id, {"id": id})})
        if item["kind"] == "bay":
            ends = [f"post {label}" for label in id.removeprefix("bay ").split("-")]
            points = [posts.get(end, at) for end, at in zip(ends, item["points"], strict=True)]
            more.append({"points": points, **told.get(id, {"id": id})})
    return sent | {"items": [*sent["items"], *more]}


def unsaid(items: dict[str, dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """Without the sentences about posts, holes and bays."""
    quiet = {"post", "hole", "bay"}
    return {
        id: {k: v for k, v in item.items() if k != "say" or item["kind"] not in quiet} for id, item in items.items()
    }


@pytest.mark.parametrize("name", TEXTS)
@FEW_HANDS
@given(st.data())
def test_places_alone_are_those_of_the_trial_and_spoil_nothing(name: str, data: st.DataObject) -> None:
    trial = TRIALS[name]
    edits = data.draw(st.lists(hand(name), min_size=1, max_size=2))
    change, refused = tried_to(lambda: trial.shifted(edits) or trial.change(edits))
    after, other = tried_to(lambda: trial.move(edits))
    assert refused == other
    if change is None or after is None or not after.items:
        return
    sent = drafting.to_json(change)
    wanted = {item["id"]: item for item in drafting.to_json(after)["items"]}
    assert unsaid(merged(trial.sight, hung(trial.sight, sent))) == unsaid(wanted)
    assert merged(trial.sight, drafting.to_json(trial.change(edits))) == wanted  # what was left unsaid is said then


def test_a_step_of_a_drag_tells_places_and_nothing_else() -> None:
    change = TRIALS["rows"].shifted([Move("point B3", (30.2, 28.0))])
    assert change is not None
    sent = drafting.to_json(change)
    assert sent.keys() == {"items", "gone"}
    kinds = {item["id"].partition(" ")[0] for item in sent["items"]}
    assert kinds == {"point", "run", "post", "hole", "bay", "leg", "gate"}
    parts = [item for item in sent["items"] if item["id"].startswith(("bay ", "hole ")) and "kind" not in item]
    assert {"id", "text"} in [item.keys() for item in parts]  # a bay that is longer: where it is goes with its posts


def test_runs_that_are_far_apart_are_laid_out_as_if_they_were_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """A corner of the fourth of seven rows moves: one row is laid out, and the posts keep their numbers."""
    calls = []

    def counted(job, *rest, **more):  # type: ignore[no-untyped-def]
        calls.append(len(job.runs))
        return lay_out(job, *rest, **more)

    trial = drafting.Trial(rows(7, 60.0))
    monkeypatch.setattr("palewright.drafting.quick.lay_out", counted)
    trial.move([Move("point B3", (30.2, 55.8))])
    assert calls == [1]


@settings(max_examples=25, deadline=None)
@given(
    st.booleans(),
    st.lists(st.tuples(st.integers(0, 11), st.floats(-2.0, 2.0), st.floats(-2.0, 2.0)), min_size=2, max_size=5),
)
def test_legs_that_stay_are_those_of_laying_out_anew(alone: bool, steps: list[tuple[int, float, float]]) -> None:
    """One corner after another moves; the legs between the others are taken as they came out before."""
    text = saw(alone)
    trial = drafting.Trial(text)
    for k, dx, dy in steps:
        edits = [Move(f"point P{k}", (7.62 * k + dx, 6.096 * (k % 2) + dy))]
        saved, _ = tried_to(lambda edits=edits: anew(trial.text(edits), text))  # type: ignore[misc]
        tried = trial.move(edits)
        assert saved is None or tried == saved


@pytest.mark.parametrize("alone", [True, False])
def test_only_legs_at_the_corner_that_moves_are_divided_again(alone: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    trial = drafting.Trial(saw(alone))
    trial.move([Move("point P5", (38.0, 6.0))])
    divided = []

    def counted(frame, leg, *rest):  # type: ignore[no-untyped-def]
        divided.append(leg.index)
        return divide_leg(frame, leg, *rest)

    monkeypatch.setattr("palewright.layout.laying.divide_leg", counted)
    trial.move([Move("point P5", (38.2, 6.3))])
    assert divided == [4, 5, 6]  # the post at the end of the fifth turns with it


def test_the_file_of_an_edit_gives_the_plan_of_the_page() -> None:
    text = TEXTS["tansy-court"]
    edits = [MoveGate("gate side gate", starts="7 ft"), Delete("zone yard hydrant line")]
    saved = drafting.apply(text, edits, EXAMPLES).text
    one = exchange.dumps(plan.make_plan(read_job(saved, EXAMPLES), search_cuts=False))
    trial = drafting.Trial(text, EXAMPLES)
    two = exchange.dumps(plan.make_plan(read_job(trial.text(edits), EXAMPLES), search_cuts=False))
    assert one == two
    assert trial.move(edits).counts.posts == drafting.sight(saved, EXAMPLES).counts.posts


def test_while_a_drag_leaves_nothing_with_a_place_the_drawing_stays() -> None:
    change = TRIALS["house-and-tape"].change([Move("point C", (60.0, 60.0))])
    assert (change.items, change.gone) == ((), ())
    assert "network-does-not-settle" in [notice.slug for notice in dict(change.rest)["notices"]]  # type: ignore[attr-defined]


def test_a_drag_that_cannot_be_laid_out_says_so_and_shows_what_was_drawn() -> None:
    trial = TRIALS["rows"]
    tried = trial.move([Move("point B1", (0.05, 12.2))])
    assert [n.level for n in tried.notices][:1] == ["problem"]
    assert "not laid out" in next(item.marks for item in tried.items if item.id == "run row 1")


def test_a_gate_that_is_dragged_round_a_corner_is_counted_from_there() -> None:
    trial = TRIALS["rows"]
    edits = [MoveGate("gate gate 3", (31.2, 42.0))]
    text = trial.text(edits)
    assert "from B3, hinges: near B3" in text
    assert trial.move(edits) == anew(text, TEXTS["rows"])
    assert not [n for n in trial.move(edits).notices if n.level == "problem"]


def test_a_gate_that_is_dragged_says_how_far_along_it_stands_as_it_will_be_saved() -> None:
    trial = drafting.Trial(GATED)
    at = (21.7 * 0.3048, 0.2)
    said = trial.snap(drafting.Aim(at, 0.3, "move", about="gate side"), drafting.Hints())
    assert said.text == "starts 19' 8\" from A"
    assert "starts: 19' 8\" from A" in trial.text([MoveGate("gate side", at)])


def test_a_walked_point_that_is_dragged_says_how_far_is_walked_to_it_and_falls_on_nothing_beside_its_way() -> None:
    """The property line passes 2 in beside the place; the point stays on the way that was walked."""
    walked = """palewright: 1
job: {title: Walked, north: none}
boundary: {through: [[0 ft, -50 ft], [90 ft, -50 ft], [90 ft, 20 ft], [0 ft, 20 ft]]}
points: {L: {at: [10 ft, 0 ft]}, R: {at: [50 ft, 0 ft]}}
walks: [{from: R, along: L, go: [12 ft], call: [A]}]
"""
    trial = drafting.Trial(walked)
    at = (63.3 * 0.3048, 19.8 * 0.3048)
    said = trial.snap(drafting.Aim(at, 0.3, "move", about="point A"), drafting.hints_for(walked, Path()))
    assert (said.to, said.length) == ("", "13' 3 5/8\"")
    assert "go: [13' 3 5/8\"]" in trial.text([Move("point A", said.at, snapped=True)])


def test_what_nobody_said_of_a_gate_is_not_said_of_it() -> None:
    told = next(item.say for item in drafting.sight(GATED).items if item.kind == "gate")
    assert told == "Gate side: 4' 0\" clear, swings out of the yard, hinges drawn on post 2 (nobody has said so)."
