"""A browser, a server in a process of its own, and one page that is signed in as the owner."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
PHONE = {"width": 390, "height": 844}
SEEN = "() => document.querySelector('#title') && document.querySelector('#card article') !== null"
ASKED = """async (job) => {
  const [{ Box }, { now }] = await Promise.all([import("/static/yard/box.js"), import("/static/yard/sync.js")]);
  await (await Box.open(job)).putFact(`wait ${job}`, now().slice(0, 10));
}"""
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def find_browser() -> str | None:
    """A browser of the system; on Debian as root it is installed where it is missing. None: playwright's own."""
    found = next(filter(None, map(shutil.which, NAMES)), None)
    if found or not (Path("/etc/debian_version").exists() and os.geteuid() == 0):
        return found
    lock = Path(tempfile.gettempdir()) / "palewright-chromium.lock"
    with lock.open("w") as held:
        import fcntl

        fcntl.flock(held, fcntl.LOCK_EX)
        if shutil.which("chromium") is None:
            for command in (["apt-get", "-qq", "update"], ["apt-get", "-qq", "-y", "install", "chromium"]):
                subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=900)
    return shutil.which("chromium")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        try:
            made = playwright.chromium.launch(executable_path=find_browser(), args=FLAGS)
        except Exception as error:
            pytest.fail(
                f"no browser: install chromium (on Debian: apt-get install chromium), or run playwright install chromium ({error})"
            )
        yield made
        made.close()


class Server:
    """`palewright serve` on a free port over one folder of jobs."""

    def __init__(self, data: Path) -> None:
        self.data = data
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.base = f"http://127.0.0.1:{self.port}"
        self.cookies: list[Any] = []
        self.opening = self.start()

    def start(self) -> str:
        command = [sys.executable, "-m", "palewright", "serve", "--data", str(self.data), "--port", str(self.port)]
        self.process = subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        assert self.process.stdout is not None
        said = ""
        for line in self.process.stdout:
            said += line
            if found := re.search(r"http://127\.0\.0\.1:\d+/open/\S+", line):
                return found.group()
        raise AssertionError(f"the server did not start: {said}")

    def enter(self, page: Page) -> None:
        """Show the owner's list of jobs: the address that was printed lets one browser in, others come as the same."""
        if self.cookies:
            page.context.add_cookies(self.cookies)
        page.goto(self.base if self.cookies else self.opening)
        self.cookies = self.cookies or page.context.cookies()

    def stop(self, with_signal: int = signal.SIGTERM) -> None:
        self.process.send_signal(with_signal)
        self.process.wait(20)
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def alone() -> None:
    """For a test that wants a server of its own: one without other jobs and devices, or one that is stopped."""


@pytest.fixture
def server(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Server]:
    """The one server of all tests, where every test has jobs of its own; another where a test wants to be ``alone``."""
    if "alone" not in request.fixturenames:
        yield request.getfixturevalue("house")
        return
    made = Server(tmp_path / "jobs")
    yield made
    made.stop()


@pytest.fixture
def said() -> list[str]:
    """What pages complained of; every test ends with none that it did not expect."""
    return []


def told(message: ConsoleMessage) -> str:
    return f"{message.text} {message.location['url']}"


def listen(page: Page, said: list[str]) -> None:
    """Keep errors of a page, and every request that goes to another host."""
    page.on("console", lambda message: said.append(told(message)) if message.type == "error" else None)
    page.on("pageerror", lambda error: said.append(str(error)))

    def asked(request: Any) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "blob:", "data:")):
            said.append(f"a request to {request.url}")

    page.on("request", asked)


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport={"width": 1366, "height": 768}, accept_downloads=True)
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext, server: Server, said: list[str]) -> Iterator[Page]:
    """The list of jobs, signed in as the owner."""
    made = context.new_page()
    listen(made, said)
    server.enter(made)
    yield made
    assert said == []


def ask(page: Page, method: str, path: str, body: object = None) -> Any:
    """The interface as the page itself uses it."""
    return page.evaluate(
        """async ([method, path, body]) => {
            const api = await import("/static/shared/api.js");
            return method === "GET" ? api.get(path) : api.send(method, path, body);
        }""",
        [method, path, body],
    )


def new_job(page: Page, **wanted: str) -> str:
    """A job made through the interface; its id."""
    made = ask(page, "POST", "/jobs", {"title": "Yard", "from": "empty", "key": os.urandom(16).hex(), **wanted})
    return str(made["id"])


@pytest.fixture
def phone(browser: Browser, said: list[str]) -> Iterator[Callable[..., Page]]:
    """A phone of the crew: paired by a code of the owner's page, with the first hole of a job open and asked today whether a tick is meant
    although the locate is open; as it opens by itself where ``start`` is empty."""
    made: list[BrowserContext] = []

    def pair(owner: Page, job: str, script: str = "", start: str = "#view=holes&place=1", **more: Any) -> Page:
        base = owner.evaluate("() => location.origin")
        context = browser.new_context(**{"viewport": PHONE, "has_touch": True, "is_mobile": True, **more})
        made.append(context)
        if script:
            context.add_init_script(script)
        page = context.new_page()
        listen(page, said)
        if "storage_state" not in more:
            code = ask(owner, "POST", "/pairing", {"role": "crew"})["code"]
            page.goto(f"{base}/pair")
            ask(page, "POST", "/pair", {"code": code, "name": f"phone {len(made)}"})
        page.goto(f"{base}/yard/{job}{start}")
        page.wait_for_function(SEEN)
        if start:
            page.evaluate(ASKED, job)
        page.wait_for_selector("body[data-kept=yes]", state="attached")
        return page

    yield pair
    for context in made:
        context.close()


@pytest.fixture(scope="session")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for all tests that share one; every test has a job of its own."""
    made = Server(tmp_path_factory.mktemp("house") / "jobs")
    yield made
    made.stop()


@pytest.fixture(scope="session")
def owner(browser: Browser, house: Server) -> Iterator[Page]:
    context = browser.new_context()
    page = context.new_page()
    house.enter(page)
    yield page
    context.close()


@pytest.fixture(scope="session")
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
def opened(phone: Callable[..., Page], owner: Page, session: Any) -> Callable[..., Page]:
    """A phone that is paired, with the yard of a job open."""
    from tests.browser.yards import named

    return lambda job, script="", **more: named(phone(owner, job, script, storage_state=session, **more))


@pytest.fixture
def job(owner: Page) -> str:
    from tests.browser.yards import FENCE

    return new_job(owner, **{"from": "text", "text": FENCE.format(style="feet-inches")})
