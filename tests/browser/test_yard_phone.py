"""The phone in the yard: nothing doubled, nothing lost, nothing cut off; readings, gates, signature, photos."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from tests.browser.conftest import SEEN, Server, ask, listen, new_job

ROOT = Path(__file__).resolve().parents[2]
FENCE = """palewright: 1
job: {{title: Four bays, print: {style}}}
points:
  A: {{at: [0 ft, 0 ft]}}
  B: {{at: [32 ft, 0 ft]}}
  C: {{at: [32 ft, 20 ft]}}
fences:
  field: {{kind: post-and-rail, longest bay: 8 ft, rails: 3}}
runs:
  - {{name: front, fence: field, through: [A, B, C], yard: left, signed: 52 ft, gates: [{{name: walk, opening: 4 ft, starts: 10 ft from A, hinges: near}}]}}
"""
Phone = Callable[..., Page]
UUID = "00000000-0000-4000-8000-000000000001"
TICKED = "() => document.querySelector('#card .tick .huge').getAttribute('aria-pressed') === 'true'"
NAMED = """async () => {
  const { Box } = await import("/static/yard/box.js");
  await (await Box.open()).putFact("who", "Ana");
}"""


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for all tests of this page; every test has a job of its own."""
    made = Server(tmp_path_factory.mktemp("yard") / "jobs")
    yield made
    made.stop()


@pytest.fixture(scope="module")
def owner(browser: Browser, house: Server) -> Iterator[Page]:
    context = browser.new_context()
    page = context.new_page()
    page.goto(house.opening)
    yield page
    context.close()


@pytest.fixture(scope="module")
def session(browser: Browser, owner: Page, house: Server) -> Any:
    """Cookies of a phone that was paired; codes may be tried ten times a minute."""
    code = ask(owner, "POST", "/pairing", {"role": "crew"})["code"]
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{house.base}/pair")
    ask(page, "POST", "/pair", {"code": code, "name": "the crew"})
    yield context.storage_state()
    context.close()


@pytest.fixture
def opened(phone: Phone, owner: Page, session: Any) -> Phone:
    """A phone that is paired, with the yard of a job open."""
    return lambda job, script="", **more: named(phone(owner, job, script, storage_state=session, **more))


@pytest.fixture
def job(owner: Page) -> str:
    return new_job(owner, **{"from": "text", "text": FENCE.format(style="feet-inches")})


@pytest.fixture(autouse=True)
def quiet(said: list[str]) -> Iterator[None]:
    """Nothing that a page complained of goes by unseen."""
    yield
    assert said == []


def named(page: Page) -> Page:
    page.evaluate(NAMED)
    return page


def view(page: Page, name: str, place: int = 0) -> None:
    """A view, and the card at a place of it."""
    page.click(f"#view-{name}")
    goto(page, place)


def goto(page: Page, place: int) -> None:
    page.click("#where")
    page.locator("#sheet .things button").nth(place).click()
    page.wait_for_function("n => document.querySelector('#where').textContent.startsWith(`${n} /`)", arg=place + 1)


def all_sent(page: Page) -> None:
    page.wait_for_function(
        "() => ['sent', 'refused'].includes(document.querySelector('#state').dataset.state) && document.querySelector('#state').dataset.left === '0'"
    )


