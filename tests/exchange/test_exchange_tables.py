"""Tables for a spreadsheet: read back with another reader, safe to open."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from tests.sample_plan import sample_plan

from palewright.exchange import dumps, formats, holes_csv, materials_csv, posts_csv, safe_cell
from palewright.model import Plan
from palewright.notation import parse_length
from palewright.plan import export

PLAN = sample_plan()


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_post_has_a_row() -> None:
    table = rows(posts_csv(PLAN))
    assert [row["post"] for row in table] == [post.label for post in PLAN.design.posts]
    for row, post in zip(table, PLAN.design.posts, strict=True):
        assert (float(row["x_m"]), float(row["y_m"])) == pytest.approx(post.xy, abs=6e-6)
        # printed to 1/8 in: half of that is the most it may be off
        assert parse_length(row["station"]).m == pytest.approx(post.places[0][1], abs=0.0254 / 16 + 1e-6)
        assert row["run"] == post.places[0][0]


def test_every_hole_has_a_row_and_brackets_have_none() -> None:
    table = rows(holes_csv(PLAN))
    with_hole = [post for post in PLAN.design.posts if post.hole is not None]
    assert [row["post"] for row in table] == [post.label for post in with_hole]
    for row, post in zip(table, with_hole, strict=True):
        assert post.hole is not None
        assert float(row["depth_m"]) == pytest.approx(post.hole.depth_m, abs=6e-6)
        assert parse_length(row["diameter"]).m == pytest.approx(post.hole.diameter_m, abs=0.0254 / 16)
        assert row["hand_dig"] == ("yes" if post.hole.hand_dig else "no")


@pytest.mark.parametrize("table", [posts_csv, holes_csv])
def test_nobody_digs_before_the_locate_is_entered(table: Callable[[Plan], str]) -> None:
    holes = {post.label: post.hole for post in PLAN.design.posts}
    for entered in (False, True):
        for row in rows(table(replace(PLAN, locate=replace(PLAN.locate, entered=entered)))):
            hole = holes[row["post"]]
            if hole is None:
                assert row["dig"] == ""
            elif not entered:
                assert row["dig"] == "wait (locate not entered)"
            else:
                assert row["dig"] == ("by hand" if hole.hand_dig else "machine")


def test_every_line_of_the_material_list() -> None:
    items = tuple(replace(i, price=Decimal("4.10"), cost=Decimal("8.20")) for i in PLAN.takeoff.items)
    plan = replace(PLAN, takeoff=replace(PLAN.takeoff, items=items, currency="USD"))
    table = rows(materials_csv(plan))
    assert [row["code"] for row in table] == [item.code for item in items]
    assert {row["price"] for row in table} == {"4.10"}
    assert {row["currency"] for row in table} == {"USD"}
    assert [int(row["buy"]) for row in table] == [item.buy for item in items]
    assert [float(row["need"]) for row in table] == pytest.approx([item.need for item in items], abs=1e-6)
    assert {row["price"] for row in rows(materials_csv(PLAN))} == {""}


def test_lines_end_as_the_format_asks_and_every_row_is_whole() -> None:
    for table in (posts_csv, holes_csv, materials_csv):
        text = table(PLAN)
        assert text.endswith("\r\n")
        assert "\n" not in text.replace("\r\n", "")
        widths = {len(row) for row in csv.reader(io.StringIO(text, newline=""))}
        assert len(widths) == 1


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\tx", "\rx"])
def test_no_cell_is_a_formula(text: str) -> None:
    assert safe_cell(text) == "'" + text
    posts = tuple(
        replace(post, section=text, kind=text, places=((text, 1.0), (text, 2.0))) for post in PLAN.design.posts
    )
    items = tuple(replace(item, what=text, note=text, size=text) for item in PLAN.takeoff.items)
    plan = replace(PLAN, design=replace(PLAN.design, posts=posts), takeoff=replace(PLAN.takeoff, items=items))
    for table in (posts_csv, materials_csv):
        for row in rows(table(plan)):
            cells = [(key, cell) for key, cell in row.items() if not key.endswith("_m")]
            assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for _, cell in cells)


def test_places_left_of_zero_have_a_plain_minus() -> None:
    """A spreadsheet takes U+2212 for a letter; the cell is made of a number alone, so the hyphen begins no formula."""
    posts = (replace(PLAN.design.posts[0], xy=(-0.3048, -1e-9)), *PLAN.design.posts[1:])
    plan = replace(PLAN, design=replace(PLAN.design, posts=posts))
    row = rows(posts_csv(plan))[0]
    assert (row["x"], row["x_m"], row["y_m"]) == ("-1' 0\"", "-0.30480", "0.00000")
    north = replace(plan, settings=replace(plan.settings, north="true"))
    for form in ("plan-json", "posts-csv", "materials-csv", "landxml", "pnezd-csv", "dxf", "geojson", "kml", "gpx"):
        said = export(north, form, f"{plan.site.points[0].name}, 40, -100").decode()
        assert not re.search(r"\u2212|\\u2212", said), form


def test_metric_plans_print_metric() -> None:
    plan = replace(PLAN, settings=replace(PLAN.settings, print_style="metric"))
    assert rows(holes_csv(plan))[0]["diameter"] == "254 mm"
    assert rows(posts_csv(plan))[1]["station"].endswith(" m")


def test_formats_that_need_nothing_but_the_plan() -> None:
    made = {name: write(PLAN) for name, write in formats().items()}
    assert made["json"] == dumps(PLAN)
    assert made["csv"] == made["posts-csv"] == posts_csv(PLAN)
    assert set(made) == {"json", "csv", "posts-csv", "holes-csv", "materials-csv"}
