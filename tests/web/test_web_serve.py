"""`palewright serve` itself: as a process, and what other commands do not load because of it."""

from __future__ import annotations

import asyncio
import gc
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
import uvicorn
from tests.web.conftest import EXAMPLES, run

from palewright.cli.serve import serve
from palewright.errors import OutputError, ProblemError
from palewright.store import Store
from palewright.web import serving
from palewright.web.patience import Patient

WEB = (
    "fastapi",
    "starlette",
    "uvicorn",
    "jinja2",
    "pydantic",
    "segno",
    "multipart",
    "sqlalchemy",
    "alembic",
    "psycopg",
)


def loaded(*command: str) -> set[str]:
    script = f"import sys; sys.argv = {['palewright', *command]!r}\nfrom palewright.cli.main import main\ntry: main()\nexcept SystemExit: pass\n"
    script += "print('LOADED', *sorted({name.partition('.')[0] for name in sys.modules}))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return set(done.stdout.rpartition("LOADED")[2].split())


@pytest.mark.parametrize(
    "command", [("--help",), ("check", str(EXAMPLES / "house-and-tape.yaml")), ("serve", "--help")]
)
def test_no_other_command_loads_the_web(command):
    assert not loaded(*command) & set(WEB)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Served:
    """A server in a process of its own."""

    def __init__(self, data: Path, *more: str) -> None:
        self.port = free_port()
        command = [
            sys.executable,
            "-u",
            "-m",
            "palewright",
            "serve",
            "--data",
            str(data),
            "--port",
            str(self.port),
            *more,
        ]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    def __enter__(self) -> Served:
        assert self.process.stdout is not None
        lines = [self.process.stdout.readline() for _ in range(3)]
        self.opening = re.search(rf"http://127\.0\.0\.1:{self.port}/open/\S+", "".join(lines)).group()
        return self

    def __exit__(self, *_: object) -> None:
        self.process.send_signal(signal.SIGINT)
        self.process.wait(30)
        for pipe in (self.process.stdout, self.process.stderr):
            pipe.close()


def test_the_database_is_the_one_that_was_named(tmp_path, monkeypatch):
    monkeypatch.setattr(gc, "set_threshold", lambda *_: None)
    monkeypatch.setattr(serving, "_bind", lambda *_: None)
    monkeypatch.setenv("PALEWRIGHT_DATABASE", "mysql://user@host/name")
    with pytest.raises(ProblemError) as wrong:
        serve.callback(**serve.make_context("serve", ["--data", str(tmp_path)]).params)
    assert wrong.value.problems[0].slug == "database-address-unusable"


def test_it_starts_brings_folders_up_to_date_signs_in_once_and_stops(tmp_path):
    with Store.open(tmp_path / "data") as store:
        store.jobs.create("palewright: 1\njob: {title: Yard}\n", title="Yard", by="test")
    (copy,) = (tmp_path / "data").glob("jobs/*/job.yaml")
    copy.unlink()  # as where it was killed before it wrote it
    with Served(tmp_path / "data") as served:
        end = time.monotonic() + 60
        while not copy.is_file():
            assert time.monotonic() < end
            time.sleep(0.01)
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        with opener.open(served.opening) as answer:
            assert "<h1>" in answer.read().decode()
        with opener.open(f"http://127.0.0.1:{served.port}/api/about") as answer:
            assert b'"role":"owner"' in answer.read()
            assert "server" not in {name.lower() for name in answer.headers}
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(served.opening)
        refused.value.close()
        assert refused.value.code == 403
    assert served.process.returncode == 0