def entries(owner: Page, job: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ask(owner, "GET", f"/jobs/{job}/yard/entries?after=0")["entries"]
    return found


def go(page: Page) -> None:
    """Send now."""
    page.evaluate("() => dispatchEvent(new Event('online'))")


# ---------------------------------------------------------------- the same rules on both sides


def test_entries_fold_as_in_the_office(owner: Page) -> None:
    cases = json.loads((ROOT / "tests/snapshots/yard/fold.json").read_text("utf-8"))
    found = owner.evaluate(
        """async (cases) => {
            const { fold } = await import("/static/yard/fold.js");
            return cases.map(({ entries }) => {
                const made = entries.map(([device, seq, saw, number, value]) => ({id: `${device}-${seq}`, device, who: "A", seq, saw, made: "", about: "post 2", what: "measured", value: {depth_m: value}, number}));
                const state = fold(made).get("post 2 | measured.depth_m");
                return [state.value, state.conflict, state.said.map((one) => one.value)];
            });
        }""",
        cases,
    )
    for case, (value, conflict, values) in zip(cases, found, strict=True):
        assert (value, conflict) == (case["value"], case["conflict"]), case["name"]
        assert set(values) == set(case["values"]), case["name"]


def test_a_corner_measured_from_its_second_string_and_one_value_written_twice(owner: Page) -> None:
    found = owner.evaluate(
        """async () => {
            const { fold } = await import("/static/yard/fold.js");
            const entry = (device, seq, value) => ({id: `${device}${seq}`, device, who: "A", seq, saw: 0, made: "", about: "post 1", what: "measured", value, number: 0});
            const made = [entry("a", 1, {offset_m: 0.5}), entry("b", 1, {offset_m: 0.6, string: "D"}), entry("c", 1, {offset_m: 0.500001})];
            return [...fold(made)].map(([key, state]) => [key, state.value, state.conflict]);
        }"""
    )
    assert sorted(found) == [
        ["post 1 | measured.offset_m", 0.5, False],
        ["post 1 | measured.offset_m@D", 0.6, False],
    ]


def test_two_thousand_entries_fold_at_once(owner: Page) -> None:
    took = owner.evaluate(
        """async () => {
            const { fold } = await import("/static/yard/fold.js");
            const made = Array.from({length: 2000}, (_, k) => ({id: `e${k}`, device: `d${k % 3}`, who: "A", seq: k, saw: k >> 1, made: "", about: `post ${k % 812}`, what: "done", value: {done: true}, number: k + 1}));
            const times = [];
            for (let k = 0; k < 9; k += 1) {
                const start = performance.now();
                fold(made);
                times.push(performance.now() - start);
            }
            return times.sort((a, b) => a - b)[4];
        }"""
    )
    assert took < 50, took  # a tenth of what a hand notices; about 5 ms on a quiet machine


@pytest.mark.parametrize("style", ["feet-inches", "decimal-feet", "metric"])
def test_marks_of_the_tape_are_written_as_the_papers_write_them(owner: Page, style: str) -> None:
    job = new_job(owner, **{"from": "text", "text": FENCE.format(style=style)})
    pack = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]
    pairs = [(hole["ticks"], hole["reads"]) for hole in pack["holes"]]
    pairs += [(hole["offset"]["ticks"], hole["offset"]["text"]) for hole in pack["holes"]]
    pairs += [(check["ticks"], check["expect"]) for check in pack["checks"]]
    pairs += [(bay["clear_ticks"], bay["clear"]) for bay in pack["bays"]]
    pairs += [(run["built"]["ticks"], run["built"]["text"]) for run in pack["runs"]]
    assert len(pairs) > 12
    texts = owner.evaluate(
        """async ([units, ticks]) => {
            const { tapeText } = await import("/static/yard/reading.js");
            return ticks.map((one) => tapeText(units, one));
        }""",
        [pack["units"], [ticks for ticks, _ in pairs]],
    )
    assert texts == [text for _, text in pairs]


def test_a_day_is_sent_small_and_once(owner: Page, house: Server, job: str) -> None:
    first = owner.request.get(f"{house.base}/api/jobs/{job}/yard", headers={"Accept-Encoding": "gzip"})
    assert first.headers["content-encoding"] == "gzip"
    assert first.json()["pack"]["holes"]
    again = owner.request.get(f"{house.base}/api/jobs/{job}/yard", headers={"If-None-Match": first.headers["etag"]})
    assert again.status == 304


# ---------------------------------------------------------------- nothing doubled


def test_double_clicks_do_everything_once(owner: Page, phone: Phone, job: str, tmp_path: Path) -> None:
    page = phone(owner, job)
    page.locator("#card .tick .huge").dblclick()
    page.fill("#who-name", "Ana")
    page.locator("#who button").dblclick()
    page.wait_for_function(TICKED)
    page.click("#next")
    page.locator("#card .tick .huge").dblclick()
    page.wait_for_function(TICKED)
    page.locator("details[data-key=measured] summary").click()
    form = page.locator("#card .reading").first
    form.locator(".quick button").nth(1).click()
    form.locator(".wide").dblclick()
    page.wait_for_selector("#card .reading .last")
    page.locator("details[data-key=remarks] summary").click()
    page.fill("#card textarea", "stone at two feet")
    page.locator("details[data-key=remarks] .wide").dblclick()
    page.wait_for_selector("#card details li")
    picture = photo(page, 40, 30)
    chosen = page.locator("#card input[type=file]")
    chosen.set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture})
    chosen.set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture})
    page.wait_for_selector("#card .photos img")
    all_sent(page)
    assert [entry["what"] for entry in entries(owner, job)] == ["done", "done", "measured", "note", "photo"]


