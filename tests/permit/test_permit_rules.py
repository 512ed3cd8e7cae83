"""Files of rules that are wrong: always a problem with file, line and rule, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.permit.lots import HEAD, IN, LEFT, LOT, rule

from palewright import jobfile
from palewright.errors import JobError, Problem
from palewright.permit import KINDS, keys_of, read_rules
from palewright.plan import load

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = (ROOT / "examples" / "corner-lot-rules.toml").read_text("utf-8")


def problems(text: str) -> tuple[Problem, ...]:
    with pytest.raises(JobError) as caught:
        read_rules(text, "rules.toml")
    return caught.value.problems


def only(text: str) -> Problem:
    (problem,) = problems(text)
    return problem


def test_the_example_is_read_and_says_that_it_is_invented() -> None:
    book = read_rules(EXAMPLE)
    assert "invented" in book.place
    assert "INVENTED" in EXAMPLE.splitlines()[0]
    assert {rule.kind for rule in book.rules} == set(KINDS) - {"openness"}
    assert book.rules[0].length("posts_over") == pytest.approx(4 * IN)
    pool = next(rule for rule in book.rules if rule.kind == "pool")
    assert (pool.checked, pool.word("self_closing")) == ("2025-06-30", "yes")


def test_a_misspelled_key_is_answered_with_the_nearest_and_its_line() -> None:
    problem = only(HEAD + rule("height", most='"4 ft"', yard='["front"]'))
    assert problem.slug == "rules-unknown-key"
    assert (problem.where.file, problem.where.line, problem.where.column) == ("rules.toml", 10, 1)
    assert problem.where.thing == "rule height"
    assert problem.hint == "did you mean `yards`?"
    assert problem.excerpt == 'yard = ["front"]'


def test_a_key_of_another_kind_is_not_known() -> None:
    assert only(HEAD + rule("height", most='"4 ft"', latch='"54 in"')).slug == "rules-unknown-key"
    assert {p.hint for p in problems(HEAD.replace("place", "plcae"))} >= {"did you mean `place`?"}


def test_the_line_is_that_of_the_rule_meant() -> None:
    text = HEAD + rule("height", most='"4 ft"') + rule("openness", least='"500%"')
    problem = only(text)
    assert text.splitlines()[problem.where.line - 1] == 'least = "500%"'
    assert problem.slug == "rules-value"


@pytest.mark.parametrize(
    ("body", "slug"),
    [
        (rule("height"), "rules-missing-key"),
        (rule("height", most="4"), "rules-value"),
        (rule("height", most='"four feet"'), "rules-value"),
        (rule("height", most='"-4 ft"'), "rules-value"),
        (rule("height", most='"4"'), "rules-value"),
        (rule("height", most="true"), "rules-value"),
        (rule("height", most='"4 ft"', yards='["frnt"]'), "rules-value"),
        (rule("height", most='"4 ft"', yards="[]"), "rules-value"),
        (rule("height", most='"4 ft"', checked='"yesterday"'), "rules-value"),
        (rule("height", most='"4 ft"', checked="5"), "rules-value"),
        (rule("hight", most='"4 ft"'), "rules-value"),
        (rule("setback", of='"wall"', least='"1 ft"'), "rules-value"),
        (rule("pool", self_closing='"yes"'), "rules-value"),
        (rule("height", most='"4 ft"') * 2, "rules-value"),
        (rule("height", most='"4 ft"').replace('clause = "1"\n', ""), "rules-missing-key"),
        (rule("height", most='"4 ft"').replace('name = "height"', 'name = ""'), "rules-value"),
        ("rule = 3\n", "rules-value"),
        ("most = \n", "rules-not-toml"),
        ('[[rule]\nname = "x"\n', "rules-not-toml"),
    ],
)  # fmt: skip
def test_bad_values(body: str, slug: str) -> None:
    found = problems(HEAD + body)
    assert {problem.slug for problem in found} == {slug}
    assert all(problem.where.file == "rules.toml" for problem in found)


def test_a_broken_file_has_line_and_column() -> None:
    problem = only('palewright_rules = 1\nplace = "x\n')
    assert problem.slug == "rules-not-toml"
    assert problem.where.line == 2
    assert problem.where.column > 1


def test_the_head_of_the_file() -> None:
    slugs = [problem.slug for problem in problems(rule("height", most='"4 ft"'))]
    assert slugs == ["rules-value", "rules-missing-key", "rules-missing-key", "rules-missing-key"]
    assert only(HEAD.replace("= 1\n", "= 2\n", 1)).allowed == "palewright_rules = 1"
    assert read_rules(HEAD).rules == ()


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(LOT + LEFT + "rules: none.toml\n")
    with pytest.raises(JobError) as caught:
        load(tmp_path / "job.yaml")
    (problem,) = caught.value.problems
    assert (problem.slug, problem.where.line > 0) == ("rules-unreadable", True)
    (tmp_path / "none.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(JobError) as caught:
        load(tmp_path / "job.yaml")
    assert caught.value.problems[0].slug == "rules-not-utf8"
    (tmp_path / "none.toml").write_text(HEAD + rule("height", most='"4 ft"'))
    job, _ = load(tmp_path / "job.yaml")
    assert job.rules is not None
    assert job.rules.rules[0].length("most") == pytest.approx(48 * IN)


@given(st.integers(0, len(EXAMPLE) - 1), st.integers(0, 30), st.text(max_size=12))
@settings(max_examples=200, deadline=None)
def test_any_damage_is_a_problem_or_another_file_of_rules(at: int, cut: int, put: str) -> None:
    damaged = EXAMPLE[:at] + put + EXAMPLE[at + cut :]
    found: tuple[Problem, ...] = ()
    try:
        read_rules(damaged, "rules.toml")
    except JobError as error:
        found = error.problems
    assert all(problem.slug.startswith("rules-") and problem.render() for problem in found)
    assert found or {rule.kind for rule in read_rules(damaged).rules} <= set(KINDS)


@pytest.mark.parametrize("text", ["root:x:0:0:root\n", "[project]\nsecret = 4711\n", "secret = ", ""])
def test_a_file_that_holds_no_rules_is_not_repeated(text: str) -> None:
    with pytest.raises(JobError) as caught:
        read_rules(text, "rules.toml")
    (problem,) = caught.value.problems
    assert problem.slug == "rules-not-ours"
    assert not any(word in problem.render() for word in ("root", "secret", "4711", "project"))


# ---------------------------------------------------------------- the keys of the job file


@pytest.mark.parametrize(
    ("lot", "slug"),
    [
        ("{streets: [{name: a, side: 7}]}", "unknown-side"),
        ("{front: 9}", "unknown-side"),
        ("{streets: [{name: a, side: 1}, {name: a, side: 2}]}", "duplicate-name"),
        ("{easements: [{name: e, side: 1}]}", "easement-way"),
        ("{easements: [{name: e, width: 2 ft, side: 1, through: [SW, NW, NE]}]}", "easement-way"),
        ("{easements: [{name: e}]}", "easement-way"),
        ("{main building: hose}", "unknown-lot-name"),
        ("{pools: [{through: [SW, NW, NE], barrier: [lift]}]}", "unknown-lot-name"),
        ("{gates: {g: {latch: 54 in}}}", "unknown-lot-name"),
        ("{fences: {privcy: {open: 10%}}}", "unknown-lot-name"),
        ("{fences: {privacy: {open: 110%}}}", "not-a-share"),
        ("{fences: {privacy: {open: half}}}", "not-a-share"),
        ("{drives: [{name: d, through: [SW, XX], width: 10 ft}]}", "unknown-point"),
        ("{trees: [{name: t, at: XX}]}", "unknown-point"),
        ("{treees: []}", "unknown-key"),
    ],
)
def test_bad_lots(lot: str, slug: str) -> None:
    with pytest.raises(JobError) as caught:
        jobfile.read_text(LOT + LEFT + f"lot: {lot}\n", "job.yaml")
    (problem,) = caught.value.problems
    assert problem.slug == slug
    assert problem.where.line > 0


def test_a_run_and_a_fence_that_failed_are_not_called_unknown() -> None:
    text = LOT + LEFT.replace("yard: right", "yard: upward")
    assert "upward" in text
    with pytest.raises(JobError) as caught:
        jobfile.read_text(text + "lot: {pools: [{through: [SW, NW, NE], barrier: [left]}]}\n", "job.yaml")
    assert [problem.slug for problem in caught.value.problems] == ["not-a-choice"]


def test_near_names_are_suggested() -> None:
    with pytest.raises(JobError) as caught:
        jobfile.read_text(LOT + LEFT + "lot: {fences: {privcy: {open: 10%}}}\n")
    assert caught.value.problems[0].hint == "did you mean `privacy`?"


def test_an_easement_wider_than_its_curve(tmp_path: Path) -> None:
    from palewright.plan import make_plan

    text = """palewright: 1
