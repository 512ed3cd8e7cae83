"""First page from a cold `palewright serve` against a bare FastAPI app with the same imports; an empty request against
something that is dragged, over the same connection; twenty people at work at once."""

from __future__ import annotations

import http.client
import json
import secrets
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple

from bench.drag import many, sixty

from palewright.store import Store

BARE = """
import sys
import fastapi, uvicorn, jinja2, pydantic, multipart, sqlite3, tomllib
from fastapi.responses import HTMLResponse
from fastapi.staticfiles import StaticFiles
app = fastapi.FastAPI(openapi_url=None)
@app.get("/", response_class=HTMLResponse)
def page() -> str:
    return "<!doctype html><title>bare</title>"
uvicorn.run(app, port=int(sys.argv[1]), log_level="warning")
"""

_FIGURES = 15
"""Frames from one step of a drag with figures to the next: FIGURES_MS of the page's job.js at 60 frames a second."""


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def ask(port: int, path: str, headers: dict[str, str] | None = None) -> tuple[int, str]:
    """One request on a connection of its own: status and cookie."""
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        link.request("GET", path, headers=headers or {})
        answer = link.getresponse()
        answer.read()
        return answer.status, (answer.getheader("set-cookie") or "").partition(";")[0]
    finally:
        link.close()


def until_up(port: int, path: str) -> tuple[int, str]:
    while True:
        try:
            return ask(port, path)
        except ConnectionError:
            time.sleep(0.002)


def bare() -> float:
    """Seconds from the start of the process to its page."""
    port = free_port()
    start = time.perf_counter()
    process = subprocess.Popen([sys.executable, "-c", BARE, str(port)])
    until_up(port, "/")
    taken = time.perf_counter() - start
    stop(process)
    return taken


def served(folder: Path) -> float:
    """Seconds from the start of `palewright serve` to the list of jobs, the owner signed in on the way."""
    start = time.perf_counter()
    process, port, opening = serve(folder)
    cookie = until_up(port, opening)[1]
    status, _ = ask(port, "/", {"Cookie": cookie})
    taken = time.perf_counter() - start
    assert status == 200
    stop(process)
    return taken