def test_two_tabs_of_a_phone_count_as_one(owner: Page, house: Server, opened: Phone, job: str, said: list[str]) -> None:
    one = opened(job)
    two = one.context.new_page()
    listen(two, said)
    two.goto(f"{house.base}/yard/{job}")
    two.wait_for_function(SEEN)
    add = """async ([job, from]) => {
        const { Box, newId } = await import("/static/yard/box.js");
        const box = await Box.open(job);
        await Promise.all(Array.from({length: 15}, (_, k) => box.add({id: newId(), who: "A", made: new Date().toISOString(), about: `post ${from + k}`, what: "done", value: {done: true}})));
    }"""
    for page, first in ((one, 1), (two, 16)):
        page.evaluate(f"(given) => {{ window.going = ({add})(given); }}", [job, first])
    for page in (one, two):
        page.evaluate("() => window.going")
        go(page)
    for page in (one, two):
        all_sent(page)
    arrived = entries(owner, job)
    assert sorted(entry["seq"] for entry in arrived) == list(range(1, 31))
    assert len({entry["device"] for entry in arrived}) == 1
    one.locator("#card .tick .huge").click()
    two.wait_for_function("() => document.querySelector('#card .tick .huge').getAttribute('aria-pressed') === 'false'")


def test_the_back_button_and_a_reload_keep_the_place(owner: Page, opened: Phone, job: str) -> None:
    page = opened(job)
    title = page.locator("#card h2")
    first = title.inner_text()
    page.click("#next")
    second = title.inner_text()
    page.click("#view-checks")
    page.go_back()
    assert title.inner_text() == second
    page.reload()
    page.wait_for_function(SEEN)
    assert title.inner_text() == second
    page.go_back()
    page.wait_for_function("text => document.querySelector('#card h2').innerText === text", arg=first)


# ---------------------------------------------------------------- nothing lost


def test_what_is_typed_stays_while_others_send(owner: Page, opened: Phone, job: str) -> None:
    page = opened(job)
    page.locator("details[data-key=remarks] summary").click()
    page.fill("#card textarea", "half a sent")
    other = {"id": UUID, "device": "other", "who": "Bo", "seq": 1, "saw": 0, "made": "2026-05-04T08:12:00Z"}
    about = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]["holes"][0]["about"]
    ask(owner, "POST", f"/jobs/{job}/yard/entries", {"entries": [other | {"about": about, "what": "done", "value": {"done": True}}], "after": 0})  # fmt: skip
    go(page)
    page.wait_for_function(
        "() => document.querySelector('#string-row').hidden || document.querySelector('#string').selectedOptions[0].textContent.includes(': 1 /')"
    )
    assert page.locator("#card textarea").input_value() == "half a sent"
    page.locator("details[data-key=remarks] .wide").click()
    page.wait_for_function(TICKED)


def test_a_session_that_ended_is_paired_again_and_sends(
    owner: Page, house: Server, phone: Phone, job: str, said: list[str]
) -> None:
    page = named(phone(owner, job))
    page.locator("#card .tick .huge").click()
    page.wait_for_function(TICKED)
    all_sent(page)
    for device in ask(owner, "GET", "/devices"):
        if device["name"] == "phone 1" and not device["ended"]:
            owner.evaluate(
                "async (id) => (await import('/static/shared/api.js')).send('DELETE', `/devices/${id}`)", device["id"]
            )
    page.click("#next")
    page.locator("#card .tick .huge").click()
    page.wait_for_function("() => document.querySelector('#state').dataset.state === 'ended'")
    page.reload()  # the page itself is still there, and what was not sent
    page.wait_for_function(SEEN)
    page.wait_for_function("() => document.querySelector('#state').dataset.state === 'ended'")
    page.click("#state")
    page.locator("#sheet a[href^='/pair']").click()
    page.fill("#code", ask(owner, "POST", "/pairing", {"role": "crew"})["code"])
    page.fill("#called", "the same phone")
    page.locator("#pair button").click()
    page.wait_for_url(re.compile(f"/yard/{job}"))
    page.wait_for_function(SEEN)
    all_sent(page)
    assert len({entry["device"] for entry in entries(owner, job)}) == 1
    assert [entry["seq"] for entry in entries(owner, job)] == [1, 2]
    assert all("401" in one for one in said)
    said.clear()


