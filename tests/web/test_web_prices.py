"""Prices are the owner's alone: every answer of every route is searched for the figures of the demo's price list."""

from __future__ import annotations

import csv
import io
import re

import pypdfium2
import pytest
from tests.web.conftest import EXAMPLES, key
from tests.web.test_web_access import LEAST

PAPERS = ("crew", "materials", "decisions", "measurements", "boundary", "pins", "drawings")
FORMATS = ("plan-json", "posts-csv", "materials-csv", "svg", "dxf", "scene-json", "landxml", "pnezd-csv", "job-yaml")


def figures(place, demo) -> set[str]:
    """What would give prices away: the price of every line of the demo's list, what each line costs, and the total."""
    money = place.owner.get(f"/api/jobs/{demo}/money").json()
    shown = {money["total"]} | {line[part] for line in money["lines"] for part in ("price", "cost")}
    return {figure for figure in shown if figure and re.fullmatch(r"\d+\.\d\d", figure)}


def words_of(answer) -> str:
    if answer.headers.get("content-type") == "application/pdf":
        pdf = pypdfium2.PdfDocument(answer.content)
        return "\n".join(page.get_textpage().get_text_range() for page in pdf)
    return answer.text


def spelled(figure: str) -> re.Pattern[str]:
    whole, _, cents = figure.partition(".")
    grouped = f"{int(whole):,}".replace(",", ",?")
    return re.compile(rf"(?<![\d.]){grouped}\.{cents}(?!\d)")


def shown(text: str, wanted: set[str]) -> set[str]:
    """The figures of money that stand in a text."""
    return {figure for figure in wanted if spelled(figure).search(text)}


def addresses(demo: str) -> list[str]:
    known = {"job": demo, "other": demo, "device": "x", "photo": "x", "token": "x"}
    found = []
    for route in LEAST:
        method, path = route.split(" ")
        if method == "GET":
            names = {"{name}.pdf": [f"{name}.pdf" for name in PAPERS], "{form}": FORMATS, "{name}": ["prices.csv"]}
            part = next((part for part in names if part in path), "")
            for value in names.get(part, [""]):
                address = path.replace(part, value) if part else path
                for name, given in known.items():
                    address = address.replace(f"{{{name}}}", given)
                found.append(address)
    return found


def test_the_owner_sees_the_figures_that_are_searched_for(place, demo):
    wanted = figures(place, demo)
    assert len(wanted) > 20
    assert {row["price"].lstrip("$") for row in csv.DictReader(list_of_prices())} & wanted
    assert shown(place.owner.get(f"/api/jobs/{demo}/exports/plan-json").text, wanted) == wanted
    assert len(shown(words_of(place.owner.get(f"/api/jobs/{demo}/papers/materials.pdf")), wanted)) > len(wanted) // 2
    assert place.owner.get(f"/api/jobs/{demo}/files/prices.csv").content == (EXAMPLES / "prices.csv").read_bytes()


def list_of_prices() -> io.StringIO:
    lines = (EXAMPLES / "prices.csv").read_text(encoding="utf-8").splitlines()
    return io.StringIO("\n".join(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("role", ["crew", "estimator"])
def test_nobody_else_is_shown_a_price_anywhere(place, demo, role):
    wanted = figures(place, demo)
    # lengths in metres may have the digits of a price: what the unpriced plan holds of them is no price
    without = place.job(
        (EXAMPLES / "tansy-court.yaml").read_text(encoding="utf-8").replace("prices: prices.csv\n", "")
    )["id"]
    browser, seen = getattr(place, role), 0
    for address in addresses(demo):
        answer = browser.get(address)
        if answer.status_code == 200:
            seen += 1
        found = shown(words_of(answer), wanted)
        assert not found or found <= shown(words_of(place.owner.get(address.replace(demo, without))), wanted), address
    assert seen > (10 if role == "crew" else 30)


def test_an_error_in_the_price_list_shows_no_price(place):
    broken = "code,unit,price\npost.wood.4x4.8ft,each,987.654 dollhairs\nx,each,$12.34\n"
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"] + "prices: prices.csv\n"
    assert place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text, "key": key()}).status_code == 200
    assert place.owner.raw(f"/api/jobs/{job}/files/prices.csv", broken.encode()).status_code == 200
    assert "987.654" in place.owner.get(f"/api/jobs/{job}/money").text
    for role in ("crew", "estimator"):
        for address in addresses(job):
            answer = words_of(getattr(place, role).get(address))
            assert "987.654" not in answer, address
            assert "12.34" not in answer, address


