"""KML 2.2: what its published schema finds in a document, what it lets pass, and what reader and writer here make of both.

The schema is ogckml22.xsd. A name after its geometry breaks the order that it asks for; a ring of four places that does not
end where it began passes it, though the standard wants it closed. Answers of lxml, no tolerance.

sources: kml-22
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.exchange.foreign_files import kml_problems
from tests.sample_plan import sample_plan

from palewright.errors import ProblemError
from palewright.exchange import read_sheet, to_kml

NAME = "<name>lot 7</name>"
CLOSED = "-105,40 -104.999,40 -104.999,40.001 -105,40"
OPEN = "-105,40 -104.999,40 -104.999,40.001 -105,40.001"


def document(places: str, *, name_last: bool = False) -> str:
    ring = f"<outerBoundaryIs><LinearRing><coordinates>{places}</coordinates></LinearRing></outerBoundaryIs>"
    parts = [NAME, f"<Polygon>{ring}</Polygon>"]
    mark = "".join(reversed(parts) if name_last else parts)
    return f'<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark>{mark}</Placemark></kml>'


def read(folder: Path, text: str) -> str:
    path = folder / "lot.kml"
    path.write_text(text)
    (ring,) = read_sheet(path).rings
    return ring.name


def test_the_order_of_elements(tmp_path: Path) -> None:
    """The schema refuses a name after the polygon; the lot can still be read, so it is."""
    assert kml_problems(document(CLOSED)) == []
    found = kml_problems(document(CLOSED, name_last=True))
    assert len(found) == 1
    assert "SCHEMAV_ELEMENT_CONTENT" in found[0]
    assert read(tmp_path, document(CLOSED)) == read(tmp_path, document(CLOSED, name_last=True)) == "lot 7"


def test_an_open_ring_passes_the_schema_and_is_refused_here(tmp_path: Path) -> None:
    assert kml_problems(document(OPEN)) == ["an open ring"]  # by the check beside the schema
    with pytest.raises(ProblemError, match="ring-open"):
        read(tmp_path, document(OPEN))


def test_a_blank_inside_a_place_passes_the_schema_and_is_refused_here(tmp_path: Path) -> None:
    text = document(CLOSED.replace(",40 ", ", 40 ", 1))
    assert kml_problems(text)
    assert not any("SCHEMAV" in found for found in kml_problems(text))
    with pytest.raises(ProblemError, match="not-a-number"):
        read(tmp_path, text)


def test_what_is_written_passes_and_would_fail_with_these_faults() -> None:
    text = to_kml(sample_plan(), ("NE", 40.0, -105.0))
    assert kml_problems(text) == []
    begin = text.index("<coordinates>") + len("<coordinates>")
    first = text[begin : text.index(" ", begin) + 1]
    assert kml_problems(text.replace(first, "", 1)) == ["an open ring"]
    assert kml_problems(text.replace("<Document>", "<Document><Placemark><Point/><name>x</name></Placemark>", 1))
