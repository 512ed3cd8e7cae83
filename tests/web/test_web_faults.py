"""One shape for whatever goes wrong, in words, and no trace of the program in it."""

from __future__ import annotations

import asyncio
import errno
import gc
import json
import sqlite3

import pytest
from tests.web.conftest import key, run

from palewright.errors import OutputError, Problem, ProblemError
from palewright.web import desk
from palewright.web.faults import STATUS
from palewright.web.guard import Guard
from palewright.web.shapes import Fault


def shaped(answer) -> list[str]:
    assert answer.headers["content-type"] == "application/json"
    assert "Traceback" not in answer.text
    found = Fault.model_validate_json(answer.text)
    assert all(problem.what for problem in found.problems)
    return [problem.slug for problem in found.problems]


@pytest.mark.parametrize(
    ("method", "path", "body", "status", "slug"),
    [
        ("GET", "/api/nothing", None, 404, "address-unknown"),
        ("GET", "/api", None, 404, "address-unknown"),
        ("PATCH", "/api/jobs", {}, 405, "method-unknown"),
        ("GET", "/api/jobs/nothing", None, 404, "job-unknown"),
        ("POST", "/api/jobs", {"title": ""}, 422, "request-value-unusable"),
        ("POST", "/api/jobs", [], 422, "request-value-unusable"),
        ("POST", "/api/jobs", {"title": "x", "from": "empty", "key": 8}, 422, "request-value-unusable"),
        ("GET", "/api/jobs/x/yard/entries?after=-1", None, 422, "request-value-unusable"),
        ("GET", "/api/jobs/x/sight?lang=fr", None, 422, "request-value-unusable"),
        ("DELETE", "/api/jobs/x", {}, 422, "request-value-unusable"),
        ("DELETE", "/api/devices/x", {}, 404, "device-unknown"),
    ],
)
def test_every_error_has_the_shape(place, method, path, body, status, slug):
    answer = place.owner.ask(method, path, **({} if body is None else {"json": body}))
    assert answer.status_code == status
    assert shaped(answer)[0] == slug


@pytest.mark.parametrize(
    ("path", "allowed"), [("/api/jobs", "GET, POST"), ("/api/jobs/x/text", "GET, PUT"), ("/devices", "GET")]
)
def test_a_wrong_method_is_told_all_that_are_taken(place, path, allowed):
    """RFC 9110, 15.5.6: a 405 has an Allow with the methods of the address."""
    answer = place.owner.ask("PATCH", path, json={})
    assert (answer.status_code, answer.headers["Allow"]) == (405, allowed)


@pytest.mark.parametrize("text", ["{", "", "nonsense", '{"title": "\\ud800"}', "[" * 100_000, '{"a": 1e99999}'])
def test_json_that_is_none(place, text):
    answer = place.owner.ask("POST", "/api/jobs", content=text, headers={"Content-Type": "application/json"})
    assert answer.status_code in (400, 422)
    assert shaped(answer)[0] in ("request-unreadable", "request-value-unusable")


def test_several_wrong_parts_are_told_at_once(place):
    answer = place.owner.post("/api/jobs", {"title": 7, "from": "else", "more": True})
    places = {problem["where"]["path"] for problem in answer.json()["problems"]}
    assert {"body.title", "body.from", "body.key", "body.more"} <= places


def test_an_error_of_the_program_shows_nothing_of_it(place, monkeypatch):
    def broken(*_args, **_kwargs):
        raise ZeroDivisionError("secret of the house")

    monkeypatch.setattr(place.store.jobs, "all", broken)
    answer = place.owner.get("/api/jobs")
    assert (answer.status_code, shaped(answer)) == (500, ["server-failed"])
    page = place.owner.get("/")
    assert page.status_code == 500
    assert "secret" not in answer.text + page.text
    assert "server-failed" in page.text
    assert "frame-ancestors 'none'" in page.headers["content-security-policy"]


@pytest.mark.parametrize(
    ("error", "status", "slug"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), 507, "server-folder-full"),
        (OSError(errno.EROFS, "Read-only file system"), 503, "server-folder-unusable"),
        (PermissionError(errno.EACCES, "Permission denied"), 503, "server-folder-unusable"),
        (OutputError("the paper could not be typeset: x"), 503, "paper-not-made"),
    ],
)
def test_a_disk_that_is_full_or_read_only_under_a_paper(place, monkeypatch, error, status, slug):
    job = place.job()["id"]

    def broken(*_args, **_kwargs):
        raise error

    monkeypatch.setattr(desk, "_printed", broken)
    answer = place.owner.get(f"/api/jobs/{job}/papers/crew.pdf")
    assert (answer.status_code, shaped(answer)) == (status, [slug])
    monkeypatch.undo()
    assert place.owner.get(f"/api/jobs/{job}/papers/crew.pdf").content.startswith(b"%PDF-")


def test_a_store_that_is_full_says_so_and_saves_nothing(place):
    """The database itself is told to hold no more pages than it has: what SQLite says then is what a full disk gives."""
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"]
    with full(place.store):
        answer = place.owner.put(
            f"/api/jobs/{job}/text", {"revision": 1, "text": text + "# x\n" * 100_000, "key": key()}
        )
        assert (answer.status_code, shaped(answer)) == (507, ["data-disk-full"])
    assert place.owner.get(f"/api/jobs/{job}").json()["revision"] == 1


def test_a_store_that_is_read_only_says_so(place, monkeypatch):
    def refused(*_args, **_kwargs):
        raise ProblemError(Problem("data-folder-read-only", "The data folder cannot be written"))

    monkeypatch.setattr(place.store.jobs, "create", refused)
    answer = place.owner.post("/api/jobs", {"title": "x", "from": "empty", "key": key()})
    assert (answer.status_code, shaped(answer)) == (503, ["data-folder-read-only"])