def test_an_estimator_cannot_read_the_list_under_another_name_or_by_another_key(place, demo):
    data = (EXAMPLES / "prices.csv").read_bytes()
    job = place.job()["id"]
    assert place.owner.raw(f"/api/jobs/{job}/files/list-of-march.csv", data).status_code == 200
    answer = place.estimator.get(f"/api/jobs/{job}/files/list-of-march.csv")
    assert answer.status_code == 403
    assert answer.json()["problems"][0]["slug"] == "price-list-guarded"
    # the same file read as rules or as terrain: messages must not quote it
    text = place.estimator.get(f"/api/jobs/{job}/text").json()["text"]
    for line in ("rules: list-of-march.csv", "heights:\n  - {surface: list-of-march.csv}"):
        tried = (
            text.replace("heights:\n  - {falls: ask, from: B, to: C}    # looks level; nobody has shot it", "")
            + line
            + "\n"
        )
        answer = place.estimator.post(f"/api/jobs/{job}/check", {"text": tried})
        assert answer.status_code == 403
        assert answer.json()["problems"]
        assert not re.search(r"\d+\.\d\d\b", answer.text), line


@pytest.mark.parametrize(
    "change",
    [
        lambda data: b"# " + b"x" * 5000 + b"\n" + data,
        lambda data: data.replace(b",", b";"),
        lambda data: data.replace(b",", b"\t"),
        lambda data: data.replace(b"code,", b"\tcode ,"),
        lambda data: data.decode().encode("utf-16"),
        lambda data: data.replace(b"\n", b"\r"),
        lambda data: data.upper(),
    ],
)
def test_a_list_is_known_however_it_is_written(place, change):
    job = place.job()["id"]
    path = f"/api/jobs/{job}/files/march.csv"
    assert place.owner.raw(path, change((EXAMPLES / "prices.csv").read_bytes())).status_code == 200
    for answer in (place.estimator.get(path), place.estimator.raw(path, b"x"), place.estimator.ask("DELETE", path)):
        assert answer.status_code == 403
        assert answer.json()["problems"][0]["slug"] == "price-list-guarded"


@pytest.mark.parametrize("name", ["quote.pdf", "march.xlsx", "list.csv", "letter", "all.zip", "COSTS.TXT"])
def test_what_the_owner_put_there_is_the_owners_unless_it_is_drawn_or_measured(place, name):
    """A list of prices that is not named as one, with columns in other words: nobody but the owner reads it back."""
    job = place.job()["id"]
    path, data = f"/api/jobs/{job}/files/{name}", b"Artikel;Preis\nPfosten;12,50\n"
    assert place.owner.raw(path, data).status_code == 200
    answers = [
        place.estimator.get(path), place.estimator.get(f"{path}/outlines"), place.estimator.raw(path, b"x"),
        place.estimator.ask("DELETE", path),
        place.estimator.post(f"/api/jobs/{job}/import", {"file": name, "revision": 1, "key": key()}),
        place.crew.get(path),
    ]  # fmt: skip
    assert [answer.status_code for answer in answers] == [403] * 6
    assert place.owner.get(path).content == data
    copy = place.estimator.post(f"/api/jobs/{job}/copy", {"title": "copy", "key": key()}).json()["id"]
    assert place.estimator.get(f"/api/jobs/{copy}/files/{name}").status_code == 403


def test_what_the_owner_measured_and_what_an_estimator_put_there_is_for_both(place):
    job = place.job()["id"]
    for browser, name in ((place.owner, "lot.dxf"), (place.owner, "ground.tif"), (place.estimator, "points.csv")):
        path = f"/api/jobs/{job}/files/{name}"
        assert browser.raw(path, b"1,2,3\n").status_code == 200
        assert place.estimator.get(path).content == b"1,2,3\n"
        assert place.estimator.raw(path, b"1,2,4\n").status_code == 200
    assert place.owner.raw(f"/api/jobs/{job}/files/points.csv", b"4,5\n").status_code == 200  # it is the owner's now
    assert place.estimator.get(f"/api/jobs/{job}/files/points.csv").status_code == 403


def test_the_list_that_a_job_names_is_guarded_however_its_name_is_spelled(place):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"] + "prices: ./m\u00e4rz.csv\n"
    assert place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text, "key": key()}).status_code == 200
    assert place.owner.raw(f"/api/jobs/{job}/files/m%C3%A4rz.csv", b"no list yet").status_code == 200
    for name in ("m%C3%A4rz.csv", "ma%CC%88rz.csv"):
        for address in (name, f"{name}/outlines"):
            assert place.estimator.get(f"/api/jobs/{job}/files/{address}").status_code == 403


