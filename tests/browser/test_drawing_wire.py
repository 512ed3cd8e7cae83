"""Runs of wire on the drawing table: a stretch from the side, line posts from near, a gate along the wire."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page
from tests.browser.conftest import Server, new_job
from tests.browser.test_drawing_fluid import ROW_OF_DOTS
from tests.browser.test_drawing_hands import grab, middle
from tests.browser.test_drawing_table import open_table, saved, text_of

VIRGINIA = (Path(__file__).resolve().parents[2] / "examples" / "field-fence-virginia.yaml").read_text("utf-8")


def test_a_stretch_of_wire_from_the_side_and_its_posts_from_near(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": VIRGINIA})
    open_table(page, server, job)
    assert page.locator("#paper .layer-line-post .dots").count() == 0
    page.mouse.click(*middle(page, '#paper [data-id="stretch north field 1"] .grip'))
    page.wait_for_selector("#elevation .post")
    assert page.locator("#chosen h3").inner_text().startswith("stretch north field 1")
    assert page.locator("#elevation .bay").count() == 26
    assert page.locator("#elevation .post").count() == 27
    assert page.locator("#follows").is_hidden()
    x, y = middle(page, '#paper [data-id="stretch north field 1"] .grip')
    page.mouse.move(x, y)
    for _ in range(5):
        page.mouse.wheel(0, -300)
    page.wait_for_selector("#paper .layer-line-post .dots.steel", state="attached")
    assert sum(page.evaluate(ROW_OF_DOTS)) > 10
    page.click("#fit")
    page.wait_for_selector("#paper .layer-line-post .dots", state="detached")


def test_a_gate_in_wire_is_dragged_along_its_run(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": VIRGINIA})
    open_table(page, server, job)
    grab(page, middle(page, '#paper [data-id="gate field gate"] .grip'), (-12, -34))
    page.wait_for_selector("#paper .overlay .trial-line", state="attached")
    page.mouse.up()
    saved(page, 2)
    changed = [line for line in text_of(page, job).splitlines() if line not in VIRGINIA.splitlines()]
    assert len(changed) == 1
    assert "field gate" in changed[0]


def test_a_line_post_under_the_mouse_lights_in_plan_elevation_and_list(page: Page, server: Server) -> None:
    """And what is chosen is the post itself, with its words."""
    job = new_job(page, **{"from": "text", "text": VIRGINIA})
    open_table(page, server, job)
    page.locator("summary", has_text="All that is there").click()
    page.locator("details[data-kind=stretch] summary").click()
    page.mouse.click(*middle(page, '#paper [data-id="stretch north field 1"] .grip'))
    page.wait_for_selector("#elevation .post")  # the drawing is lower now
    x, y = middle(page, '#paper [data-id="stretch north field 1"] .grip')
    page.mouse.move(x, y)
    for _ in range(5):
        page.mouse.wheel(0, -300)
    page.wait_for_selector("#paper .kind-line-post", state="attached")
    name = page.evaluate(
        """([x, y]) => [...document.querySelectorAll('#paper .kind-line-post[data-about="stretch north field 1"]')]
            .map((one) => ({id: one.dataset.id, at: one.querySelector(".dots").getBoundingClientRect()}))
            .sort((a, b) => Math.hypot(a.at.x - x, a.at.y - y) - Math.hypot(b.at.x - x, b.at.y - y))[0].id""",
        [x, y],
    )
    page.mouse.click(*middle(page, f'#paper [data-id="{name}"] .dots'))
    page.wait_for_selector(f'#elevation .lit[data-id="{name}"]', state="attached")
    page.wait_for_selector(f'#paper .now-chosen[data-id="{name}"]', state="attached")
    page.wait_for_selector('#things .lit[data-about="stretch north field 1"]', state="attached")
    assert page.locator("#chosen h3").inner_text().startswith(name)
    page.locator("#chosen p", has_text="long").wait_for()
    other = f"line post north field {int(name.split()[-1]) + 1}"
    page.locator(f'#elevation [data-id="{other}"] rect').first.hover()
    page.wait_for_selector(f'#paper .now-lit[data-id="{other}"]', state="attached")
    page.mouse.move(*middle(page, f'#paper [data-id="{other}"] .dots'))
    page.wait_for_selector(f'#elevation .lit[data-id="{other}"]', state="attached")
    page.wait_for_selector(f'#paper [data-id="{other}"] title', state="attached")
