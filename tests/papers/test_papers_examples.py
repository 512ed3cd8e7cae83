"""The papers of every example job: all words of a real plan are known in both languages, every page stands as it must."""

from __future__ import annotations

import functools
import re
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from palewright import plan as engine
from palewright.draw.tapes import all_tapes
from palewright.draw.words import Words
from palewright.model import Plan
from palewright.notation import show_length
from palewright.papers import crew_data, materials_data, write_papers
from palewright.papers.words import has

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.yaml"))
NAMES = [path.stem for path in EXAMPLES]


@functools.cache
def planned(name: str) -> Plan:
    return engine.make_plan(*engine.load(next(path for path in EXAMPLES if path.stem == name)))


def unknown(plan: Plan) -> set[str]:
    """Words of the records of a plan that have no text."""
    design, takeoff, stakeout = plan.design, plan.takeoff, plan.stakeout
    wanted = {f"order.{slug}" for slug in stakeout.order}
    wanted |= {f"item.{item.what}" for item in takeoff.items} | {f"group.{item.group}" for item in takeoff.items}
    wanted |= {f"rule.{item.rule}" for item in takeoff.items if item.rule}
    wanted |= {f"binding.{leg.binding}" for leg in design.legs if not leg.binding.startswith("zone ")}
    wanted |= {f"binding.{leg.proof}" for leg in design.legs if leg.proof}
    stops = {stop for post in design.posts if post.move for stop in (post.move.back_stop, post.move.on_stop)}
    wanted |= {f"stop.{stop}" for stop in stops if not stop.startswith("zone ")}
    wanted |= {f"term.{post.role}" for post in design.posts}
    wanted |= {f"term.{word}" for post in design.posts if post.hole for word in (post.hole.governs, post.hole.fill)}
    wanted |= {f"term.{word}" for kind in plan.kinds for word, _ in kind.height_words}
    wanted |= {f"term.{tie.why}" for tie in stakeout.ties}
    wanted |= {f"term.{leg.good_side}" for leg in design.legs if leg.good_side}
    wanted |= {f"locate.missing_{re.sub(r'[^a-z]', '_', name)}" for name in plan.locate.missing}
    wanted |= {f"remark.{remark.slug}" for remark in plan.remarks}
    units = {item.buy_unit for item in takeoff.items}
    return {key for key in wanted if not has(key)} | {
        unit
        for unit in units
        if not any(has(f"{table}.{word}") for table in ("unit", "term") for word in (unit, unit.partition(" of ")[0]))
    }


@pytest.mark.parametrize("name", NAMES)
def test_every_word_of_the_plan_is_known(name):
    assert unknown(planned(name)) == set()


def pages(path: Path) -> list[str]:
    document = pypdfium2.PdfDocument(path)
    return [
        re.sub(r"\s+", " ", document[k].get_textpage().get_text_bounded().replace("\u200b", ""))
        for k in range(len(document))
    ]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", NAMES)
def test_papers_of_the_examples(name, language, tmp_path):
    plan = planned(name)
    plan = replace(plan, settings=replace(plan.settings, language=language))
    paths = write_papers(plan, tmp_path)
    names = [path.name for path in paths]
    sheet = "stretches.pdf" if plan.lines else "crew.pdf"
    assert (names[:3], names[-1]) == ([sheet, "materials.pdf", "decisions.pdf"], "drawings.pdf")
    crew = pages(paths[0])
    first = ("LOCATE", "LOCALIZACIÓN") if language == "es" else ("LOCATE",)
    for k, page in enumerate(crew, start=1):
        assert page.strip().startswith(("SIN LOCALIZACIÓN", *first))
        assert f"{k} {'de' if language == 'es' else 'of'} {len(crew)}" in page
    text = " ".join(crew)
    style, fraction = plan.settings.print_style, plan.settings.fraction
    for string in plan.stakeout.strings:
        for mark in string.marks:
            reads = show_length(mark.from_rezero_m if mark.rezero else mark.reads_m, style, fraction)
            assert f"{mark.post} {reads}" in text
    for check in plan.stakeout.checks:
        assert show_length(check.diagonal_m, style, fraction) in text
    materials = " ".join(pages(paths[1]))
    assert all(f"{item.buy:,}" in materials for item in plan.takeoff.items)


@pytest.mark.parametrize("name", NAMES)
def test_the_far_end_check_names_what_stands_there(name):
    """A reading given for a post at an end is that post's own reading in the table; else it is a bracket's."""
    plan = planned(name)
    brackets = {post.label for post in plan.design.posts if post.hole is None}
    for string, page in zip(plan.stakeout.strings, crew_data(plan)["strings"], strict=True):
        told = re.search(r"square off (post|wall bracket) (\w+) the tape must read", page["zero"][-1]["label"])
        if told is None:
            continue
        if told[1] == "post":
            mark = next(mark for mark in string.marks if mark.post == told[2])
            assert mark.reads_m == pytest.approx(string.end_reads_m, abs=1e-6)
        else:
            assert told[2] in brackets


