"""Small things seen from far: posts are marks of their own over the line of their fence as long as they stand apart."""

from __future__ import annotations

import base64
from typing import Any

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import Server, ask, new_job
from tests.browser.test_drawing_fluid import TURN
from tests.browser.test_drawing_hands import middle
from tests.browser.test_drawing_table import open_table

YARD = """palewright: 1
job: {title: Three hundred feet}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [0 ft, 90 ft]}, C: {at: [120 ft, 90 ft]}, D: {at: [120 ft, 0 ft]}}
fences: {f: {kind: post-and-rail, longest bay: 8 ft, rails: 3}}
runs:
  - name: yard
    fence: f
    through: [A, B, C, D]
    yard: right
    gates: [{name: walk, opening: 4 ft, starts: 10 ft from A, hinges: near, swings: to yard}]
clear of: [{name: gas, utility: gas, through: [[58 ft, 85 ft], [60 ft, 95 ft]], width: 2 in, each side: 60 in, inside it: hand dig}]
"""
DARK_ALONG = """async ([picture, x, from, to]) => {
    const bytes = Uint8Array.from(atob(picture), (one) => one.charCodeAt(0));
    const image = await createImageBitmap(new Blob([bytes], {type: "image/png"}));
    const canvas = Object.assign(document.createElement("canvas"), {width: image.width, height: image.height});
    const pen = canvas.getContext("2d");
    pen.drawImage(image, 0, 0);
    const column = pen.getImageData(Math.round(x), Math.round(from), 1, Math.round(to - from)).data;
    const dark = [];
    for (let k = 0; k < column.length; k += 4) dark.push(column[k] < 128);
    return dark.filter((one, k) => one && !dark[k - 1]).length;
}"""


def marks_beside(page: Page, off: int) -> tuple[int, int]:
    """Dark marks on a column of pixels beside the leg C - D, and posts that stand there."""
    x, _ = middle(page, '#paper [data-id="point C"] .spot')
    places: list[list[float]] = page.evaluate(
        """() => [...document.querySelectorAll("#paper .kind-post .body")].map((one) => {
            const {left, right, top, bottom} = one.getBoundingClientRect();
            return [(left + right) / 2, (top + bottom) / 2];
        })"""
    )
    down = sorted(py for px, py in places if abs(px - x) < 2)[1:-4]  # without those under names of points
    half = (down[1] - down[0]) / 2
    picture = base64.b64encode(page.screenshot()).decode()
    marks: int = page.evaluate(DARK_ALONG, [picture, x + off, down[0] - half, down[-1] + half])
    return marks, len(down)


def width_of(page: Page, what: str) -> float:
    found: Any = page.evaluate("what => parseFloat(getComputedStyle(document.querySelector(what)).strokeWidth)", what)
    return float(found)


@pytest.mark.parametrize(("turn", "off"), [(0, 2), (220, 2), (500, 1)])
def test_posts_are_seen_apart_over_the_line_of_their_fence(page: Page, server: Server, turn: int, off: int) -> None:
    """At the first sight of 300 ft, from further off, and from where a bay is ten pixels."""
    open_table(page, server, new_job(page, **{"from": "text", "text": YARD}))
    if turn:
        page.evaluate(TURN, [turn, 1])
    marks, posts = marks_beside(page, off)
    assert posts > 6
    assert marks == posts


def test_from_so_far_that_posts_would_touch_they_are_no_wider_than_the_line(page: Page, server: Server) -> None:
    open_table(page, server, new_job(page, **{"from": "text", "text": YARD}))
    page.evaluate(TURN, [500, 4])
    assert width_of(page, "#paper .kind-post .body") <= width_of(page, "#paper .kind-bay .line") == 1.5


def test_from_near_a_post_has_its_own_size(page: Page, server: Server) -> None:
    open_table(page, server, new_job(page, **{"from": "text", "text": YARD}))
    page.evaluate(TURN, [-500, 3])
    page.wait_for_function("() => document.querySelector('#paper').dataset.near === 'close'")
    assert width_of(page, "#paper .kind-post .body") == 1
    page.evaluate("() => document.querySelector('#paper .kind-post').classList.add('now-chosen')")
    assert width_of(page, "#paper .kind-post.now-chosen .body") == 5


def test_a_hinge_and_a_hole_dug_by_hand_are_rings_round_their_posts(page: Page, server: Server) -> None:
    """Both are seen from where they would lie under the mark of the post."""
    job = new_job(page, **{"from": "text", "text": YARD})
    open_table(page, server, job)
    items = ask(page, "GET", f"/jobs/{job}/sight")["sight"]["items"]
    by_hand = next(one["id"] for one in items if one["kind"] == "hole" and "hand dig" in one.get("marks", ()))
    sizes = page.evaluate(
        """([hole, post]) => ["#paper .hinge", `#paper [data-id="${hole}"] .body`, `#paper [data-id="${post}"] .body`]
            .map((one) => document.querySelector(one).getBoundingClientRect().width)""",
        [by_hand, by_hand.replace("hole", "post")],
    )
    mark = sizes[2] + width_of(page, f'#paper [data-id="{by_hand.replace("hole", "post")}"] .body')
    assert mark == pytest.approx(7, abs=0.1)
    assert sizes[0] > mark
    assert sizes[1] > mark


def test_words_stand_over_all_that_is_drawn_those_of_a_chosen_line_too(page: Page, server: Server) -> None:
    open_table(page, server, new_job(page, **{"from": "text", "text": YARD}))
    page.wait_for_selector("#paper .words", state="attached")
    name = page.locator("#paper .kind-run").first.get_attribute("data-id")
    page.locator(f'#beside button:has-text("{name.removeprefix("run ")}")').first.click()  # type: ignore[union-attr]
    page.wait_for_selector("#paper .words.heavy", state="attached")
    last = page.evaluate(
        "() => [...document.querySelectorAll('#paper .layer')].at(-1).querySelectorAll('.words').length"
    )
    assert last == page.locator("#paper .words").count() > 0


@pytest.mark.parametrize("width", [390, 683])
def test_a_keep_clear_is_drawn_on_a_phone_and_at_twice_the_size(page: Page, server: Server, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 640})
    open_table(page, server, new_job(page, **{"from": "text", "text": YARD}))
    assert page.locator('#paper [data-id="zone gas"] .line').is_visible()
    assert width_of(page, '#paper [data-id="zone gas"] .line') == pytest.approx((2 + 2 * 60) * 0.0254, abs=1e-3)
