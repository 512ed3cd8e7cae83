"""The phone in the yard: readings, photos, gates, the signature; installed, kept by version, nothing cut off."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from tests.browser.conftest import SEEN, Server, ask, new_job
from tests.browser.yards import FENCE, ROOT, TICKED, Phone, all_sent, entries, go, goto, photo, until, view


@pytest.fixture(autouse=True)
def quiet(said: list[str]) -> Iterator[None]:
    """Nothing that a page complained of goes by unseen."""
    yield
    assert said == []


# ---------------------------------------------------------------- readings, photos, signature


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
    page.locator("#card .slide .huge").first.click()  # the slider begins where the post stands
    keep.click()
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
    assert "foot of E1 to head of B1" in page.locator("#card").inner_text()
    for place in (1, 3):  # the end post, and the stretch after its brace post
        goto(page, place)
        page.locator("#card .tick .huge").click()
        page.wait_for_function(TICKED)
    assert "13–15\nsteel" in page.locator("#card table").inner_text()
    for place in (0, 1, 3):
        goto(page, place)
        look(page, f"wire {place}")
    all_sent(page)
    built = ask(owner, "GET", f"/jobs/{job}/asbuilt")
    assert built["wire"][0][1] == 1
    assert (built["wire_posts"][0]["done"], built["wire_posts"][0]["count"]) == (1, 22)


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


def settled(page: Page) -> bool:
    """Whether one worker and one version are left. A watched browser never ends a worker for being idle (one that nobody
    watches does), and the new one waits for that: the old one is ended here.
    """
    waits, boxes = page.evaluate(
        "async () => [(await navigator.serviceWorker.getRegistration()).waiting !== null, (await caches.keys()).length]"
    )
    if waits:
        watch = page.context.new_cdp_session(page)
        watch.send("ServiceWorker.enable")
        watch.send("ServiceWorker.stopAllWorkers")
        watch.detach()
    return not waits and boxes == 1


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
        until(lambda: settled(one) and one.evaluate("() => caches.keys()") != before)
        assert newer()
    finally:
        server.stop()
        page.context.close()
    assert newer()
    one.close()
    said[:] = [line for line in said if "ERR_CONNECTION_REFUSED" not in line]
