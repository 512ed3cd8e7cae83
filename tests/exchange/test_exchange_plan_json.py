"""``plan.json``: there and back, against its schema, and what is refused."""

from __future__ import annotations

import copy
import json
import math
from dataclasses import replace
from decimal import Decimal
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sample_plan import sample_plan

from palewright.errors import ProblemError, Where
from palewright.exchange import SCHEMA_ID, dumps, from_json, loads, schema, to_json
from palewright.model import PLAN_VERSION, Plan, Remark


def plan() -> Plan:
    base = sample_plan()
    items = (replace(base.takeoff.items[0], price=Decimal("4.10"), cost=Decimal("118.90")), *base.takeoff.items[1:])
    remark = Remark(
        "tape-differs", "caution", "A to B", (("reads_m", 1.5), ("points", 2), ("start", "A")), Where("job.yaml", 3, 7)
    )
    site = replace(base.site, remarks=(*base.site.remarks, remark))
    return replace(base, takeoff=replace(base.takeoff, items=items, total=Decimal("1E+3")), site=site)


def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(schema())


def test_there_and_back() -> None:
    one = plan()
    assert from_json(to_json(one)) == one
    assert loads(dumps(one)) == one


def test_only_plain_values() -> None:
    def walk(value: Any) -> None:
        assert type(value) in (dict, list, str, int, float, bool, type(None))
        if type(value) is dict:
            assert all(type(key) is str for key in value)
        for part in value.values() if type(value) is dict else value if type(value) is list else ():
            walk(part)

    walk(to_json(plan()))


def test_a_plan_fits_its_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())
    assert list(validator().iter_errors(json.loads(dumps(plan())))) == []


def test_the_schema_is_named_versioned_and_explained() -> None:
    made = schema()
    assert made["$id"] == SCHEMA_ID == f"urn:palewright:plan:{PLAN_VERSION}"
    assert made["$defs"]["Plan"]["properties"]["version"] == {"const": PLAN_VERSION}
    assert all(entry["description"] for entry in made["$defs"].values())
    assert "post face to post face" in made["$defs"]["Gate"]["properties"]["opening_m"]["description"]
    assert made["$defs"]["Post"]["properties"]["xy"]["prefixItems"] == [{"type": "number"}, {"type": "number"}]


def test_money_keeps_its_cents() -> None:
    value = to_json(plan())
    assert value["takeoff"]["items"][0]["price"] == "4.10"
    assert loads(dumps(plan())).takeoff.items[0].price == Decimal("4.10")


def test_numbers_are_not_rounded() -> None:
    base = plan()
    post = replace(base.design.posts[0], xy=(1.0 / 3.0, -math.pi * 1e5))
    one = replace(base, design=replace(base.design, posts=(post, *base.design.posts[1:])))
    assert loads(dumps(one)).design.posts[0].xy == post.xy


def test_no_folder_of_the_machine_is_written() -> None:
    base = plan()
    for file in ("/home/crew/jobs/job.yaml", "C:\\jobs\\job.yaml"):
        remark = Remark("no-north", "note", at=Where(file, 1, 2))
        one = replace(base, site=replace(base.site, remarks=(remark,)))
        assert to_json(one)["site"]["remarks"][0]["at"]["file"] == "job.yaml"


def test_infinity_is_never_written() -> None:
    base = plan()
    with pytest.raises(ValueError, match="JSON compliant"):
        dumps(replace(base, takeoff=replace(base.takeoff, mass_kg=math.inf)))


SPOILED: list[tuple[list[str | int], Any, str]] = [
    (["site", "north"], 1, "site.north"),
    (["site", "north"], None, "site.north"),
    (["design", "posts", 0, "xy"], [1.0], "design.posts[0].xy"),
    (["design", "posts", 0, "xy"], [1.0, "2"], "design.posts[0].xy[1]"),
    (["design", "posts", 0, "xy"], [1.0, True], "design.posts[0].xy[1]"),
    (["design", "posts", 0, "number"], 1.5, "design.posts[0].number"),
    (["design", "posts"], {}, "design.posts"),
    (["design"], [], "design"),
    (["site", "ring"], "square", "site.ring"),
    (["settings", "frost_m"], "deep", "settings.frost_m"),
    (["takeoff", "items", 0, "price"], 4.1, "takeoff.items[0].price"),
    (["takeoff", "items", 0, "price"], "four", "takeoff.items[0].price"),
    (["takeoff", "items", 0, "price"], "NaN", "takeoff.items[0].price"),
    (["asks", 0], 5, "asks[0]"),
    (["kinds"], None, "kinds"),
]


