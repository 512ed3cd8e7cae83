"""The phone never says two things of one reading: the list, the card, and what is said before the crew leaves."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import ask, new_job
from tests.browser.test_yard_words import ADD
from tests.browser.yards import FENCE, ROOT, TICKED, Phone, goto, view

FT = 0.3048
THREE = """palewright: 1
job: {title: Three bays}
points:
  A: {at: [0 ft, 0 ft]}
  B: {at: [22 ft, 0 ft]}
fences:
  field: {kind: post-and-rail, longest bay: 8 ft, rails: 3}
runs:
  - {name: front, fence: field, through: [A, B], yard: left}
"""
OVER = "all => all.filter((one) => one.scrollWidth > one.clientWidth).map((one) => one.textContent)"


@pytest.fixture(autouse=True)
def quiet(said: list[str]) -> Iterator[None]:
    """Nothing that a page complained of goes by unseen."""
    yield
    assert said == []


def listed(page: Page, name: str) -> dict[str, str]:
    """The mark of each line of the list behind the place, as it is read aloud."""
    page.click(f"#view-{name}")
    page.click("#where")
    lines = page.locator("#sheet .things button").all()
    found = {
        one.locator("span").first.inner_text(): one.locator(".told").get_attribute("aria-label") or ""
        for one in lines
        if one.locator(".told").count()
    }
    page.click("#sheet-close")
    return found


def test_a_check_that_fails_is_no_check_that_is_done(owner: Page, opened: Phone, job: str) -> None:
    """A corner 2 in off, a gate 1 in narrow, a run 3 in long and a hole 6 in deep are entered: none of them is good."""
    pack = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]
    check, gate, run = pack["checks"][0], pack["gates"][0], pack["runs"][0]
    name = f"{check['number']} · {check['title']}"
    hole, ticked = pack["holes"][0], pack["holes"][1]
    tick = pack["units"]["tick_m"]
    page = opened(job)
    rows: list[tuple[str, str, dict[str, object]]] = [
        (check["about"], "checked", {"reads_m": check["ticks"] * tick - FT / 6}),
        (gate["about"], "gate", {"clear_m": 4 * FT - FT / 12}),
        (run["about"], "length", {"built_m": 52 * FT + FT / 4}),
        (hole["about"], "done", {"done": True}),
        (hole["about"], "measured", {"depth_m": FT / 2}),
        (ticked["about"], "done", {"done": True}),
    ]
    page.evaluate(ADD, [job, rows])
    page.reload()
    page.wait_for_selector("#card article")
    last = listed(page, "last")
    assert listed(page, "checks")[name] == "does not pass"
    assert (last[gate["title"]], last[run["title"]]) == ("does not pass", "does not pass")
    holes = listed(page, "holes")
    assert (holes[hole["title"]], holes[ticked["title"]]) == ("does not pass", "done, and good")
    view(page, "last", list(last).index("Before you leave"))
    card = page.locator("#card").inner_text()
    unread = len(pack["checks"]) - 1
    assert page.locator("#card .reads").inner_text() == str(len(pack["holes"]) - 2 + 4 + unread)
    shallow = next(row["say"] for row in hole["depth"]["rows"] if not row["ok"])
    assert f"{hole['title']}: {shallow}" in card  # what is wrong is said, not only where
    assert all(f"{title}: " in card for title in (name, gate["title"], run["title"]))
    assert (page.locator("#card").text_content() or "").count(" · ") == len(
        pack["checks"]
    )  # those that nobody read are named too
    page.click("#language")
    assert listed(page, "last")[run["title"].replace("run", "tramo")] == "no pasa"


def test_a_post_that_was_moved_is_told_everywhere_as_it_stands(owner: Page, opened: Phone) -> None:
    """Three bays of 7 ft 4 in, 8 ft at most. Post 2 is kept 1 ft toward post 1: bay 2-3 is 8 ft 4 in then, the tape reads 6 ft 4 in."""
    job = new_job(owner, **{"from": "text", "text": THREE})
    page = opened(job)
    goto(page, 2)
    page.evaluate(ADD, [job, [["post 2", "moved", {"along_m": -FT, "why": "rock"}]]])
    page.reload()
    page.wait_for_selector("#card article .last")
    card = page.locator("#card")
    assert "The tape reads 6' 4\" there" in card.locator(":scope > article > .last").inner_text()
    assert "Bay 2-3 becomes too long" in card.locator(":scope > article > .not").inner_text()
    card.locator("details[data-key=moved] summary").click()
    panel = card.locator("details[data-key=moved] .verdict")
    assert "The tape reads 6' 4\" there" in panel.inner_text()
    assert "Bay 2-3: 8' 4\"" in panel.inner_text()
    assert "Bay 2-3 fits" not in panel.inner_text()
    assert card.locator("input[type=range]").get_attribute("data-dirty") is None
    assert "6' 4\" from the one before as they stand now (planned: 7' 4\")" in card.inner_text()
    goto(page, 3)
    assert "Bay 2-3 becomes too long" in card.locator(":scope > article > .not").first.inner_text()
    assert "8' 4\" from the one before as they stand now (planned: 7' 4\")" in card.inner_text()
    marks = listed(page, "holes")
    assert (marks["post 2"], marks["post 3"], marks["post 1"]) == ("does not pass", "does not pass", "to do")
    view(page, "last", 3)
    assert page.locator("#card .not").inner_text() == "1 wrong or out of limits:"
    assert page.locator("#card ul").first.inner_text().startswith("Bay 2-3 becomes too long: ")
    page.click("#view-holes")
    page.click("#where")
    assert page.locator("#sheet .things button").evaluate_all(OVER) == []
    assert "7' 4\" → 6' 4\"" in page.locator("#sheet .things").inner_text()


def test_a_hole_is_marked_by_its_centre_and_a_post_set_by_its_face(owner: Page, opened: Phone) -> None:
    """A 4x4 is 3 1/2 in thick (PS 20 dressed size): its face is 1 3/4 in nearer to the string than the centre of its hole."""
    text = (ROOT / "examples/tansy-court.yaml").read_text("utf-8")
    job = new_job(owner, **{"from": "text", "text": text})
    page = opened(job)
    goto(page, 0)
    card = page.locator("#card")
    assert (
        "String to the centre of the holes\n\n2' 0\"\n\nString to the face of the posts\n\n1' 10 1/4\""
        in card.inner_text()
    )
    page.click("#where")
    assert "centre 2' 0\" · face 1' 10 1/4\"" in page.locator("#sheet .things li").first.inner_text()
    page.click("#sheet-close")
    goto(page, 2)
    assert (
        "String to the centre of the hole: 2' 0\"\n\nString to the face of the post: 1' 10 1/4\"" in card.inner_text()
    )
    page.select_option("#string", "string D")
    goto(page, 3)
    assert "Post 35 differs from the others: string to its face 1' 9 1/4\"." in card.inner_text()


def test_a_tape_that_is_too_short_is_told_and_a_check_has_its_number(owner: Page, opened: Phone) -> None:
    """The diagonal of 100 ft by 60 ft is 116 ft 7 3/8 in (100² + 60² = 13,600): longer than a tape of 100 ft, and in two pieces of whole feet none is longer than 59 ft."""
    points = "  A: {at: [0 ft, 0 ft]}\n  B: {at: [100 ft, 0 ft]}\n  C: {at: [100 ft, 60 ft]}\n"
    text = THREE.partition("points:")[0] + f"points:\n{points}fences:" + THREE.partition("fences:")[2]
    job = new_job(owner, **{"from": "text", "text": text.replace("[A, B]", "[A, B, C]")})
    pack = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]
    place = [check["expect"] for check in pack["checks"]].index("116' 7 3/8\"")
    page = opened(job)
    view(page, "checks", place)
    card = page.locator("#card")
    assert "Longer than the 100' 0\" tape" in card.locator(".near").inner_text()
    assert "59' 0\"" in card.locator(".near").inner_text()
    assert f"Check {pack['checks'][place]['number']}" in card.locator("h2").inner_text()


def test_the_phone_opens_where_the_work_begins_and_asks_before_a_post_is_set_too_early(
    owner: Page, opened: Phone, job: str
) -> None:
    """Nothing of the locate is entered: it comes first, the holes begin with their string, and the first tick asks once."""
    page = opened(job, start="")
    assert page.locator("#view-locate").get_attribute("aria-current") == "true"
    page.click("#view-holes")
    assert page.locator("#card h2").inner_text() == "String A"
    page.click("#next")
    assert page.locator("#card .reads").evaluate("one => one.previousElementSibling.textContent") == "The tape reads"
    button = page.locator("#card .tick .huge")
    button.click()
    page.wait_for_selector("#sheet[open]")
    assert "Nobody digs before" in page.locator("#sheet").inner_text()
    page.click("#sheet-close")
    page.wait_for_selector("#sheet", state="hidden")
    assert button.get_attribute("aria-pressed") == "false"
    button.click()
    page.click("#sheet-body button")
    page.wait_for_function(TICKED)
    page.click("#next")
    button.click()
    page.wait_for_function(TICKED)
    page.goto(page.url.partition("#")[0] + "?")
    page.wait_for_selector("#view-locate[aria-current=true]")
    page.click("#view-holes")
    assert page.locator("#where").inner_text().startswith("3 /")  # where the crew stopped


def test_a_ticket_that_has_run_out_stops_and_a_gate_post_that_is_off_tells_its_opening(
    owner: Page, opened: Phone
) -> None:
    """The gate is 4 ft from post to post: a post of it read 2 in off toward the other leaves 3 ft 10 in."""
    old = "locate: {ticket: A1, called on: 2020-01-02, legal from: 2020-01-06, expires: 2020-01-20, members: {gas: marked}, private: [irrigation]}\n"
    job = new_job(owner, **{"from": "text", "text": FENCE.format(style="feet-inches") + old})
    page = opened(job, start="")
    assert page.locator("#stop").inner_text().startswith("TICKET EXPIRED 2020-01-20")
    assert page.locator("#view-locate").get_attribute("aria-current") == "true"
    pack = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]
    gate = pack["gates"][0]
    label = gate["ends"][0]
    inward = -round(gate["signs"][0]) * FT / 6
    page.evaluate(ADD, [job, [[label, "measured", {"back_m": inward}]]])
    page.reload()
    page.wait_for_selector("#card article")
    view(page, "holes", 1 + pack["strings"][0]["holes"].index(label))
    wrong = page.locator("#card > article > .not").all_inner_texts()
    assert any(one.startswith(f"{gate['title']}: 3' 10\" clear then. Not as planned (4' 0\")") for one in wrong), wrong
    page.locator("#card .tick .huge").click()
    page.wait_for_selector("#sheet[open]")
    assert "TICKET EXPIRED" in page.locator("#sheet").inner_text()


def test_posts_that_the_office_numbers_anew_take_no_ticks_with_them(owner: Page, opened: Phone) -> None:
    """Post 3 is ticked and then is post 5: a run of two posts is put before it. Nothing says that the new post 3 is set."""
    job = new_job(owner, **{"from": "text", "text": THREE})
    page = opened(job)
    goto(page, 3)
    page.locator("#card .tick .huge").click()
    page.wait_for_function(TICKED)
    page.wait_for_function("() => document.querySelector('#state').dataset.left === '0'")
    first = "runs:\n  - {name: short side, fence: field, through: [[0 ft, 40 ft], [6 ft, 40 ft]], yard: left}\n"
    body = {"text": THREE.replace("runs:\n", first), "revision": 1, "key": "renumbered-" + "k" * 16}
    ask(owner, "PUT", f"/jobs/{job}/text", body)
    page.reload()
    page.wait_for_selector("#news:not([hidden])")
    page.wait_for_function("() => document.querySelector('#string').options.length > 1")
    goto(page, 0)
    card = page.locator("#card")
    for place in (1, 2):
        goto(page, place)
        assert card.locator(".tick .huge").get_attribute("aria-pressed") == "false"
    page.select_option("#string", "string B")
    goto(page, 1)
    assert card.locator("h2").inner_text().startswith("post 3")
    assert card.locator(".tick .huge").get_attribute("aria-pressed") == "false"
    assert "before the office changed the plan" in card.inner_text()
    told = ask(owner, "GET", f"/jobs/{job}/asbuilt/sheet?lang=en")["open"]
    assert any("not used (1): post 3." in line for line in told), told
    assert any(line.startswith("Not entered as set (6)") for line in told), told
