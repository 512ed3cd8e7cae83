"""Entries from the yard, on both databases."""

from __future__ import annotations

import json
import threading
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.store.conftest import entry, made, slugs

from palewright.errors import ProblemError
from palewright.model.yard import YardEntry
from palewright.store import Store
from palewright.store.yard import _wrong


def test_entries_are_numbered_in_order_of_arrival_and_come_back_as_sent(store: Store) -> None:
    job = made(store)
    sent = [
        entry("phone-1", 1, "post 12", what="measured", value={"depth_m": 0.9144, "back_m": -0.0031750000000000003}),
        entry(
            "phone-1",
            2,
            "gate side gate",
            what="note",
            value={"text": "roca 🪨 <script>", "list": [1, None, True, "x"]},
        ),
    ]
    arrival = store.yard.append(job, sent)
    assert (arrival.numbers, arrival.last) == ((1, 2), 2)
    back = store.yard.entries(job)
    assert [replace(one, number=0, arrived="") for one in back] == sent
    assert [one.number for one in back] == [1, 2]
    assert all(one.arrived for one in back)
    assert store.yard.entries(job, after=1) == back[1:]
    assert store.yard.entries(job, after=2) == store.yard.entries(job, after=10**30) == ()
    assert store.jobs.entry(job).entries == 2


def test_sending_again_doubles_nothing(store: Store) -> None:
    job = made(store)
    first, second, third = (entry(seq=number) for number in (1, 2, 3))
    store.yard.append(job, [first, second])
    again = store.yard.append(job, [second, first, third, third])
    assert (again.numbers, again.last) == ((2, 1, 3, 3), 3)
    assert [one.id for one in store.yard.entries(job)] == [first.id, second.id, third.id]
    assert store.yard.append(job, []).last == 3


def test_each_job_counts_for_itself(store: Store) -> None:
    job, other = made(store), made(store, "Other")
    store.yard.append(job, [entry(seq=1), entry(seq=2)])
    assert store.yard.append(other, [entry(seq=3)]).numbers == (1,)


def test_another_entry_with_the_same_id_is_refused_and_nothing_of_the_lot_is_taken(store: Store) -> None:
    job, other = made(store), made(store, "Other")
    first = entry()
    store.yard.append(job, [first])
    for wrong, place in (
        (replace(first, value={"done": False}), job),
        (replace(first, device="phone-2"), job),
        (first, other),
    ):
        with pytest.raises(ProblemError) as caught:
            store.yard.append(place, [entry(seq=2), wrong])
        assert slugs(caught.value) == ["entry-id-used"]
        assert caught.value.problems[0].where.thing == first.id
    assert len(store.yard.entries(job)) == 1
    assert store.yard.entries(other) == ()


def test_what_an_entry_says_it_saw_is_kept_as_far_as_it_can_be_true(store: Store) -> None:
    job = made(store)
    store.yard.append(job, [entry(seq=1), entry(seq=2)])
    store.yard.append(job, [entry("phone-2", 1, saw=80), entry("phone-2", 2, saw=1)])
    assert [one.saw for one in store.yard.entries(job)] == [0, 0, 2, 1]


@pytest.mark.parametrize(
    "wrong",
    [
        {"id": "post-1"}, {"id": "../../etc/passwd"}, {"device": ""}, {"about": "x" * 201}, {"about": "nul\x00"},
        {"who": "half \ud800"}, {"who": "two\nlines"}, {"seq": -1}, {"saw": -1}, {"seq": 2**53},
        {"value": {"depth_m": float("nan")}}, {"value": {"depth_m": float("inf")}}, {"value": {"text": "x" * 20_000}},
        {"value": {"text": "nul\x00"}}, {"value": {"n": 10**400}}, {"value": {"x": object()}}, {"value": {1: 2}},
        {"value": {"a": {"b": {"c": {"d": {"e": {"f": {"g": 1}}}}}}}},
    ],
    ids=lambda wrong: next(iter(wrong)),
)  # fmt: skip
def test_an_entry_that_cannot_be_kept(store: Store, wrong: dict[str, object]) -> None:
    job = made(store)
    with pytest.raises(ProblemError) as caught:
        store.yard.append(job, [entry(seq=5), entry(**wrong)])
    assert slugs(caught.value) == ["entry-unusable"]
    assert store.yard.entries(job) == ()


def test_an_entry_of_a_kind_that_is_not_known_is_kept(store: Store) -> None:
    job = made(store)
    store.yard.append(job, [entry(what="tension", value={"pull_n": 400.0})])
    assert store.yard.entries(job)[0].what == "tension"


def test_too_many_at_once(store: Store) -> None:
    with pytest.raises(ProblemError) as caught:
        store.yard.append(made(store), [entry(seq=number) for number in range(2001)])
    assert slugs(caught.value) == ["entries-too-many"]


def test_two_devices_at_once_leave_no_gap_and_lose_nothing(store: Store) -> None:
    job = made(store)
    told: dict[str, list[int]] = {"phone-1": [], "phone-2": []}
    faults: list[BaseException] = []

    def send(device: str) -> None:
        try:
            for lot in range(10):
                sent = [entry(device, lot * 3 + part) for part in range(3)]
                told[device] += store.yard.append(job, sent).numbers
                store.yard.append(job, sent)  # the answer was lost
        except BaseException as error:
            faults.append(error)

    threads = [threading.Thread(target=send, args=(device,)) for device in told]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not faults
    assert sorted(told["phone-1"] + told["phone-2"]) == list(range(1, 61))
    kept = store.yard.entries(job)
    assert [one.number for one in kept] == list(range(1, 61))
    for device, numbers in told.items():
        assert [one.number for one in kept if one.device == device] == numbers
        assert [one.seq for one in kept if one.device == device] == list(range(30))


VALUES = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**52), 2**52)
    | st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\x00"), max_size=20),
    lambda part: st.lists(part, max_size=3) | st.dictionaries(st.sampled_from("abc"), part, max_size=3), max_leaves=8,
)  # fmt: skip


@given(st.dictionaries(st.sampled_from(["depth_m", "text", "why"]), VALUES, max_size=3))
def test_a_value_that_is_taken_comes_back_the_same_from_json(value: dict[str, object]) -> None:
    one = YardEntry("00000000-0000-0000-0000-000000000000", "d", "w", 1, 0, "", "post 1", "note", value)
    assume(_wrong(one) is None)
    assert json.loads(json.dumps(value)) == value
