"""Words in enlarged details are read: none lies over the boundary line."""

from __future__ import annotations

from tests.draw.conftest import plan_named, sheets

from palewright.draw.place import box_of_segment, box_of_text, boxes_meet
from palewright.draw.scene import Line, Text


def test_no_word_of_a_detail_lies_over_the_boundary() -> None:
    sheet = next(s for s in sheets(plan_named("tansy-court")) if s.kind == "stakeout")
    inside = [p for p in sheet.primitives if p.space == "detail"]
    lines = [box_of_segment(p.a, p.b) for p in inside if isinstance(p, Line) and p.layer == "boundary"]
    words = [p for p in inside if isinstance(p, Text) and p.role in ("reading", "corner", "stake", "string")]
    over = [
        p.text
        for p in words
        if any(boxes_meet(box_of_text(p.at, p.width_mm, p.size_mm, p.anchor, p.angle, -0.2), line) for line in lines)
    ]
    assert lines
    assert words
    assert over == []
