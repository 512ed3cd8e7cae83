"""What the phone says in Spanish: nothing of it is English, whatever goes wrong."""

from __future__ import annotations

import re

from playwright.sync_api import Page
from tests.browser.conftest import ask, new_job
from tests.browser.yards import UUID, Phone, all_sent, entries, go, goto, until

JOB = """palewright: 1
job: {title: 7 Cañada}
points:
  A: {at: [0 ft, 0 ft]}
  B: {at: [32 ft, 0 ft]}
  C: {at: [32 ft, 20 ft]}
  D: {at: [10 ft, -3 ft]}
  E: {at: [10 ft, 3 ft]}
fences:
  madera: {kind: post-and-rail, longest bay: 8 ft, rails: 3}
clear of:
  - {name: cable, through: [D, E], utility: electric, width: 2 in, each side: 24 in, inside it: hand dig}
locate: {private: [irrigation]}
runs:
  - {name: frente, fence: madera, through: [A, B, C], yard: left, signed: 52 ft, gates: [{name: paso, opening: 4 ft, starts: 12 ft from A, hinges: near, swings: to yard}]}
"""
ENGLISH = re.compile(
    r"\b(the|of|and|is|are|was|posts?|holes?|strings?|depth|with|from|not|gates?|bays?|runs?|checks?|stakes?|lines?|tapes|"
    r"dig|more|than|this|that|here|office|cannot|measured|moved|photo|note|within|toward|long|short|set|wood|steel|wire)\b",
    re.IGNORECASE,
)
TEXTS = """() => {
  const found = [document.body.innerText, document.title];
  for (const one of document.querySelectorAll("[aria-label], [alt], [aria-valuetext], [placeholder], [title]")) {
    if (one.closest("[lang=en]")) continue;
    found.push(...["aria-label", "alt", "aria-valuetext", "placeholder", "title"].map((name) => one.getAttribute(name) ?? ""));
  }
  for (const one of document.querySelectorAll(".hidden, .skip, option")) found.push(one.textContent);
  return found.join("\\n").replace("English", "").replaceAll("the crew", "");
}"""


def english(page: Page) -> list[str]:
    """Lines of all that is seen or read aloud that hold an English word."""
    page.evaluate("() => document.querySelectorAll('details').forEach((one) => (one.open = true))")
    return [line for line in page.evaluate(TEXTS).splitlines() if ENGLISH.search(line)]


def other(owner: Page, job: str, seq: int, about: str, what: str, value: dict[str, object]) -> None:
    made = {"id": f"{UUID[:-3]}2{seq:02}", "device": "otro", "who": "Beto", "seq": seq, "saw": 0}
    made |= {"made": "2026-05-04T08:12:00Z", "about": about, "what": what, "value": value}
    ask(owner, "POST", f"/jobs/{job}/yard/entries", {"entries": [made], "after": 0})


ADD = """async ([job, rows]) => {
  const { Box, newId } = await import("/static/yard/box.js");
  const box = await Box.open(job);
  for (const [about, what, value] of rows) await box.add({id: newId(), who: "Ana", made: new Date().toISOString(), about, what, value});
}"""


