"""Bad input: every fault is named with its place, and nothing ends in a traceback."""

import json
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.asbuilt.yards import TODAY, day, plan_of

from palewright.asbuilt import as_built, entry_of, fold, known_abouts
from palewright.errors import ProblemError
from palewright.exchange import as_built_json, entries_json, read_entries

GOOD = {
    "id": "a1", "number": 1, "device": "phone 1", "who": "lead", "seq": 1, "saw": 0,
    "made": "2026-05-04T08:12:00-05:00", "about": "post 2", "what": "measured", "value": {"depth_m": 1.1},
}  # fmt: skip


def text(*entries: object) -> str:
    return json.dumps({"yard": 1, "entries": list(entries)})


def slugs(*entries: object) -> list[str]:
    with pytest.raises(ProblemError) as caught:
        read_entries(text(*entries), "yard.json", today=TODAY)
    for problem in caught.value.problems:
        assert problem.what
        assert problem.found
        assert problem.where.file == "yard.json"
    return [problem.slug for problem in caught.value.problems]


def cautions(*entries: object) -> list[str]:
    return [p.slug for p in read_entries(text(*entries), "y", today=TODAY, known=known_abouts(plan_of()))[1]]


@pytest.mark.parametrize(
    ("change", "slug"),
    [
        ({"value": {"depth_in": 43}}, "yard-entry-key"),
        ({"value": {"depth_m": 1100}}, "yard-entry-value"),
        ({"value": {"depth_m": "43 in"}}, "yard-entry-value"),
        ({"value": {"depth_m": True}}, "yard-entry-value"),
        ({"value": {}}, "yard-entry-shape"),
        ({"value": [1]}, "yard-entry-shape"),
        ({"what": "dug"}, "yard-entry-what"),
        ({"what": ["done"]}, "yard-entry-what"),
        ({"seq": -1}, "yard-entry-value"),
        ({"seq": 1.5}, "yard-entry-value"),
        ({"saw": True}, "yard-entry-value"),
        ({"made": "yesterday"}, "yard-entry-value"),
        ({"made": 17}, "yard-entry-value"),
        ({"id": ""}, "yard-entry-value"),
        ({"about": "x" * 999}, "yard-entry-value"),
        ({"what": "photo", "value": {"photo": "../../etc/passwd"}}, "yard-entry-value"),
        ({"what": "moved", "value": {"along_m": 0.1, "why": "because"}}, "yard-entry-value"),
        ({"what": "note", "value": {"text": ""}}, "yard-entry-shape"),
    ],
)
def test_a_fault_of_one_entry(change: dict[str, object], slug: str) -> None:
    assert slugs(GOOD | change) == [slug]


def test_what_is_missing() -> None:
    assert slugs({}) == ["yard-entry-shape"] * 7 + ["yard-entry-what"]
    assert slugs(3, None, "x", []) == ["yard-entry-shape"] * 4


def test_numbers_that_are_none() -> None:
    for word in ("NaN", "Infinity", "-Infinity"):
        with pytest.raises(ProblemError) as caught:
            read_entries(text(GOOD).replace("1.1", word))
        assert caught.value.problems[0].slug == "yard-not-json"
    with pytest.raises(ProblemError) as caught:
        entry_of(GOOD | {"value": {"depth_m": float("nan")}})
    assert caught.value.problems[0].slug == "yard-entry-value"
    with pytest.raises(ProblemError):
        read_entries(text(GOOD).replace("1.1", "1e999"))


def test_every_place_where_a_file_is_cut_off() -> None:
    whole = entries_json(day()[:3])
    for end in range(0, len(whole) - 2, 7):
        with pytest.raises(ProblemError) as caught:
            read_entries(whole[:end], "yard.json")
        assert caught.value.problems[0].slug == "yard-not-json"
        assert caught.value.problems[0].hint


