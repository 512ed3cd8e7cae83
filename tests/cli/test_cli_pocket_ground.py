"""The pocket sums of sloping ground: flags, keys, exit codes, words. Published figures: tests/published."""

from __future__ import annotations

import json
import sys

import pytest
from click.testing import CliRunner, Result

from palewright.cli.main import cli, main

FT, IN = 0.3048, 0.0254


def run(*args: str) -> Result:
    return CliRunner().invoke(cli, ["pocket", *args])


def test_slope_both_ways() -> None:
    # a 3-4-5 triangle: 10 ft along a grade of 75 % are 8 ft level and rise 6 ft
    along = json.loads(run("slope", "--along", "10 ft", "--grade", "75%", "--json").stdout)
    assert set(along) == {"level_m", "along_m", "rise_m", "angle_deg"}
    assert along["level_m"] == pytest.approx(8 * FT)
    assert along["rise_m"] == pytest.approx(6 * FT)
    assert along["angle_deg"] == pytest.approx(36.8699, abs=1e-4)
    level = json.loads(run("slope", "--level", "8 ft", "--grade", "3:4", "--json").stdout)
    assert level == pytest.approx(along)


def test_rack_keys_and_limit() -> None:
    free = json.loads(run("rack", "--panel", "10 ft", "--rise", "6 ft", "--json").stdout)
    assert free["plan_m"] == pytest.approx(8 * FT)
    assert free["within_limit"] is None
    at = json.loads(run("rack", "--panel", "72.5 in", "--rise", "10 in", "--limit", "10 in", "--json").stdout)
    assert at["within_limit"] is True
    over = json.loads(run("rack", "--panel", "72.5 in", "--grade", "20%", "--limit", "10 in", "--json").stdout)
    assert over["within_limit"] is False
    flat = json.loads(run("rack", "--panel", "6 ft", "--grade", "0%", "--json").stdout)
    assert (flat["rise_m"], flat["plan_m"]) == (0.0, pytest.approx(6 * FT))


def test_words_and_why() -> None:
    said = run("rack", "--panel", "72.5 in", "--grade", "20%", "--limit", "10 in", "--why").stdout
    assert "MORE than its limit" in said
    assert "formula:" in said
    assert "rises" in run("slope", "--level", "20 m", "--grade", "1:12").stdout


@pytest.mark.parametrize(
    "args",
    [
        ("slope", "--level", "0 ft", "--grade", "8%"),
        ("slope", "--level", "80", "--grade", "8%"),
        ("slope", "--level", "80 ft", "--grade", "-8%"),
        ("slope", "--level", "80 ft", "--grade", "eight"),
        ("rack", "--panel", "-6 ft", "--rise", "1 ft"),
        ("rack", "--panel", "6 ft", "--rise", "6 ft"),
        ("rack", "--panel", "6 ft", "--rise", "-1 in"),
        ("rack", "--panel", "6 ft", "--grade", "8%", "--limit", "-1 in"),
    ],
)
def test_bad_values_exit_one(
    args: tuple[str, ...], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["palewright", "pocket", *args, "--json"])
    with pytest.raises(SystemExit) as ended:
        main()
    said = capsys.readouterr()
    assert ended.value.code == 1
    assert said.out == ""
    for part in ("found", "allowed", "hint"):
        assert part in said.err


@pytest.mark.parametrize(
    "args",
    [
        ("slope", "--level", "80 ft"),
        ("slope", "--grade", "8%"),
        ("slope", "--level", "80 ft", "--along", "80 ft", "--grade", "8%"),
        ("rack", "--panel", "6 ft"),
        ("rack", "--panel", "6 ft", "--rise", "1 in", "--grade", "8%"),
    ],
)
def test_wrong_usage_exits_two(args: tuple[str, ...]) -> None:
    assert run(*args).exit_code == 2
