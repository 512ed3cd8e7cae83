"""The laws of entries: order does not matter, nothing is doubled, what was not seen is a conflict."""

import json
import random
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.asbuilt.yards import said

from palewright.asbuilt import fold
from palewright.model import Yard, YardEntry

CLOCK = "2026-05-04T08:12:00-05:00"


def entry(device: str, seq: int, saw: int, value: object, number: int = 0, about: str = "post 2") -> YardEntry:
    said = {"done": value} if isinstance(value, bool) else {"depth_m": value}
    what = "done" if isinstance(value, bool) else "measured"
    return YardEntry(f"{device}-{seq}", device, "A", seq, saw, CLOCK, about, what, said, number)


def depths(yard: Yard) -> tuple[object, set[object], bool]:
    state = next(state for state in yard.states if state.field == "measured.depth_m")
    return state.value, {one.value for one in state.said}, state.conflict


class Day:
    """Devices that make entries with and without signal, and a store that numbers what arrives: the rules of the spec."""

    def __init__(self, devices: int) -> None:
        self.arrived: list[YardEntry] = []
        self.made: list[YardEntry] = []
        self.waiting: list[list[YardEntry]] = [[] for _ in range(devices)]
        self.seq = [0] * devices
        self.saw = [0] * devices

    def make(self, device: int, about: str, value: object) -> None:
        self.seq[device] += 1
        made = entry(f"d{device}", self.seq[device], self.saw[device], value, about=about)
        self.waiting[device].append(made)
        self.made.append(made)

    def send(self, device: int) -> None:
        for made in self.waiting[device]:
            self.arrived.append(replace(made, number=len(self.arrived) + 1))
        self.waiting[device].clear()

    def sync(self, device: int) -> None:
        self.send(device)
        self.saw[device] = len(self.arrived)


STEP = st.tuples(st.sampled_from(["make", "make", "send", "sync"]), st.integers(0, 2), st.sampled_from(["post 2", "post 3"]),
                 st.sampled_from([0.5, 0.75, True, False, None]))  # fmt: skip


def played(steps: list[tuple[str, int, str, object]]) -> Day:
    day = Day(3)
    for what, device, about, value in steps:
        if what == "make":
            day.make(device, about, value)
        else:
            getattr(day, what)(device)
    return day


@given(st.lists(STEP, max_size=40), st.randoms(use_true_random=False))
def test_the_order_in_which_entries_are_read_does_not_matter(steps: list, shuffle: random.Random) -> None:
    day = played(steps)
    for device in range(3):
        day.send(device)
    mixed = list(day.arrived)
    shuffle.shuffle(mixed)
    assert fold(mixed) == fold(day.arrived)


@given(st.lists(STEP, max_size=40))
def test_sending_twice_changes_nothing(steps: list) -> None:
    day = played(steps)
    again = [replace(one, number=one.number + 1000) for one in day.arrived[::2]]
    assert fold([*day.arrived, *day.arrived, *again]) == fold(day.arrived)


@given(st.lists(STEP, max_size=40), st.permutations([0, 1, 2]))
@settings(max_examples=200)
def test_the_order_of_arrival_of_independent_entries_does_not_matter(steps: list, order: list[int]) -> None:
    """Three devices without signal all day, who then send in whatever order: every state is the same."""
    first, second = played([s for s in steps if s[0] == "make"]), played([s for s in steps if s[0] == "make"])
    for device in (0, 1, 2):
        first.send(device)
    for device in order:
        second.send(device)

    def bare(yard: Yard) -> list[tuple[object, ...]]:
        return [
            (s.about, s.field, s.value, s.conflict, {(one.entry, one.value) for one in s.said}) for s in yard.states
        ]

    assert bare(fold(first.arrived)) == bare(fold(second.arrived))


@given(st.lists(STEP, max_size=40))
@settings(max_examples=200)
def test_a_state_is_what_the_definition_says(steps: list) -> None:
    """Against the definition word by word, in quadratic time: no other entry of the field overrides what counts."""
    day = played(steps)
    for device in range(3):
        day.send(device)
    yard = fold(day.arrived)

    def overrides(one: YardEntry, other: YardEntry) -> bool:
        if one.device == other.device:
            return one.seq > other.seq
        return 0 < other.number <= one.saw

    for state in yard.states:
        what = state.field.partition(".")[0]
        mine = [e for e in day.arrived if e.about == state.about and e.what == what]
        heads = [e for e in mine if not any(overrides(o, e) for o in mine)]
        values = {e.value["done" if what == "done" else "depth_m"] for e in heads}
        assert heads
        assert {one.entry for one in state.said} == {e.id for e in heads}
        assert state.conflict == (len(values) > 1)
        assert state.value == (None if state.conflict else values.pop())


