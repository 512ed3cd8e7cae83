"""First page from a cold `palewright serve` against a bare FastAPI app with the same imports; an empty request;
twenty people at work at once."""

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
from typing import Any

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


def empty_request(folder: Path, times: int = 400) -> list[float]:
    """Seconds of requests that say who is asking, on one connection."""
    process, port, opening = serve(folder)
    cookie = until_up(port, opening)[1]
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    taken = []
    for k in range(times + 50):
        start = time.perf_counter()
        link.request("GET", "/api/about", headers={"Cookie": cookie})
        assert link.getresponse().read().startswith(b'{"version"')
        if k >= 50:
            taken.append(time.perf_counter() - start)
    link.close()
    stop(process)
    return taken


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
        assert answer.status < 300, data[:500]
        return time.perf_counter() - start, json.loads(data)

    def work(self, times: int) -> list[float]:
        """Begin a job and change its gate so often; what was saved is asked for at the end."""
        job = self.ask("POST", "/api/jobs", {"title": "a job", "from": "sample", "key": secrets.token_hex(8)})[1]["id"]
        taken = []
        for k in range(times):
            edit = {"kind": "gate change", "about": "gate side gate", "opening": f"{3 + k % 3} ft"}
            body = {"revision": k + 1, "edits": [edit], "key": secrets.token_hex(8)}
            taken.append(self.ask("POST", f"/api/jobs/{job}/edits", body)[0])
        assert self.ask("GET", f"/api/jobs/{job}")[1]["revision"] == times + 1
        self.link.close()
        return taken


def at_work(folder: Path, people: int = 20) -> tuple[float, list[float]]:
    """Median seconds of an edit by one alone, and all of theirs when so many work at once."""
    process, port, opening = serve(folder)
    cookie = until_up(port, opening)[1]
    Person(port, cookie).work(5)
    alone = statistics.median(Person(port, cookie).work(20))
    with ThreadPoolExecutor(people) as pool:
        taken = list(pool.map(lambda _: Person(port, cookie).work(10), range(people)))
    stop(process)
    return alone, sorted(second for one in taken for second in one)


def main() -> None:
    """Print medians of seven pairs in turn, and of the empty request."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "data"
        served(folder)
        bare()
        pairs = [(served(folder), bare()) for _ in range(7)]
        empty = sorted(empty_request(folder))
        alone, crowd = at_work(folder)
    print("first page from a cold start")
    print(f"  palewright serve       {statistics.median(a for a, _ in pairs) * 1e3:8.0f} ms")
    print(f"  bare FastAPI           {statistics.median(b for _, b in pairs) * 1e3:8.0f} ms")
    print(f"  ratio                  {statistics.median(a / b for a, b in pairs):8.2f}   (wanted: at most 2)")
    print("empty request to a running server")
    print(f"  median                 {statistics.median(empty) * 1e3:8.2f} ms")
    print(f"  99 of 100 within       {empty[int(len(empty) * 0.99)] * 1e3:8.2f} ms")
    slow = crowd[int(len(crowd) * 0.99)]
    print("twenty people, each changing a job of his own: no error, nothing lost")
    print(f"  one alone, median      {alone * 1e3:8.0f} ms")
    print(f"  median                 {statistics.median(crowd) * 1e3:8.0f} ms")
    print(f"  99 of 100 within       {slow * 1e3:8.0f} ms")
    print(f"  ratio                  {slow / alone:8.2f}   (wanted: at most 20)")


if __name__ == "__main__":
    main()
