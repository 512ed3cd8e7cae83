"""Keys on the drawing table: what is drawn and moved without a mouse, and a length typed while one drags."""

from __future__ import annotations

import math

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import Server, ask, new_job
from tests.browser.test_drawing_hands import grab, told
from tests.browser.test_drawing_table import FT, answer, ask_edits, centre, drawn_l, open_table, saved, text_of

from palewright import jobfile


def test_a_length_typed_while_a_corner_is_dragged_holds_where_the_mouse_shows(page: Page, server: Server) -> None:
    """Not along the leg as it lay before; the preview has it before it is taken."""
    job = drawn_l(page)
    open_table(page, server, job)
    scale = page.evaluate("() => 1 / parseFloat(document.querySelector('#paper').style.getPropertyValue('--one'))")
    grab(page, centre(page, "point C"), (-60, 180))
    told(page, "'")
    page.keyboard.press("3")
    page.wait_for_selector("dialog#ask[open]")
    page.locator("#ask input").fill("36 ft")
    told(page, "36' 0\"")
    page.wait_for_function("() => document.querySelector('#counts').textContent.includes('76\\' 0\"')")
    page.mouse.up()
    page.keyboard.press("Enter")
    saved(page, 3)
    x, y = next(p.xy for p in jobfile.read_text(text_of(page, job), "job.yaml").points if p.name == "C") or (0.0, 0.0)
    mouse = (60 * FT - 60 / scale, 40 * FT - 180 / scale)
    assert math.hypot(x, y - 40 * FT) == pytest.approx(36 * FT, abs=0.0004)
    assert math.atan2(y - 40 * FT, x) == pytest.approx(math.atan2(mouse[1] - 40 * FT, mouse[0]), abs=0.003)
    grab(page, centre(page, "point A"), (50, 10))  # the leg begins there: its other end stays
    page.keyboard.press("4")
    answer(page, "44 ft")
    page.mouse.up()
    saved(page, 4)
    places = {p.name: p.xy for p in jobfile.read_text(text_of(page, job), "job.yaml").points}
    assert places["B"] == pytest.approx((0, 40 * FT), abs=0.0001)
    assert math.dist(places["A"] or (0, 0), (0, 40 * FT)) == pytest.approx(44 * FT, abs=0.0004)


LATE = """const asked = window.fetch;
window.fetch = async (...what) => {
    const answer = await asked(...what);
    if (String(what[0]).includes("snap")) await new Promise((on) => setTimeout(on, Math.random() * 120));
    return answer;
};"""


def test_an_l_shaped_fence_from_nothing_with_the_keyboard_alone(page: Page, server: Server) -> None:
    """However late it is answered what a place falls on, each key comes after the one before."""
    page.add_init_script(LATE)
    job = new_job(page, title="No mouse")
    open_table(page, server, job)
    page.locator("[data-hand=fence]").press("Enter")
    told(page, "arrows move a cross")
    keys = page.keyboard
    for key in ["ArrowUp", "Enter", *["Shift+ArrowRight"] * 8, "ArrowUp", "Enter", *["Shift+ArrowDown"] * 4]:
        keys.press(key)
    told(page, "20' 0\" · square to the leg before · 20' 0\" down")
    assert page.locator("#paper .cross").count() == 1
    keys.press("1")
    answer(page, "18' 6 1/2\"")
    keys.press("ArrowLeft")
    keys.press("Enter")
    told(page, "1' 0\"")
    keys.press("Backspace")  # the last place goes
    told(page, "18' 6 1/2\"")
    keys.press("Enter")
    saved(page, 2)
    sight = ask(page, "GET", f"/jobs/{job}/sight")["sight"]
    legs = [item["text"] for item in sight["items"] if item["kind"] == "dimension"]
    assert legs == ["40' 0\"", "18' 6 1/2\""]
    places = {point.name: point.xy for point in jobfile.read_text(text_of(page, job), "job.yaml").points}
    (ax, ay), (bx, by), (cx, cy) = (places[name] or (0.0, 0.0) for name in "ABC")
    assert (bx - ax, by - ay) == pytest.approx((40 * FT, 1 * FT), abs=0.3)
    assert (bx - ax) * (cx - bx) + (by - ay) * (cy - by) == pytest.approx(0, abs=0.05)  # a right angle


def test_a_gate_and_a_house_that_are_chosen_go_by_arrow_keys(page: Page, server: Server) -> None:
    job = drawn_l(page)
    house = {"kind": "building", "name": "house", "points": [[6, 0], [12, 0], [12, 6], [6, 6]]}
    gate = {"kind": "gate", "run": "rear", "at": [30 * FT, 40 * FT], "opening": "4 ft"}
    ask_edits(page, job, [house, gate])
    open_table(page, server, job)
    page.evaluate("() => document.querySelectorAll('#beside details').forEach((one) => { one.open = true; })")
    page.locator('#things button[data-about="gate gate"]').click()
    page.locator("#paper").press("Shift+ArrowRight")
    saved(page, 4)
    page.locator('#things button[data-about="building house"]').click()
    page.locator("#paper").press("ArrowUp")
    saved(page, 5)
    ask_edits(page, job, [{"kind": "set", "path": "job.print", "value": "metric"}])
    page.reload()
    page.locator("summary", has_text="All that is there").click()
    page.locator("details[data-kind=point] summary").click()
    page.locator('#things button[data-about="point C"]').click()
    places = [jobfile.read_text(text_of(page, job), "job.yaml")]
    page.locator('.nudge[aria-label="1 cm right"]').click()
    saved(page, 7)
    places.append(jobfile.read_text(text_of(page, job), "job.yaml"))
    (before,), (after,) = ([point.xy or (0.0, 0.0) for point in job.points if point.name == "C"] for job in places)
    assert (after[0] - before[0], after[1] - before[1]) == pytest.approx((0.01, 0.0), abs=0.0026)  # marks of 5 mm
    text = text_of(page, job)
    assert "starts: 29 ft from B" in text  # from 28 ft, where its middle was 30 ft along
    assert "house: [[19' 8 1/4\", 1 in]" in text


def test_a_corner_of_a_keep_clear_goes_by_arrow_keys(page: Page, server: Server) -> None:
    job = drawn_l(page)
    ring = [[x * FT, y * FT] for x, y in [(10, 5), (20, 5), (20, 15), (10, 15)]]
    ask_edits(page, job, [{"kind": "zone", "name": "pool", "points": ring, "closed": True, "each_side": "24 in",
                           "inside": "no hole"}])  # fmt: skip
    open_table(page, server, job)
    page.evaluate("() => document.querySelectorAll('#beside details').forEach((one) => { one.open = true; })")
    page.locator('#things button[data-about="zone pool"]').press("Enter")
    page.get_by_label("Arrows move").select_option("corner 3")
    assert page.locator("#paper .picked").get_attribute("data-index") == "2"
    page.locator("#paper").press("Shift+ArrowRight")
    saved(page, 4)
    page.locator('.nudge[aria-label="one inch up"]').press("Enter")
    saved(page, 5)
    assert "[[10 ft, 5 ft], [20 ft, 5 ft], [21 ft, 15' 1\"], [10 ft, 15 ft]]" in text_of(page, job)
    assert page.locator("#paper .picked").count() == 1
