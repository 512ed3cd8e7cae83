"""The decision page: plain questions with their lines, nothing twice, memory told at once."""

from __future__ import annotations

import functools
import re
from dataclasses import replace
from itertools import chain
from pathlib import Path

import pytest

from palewright import plan as engine
from palewright.jobfile import read_text
from palewright.model import Plan, Remark
from palewright.papers.decisions import decisions_data
from palewright.papers.grounds import numbers
from palewright.papers.sheet import Sheet
from palewright.papers.words import has, say
from palewright.tables import kind_names, kind_table

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.yaml"))
NAMES = [path.stem for path in EXAMPLES]

JOB = """\
palewright: 1
job: {title: A, print: feet-inches}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [40 ft, 0 ft]}, C: {at: [40 ft, 30 ft]}}
fences:
  metal: {kind: metal-panels}
  typed: {kind: metal-panels, hole: {line: 9 in, end: 9 in, gate: 12 in}}
runs:
  - {name: front, fence: metal, through: [A, B], yard: left, follows: ask}
  - name: back
    fence: typed
    through: [B, C]
    yard: ask
    gates: [{name: small, opening: 4 ft, starts: 8 ft from B, swings: ask}]
locate: {ticket: A1, called on: 2026-05-01, legal from: ask, expires: 2026-05-20, members: {gas: clear}}
site: {frost: ask, soil: clay, wind: ask, exposure: ask}
"""


@functools.cache
def planned(name: str, language: str = "en") -> Plan:
    plan = engine.make_plan(*engine.load(next(path for path in EXAMPLES if path.stem == name)))
    return replace(plan, settings=replace(plan.settings, language=language))


@functools.cache
def job() -> Plan:
    return engine.make_plan(read_text(JOB))


def test_each_question_stands_once_with_what_it_is_about_and_its_lines():
    rows = [(row["what"], row["lines"]) for row in decisions_data(job())["asks"]]
    assert rows == [
        ("Utility locate, still missing: legal to dig from", "line 14"),
        ("Underground lines, as the owner knows them", ""),
        ("Frost depth", "line 15"),
        ("Wind speed and exposure", "line 15"),
        ("Which side is the yard on, along back?", "line 12"),
        ("How does the fence follow the ground on front, back?", "lines 8, 9"),
        ("Which post carries the hinges: small", "line 13"),
        ("Which way does the gate open: small", "line 13"),
    ]


def test_sentences_of_no_topic_have_a_row_each_and_are_not_cut():
    plan = job()
    remarks = tuple(
        Remark("ground-not-reached", "ask", run, (("run", run), ("from_m", 0.0), ("to_m", 9.0))) for run in ("a", "b")
    )
    rows = decisions_data(replace(plan, design=replace(plan.design, remarks=remarks)))["asks"]
    said = [row["what"] for row in rows]
    for remark in remarks:
        assert say(remark, plan.settings) in said


@pytest.mark.parametrize("name", NAMES)
def test_every_depth_says_what_it_rests_on(name):
    """Gate posts on a slope too, whose holes have each a depth of their own."""
    assert all(row["deep_rests"]["text"] for row in decisions_data(planned(name))["holes"])


def test_holes_on_a_slope_and_beside_it_that_are_alike_are_one_row():
    text = JOB.replace("yard: left, follows: ask", "yard: left, follows: racked")
    text = text.replace("metal: {kind: metal-panels}", "metal: {kind: boards, good side: yard, hole: {depth: 36 in}}")
    text += "heights: [{spots: [[0 ft, -9 ft, 100 ft], [0 ft, 9 ft, 100 ft], [20 ft, 0 ft, 101 ft]]}]\n"
    plan = engine.make_plan(read_text(text))
    assert {height.known for meeting in plan.design.meetings for height in meeting.posts} == {True, False}
    (row,) = [row for row in decisions_data(plan)["holes"] if row["fence"] == "metal"]
    assert int(row["count"]) == sum(post.kind == "metal" for post in plan.design.posts)


def test_a_hole_that_rests_on_memory_is_told_apart_from_one_that_was_typed():
    rows = {(row["fence"], row["roles"]): row for row in decisions_data(job())["holes"]}
    metal = next(row for (fence, _), row in rows.items() if fence == "metal")
    typed = next(row for (fence, _), row in rows.items() if fence == "typed")
    assert metal["across_rests"] == {"text": "from memory", "memory": True}
    assert typed["across_rests"] == {"text": "as typed", "memory": False}
    assert sum(int(row["count"]) for row in rows.values()) == sum(post.hole is not None for post in job().design.posts)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", NAMES)
def test_nothing_stands_twice_and_no_key_path_is_printed(name, language):
    data = decisions_data(planned(name, language))
    said = [row["text"] for level in ("assumptions", "cautions", "notes") for row in data[level]]
    said += [*data["closure"], *data["removals"], *(row["what"] for row in data["asks"])]
    assert len(set(said)) == len(said)
    words = " ".join(chain(said, (row["hurts"] for row in data["asks"])))
    assert not re.search(r"\w\[\d+\]|\bsite\.|\blocate\.|\bboundary\.|\{", words)
    shown = " ".join(row[column] for row in data["numbers"] for column in ("memory", "habit"))
    assert not re.search(r"\bhole\.|\bpost\.|\bTrue\b|\bNone\b", shown)


