"""``palewright asbuilt``: what it writes, and what it says of a file that is wrong."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"


def run(*args: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "palewright", "asbuilt", *map(str, args)], capture_output=True, text=True, check=False
    )


def test_the_sheet_and_its_data(tmp_path: Path) -> None:
    keep = tmp_path / "out" / "mine.txt"
    keep.parent.mkdir()
    keep.write_text("mine")
    done = run(
        EXAMPLES / "tansy-court.yaml", EXAMPLES / "tansy-court-yard.json", "--out", tmp_path / "out", "--lang", "es"
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "33 of 38 posts measured" in done.stdout
    assert sorted(path.name for path in keep.parent.iterdir()) == ["asbuilt.json", "asbuilt.pdf", "mine.txt"]
    made = json.loads((tmp_path / "out" / "asbuilt.json").read_text("utf-8"))
    assert next(post for post in made["posts"] if post["post"] == "7")["why"] == "rock"


@pytest.mark.parametrize(
    ("content", "slug"),
    [
        (b'{"yard": 1, "entries": [', "yard-not-json"),
        (b"\xff\xfe\x00", "yard-not-utf8"),
        (b'{"yard": 7, "entries": []}', "yard-version"),
        (b'[{"id": 1}]', "yard-entry-shape"),
    ],
)
def test_a_file_that_is_wrong(tmp_path: Path, content: bytes, slug: str) -> None:
    (tmp_path / "yard.json").write_bytes(content)
    done = run(EXAMPLES / "tansy-court.yaml", tmp_path / "yard.json", "--out", tmp_path / "out")
    assert done.returncode == 1
    assert slug in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def test_files_that_are_not_there(tmp_path: Path) -> None:
    done = run(EXAMPLES / "tansy-court.yaml", tmp_path / "none.json", "--out", tmp_path / "out")
    assert (done.returncode, "yard-unreadable" in done.stderr) == (1, True)
    (tmp_path / "file").write_text("")
    done = run(EXAMPLES / "tansy-court.yaml", EXAMPLES / "tansy-court-yard.json", "--out", tmp_path / "file")
    assert done.returncode == 3
