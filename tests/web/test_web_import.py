"""Files of other programs through the interface: what was exported of one job begins another, or gives it its boundary."""

from __future__ import annotations

import pytest
from tests.web.conftest import EXAMPLES, key

from palewright import drafting, exchange

PLACE = {"place": "NE, 41.203451230, -96.045127680"}
RINGS = {"dxf": "plan.dxf", "landxml": "plan.xml", "geojson": "plan.geojson", "geopackage": "plan.gpkg",
         "shapefile": "plan-shapefile.zip", "kml": "plan.kml"}  # fmt: skip
TEXT = (EXAMPLES / "tansy-court.yaml").read_text("utf-8").replace("prices: prices.csv", "")


def bring(place, job, name, data, **how):
    assert place.estimator.raw(f"/api/jobs/{job['id']}/files/{name}", data).status_code == 200
    wanted = {"file": name, "revision": job["revision"], "key": key()} | how
    return place.estimator.post(f"/api/jobs/{job['id']}/import", wanted)


def sides(answer) -> list[float]:
    """Lengths of the sides of the property [m], sorted."""
    items = [item for item in answer.json()["sight"]["items"] if item["kind"] == "side"]
    return sorted(((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5 for a, b in (item["points"] for item in items))


@pytest.mark.parametrize("form", RINGS)
def test_what_was_exported_begins_another_job(place, form):
    """Each writer was checked against other programs' readers (docs/exchange.md); here the boundary must come back."""
    first = place.job(TEXT, "first")
    wanted = sides(place.estimator.get(f"/api/jobs/{first['id']}/sight"))
    data = place.estimator.get(f"/api/jobs/{first['id']}/exports/{form}", params=PLACE).content
    second = place.owner.post("/api/jobs", {"title": "second", "from": "empty", "key": key()}).json()
    layer = {"layer": "areas"} if form in ("geopackage", "shapefile") else {}
    answer = bring(place, second, RINGS[form], data, **layer)
    if answer.status_code == 422 and answer.json()["problems"][0]["slug"] == "which-ring":
        shown = place.estimator.get(f"/api/jobs/{second['id']}/files/{RINGS[form]}/outlines", params=layer).json()
        lot = next(row["name"] for row in shown if row["kind"] == "ring")
        answer = bring(place, second, RINGS[form], data, ring=lot, **layer)
    assert answer.status_code == 200, answer.text
    assert sides(answer) == pytest.approx(wanted, abs=0.005)
    assert answer.json()["job"]["title"] == "second"
    assert answer.json()["made"][0] == "boundary"


def test_points_of_a_list_come_into_a_job_that_has_a_fence(place):
    rows = b"1,5000.00,2000.00,,FOUND PIN\n2,5100.00,2000.00,,\n3,5100.00,2080.00,,\n"
    text = "palewright: 1\njob: {title: Yard}  # mine\nfences:\n  f: {kind: boards, good side: ask}\n"
    job = place.job(text, "Yard")
    answer = bring(place, job, "points.csv", rows, order="PNEZD", unit="ft")
    assert answer.status_code == 200, answer.text
    saved = place.estimator.get(f"/api/jobs/{job['id']}/text").json()["text"]
    assert "job: {title: Yard" in saved
    assert "# mine" in saved
    assert "f: {kind: boards, good side: ask}" in saved
    assert answer.json()["made"] == ["point 1", "point 2", "point 3"]
    again = bring(place, answer.json()["job"], "points.csv", rows, order="PNEZD", unit="ft")
    assert (again.status_code, again.json()["problems"][0]["slug"]) == (422, "name-taken")


def test_a_second_boundary_is_refused_and_nothing_changes(place):
    job = place.job(TEXT, "first")
    data = place.estimator.get(f"/api/jobs/{job['id']}/exports/landxml").content
    answer = bring(place, job, "plan.xml", data)
    assert (answer.status_code, answer.json()["problems"][0]["slug"]) == (422, "boundary-there")
    assert place.estimator.get(f"/api/jobs/{job['id']}").json()["revision"] == job["revision"]


@pytest.mark.parametrize(
    ("name", "data", "slug"),
    [
        ("lot.dxf", b"\x00\x01 no drawing", "file-broken"),
        ("lot.xml", b"<!DOCTYPE x [<!ENTITY a 'b'>]><kml>&a;</kml>", "xml-doctype"),
        ("lot.dwg", b"AC1032" + b"\0" * 40, "unknown-kind"),
        ("lot.geojson", b"", "file-empty"),
    ],
)
def test_a_file_that_is_none_is_a_problem_not_a_failure(place, name, data, slug):
    job = place.owner.post("/api/jobs", {"title": "second", "from": "empty", "key": key()}).json()
    answer = bring(place, job, name, data)
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["slug"] == slug


def test_a_draft_begins_a_bare_job_as_the_command_would_write_it(tmp_path):
    path = tmp_path / "points.csv"
    path.write_text("1,5000.00,2000.00,,\n2,5100.00,2000.00,,\n3,5100.00,2080.00,,\n")
    made = exchange.import_file(path, exchange.Asked(unit="ft", order="PNEZD"), title="Lot")
    assert drafting.take_draft("palewright: 1\njob: {title: Lot}\n", made.text).text == made.text


def test_what_is_to_be_said_of_a_file_is_said_in_the_language_of_the_page(place):
    first = place.job(TEXT, "first")
    data = place.estimator.get(f"/api/jobs/{first['id']}/exports/kml", params=PLACE).content
    told = {}
    for language in ("en", "es"):
        empty = place.owner.post("/api/jobs", {"title": "second", "from": "empty", "key": key()}).json()
        shown = bring(place, empty, RINGS["kml"], data, lang=language)
        if shown.status_code == 422:
            assert place.estimator.raw(f"/api/jobs/{empty['id']}/files/{RINGS['kml']}", data).status_code == 200
            rings = place.estimator.get(f"/api/jobs/{empty['id']}/files/{RINGS['kml']}/outlines").json()
            lot = next(row["name"] for row in rings if row["kind"] == "ring")
            shown = bring(place, empty, RINGS["kml"], data, ring=lot, lang=language)
        told[language] = shown.json()["said"]
    assert any(line.startswith("shapes in KML are often traced on a picture") for line in told["en"])
    assert any(line.startswith("las figuras de KML muchas veces se calcaron de una foto") for line in told["es"])
