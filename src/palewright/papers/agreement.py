"""The line and neighbour agreement as data: what was typed, the line and the fence as they are; blanks for the rest."""

from __future__ import annotations

from typing import Any

from palewright.model import Agreement, Plan
from palewright.papers.clean import short
from palewright.papers.names import call_words
from palewright.papers.sheet import Sheet
from palewright.papers.words import has, table

__all__ = ["agreement_data"]


def agreement_data(plan: Plan) -> dict[str, Any]:
    """Everything that the agreement prints, a page for each neighbour; for a plan with a permit record."""
    sheet = Sheet.of(plan)
    permit = plan.permit
    assert permit is not None
    return sheet.head("agreement.document") | {
        "w": table("agreement", sheet.language),
        "pages": [_page(sheet, agreement) for agreement in permit.agreements],
    }


def _page(sheet: Sheet, agreement: Agreement) -> dict[str, Any]:
    spec = agreement.spec
    lines, corners = _lines(sheet, spec.sides)
    said = () if sheet.plan.open("fabric-side-not-said").intersection(agreement.fences) else agreement.good_sides
    sides = {sheet(f"agreement.good_{side}") for side in said if has(f"agreement.good_{side}")}
    fences = []
    for name in agreement.fences:
        kind = sheet.kinds()[name]
        fences.append(sheet("agreement.fence_is", fence=f"{short(name, 40)} ({sheet.term(kind.kind)})",
                            height=sheet.height(kind), length=sheet.measures.length(agreement.length_m)))  # fmt: skip
    fields = (
        ("shown_by", [spec.shown_by]), ("found_how", [spec.found_how]), ("shown_on", [spec.shown_on]),
        ("far", _far(sheet, agreement)),
        ("fence", fences or [sheet("agreement.no_fence")]),
        ("good_side", [spec.good_side or (next(iter(sides)) if len(sides) == 1 else "")]),
        ("share", [spec.share]), ("upkeep", [spec.upkeep]), ("access", [spec.access]), ("more", [spec.more]),
    )  # fmt: skip
    return {
        "owner": short(sheet.plan.settings.client, 80),
        "address": short(sheet.plan.settings.address, 80),
        "neighbour": short(spec.neighbour, 80),
        "line": lines,
        "corners": corners,
        "fields": [
            {"label": sheet(f"agreement.{key}"), "values": [short(value, 300) for value in values if value]}
            for key, values in fields
            if key != "far" or values
        ],
    }


def _lines(sheet: Sheet, sides: tuple[int, ...]) -> tuple[list[str], list[str]]:
    """The sides with their length, and what was found at their corners."""
    ring = sheet.plan.site.ring
    if ring is None:
        return [], []
    corners = {corner.name: corner for corner in ring.corners}
    courses = [course for course in ring.courses if course.number in sides]
    lines = []
    for course in courses:
        length = short(call_words(course.text, sheet.language), 200) or sheet.measures.length(
            (course.arc or course).length_m
        )
        start, end = short(course.start, 30), short(course.end, 30)
        lines.append(sheet("agreement.side", side=course.number, start=start, end=end, length=length))
    said = []
    for name in dict.fromkeys(name for course in courses for name in (course.start, course.end)):
        found = short(corners[name].found, 80)
        key = "agreement.corner_found" if found else "agreement.corner_record"
        if found and not corners[name].counts:
            key = "agreement.corner_not_counted"
        said.append(sheet(key, corner=short(name, 30), **({"found": found} if found else {})))
    return lines, said


def _far(sheet: Sheet, agreement: Agreement) -> list[str]:
    """From the line to the fence face at the post where that is least; nothing where it was not worked out."""
    inside = sheet.plan.inside
    found = [
        (min(row.face_m, row.post_m), row.post)
        for row in (inside.distances if inside is not None else ())
        if row.side in agreement.spec.sides and row.run in agreement.runs
    ]
    if not found:
        return []
    least, near = min(found)
    if least < 0:
        return [sheet("agreement.far_over", over=sheet.measures.small(-least), post=sheet.post(near))]
    return [sheet("agreement.far_least", least=sheet.measures.small(least), post=sheet.post(near))]
