"""GeoJSON as RFC 7946 writes it: the geometries of its appendix A, and what it says of rings and coordinates.

sources: rfc7946
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import geojson_validator
import pytest
from tests.sample_plan import sample_plan

from palewright.errors import ProblemError
from palewright.exchange import read_sheet, to_geojson
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


def test_rings_run_counter_clockwise_as_written_whichever_way_they_were_read(tmp_path: Path) -> None:
    """An independent validator: a clockwise square is 'exterior_not_ccw', the same turned round is not; nor is our own."""
    square = [[100.0, 0.0], [100.0, 0.001], [100.001, 0.001], [100.001, 0.0], [100.0, 0.0]]
    for ring, faults in ((square, {"exterior_not_ccw": [0]}), (square[::-1], {})):
        lot = {"type": "Polygon", "coordinates": [ring]}
        feature = {"type": "Feature", "properties": {"name": "lot"}, "geometry": lot}
        document = {"type": "FeatureCollection", "features": [feature]}
        assert geojson_validator.validate_geometries(document)["invalid"] == faults
        assert len(read(tmp_path, document).rings) == 1
    plan = sample_plan()
    assert plan.site.ring is not None
    turned = replace(plan.site.ring, corners=plan.site.ring.corners[::-1])
    for site in (plan.site, replace(plan.site, ring=turned)):
        made = to_geojson(replace(plan, site=site), ("NE", 40.0, -105.0))
        assert geojson_validator.validate_geometries(made)["invalid"] == {}


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
