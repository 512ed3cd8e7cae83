"""Damaged files: a reader answers with shapes or with a problem of a known name, never with anything else."""

from __future__ import annotations

import ast
import random
import re
from pathlib import Path

import pytest
from tests.exchange import foreign_files as files

from palewright.errors import ProblemError
from palewright.exchange import Asked, import_file

ROOT = Path(__file__).resolve().parents[2]
SLUGS = set(re.findall(r"^## (\S+)$", (ROOT / "docs" / "messages.md").read_text(encoding="utf-8"), re.MULTILINE))
NAMES = ["lot.geojson", "lot.kml", "lot.gpx", "lot.xml", "pnezd.csv", "lot.dxf", "lot.gpkg", "lot.shp", "lot.zip"]
TRIES = {"lot.dxf": 60, "lot.gpkg": 60}
WORDS = [
    b"nan",
    b"-inf",
    b"1e308",
    b"-1",
    b"0",
    b"",
    b"\x00",
    b"\xff\xfe",
    b"<",
    b">",
    b"&",
    b'"',
    b"}",
    b"]",
    b"\n",
    b"9" * 40,
]


def damage(data: bytes, chance: random.Random) -> bytes:
    """One to six faults: bytes changed, cut out, doubled, exchanged, a word put in, the end cut off."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(made) + 1)
        span = chance.choice((1, 2, 4, 16, 200))
        match chance.randrange(6):
            case 0:
                made[at : at + 1] = bytes([chance.randrange(256)])
            case 1:
                del made[at : at + span]
            case 2:
                made[at:at] = made[at : at + span]
            case 3:
                other = chance.randrange(len(made) + 1)
                made[at : at + span], made[other : other + span] = made[other : other + span], made[at : at + span]
            case 4:
                made[at : at + chance.randrange(4)] = chance.choice(WORDS)
            case 5:
                if chance.random() < 0.3:
                    del made[at:]
    return bytes(made)


def answer(path: Path) -> str:
    """ "read", or the name of the first problem."""
    asked = Asked(unit="ft" if path.suffix == ".csv" else "")
    try:
        import_file(path, asked)
    except ProblemError as error:
        problems = error.problems
    else:
        return "read"
    for problem in problems:
        assert problem.slug in SLUGS
        assert (problem.found + problem.allowed).isprintable()
    return problems[0].slug


@pytest.mark.parametrize("name", NAMES)
def test_damaged_files_are_read_or_refused(tmp_path: Path, name: str) -> None:
    chance = random.Random(f"{name} 1")
    good = files.write_all(tmp_path)[name]
    data = good.read_bytes()
    seen = set()
    for _ in range(TRIES.get(name, 300)):
        good.write_bytes(damage(data, chance))
        seen.add(answer(good))
    assert len(seen) > 1, "some are refused"
    assert seen & SLUGS


def test_every_refusal_has_an_entry() -> None:
    """The names that readers refuse and caution with, from the calls in their source."""
    told = set()
    for path in (ROOT / "src/palewright/exchange").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            called = getattr(node.func, "id", getattr(node.func, "attr", "")) if isinstance(node, ast.Call) else ""
            if called in ("refused", "caution", "_crs_problem"):
                told |= {value.value for value in ast.walk(node.args[0]) if isinstance(value, ast.Constant)}  # type: ignore[attr-defined]
    assert len(told) > 35
    assert told <= SLUGS