@pytest.mark.parametrize(("keys", "value", "path"), SPOILED)
def test_a_spoiled_value_is_named_by_its_path(keys: list[str | int], value: Any, path: str) -> None:
    spoiled = copy.deepcopy(to_json(plan()))
    target: Any = spoiled
    for key in keys[:-1]:
        target = target[key]
    target[keys[-1]] = value
    with pytest.raises(ProblemError) as caught:
        from_json(spoiled)
    (problem,) = caught.value.problems
    assert (problem.slug, problem.where.path) == ("plan-shape", path)
    assert list(validator().iter_errors(spoiled)) != []


def test_unknown_and_missing_keys() -> None:
    more = to_json(plan())
    more["site"]["moon"] = 1
    with pytest.raises(ProblemError) as caught:
        from_json(more)
    assert caught.value.problems[0].where.path == "site.moon"
    less = to_json(plan())
    del less["design"]["legs"]
    with pytest.raises(ProblemError, match="legs is needed"):
        from_json(less)
    for spoiled in (more, less):
        assert list(validator().iter_errors(spoiled)) != []


def test_a_key_with_a_default_may_be_missing() -> None:
    value = to_json(plan())
    del value["design"]["posts"][0]["why"]
    assert from_json(value).design.posts[0].why == ""
    value["design"]["posts"][0]["above_m"] = 2
    value["design"]["posts"][0]["number"] = 1.0
    assert type(from_json(value).design.posts[0].above_m) is float
    assert type(from_json(value).design.posts[0].number) is int
    assert list(validator().iter_errors(value)) == []


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan, 10**400])
def test_what_is_no_finite_number(value: float) -> None:
    spoiled = to_json(plan())
    spoiled["takeoff"]["mass_kg"] = value
    with pytest.raises(ProblemError) as caught:
        from_json(spoiled)
    assert caught.value.problems[0].where.path == "takeoff.mass_kg"


@pytest.mark.parametrize("value", [{}, {"version": 0}, {"version": "1"}])
def test_another_version(value: dict[str, Any]) -> None:
    with pytest.raises(ProblemError) as caught:
        from_json(value)
    assert caught.value.problems[0].slug == "plan-version"


@pytest.mark.parametrize("text", ["", "{", "[" * 200_000, '{"version": NaN}', "not json", '{"a": Infinity}'])
def test_what_is_not_json(text: str) -> None:
    with pytest.raises(ProblemError) as caught:
        loads(text)
    assert caught.value.problems[0].slug == "plan-not-json"


def test_place_of_a_json_error() -> None:
    with pytest.raises(ProblemError) as caught:
        loads('{"version": 1,\n "site": }')
    assert (caught.value.problems[0].where.line, caught.value.problems[0].where.column) == (2, 10)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.floats() | st.text(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["version", "site", "x"]), inner, max_size=3)
    ),
    max_leaves=6,
)


@given(
    st.sampled_from(["version", "settings", "site", "kinds", "design", "stakeout", "locate", "takeoff", "asks"]), VALUES
)
@settings(max_examples=40, deadline=None)
def test_any_spoiled_part_is_a_problem_and_never_a_crash(key: str, value: Any) -> None:
    spoiled = {**to_json(PLAN), key: value}
    made: Plan | None = None
    slugs: set[str] = set()
    try:
        made = from_json(spoiled)
    except ProblemError as error:
        slugs = {problem.slug for problem in error.problems}
    fits = list(VALIDATOR.iter_errors(spoiled)) == []
    # what our own reader takes and what the published schema allows is one and the same
    assert (made is not None) == fits
    assert slugs <= {"plan-shape", "plan-version"}


PLAN = plan()
VALIDATOR = validator()
