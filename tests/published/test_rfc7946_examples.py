"""GeoJSON as RFC 7946 writes it: the geometries of its appendix A, and what it says of rings and coordinates.

sources: rfc7946
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from palewright.errors import ProblemError
from palewright.exchange import read_sheet
from palewright.exchange.foreign import Sheet

OUTER = [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]
HOLE = [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]
OTHER = [[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]
EXAMPLES: list[tuple[dict[str, Any], tuple[int, int, int]]] = [
    ({"type": "Point", "coordinates": [100.0, 0.0]}, (0, 0, 1)),
    ({"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}, (0, 1, 0)),
    ({"type": "Polygon", "coordinates": [OUTER]}, (1, 0, 0)),
    ({"type": "Polygon", "coordinates": [OUTER, HOLE]}, (1, 0, 0)),
    ({"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}, (0, 0, 2)),
    (
        {"type": "MultiLineString", "coordinates": [[[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]]},
        (0, 2, 0),
    ),
    ({"type": "MultiPolygon", "coordinates": [[OTHER], [OUTER, HOLE]]}, (2, 0, 0)),
    (
        {
            "type": "GeometryCollection",
            "geometries": [
                {"type": "Point", "coordinates": [100.0, 0.0]},
                {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]},
            ],
        },
        (0, 1, 1),
    ),
]


def read(folder: Path, document: object) -> Sheet:
    path = folder / "x.geojson"
    path.write_text(json.dumps(document))
    return read_sheet(path)


@pytest.mark.parametrize(
    ("geometry", "counts"), EXAMPLES, ids=lambda value: value["type"] if isinstance(value, dict) else ""
)
def test_the_examples_of_appendix_a(tmp_path: Path, geometry: dict[str, Any], counts: tuple[int, int, int]) -> None:
    sheet = read(tmp_path, {"type": "Feature", "geometry": geometry, "properties": None})
    assert (len(sheet.rings), len(sheet.paths), len(sheet.points)) == counts
    assert sheet.crs == "EPSG:4326"
    if geometry["type"] == "Polygon":
        assert sheet.rings[0].points == tuple((x, y) for x, y in OUTER[:-1])
        assert len(sheet.rings[0].holes) == len(geometry["coordinates"]) - 1


def test_a_clockwise_ring_is_not_rejected(tmp_path: Path) -> None:
    """Section 3.1.6: for backwards compatibility, parsers SHOULD NOT reject Polygons that do not follow the right-hand rule."""
    assert read(tmp_path, {"type": "Polygon", "coordinates": [OUTER[::-1]]}).rings


def test_a_ring_is_closed_and_has_four_positions(tmp_path: Path) -> None:
    for ring in (OUTER[:-1], OUTER[:2] + OUTER[:1]):
        with pytest.raises(ProblemError):
            read(tmp_path, {"type": "Polygon", "coordinates": [ring]})


def test_a_feature_may_have_no_geometry(tmp_path: Path) -> None:
    """Section 3.2: an unlocated Feature has the value null."""
    features = [
        {"type": "Feature", "geometry": None, "properties": {}},
        {"type": "Feature", "geometry": {"type": "Point", "coordinates": [100.0, 0.0, 12.5]}, "properties": {}},
    ]
    assert len(read(tmp_path, {"type": "FeatureCollection", "features": features}).points) == 1