def test_a_refused_entry_holds_up_no_other_and_can_be_taken_back(
    owner: Page, opened: Phone, job: str, said: list[str]
) -> None:
    page = opened(job)
    page.evaluate(
        """async (job) => {
            const { Box, newId } = await import("/static/yard/box.js");
            const box = await Box.open(job);
            const add = (about, what, value) => box.add({id: newId(), who: "A", made: new Date().toISOString(), about, what, value});
            await add("post 1", "done", {done: true});
            await add("post 2", "measured", {depth_m: -5});
            await add("post 3", "done", {done: true});
        }""",
        job,
    )
    go(page)
    page.wait_for_function("() => document.querySelector('#state').dataset.state === 'refused'")
    assert [entry["about"] for entry in entries(owner, job)] == ["post 1", "post 3"]
    page.click("#state")
    assert "post 2" in page.locator("#sheet .refused").inner_text()
    assert "0 to 10" in page.locator("#sheet .refused").inner_text()
    page.locator("#sheet .refused button").click()
    page.wait_for_function("() => document.querySelector('#state').dataset.state === 'sent'")
    arrived = entries(owner, job)
    assert sorted(entry["seq"] for entry in arrived) == [1, 2, 3]
    assert [entry["what"] for entry in arrived] == ["done", "done", "note"]
    assert ask(owner, "GET", f"/jobs/{job}/asbuilt")["missing"] == []
    said[:] = [one for one in said if "422" not in one]


def test_a_clock_that_is_wrong_by_years_does_no_harm(owner: Page, opened: Phone, job: str) -> None:
    wrong = "const real = Date; Date = class extends real { constructor(...given) { given.length ? super(...given) : super('1994-03-01T08:00:00Z'); } static now() { return 762508800000; } };"
    page = opened(job, wrong)
    for expected in (True, False):
        page.locator("#card .tick .huge").click()
        page.wait_for_function(
            "is => document.querySelector('#card .tick .huge').getAttribute('aria-pressed') === String(is)",
            arg=expected,
        )
        page.wait_for_function("() => performance.now() > (window.later ??= performance.now() + 800)")
        page.evaluate("() => delete window.later")
    all_sent(page)
    assert [entry["made"][:4] for entry in entries(owner, job)] == ["1994", "1994"]
    assert ask(owner, "GET", f"/jobs/{job}/asbuilt")["conflicts"] == []


def test_a_full_phone_says_so_and_shows_nothing_as_done(owner: Page, opened: Phone, job: str) -> None:
    page = opened(job)
    page.evaluate(
        """() => {
            const put = IDBObjectStore.prototype.put;
            IDBObjectStore.prototype.put = function (value) {
                if (this.name === "entries") throw new DOMException("no room", "QuotaExceededError");
                return put.call(this, value);
            };
        }"""
    )
    page.locator("#card .tick .huge").click()
    page.wait_for_selector("#news:not([hidden])")
    assert "NOT KEPT" in page.locator("#news").inner_text()
    assert page.locator("#card .tick .huge").get_attribute("aria-pressed") == "false"
    assert entries(owner, job) == []


# ---------------------------------------------------------------- readings, photos, signature


def photo(page: Page, width: int, height: int) -> bytes:
    """A JPEG whose camera was held upright: turned by its Exif note (orientation 6)."""
    made = page.evaluate(
        """([width, height]) => {
            const canvas = document.createElement("canvas");
            Object.assign(canvas, {width, height});
            canvas.getContext("2d").fillRect(0, 0, width / 2, height);
            return canvas.toDataURL("image/jpeg").split(",")[1];
        }""",
        [width, height],
    )
    plain = base64.b64decode(made)
    tiff = b"II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00\x00\x00\x00\x00"
    exif = b"Exif\x00\x00" + tiff
    return plain[:2] + b"\xff\xe1" + (len(exif) + 2).to_bytes(2, "big") + exif + plain[2:]


