"""Every page: no rule of accessibility broken, no error on the console, nothing asked of another host; small and large."""

from __future__ import annotations

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page
from tests.browser.conftest import Server, ask, new_job

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sloping-yard.yaml"
SIZES = {"laptop": {"width": 1366, "height": 768}, "phone": {"width": 390, "height": 844}}
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


@pytest.mark.usefixtures("alone")
@pytest.mark.parametrize("size", SIZES)
def test_every_page_can_be_used_by_everyone(page: Page, server: Server, size: str) -> None:
    job = new_job(page, **{"from": "text", "text": EXAMPLE.read_text("utf-8").replace("prices: prices.csv", "")})
    empty = new_job(page, title="Nothing yet")
    ask(page, "DELETE", f"/jobs/{new_job(page, title='Off the list')}?revision=1")
    page.set_viewport_size(SIZES[size])  # type: ignore[arg-type]
    paths = ["/", f"/jobs/{job}", f"/jobs/{empty}", f"/jobs/{job}/text", f"/jobs/{job}/papers", f"/jobs/{job}/money"]
    wrong = new_job(page, **{"from": "text", "text": "palewright: 1\njob: {title: Wrong}\nruns: [{through: [A, B]}]\n"})
    paths += [f"/jobs/{wrong}{tail}" for tail in ("", "/text", "/papers", "/money")]
    paths += [f"/jobs/{job}/beside/{empty}", "/devices"]
    broken: list[str] = []
    for path in paths:
        page.goto(server.base + path)
        page.wait_for_load_state("networkidle")
        page.evaluate(
            "() => document.querySelectorAll('#beside > details, details.gone').forEach((one) => (one.open = true))"
        )
        if path == f"/jobs/{job}":  # with something chosen
            page.locator("#counts button.link").first.click()
            page.wait_for_selector("#chosen h3")
        page.wait_for_timeout(150)
        found = Axe().run(page, options=RULES)
        broken += [
            f"{path}: {one['id']}: {[node['html'][:160] for node in one['nodes'][:3]]}"
            for one in found.response["violations"]
        ]
        wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if wide > 1:
            broken.append(f"{path}: {wide} px wider than the screen")
    assert broken == []


def test_twice_as_large_everything_is_still_there(page: Page, server: Server) -> None:
    """A laptop at 200 %: half as many pixels; every button of the table can be reached and lies on the page."""
    job = new_job(page, **{"from": "text", "text": EXAMPLE.read_text("utf-8").replace("prices: prices.csv", "")})
    page.set_viewport_size({"width": 683, "height": 384})
    page.goto(f"{server.base}/jobs/{job}")
    page.wait_for_load_state("networkidle")
    for button in page.locator("main button:visible").all()[:40]:
        button.scroll_into_view_if_needed()
        box = button.bounding_box()
        assert box is not None
        assert box["x"] >= 0
        assert box["x"] + box["width"] < 683 + 1  # the row of tools shifts by whole pixels
