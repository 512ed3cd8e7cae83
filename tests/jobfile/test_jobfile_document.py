"""Editing in place: what was not set stays byte for byte; what was set is what a person would have written."""

from __future__ import annotations

from pathlib import Path

import pytest

from palewright.errors import JobError
from palewright.jobfile import Document

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.yaml"))


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_load_and_save_is_byte_for_byte(example: Path, tmp_path: Path) -> None:
    document = Document.load(example)
    document.save(tmp_path / "copy.yaml")
    assert (tmp_path / "copy.yaml").read_bytes() == example.read_bytes()


def test_one_value_changes_and_nothing_else() -> None:
    path = next(example for example in EXAMPLES if example.stem == "tansy-court")
    before = path.read_text(encoding="utf-8")
    document = Document.load(path)
    assert document.get("fences.privacy.board") == "6 ft"
    document.set("fences.privacy.board", "5 ft")
    changed = [(a, b) for a, b in zip(before.split("\n"), document.dump().split("\n"), strict=True) if a != b]
    assert changed == [("    board: 6 ft", "    board: 5 ft")]
    document.set("fences.privacy.board", "6 ft")
    assert document.dump() == before


def test_windows_line_ends_and_a_byte_order_mark_are_kept(tmp_path: Path) -> None:
    data = b"\xef\xbb\xbfpalewright: 1\r\njob: {title: Yard}  # ours\r\nsite: {frost: ask}\r\n"
    path = tmp_path / "job.yaml"
    path.write_bytes(data)
    document = Document.load(path)
    document.set("site.frost", "30 in")
    document.save()
    assert path.read_bytes() == data.replace(b"ask", b"30 in")
    assert document.job().site.frost_m == pytest.approx(0.762)


def test_a_value_that_yaml_would_read_otherwise_is_quoted() -> None:
    document = Document("palewright: 1\njob: {title: Yard}\n")
    for title in ("yes", "a: b", "# not a comment", "- 1", "it's", "16' 4\"", "1.10", "null", ""):
        document.set("job.title", title)
        assert document.get("job.title") == title
        assert Document(document.dump()).get("job.title") == title


def test_a_path_that_leads_nowhere_is_a_problem() -> None:
    document = Document("palewright: 1\njob: {title: Yard}\n")
    with pytest.raises(JobError):
        document.set("job.title.more", "x")
    with pytest.raises(JobError):
        document.set("runs[4].name", "x")
    assert document.dump() == "palewright: 1\njob: {title: Yard}\n"


def test_a_list_that_is_not_there_begins_with_its_first_item() -> None:
    document = Document("palewright: 1\njob: {title: Yard}\n")
    document.set("points.A.at", ["0 ft", "0 ft"])
    document.set("runs[0].name", "rear")
    assert document.get("runs") == [{"name": "rear"}]
    assert document.get("points.A.at[1]") == "0 ft"