job: {title: A bulb}
boundary:
  start: A
  names: [A, B, C, D]
  calls:
    - N 40 ft
    - {curve: right, radius: 20 ft, delta: 180°, chord: E 40 ft, joins: tangent}
    - S 40 ft
    - W 40 ft
lot: {easements: [{name: wide, side: 2, width: 25 ft}]}
"""
    with pytest.raises(JobError) as caught:
        make_plan(jobfile.read_text(text))
    assert [problem.slug for problem in caught.value.problems] == ["easement-too-wide"]


# ---------------------------------------------------------------- the page


def test_the_page_lists_every_kind_and_key() -> None:
    page = (ROOT / "docs" / "permit.md").read_text("utf-8")
    for kind in KINDS:
        section = page.split(f"\n### {kind}\n")[1].split("\n##")[0]
        own = [key for key, field in keys_of(kind).items() if key in KINDS[kind]]
        for key in own:
            field = KINDS[kind][key]
            assert f"| `{key}` | {field.doc}" in section, (kind, key)
        assert [line.split("`")[1] for line in section.splitlines() if line.startswith("| `")] == own


def test_the_rules_on_the_page_can_be_read() -> None:
    page = (ROOT / "docs" / "permit.md").read_text("utf-8")
    blocks = [block.split("```")[0] for block in page.split("```toml\n")[1:]]
    assert blocks
    for block in blocks:
        assert read_rules(block).rules
