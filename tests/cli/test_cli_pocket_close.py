"""`pocket close`: flags, keys and exit codes of its contract. The figures are those of published cases."""

from __future__ import annotations

import contextlib
import io
import json
import math
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from palewright.cli.main import main

FT = 0.3048
LOOP = "S68-05-35W 472.68\nN19-46-00W 216.13\nN45-55-20E 276.52\nS54-59-15E 382.24\n"
CURVED = """\
# a deed with a tangent curve
N27-46-19W 215.52
S60-04-31W 961.15   # along the road

S21-05-55E 199.14
curve left, radius 682.70, arc 50.47, tangent
N58-15E 990.0
"""


@dataclass
class Done:
    returncode: int
    stdout: str
    stderr: str


def run(*args: str | Path) -> Done:
    """The command line in this process, through its entry point."""
    out, err = io.StringIO(), io.StringIO()
    with (
        patch.object(sys, "argv", ["palewright", "pocket", "close", *map(str, args)]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        pytest.raises(SystemExit) as left,
    ):
        main()
    return Done(int(left.value.code or 0), out.getvalue(), err.getvalue())


@pytest.fixture
def deed(tmp_path: Path) -> Any:
    def write(text: str) -> Path:
        path = tmp_path / "deed.txt"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def answer(*args: str | Path) -> dict[str, Any]:
    done = run(*args, "--json")
    assert done.returncode == 0, done.stderr
    made: dict[str, Any] = json.loads(done.stdout)
    return made


def test_a_loop(deed: Any) -> None:
    """Mahun, loop A-D."""
    made = answer(deed(LOOP), "--unit", "ft")
    assert made["perimeter_m"] / FT == pytest.approx(1347.57)
    assert made["latitude_error_m"] / FT == pytest.approx(0.083, abs=0.0005)
    assert made["departure_error_m"] / FT == pytest.approx(0.0745, abs=0.001)
    assert made["misclosure_m"] / FT == pytest.approx(0.1112, abs=0.00005)
    assert made["precision"] == pytest.approx(12_116, abs=1)
    assert made["area_m2"] / FT**2 == pytest.approx(102_960.05, abs=0.01)
    assert made["points"][0] == [0.0, 0.0]
    assert made["points"][1] == pytest.approx([-438.556 * FT, -176.357 * FT], abs=0.01 * FT)
    assert "missing" not in made
    assert "adjusted" not in made


def test_a_loop_adjusted(deed: Any) -> None:
    path = deed(LOOP)
    made = answer(path, "--unit", "ft", "--adjust", "compass")
    assert [c["length_m"] / FT for c in made["adjusted"]] == pytest.approx(
        [472.715, 216.122, 276.497, 382.237], abs=0.001
    )
    assert made["adjusted"][0]["azimuth_deg"] == pytest.approx(180 + 68 + 5 / 60 + 27.4 / 3600, abs=0.5 / 3600)
    assert made["adjusted_area_m2"] / FT**2 == pytest.approx(102_935.71, abs=0.5)
    made = answer(path, "--unit", "ft", "--adjust", "transit")
    assert made["adjusted_area_m2"] / FT**2 == pytest.approx(102_932.96, abs=0.5)
    assert "adjusted" not in answer(path, "--unit", "ft", "--adjust", "none")


def test_a_deed_with_a_curve(deed: Any) -> None:
    made = answer(deed(CURVED), "--unit", "ft")
    assert made["misclosure_m"] / FT == pytest.approx(0.0086, abs=5e-5)
    assert made["area_m2"] / FT**2 == pytest.approx(225_278.94, abs=0.5)
    (curve,) = made["curves"]
    assert (curve["call"], curve["side"]) == (4, "left")
    assert curve["delta_deg"] == pytest.approx(4.235708, abs=1e-6)


@pytest.mark.parametrize(
    "curve",
    [
        "{curve: left, radius: 682.70 ft, arc: 50.47 ft, joins: tangent}",
        "- {curve: left, radius: 682.70 ft, delta: 4°14'08.55\"}",
        "curve LEFT R 682.70 L 50.47 (tangent)",
        "curve left, radius 682.70, chord S 23°12'59.3\" E 50.4585",
    ],
)
def test_curve_calls_on_one_line(deed: Any, curve: str) -> None:
    text = CURVED.replace("curve left, radius 682.70, arc 50.47, tangent", curve)
    assert answer(deed(text), "--unit", "ft")["area_m2"] / FT**2 == pytest.approx(225_278.94, abs=0.5)


@pytest.mark.parametrize("last", ["S54-59-15E", "S54-59-15E to beginning", "to beginning"])
def test_the_missing_call_is_solved(deed: Any, last: str) -> None:
    made = answer(deed("\n".join([*LOOP.splitlines()[:3], last])), "--unit", "ft")
    assert made["missing"]["length_m"] / FT == pytest.approx(382.24, abs=0.15)
    assert made["missing"]["azimuth_deg"] == pytest.approx(125.0125, abs=0.02)
    if last == "to beginning":
        assert (made["misclosure_m"], made["precision"]) == (0.0, None)


def test_two_missing_numbers(deed: Any) -> None:
    made = answer(deed("N 3\nE\nbearing unknown, 5\n"), "--unit", "m")
    assert made["missing"]["length_m"] == pytest.approx(4.0)
    assert made["also_missing"][0]["azimuth_deg"] == pytest.approx(math.degrees(math.pi + math.atan2(4.0, 3.0)))


def test_old_units_and_a_poor_closure_are_computed(deed: Any) -> None:
    """New Utrecht 1812: 1:165, and no refusal in a pocket sum."""
    made = answer(deed("S24-30E 7ch17lk\nS64-45W 24ch\nN25-15W 7ch17lk\nN10-30W 11ch70lk\nS86E 24ch\n"))
    assert made["precision"] == pytest.approx(165, abs=0.5)
    assert made["area_m2"] / 20.1168**2 / 10 == pytest.approx(30.34, abs=0.005)


def test_a_poor_closure_is_said_to_prove_nothing(deed: Any) -> None:
    """Least closure of a residential lot, 1:5000: WAC 332-130-090. Here 400 ft miss by 0.2 ft and by 0.02 ft."""
    square = "N 100.00 ft\nE 100 ft\nS 100 ft\nW {} ft\n"
    poor, good = run(deed(square.format("99.80"))), run(deed(square.format("99.98")))
    assert "WORSE THAN 1:5,000" in poor.stdout
    assert "WORSE" not in good.stdout


def test_a_deed_that_crosses_itself_is_told_where(deed: Any) -> None:
    path = deed("E 100\nN45W 141.42\nE 100\nS45W 141.42\n")
    crosses = answer(path, "--unit", "ft")["crosses"]
    assert (crosses["side"], crosses["other_side"]) == (2, 4)
    assert (crosses["east_m"] / FT, crosses["north_m"] / FT) == pytest.approx((50.0, 50.0), abs=0.01)
    assert "SIDES 2 AND 4 CROSS, 50.00' east, 50.00' north" in run(path, "--unit", "ft").stdout


BAD = [
    ("S36-00-00E 379.25\n", ["deed.txt:1:12", "unit-missing"]),
    ("N 12°75' E 120 ft\nE 5 ft\nto beginning\n", ["deed.txt:1:6", "bearing-minutes-range"]),
    ("E 5 ft\nN 95 E 3 ft\nto beginning\n", ["deed.txt:2:3", "bearing-degrees-range"]),
    ("E 5 ft\n# note\nN nan ft\nto beginning\n", ["deed.txt:3:3", "length-not-number"]),
    ("E 5 ft\nN 0 ft\nto beginning\n", ["deed.txt:2:3", "length-zero"]),
    ("E 5 ft\nN -3 ft\nto beginning\n", ["deed.txt:2:3", "length-negative"]),
    ("E 5 ft\nN 12°30'\nto beginning\n", ["deed.txt:2", "bearing-letter-missing"]),
    (
        "E 5 ft\ncurve right, radius 10 ft, arc 5 ft, chord N 6 ft\nto beginning\n",
        ["deed.txt:2", "curve-parts-disagree"],
    ),
    ("E 5 ft\ncurve right, radius 10 ft, chord N 26 ft\nto beginning\n", ["deed.txt:2", "curve-impossible"]),
    ("E 5 ft\ncurve right, arc 5 ft, non-tangent\nto beginning\n", ["deed.txt:2", "curve-parts-missing"]),
    (
        "E 5 ft\ncurve right, radius 9 ft, arc 5 ft, non-tangent\nto beginning\n",
        ["deed.txt:2", "curve-bearing-missing"],
    ),
    ("E 5 ft\nN 3 ft\n", ["boundary-too-short"]),
    ("# nothing\n", ["deed.txt", "deed-empty"]),
    ("E 5 ft\nto beginning\nN 3 ft\n", ["deed.txt:2", "calls-after-beginning"]),
    ("E\nN\nW\nS 5 ft\n", ["two-calls-open"]),
]


@pytest.mark.parametrize(("text", "words"), BAD)
def test_bad_deeds_exit_one_with_the_line(deed: Any, text: str, words: list[str]) -> None:
    done = run(deed(text), "--json")
    assert done.returncode == 1
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert "hint" in done.stderr
    assert all(word in done.stderr for word in words), done.stderr


def test_every_bad_line_is_told_at_once(deed: Any) -> None:
    done = run(deed("N 95 E 3 ft\nE 5\nN 12°75' E 120 ft\n"))
    assert [slug for slug in ("bearing-degrees-range", "unit-missing", "bearing-minutes-range") if slug in done.stderr] == [
        "bearing-degrees-range", "unit-missing", "bearing-minutes-range",
    ]  # fmt: skip


def test_what_is_allowed_is_said_of_calls(deed: Any) -> None:
    """Not "a quantity with its unit", which the other sums would want."""
    done = run(deed("E 5 ft\ncurve right, radius 10 ft, chord N 26 ft\nto beginning\n"))
    assert "allowed: one call a line: a bearing and a length with its unit, or the parts of a curve" in done.stderr


def test_files_that_cannot_be_read_exit_one_as_for_every_command(tmp_path: Path) -> None:
    for path in (tmp_path / "no such file", tmp_path):
        done = run(path)
        assert (done.returncode, done.stdout) == (1, "")
        assert "file-unreadable" in done.stderr


def test_a_file_too_large_is_refused_and_not_cut_off(deed: Any) -> None:
    """Cut off at a megabyte it would close as another figure."""
    done = run(deed(LOOP + "# " + "\n# ".join(["x" * 1000] * 1000) + "\nN 5 ft\n"), "--unit", "ft")
    assert (done.returncode, done.stdout) == (1, "")
    assert "file-too-large" in done.stderr


def test_wrong_usage_and_bytes_that_are_no_text(tmp_path: Path, deed: Any) -> None:
    assert run(deed(LOOP), "--adjust", "silently").returncode == 2
    path = tmp_path / "deed.bin"
    path.write_bytes(b"N 1 E \xff ft\n")
    done = run(path)
    assert (done.returncode, done.stdout) == (1, "")
    assert "not-utf8" in done.stderr


def test_in_words(deed: Any) -> None:
    done = run(deed(CURVED), "--unit", "ft", "--why", "--adjust", "compass")
    assert "misses its beginning by 0.01', 1:281,2" in done.stdout
    assert "225,279 sq ft, 5.172 acres" in done.stdout
    assert "curve of call 4: left, radius 682.70', central angle 4.2357°, arc 50.47'" in done.stdout
    assert "adjusted, for comparison only" in done.stdout
    assert "formula: " in done.stdout
    assert "source: " in done.stdout
    metric = run(deed("N 10 m\nE 10 m\nS 10 m\nW 9.99 m, more or less\n")).stdout
    assert "perimeter 39.990 m" in metric
    assert 'says "more or less" (call 4)' in metric


PASTED = """\
Commencing at the corner of Lot 7; thence N 5.00 feet to the POINT OF BEGINNING; thence N 80.00 feet along Mill Road to a
1/2 inch pipe; thence E 60.00 feet past an old gate; thence S 36°52'12" W 100.00 feet to the POINT OF BEGINNING,
containing 2,400 square feet.
"""


def test_a_pasted_description_is_read_back_beside_its_words(deed: Any) -> None:
    done = run(deed(PASTED))
    assert done.returncode == 0, done.stderr
    for line in (
        "to the beginning 1  N 00°00'00\" E  5.00'",
        "1  N 00°00'00\" E  80.00'",
        "words: N 80.00 feet along Mill Road to a 1/2 inch pipe;",
        "the record calls for: 1/2 inch pipe (no proof of anything on the ground)",
        "passed by: past an old gate",
        "The description calls for 2,400 square feet.",
    ):
        assert line in done.stdout
    made = answer(deed(PASTED))
    assert made["area_m2"] == pytest.approx(2400 * FT**2, rel=1e-5)
    assert [call["monument"] for call in made["prose"]["calls"]] == ["1/2 inch pipe", "", ""]
    assert len(made["prose"]["ties"]) == 1
    assert len(made["points"]) == 4


def test_a_pasted_description_with_a_number_that_is_not_understood(deed: Any) -> None:
    done = run(deed(PASTED.replace("60.00 feet", "60.00 feet (3 paces)")))
    assert done.returncode == 1
    assert not done.stdout
    assert "deed-number-not-read" in done.stderr
    assert "2:37" in done.stderr
