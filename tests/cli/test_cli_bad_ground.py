"""Ground that is wrong, by the front door: what is said, the exit code, and that nothing is written or guessed."""

from __future__ import annotations

import contextlib
import io
import random
import sys
from pathlib import Path
from unittest.mock import patch

import ezdxf
import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine

from palewright.cli.main import main

JOB = """palewright: 1
job: {title: Slope, print: feet-inches}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [80 ft, 0 ft]}}
fences: {privacy: {kind: boards, good side: neighbour}}
runs: [{name: rear, fence: privacy, through: [A, B], yard: left, follows: stepped}]
heights:
"""
HEIGHTS = np.full((30, 60), 100.0) + np.arange(60) * 0.02


def command(*words: str) -> tuple[int, str]:
    """Exit code and everything that was said."""
    said = io.StringIO()
    streams = contextlib.redirect_stdout(said), contextlib.redirect_stderr(said)
    code = 0
    with streams[0], streams[1], patch.object(sys, "argv", ["palewright", *words]):
        try:
            main()
        except SystemExit as left:
            code = int(left.code or 0)
    assert "Traceback" not in said.getvalue()
    return code, " ".join(said.getvalue().split())


def grid(
    path: Path, *, cells: slice = slice(0, 0), value: float = np.nan, affine: tuple = (1, 0, -20, 0, -1, 15)
) -> None:
    values = HEIGHTS.copy()
    values[:, cells] = value
    np.savez(path, elevation=values, affine=np.array(affine, dtype=float))


def said_of(tmp_path: Path, heights: str) -> tuple[int, str]:
    job = tmp_path / "job.yaml"
    job.write_text(JOB + "".join(f"  - {{{row}}}\n" for row in heights.split(" | ")))
    return command("check", str(job))


