"""The output folder: all or nothing, and never anybody else's files."""

from __future__ import annotations

import importlib
import json
import os
from pathlib import Path

import pytest
from tests.sample_plan import sample_plan

from palewright.errors import OutputError
from palewright.model import Plan
from palewright.plan import publish

publishing = importlib.import_module("palewright.plan.publishing")


@pytest.fixture(scope="module")
def plan() -> Plan:
    return sample_plan()


@pytest.fixture(autouse=True)
def _light(monkeypatch: pytest.MonkeyPatch) -> None:
    """Write two small files in place of papers: what is tested here is the moving, not the papers."""

    def write(plan: Plan, stage: Path, progress: object) -> list[str]:
        (stage / "plan.json").write_text("new")
        (stage / "crew.pdf").write_text("new")
        return ["crew.pdf", "plan.json"]

    monkeypatch.setattr(publishing, "_write_all", write)


def test_files_of_others_are_left_alone(plan: Plan, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "photo.jpg").write_text("theirs")
    done = publish(plan, out)
    assert (out / "photo.jpg").read_text() == "theirs"
    assert [path.name for path in done.files] == ["crew.pdf", "plan.json"]
    assert json.loads((out / "contents.json").read_text())["files"] == ["crew.pdf", "plan.json"]


def test_what_an_earlier_run_wrote_and_this_one_does_not_is_removed(plan: Plan, tmp_path: Path) -> None:
    out = tmp_path / "out"
    publish(plan, out)
    (out / "old.svg").write_text("old")
    (out / "contents.json").write_text(json.dumps({"files": ["old.svg", "../keep", "crew.pdf"]}))
    (tmp_path / "keep").write_text("keep")
    publish(plan, out)
    assert not (out / "old.svg").exists()
    assert (tmp_path / "keep").read_text() == "keep"


def test_a_failure_while_making_leaves_everything(plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    publish(plan, out)
    before = {path.name: path.read_text() for path in out.iterdir()}

    def fail(*_: object) -> list[str]:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(publishing, "_write_all", fail)
    with pytest.raises(OutputError, match="No space left"):
        publish(plan, out)
    assert {path.name: path.read_text() for path in out.iterdir()} == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_failure_while_moving_puts_everything_back(
    plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    publish(plan, out)
    for path in out.iterdir():
        path.write_text(f"earlier {path.name}")
    before = {path.name: path.read_text() for path in out.iterdir()}
    real, calls = os.replace, []

    def replace(a: str, b: str) -> None:
        calls.append(a)
        if len(calls) == 5:
            raise OSError(5, "Input/output error")
        real(a, b)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(OutputError):
        publish(plan, out)
    assert {path.name: path.read_text() for path in out.iterdir()} == before