class full:  # noqa: N801
    """While it holds, the database of a store can grow no more."""

    def __init__(self, store) -> None:
        self.store = store

    def __enter__(self) -> None:
        for connection in connections(self.store):
            (pages,) = dict(connection.execute("PRAGMA page_count").fetchone()).values()
            connection.execute(f"PRAGMA max_page_count = {pages}")

    def __exit__(self, *_: object) -> None:
        for connection in connections(self.store):
            connection.execute("PRAGMA max_page_count = 1073741823")


def connections(store) -> list[sqlite3.Connection]:
    """Every open connection to the database of this store."""
    found = []
    for thing in gc.get_objects():
        if isinstance(thing, sqlite3.Connection):
            try:
                files = [dict(row)["file"] for row in thing.execute("PRAGMA database_list").fetchall()]
            except sqlite3.ProgrammingError:
                continue
            found += [thing] if any(str(store.folder) in file for file in files) else []
    return found


def test_every_status_is_one_that_the_interface_names(place):
    from palewright.web.routes import FAULTS

    assert set(STATUS.values()) <= set(FAULTS)


def test_pages_tell_errors_in_words(place):
    for browser, path, status in (
        (place.nobody, "/", 401),
        (place.crew, "/devices", 403),
        (place.owner, "/jobs/nothing", 404),
        (place.owner, "/nothing", 404),
        (place.owner, "/static/nothing.js", 404),
        (place.owner, "/static/../app.py", 404),
        (place.owner, "/static/%2e%2e/app.py", 404),
        (place.owner, "/static//etc/passwd", 404),
    ):
        answer = browser.get(path)
        assert answer.status_code == status
        assert answer.headers["content-type"].startswith("text/html")
        assert "<h1>" in answer.text


BROKEN = "palewright: 1\njob: {title: Yard}\nruns:\n  - {name: back, through: [A, B], sings: loud}\n"
SPANISH = {"headers": {"Accept-Language": "es"}}


def test_what_is_wrong_with_a_text_is_told_in_the_language_of_the_page(place):
    job = place.job(text=BROKEN)["id"]
    asked = place.owner.get(f"/api/jobs/{job}/text", **SPANISH).json()["problems"]
    checked = place.owner.post(f"/api/jobs/{job}/check", {"text": BROKEN}, **SPANISH).json()["problems"]
    assert checked == asked
    key = next(one for one in asked if one["slug"] == "unknown-key")
    assert (key["what"], key["found"]) == ("esta clave no se conoce en run", "sings")
    assert key["where"]["line"] == 4
    papers = place.owner.get(f"/api/jobs/{job}/papers?lang=es").json()["problems"]
    assert [one["what"] for one in papers] == [one["what"] for one in asked]
    english = place.owner.get(f"/api/jobs/{job}/text").json()["problems"]
    assert [(one["slug"], one["where"]) for one in english] == [(one["slug"], one["where"]) for one in asked]
    assert next(one for one in english if one["slug"] == "unknown-key")["what"] == "this key is not known in run"


def test_what_the_interface_refuses_is_told_in_the_language_of_the_page(place):
    answer = place.owner.get("/api/jobs/nothing", **SPANISH)
    assert (answer.status_code, answer.json()["problems"][0]["what"]) == (404, "No hay tal trabajo")
    foreign = place.owner.post("/api/jobs", {}, headers={"Accept-Language": "es", "Origin": "http://elsewhere.example"})
    assert foreign.json()["problems"][0]["what"] == "la petición vino de una página de otro sitio"
    assert place.owner.get("/api/jobs/nothing").json()["problems"][0]["what"] == "There is no such job"


def test_a_page_that_is_not_there_says_so_in_its_language(place):
    assert "No hay tal trabajo" in place.owner.get("/jobs/nothing?lang=es").text
    assert "There is no such job" in place.owner.get("/jobs/nothing?lang=en").text


@pytest.mark.parametrize(
    ("edit", "slug"),
    [
        (r'{"kind": "set", "path": "job.title", "value": "\ud800"}', "request-value-unusable"),
        (r'{"kind": "set", "path": "job", "value": {"\udfff": "x"}}', "request-value-unusable"),
        (r'{"kind": "rename", "about": "point A", "name": "a\ud83d"}', "request-value-unusable"),
        (r'{"kind": "set", "path": "' + "a." * 5000 + 'b", "value": "1"}', "cannot-edit"),
    ],
)
def test_half_a_letter_and_a_path_without_end_are_told(place, edit, slug):
    job = place.job()["id"]
    sent = '{"revision": 1, "key": "0123456789abcdef", "edits": [' + edit + "]}"
    answer = place.owner.ask(
        "POST", f"/api/jobs/{job}/edits", content=sent, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == 422
    assert [problem["slug"] for problem in answer.json()["problems"]] == [slug]
    assert len(answer.content) < 1000


def test_what_was_under_way_when_the_server_stopped_is_told_without_a_trace(place):
    sent = []

    async def stopped() -> None:
        begun = asyncio.Event()

        async def slow(scope, receive, send) -> None:
            begun.set()
            await asyncio.sleep(600)

        async def send(message) -> None:
            sent.append(message)

        guard = Guard(slow, place.app.state.house.settings, failed=None)
        headers = [(b"host", b"127.0.0.1:8734")]
        scope = {"type": "http", "method": "GET", "path": "/api/jobs", "scheme": "http", "headers": headers}
        task = asyncio.ensure_future(guard(scope, None, send))
        await begun.wait()
        task.cancel()
        await task

    run(stopped())
    assert sent[0]["status"] == 503
    assert json.loads(sent[1]["body"])["problems"][0]["slug"] == "server-stopped"