REFUSED = {
    "drops out of order": ("string: rear, drops: [[0 ft, 10 in], [40 ft, 2 in], [30 ft, 3 in]]", "profile-turns-back"),
    "two drops at one station": ("string: rear, drops: [[0 ft, 1 in], [40 ft, 2 in], [40 ft, 9 in]]", "profile-wall"),
    "nan": ("string: rear, drops: [[0 ft, 1 in], [40 ft, nan], [80 ft, 9 in]]", "length-not-number"),
    "endless": ("spots: [[0 ft, 0 ft, inf], [30 ft, 0 ft, 99 ft]]", "length-not-number"),
    "too long": ("string: rear, drops: [[0 ft, 1 in], [99 ft, 9 in]]", "string-too-long"),
    "two heights": ("spots: [[0 ft, 0 ft, 9 ft], [0 ft, 0 ft, 8 ft], [80 ft, 0 ft, 7 ft]]", "spots-two-heights"),
    "another datum": ("spots: {A: 10 ft, B: 9 ft} | grid: whole.npz, unit: m", "ground-other-datum"),
    "feet taken as metres": ("spots: {A: 329.4 ft, B: 331 ft} | grid: whole.npz, unit: ft", "ground-other-datum"),
    "two ways": ("grid: a.npz, surface: b.csv", "height-way"),
    "no way": ("within: 1 ft", "height-way"),
    "no unit": ("grid: whole.npz", "unit-not-said"),
    "no cell": ("grid: empty.npz, unit: m", "grid-empty"),
    "cells on a line": ("grid: line.npz, unit: m", "grid-not-placed"),
    "place not a number": ("grid: nowhere.npz, unit: m", "grid-not-placed"),
    "no file": ("grid: other.tif, unit: m", "file-missing"),
    "not placed": ("grid: whole.npz, unit: m, crs: 'EPSG:2229'", "terrain-not-placed"),
    "web mercator": ("grid: whole.npz, unit: m, crs: 'EPSG:3857', same grid: yes", "web-mercator"),
    "a datum of heights alone": ("grid: whole.npz, unit: m, crs: 'EPSG:5703', same grid: yes", "crs-not-usable"),
}
TOLD = {
    "a stretch is missing": ("string: rear, drops: [[0 ft, 10 in], [40 ft, 20 in]]", "reaches from 40' 0\" to 80' 0\""),
    "spots on a line": ("spots: [[0 ft, 20 ft, 9 ft], [9 ft, 20 ft, 9 ft], [60 ft, 20 ft, 8 ft]]", "stand on one line"),
    "one spot": ("spot: A, height: 100 ft", "nothing is known of the ground under it"),
    "a hole": ("grid: hole.npz, unit: m", "has a hole from 31' 2\" to 47' 6 7/8\""),
    "a hole that is not declared": ("grid: mark.npz, unit: m", "has a hole from 31' 2\" to 47' 6 7/8\""),
    "the same in feet": ("grid: mark.npz, unit: ft", "heights that no ground has"),
    "a wall in a grid": ("grid: wall.npz, unit: m", "steeper than 45° and rises or falls by 17' 5"),
    "a wall below a string": ("string: rear, drops: [[0 ft, 1 in], [40 ft, 2 in], [40.1 ft, 9 ft], [80 ft, 9 ft]]",
                              "from 40' 0\" to 40' 1 1/4\" along it the ground is steeper"),
    "elsewhere": ("grid: far.npz, unit: m", "nothing is known of the ground under it"),
    "a bad file": ("spots: {A: 325 ft, B: 331 ft} | grid: whole.npz, unit: m", "differs from"),
    "two strings": ("string: rear, drops: [[0 ft, 1 in], [80 ft, 3 in]] | string: rear, drops: [[0 ft, 1 in], [80 ft, 40 in]]",
                    "disagree on the ground"),
    "an old datum": ("grid: whole.npz, unit: m, crs: 'EPSG:26771', zero at: [40, -88]", "North American Datum 1927"),
}  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    here = tmp_path_factory.mktemp("ground")
    grid(here / "whole.npz")
    grid(here / "empty.npz", cells=slice(None))
    grid(here / "hole.npz", cells=slice(30, 34))
    grid(here / "mark.npz", cells=slice(30, 34), value=-9999.0)
    grid(here / "wall.npz", cells=slice(35, None), value=106.0)
    grid(here / "far.npz", affine=(1, 0, 5000, 0, -1, 5000))
    grid(here / "line.npz", affine=(1, 1, 0, 1, 1, 0))
    grid(here / "nowhere.npz", affine=(1, 0, np.nan, 0, -1, 15))
    return here


@pytest.mark.parametrize("name", list(REFUSED))
def test_what_is_refused(name: str, folder: Path) -> None:
    """Exit code 1, the slug, the line of the job file, and no folder of papers."""
    heights, slug = REFUSED[name]
    code, said = said_of(folder, heights)
    assert (code, slug in said) == (1, True), said
    assert f"job.yaml:{7 + heights.count('|')}:" in said
    out = folder / "out"
    code, _ = command("plan", str(folder / "job.yaml"), "--out", str(out))
    assert (code, out.exists()) == (1, False)


@pytest.mark.parametrize("name", list(TOLD))
def test_what_is_told(name: str, folder: Path) -> None:
    """The stretch is named; where ground is missing the run, or that part of it, is said to be taken as level."""
    heights, words = TOLD[name]
    code, said = said_of(folder, heights)
    assert code == 0
    assert words in said, said
    if "nothing" in words or "hole" in words or "reaches" in words:
        whole, part = "The ground is taken as level on run rear", "LEVEL GROUND ASSUMED on run rear from"
        assert (whole in said) != (part in said)
        assert ("Post lengths are not final" if whole in said else "are not final: measure there first") in said