def test_every_view_in_spanish_with_everything_gone_wrong(owner: Page, opened: Phone, said: list[str]) -> None:
    job = new_job(owner, **{"from": "text", "text": JOB})
    page = opened(job)
    page.click("#language")
    pack = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]
    first, check, gate = pack["holes"][0]["about"], pack["checks"][0]["about"], pack["gates"][0]["about"]
    line = next(hole["about"] for hole in pack["holes"] if not hole["fixed"])
    mine: list[tuple[str, str, dict[str, object]]] = [
        (first, "done", {"done": True}),
        (first, "measured", {"depth_m": 0.762}),
        (line, "moved", {"along_m": 0.0381, "why": "rock"}),
        (first, "note", {"text": "hay agua"}),
        (check, "checked", {"reads_m": 1.0}),
        (gate, "gate", {"clear_m": 1.0, "latch_m": 0.5}),
        ("run frente", "length", {"built_m": 15.0}),
        ("run frente", "gap", {"worst_m": 0.2}),
        ("job", "ticket", {"closed": True, "number": "4711"}),
        ("job", "signed", {"name": "Ana"}),
        (line, "measured", {"depth_m": 50.0}),  # from here on the office says no
        ("bay 9-9", "panel", {"remade": "si"}),
        (first, "nothing", {"x": 1}),
        (first, "measured", {"wide_m": 1.0}),
        (first, "moved", {"along_m": 99.0, "why": "rock"}),
        (first, "moved", {"along_m": None, "why": "agua"}),
        (first, "note", {"text": "a" * 2100}),
        ("post 99", "measured", {}),
    ]
    for seq, (about, what, value) in enumerate(
        [
            (first, "measured", {"depth_m": 0.7}),
            (line, "moved", {"along_m": -0.0381, "why": "root"}),
            (first, "done", {"done": False}),
            ("job", "signed", {"name": "Eva"}),
            (gate, "gate", {"clear_m": 1.1}),
            ("job", "ticket", {"closed": False}),
            (check, "checked", {"reads_m": 2.0}),
        ],
        1,
    ):
        other(owner, job, seq, about, what, value)
    page.evaluate(ADD, [job, mine])
    page.evaluate(
        """async (job) => {
            const { Box, newId } = await import("/static/yard/box.js");
            const box = await Box.open(job);
            const id = newId();
            await box.add({id: newId(), who: "Ana", made: new Date().toISOString(), about: "post 1", what: "photo", value: {photo: id}}, {id, blob: new Blob(["<svg/>"], {type: "image/png"})});
        }""",
        job,
    )
    go(page)
    page.wait_for_function("() => document.querySelector('#state').dataset.state === 'refused'")
    page.click("#state")
    page.wait_for_function("() => document.querySelectorAll('#sheet .refused li').length === 9")
    found: list[str] = english(page)
    page.click("#sheet-close")
    page.click("#where")
    found += english(page)
    page.click("#sheet-close")
    for view in ("locate", "holes", "checks", "last"):
        page.click(f"#view-{view}")
        count = int(page.locator("#where").inner_text().split("/")[1])
        while True:
            if page.locator("#card table").count() or "Como va quedando" in page.locator("#card h2").inner_text():
                page.wait_for_selector("#card table, #card a")
            found += english(page)
            if page.locator("#next").is_disabled():
                break
            page.click("#next")
        assert page.locator("#where").inner_text() == f"{count} / {count}"
    assert found == []
    assert page.locator("#card .conflict").count() == 0
    said[:] = [one for one in said if "422" not in one]


def test_a_job_that_is_gone_and_a_list_in_the_language_of_the_phone(
    owner: Page, opened: Phone, said: list[str]
) -> None:
    job = new_job(owner, **{"from": "text", "text": JOB})
    page = opened(job)
    page.click("#language")
    until(lambda: page.evaluate("async () => (await import('/static/yard/box.js')).Box.open().then((box) => box.fact('language'))") == "es")  # fmt: skip
    page.goto(page.url.split("/yard/")[0] + "/yard/")
    page.wait_for_selector("h1 >> text=Trabajos")
    page.wait_for_selector("text=en este teléfono")
    page.go_back()
    page.wait_for_selector("#card article")
    owner.evaluate(
        "async (job) => (await import('/static/shared/api.js')).call('DELETE', `/jobs/${job}?revision=1`)", job
    )
    page.locator("#card .tick .huge").click()
    page.wait_for_function("() => document.querySelector('#state').textContent === 'SIN ACCESO'")
    page.click("#state")
    page.wait_for_selector("#sheet >> text=La oficina quitó este trabajo de la lista")
    assert english(page) == []
    said[:] = [one for one in said if "410" not in one]


def test_a_picture_of_another_kind_is_kept_as_jpeg_or_said_at_once(owner: Page, opened: Phone, job: str) -> None:
    """WebP is turned into JPEG, which the sheet prints; HEIC, which this browser cannot read, is kept and told."""
    page = opened(job)
    webp = page.evaluate(
        """() => {
            const canvas = document.createElement("canvas");
            Object.assign(canvas, {width: 30, height: 20});
            return new Promise((done) => canvas.toBlob(async (blob) => done([...new Uint8Array(await blob.arrayBuffer())]), "image/webp"));
        }"""
    )
    page.locator("details[data-key=remarks] summary").click()
    chosen = page.locator("#card input[type=file]")
    chosen.set_input_files({"name": "a.webp", "mimeType": "image/webp", "buffer": bytes(webp)})
    page.wait_for_selector("#card .photos img")
    assert page.locator("#news").is_hidden()
    heic = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(40)
    page.wait_for_function("() => performance.now() > (window.later ??= performance.now() + 800)")
    page.locator("#card input[type=file]").set_input_files({"name": "b.heic", "mimeType": "image/heic", "buffer": heic})
    page.wait_for_selector("#news:not([hidden])")
    assert "will not print it" in page.locator("#news-text").inner_text()
    all_sent(page)
    photos = [entry["value"]["photo"] for entry in entries(owner, job) if entry["what"] == "photo"]
    kinds = [
        owner.evaluate(
            "async (path) => (await fetch(path)).headers.get('content-type')", f"/api/jobs/{job}/yard/photos/{one}"
        )
        for one in photos
    ]
    assert kinds == ["image/jpeg", "image/heic"]