@pytest.mark.parametrize("body", ["3", "null", '"x"', "{}", '{"yard": 2, "entries": []}', '{"yard": 1}', "[" * 100_000])
def test_what_is_no_list_of_entries(body: str) -> None:
    with pytest.raises(ProblemError) as caught:
        read_entries(body, "yard.json")
    assert caught.value.problems[0].slug in ("yard-shape", "yard-version", "yard-not-json")


def test_one_id_for_two_entries_and_one_count_for_two() -> None:
    other = GOOD | {"value": {"depth_m": 1.2}}
    assert slugs(GOOD, other) == ["yard-id-twice"]
    assert slugs(GOOD, other | {"id": "a2"}) == ["yard-seq-twice"]
    assert cautions(GOOD, GOOD) == []


def test_cautions_keep_nobodys_day_out() -> None:
    assert cautions(GOOD | {"seq": 4}) == ["yard-seq-gap"]
    assert cautions(GOOD | {"made": "1970-01-01T00:00:00Z"}) == ["yard-clock"]
    assert cautions(GOOD | {"made": "2099-05-04T08:12:00Z"}) == ["yard-clock"]
    assert cautions(GOOD | {"saw": 1}) == ["yard-saw-later"]
    assert cautions(GOOD | {"about": "post 99"}) == ["yard-about-unknown"]
    assert cautions(GOOD) == []


def test_a_hundred_thousand_entries() -> None:
    """On one field of one post, by a hundred devices: the worst case of folding is still quick."""
    many = [
        GOOD
        | {
            "id": f"i{k}",
            "device": f"d{k % 100}",
            "seq": k // 100 + 1,
            "number": k + 1,
            "saw": k // 2,
            "value": {"depth_m": k % 7},
        }
        for k in range(100_000)
    ]
    began = time.process_time()
    entries, _ = read_entries(text(*many), today=TODAY)
    yard = fold(entries)
    assert len(yard.states) == 1
    assert yard.states[0].conflict
    assert time.process_time() - began < 60.0


def test_very_many_faults_are_counted() -> None:
    found = slugs(*[GOOD | {"seq": -1} for _ in range(500)])
    assert (len(found), found[-1]) == (51, "yard-more-problems")


def test_back_and_forth() -> None:
    assert read_entries(entries_json(day()), today=TODAY)[0] == day()
    made = as_built_json(as_built(plan_of(), fold(day())))
    assert json.loads(json.dumps(made, allow_nan=False))["posts"][0]["post"] == "1"


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*GOOD, "depth_m", "x"]), inner, max_size=4)
    ),
    max_leaves=12,
)


@given(JSON)
@settings(max_examples=300)
def test_anything_at_all_is_an_entry_or_a_problem(value: object) -> None:
    try:
        entry_of(value)
    except ProblemError as error:
        told = [problem.render() for problem in error.problems]
    else:
        told = ["read"]
    assert all(told)


@given(st.sampled_from([*GOOD]), JSON)
@settings(max_examples=300)
def test_an_entry_with_one_thing_changed_is_read_or_refused(key: str, value: object) -> None:
    try:
        entry = entry_of(GOOD | {key: value})
    except ProblemError:
        return
    yard = fold([entry])
    assert {one.about for one in (*yard.states, *yard.notes, *yard.photos)} <= {entry.about}
    assert all(one.value is None or one.value in entry.value.values() for state in yard.states for one in state.said)
    assert [post.post for post in as_built(plan_of(), yard).posts] == [
        post.label for post in plan_of().design.posts if post.number
    ]


@given(st.binary(max_size=60), st.integers(0, 3000))
@settings(max_examples=200)
def test_a_damaged_file_is_read_or_refused(noise: bytes, at: int) -> None:
    whole = entries_json(day()[:8]).encode()
    damaged = (whole[:at] + noise + whole[at + len(noise) :]).decode("utf-8", "replace")
    try:
        entries, _ = read_entries(damaged, "yard.json", today=TODAY)
    except ProblemError:
        return
    assert as_built(plan_of(), fold(entries)).posts
