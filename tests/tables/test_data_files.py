"""The data files: every number has a source of the ledger, defaults lie in their own ranges, the page is fresh."""

from pathlib import Path

import pytest

from palewright.errors import TableError
from palewright.sources import all_sources
from palewright.tables import (
    concrete_table,
    gate_allowances,
    gate_post_table,
    kind_names,
    kind_table,
    kinds_page,
    read_kind_file,
    removal_table,
    section,
    section_names,
    to_si,
)

ROOT = Path(__file__).resolve().parents[2]
KEYS = [(name, key) for name in kind_names() for key in kind_table(name).keys.values()]
SECTIONS = [
    (table, name)
    for table in ("lumber", "pipe", "vinyl", "metal", "composite", "split")
    for name in section_names(table)
]


@pytest.mark.parametrize(("kind", "key"), KEYS, ids=[f"{kind}-{key.name}" for kind, key in KEYS])
def test_every_key_has_a_source_a_doc_and_a_default_in_range(kind, key):
    assert key.source in all_sources()
    assert len(key.doc) > 8
    if key.type in ("length", "count", "ratio"):
        assert key.least is not None
        assert key.most is not None
        assert key.least < key.most
        values = [count for _, count in key.by] or [key.value]
        assert all(key.least - 1e-12 <= value <= key.most + 1e-12 for value in values)
    elif key.type in ("word", "section"):
        assert key.value in key.allowed or (key.optional and key.value == "")
    else:
        assert isinstance(key.value, bool)


@pytest.mark.parametrize("name", kind_names())
def test_every_kind_has_the_keys_that_are_read_from_all(name):
    table = kind_table(name)
    shared = {"pattern", "shortest bay", "rack rise", "rack over", "post.line", "post.end", "post.gate", "hole.line",
              "hole.end", "hole.gate", "hole.least", "hole.depth", "hole.gravel", "share in ground", "hole.fill",
              "concrete waste", "bag", table.infill}  # fmt: skip
    assert shared <= set(table.keys)
    assert table.name == name
    assert table.about.endswith(".")


@pytest.mark.parametrize(("table", "name"), SECTIONS)
def test_sections_have_real_sizes_and_rising_stocks(table, name):
    entry = section(table, name)
    assert 0.01 < entry.thick_m <= 0.25
    assert 0.02 < entry.width_m <= 0.26
    assert list(entry.stocks_m) == sorted(set(entry.stocks_m))
    assert entry.source in all_sources()
    if entry.round:
        assert entry.width_m == entry.thick_m


def test_small_tables():
    assert all(entry.source in all_sources() and entry.note for entry in gate_allowances().values())
    assert [leaf for _, leaf in gate_post_table()] == sorted(leaf for _, leaf in gate_post_table())
    table = concrete_table()
    per_pound = {name: bag["yield_ft3"] / bag["mass_lb"] for name, bag in table["bags"].items()}
    assert all(value == pytest.approx(0.0075) for value in per_pound.values())
    for entry in (table["gravel"], table["spoil"], table["density"], *removal_table().values()):
        assert entry["source"] in all_sources()


def test_page_of_kinds_is_fresh_and_names_every_key():
    page = (ROOT / "docs" / "kinds.md").read_text(encoding="utf-8")
    assert page == kinds_page(), "write docs/kinds.md from palewright.tables.kinds_page()"
    for kind, key in KEYS:
        part = page.split(f"\n## {kind}\n", 1)[1].split("\n## ", 1)[0]
        assert f"| `{key.name}` | {key.printed} |" in part


def test_units_are_exact():
    assert to_si(12, "in") == 0.3048
    assert to_si(100, "cm") == 1.0
    with pytest.raises(TableError, match="furlong"):
        to_si(1, "furlong")


def test_unknown_names_are_told():
    with pytest.raises(TableError, match="no kind"):
        kind_table("moat")
    with pytest.raises(TableError, match="no section"):
        section("lumber", "7x7")
    with pytest.raises(TableError, match="no table"):
        section("stone", "4x4")


def own(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "own.toml"
    path.write_bytes(text.encode(encoding))
    return path


def test_own_kind_file(tmp_path):
    path = own(
        tmp_path,
        '\ufeffname = "ours"\r\n"based on" = "boards"\r\n[values]\r\nboard = "5\' 6\\""\r\nrails = 2\r\n[values.hole]\r\nline = "12 in"\r\n',
    )
    read = read_kind_file(path)
    assert read.name == "ours"
    assert read.based_on == "boards"
    assert read.values == (("board", "5' 6\""), ("rails", 2), ("hole.line", "12 in"))


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("name = 'x'", "based on"),
        ("not toml at all", "own.toml"),
        ('"based on" = "boards"\nvalues = 3', "not a table"),
        ('"based on" = "boards"\ncolour = "green"', "colour"),
        ('"based on" = "boards"\n[values]\nboard = [1, 2]', "board"),
        ("x = " + "[" * 5000, "own.toml"),
        ("# " + "x" * 1_100_000, "larger"),
    ],
)
def test_own_kind_file_that_cannot_be_used(tmp_path, text, part):
    with pytest.raises(TableError, match=part):
        read_kind_file(own(tmp_path, text))


def test_own_kind_file_not_there_or_not_utf8(tmp_path):
    with pytest.raises(TableError, match="cannot be read"):
        read_kind_file(tmp_path / "none.toml")
    with pytest.raises(TableError, match="UTF-8"):
        read_kind_file(own(tmp_path, 'name = "cerca española"', "latin-1"))
