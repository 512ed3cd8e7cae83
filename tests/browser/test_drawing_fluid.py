"""Large jobs and quick hands: what is drawn at once, what is asked, and what is not there because nobody sees it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, Route
from tests.browser.conftest import Server, ask, new_job
from tests.browser.test_drawing_table import centre, drawn_l, open_table, saved
from tests.browser.yards import until

ROWS = "\n".join(
    f"  - {{name: row {k}, fence: f, through: [[0 ft, {k * 20} ft], [780 ft, {k * 20} ft]], yard: left}}"
    for k in range(20)
)
MANY = (
    "palewright: 1\njob: {title: Many}\nfences:\n  f: {kind: post-and-rail, longest bay: 8 ft, rails: 3}\nruns:\n"
    f"{ROWS}\n"
)
TURN = """([turn, times]) => {
    const paper = document.querySelector("#paper");
    const box = paper.getBoundingClientRect();
    const at = {clientX: box.left + box.width / 2, clientY: box.top + box.height / 2};
    for (let k = 0; k < times; k++) paper.dispatchEvent(new WheelEvent("wheel", {deltaY: turn, ...at, bubbles: true, cancelable: true}));
}"""
ROW_OF_DOTS = (
    """() => [...document.querySelectorAll("#paper .dots")].map((row) => row.getAttribute("d").split("M").length - 1)"""
)


def test_of_thousands_of_posts_those_in_view_are_drawn(page: Page, server: Server) -> None:
    """From far every run is a row of dots; from near its posts are there, and those out of view are not."""
    job = new_job(page, **{"from": "text", "text": MANY})
    open_table(page, server, job)
    posts = ask(page, "GET", f"/jobs/{job}/sight")["sight"]["counts"]["posts"]
    assert posts > 1900
    dots = page.evaluate(ROW_OF_DOTS)
    assert (len(dots), sum(dots)) == (20, posts)
    assert page.locator("#paper .kind-post").count() == 0
    page.evaluate(TURN, [-300, 5])
    page.wait_for_function(
        "most => { const there = document.querySelectorAll('#paper .kind-post').length; return there > 20 && there < most; }",
        arg=posts / 2,
    )
    page.wait_for_function("() => document.querySelectorAll('#paper .words.on-post').length > 5")
    assert page.evaluate(ROW_OF_DOTS) == []
    page.evaluate(TURN, [300, 9])
    page.wait_for_function("() => !document.querySelector('#paper .kind-post')")
    assert sum(page.evaluate(ROW_OF_DOTS)) == posts


def test_seen_from_far_only_dots_of_the_run_that_is_dragged_are_made_anew(page: Page, server: Server) -> None:
    named = MANY.replace("fences:", "points: {P: {at: [0 ft, 380 ft]}, Q: {at: [780 ft, 380 ft]}}\nfences:", 1)
    job = new_job(
        page,
        **{"from": "text", "text": named.replace("through: [[0 ft, 380 ft], [780 ft, 380 ft]]", "through: [P, Q]")},
    )
    open_table(page, server, job)
    before = page.evaluate("""() => {
        const rows = [...document.querySelectorAll("#paper .dots")];
        for (const row of rows) row.stays = true;
        return rows.map((row) => row.getAttribute("d"));
    }""")
    x, y = centre(page, "point Q")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 60, y + 4, steps=3)
    page.wait_for_function(
        "before => [...document.querySelectorAll('#paper .dots')].some((row) => !before.includes(row.getAttribute('d')))",
        arg=before,
    )
    assert page.evaluate("() => [...document.querySelectorAll('#paper .dots')].filter((row) => row.stays).length") == 19
    assert page.locator("#paper .dots").count() == 20
    page.keyboard.press("Escape")
    page.mouse.up()
    page.wait_for_function(
        "before => [...document.querySelectorAll('#paper .dots')].every((row) => before.includes(row.getAttribute('d')))",
        arg=before,
    )


SEEN = """() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(
    () => done(document.querySelector("#paper .overlay .trial").style.getPropertyValue("--x")))))"""


LINE = """() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(
    () => done(document.querySelector("#paper .overlay .trial-line").getAttribute("d")))))"""


def held(page: Page, what: str) -> tuple[list[Route], Callable[[], None]]:
    """Requests of a kind wait until they are let go."""
    waiting: list[Route] = []
    page.route(f"**/{what}", lambda route: waiting.append(route))

    def free() -> None:
        for route in waiting:
            route.continue_()
        page.unroute(f"**/{what}")

    return waiting, free


def test_what_is_dragged_follows_the_hand_before_anybody_answers(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    waiting, free = held(page, "trial")
    x, y = centre(page, "point B")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y + 6)
    page.wait_for_selector("#paper .overlay .trial", state="attached")
    places = set()
    for k in range(1, 20):
        page.mouse.move(x + 30 + 4 * k, y + 6)
        places.add(page.evaluate(SEEN))
    assert len(places) > 8  # it falls on whole feet, and follows from one to the next
    page.wait_for_function("() => document.querySelectorAll('#paper .overlay .trial-line').length === 2")  # both legs
    assert len(waiting) == 1  # the others would have been outdated
    free()
    page.mouse.up()
    saved(page, 3)
    page.wait_for_selector("#paper .overlay .trial", state="detached")


def test_a_line_that_is_drawn_follows_the_mouse_before_anybody_answers(page: Page, server: Server) -> None:
    job = new_job(page, title="Slow")
    open_table(page, server, job)
    page.click("[data-hand=fence]")
    box = page.locator("#paper").bounding_box()
    assert box is not None
    x, y = box["x"] + 200, box["y"] + 330
    page.mouse.click(x, y)
    page.wait_for_selector("#doing:not([hidden])")
    page.mouse.move(x + 40, y + 3)
    page.wait_for_load_state("networkidle")
    waiting, free = held(page, "snap")
    ends = set()
    for k in range(6):
        page.mouse.move(x + 90 + 30 * k, y + 3)
        ends.add(page.evaluate(LINE))
    assert len(waiting) == 1
    assert len(ends) >= 5
    free()


STANDS = """(id) => JSON.stringify(document.querySelector(`#paper [data-id="${id}"]`).getBoundingClientRect())"""


APART = """() => {
    const middle = (id) => {
        const box = document.querySelector(`#paper [data-id="${id}"]`).getBoundingClientRect();
        return [box.x + box.width / 2, box.y + box.height / 2];
    };
    const away = ([ax, ay], [bx, by]) => Math.hypot(ax - bx, ay - by);
    const found = {hole: [], bay: []};
    for (const {dataset} of document.querySelectorAll("#paper .kind-hole[data-id]"))
        found.hole.push(away(middle(dataset.id), middle(dataset.id.replace("hole", "post"))));
    for (const {dataset} of document.querySelectorAll("#paper .kind-bay[data-id]")) {
        const [a, b] = dataset.id.slice(4).split("-").map((label) => middle(`post ${label}`));
        found.bay.push(away(middle(dataset.id), [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]));
    }
    return found;
}"""
"""Pixels from the middle of every hole to that of its post, and from that of every bay to that of its two posts."""


def tried(page: Page) -> list[dict[str, Any]]:
    """What the page asks while something is dragged, one after the other."""
    found: list[dict[str, Any]] = []
    page.on("request", lambda request: found.append(request.post_data_json) if request.url.endswith("/trial") else None)
    return found


def test_the_plan_follows_a_hand_that_moves_and_figures_and_side_view_one_that_rests(
    page: Page, server: Server
) -> None:
    job = drawn_l(page)
    page.clock.install()
    open_table(page, server, job)
    fence, side = page.locator("#counts dd").first, page.locator("#elevation-name")
    before = fence.inner_text(), side.inner_text()
    asked, post = tried(page), page.evaluate(STANDS, "post 3")
    x, y = centre(page, "point B")
    page.clock.pause_at(page.evaluate("() => Date.now() + 1000"))
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 40, y - 30, steps=3)
    page.clock.run_for(20)  # one frame
    until(lambda: page.evaluate(STANDS, "post 3") != post)
    assert [one["answer"] for one in asked] == ["places"]
    assert (fence.inner_text(), side.inner_text()) == before
    apart = page.evaluate(APART)
    assert len(apart["hole"]) > 5
    assert len(apart["bay"]) > 5
    assert max(*apart["hole"], *apart["bay"]) < 1.0  # they go with their posts
    page.clock.run_for(150)
    until(lambda: fence.inner_text() != before[0] and side.inner_text() != before[1])
    assert [one["answer"] for one in asked] == ["places", "change"]
    told = ask(page, "POST", f"/jobs/{job}/trial", {**asked[0], "answer": "change"})["sight"]
    assert fence.inner_text() == told["counts"]["fence"]
    assert side.inner_text().endswith(told["counts"]["runs"][0]["length"])
    page.clock.run_for(2000)
    assert len(asked) == 3  # the last is ours: nothing more is asked of a hand that rests
    with page.expect_request("**/trial") as more:
        page.mouse.move(x - 60, y - 40)
        page.clock.run_for(20)
    # figures follow a hand that goes on as well, a few times a second
    assert more.value.post_data_json["answer"] == "change"
    page.clock.resume()
    page.mouse.up()
    saved(page, 3)
    sight = ask(page, "GET", f"/jobs/{job}/sight")["sight"]
    assert fence.inner_text() == sight["counts"]["fence"]
    assert side.inner_text().endswith(sight["counts"]["runs"][0]["length"])


def test_figures_go_back_with_the_hand(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    fence = page.locator("#counts dd").first
    before = fence.inner_text()
    x, y = centre(page, "point B")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 40, y - 30, steps=3)
    until(lambda: fence.inner_text() != before)
    page.mouse.move(x, y, steps=3)
    until(lambda: fence.inner_text() == before)
    page.keyboard.press("Escape")
    page.mouse.up()
    assert fence.inner_text() == before
    assert ask(page, "GET", f"/jobs/{job}/sight")["sight"]["counts"]["fence"] == before


def test_an_answer_that_comes_after_its_drag_is_not_drawn(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    before = page.locator("#counts dd").first.inner_text()
    waiting, free = held(page, "trial")
    x, y = centre(page, "point C")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 80, y, steps=4)
    page.wait_for_function("() => document.querySelector('#paper .overlay .trial')")
    while not waiting:
        page.wait_for_timeout(10)
    page.keyboard.press("Escape")
    page.mouse.up()
    with page.expect_response("**/trial"):
        free()
    page.wait_for_load_state("networkidle")
    assert page.locator("#counts dd").first.inner_text() == before
    assert page.locator("#paper .overlay *").count() == 0
    assert ask(page, "GET", f"/jobs/{job}")["revision"] == 2