def serve(folder: Path) -> tuple[subprocess.Popen[str], int, str]:
    """Start a server: its process, its port, and the path that signs in."""
    port = free_port()
    command = [sys.executable, "-u", "-m", "palewright", "serve", "--data", str(folder), "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    line = next(line for line in process.stdout if "/open/" in line)
    return process, port, "/open/" + line.strip().rpartition("/open/")[2]


def stop(process: subprocess.Popen[str]) -> None:
    process.terminate()
    process.wait(30)
    if process.stdout is not None:
        process.stdout.close()


class Steps(NamedTuple):
    """Seconds of requests in turn: empty ones (who is asking), steps of a drag; those of them that ask for figures and
    for a side view as well; and bytes of the last answer that has places alone."""

    empty: list[float]
    drag: list[float]
    figures: list[float]
    size: int

    def said(self, name: str, wanted: tuple[int, int]) -> str:
        """Medians, the 99th of 100, and what the drag takes in empty requests."""
        rows = [(statistics.median(one), sorted(one)[int(len(one) * 0.99)]) for one in (self.empty, self.drag)]
        (empty, empty_99), (drag, drag_99) = rows
        return (
            f"{name}, {self.size / 1024:.0f} KiB a step\n"
            f"  empty request    median {empty * 1e3:8.2f} ms   p99 {empty_99 * 1e3:8.2f} ms\n"
            f"  step of a drag   median {drag * 1e3:8.2f} ms   p99 {drag_99 * 1e3:8.2f} ms\n"
            f"  one with figures median {statistics.median(self.figures) * 1e3:8.2f} ms\n"
            f"  ratio            median {drag / empty:8.2f}      p99 {drag_99 / empty_99:8.2f}"
            f"      (wanted: at most {wanted[0]} and {wanted[1]})"
        )


def dragged(person: Person, text: str, about: str, at: tuple[float, float], side: str, times: int = 300) -> Steps:
    """Drag a point to and fro as the page does, one run seen from the side, with an empty request before every step.

    Every answer has all that the plan is redrawn from. Four times a second, which is every fifteenth frame, the page
    asks for figures and the side view as well.
    """
    begun = person.ask(
        "POST", "/api/jobs", {"title": "bench", "from": "text", "text": text, "key": secrets.token_hex(8)}
    )
    path = f"/api/jobs/{begun[1]['id']}/trial"
    empty, drag, figures, size = [], [], [], 0
    for k in range(times + 20):
        edit = {"kind": "move", "about": about, "to": [at[0] + 0.01 * (k % 40), at[1] + 0.007 * (k % 29)]}
        wanted = "change" if k % _FIGURES == 0 else "places"
        one = person.ask("GET", "/api/about")[0]
        two, answer = person.ask("POST", path, {"revision": 1, "edits": [edit], "answer": wanted, "side": side})
        if k < 20:
            continue
        empty.append(one)
        drag.append(two)
        if wanted == "change":
            figures.append(two)
        else:
            size = len(json.dumps(answer, ensure_ascii=False, separators=(",", ":")))
    return Steps(empty, drag, figures, size)


class Person:
    """Somebody at work on a job of his own, on one connection."""

    def __init__(self, port: int, cookie: str) -> None:
        self.link = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
        self.headers = {"Cookie": cookie, "Content-Type": "application/json"}
        self.headers["X-Page-Token"] = self.ask("GET", "/api/about")[1]["token"]

    def ask(self, method: str, path: str, body: Any = None) -> tuple[float, Any]:
        start = time.perf_counter()
        self.link.request(method, path, None if body is None else json.dumps(body), self.headers)
        answer = self.link.getresponse()
        data = answer.read()
        taken = time.perf_counter() - start
        assert answer.status < 300, data[:500]
        return taken, json.loads(data)

    def begin(self) -> Person:
        """Begin a job, and change it once. No two texts are alike: neither those of one person nor those of two."""
        name = secrets.token_hex(8)
        self.job = self.ask("POST", "/api/jobs", {"title": f"job {name}", "from": "sample", "key": name})[1]["id"]
        self.work(1)
        return self

    def work(self, times: int) -> list[float]:
        """Change the gate of the job so often; what was saved is asked for at the end."""
        taken, path = [], f"/api/jobs/{self.job}"
        first = self.ask("GET", path)[1]["revision"]
        for k in range(first, first + times):
            edit = {"kind": "gate change", "about": "gate side gate", "opening": f"{36 + k % 24} in"}
            body = {"revision": k, "edits": [edit], "key": secrets.token_hex(8)}
            taken.append(self.ask("POST", f"{path}/edits", body)[0])
        assert self.ask("GET", path)[1]["revision"] == first + times
        return taken


def drags(folder: Path) -> list[str]:
    """What a drag takes on a job of 60 posts and on one of 2,000."""
    process, port, opening = serve(folder)
    person = Person(port, until_up(port, opening)[1])
    few = dragged(person, sixty(), "point B", (0.0, 34.0), "run west")
    lot = dragged(person, many(), "point B50", (30.4, 610.0), "run row 50")
    person.link.close()
    stop(process)
    return [few.said("a corner of 60 posts dragged", (5, 10)), lot.said("a corner of 2,000 posts dragged", (10, 20))]


def at_work(folder: Path, people: int = 20) -> tuple[float, list[float]]:
    """Median seconds of an edit by one alone, before and after; and all edits of so many who work at once.

    Each has a browser of his own that was let in.
    """
    with Store.open(folder) as store:
        openings = [f"/open/{store.people.opening('estimator')}" for _ in range(people)]
    process, port, opening = serve(folder)
    one, *crowd = [Person(port, until_up(port, path)[1]).begin() for path in (opening, *openings)]
    alone = one.work(30)[5:]
    with ThreadPoolExecutor(people) as pool:
        taken = list(pool.map(lambda person: person.work(10), crowd))
    alone += one.work(30)[5:]
    for person in (one, *crowd):
        person.link.close()
    stop(process)
    return statistics.median(alone), sorted(second for one in taken for second in one)


def main() -> None:
    """Print medians of seven pairs in turn, of a drag, and of people at work."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "data"
        served(folder)
        bare()
        pairs = [(served(folder), bare()) for _ in range(7)]
        steps = drags(folder)
        alone, crowd = at_work(folder)
    print("first page from a cold start")
    print(f"  palewright serve       {statistics.median(a for a, _ in pairs) * 1e3:8.0f} ms")
    print(f"  bare FastAPI           {statistics.median(b for _, b in pairs) * 1e3:8.0f} ms")
    print(f"  ratio                  {statistics.median(a / b for a, b in pairs):8.2f}   (wanted: at most 2)")
    print("\n".join(steps))
    slow = crowd[int(len(crowd) * 0.99)]
    print("twenty people, each changing a job of his own: no error, nothing lost")
    print(f"  one alone, median      {alone * 1e3:8.0f} ms")
    print(f"  median                 {statistics.median(crowd) * 1e3:8.0f} ms")
    print(f"  99 of 100 within       {slow * 1e3:8.0f} ms")
    print(f"  ratio                  {slow / alone:8.2f}   (wanted: at most 20)")


if __name__ == "__main__":
    main()
