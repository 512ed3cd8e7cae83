"""A server in this process over a folder of its own, with one browser for each role, and the demo job with its prices."""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

import pytest
from fastapi.testclient import TestClient

from palewright.web import Settings, create_app

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
T = TypeVar("T")
BASE = "http://127.0.0.1:8734"


def key() -> str:
    return secrets.token_hex(8)


def run(work: Coroutine[Any, Any, T]) -> T:
    """Run it in a thread of its own: the tests of the browser, where they share this process, keep a loop running in the first."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()


@dataclass
class Browser:
    """One browser: a cookie jar, and the token of its pages."""

    client: TestClient
    token: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    def ask(self, method: str, path: str, *, token: str | None = None, **kwargs: Any) -> Any:
        headers = {**self.headers, **kwargs.pop("headers", {})}
        sent = self.token if token is None else token
        if method != "GET" and sent:
            headers["X-Page-Token"] = sent
        return self.client.request(method, path, headers=headers, **kwargs)

    def get(self, path: str, **kwargs: Any) -> Any:
        return self.ask("GET", path, **kwargs)

    def post(self, path: str, body: Any = None, **kwargs: Any) -> Any:
        return self.ask("POST", path, json={} if body is None else body, **kwargs)

    def put(self, path: str, body: Any, **kwargs: Any) -> Any:
        return self.ask("PUT", path, json=body, **kwargs)

    def raw(self, path: str, data: Any, **kwargs: Any) -> Any:
        return self.ask("PUT", path, content=data, **kwargs)


@dataclass
class Place:
    """The server and who is at it."""

    app: Any
    owner: Browser
    estimator: Browser
    crew: Browser
    nobody: Browser

    @property
    def store(self) -> Any:
        return self.app.state.house.store

    def browser(self, role: str) -> Browser:
        """A new device of a role."""
        if role == "nobody":
            return Browser(_client(self.app))
        return _let_in(self.app, role)

    def job(self, text: str = "", title: str = "a job") -> Any:
        """A new job; from the sample site when no text is given."""
        body = {"title": title, "from": "text" if text else "sample", "key": key()} | ({"text": text} if text else {})
        answer = self.owner.post("/api/jobs", body)
        assert answer.status_code == 201, answer.text
        return answer.json()


def _client(app: Any, address: str = "") -> TestClient:
    address = address or f"10.0.0.{secrets.randbelow(250)}"
    return TestClient(app, base_url=BASE, raise_server_exceptions=False, client=(address, 50000))


def _let_in(app: Any, role: str) -> Browser:
    browser = Browser(_client(app))
    code = app.state.house.store.people.code(role, by="test").code
    app.state.house.pairing._tries.clear()
    assert browser.post("/api/pair", {"code": code, "name": f"a {role}"}).status_code == 201
    browser.token = browser.get("/api/about").json()["token"]
    return browser


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    app = create_app(Settings(tmp_path_factory.mktemp("data")))
    owner, estimator, crew = (_let_in(app, role) for role in ("owner", "estimator", "crew"))
    yield Place(app, owner, estimator, crew, Browser(_client(app)))
    app.state.house.close()


@pytest.fixture(scope="module")
def demo(place: Place) -> str:
    """Id of the demo job, its price list beside it."""
    job = place.job((EXAMPLES / "tansy-court.yaml").read_text(encoding="utf-8"), "Tansy Court")["id"]
    assert (
        place.owner.raw(f"/api/jobs/{job}/files/prices.csv", (EXAMPLES / "prices.csv").read_bytes()).status_code == 200
    )
    return str(job)