def test_a_photo_is_kept_small_and_upright(owner: Page, opened: Phone, job: str) -> None:
    page = opened(job)
    page.context.set_offline(True)
    page.locator("details[data-key=remarks] summary").click()
    page.locator("#card input[type=file]").set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": photo(page, 3200, 2400)})  # fmt: skip
    page.wait_for_function("() => document.querySelector('#card .photos img')?.naturalHeight === 1600")
    page.context.set_offline(False)
    go(page)
    all_sent(page)
    name = entries(owner, job)[0]["value"]["photo"]
    size = owner.evaluate(
        """async (path) => {
            const blob = await (await fetch(path)).blob();
            const made = await createImageBitmap(blob, {imageOrientation: "none"});
            return [made.width, made.height];
        }""",
        f"/api/jobs/{job}/yard/photos/{name}",
    )
    assert size == [1200, 1600]


def test_what_the_tape_reads_is_kept_and_judged(owner: Page, opened: Phone, job: str) -> None:
    page = opened(job)
    goto(page, 2)
    page.locator("details[data-key=measured] summary").click()
    along = page.locator("#card .reading").nth(0)
    along.locator(".quick button").nth(1).click()
    for _ in range(2):
        along.locator(".quick button").nth(2).click()
    along.locator(".wide").click()
    page.wait_for_selector("#card .reading .last")
    depth = page.locator("#card .reading").nth(2)
    depth.locator("input").fill("1")
    assert depth.locator(".not").count() == 1
    all_sent(page)
    about = entries(owner, job)[0]["about"].removeprefix("post ")
    post = next(one for one in ask(owner, "GET", f"/jobs/{job}/asbuilt")["posts"] if one["post"] == about)
    assert post["along_m"] == pytest.approx(2 * 0.003175)


def test_a_post_moved_and_put_back_stands_as_planned(owner: Page, opened: Phone, job: str) -> None:
    page = opened(job)
    goto(page, 2)
    page.locator("details[data-key=moved] summary").click()
    keep = page.locator("details[data-key=moved] .wide")
    page.locator("#card .slide .huge").last.click()
    keep.click()
    page.wait_for_selector("#card .last")
    all_sent(page)
    about = entries(owner, job)[0]["about"].removeprefix("post ")

    def built() -> dict[str, Any]:
        posts = ask(owner, "GET", f"/jobs/{job}/asbuilt")["posts"]
        found: dict[str, Any] = next(one for one in posts if one["post"] == about)
        return found

    assert built()["along_m"] == built()["moved_m"] == pytest.approx(4 * 0.003175)
    keep.click()  # the slider is in the middle again
    page.wait_for_function("() => document.querySelector('#card .last')?.textContent.includes('planned')")
    all_sent(page)
    assert (built()["along_m"], built()["moved_m"]) == (0, None)


def test_gates_runs_and_signature_close_the_job(owner: Page, house: Server, opened: Phone, job: str) -> None:
    page = opened(job)
    view(page, "last", 0)
    clear = page.locator("#card .reading").first
    clear.locator("input").first.fill("3")
    assert clear.locator(".not").count() == 1
    clear.locator(".quick button").nth(1).click()
    clear.locator(".wide").click()
    page.wait_for_selector("#card .last")
    page.click("#next")
    built = page.locator("#card .reading").first
    built.locator(".quick button").nth(1).click()
    built.locator(".wide").click()
    page.wait_for_selector("#card .last")
    page.click("#next")
    page.locator("#card .reading").first.locator("input").fill("A-17")
    page.locator("#card .reading").first.locator(".huge").click()
    sign = page.locator("#card .reading").nth(1)
    sign.locator(".huge").click()
    page.wait_for_selector("#news:not([hidden])")  # the name comes first
    page.click("#news-close")
    sign.locator("input").fill("Owner Example")
    canvas = sign.locator("canvas")
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + 90, box["y"] + 50, steps=4)
    page.mouse.up()
    sign.locator(".huge").dblclick()
    page.wait_for_selector("#card img.signature")
    all_sent(page)
    made = ask(owner, "GET", f"/jobs/{job}/asbuilt")
    assert made["gates"][0]["clear_m"] == pytest.approx(4 * 0.3048)
    assert made["runs"][0]["built_m"] == pytest.approx(52 * 0.3048)
    assert (made["ticket_closed"], made["ticket"], made["signed"]) == (True, "A-17", "Owner Example")
    kept = owner.request.get(f"{house.base}/api/jobs/{job}/yard/photos/{made['signature']}")
    assert kept.body().startswith(b"\x89PNG")
    page.click("#next")
    page.wait_for_selector("#card .sofar")
    assert "52' 0\"" in page.locator("#card").inner_text()
    paper = owner.request.get(f"{house.base}{page.locator('#card a.button').get_attribute('href')}")
    assert paper.body().startswith(b"%PDF")


