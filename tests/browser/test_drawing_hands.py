"""Hands on the drawing table: what is dragged, typed, touched, imported and compared, and what is saved of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from tests.browser.conftest import PHONE, Server, ask, listen, new_job
from tests.browser.test_drawing_table import (
    FT,
    answer,
    ask_edits,
    centre,
    click,
    drawn_l,
    open_table,
    saved,
    spot,
    text_of,
)

from palewright import jobfile

CORNERS = "[[0 ft, 0 ft], [0 ft, 100 ft], [60 ft, 100 ft], [60 ft, 0 ft]]"
LOT = f"palewright: 1\njob: {{title: Lot, north: none}}\nboundary: {{through: {CORNERS}}}\n"


def told(page: Page, text: str) -> None:
    page.wait_for_function("text => document.querySelector('#told').textContent.includes(text)", arg=text)


def grab(page: Page, at: tuple[float, float], by: tuple[float, float]) -> None:
    """Press at a place and move, without letting go."""
    page.mouse.move(*at)
    page.mouse.down()
    page.mouse.move(at[0] + by[0], at[1] + by[1], steps=5)


def middle(page: Page, selector: str) -> tuple[float, float]:
    box = page.locator(selector).first.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_length_typed_while_something_is_dragged_wins(page: Page, server: Server) -> None:
    job = drawn_l(page)
    ask_edits(page, job, [{"kind": "gate", "run": "rear", "at": [30 * FT, 40 * FT], "opening": "4 ft"}])
    open_table(page, server, job)
    grab(page, centre(page, "point C"), (-70, 12))
    page.wait_for_selector("#paper .now-moved", state="attached")  # the trial was shown: legs stand elsewhere by now
    page.keyboard.press("4")
    answer(page, "45' 6\"")
    page.mouse.up()
    saved(page, 4)
    plan = jobfile.read_text(text_of(page, job), "job.yaml")
    places = {point.name: point.xy for point in plan.points}
    assert places["C"] == pytest.approx((45.5 * FT, 40 * FT), abs=0.0005)
    grab(page, middle(page, "#paper .kind-gate .grip"), (-30, 0))
    told(page, "wins over the mouse")
    page.keyboard.press("1")
    answer(page, "12 ft")
    page.mouse.up()
    saved(page, 5)
    assert "starts: 12 ft from" in text_of(page, job)
    grab(page, centre(page, "point C"), (40, 30))
    page.keyboard.press("Escape")
    page.mouse.up()
    page.keyboard.press("Control+z")  # had the drag been saved, this would take it back and not the gate
    saved(page, 6)
    assert "starts: 12 ft from" not in text_of(page, job)


def test_what_is_told_while_drawing_is_what_is_drawn(page: Page, server: Server, said: list[str]) -> None:
    job = new_job(page, title="Told")
    open_table(page, server, job)
    page.click("[data-hand=fence]")
    click(page, 200, 330)
    page.mouse.move(*spot(page, 482, 337))
    page.wait_for_function("() => /^\\d+' 0\"/.test(document.querySelector('#told').textContent)")
    length = page.locator("#told").inner_text().split(" ·")[0]
    click(page, 482, 337)
    page.keyboard.press("9")
    page.locator("#ask input").fill("9 quux")
    page.keyboard.press("Enter")  # said, and asked again
    told(page, "not a unit of length")
    page.keyboard.press("Escape")
    page.click("#chain-end")
    saved(page, 2)
    sight = ask(page, "GET", f"/jobs/{job}/sight")["sight"]
    assert sight["counts"]["fence"] == length
    assert page.locator("#chosen h3").inner_text().startswith("run")
    for _ in range(20):
        page.keyboard.press("Control+z")
    saved(page, 3)
    page.wait_for_function("() => document.querySelector('#undo').disabled")
    assert page.locator("#refused").is_hidden()
    assert len(said) == 1
    said.clear()  # the length that was none


def test_words_beside_the_mouse_are_of_where_it_is(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": LOT})
    open_table(page, server, job)
    page.click("[data-hand=fence]")
    side = middle(page, '#paper [data-id="side 2"] .grip')
    page.mouse.move(*side)
    told(page, "on side 2")
    page.mouse.move(side[0], side[1] + 90)
    told(page, "Click or tap where")  # it has left the line
    page.mouse.click(side[0], side[1] + 90)
    page.mouse.move(side[0] - 100, side[1] + 130)
    told(page, "'")
    page.keyboard.press("1")
    page.wait_for_selector("dialog#ask[open]")
    for letter in "1' 6 1/2\"":  # what is typed half is asked of nobody
        page.keyboard.press(letter)
        page.wait_for_timeout(30)
    page.keyboard.press("Enter")
    told(page, "11' 6 1/2\"")
    words = page.locator("#told").inner_text()
    assert words.startswith("11' 6 1/2\"")  # the length that was typed, not that of the mouse before
    assert "side 2" not in words


def test_questions_are_answered_and_tapes_read_again_beside_the_drawing(page: Page, server: Server) -> None:
    job = drawn_l(page)
    ask_edits(page, job, [{"kind": "tape", "points": ["A", "C"], "reads": "72 ft 2 in", "with": "", "about": ""}])
    open_table(page, server, job)
    page.locator("#notices li", has_text="good side").locator("button", has_text="Answer").click()
    page.locator("#ask .picks button").first.click()
    saved(page, 4)
    page.locator("#notices li", has_text="LOCATE NOT ENTERED").locator("button", has_text="Answer").click()
    page.locator("#ask [name=ticket]").fill("A17-2204")
    page.locator("#ask [name='called on']").fill("2026-05-01")
    page.keyboard.press("Enter")
    saved(page, 5)
    page.locator("summary", has_text="Tapes").click()
    page.locator("#tapes td.number button", has_text="72 ft 2 in").click()
    answer(page, "72' 1 3/8\"")
    saved(page, 6)
    read = jobfile.read_text(text_of(page, job), "job.yaml")
    assert [fence.good_side for fence in read.fences] == ["neighbour"]
    assert (read.locate.ticket, read.locate.called_on) == ("A17-2204", "2026-05-01")
    assert "reads: 72' 1 3/8\"" in text_of(page, job)
    assert [run.name for run in read.runs] == ["rear"]


def test_the_keyboard_stays_where_it_was_when_something_is_saved(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    page.locator("summary", has_text="All that is there").click()
    page.locator("details[data-kind=point] summary").click()
    page.locator('#things button[data-about="point B"]').press("Enter")
    page.locator("#chosen button", has_text="Rename").press("Enter")
    answer(page, "bend")
    saved(page, 3)
    stands = "() => document.activeElement.getAttribute('aria-label') ?? document.activeElement.textContent"
    assert page.evaluate(stands) == "Rename"
    nudge = page.locator("#chosen .nudge").first
    label = nudge.get_attribute("aria-label")
    nudge.press("Enter")
    saved(page, 4)
    page.keyboard.press("Enter")
    saved(page, 5)
    assert page.evaluate(stands) == label
    page.locator("#notices li", has_text="good side").locator("button", has_text="Answer").press("Enter")
    page.locator("#ask .picks button").first.press("Enter")
    saved(page, 6)
    assert page.evaluate("() => Boolean(document.activeElement.closest('#notices-part'))")
    page.locator("#undo").press("Enter")
    saved(page, 7)
    assert page.evaluate("() => document.activeElement.id") == "undo"


def test_a_post_under_the_mouse_lights_in_plan_elevation_and_list(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    page.locator("summary", has_text="All that is there").click()
    page.locator("details[data-kind=post] summary").click()
    page.locator('#elevation [data-id="post 3"] rect').first.hover()
    for place in (
        '#paper .now-lit[data-id="post 3"]',
        '#elevation .lit[data-id="post 3"]',
        '#things .lit[data-about="post 3"]',
    ):
        page.wait_for_selector(place, state="attached")
    page.locator('#things [data-about="post 2"]').hover()
    for place in (
        '#paper .now-lit[data-id="post 2"]',
        '#elevation .lit[data-id="post 2"]',
        '#things .lit[data-about="post 2"]',
    ):
        page.wait_for_selector(place, state="attached")
    assert page.locator('.lit[data-id="post 3"], .now-lit[data-id="post 3"]').count() == 0


def test_corners_of_a_zone_and_all_of_a_building_are_dragged(page: Page, server: Server) -> None:
    job = drawn_l(page)
    zone = {"kind": "zone", "name": "gas", "points": [[3, -3], [3, 18]], "each_side": "24 in", "inside": "hand dig"}
    house = {"kind": "building", "name": "house", "points": [[6, 0], [12, 0], [12, 6], [6, 6]]}
    ask_edits(page, job, [zone, house])
    open_table(page, server, job)
    page.locator("summary", has_text="All that is there").click()
    page.locator("details[data-kind=zone] summary").click()
    page.locator('#things button[data-about="zone gas"]').click()
    grab(page, middle(page, "#paper .now-chosen .corner-grip"), (25, -8))
    page.mouse.up()
    saved(page, 4)
    first, second = jobfile.read_text(text_of(page, job), "job.yaml").zones[0].through
    assert first.xy is not None
    assert first.xy[0] > 3.5
    assert second.xy == pytest.approx((3, 18), abs=0.003)
    grab(page, middle(page, '#paper [data-id="building house"] .line'), (30, 0))
    page.mouse.up()
    saved(page, 5)
    ring = [ref.xy for ref in jobfile.read_text(text_of(page, job), "job.yaml").buildings[0][1]]
    assert ring[1][0] - ring[0][0] == pytest.approx(6, abs=0.004)  # type: ignore[index]
    assert 6.4 < ring[0][0] < 12  # type: ignore[index]


def test_what_is_drawn_stays_until_it_is_taken(page: Page, server: Server, said: list[str]) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    page.click("[data-hand=old]")
    click(page, 250, 330)
    click(page, 600, 340)
    page.keyboard.press("Enter")
    page.wait_for_selector("dialog#ask[open]")  # the key that ended the line does not answer as well
    page.locator("#ask button.main").click()
    page.wait_for_selector("#ask .wrong")  # how far apart its posts are was not said
    page.locator("#ask [name=every]").fill("8 quux")
    page.locator("#ask [name=footing]").fill("10 in")
    page.locator("#ask button.main").click()
    page.wait_for_selector("#refused:not([hidden])")
    page.click("#chain-end")
    page.locator("#ask [name=every]").fill("8 ft")
    page.locator("#ask [name=footing]").fill("10 in")
    page.locator("#ask button.main").click()
    saved(page, 3)
    old = jobfile.read_text(text_of(page, job), "job.yaml").removals[0]
    assert (old.then, len(old.through)) == ("pull", 2)
    assert page.locator("#paper .kind-old-post").count() > 3
    assert len(said) == 1
    said.clear()


def test_how_far_to_keep_clear_of_a_pipe_is_asked_and_not_proposed(page: Page, server: Server) -> None:
    """It is another length in every state; and a pipe is not an inch wide because nobody said how wide."""
    job = drawn_l(page)
    open_table(page, server, job)
    page.click("[data-hand=clear]")
    click(page, 250, 330)
    click(page, 600, 340)
    page.keyboard.press("Enter")
    page.wait_for_selector("dialog#ask[open]")
    page.locator("#ask [name=utility]").select_option("gas")
    page.locator("#ask button.main").click()
    page.wait_for_selector("#ask [name=each_side][aria-invalid]")
    page.locator("#ask [name=each_side]").fill("18 in")
    page.keyboard.press("Enter")
    saved(page, 3)
    zone = jobfile.read_text(text_of(page, job), "job.yaml").zones[0]
    assert (zone.name, zone.utility, zone.width_m) == ("gas", "gas", 0.0)
    assert "each side: 18 in" in text_of(page, job)


def test_a_file_is_imported_and_asks_what_it_leaves_open(
    page: Page, server: Server, said: list[str], tmp_path: Path
) -> None:
    lot = new_job(page, **{"from": "text", "text": LOT})
    drawing = page.evaluate(
        "async (job) => (await fetch(`/api/jobs/${job}/exports/landxml`)).text()", lot
    )  # our own writer; its readers are tested in tests/exchange
    (tmp_path / "lot no. #7.xml").write_text(drawing, "utf-8")
    (tmp_path / "pins.csv").write_text("1,5000.00,2000.00,,FOUND PIN\n2,5100.00,2000.00,,\n3,5100.00,2080.00,,\n")
    job = new_job(page, title="From a file")
    open_table(page, server, job)
    page.set_input_files("#bring-file", tmp_path / "lot no. #7.xml")
    saved(page, 2)
    assert page.locator("#paper .kind-side").count() == 4
    read = jobfile.read_text(text_of(page, job), "job.yaml")
    assert (read.title, read.boundary is not None) == ("From a file", True)
    page.set_input_files("#bring-file", tmp_path / "lot no. #7.xml")
    page.wait_for_selector("#refused:not([hidden])")
    assert "boundary already" in page.locator("#refused-text").inner_text()
    page.keyboard.press("Escape")
    assert page.locator("#refused").is_hidden()
    other = new_job(page, title="From a list")
    open_table(page, server, other)
    page.set_input_files("#bring-file", tmp_path / "pins.csv")
    page.locator("#ask select").select_option("PNEZD")
    page.locator("#ask button.main").click()
    page.wait_for_function("() => document.querySelector('#ask select[name=unit]')")
    page.locator("#ask select[name=unit]").select_option("ft")
    page.locator("#ask button.main").click()
    saved(page, 2)
    assert [point.name for point in jobfile.read_text(text_of(page, other), "job.yaml").points] == ["1", "2", "3"]
    assert all("422" in line for line in said)
    said.clear()


def test_figures_are_compared_with_how_the_job_was_opened_and_then_with_a_named_version(
    page: Page, server: Server
) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    page.click("[data-hand=gate]")
    page.mouse.click(*middle(page, '#paper [data-id="bay 3-4"]'))
    answer(page, "4 ft")
    saved(page, 3)
    assert "gates: 1 more" in page.locator(".difference").inner_text()
    page.locator("summary", has_text="Versions and alternates").click()
    page.click("#mark")
    answer(page, "as sold")
    page.wait_for_function("() => document.querySelector('#against').selectedOptions[0].text === 'as sold'")
    page.click("#undo")
    saved(page, 4)
    assert "gates: 1 less" in page.locator(".difference").inner_text()
    page.goto(f"{server.base}/jobs/{job}")
    page.wait_for_function("() => document.querySelector('#counts .difference')?.textContent.includes('gates: 1 less')")


def test_a_fence_along_the_line_of_the_property(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": LOT})
    open_table(page, server, job)
    page.mouse.click(*middle(page, '#paper [data-id="side 2"] .grip'))
    page.locator("#chosen button", has_text="Fence along the line").click()
    page.locator("#ask [name=sides]").fill("1, 2, 3")
    page.locator("#ask button.main").click()
    page.wait_for_selector("#ask .wrong")  # nothing is taken for what nobody said
    page.locator("#ask [name=inside]").fill("8 in")
    page.locator("#ask button.main").click()
    saved(page, 2)
    run = jobfile.read_text(text_of(page, job), "job.yaml").runs[0]
    assert run.sides == (1, 2, 3)
    assert run.inset is not None
    assert run.inset.distance_m == pytest.approx(8 * 0.0254)


BROKEN = """palewright: 1
job: {title: Too far}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [0 ft, 40 ft]}, C: {at: [60 ft, 40 ft]}}
fences:
  f: {kind: boards, board: 6 ft, good side: neighbour}