def test_a_port_that_is_taken_is_told_in_words(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = subprocess.run(
            [sys.executable, "-m", "palewright", "serve", "--data", str(tmp_path / "d"), "--port", str(port)],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
    assert done.returncode == 3
    assert f"cannot listen on port {port}" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_data_folder_that_is_a_file_is_told_in_words(tmp_path):
    (tmp_path / "d").write_text("x")
    done = subprocess.run(
        [sys.executable, "-m", "palewright", "serve", "--data", str(tmp_path / "d"), "--port", str(free_port())],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode in (1, 3)
    assert "Traceback" not in done.stderr
    assert done.stderr.strip()


def test_without_share_it_listens_on_the_loopback_alone(tmp_path):
    with Served(tmp_path / "data") as served, pytest.raises(OSError):
        socket.create_connection((own_address(), served.port), timeout=2).close()


def own_address() -> str:
    """An address of this machine that is not 127.0.0.1 and belongs to it all the same."""
    return "127.0.0.2"


def test_a_client_that_never_says_what_it_wants_keeps_nobody_out(tmp_path, monkeypatch):
    from palewright.web import patience

    monkeypatch.setattr(patience, "LOOK_S", 0.3)
    monkeypatch.setattr(patience, "EACH", 5)
    assert run(_many_that_wait()).startswith(b"HTTP/1.1 204")


def test_handshakes_that_never_end_are_counted(tmp_path, monkeypatch):
    from palewright.web import authority, patience

    monkeypatch.setattr(patience, "EACH", 5)
    answers = run(_many_that_never_shake_hands(authority.certified(tmp_path, ["127.0.0.1"])))
    assert [answer[:12] for answer in answers] == [b"HTTP/1.1 204"] * 7  # whoever leaves makes room


async def _many_that_never_shake_hands(files) -> list[bytes]:
    async def app(scope, receive, send):
        await send({"type": "http.response.start", "status": 204, "headers": []})
        await send({"type": "http.response.body"})

    port = free_port()
    listening = serving._bind("127.0.0.1", port)
    server = uvicorn.Server(serving._config(app, files))
    running = asyncio.create_task(server.serve([listening]))
    while not server.started:
        await asyncio.sleep(0.01)
    silent = [await asyncio.open_connection("127.0.0.1", port) for _ in range(5)]
    while listening._inside.total() < 5:
        await asyncio.sleep(0.01)
    one_too_many = await asyncio.open_connection("127.0.0.1", port)
    end = await asyncio.wait_for(asyncio.gather(one_too_many[0].read(), return_exceptions=True), 20.0)
    assert end[0] == b"" or isinstance(end[0], ConnectionError)
    one_too_many[1].close()
    for _, writer in silent:
        writer.close()
    while listening._inside:
        await asyncio.sleep(0.01)
    trusting = ssl.create_default_context(cafile=files.authority)
    answers = []
    for _ in range(7):
        fresh = await asyncio.open_connection("127.0.0.1", port, ssl=trusting)
        fresh[1].write(b"GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        answers.append(await asyncio.wait_for(fresh[0].readline(), 20.0))
        fresh[1].close()
        while listening._inside:
            await asyncio.sleep(0.01)
    server.should_exit = True
    await running
    return answers


async def _many_that_wait() -> bytes:
    async def app(scope, receive, send):
        await asyncio.sleep(1.0)  # an answer may take as long as it takes
        await send({"type": "http.response.start", "status": 204, "headers": []})
        await send({"type": "http.response.body"})

    port = free_port()
    server = uvicorn.Server(uvicorn.Config(app, http=Patient, ws="none", lifespan="off", log_level="error"))
    running = asyncio.create_task(server.serve([serving._bind("127.0.0.1", port)]))
    while not server.started:
        await asyncio.sleep(0.01)
    slow = await asyncio.open_connection("127.0.0.1", port)
    slow[1].write(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
    waiting = [await asyncio.open_connection("127.0.0.1", port) for _ in range(8)]
    for _, writer in waiting:
        writer.write(b"GET / HTTP/1.1\r\nHost: ")
    ends = await asyncio.wait_for(asyncio.gather(*(r.read() for r, _ in waiting), return_exceptions=True), 5.0)
    assert all(not end or isinstance(end, ConnectionError) for end in ends)
    assert (await asyncio.wait_for(slow[0].readline(), 5.0)).startswith(b"HTTP/1.1 204")
    fresh = await asyncio.open_connection("127.0.0.1", port)
    fresh[1].write(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
    answer = await asyncio.wait_for(fresh[0].readline(), 5.0)
    server.should_exit = True
    for _, writer in (slow, fresh, *waiting):
        writer.close()
    await running
    return answer


def test_whoever_does_not_read_what_was_asked_for_is_left(monkeypatch):
    from palewright.web import patience

    monkeypatch.setattr(patience, "LOOK_S", 0.1)
    assert run(_one_that_does_not_read())


async def _one_that_does_not_read() -> bool:
    given_up = asyncio.Event()

    async def app(scope, receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": []})
        for _ in range(200):
            await send({"type": "http.response.body", "body": b"x" * (1 << 20), "more_body": True})
        given_up.set()

    port = free_port()
    server = uvicorn.Server(uvicorn.Config(app, http=Patient, ws="none", lifespan="off", log_level="critical"))
    running = asyncio.create_task(server.serve([serving._bind("127.0.0.1", port)]))
    while not server.started:
        await asyncio.sleep(0.01)
    _, writer = await asyncio.open_connection("127.0.0.1", port)
    writer.write(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
    await asyncio.wait_for(given_up.wait(), 30.0)  # 200 MB do not wait in any buffer: the connection is gone
    writer.close()
    server.should_exit = True
    await running
    return given_up.is_set()


def test_jobs_are_kept_where_every_other_command_looks_for_them(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    seen = []
    monkeypatch.setattr(serving, "Settings", lambda **given: seen.append(given["data"]))
    monkeypatch.setattr(serving, "_bind", lambda host, port: None)

    def enough(settings: object) -> None:
        raise OutputError("far enough")

    monkeypatch.setattr(serving, "create_app", enough)
    with pytest.raises(OutputError, match="far enough"):
        serving.run(None, 1, share=False, show=False, pem=None, say=print)
    assert seen == [tmp_path / "share" / "palewright"]