def test_a_panel_is_cut_to_the_bay_as_it_stands(owner: Page, opened: Phone) -> None:
    text = re.sub(
        "kind: post-and-rail, longest bay: 8 ft, rails: 3", "kind: vinyl-panels", FENCE.format(style="feet-inches")
    )
    job = new_job(owner, **{"from": "text", "text": text})
    pack = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]
    bay = next(bay for bay in pack["bays"] if bay["cut"] == "panel" and 0 not in bay["signs"])
    hole = next(hole for hole in pack["holes"] if hole["about"] == bay["ends"][1])
    page = opened(job)
    goto(page, [one["about"] for one in pack["holes"]].index(hole["about"]) + 1)
    page.locator("details[data-key=measured] summary").click()
    along = page.locator("#card .reading").first
    along.locator(".quick button").nth(1).click()
    along.locator(".quick button").nth(0).click()
    along.locator(".wide").click()
    page.wait_for_selector("#card .reading .last")
    page.click("#view-last")
    page.click("#where")
    page.locator("#sheet .things button", has_text=bay["title"]).first.click()
    reads = page.locator("#card .reads").inner_text()
    shorter = owner.evaluate(
        "async ([units, ticks]) => (await import('/static/yard/reading.js')).tapeText(units, ticks)",
        [pack["units"], bay["clear_ticks"] - bay["signs"][1]],
    )
    assert reads == shorter
    page.locator("#card .huge").first.click()
    page.wait_for_selector("#card .huge[aria-pressed=true]")
    all_sent(page)
    built = next(
        one
        for one in ask(owner, "GET", f"/jobs/{job}/asbuilt")["bays"]
        if f"bay {one['start']}-{one['end']}" == bay["about"]
    )
    assert built["remade"] is True


def test_stretches_of_wire_are_ticked(owner: Page, opened: Phone) -> None:
    text = (ROOT / "examples/field-fence-tennessee.yaml").read_text("utf-8")
    job = new_job(owner, **{"from": "text", "text": text})
    page = opened(job)
    page.locator("#card .tick .huge").click()
    page.wait_for_function(TICKED)
    all_sent(page)
    assert ask(owner, "GET", f"/jobs/{job}/asbuilt")["wire"][0][1] == 1


# ---------------------------------------------------------------- installed, and for every eye


def test_every_module_is_kept_with_the_others(house: Server, owner: Page) -> None:
    """What the pages import is what the worker keeps as one version: none is missing, none is stale."""
    worker = owner.request.get(f"{house.base}/yard/sw.js").text()
    files = set(json.loads(re.search(r"const FILES = (\[.*\]);", worker)[1]))  # type: ignore[index]
    wanted = {
        "/static/yard/main.js",
        "/static/yard/yards.js",
        "/static/yard/yard.css",
        "/static/shared/page.css",
        "/static/shared/page.js",
    }
    static = ROOT / "src/palewright/web"
    seen: set[str] = set()
    while wanted - seen:
        path = (wanted - seen).pop()
        seen.add(path)
        if path.endswith(".js"):
            base = (static / path[1:]).parent
            found = re.findall(r'from "(\.[^"]+)"|^import "(\.[^"]+)"', (static / path[1:]).read_text("utf-8"), re.M)
            wanted |= {"/" + str((base / (one or two)).resolve().relative_to(static)) for one, two in found}
    assert seen <= files
    for one in files:
        assert owner.request.get(house.base + one).ok, one


def test_a_new_file_makes_a_new_version(monkeypatch: pytest.MonkeyPatch) -> None:
    from palewright.web import pages

    before = pages.yard_version.__wrapped__()
    assert before == pages.yard_version.__wrapped__()
    real = pages._static

    class Changed:
        def read_bytes(self) -> bytes:
            return b"// another"

    monkeypatch.setattr(pages, "_static", lambda path: Changed() if path == "yard/fold.js" else real(path))
    assert pages.yard_version.__wrapped__() != before


