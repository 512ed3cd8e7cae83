"""The drawing table as its users use it; what was saved is asked of the interface, not of the page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page
from tests.browser.conftest import Server, ask, listen, new_job

from palewright import jobfile
from palewright.plan import make_plan

FT = 0.3048


def open_table(page: Page, server: Server, job: str) -> None:
    page.goto(f"{server.base}/jobs/{job}")
    page.wait_for_selector("#state:not(:empty)")


def saved(page: Page, number: int) -> None:
    page.wait_for_function("n => document.querySelector('#state').textContent.includes(` ${n}`)", arg=number)


def text_of(page: Page, job: str) -> str:
    return str(ask(page, "GET", f"/jobs/{job}/text")["text"])


def spot(page: Page, x: float, y: float) -> tuple[float, float]:
    """A place on the screen, in pixels of the drawing."""
    box = page.locator("#paper").bounding_box()
    assert box is not None
    return box["x"] + x, box["y"] + y


def click(page: Page, x: float, y: float) -> None:
    at = spot(page, x, y)
    page.mouse.move(*at)
    page.mouse.click(*at)
    page.wait_for_timeout(60)


def answer(page: Page, text: str) -> None:
    page.wait_for_selector("dialog#ask[open]")
    page.locator("#ask input").first.fill(text)
    page.keyboard.press("Enter")
    page.wait_for_selector("dialog#ask:not([open])", state="attached")


def centre(page: Page, thing: str) -> tuple[float, float]:
    box = page.locator(f'#paper [data-id="{thing}"] .spot').bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


IN_VIEW = """() => {
    const told = document.querySelector("#told").getBoundingClientRect();
    const paper = document.querySelector("#paper").getBoundingClientRect();
    return [...document.querySelectorAll("#paper .kind-run")].map((run) => run.getBoundingClientRect())
        .every((run) => run.top > told.bottom && run.bottom < paper.bottom);
}"""
"""The elevation has opened under the drawing: the runs stand above it, and below what is said."""


def test_an_l_shaped_fence_with_a_gate_from_nothing_to_a_printed_sheet(
    page: Page, server: Server, tmp_path: Path
) -> None:
    job = new_job(page, title="Corner of nothing")
    open_table(page, server, job)
    page.click("[data-hand=fence]")
    click(page, 200, 330)
    page.mouse.move(*spot(page, 480, 334))
    page.wait_for_function("() => document.querySelector('#told').textContent.includes(\"'\")")
    page.keyboard.press("4")
    answer(page, "40 ft")
    page.mouse.move(*spot(page, 480, 150))
    page.wait_for_timeout(150)
    page.keyboard.press("2")
    answer(page, "24 ft 6 in")
    page.locator("#paper").press("Enter")
    saved(page, 2)
    page.wait_for_function(IN_VIEW)
    page.click("[data-hand=gate]")
    bay = page.locator('#paper [data-id="bay 2-3"]').bounding_box()
    assert bay is not None
    page.mouse.click(bay["x"] + bay["width"] / 2, bay["y"] + bay["height"] / 2)
    answer(page, "4 ft")
    saved(page, 3)
    read = jobfile.read_text(text_of(page, job), "job.yaml")
    plan = make_plan(read)
    legs = [
        ((leg.end[0] - leg.start[0]) ** 2 + (leg.end[1] - leg.start[1]) ** 2) ** 0.5 / FT for leg in plan.design.legs
    ]
    assert legs == pytest.approx([40.0, 24.5], abs=0.001)
    assert [round(gate.opening_m / FT, 6) for gate in plan.design.gates] == [4.0]
    page.goto(f"{server.base}/jobs/{job}/papers")
    page.wait_for_selector('a[href*="crew.pdf"]')
    with page.expect_download() as download:
        page.evaluate(
            """async (job) => {
                const answer = await fetch(`/api/jobs/${job}/papers/crew.pdf`);
                const link = document.createElement("a");
                link.href = URL.createObjectURL(await answer.blob());
                link.download = "crew.pdf";
                link.click();
            }""",
            job,
        )
    assert Path(download.value.path()).read_bytes().startswith(b"%PDF-1.7")


PLACES = {"house left": (0.0, 0.0), "house right": (40.0, 0.0), "A": (-8.0, 30.0), "B": (52.0, 34.0), "C": (20.0, 60.0)}


def test_twelve_tapes_with_one_misread(page: Page, server: Server) -> None:
    """Four points, every distance between them and three again; one a whole foot too long: it lights up, with its size."""
    job = new_job(page, title="Twelve tapes")
    open_table(page, server, job)
    ask_edits(page, job, [{"kind": "wall", "start": "house left", "end": "house right", "length": "40' 0\""}])
    names = list(PLACES)
    pairs = [(a, b) for k, a in enumerate(names) for b in names[k + 1 :] if (a, b) != ("house left", "house right")]
    pairs += [("house left", "A"), ("house right", "B"), ("house right", "C")]
    assert len(pairs) == 12
    for k, (a, b) in enumerate(pairs):
        far = ((PLACES[a][0] - PLACES[b][0]) ** 2 + (PLACES[a][1] - PLACES[b][1]) ** 2) ** 0.5
        eighths = round(far * 96) + (96 if k == 5 else 0)
        feet, rest = divmod(eighths, 96)
        reads = f"{feet}' {rest // 8} {rest % 8}/8\"" if rest % 8 else f"{feet}' {rest // 8}\""
        ask_edits(page, job, [{"kind": "tape", "points": [a, b], "reads": reads, "with": "steel tape"}])
    open_table(page, server, job)
    assert "is A to your left or to your right?" in page.locator(".walk .asked").inner_text()  # no tape can tell
    page.locator(".walk button", has_text="left").click()
    saved(page, 15)
    page.locator("summary", has_text="Tapes").click()
    rows = page.locator("#tapes tr.tape")
    assert rows.count() == 13  # the wall is one
    doubted = page.locator("#tapes tr.tape.doubted")
    assert doubted.count() == 1
    assert pairs[5][0] in doubted.inner_text()
    assert pairs[5][1] in doubted.inner_text()
    assert page.locator("#paper .kind-tape.is-doubted").count() == 1


def ask_edits(page: Page, job: str, edits: list[dict[str, Any]]) -> Any:
    revision = ask(page, "GET", f"/jobs/{job}")["revision"]
    key = page.evaluate("async () => (await import('/static/shared/api.js')).newKey()")
    return ask(page, "POST", f"/jobs/{job}/edits", {"revision": revision, "edits": edits, "key": key})


def drawn_l(page: Page) -> str:
    job = new_job(page, title="Drag")
    points: list[list[float]] = [[0, 0], [0, 40 * FT], [60 * FT, 40 * FT]]
    ask_edits(page, job, [{"kind": "run", "name": "rear", "fence": "", "points": points, "yard": "", "closed": False}])
    return job


def test_a_corner_is_dragged_two_hundred_times(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    start = centre(page, "point B")
    page.mouse.move(*start)
    page.mouse.down()
    for k in range(200):
        page.mouse.move(start[0] + (k % 40) * 2 - 40, start[1] + (k % 25) * 2 - 20)
    page.mouse.move(start[0] + 60, start[1] + 10)
    page.mouse.up()
    saved(page, 3)
    assert ask(page, "GET", f"/jobs/{job}")["revision"] == 3  # one drag is one change, however long it took
    shown = page.locator("#counts dd").first.inner_text()
    text = text_of(page, job)
    plan = make_plan(jobfile.read_text(text, "job.yaml"))
    sight = ask(page, "GET", f"/jobs/{job}/sight")["sight"]
    assert shown == sight["counts"]["fence"]
    assert sight["counts"]["posts"] == len(plan.design.posts)
    page.click("#undo")
    saved(page, 4)
    page.click("#redo")
    saved(page, 5)
    assert text_of(page, job) == text


def test_two_browsers_on_one_job(page: Page, server: Server, context: BrowserContext, said: list[str]) -> None:
    """The second save on an old revision is refused, told, and nothing of either is lost."""
    job = drawn_l(page)
    other = context.new_page()
    listen(other, said)
    open_table(page, server, job)
    open_table(other, server, job)
    for one in (page, other):
        one.locator("summary", has_text="All that is there").click()
        one.locator("details[data-kind=point] summary").click()
        one.locator('button[data-about="point B"]').click()
    page.locator(".nudge").nth(1).click()
    saved(page, 3)
    other.locator(".nudge").nth(0).click()
    other.wait_for_selector("#refused:not([hidden])")
    assert ask(page, "GET", f"/jobs/{job}")["revision"] == 3
    other.click("#refused-load")
    saved(other, 3)
    other.locator(".nudge").nth(0).click()
    saved(other, 4)
    assert any("409" in line for line in said)
    said.clear()


def test_a_script_in_a_title_is_words(page: Page, server: Server) -> None:
    title = "<img src=x onerror=alert(1)><script>alert(2)</script> lot"
    job = new_job(page, title=title)
    called: list[str] = []
    page.on("dialog", lambda dialog: (called.append(dialog.message), dialog.dismiss()))
    for path in ("/", f"/jobs/{job}", f"/jobs/{job}/text", f"/jobs/{job}/papers", f"/yard/{job}"):
        page.goto(server.base + path)
        page.wait_for_function("title => document.body.textContent.includes(title)", arg=title)
        page.wait_for_load_state("load")
        if path.startswith("/jobs/"):
            page.wait_for_load_state("networkidle")  # the yard goes on asking
    assert called == []


def test_a_double_click_saves_once(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    page.locator("summary", has_text="All that is there").click()
    page.locator("details[data-kind=run] summary").click()
    page.locator('#things button[data-about="run rear"]').dblclick()
    page.locator("#chosen button", has_text="Remove").dblclick()
    page.wait_for_function("() => !document.querySelector('#paper [data-id=\"run rear\"]')")
    page.wait_for_timeout(300)
    assert ask(page, "GET", f"/jobs/{job}")["revision"] == 3


def test_keys_alone_move_a_point(page: Page, server: Server) -> None:
    job = drawn_l(page)
    open_table(page, server, job)
    page.locator("summary", has_text="All that is there").focus()
    page.keyboard.press("Enter")
    page.locator("details[data-kind=point] summary").focus()
    page.keyboard.press("Enter")
    page.locator('button[data-about="point C"]').focus()
    page.keyboard.press("Enter")
    before = text_of(page, job)
    page.locator("#paper").focus()
    page.keyboard.press("ArrowRight")
    saved(page, 3)
    after = text_of(page, job)
    changed = [line for line in after.splitlines() if line not in before.splitlines()]
    assert len(changed) == 1
    assert changed[0].strip().startswith("C:")


SLOPE = """palewright: 1
job: {title: Slope}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [80 ft, 0 ft]}}
fences: {mesh: {kind: chain-link}}
runs: [{name: front, fence: mesh, through: [A, B], yard: left, follows: grade}]
heights: [{string: front, drops: [[0 ft, 0 in], [40 ft, 24 in], [80 ft, 60 in]]}]
"""


def test_a_run_that_cannot_be_built_so_is_given_another_way(page: Page, server: Server) -> None:
    """A fabric of one height has no level top over ground that falls: the way out is on the page, in its words."""
    open_table(page, server, new_job(page, **{"from": "text", "text": SLOPE}))
    posts = page.locator("#counts dd").nth(1).inner_text()
    page.select_option("#follows", "level-top")
    saved(page, 2)
    notice = page.locator(".notice.problem")
    assert "stepped, racked or with the grade" in notice.inner_text()
    assert "`" not in notice.inner_text()
    assert page.locator("#counts dd").all_inner_texts() == ["–"] * 4
    assert page.locator("#follows").is_visible()
    page.select_option("#follows", "grade")
    saved(page, 3)
    assert page.locator(".notice.problem").count() == 0
    assert page.locator("#counts dd").nth(1).inner_text() == posts


def test_jobs_beside_each_other_say_which_has_more_and_are_gone_to_by_enter(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": SLOPE})
    other = new_job(page, **{"from": "text", "text": SLOPE.replace("[80 ft,", "[96 ft,").replace("Slope", "Longer")})
    open_table(page, server, job)
    page.locator("summary", has_text="Versions").click()
    page.locator(f'#beside-job option[value="{other}"]').wait_for(state="attached")
    page.select_option("#beside-job", other)
    assert page.url.endswith(job)  # a choice alone leaves the page where it is
    page.focus("#beside-job")
    page.keyboard.press("Enter")
    page.wait_for_selector("#differences li")
    assert page.locator("#differ-of").inner_text() == "The first, “Slope”, compared with the second, “Longer”:"
    assert "posts: 1 less (10, the second 11)" in page.locator("#differences").inner_text()