runs:
  - {name: rear, fence: f, through: [A, B, C], yard: right, follows: racked, gates: [{opening: 4 ft, starts: 70 ft from A}]}
"""


def test_a_fence_drawn_on_the_property_line_asks_how_far_inside(page: Page, server: Server) -> None:
    """Nothing is proposed: what is left empty stays on the line. What was typed is kept, and worth falling on next."""
    job = new_job(page, **{"from": "text", "text": LOT})
    open_table(page, server, job)
    page.click("[data-hand=fence]")
    page.mouse.click(*centre(page, "corner corner 2"))
    page.mouse.click(*centre(page, "corner corner 3"))
    page.click("#chain-end")
    page.wait_for_selector("dialog#ask[open]")
    assert page.locator("#ask input").input_value() == ""
    page.keyboard.press("Escape")
    page.wait_for_selector("dialog#ask:not([open])", state="attached")
    assert page.locator("#chain-end").is_enabled()  # what was drawn stays
    page.click("#chain-end")
    answer(page, "10 in")
    saved(page, 2)
    text = text_of(page, job)
    assert "inside boundary: {face: 10 in}" in text
    assert "through: [A, B]" in text
    page.click("[data-hand=fence]")
    side = middle(page, '#paper [data-id="side 1"] .grip')
    page.mouse.move(side[0] + 8, side[1])
    told(page, '10" inside side 1')


def test_a_problem_leads_to_what_it_is_about(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": BROKEN})
    open_table(page, server, job)
    assert page.locator("#trouble").inner_text() == "Problems: 1"
    page.click("#trouble")
    page.locator(".notice.problem button").click()
    assert page.locator("#chosen h3").inner_text() == "run rear"
    assert page.locator("#paper .now-chosen").count() == 1
    assert page.evaluate("() => scrollY") == 0
    href = page.locator(".notice.problem a").get_attribute("href")
    assert href == f"/jobs/{job}/text#line-7"


@pytest.fixture
def tablet(browser: Browser, server: Server, said: list[str]) -> Iterator[Page]:
    """The owner's page by touch, on a small screen."""
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    made = context.new_page()
    listen(made, said)
    server.enter(made)
    yield made
    context.close()


