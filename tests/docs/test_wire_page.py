"""The page on fences of wire names every kind and every document with its numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from palewright.sources import all_sources
from palewright.tables.wire import wire_documents, wire_kind, wire_kind_names

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "wire.md").read_text("utf-8")


@pytest.mark.parametrize("name", wire_kind_names())
def test_every_kind(name: str) -> None:
    row = next(line for line in PAGE.splitlines() if line.startswith(f"| `{name}` |"))
    for key in ("longest bay", "longest pull", "brace"):
        assert f"({wire_kind(name)[key].source})" in row


@pytest.mark.parametrize("name", wire_documents())
def test_every_document(name: str) -> None:
    document = wire_documents()[name]
    row = next(line for line in PAGE.splitlines() if line.startswith(f"| `{name}` ("))
    assert all_sources()[document.source].title in row
    for (key, kind), entry in document.rules.items():
        assert f"`{key}`" in row
        assert kind in row
        if isinstance(entry.value, float) and entry.unit == "m":
            assert any(
                f"{entry.value / size:g} {unit}" in row for size, unit in ((0.3048, "ft"), (0.0254, "in"), (1, "m"))
            )


@pytest.mark.parametrize("kind", wire_kind_names())
def test_every_source_of_a_kind_is_in_the_ledger(kind: str) -> None:
    assert {entry.source for entry in wire_kind(kind).values()} <= set(all_sources())
