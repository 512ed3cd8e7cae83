"""`palewright serve` itself: as a process, and what other commands do not load because of it."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from tests.web.conftest import EXAMPLES

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


def test_it_starts_signs_in_once_and_stops(tmp_path):
    with Served(tmp_path / "data") as served:
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
