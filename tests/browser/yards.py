"""What tests of the yard share: a fence of four bays, and what a hand does on the phone."""

from __future__ import annotations

import base64
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Page
from tests.browser.conftest import ask

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


def until(seen: Callable[[], bool], seconds: float = 20) -> None:
    """Wait for what only an asynchronous question tells: `wait_for_function` takes a promise for a yes."""
    end = time.monotonic() + seconds
    while not seen():
        assert time.monotonic() < end
        time.sleep(0.05)


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
