"""Exchange: ``plan.json`` and back, tables for a spreadsheet, GeoJSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from palewright.exchange.geojson import WGS84_A, WGS84_F, local_to_geographic, to_geojson
from palewright.exchange.plan_json import SCHEMA_ID, dumps, from_json, loads, schema, to_json
from palewright.exchange.tables_csv import holes_csv, materials_csv, posts_csv, safe_cell
from palewright.model import Plan

__all__ = [
    "SCHEMA_ID",
    "WGS84_A",
    "WGS84_F",
    "dumps",
    "formats",
    "from_json",
    "holes_csv",
    "loads",
    "local_to_geographic",
    "materials_csv",
    "posts_csv",
    "safe_cell",
    "schema",
    "to_geojson",
    "to_json",
]


def formats() -> Mapping[str, Callable[[Plan], str]]:
    """Formats that need nothing but the plan: name to a function that gives the text of the file."""
    return {
        "json": dumps,
        "csv": posts_csv,
        "posts-csv": posts_csv,
        "holes-csv": holes_csv,
        "materials-csv": materials_csv,
    }
