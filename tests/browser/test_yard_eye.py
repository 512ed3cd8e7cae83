"""The phone in gloves, with letters twice as large, in colours of the phone's own: what pictures showed, kept by measuring."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import new_job
from tests.browser.yards import ROOT, Phone, goto

TARGETS = """() => [...document.querySelectorAll("button, a, input:not([type=file]), select, summary, textarea, label.photo span")]
  .filter((one) => one.offsetParent !== null && !one.closest(".skip"))
  .map((one) => [one.tagName, one.id || one.textContent.slice(0, 20), one.getBoundingClientRect()])
  .filter(([, , box]) => box.width < 48 || box.height < 48).map(([tag, name, box]) => `${tag} ${name} ${box.width} x ${box.height}`)"""
CUT = """() => [...document.querySelectorAll("button, .button, .reads")].filter((one) => one.offsetParent !== null && one.scrollWidth > one.clientWidth + 1).map((one) => one.textContent)"""
BIG = "() => { const sheet = new CSSStyleSheet(); sheet.replaceSync('html { font-size: 200% !important }'); document.adoptedStyleSheets = [sheet]; }"


def cards(page: Page) -> list[str]:
    """Targets that are too small, and words that are cut, on cards of every sort."""
    found: list[str] = []
    for name, place in (("locate", 0), ("holes", 0), ("holes", 2), ("checks", 0), ("last", 0)):
        page.click(f"#view-{name}")
        if not page.locator("#where").inner_text():
            continue
        goto(page, place)
        page.evaluate("() => document.querySelectorAll('details').forEach((one) => (one.open = true))")
        found += [f"{name} {place}: {one}" for one in (*page.evaluate(TARGETS), *page.evaluate(CUT))]
        over = page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
        found += [f"{name} {place}: {over} px too wide"] if over > 0 else []
    return found


@pytest.mark.parametrize("name", ["house-and-tape", "field-fence-tennessee"])
def test_a_gloved_thumb_meets_everything(owner: Page, opened: Phone, name: str) -> None:
    """48 px at least, the least that guides for touch ask for (from memory); nothing cut off with letters twice as large."""
    job = new_job(owner, **{"from": "text", "text": (ROOT / f"examples/{name}.yaml").read_text("utf-8")})
    page = opened(job)
    for large in (False, True):
        if large:
            page.evaluate(BIG)
        for width in (390, 320):
            page.set_viewport_size({"width": width, "height": 700})
            assert cards(page) == [], (width, large)


def test_what_is_chosen_shows_in_colours_of_the_phones_own(owner: Page, opened: Phone, job: str) -> None:
    """Forced colours take backgrounds away: chosen and not chosen must still differ."""
    page = opened(job, forced_colors="active", reduced_motion="reduce")
    page.evaluate("() => document.querySelectorAll('details').forEach((one) => (one.open = true))")
    style = "(selector) => { const one = getComputedStyle(document.querySelector(selector)); return [one.backgroundColor, one.color]; }"
    for chosen, other in (
        ("#view-holes", "#view-checks"),
        (".eighths [aria-pressed=true]", ".eighths [aria-pressed=false]"),
    ):
        assert page.evaluate(style, chosen) != page.evaluate(style, other)
    moving = "() => [...document.querySelectorAll('body *')].filter((one) => getComputedStyle(one).animationName !== 'none' || parseFloat(getComputedStyle(one).transitionDuration) > 0.01).length"
    assert page.evaluate(moving) == 0