@pytest.mark.parametrize("name", NAMES)
def test_tapes_have_the_numbers_that_they_have_on_the_drawings(name):
    plan = planned(name)
    data = crew_data(plan)
    finds = [(tape["number"], tape["expect"]) for row in data["finds"] for tape in row["tapes"]]
    corners = [(corner["number"], corner["diagonal"]) for corner in data["corners"]]
    proofs = [(tape["number"], tape["expect"]) for tape in data["ties"] if tape["number"]]
    drawn = [(tape.row.number, tape.row.figure) for tape in all_tapes(plan, Words(plan.settings))]
    assert finds + corners + proofs == drawn


# ---------------------------------------------------------------- what stops the job


def test_rules_not_met_and_pins_that_do_not_count_stop_the_crew():
    """By the rules of the invented place the low fence stands in both sight triangles; 13 posts in the easement."""
    data = crew_data(planned("corner-lot"))
    assert data["flags"][:2] == ["RULES NOT MET: posts 36-38, 42-45", "STOP box on page 1"]
    said = "\n".join(data["stop"])
    for text in ("posts 11-23 (drainage)", "NW and NE were found", "92' 0\"", "SW (iron pipe) does not count as a pin"):
        assert text in said


def test_sides_that_end_at_a_record_corner_are_said_and_no_others():
    """The fence goes along sides 1, 2 and 3; the street side 4 has none."""
    (line,) = crew_data(planned("tansy-court"))["stop"]
    assert "SW (end of side 1), SE (end of side 3)" in line


def test_a_corner_between_two_fenced_sides_is_where_they_meet():
    plan = planned("tansy-court")
    ring = plan.site.ring
    unfound = replace(ring, corners=tuple(replace(corner, found="") for corner in ring.corners))
    stops = crew_data(replace(plan, site=replace(plan.site, ring=unfound)))["stop"]
    assert any("NW (where sides 1, 2 meet)" in line for line in stops)


def test_readings_in_doubt_stop_the_crew(tmp_path):
    """The diagonal reads two feet too much: one check tells that something is wrong and cannot tell what."""
    text = next(path for path in EXAMPLES if path.stem == "house-and-tape").read_text(encoding="utf-8")
    job = tmp_path / "misread.yaml"
    job.write_text(text.replace("reads: 81 ft", "reads: 83 ft"), encoding="utf-8")
    said = "\n".join(crew_data(engine.make_plan(*engine.load(job)))["stop"])
    assert "readings is wrong" in said
    assert "A, C" in said or "A - C" in said


def test_without_boundary_and_rules_nothing_stops():
    data = crew_data(planned("house-and-tape"))
    assert data["stop"] == []
    assert not any("STOP" in flag for flag in data["flags"])


@pytest.mark.parametrize("name", NAMES)
def test_every_end_and_corner_post_has_a_row_or_is_said_not_to_be_found(name):
    data, plan = crew_data(planned(name)), planned(name)
    rows = {row["to"] for row in data["finds"]} | set(data["to_find"])
    labels = {post.label for post in plan.design.posts if post.role in ("end", "corner") and post.number}
    assert {f"post {label}" for label in labels} <= rows
    assert all(len(row["tapes"]) == 2 or row["line"] or row["lost"] for row in data["finds"])
    brackets = [post.label for post in plan.design.posts if not post.number]
    assert len(data["brackets"]) == len(brackets)


def test_the_unmeasured_corner_is_tagged_and_the_posts_beyond_it_hang_on_it():
    """Nobody measured the angle at A, post 3; B, post 9, was squared by 9-12-15."""
    data = crew_data(planned("house-and-tape"))
    assert "Corner ASSUMED, NOT MEASURED: A (post 3)" in data["flags"]
    assert [corner["at"] for corner in data["corners"] if corner["assumed"]] == ["Corner at post 3"]
    assert [bool(corner["hangs"]) for corner in data["corners"]] == [False, True, True, True]
    assert "Corner ASSUMED, NOT MEASURED: shed right" in crew_data(planned("corner-angles"))["flags"]


def test_a_list_without_concrete_tells_no_nought_of_it(tmp_path):
    """Posts of wire are tamped in or driven: 0.0 L of concrete and 0 kg would read as if somebody had counted the soil."""
    assert materials_data(planned("field-fence-virginia"))["facts"] == []
    (path,) = write_papers(planned("field-fence-virginia"), tmp_path, only="materials.pdf")
    assert "0 kg" not in " ".join(pages(path))
    assert len(materials_data(planned("tansy-court"))["facts"]) == 3