@pytest.mark.parametrize("name", NAMES)
def test_every_value_from_memory_that_does_something_is_on_the_page(name):
    """Keys of the kinds whose source is memory and whose value is not nothing, counted apart from the page."""
    plan = planned(name)
    data = decisions_data(plan)
    rows = {row["name"]: row["memory"] for row in data["numbers"]}
    for kind in plan.kinds:
        keys = [key for key, source in kind.sources if source == "from memory" and kind.value(key)]
        keys = [key for key in keys if not key.startswith("hole.")]
        idle = {"rack over": "rack rise", "cap height": "post cap", "barb height": "barbed strands"}
        keys = [key for key in keys if key not in idle or kind.value(idle[key])]
        assert len(rows[kind.name].split(", ")) == len(keys)


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_key_of_the_kinds_has_words(language):
    """But for those that a table of the page says in another way."""
    elsewhere = ("hole.corner", "hole.depth", "hole.fill", "pattern")
    keys = {key for name in kind_names() for key in kind_table(name).keys if key not in elsewhere}
    assert {key for key in keys if not has(f"value.{key}", language)} == set()


def test_a_word_of_the_job_file_is_no_phrase_on_the_page():
    """`under steps: leave` is the word of the job file; people read what it means."""
    for language, words in (("en", "room under steps left open"), ("es", "espacio bajo los escalones sin cerrar")):
        (row, *_) = [row for row in numbers(Sheet.of(planned("sloping-yard", language))) if words in row["habit"]]
        assert "leave" not in row["habit"]


def test_alike_assumptions_are_one_sentence_with_every_line():
    said = [row for row in decisions_data(planned("tansy-court"))["assumptions"] if "level" in row["text"]]
    assert [row["lines"] for row in said] == ["lines 56, 65, 73"]
    assert "on runs rear, left return, right return." in said[0]["text"]


def test_the_least_fence_face_is_that_at_the_widest_post():
    """Faces are asked to keep 8 in; 6x6 gate posts in line by centres with 4x4 stand 1 in farther out (PS 20 sizes)."""
    (row,) = decisions_data(planned("proclamation-7647"))["insets"]
    assert row["cells"][0] == {"value": '7"', "at": "post 4", "over": False}
    line = {row["at"]: row["distance"] for row in decisions_data(planned("proclamation-7647"))["line"]}
    assert line["post 4"] == '7"'
    assert line["post 15"] == '8"'
    cautions = [said["text"] for said in decisions_data(planned("proclamation-7647"))["cautions"]]
    assert sum("notch the rails there" in text for text in cautions) == 1


def test_the_next_usual_auger_stands_beside_a_size_that_nobody_sells():
    """6 1/2 in, 7 5/8 in and 9 1/2 in are holes of four posts across (f567); augers of 10 in and 14 in are usual."""
    rows = {row["across"]: row["auger"] for row in decisions_data(planned("chain-link-run"))["holes"]}
    assert rows['9 1/2"'] == "next usual auger 10 in, common practice"
    assert {row["auger"] for row in decisions_data(planned("tansy-court"))["holes"]} == {""}


def test_calls_are_printed_whole_and_in_the_language():
    curve = decisions_data(planned("corner-lot"))["courses"][1]
    assert curve["text"].endswith("non-tangent")
    spanish = decisions_data(planned("corner-lot", "es"))["courses"][1]
    assert spanish["text"].startswith("curva a la derecha, radio 420 pies, arco 112.00 pies, cuerda S 01°30'00")
    assert spanish["yard"] == "calle"


def test_a_misclosure_is_the_same_on_the_page_and_in_the_remark():
    """Off by 0.09 in: 1/8 in on a tape in eighths, and no less."""
    calls = "calls: [N 100 ft, E 80 ft, S 100.0075 ft, W 80 ft]"
    plan = engine.make_plan(read_text(f"palewright: 1\njob: {{title: A}}\nboundary: {{{calls}}}\n"))
    (page,) = [line for line in decisions_data(plan)["closure"] if "off by" in line]
    (remark,) = [say(remark, plan.settings) for remark in plan.remarks if remark.slug.startswith("closes-")]
    assert 'off by 1/8"' in page
    assert 'off by 1/8"' in remark


def test_areas_and_volumes_have_spanish_units():
    said = " ".join(decisions_data(planned("corner-lot", "es"))["closure"])
    assert "10,400 pies cuadrados" in said
    assert "sq ft" not in said


@pytest.mark.parametrize("language", ["en", "es"])
def test_documents_are_for_things_in_words(language):
    """No key of a kind of fence ("hole.fill") stands for what a document was used for."""
    said = [row["for"] for name in NAMES for row in decisions_data(planned(name, language))["sources"]]
    assert said
    assert not [text for text in said if re.search(r"[a-z]\.[a-z]", text) or "…" in text]


@pytest.mark.parametrize(
    ("pattern", "gap", "overlap"),
    [("solid", False, False), ("spaced", True, False), ("board on board", False, True), ("horizontal", True, False)],
)
def test_gap_and_overlap_are_told_of_boards_that_have_them(pattern, gap, overlap):
    """By what docs/kinds.md says of the two keys: not used by the other patterns."""
    job = JOB.replace("metal: {kind: metal-panels}", f"metal: {{kind: boards, pattern: {pattern}, good side: yard}}")
    plan = engine.make_plan(read_text(job, "job.yaml"))
    (row,) = [row for row in numbers(Sheet.of(plan)) if row["name"] == "metal"]
    assert ("gap between boards" in row["habit"], "overlap of boards" in row["habit"]) == (gap, overlap)
