"""`palewright import` and the map formats of `export`, as a person uses them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from tests.exchange import foreign_files as files

ROOT = Path(__file__).resolve().parents[2]
HEAVY = ("pyogrio", "pyproj", "lxml", "ezdxf", "geojson_pydantic", "gpxpy")


def run(*args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "palewright", *args], cwd=ROOT, capture_output=True, text=True, check=False
    )


def test_a_drawing_becomes_a_job_that_checks(tmp_path: Path) -> None:
    drawing, job = files.dxf(tmp_path / "lot.dxf"), tmp_path / "lot.yaml"
    done = run("import", str(drawing), "--out", str(job), "--title", "Lot 7")
    assert done.returncode == 0, done.stderr
    # 5,000 and half a circle of 50 ft; 200 ft and half its way round, 157 ft 1 in
    assert "4 corners, 8,927 sq ft, 357' 1\" round; lengths in feet" in done.stdout
    assert f"palewright check {job}" in done.stdout
    checked = run("check", str(job))
    assert checked.returncode == 0, checked.stderr
    assert "Lot 7" in checked.stdout


def test_arcs_written_by_their_chords_are_told(tmp_path: Path) -> None:
    drawing = files.dxf(tmp_path / "lot.dxf")
    done = run("import", str(drawing), "--out", str(tmp_path / "lot.yaml"), "--as", "points")
    assert done.returncode == 0, done.stderr
    assert "caution  arcs-by-chords" in done.stderr
    assert "side 3 up to 50' 0\" off its chord" in done.stderr


def test_a_list_writes_nothing(tmp_path: Path) -> None:
    path = files.gis(tmp_path / "lots.gpkg", copies=3)
    done = run("import", str(path), "--list")
    assert done.returncode == 0, done.stderr
    assert [line.split(":")[0] for line in done.stdout.splitlines()] == ["ring lot 7", "ring lot 8", "ring lot 9"]
    assert sorted(item.name for item in tmp_path.iterdir()) == ["lots.gpkg"]


def test_several_rings_are_asked_about_and_nothing_is_written(tmp_path: Path) -> None:
    path = files.gis(tmp_path / "lots.gpkg", copies=3)
    done = run("import", str(path), "--out", str(tmp_path / "lot.yaml"))
    assert done.returncode == 1
    assert "which-ring" in done.stderr
    assert "lot 7, lot 8, lot 9" in done.stderr
    assert not (tmp_path / "lot.yaml").exists()
    done = run("import", str(path), "--out", str(tmp_path / "lot.yaml"), "--ring", "lot 8", "--height", "5400 ft")
    assert done.returncode == 0, done.stderr
    assert "first corner at 40.000000000, -105.000000000" in done.stdout


def test_an_existing_job_is_not_overwritten(tmp_path: Path) -> None:
    drawing, job = files.dxf(tmp_path / "lot.dxf"), tmp_path / "lot.yaml"
    job.write_text("mine")
    assert run("import", str(drawing), "--out", str(job)).returncode == 3
    assert job.read_text() == "mine"
    assert run("import", str(drawing)).returncode == 2


@pytest.mark.parametrize("near", ["here", "95, 0", "1,2,3", "nan, 0"])
def test_a_place_that_cannot_be_read(tmp_path: Path, near: str) -> None:
    drawing = files.dxf(tmp_path / "lot.dxf")
    done = run("import", str(drawing), "--out", str(tmp_path / "x.yaml"), "--near", near)
    assert done.returncode == 1
    assert "place-unreadable" in done.stderr


def test_a_height_that_cannot_be_read(tmp_path: Path) -> None:
    drawing = files.dxf(tmp_path / "lot.dxf")
    done = run("import", str(drawing), "--out", str(tmp_path / "x.yaml"), "--height", "high")
    assert done.returncode == 1
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("form", ["landxml", "pnezd-csv"])
def test_export_in_the_jobs_own_coordinates(tmp_path: Path, form: str) -> None:
    out = tmp_path / "plan.out"
    done = run("export", "examples/house-and-tape.yaml", form, "--out", str(out))
    assert done.returncode == 0, done.stderr
    assert "post 1" in out.read_text()


@pytest.mark.parametrize("form", ["kml", "gpx", "geopackage", "shapefile"])
def test_export_to_the_globe(tmp_path: Path, form: str) -> None:
    out = tmp_path / "plan.out"
    place = ("--place", "SW, 41.2, -96.0")
    done = run("export", "examples/tansy-court.yaml", form, "--out", str(out), *place)
    assert done.returncode == 0, done.stderr
    assert out.stat().st_size > 1000
    lost = run("export", "examples/house-and-tape.yaml", form, "--out", str(tmp_path / "no.out"), *place)
    assert lost.returncode == 1
    assert "north" in lost.stderr
    assert not (tmp_path / "no.out").exists()


def test_check_loads_no_library_of_maps(tmp_path: Path) -> None:
    """Nor does help; import loads what its file needs."""
    loaded = f"print([name for name in {HEAVY} if name in sys.modules])"
    for words in (["check", "examples/tansy-court.yaml"], ["import", "--help"]):
        code = f"import sys; from palewright.cli.main import cli\ncli.main({words!r}, standalone_mode=False)\n{loaded}"
        done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
        assert done.stdout.strip().endswith("[]"), words
    path = tmp_path / "lot.geojson"
    path.write_text(files.geojson())
    words = ["import", str(path), "--out", str(tmp_path / "lot.yaml")]
    code = f"import sys; from palewright.cli.main import cli\ncli.main({words!r}, standalone_mode=False)\n{loaded}"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("[]"), "longitude and latitude need no library"