def test_the_page_can_be_installed(house: Server, owner: Page) -> None:
    manifest = json.loads(owner.request.get(f"{house.base}/yard/manifest.webmanifest").text())
    assert manifest["start_url"].startswith(manifest["scope"])
    sizes = {(icon["sizes"], icon.get("purpose", "any")) for icon in manifest["icons"]}
    assert {("192x192", "any"), ("512x512", "any"), ("512x512", "maskable")} <= sizes
    for icon in manifest["icons"]:
        data = owner.request.get(house.base + icon["src"]).body()
        assert data.startswith(b"\x89PNG")
        width, height = (int.from_bytes(data[at : at + 4], "big") for at in (16, 20))
        assert f"{width}x{height}" == icon["sizes"]


def test_the_list_of_jobs_opens_without_a_signal(owner: Page, house: Server, opened: Phone, job: str) -> None:
    page = opened(job)
    page.context.set_offline(True)
    page.goto(f"{house.base}/yard/")
    page.locator(f"a[href='/yard/{job}']").click()
    page.wait_for_function(SEEN)
    assert page.locator("#state").get_attribute("data-state") == "offline"


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_view_is_for_every_eye(owner: Page, opened: Phone, language: str, house: Server) -> None:
    text = (ROOT / "examples/tansy-court.yaml").read_text("utf-8").replace("prices.csv", "")
    job = new_job(owner, **{"from": "text", "text": re.sub(r"(?m)^prices:.*$", "", text)})
    page = opened(job, reduced_motion="reduce")
    if language == "es":
        page.click("#language")
    look(page, "holes")
    page.locator("#card .tick .huge").click()
    page.wait_for_function(TICKED)
    look(page, "hole set")
    for name in ("locate", "checks", "last"):
        page.click(f"#view-{name}")
        look(page, name)
    goto(page, page.locator("#where").inner_text().count("x") + 2)
    count = int(page.locator("#where").inner_text().split("/")[1])
    for place in (count - 2, count - 1):
        goto(page, place)
        if place == count - 1:
            page.wait_for_selector("#card .sofar")
        look(page, f"last {place}")
    page.click("#where")
    look(page, "list")
    page.keyboard.press("Escape")
    page.click("#state")
    page.wait_for_selector("#sheet h2")
    look(page, "state")
    page.goto(f"{house.base}/yard/")
    look(page, "jobs")


def look(page: Page, name: str) -> None:
    """No violation that axe knows, and nothing cut off on a small phone or at twice the size."""
    page.evaluate("() => document.querySelectorAll('details').forEach((one) => (one.open = true))")
    found = Axe().run(page)
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"
    size = page.viewport_size
    assert size is not None
    for width in (360, 180):
        page.set_viewport_size({"width": width, "height": 740})
        over = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
        assert over[0] <= over[1], f"{name} at {width}: {over}"
    page.set_viewport_size(size)


def test_a_new_version_brings_all_its_files_at_once(
    browser: Browser, phone: Phone, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: list[str]
) -> None:
    """The program is replaced while a phone has the old pages: the first page after it has none of the old modules."""
    import shutil

    shutil.copytree(ROOT / "src/palewright", tmp_path / "palewright", ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    server = Server(tmp_path / "jobs")
    page = browser.new_page()
    page.goto(server.opening)
    one = phone(page, new_job(page, **{"from": "text", "text": FENCE.format(style="metric")}))
    server.stop()
    static = tmp_path / "palewright/web"
    for name, more in (
        ("static/yard/fold.js", "\nwindow.newer = true;\n"),
        ("templates/yard_head.html", "<meta name='newer'>"),
    ):
        file = static / name
        file.write_text(file.read_text("utf-8") + more)
    before = one.evaluate("() => caches.keys()")

    def newer() -> bool:
        """Whether the page is of the new version; it is never of two."""
        one.reload()
        one.wait_for_function(SEEN)
        page, module = one.evaluate(
            "() => [document.querySelector('meta[name=newer]') !== null, window.newer === true]"
        )
        assert page == module
        return bool(page)

    assert not newer()  # the server is away: the old version as a whole
    server.start()
    try:
        newer()
        one.wait_for_function(
            "async (old) => { const now = await caches.keys(); return now.length === 1 && now[0] !== old; }",
            arg=before[0],
        )
        assert newer()
    finally:
        server.stop()
        page.context.close()
    assert newer()
    said[:] = [line for line in said if "ERR_CONNECTION_REFUSED" not in line]
