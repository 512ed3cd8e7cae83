"""The pages: headers, no script or style of their own inside, words in both languages from one source."""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path

import pytest
from tests.web.test_web_uploads import entry

import palewright.web
from palewright.web.words import words

HOME = Path(palewright.web.__file__).parent
PAGES = (
    "/",
    "/jobs/{job}",
    "/jobs/{job}/text",
    "/jobs/{job}/papers",
    "/jobs/{job}/money",
    "/yard/{job}",
    "/devices",
    "/pair",
)


@pytest.fixture(scope="module")
def job(place):
    return place.job(title="A page to look at")["id"]


@pytest.mark.parametrize("page", PAGES)
def test_every_page_obeys_its_own_policy(place, job, page):
    answer = place.owner.get(page.format(job=job))
    assert answer.status_code == 200
    policy = answer.headers["content-security-policy"]
    assert policy.startswith("default-src 'self'")
    assert "unsafe" not in policy
    for header, value in (
        ("x-content-type-options", "nosniff"),
        ("x-frame-options", "DENY"),
        ("referrer-policy", "no-referrer"),
        ("cache-control", "no-store"),
    ):
        assert answer.headers[header] == value
    for script in re.findall(r"<script[^>]*>", answer.text):
        assert 'src="/static/' in script or 'type="application/json"' in script
    assert not re.findall(r"<style|\sstyle=|\son\w+=|javascript:", answer.text)
    assert not re.findall(r"(?:src|href|action)=\"(?!/(?!/)|#|\?|data:)", answer.text)


@pytest.mark.parametrize("page", PAGES)
def test_every_page_has_its_words_in_the_language_asked_for(place, job, page):
    for language in ("en", "es"):
        answer = place.owner.get(page.format(job=job) + f"?lang={language}")
        assert f'<html lang="{language}">' in answer.text
        assert "built-in method" not in answer.text
        assert "{{" not in answer.text
    # the choice is kept, and the browser's own wish counts only without one
    assert '<html lang="es">' in place.owner.get(page.format(job=job), headers={"Accept-Language": "en"}).text
    place.owner.get(page.format(job=job) + "?lang=en")


def test_what_every_file_of_the_browser_asks_for_is_ours():
    for path in (HOME / "static").rglob("*"):
        if path.suffix in (".js", ".css", ".webmanifest"):
            text = path.read_text(encoding="utf-8")
            assert not re.findall(r"https?://(?!www\.w3\.org/)", text), path
            for name in re.findall(r'(?:from|import)\s+"([^"]+)"', text):
                assert (path.parent / name).resolve().is_file(), (path, name)
            assert "eval(" not in text
            assert "innerHTML" not in text


def test_a_static_file_has_its_kind_and_is_asked_for_anew(place):
    answer = place.nobody.get("/static/shared/api.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert answer.headers["cache-control"] == "no-cache"
    again = place.nobody.get("/static/shared/api.js", headers={"If-None-Match": answer.headers["etag"]})
    assert again.status_code == 304


def flat(table: dict, before: str = "") -> dict[str, str]:
    found = {}
    for name, value in table.items():
        found |= flat(value, f"{before}{name}.") if isinstance(value, dict) else {before + name: value}
    return found


def test_both_languages_have_the_same_words():
    english, spanish = (flat(words(language)) for language in ("en", "es"))
    assert list(english) == list(spanish)
    for name, text in english.items():
        assert text.strip(), name
        assert set(re.findall(r"{\w+}", text)) == set(re.findall(r"{\w+}", spanish[name])), name


def test_every_word_of_a_template_is_there():
    used = set()
    for path in (HOME / "templates").glob("*.html"):
        used |= set(re.findall(r"\bw\.(\w+\.\w+)", path.read_text(encoding="utf-8")))
    # what is asked for with a dot would find a table's own `copy` or `items` before the word of that name
    assert not [name for name in used if name.rpartition(".")[2] in dir(dict)]
    sections = {name.partition(".")[0] for name in flat(words("en"))}
    assert not {name for name in used if name.partition(".")[0] in sections} - set(flat(words("en")))


def test_the_sample_is_planned_without_a_problem(place, job):
    assert place.owner.get(f"/api/jobs/{job}/text").json()["problems"] == []
    papers = {paper["name"] for paper in place.owner.get(f"/api/jobs/{job}/papers").json()["papers"]}
    assert {"crew.pdf", "materials.pdf", "drawings.pdf"} <= papers


def test_the_as_built_sheet_is_among_the_papers_as_soon_as_something_was_entered(place):
    job = place.job()["id"]

    def listed(browser) -> list[str]:
        return [paper["name"] for paper in browser.get(f"/api/jobs/{job}/papers").json()["papers"]]

    assert "asbuilt.pdf" not in listed(place.owner)
    assert place.owner.get(f"/api/jobs/{job}/papers/asbuilt.pdf").status_code == 404
    assert place.crew.post(f"/api/jobs/{job}/yard/entries", {"entries": [entry(1)]}).status_code == 200
    for browser in (place.owner, place.estimator, place.crew):
        assert listed(browser)[-1] == "asbuilt.pdf"
    sheet = place.crew.get(f"/api/jobs/{job}/papers/asbuilt.pdf?lang=es")
    assert (sheet.status_code, sheet.content[:5]) == (200, b"%PDF-")


def test_a_job_that_cannot_be_planned_says_why_instead_of_papers_and_money(place):
    job = place.job(text="palewright: 1\njob: {title: Yard}\nruns:\n  - {name: back, through: [A, B]}\n")["id"]
    for path in ("papers", "money"):
        answer = place.owner.get(f"/api/jobs/{job}/{path}")
        assert answer.status_code == 200  # the page asks for it whenever it is opened
        assert answer.json()["problems"][0]["where"]["line"] == 4
        assert not answer.json().get("papers")
        assert not answer.json().get("lines")


def test_every_paper_has_a_title(place, job):
    import inspect

    from palewright.papers import write

    names = set(re.findall(r'made\["(\w+)\.pdf"\]', inspect.getsource(write)))
    assert len(names) > 5
    for language in ("en", "es"):
        assert names <= set(words(language)["paper"])


def test_every_template_is_part_of_what_is_installed():
    assert resources.files("palewright.web").joinpath("templates", "base.html").is_file()
    assert resources.files("palewright.web").joinpath("static", "shared", "page.css").is_file()


def test_two_jobs_side_by_side_are_two(place, job):
    other = place.job(title="The other one")["id"]
    page = place.owner.get(f"/jobs/{job}/beside/{other}").text
    assert "A page to look at" in page
    assert "The other one" in page
    assert place.owner.get(f"/jobs/{job}/beside/nothing").status_code == 404
