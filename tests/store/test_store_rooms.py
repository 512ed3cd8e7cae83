"""What the store loads, and who loads it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SERVER = {"sqlalchemy", "alembic", "psycopg"}


def test_what_talks_to_postgresql_is_in_one_module() -> None:
    named = re.compile(rf"^\s*(?:from|import) (?:{'|'.join(SERVER)})\b", re.MULTILINE)
    users = [path.name for path in (ROOT / "src").rglob("*.py") if named.search(path.read_text("utf-8"))]
    assert users == ["postgres.py"]


@pytest.mark.parametrize(
    ("words", "out"),
    [
        ("from palewright.store import Store, JobEntry", SERVER | {"ruamel", "numpy", "fastapi", "zoneinfo"}),
        ("from palewright.cli.main import cli; cli(['check', 'examples/tansy-court.yaml'], standalone_mode=False)", SERVER | {"sqlite3", "palewright.store"}),
    ],
)  # fmt: skip
def test_what_is_not_loaded(words: str, out: set[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; {words}; print('loaded:', *sys.modules)"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert not out & set(done.stdout.rpartition("loaded:")[2].split())


def test_postgresql_without_its_parts_is_told(tmp_path: Path) -> None:
    words = "import sys; sys.modules['alembic'] = None\nfrom palewright.store import Store\nStore.open(sys.argv[1], 'postgresql://x/y')"
    done = subprocess.run(
        [sys.executable, "-c", words, str(tmp_path)], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert "server-extra-missing" in done.stderr
