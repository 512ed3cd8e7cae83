"""Exchange: ``plan.json`` and back, tables for a spreadsheet, map and survey formats out and in."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from palewright.exchange.arcs import path_length, ring_area
from palewright.exchange.foreign import MOST_BYTES, Asked, Sheet
from palewright.exchange.geojson import to_geojson
from palewright.exchange.gis_out import to_geopackage, to_shapefile
from palewright.exchange.gpx import to_gpx
from palewright.exchange.importing import Imported, import_file, list_file
from palewright.exchange.kml import to_kml
from palewright.exchange.landxml import to_landxml
from palewright.exchange.plan_json import SCHEMA_ID, dumps, from_json, loads, schema, to_json
from palewright.exchange.points_csv import to_pnezd
from palewright.exchange.projection import Projection, projection
from palewright.exchange.reading import read_sheet
from palewright.exchange.tables_csv import holes_csv, materials_csv, posts_csv, safe_cell
from palewright.exchange.yard_json import as_built_json, entries_json, read_entries
from palewright.model import Plan

__all__ = [
    "Asked",
    "Imported",
    "MOST_BYTES",
    "Projection",
    "SCHEMA_ID",
    "Sheet",
    "as_built_json",
    "dumps",
    "entries_json",
    "formats",
    "from_json",
    "holes_csv",
    "import_file",
    "list_file",
    "loads",
    "materials_csv",
    "path_length",
    "posts_csv",
    "projection",
    "read_entries",
    "read_sheet",
    "ring_area",
    "safe_cell",
    "schema",
    "to_geojson",
    "to_geopackage",
    "to_gpx",
    "to_json",
    "to_kml",
    "to_landxml",
    "to_pnezd",
    "to_shapefile",
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
