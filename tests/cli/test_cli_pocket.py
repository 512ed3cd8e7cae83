"""The pocket sums' contract: flags, keys, exit codes. The figures come from published cases in tests/published."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from typing import Any

import pytest

INCH = 0.0254
FOOT = 0.3048


def run(*args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "palewright", "pocket", *args], capture_output=True, text=True, check=False
    )


def answer(*args: str) -> dict[str, Any]:
    done = run(*args, "--json")
    assert done.returncode == 0, done.stderr
    made: dict[str, Any] = json.loads(done.stdout)
    return made


def test_spacing_even() -> None:
    # trade text: 150 ft at most 8 ft: 19 bays of 94.74 in, 20 posts
    made = answer("spacing", "150 ft", "--longest", "8 ft")
    assert (made["bays"], made["posts"], made["line_posts"]) == (19, 20, 18)
    assert len(made["spacing_m"]) == 19
    assert made["spacing_m"][0] == pytest.approx(94.7368 * INCH, abs=1e-5)
    assert made["marks_m"][0] == 0.0
    assert made["marks_m"][-1] == pytest.approx(150 * FOOT, abs=1e-12)


def test_spacing_short_rules() -> None:
    last = answer("spacing", "100 ft", "--longest", "8 ft", "--rule", "short-last")
    assert last["spacing_m"] == pytest.approx([8 * FOOT] * 12 + [4 * FOOT])
    whole = answer("spacing", "24 ft", "--longest", "8 ft", "--rule", "short-last")
    assert whole["bays"] == 3
    both = answer("spacing", "100 ft", "--longest", "8 ft", "--rule", "short-both")
    assert both["spacing_m"][0] == pytest.approx(both["spacing_m"][-1])
    assert both["spacing_m"][1] == pytest.approx(8 * FOOT)
    assert math.fsum(both["spacing_m"]) == pytest.approx(100 * FOOT)


def test_spacing_along_the_slope() -> None:
    # 10 ft along a 3-4-5 slope (grade 75 %) are 8 ft level
    made = answer("spacing", "80 ft", "--longest", "10 ft", "--grade", "75%", "--along-grade")
    assert made["bays"] == 10
    level = answer("spacing", "80 ft", "--longest", "10 ft")
    assert level["bays"] == 8


def test_square() -> None:
    # +1/8 in on the hypotenuse of a 6-8-10: 0.1244 deg, 2.606 in per 100 ft
    made = answer("square", "6 ft", "8 ft", "--error", "1/8 in", "--run", "100 ft")
    assert made["diagonal_m"] == pytest.approx(10 * FOOT, abs=1e-12)
    assert made["turn_deg"] == pytest.approx(0.1244, abs=5e-5)
    assert made["sideways_m"] / INCH == pytest.approx(2.606, abs=5e-4)


def test_square_at_another_angle() -> None:
    # chord of radius 10 at 60 deg is 10, at 45 deg 7.6537
    assert answer("square", "10 ft", "10 ft", "--angle", "60")["diagonal_m"] == pytest.approx(10 * FOOT)
    assert answer("square", "10 ft", "10 ft", "--angle", "45°")["diagonal_m"] / FOOT == pytest.approx(7.6537, abs=5e-5)


def test_concrete() -> None:
    # 10 x 30 in hole, 4x4 (3 1/2 in): 1.15 cu ft; 2 of 80 lb, 4 of 50 lb; 20 holes 39 of 80 lb
    made = answer("concrete", "--hole", "10 in", "--depth", "30 in", "--post", "3 1/2 in", "--holes", "20")
    assert made["net_m3"] / FOOT**3 == pytest.approx(1.15, abs=0.005)
    assert made["bags"]["80 lb"] == 2
    assert made["bags"]["60 lb"] == 3
    assert made["bags"]["50 lb"] == 4
    assert made["bags_all"]["80 lb"] == 39
    gravel = answer("concrete", "--hole", "10 in", "--depth", "30 in", "--post", "3.5 in", "--gravel", "6 in")
    assert gravel["net_m3"] / FOOT**3 == pytest.approx(0.92, abs=0.005)
    pipe = answer("concrete", "--hole", "9.5 in", "--depth", "30 in", "--pipe", "2 3/8 in")
    assert pipe["net_m3"] / FOOT**3 == pytest.approx(1.15, abs=0.005)


def test_gate() -> None:
    # chain-link leaflet: 36 in opening for a 32 1/4 in leaf; double drive 5 1/2 in in all
    made = answer("gate", "--kind", "chain-link", "--opening", "36 in")
    assert made["leaf_m"] / INCH == pytest.approx(32.25)
    double = answer("gate", "--kind", "chain-link", "--opening", "10 ft", "--leaves", "2")
    assert double["leaf_m"] / INCH == pytest.approx((120 - 5.5) / 2)
    assert double["allowance_m"] / INCH == pytest.approx(5.5)


@pytest.mark.parametrize(
    "args",
    [
        ("spacing", "150", "--longest", "8 ft"),
        ("spacing", "150 ft", "--longest", "8 parsecs"),
        ("spacing", "-5 ft", "--longest", "8 ft"),
        ("spacing", "0 ft", "--longest", "8 ft"),
        ("spacing", "10 ft", "--longest", "8 ft", "--shortest", "7 ft"),
        ("square", "6 ft", "8 ft", "--angle", "180"),
        ("square", "6 ft", "8 ft", "--error", "40 ft"),
        ("concrete", "--hole", "3 in", "--depth", "30 in", "--post", "4 in"),
        ("concrete", "--hole", "10 in", "--depth", "30 in", "--post", "4 in", "--gravel", "31 in"),
        ("concrete", "--hole", "10 in", "--depth", "30 in", "--post", "4 in", "--holes", "0"),
        ("gate", "--kind", "drawbridge", "--opening", "36 in"),
        ("gate", "--kind", "chain-link", "--opening", "3 in"),
        ("gate", "--kind", "chain-link", "--opening", "36 in", "--leaves", "3"),
    ],
)
def test_bad_values_exit_one_with_nothing_on_standard_output(args: tuple[str, ...]) -> None:
    done = run(*args, "--json")
    assert done.returncode == 1, done.stderr
    assert done.stdout == ""
    assert "found" in done.stderr
    assert "hint" in done.stderr
    assert "Traceback" not in done.stderr


def test_bare_numbers_with_a_unit() -> None:
    assert answer("spacing", "150", "--longest", "8", "--unit", "ft")["bays"] == 19


@pytest.mark.parametrize("args", [("spacing",), ("square", "6 ft"), ("gate", "--opening", "36 in"), ("nothing",)])
def test_wrong_usage_exits_two(args: tuple[str, ...]) -> None:
    assert run(*args).returncode == 2


def test_without_json_in_the_persons_own_notation() -> None:
    done = run("square", "6 ft", "8 ft", "--why")
    assert "diagonal 10' 0\"" in done.stdout
    assert "formula:" in done.stdout
    assert "source:" in done.stdout
