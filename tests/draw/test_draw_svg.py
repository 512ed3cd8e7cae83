"""SVG: well formed, text as text, ids by post, nothing a person types becomes markup."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.draw.conftest import sheets

from palewright import draw
from palewright.draw.scene import Scene, Text
from palewright.model import Plan

NS = "{http://www.w3.org/2000/svg}"


def test_every_sheet_is_well_formed_and_keeps_its_texts(any_plan: Plan) -> None:
    for scene in sheets(any_plan):
        root = ET.fromstring(draw.to_svg(scene))
        assert root.get("viewBox") == f"0 0 {scene.width_mm:g} {scene.height_mm:g}"
        assert root.get("width") == f"{scene.width_mm:g}mm"
        assert [e.text for e in root.iter(f"{NS}text")] == [t.text for t in scene.texts()]
        assert root.find(f"{NS}title") is not None
        desc = root.find(f"{NS}desc")
        assert desc is not None
        assert desc.text == scene.alt


def test_ids_are_unique_and_name_posts(hand_plan: Plan) -> None:
    root = ET.fromstring(draw.to_svg(draw.plan_sheets(hand_plan)[0]))
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    assert {f"post-{post.label}" for post in hand_plan.design.posts} <= set(ids)


@given(st.text(max_size=40))
@settings(max_examples=150)
def test_any_text_survives(text: str) -> None:
    scene = Scene(50.0, 20.0, text, (Text(layer="label", text=text, at=(1.0, 2.0), size_mm=3.0, id=text),), alt=text)
    svg = draw.to_svg(scene)
    svg.encode("utf-8")
    root = ET.fromstring(svg)
    (element,) = root.iter(f"{NS}text")
    said = element.text or ""
    # line ends are one thing to XML; characters that XML forbids are replaced one for one
    assert len(said) == len(text.replace("\r\n", "\n"))
    assert len(list(root.iter(f"{NS}script"))) == 0


def test_markup_in_a_title_stays_words(hand_plan: Plan) -> None:
    nasty = replace(hand_plan, settings=replace(hand_plan.settings, title="</text><script>x</script> & #let"))
    root = ET.fromstring(draw.to_svg(draw.plan_sheets(nasty)[0]))
    assert not list(root.iter(f"{NS}script"))
    assert any("<script>" in (e.text or "") for e in root.iter(f"{NS}text"))


def test_same_bytes_twice(hand_plan: Plan) -> None:
    assert draw.to_svg(draw.plan_sheets(hand_plan)[0]) == draw.to_svg(draw.plan_sheets(hand_plan)[0])
