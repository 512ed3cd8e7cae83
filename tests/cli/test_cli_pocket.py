"""The pocket sums' contract: flags, keys, exit codes. The figures come from published cases in tests/published."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from typing import Any

import pytest

from palewright import plan
from palewright.errors import ProblemError

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


def test_spacing_says_what_the_bays_measure_along_the_ground() -> None:
    # a 3-4-5 slope: 8 ft level are 10 ft along it
    made = answer("spacing", "80 ft", "--longest", "8 ft", "--grade", "75%")
    assert made["along_m"] == pytest.approx([10 * FOOT] * 10)
    assert "along the slope: 10 of 10' 0\"" in run("spacing", "80 ft", "--longest", "8 ft", "--grade", "75%").stdout


def test_metric_sums_are_refused_in_metric() -> None:
    for ask in (
        lambda: plan.pocket_tie(15.0, 9.0, 5.0, style="metric"),
        lambda: plan.pocket_concrete(0.25, 0.9, 0.06, None, True, 1.0, 1, "metric"),
    ):
        with pytest.raises(ProblemError) as caught:
            ask()
        (problem,) = caught.value.problems
        assert " m" in problem.found
        assert "'" not in problem.what + problem.found + problem.allowed


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


def test_tie() -> None:
    # 3-4-5 on its side: 1.8 along, 2.4 off, a right angle at the point; equal axes there
    made = answer("tie", "5 ft", "3 ft", "4 ft", "--sigma", "0.02 ft")
    assert made["along_m"] / FOOT == pytest.approx(1.8)
    assert made["off_m"] / FOOT == pytest.approx(2.4)
    assert made["crossing_deg"] == pytest.approx(90.0)
    assert made["semi_major_m"] == pytest.approx(0.02 * FOOT)
    assert made["semi_minor_m"] == pytest.approx(0.02 * FOOT)
    # an equilateral triangle: 60 degrees, sigma / sqrt(1 - 1/2) by sigma / sqrt(1 + 1/2)
    made = answer("tie", "30", "30", "30", "--unit", "m", "--sigma", "0.01")
    assert made["crossing_deg"] == pytest.approx(60.0)
    assert made["semi_major_m"] == pytest.approx(0.01 * math.sqrt(2.0))
    assert made["semi_minor_m"] == pytest.approx(0.01 / math.sqrt(1.5))


def test_tie_without_sigma_and_on_the_line() -> None:
    made = answer("tie", "10 ft", "4 ft", "6 ft")
    assert made["off_m"] == 0.0
    assert made["crossing_deg"] == pytest.approx(180.0)
    assert made["semi_major_m"] is None
    beyond = answer("tie", "10 ft", "14 ft", "4 ft", "--sigma", "1/8 in")
    assert beyond["along_m"] / FOOT == pytest.approx(14.0)
    assert beyond["semi_major_m"] is None  # nothing holds it sideways
    assert beyond["semi_minor_m"] == pytest.approx(INCH / 8 / math.sqrt(2.0))


def test_tape_too_long() -> None:
    made = answer("tape", "--read", "500.00 ft", "--nominal", "100 ft", "--true", "100.02 ft")
    assert made["true_m"] / FOOT == pytest.approx(500.10, abs=1e-6)
    assert made["corrections"] == {"length_m": pytest.approx(0.10 * FOOT, abs=1e-9)}


def test_tape_cold() -> None:
    # 368.50 ft at 22 F, right at 68 F: 368.39 ft
    cold = ("tape", "--read", "368.50 ft", "--temperature", "22 F", "--standard-temperature", "68 F")
    assert answer(*cold)["true_m"] / FOOT == pytest.approx(368.39, abs=0.005)
    made = answer(*cold, "--expansion", "6.5e-6 /F")
    assert made["corrections"]["temperature_m"] / FOOT == pytest.approx(-0.110, abs=0.0005)
    # 50 m at 0 C, 11.2e-6 per C: 11.2 mm short
    made = answer(
        "tape", "--read", "50 m", "--temperature", "0 C", "--standard-temperature", "20°C", "--expansion", "11.2e-6/C"
    )
    assert made["corrections"]["temperature_m"] == pytest.approx(-0.0112, abs=5e-5)


def test_tape_pulled_hung_and_sloping() -> None:
    pull = ("tape", "--read", "436.48 ft", "--pull", "15 lbf", "--standard-pull", "23 lb", "--section", "0.004 sq in")
    assert answer(*pull)["corrections"]["pull_m"] / FOOT == pytest.approx(-0.0301, abs=5e-5)
    # 300 ft in three spans of 0.028 lb/ft at 12 lb: 3 x 0.2269 ft
    made = answer("tape", "--read", "300 ft", "--pull", "12 lbf", "--weight-per-length", "0.028 lb/ft", "--spans", "3")
    assert made["corrections"]["sag_m"] / FOOT == pytest.approx(-3 * 0.028**2 * 100**3 / (24 * 12**2), abs=1e-6)
    # 300.00 ft at 5 degrees
    made = answer("tape", "--read", "300 ft", "--rise", "26.147 ft")
    assert made["true_m"] / FOOT == pytest.approx(298.858, abs=0.0005)
    assert list(made["corrections"]) == ["slope_m"]
    assert answer("tape", "--read", "300 ft")["corrections"] == {}


def test_tape_all_at_once_adds_up() -> None:
    made = answer(
        "tape", "--read", "200 ft", "--nominal", "100 ft", "--true", "100.01 ft", "--rise", "4 ft", "--temperature", "95 F",
        "--standard-temperature", "68 F", "--pull", "20 lbf", "--standard-pull", "10 lbf", "--section", "0.003 in2",
        "--modulus", "29e6 psi", "--weight-per-length", "0.02 lb/ft", "--spans", "2",
    )  # fmt: skip
    assert set(made["corrections"]) == {"length_m", "temperature_m", "pull_m", "sag_m", "slope_m"}
    assert math.fsum(made["corrections"].values()) == pytest.approx(made["true_m"] - 200 * FOOT, abs=1e-12)


def test_tie_and_tape_in_words() -> None:
    done = run("tie", "100 ft", "20 ft", "81 ft", "--sigma", "1/8 in", "--why")
    assert "too flat" in done.stdout
    assert "source:" in done.stdout
    assert (
        "true length 500.100 ft"
        in run("tape", "--read", "500.00 ft", "--nominal", "100 ft", "--true", "100.02 ft").stdout
    )
    assert "true length 49.9995 m" in run("tape", "--read", "50 m", "--rise", "0.22 m").stdout
    assert "true length 100' 0\"" in run("tape", "--read", "100 ft").stdout


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
        ("tie", "10", "6 ft", "8 ft"),
        ("tie", "10 ft", "4 ft", "5 ft"),
        ("tie", "10 ft", "40 ft", "5 ft"),
        ("tie", "10 ft", "0 ft", "10 ft"),
        ("tie", "10 ft", "6 ft", "8 ft", "--sigma", "0 in"),
        ("tape", "--read", "-5 ft"),
        ("tape", "--read", "100 ft", "--rise", "100 ft"),
        ("tape", "--read", "100 ft", "--temperature", "50", "--standard-temperature", "68 F"),
        ("tape", "--read", "100 ft", "--temperature", "50 ft", "--standard-temperature", "68 F"),
        ("tape", "--read", "100 ft", "--pull", "0 lb", "--weight-per-length", "0.02 lb/ft"),
        ("tape", "--read", "1000 ft", "--pull", "0.01 lbf", "--weight-per-length", "0.02 lb/ft"),
        ("tape", "--read", "100 ft", "--pull", "9 lb", "--standard-pull", "9 lb", "--section", "0 in2"),
    ],
)
def test_bad_values_exit_one_with_nothing_on_standard_output(args: tuple[str, ...]) -> None:
    done = run(*args, "--json")
    assert done.returncode == 1, done.stderr
    assert done.stdout == ""
    assert "found" in done.stderr
    assert "hint" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_length_below_nothing_says_which_and_what_is_allowed() -> None:
    for args, name, allowed in (
        (("spacing", "-5 ft", "--longest", "8 ft"), "LENGTH must be larger than 0", "a length larger than 0"),
        (("tape", "--read", "-5 ft"), "--read must be larger than 0", "a length larger than 0"),
        (("concrete", "--hole", "9 in", "--depth", "2 ft", "--post", "4 in", "--gravel", "-1 in"),
         "--gravel must be at least 0", "0 or more"),
        (("rack", "--panel", "6 ft", "--grade", "-5%"), "a grade is not negative", "0 or more: 1:12"),
    ):  # fmt: skip
        said = run(*args).stderr
        assert name in said
        assert f"allowed: {allowed}" in said
        assert "a quantity with its unit" not in said


def test_a_wide_leaf_is_told_with_its_source_beside_an_unchanged_answer() -> None:
    # the guide: gates of boards over 5 ft wide in two leaves
    wide = run("gate", "--kind", "boards", "--opening", "6 ft", "--json")
    assert set(json.loads(wide.stdout)) == {"leaf_m", "allowance_m"}
    assert "caution: a leaf of 5' 11\" is wide: over 5' 0\" two leaves carry better (Guide to building" in wide.stderr
    for fits in (("6 ft", "--leaves", "2"), ("5 ft",)):
        assert run("gate", "--kind", "boards", "--opening", *fits).stderr == ""


def test_gate_sizes_are_refused_in_the_unit_that_was_typed() -> None:
    assert (
        "found 70' 0\"; allowed: more than 0, up to 40' 0\""
        in run("gate", "--kind", "boards", "--opening", "70 ft").stderr
    )
    assert "found 25.000 m" in run("gate", "--kind", "boards", "--opening", "25 m").stderr


def test_bare_numbers_with_a_unit() -> None:
    assert answer("spacing", "150", "--longest", "8", "--unit", "ft")["bays"] == 19


@pytest.mark.parametrize(
    "args",
    [
        ("spacing",),
        ("square", "6 ft"),
        ("gate", "--opening", "36 in"),
        ("nothing",),
        ("tie", "5 ft", "3 ft"),
        ("square", "6 ft", "8 ft", "--run", "30 ft"),
        ("tape",),
        ("tape", "--read", "9 ft", "--nominal", "100 ft"),
        ("tape", "--read", "9 ft", "--temperature", "50 F"),
        ("tape", "--read", "9 ft", "--pull", "9 lb"),
        ("tape", "--read", "9 ft", "--weight-per-length", "0.02 lb/ft"),
        ("tape", "--read", "9 ft", "--spans", "0"),
    ],
)
def test_wrong_usage_exits_two(args: tuple[str, ...]) -> None:
    assert run(*args).returncode == 2


def test_without_json_in_the_persons_own_notation() -> None:
    done = run("square", "6 ft", "8 ft", "--why")
    assert "diagonal 10' 0\"" in done.stdout
    assert "formula:" in done.stdout
    assert "source:" in done.stdout


def test_metric_lengths_get_concrete_in_litres() -> None:
    # (pi 0.25^2 / 4 - 0.09^2) x 0.75 m3 = 30.74 L
    done = run("concrete", "--hole", "250 mm", "--depth", "750 mm", "--post", "90 mm")
    assert "30.7 L of concrete (36.8 L of hole)" in done.stdout


def test_a_kind_of_gate_as_people_write_it() -> None:
    # 36 in opening, 32 1/4 in leaf: leaflet of a trade body
    assert answer("gate", "--kind", "Chain Link", "--opening", "36 in")["leaf_m"] == pytest.approx(32.25 * INCH)
    assert "did you mean vinyl-panels?" in run("gate", "--kind", "vinyl", "--opening", "36 in").stderr


def test_a_tape_that_hangs_too_deep_is_refused() -> None:
    # a span that weighs as much as the pull: catenary chord 95.143 ft of 100, parabola 95.833
    hung = ("tape", "--read", "100 ft", "--weight-per-length", "0.02 lb/ft", "--pull")
    assert run(*hung, "2 lb").returncode == 1
    assert "hold the tape up at more places" in run(*hung, "2 lb").stderr
    assert answer(*hung, "5 lb")["true_m"] == pytest.approx(100 * FOOT * (1 - 0.16 / 24))


def test_a_shortest_bay_above_the_longest_is_told_in_feet() -> None:
    done = run("spacing", "100 ft", "--longest", "8 ft", "--shortest", "9 ft")
    assert done.returncode == 1
    assert "found 9' 0\"; allowed: 0 to the longest bay, 8' 0\"" in done.stderr
