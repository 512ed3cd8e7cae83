"""A job whose deed has a curve: from the file to the plan, its papers' words, its drawing and back from JSON."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from palewright import draw, exchange, plan
from palewright.errors import JobError
from palewright.model import Plan
from palewright.papers.words import say

FT = 0.3048
JOB = """\
palewright: 1
job: {title: Corner lot, language: LANGUAGE}
boundary:
  start: SW
  names: [SW, NW, C1, C2, SE]
  bearings: magnetic 1998
  calls:
    - N 100.00 ft
    - E 80.00 ft, more or less
    - {curve: right, radius: 20 ft, delta: 90°, chord: S 45°30' E 28.40 ft, joins: tangent}
    - S 80.00 ft
    - W 100.00 ft
  corners: {SW: {found: iron pin, matches record: yes}}
fences:
  privacy: {kind: boards, board: 6 ft, bottom gap: 2 in, good side: neighbour}
runs:
  - {name: round, fence: privacy, sides: all, yard: right, follows: racked, inside boundary: {face: 8 in}}
locate: {ticket: ask, legal from: ask, expires: ask}
site: {frost: ask}
"""


def planned(tmp_path: Path, text: str, language: str = "en") -> Plan:
    path = tmp_path / "job.yaml"
    path.write_text(text.replace("LANGUAGE", language), encoding="utf-8")
    return plan.make_plan(*plan.load(path))


def test_a_curve_from_file_to_plan(tmp_path: Path) -> None:
    made = planned(tmp_path, JOB)
    ring = made.site.ring
    assert ring is not None
    assert ring.bearings == "magnetic 1998"
    assert [course.about for course in ring.courses] == [False, True, False, False, False]
    arc = ring.courses[2].arc
    assert arc is not None
    assert arc.sweep == pytest.approx(-math.pi / 2.0)
    assert made.settings.north_basis == "bearings of the boundary, magnetic 1998"
    said = {remark.slug for remark in made.remarks}
    assert said >= {
        "bearings-magnetic", "calls-more-or-less", "curve-not-tangent", "curve-parts-differ", "closes-poorly",
        "arc-side-chords", "line-not-located",
    }  # fmt: skip
    assert {"area by the compass rule", "area by the transit rule"} <= {reason.quantity for reason in made.reasons}
    assert exchange.loads(exchange.dumps(made)).site.ring == ring


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_must_be_said_of_it_is_said_in_words(tmp_path: Path, language: str) -> None:
    made = planned(tmp_path, JOB, language)
    for remark in made.remarks:
        words = say(remark, made.settings)
        assert "?" not in words
        assert remark.slug.replace("-", " ") not in words
    spoken = next(say(r, made.settings) for r in made.remarks if r.slug == "curve-parts-differ")
    assert ("chord" if language == "en" else "cuerda") in spoken
    assert "28.40'" in spoken
    assert "28.28'" in spoken


def test_the_drawing_has_the_arc(tmp_path: Path) -> None:
    made = planned(tmp_path, JOB)
    arcs = [
        p
        for scene in draw.plan_sheets(made)
        for p in scene.primitives
        if type(p).__name__ == "Arc" and p.layer == "boundary"
    ]
    assert arcs
    assert abs(arcs[0].sweep) == pytest.approx(math.pi / 2.0, abs=0.01)


def test_a_bad_curve_points_at_its_line(tmp_path: Path) -> None:
    with pytest.raises(JobError) as caught:
        planned(tmp_path, JOB.replace("28.40 ft", "48.40 ft"))
    (problem,) = caught.value.problems
    assert (problem.slug, problem.where.line) == ("curve-parts-disagree", 10)