def test_a_post_beside_one_that_was_moved_is_judged_as_both_stand(owner: Page, opened: Phone) -> None:
    """Three bays of 6 ft 8 in, 8 ft at most. Post 2 went 1 ft toward post 1, so bay 2-3 is 7 ft 8 in: post 3 has 4 in of room away
    from it and no longer 16 in; toward it a foot is good, for bay 3-4 is 7 ft 8 in then."""
    text = JOB.partition("points:")[0] + (
        "points:\n  A: {at: [0 ft, 0 ft]}\n  B: {at: [20 ft, 0 ft]}\n"
        "fences:\n  madera: {kind: post-and-rail, longest bay: 8 ft, rails: 3}\n"
        "runs:\n  - {name: frente, fence: madera, through: [A, B], yard: left}\n"
    )
    job = new_job(owner, **{"from": "text", "text": text})
    page = opened(job)
    page.evaluate(ADD, [job, [["post 2", "moved", {"along_m": -0.3048, "why": "rock"}]]])
    page.reload()
    page.wait_for_selector("#card article")
    goto(page, 3)
    assert "post 3" in page.locator("#card h2").inner_text()
    page.locator("#card summary").first.click()
    verdict = page.locator("#card details[data-key=moved] .verdict")
    plus = page.locator("#card .slide .huge").nth(1)
    for _ in range(8):
        plus.click()
    assert verdict.locator(".not").count() == 0  # 4 in: 8 ft 0 in just fits
    plus.click()
    assert "Bay 2-3 becomes too long: 8' 0\" at most from centre to centre" in verdict.inner_text()
    assert 'the nearest place that fits: 4" toward post 4' in verdict.inner_text()
    for _ in range(9 + 24):
        page.locator("#card .slide .huge").first.click()
    assert verdict.locator(".not").count() == 0


def test_an_office_in_trouble_is_not_taken_for_a_missing_signal(
    owner: Page, opened: Phone, job: str, said: list[str]
) -> None:
    """A full disk there: everything stays here, and the phone says whose trouble it is."""
    page = opened(job)
    refusal = '{"problems": [{"slug": "data-disk-full", "severity": "error", "where": {}, "what": "no room", "found": "", "allowed": "", "hint": ""}]}'
    page.route(
        "**/yard/entries", lambda route: route.fulfill(status=507, body=refusal, content_type="application/json")
    )
    page.locator("#card .tick .huge").click()
    page.wait_for_function("() => document.querySelector('#state').dataset.state === 'trouble'")
    assert page.locator("#state").inner_text() == "OFFICE: TROUBLE, 1 kept"
    page.click("#state")
    page.wait_for_selector("#sheet >> text=The office's disk is full. Everything stays on this phone.")
    page.unroute("**/yard/entries")
    page.click("#sheet-close")
    go(page)
    all_sent(page)
    assert len(entries(owner, job)) == 1
    said[:] = [one for one in said if "507" not in one]


def test_a_language_that_is_not_here_yet_is_told_and_comes(
    owner: Page, opened: Phone, job: str, said: list[str]
) -> None:
    page = opened(job)
    page.evaluate(
        """async (job) => {
            const { Box } = await import("/static/yard/box.js");
            const box = await Box.open(job);
            const work = box.db.transaction("packs", "readwrite");
            work.objectStore("packs").delete([job, "es"]);
            await new Promise((done) => (work.oncomplete = done));
        }""",
        job,
    )
    page.context.set_offline(True)
    page.reload()
    page.wait_for_selector("#card article")
    page.click("#language")
    page.wait_for_selector("#news-text >> text=aún no está en este teléfono")
    page.context.set_offline(False)
    go(page)
    page.wait_for_selector("#news", state="hidden")
    page.wait_for_selector("#card h2 >> text=poste")
    assert page.locator("html").get_attribute("lang") == "es"
    said.clear()  # what the page said of a missing signal