def test_any_heights_are_planned_or_refused(folder: Path) -> None:
    """Rows of heights with values swapped, dropped and spoilt: 600 of them, an exit code and words for each."""
    rng = random.Random(7)
    rows = [heights for heights, _ in (*REFUSED.values(), *TOLD.values())]
    spoilt = [
        "",
        "0",
        "-1 ft",
        "1e9 m",
        "nan",
        "[]",
        "{}",
        "yes",
        "A",
        "ask",
        "80 ft",
        "'é'",
        "[0 ft, 0 ft]",
        "EPSG:4326",
    ]
    codes = set()
    for _ in range(600):
        row = rng.choice(rows).split(" | ")[0]
        for _ in range(rng.randint(1, 3)):
            words = row.split(" ")
            k = rng.randrange(len(words))
            words[k] = rng.choice(
                [rng.choice(spoilt), words[rng.randrange(len(words))], words[k][: len(words[k]) // 2]]
            )
            row = " ".join(words)
        codes.add(said_of(folder, row)[0])
    assert codes == {0, 1}


def _files(here: Path) -> dict[str, tuple[bytes, str]]:
    """A good file of every kind, and what the job says of it."""
    with rasterio.open(here / "t.tif", "w", driver="GTiff", width=60, height=30, count=1, dtype="float32",
                       transform=Affine(1, 0, -20, 0, -1, 15)) as made:  # fmt: skip
        made.write(HEIGHTS.astype("float32"), 1)
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 2
    doc.modelspace().add_3dface([(-9, -9, 1), (99, -9, 2), (99, 50, 3), (-9, 50, 4)])
    doc.saveas(here / "t.dxf")
    grid(here / "t.npz")
    rows = "\n".join(" ".join(["300.5"] * 9) for _ in range(5))
    (here / "t.asc").write_text(
        f"ncols 9\nnrows 5\nxllcorner -30\nyllcorner -30\ncellsize 15\nNODATA_value -9999\n{rows}\n"
    )
    spots = "\n".join(f"{k},{50 * (k // 3)},{60 * (k % 3) - 10},{100 + k},GS" for k in range(9))
    (here / "t.csv").write_text(f"P,N,E,Z,D\n{spots}\n")
    (here / "t.xml").write_text(
        '<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2"><Units><Imperial '
        'linearUnit="foot"/></Units><Surfaces><Surface name="s"><Definition surfType="TIN"><Pnts><P id="1">-9 -9 100</P>'
        '<P id="2">-9 99 101</P><P id="3">50 99 102</P><P id="4">50 -9 90</P></Pnts><Faces><F>1 2 3</F><F>1 3 4</F></Faces>'
        "</Definition></Surface></Surfaces></LandXML>"
    )
    keys = {"tif": "grid", "npz": "grid", "asc": "grid", "dxf": "surface", "csv": "surface", "xml": "surface"}
    return {
        end: ((here / f"t.{end}").read_bytes(), f"{key}: t.{end}, unit: {'m' if end in ('tif', 'npz') else 'ft'}")
        for end, key in keys.items()
    }


@pytest.mark.parametrize("ending", ["tif", "npz", "asc", "dxf", "csv", "xml"])
def test_any_file_of_ground_is_planned_or_refused(ending: str, tmp_path: Path) -> None:
    """The good file is planned; 60 spoilt ones of each kind are planned or refused in words."""
    data, row = _files(tmp_path)[ending]
    code, said = said_of(tmp_path, row)
    assert (code, "taken as level" in said) == (0, False), said
    rng = random.Random(ending)
    for _ in range(60):
        spoilt = bytearray(data)
        for _ in range(rng.randint(1, 8)):
            at = rng.randrange(max(1, len(spoilt)))
            how = rng.randrange(4)
            if how == 0 and spoilt:
                spoilt[at] = rng.randrange(256)
            elif how == 1:
                del spoilt[at : at + rng.randint(1, 40)]
            elif how == 2:
                spoilt[at:at] = rng.choice([b"nan", b"-9999", b"1e400", b"\0", b"<", b",", b"9" * 30, b"\xff\xfe"])
            else:
                spoilt = spoilt[: max(1, at)]
        (tmp_path / f"t.{ending}").write_bytes(bytes(spoilt))
        code, _ = said_of(tmp_path, row)
        assert code in (0, 1)
