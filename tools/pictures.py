"""Make the pictures that the README shows, from the demo's own papers and pages.

python -m tools.pictures
"""

from __future__ import annotations

import io
import shutil
import tempfile
import threading
import time
from pathlib import Path

import pypdfium2
import uvicorn
from PIL import Image

from palewright import plan

ROOT = Path(__file__).resolve().parent.parent
JOB = ROOT / "examples" / "tansy-court.yaml"
PICTURES = ROOT / "docs" / "pictures"
PAGES = (
    ("crew.pdf", "Order of work", "crew-first"),
    ("crew.pdf", "How to set it", "crew-string"),
    ("drawings.pdf", "Fence plan", "plan"),
    ("materials.pdf", "Need", "materials"),
)
"""A paper, words of the page to show (the first that has them), and the name of its picture."""


def page_with(document: pypdfium2.PdfDocument, words: str) -> pypdfium2.PdfPage:
    """The first page that holds the words; raises StopIteration where none does."""
    return next(page for page in document if words in page.get_textpage().get_text_bounded())


SCREENS = (("table", "/jobs/{job}", (1366, 860)), ("yard", "/yard/{job}#view=holes&place=1", (390, 780)))
"""The name of a picture, the page that it shows, and the size of its screen."""


def screens() -> None:
    """Pictures of the pages, in the system's Chromium."""
    from playwright.sync_api import sync_playwright

    from palewright.web import Settings, create_app

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        app = create_app(Settings(Path(folder)))
        server = uvicorn.Server(uvicorn.Config(app, port=app.state.house.settings.port, log_level="warning"))
        serving = threading.Thread(target=server.run, daemon=True)
        serving.start()
        while not server.started:
            time.sleep(0.05)
        base = f"http://127.0.0.1:{app.state.house.settings.port}"
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(base + app.state.house.opening())
        text = JOB.read_text("utf-8").replace("prices: prices.csv", "")
        job = page.evaluate(
            """async (text) => {
                const api = await import("/static/shared/api.js");
                return (await api.send("POST", "/jobs", {title: "Demo", from: "text", text, key: api.newKey()})).id;
            }""",
            text,
        )
        for title, path, (width, height) in SCREENS:
            page.set_viewport_size({"width": width, "height": height})
            page.goto(base + path.format(job=job))
            page.wait_for_selector("#counts dd, #card article")
            page.wait_for_timeout(1000)
            image = Image.open(io.BytesIO(page.screenshot())).convert("RGB").quantize(64)
            image.save(PICTURES / f"{title}.png", optimize=True)
            print(f"docs/pictures/{title}.png")
        browser.close()
        server.should_exit = True
        serving.join()


def main() -> None:
    """Write one picture for every page named above."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    screens()
    with tempfile.TemporaryDirectory() as folder:
        made = plan.make_plan(*plan.load(JOB))
        plan.publish(made, Path(folder))
        for name, words, title in PAGES:
            page = page_with(pypdfium2.PdfDocument(Path(folder) / name), words)
            image = page.render(scale=1.4).to_pil().convert("L").quantize(32)
            image.save(PICTURES / f"{title}.png", optimize=True)
            print(f"docs/pictures/{title}.png")


if __name__ == "__main__":
    main()