def test_an_estimator_cannot_have_the_list_read_as_ground(place):
    """A grid of heights that leads to another file: the bytes of the price list would stand on the plan as heights."""
    job = place.job()["id"]
    assert (
        place.owner.raw(f"/api/jobs/{job}/files/prices.csv", (EXAMPLES / "prices.csv").read_bytes()).status_code == 200
    )
    grid = b"""<VRTDataset rasterXSize="40" rasterYSize="10"><GeoTransform>0, 1, 0, 10, 0, -1</GeoTransform>
    <VRTRasterBand dataType="Byte" band="1" subClass="VRTRawRasterBand"><SourceFilename relativeToVRT="1">prices.csv
    </SourceFilename><ImageOffset>0</ImageOffset><PixelOffset>1</PixelOffset><LineOffset>40</LineOffset></VRTRasterBand>
    </VRTDataset>""".replace(b"\n    ", b"")
    assert place.estimator.raw(f"/api/jobs/{job}/files/dem.tif", grid).status_code == 200
    text = re.sub(r"(?ms)^heights:.*?(?=^\S)", "", place.owner.get(f"/api/jobs/{job}/text").json()["text"])
    answer = place.estimator.post(f"/api/jobs/{job}/check", {"text": text + "heights:\n  - {grid: dem.tif, unit: m}\n"})
    assert [problem["slug"] for problem in answer.json()["problems"]] == ["file-broken"]


def test_the_money_page_speaks_of_bags_in_the_language_of_whoever_reads_it(place, demo):
    lines = place.owner.get(f"/api/jobs/{demo}/money?lang=es").json()["lines"]
    assert {line["unit"] for line in lines if line["code"].startswith("concrete")} == {"sacos"}
    assert any(line["what"].startswith("Poste") and line["what"].endswith("x 10 pies") for line in lines)


def test_an_estimator_cannot_put_or_take_away_a_price_list(place, demo):
    assert place.estimator.raw(f"/api/jobs/{demo}/files/prices.csv", b"code,unit,price\n").status_code == 403
    assert place.estimator.ask("DELETE", f"/api/jobs/{demo}/files/prices.csv").status_code == 403
    assert place.owner.get(f"/api/jobs/{demo}/money").json()["total"] is not None


def test_a_paper_of_the_owner_is_not_handed_to_the_crew(place, demo):
    wanted = figures(place, demo)
    path = f"/api/jobs/{demo}/papers/materials.pdf?lang=es"
    assert shown(words_of(place.owner.get(path)), wanted)
    assert not shown(words_of(place.crew.get(path)), wanted)
    assert place.crew.get(f"/jobs/{demo}/money").status_code == 403


QUOTE = b"code,qty,width,price,what\npost,12,8,987.654,cedar\nrail,10,4,12.34,pine\ncap,3,3,5.55,fir\n"


def test_an_estimator_cannot_have_a_quote_read_as_ground(place):
    """What stands in the owner's letters would be said in messages, and prices would stand on the plan as heights."""
    job = place.job()["id"]
    assert place.owner.raw(f"/api/jobs/{job}/files/quote.csv", QUOTE).status_code == 200
    text = re.sub(r"(?ms)^heights:.*?(?=^\S)", "", place.owner.get(f"/api/jobs/{job}/text").json()["text"])
    read = 'heights:\n  - {"surf\\u0061ce": ./quote.csv, unit: ft, order: PNEZD}\n'
    edit = {"kind": "set", "path": "heights", "value": [{"surface": "quote.csv"}]}
    answers = [
        place.estimator.post(f"/api/jobs/{job}/check", {"text": text + read}),
        place.estimator.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text + read, "key": key()}),
        place.estimator.post(f"/api/jobs/{job}/edits", {"revision": 1, "edits": [edit], "key": key()}),
        place.estimator.post(f"/api/jobs/{job}/trial", {"revision": 1, "edits": [edit]}),
    ]
    assert [answer.status_code for answer in answers] == [403] * 4
    assert {answer.json()["problems"][0]["slug"] for answer in answers} == {"price-list-guarded"}
    assert not any(b"987" in answer.content for answer in answers)


def test_what_the_owner_had_read_stays_read_when_an_estimator_goes_on_with_the_job(place):
    job = place.job()["id"]
    points = b"P,N,E,Z,D\n1,0,0,100,a\n2,30,0,101,b\n3,0,40,102,c\n"
    assert place.owner.raw(f"/api/jobs/{job}/files/ground.csv", points).status_code == 200
    text = re.sub(r"(?ms)^heights:.*?(?=^\S)", "", place.owner.get(f"/api/jobs/{job}/text").json()["text"])
    text += "heights:\n  - {surface: ground.csv, unit: ft}\n"
    path = f"/api/jobs/{job}/text"
    assert place.owner.put(path, {"revision": 1, "text": text, "key": key()}).status_code == 200
    for revision, broken in ((2, text + "["), (3, text + "# again\n")):  # and mends what he mistyped
        answer = place.estimator.put(path, {"revision": revision, "text": broken, "key": key()})
        assert answer.status_code == 200, answer.text