def fingers(page: Page) -> Callable[..., None]:
    """Fingers on the screen: what they do, and where each of them is."""
    session = page.context.new_cdp_session(page)

    def do(kind: str, *places: tuple[float, float]) -> None:
        points: list[Any] = [{"x": x, "y": y, "id": k} for k, (x, y) in enumerate(places)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    return do


def test_fingers_press_long_and_come_nearer_without_moving_a_point(tablet: Page, server: Server) -> None:
    job = drawn_l(tablet)
    open_table(tablet, server, job)
    touch = fingers(tablet)
    x, y = centre(tablet, "point B")
    touch("touchStart", (x, y))
    tablet.wait_for_selector("dialog#ask[open] .picks")
    touch("touchEnd")
    names = tablet.locator(".picks button").all_inner_texts()
    assert names[0] == "point B"
    assert any(name.startswith("post") for name in names)
    tablet.locator(".picks button", has_text="post").first.click()
    assert tablet.locator("#chosen h3").inner_text().startswith("post")
    before = tablet.locator("#bar-text").inner_text()
    touch("touchStart", (x, y))
    touch("touchStart", (x, y), (x + 40, y))
    for k in range(1, 7):
        touch("touchMove", (x - 12 * k, y), (x + 40 + 12 * k, y))
    touch("touchEnd")
    tablet.wait_for_function("before => document.querySelector('#bar-text').textContent !== before", arg=before)
    assert ask(tablet, "GET", f"/jobs/{job}")["revision"] == 2
