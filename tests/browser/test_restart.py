"""The program is killed in the middle of a save: what was acknowledged is there, and the page goes on."""

from __future__ import annotations

import re
import signal

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import Server, ask, new_job
from tests.browser.test_drawing_table import ask_edits, open_table, saved

FT = 0.3048


@pytest.mark.usefixtures("alone")
def test_killed_in_the_middle_of_a_save(page: Page, server: Server, said: list[str]) -> None:
    job = new_job(page, title="Killed")
    for k in range(12):
        points = [[0, k * 10 * FT], [40 * FT, k * 10 * FT]]
        ask_edits(
            page, job, [{"kind": "run", "name": f"row {k}", "fence": "", "points": points, "yard": "", "closed": False}]
        )
    acknowledged = ask(page, "GET", f"/jobs/{job}")["revision"]
    page.evaluate(
        """([job, revision]) => {
            import("/static/shared/api.js").then((api) => api.send("POST", `/jobs/${job}/edits`, {
                revision, key: api.newKey(),
                edits: [{kind: "run", name: "last", fence: "", points: [[0, -5], [9, -5]], yard: "", closed: false}],
            }).catch(() => {}));
        }""",
        [job, acknowledged],
    )
    server.stop(signal.SIGKILL)
    opening = server.start()
    page.goto(opening)
    found = ask(page, "GET", f"/jobs/{job}")["revision"]
    assert found in (acknowledged, acknowledged + 1)
    text = str(ask(page, "GET", f"/jobs/{job}/text")["text"])
    assert [int(k) for k in re.findall(r"name: row (\d+)", text)] == list(range(12))
    folder = next((server.data / "jobs").glob("killed-*"))
    assert (folder / "job.yaml").read_text("utf-8") == text
    open_table(page, server, job)
    ask_edits(page, job, [{"kind": "delete", "about": "run row 3"}])
    open_table(page, server, job)
    saved(page, found + 1)
    said.clear()  # what the page said while nobody answered