def test_two_devices_without_signal_that_differ_are_a_conflict_until_one_has_seen_both() -> None:
    two = [entry("a", 1, 0, 0.9, 1), entry("b", 1, 0, 0.8, 2)]
    assert depths(fold(two)) == (None, {0.9, 0.8}, True)
    saw_one = entry("c", 1, 1, 0.9, 3)
    assert depths(fold([*two, saw_one])) == (None, {0.9, 0.8}, True)
    saw_both = entry("a", 2, 2, 0.85, 3)
    assert depths(fold([*two, saw_both])) == (0.85, {0.85}, False)


def test_a_device_overrides_itself_and_ticks_that_agree_are_no_conflict() -> None:
    assert depths(fold([entry("a", 1, 0, 0.9, 1), entry("a", 2, 0, 0.8, 2)])) == (0.8, {0.8}, False)
    ticks = fold([entry("a", 1, 0, True, 1), entry("b", 1, 0, True, 2)])
    assert [(s.value, s.conflict, len(s.said)) for s in ticks.states] == [(True, False, 2)]


def test_what_was_measured_can_be_taken_back() -> None:
    assert depths(fold([entry("a", 1, 0, 0.9, 1), entry("a", 2, 0, None, 2)])) == (None, {None}, False)


def test_clocks_decide_nothing() -> None:
    early = replace(entry("a", 1, 0, 0.9, 1), made="2099-01-01T00:00:00")
    late = replace(entry("a", 2, 0, 0.8, 2), made="1970-01-01T00:00:00")
    assert depths(fold([early, late]))[0] == 0.8


def test_an_entry_cannot_have_seen_itself_or_what_came_later() -> None:
    """Two liars that claim to have seen each other are a conflict, and neither of them is lost."""
    liars = [entry("a", 1, 9, 0.9, 1), entry("b", 1, 9, 0.8, 2), entry("c", 1, 9, 0.7, 3)]
    value, said, conflict = depths(fold(liars))
    assert (value, said, conflict) == (0.7, {0.7}, False)
    ring = [entry("a", 1, 4, 0.9, 5), entry("a", 2, 0, 0.8, 3), entry("b", 1, 3, 0.7, 4)]
    assert depths(fold(ring))[1] == {0.7}


def test_notes_and_photos_are_all_kept_and_gaps_are_told() -> None:
    notes = [YardEntry(f"n{k}", "a", "A", k, 0, CLOCK, "post 2", "note", {"text": f"note {k}"}, k) for k in (1, 2, 5)]
    yard = fold(notes)
    assert [note.text for note in yard.notes] == ["note 1", "note 2", "note 5"]
    assert [(gap.device, gap.first, gap.last) for gap in yard.missing] == [("a", 3, 4)]


CASES = json.loads((Path(__file__).parents[1] / "snapshots" / "yard" / "fold.json").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_cases_worked_out_by_hand(case: dict) -> None:
    """Rows of device, seq, saw, number, value, with their state by the rule as written; the phone is held to the same."""
    state = fold(
        [entry(device, seq, saw, value, number) for device, seq, saw, number, value in case["entries"]]
    ).states[0]
    assert (state.value, state.conflict) == (case["value"], case["conflict"])
    assert {one.value for one in state.said} == set(case["values"])


def test_what_was_entered_of_another_place_does_not_count() -> None:
    """Post 3 stands 8 ft further on than when it was entered, as where a post is put in before it; post 4 moved by 2 in."""
    rows = [
        ("post 3", "done", {"done": True, "place": "0,0"}),
        ("post 3", "note", {"text": "rock", "place": "0,0"}),
        ("post 4", "done", {"done": True, "place": "4877,0"}),
        ("post 4", "measured", {"back_m": 0.0254, "depth_m": 0.9, "place": "4877,0"}),
        ("check 1", "checked", {"reads_m": 15.24, "place": "15240"}),
        ("post 5", "done", {"done": True}),
        ("post 6", "done", {"done": True, "place": "no place"}),
    ]
    places = {
        "post 3": (2.4384, 0.0),
        "post 4": (4.9278, 0.0),
        "check 1": (12.0,),
        "post 5": (9.0, 9.0),
        "post 6": (1.0, 1.0),
    }
    yard = fold(said(*rows), places)
    assert [(state.about, state.field) for state in yard.states] == [
        ("post 4", "done"), ("post 4", "measured.depth_m"), ("post 5", "done"), ("post 6", "done"),
    ]  # fmt: skip
    assert set(yard.elsewhere) == {"post 3", "post 4", "check 1"}
    assert [note.elsewhere for note in yard.notes] == [True]
    assert not fold(said(*rows)).elsewhere
