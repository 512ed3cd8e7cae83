"""The command line as a person uses it: output, exit codes, nothing written on a problem."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.yaml"))


def run(*args: str, cwd: Path = ROOT, stdin: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "palewright", *args], cwd=cwd, capture_output=True, text=True, input=stdin, check=False
    )


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_checks_clean(example: Path) -> None:
    done = run("check", str(example))
    assert done.returncode == 0, done.stderr
    assert "posts in holes" in done.stdout


def test_a_job_that_is_only_a_boundary_so_far_says_that_nothing_is_laid_out(tmp_path: Path) -> None:
    job = tmp_path / "lot.yaml"
    lot = "boundary: {through: [[0 ft, 0 ft], [0 ft, 50 ft], [50 ft, 50 ft], [50 ft, 0 ft]]}"
    job.write_text(f"palewright: 1\njob: {{title: Lot}}\n{lot}\n")
    done = run("check", str(job))
    assert done.returncode == 0, done.stderr
    assert "  nothing to lay out yet: the job has no runs\n" in done.stdout
    assert "area 2,500 sq ft" in done.stdout
    assert "posts" not in done.stdout
    assert "Hole positions" not in done.stdout
    assert run("plan", str(job), "--out", str(tmp_path / "papers")).returncode == 0


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from palewright.cli.main import cli\n"
        "cli.main(['--help'], standalone_mode=False)\n"
        "print([name for name in ('scipy', 'ezdxf', 'typst', 'numpy', 'shapely', 'ruamel') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("[]")


def test_plan_writes_a_folder_and_says_what_a_person_wants(tmp_path: Path) -> None:
    out = tmp_path / "papers"
    done = run("plan", str(ROOT / "examples/tansy-court.yaml"), "--out", str(out))
    assert done.returncode == 0, done.stderr
    for name in (
        "crew.pdf",
        "materials.pdf",
        "decisions.pdf",
        "drawings.pdf",
        "plan.json",
        "plan.svg",
        "plan.dxf",
        "posts.csv",
    ):
        assert (out / name).stat().st_size > 0, name
        assert name in done.stdout
    assert "in all:" in done.stdout
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]


def test_a_failed_plan_leaves_the_earlier_output_whole(tmp_path: Path) -> None:
    out = tmp_path / "papers"
    out.mkdir()
    (out / "plan.json").write_text("earlier")
    bad = tmp_path / "bad.yaml"
    bad.write_text("palewright: 1\njob: {title: x}\nruns: nonsense\n")
    done = run("plan", str(bad), "--out", str(out))
    assert done.returncode == 1
    assert (out / "plan.json").read_text() == "earlier"
    assert sorted(path.name for path in out.iterdir()) == ["plan.json"]
    assert "Traceback" not in done.stderr


def test_output_in_the_way_is_said(tmp_path: Path) -> None:
    file = tmp_path / "papers"
    file.write_text("not a folder")
    done = run("plan", str(ROOT / "examples/house-and-tape.yaml"), "--out", str(file))
    assert done.returncode == 3
    assert file.read_text() == "not a folder"
    below = run("plan", str(ROOT / "examples/house-and-tape.yaml"), "--out", str(file / "papers"))
    assert below.returncode == 3
    assert f"{file} is a file, not a folder" in below.stderr


def test_a_missing_job_file_is_a_problem(tmp_path: Path) -> None:
    done = run("check", str(tmp_path / "nothing.yaml"))
    assert done.returncode == 1
    assert "nothing.yaml" in done.stderr
    assert "Traceback" not in done.stderr


def test_wrong_usage() -> None:
    assert run("plan").returncode == 2
    assert run("chek").returncode == 2
    assert run("pocket", "spacing", "10 ft").returncode == 2


def test_new_writes_a_job_that_reads(tmp_path: Path) -> None:
    job = tmp_path / "mine.yaml"
    done = run("new", str(job), "--yes")
    assert done.returncode == 0, done.stderr
    assert "ask" in job.read_text()
    again = run("new", str(job), "--yes")
    assert again.returncode == 3
    assert "exists" in again.stderr


def test_explain_says_value_formula_and_source() -> None:
    job = str(ROOT / "examples/chain-link-run.yaml")
    names = run("explain", job).stdout.split("\n")
    assert "post 1" in names
    done = run("explain", job, "post", "1")
    assert done.returncode == 0, done.stderr
    assert "source:" in done.stdout
    wrong = run("explain", job, "pots 1")
    assert wrong.returncode == 1
    assert "post 1" in wrong.stderr


def test_export_refuses_geography_without_north() -> None:
    done = run("export", str(ROOT / "examples/house-and-tape.yaml"), "geojson")
    assert done.returncode == 1
    assert "north" in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize("form", ["plan-json", "scene-json"])
def test_export_json(form: str) -> None:
    done = run("export", str(ROOT / "examples/house-and-tape.yaml"), form)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)


@pytest.mark.parametrize("name", ["job", "plan", "scene"])
def test_schemas_are_printed(name: str) -> None:
    done = run("schema", name)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["$schema"]
