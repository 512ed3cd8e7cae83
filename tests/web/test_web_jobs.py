"""Jobs through the interface: what was saved is asked for again; nothing is doubled; nothing of another page is lost."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from tests.web.conftest import EXAMPLES, key

from palewright import jobfile
from palewright.web import api_jobs

SCRIPT = "<script>alert(\"1\")</script> & 'x'"


def slug(answer) -> str:
    return answer.json()["problems"][0]["slug"]


def test_begun_from_nothing_from_the_sample_and_from_a_file(place):
    for source in ("empty", "sample"):
        job = place.estimator.post("/api/jobs", {"title": "Rue Way: 12, rear", "from": source, "key": key()}).json()
        text = place.estimator.get(f"/api/jobs/{job['id']}/text").json()
        assert jobfile.read_text(text["text"]).title == "Rue Way: 12, rear"
        assert job["title"] == "Rue Way: 12, rear"
        assert text["problems"] == []
    given = (EXAMPLES / "house-and-tape.yaml").read_text(encoding="utf-8")
    job = place.job(given, "as uploaded")
    assert job["title"] == "A yard with a house and a tape"
    assert place.owner.get(f"/api/jobs/{job['id']}/exports/job-yaml").content == given.encode()


def test_the_sample_keeps_its_comments_under_its_new_title(place):
    job = place.job(title="mine")
    text = place.owner.get(f"/api/jobs/{job['id']}/text").json()["text"]
    assert "# No north and no coordinates" in text
    assert "title: mine" in text


def test_a_text_goes_with_from_text_alone(place):
    for body in ({"from": "text"}, {"from": "empty", "text": "palewright: 1"}):
        answer = place.owner.post("/api/jobs", {"title": "x", "key": key(), **body})
        assert answer.status_code == 422
        assert slug(answer) == "request-value-unusable"


def test_a_text_is_saved_undone_and_redone(place):
    job = place.job()["id"]
    first = place.owner.get(f"/api/jobs/{job}/text").json()
    changed = first["text"].replace("longest bay: 8 ft", "longest bay: 7 ft")
    saved = place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": changed, "key": key()}).json()
    assert (saved["job"]["revision"], saved["job"]["can_undo"], saved["problems"]) == (2, True, [])
    assert place.owner.post(f"/api/jobs/{job}/undo", {"revision": 2, "key": key()}).status_code == 200
    assert place.owner.get(f"/api/jobs/{job}/text").json()["text"] == first["text"]
    assert place.owner.post(f"/api/jobs/{job}/redo", {"revision": 3, "key": key()}).status_code == 200
    assert place.owner.get(f"/api/jobs/{job}/text").json() == {"revision": 4, "text": changed, "problems": []}
    answer = place.owner.post(f"/api/jobs/{job}/redo", {"revision": 4, "key": key()})
    assert (answer.status_code, slug(answer)) == (409, "nothing-to-redo")


def test_a_stale_page_is_told_and_nothing_is_lost(place):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"]
    assert (
        place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text + "# a\n", "key": key()}).status_code
        == 200
    )
    answer = place.estimator.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text + "# b\n", "key": key()})
    assert (answer.status_code, slug(answer), answer.json()["revision"]) == (409, "job-changed-elsewhere", 2)
    for path, body in (
        ("trial", {"edits": [{"kind": "set", "path": "job.title", "value": "y"}]}),
        ("snap", {"at": [0.0, 0.0], "near_m": 1.0}),
    ):
        answer = place.estimator.post(f"/api/jobs/{job}/{path}", {"revision": 1, **body})
        assert (answer.status_code, slug(answer), answer.json()["revision"]) == (409, "job-changed-elsewhere", 2)
    assert place.owner.get(f"/api/jobs/{job}/text").json()["text"] == text + "# a\n"


def test_the_same_key_twice_does_it_once(place):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"]
    body = {"revision": 1, "text": text + "# once\n", "key": key()}
    first, second = (place.owner.put(f"/api/jobs/{job}/text", body) for _ in range(2))
    assert first.json() == second.json()
    assert place.owner.get(f"/api/jobs/{job}").json()["revision"] == 2
    other = place.owner.put(f"/api/jobs/{job}/text", {**body, "text": text + "# twice\n"})
    assert (other.status_code, slug(other)) == (409, "key-used-otherwise")


def test_a_double_click_on_everything_begins_one_job(place):
    body = {"title": "double", "from": "empty", "key": key()}
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: place.owner.post("/api/jobs", body), range(8)))
    assert {answer.status_code for answer in answers} == {201}
    assert len({answer.json()["id"] for answer in answers}) == 1
    assert sum(job["title"] == "double" for job in place.owner.get("/api/jobs").json()) == 1


def test_twenty_savers_at_once_lose_nothing(place):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"]

    def save(k: int) -> int:
        body = {"revision": 1, "text": f"{text}# {k}\n", "key": key()}
        return place.owner.put(f"/api/jobs/{job}/text", body).status_code

    with ThreadPoolExecutor(20) as pool:
        codes = sorted(pool.map(save, range(20)))
    assert codes == [200] + [409] * 19
    assert place.owner.get(f"/api/jobs/{job}").json()["revision"] == 2


def test_a_text_with_problems_is_saved_and_each_problem_has_its_line(place):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"].replace("board: 6 ft", "board: 6 fut")
    saved = place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text, "key": key()}).json()
    (problem,) = saved["problems"]
    line = text.splitlines()[problem["where"]["line"] - 1]
    assert line[problem["where"]["column"] - 1 :][: problem["where"]["width"]] in ("6 fut", "fut")
    assert problem["where"]["file"] == "job.yaml"
    for path, status in (
        ("papers", 200),
        ("money", 200),
        ("exports/dxf", 422),
        ("papers/crew.pdf", 422),
        ("yard", 422),
    ):
        answer = place.owner.get(f"/api/jobs/{job}/{path}")
        assert (answer.status_code, slug(answer)) == (status, problem["slug"])
    assert place.owner.get(f"/jobs/{job}/text").status_code == 200


def test_a_check_saves_nothing(place):
    job = place.job()["id"]
    assert place.owner.post(f"/api/jobs/{job}/check", {"text": "palewright: 1\nruns: nonsense\n"}).json()["problems"]
    assert place.owner.get(f"/api/jobs/{job}").json()["revision"] == 1


@pytest.mark.parametrize("name", ["/etc/passwd", "../prices.csv", "a/../../x.csv", "\\x00", "/proc/self/environ"])
@pytest.mark.parametrize("by", ["prices", "rules"])
def test_a_job_opens_no_file_from_outside(place, name, by):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"] + f'{by}: "{name}"\n'
    answer = place.owner.post(f"/api/jobs/{job}/check", {"text": text})
    assert {p["slug"] for p in answer.json()["problems"]} <= {"file-outside-folder", "control-character", "yaml-broken"}
    assert answer.json()["problems"]
    assert "root:" not in answer.text
    assert place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text, "key": key()}).status_code in (
        200,
        422,
    )
    for path in ("money", "sight", "papers"):
        assert "root:" not in place.owner.get(f"/api/jobs/{job}/{path}").text


def test_versions_with_names_and_a_copy(place):
    job = place.job(title="first")["id"]
    assert place.owner.post(f"/api/jobs/{job}/marks", {"name": "as quoted", "revision": 1}).status_code == 201
    assert place.owner.get(f"/api/jobs/{job}/marks").json()[0] | {"at": "", "by": ""} == {
        "name": "as quoted", "revision": 1, "by": "", "at": "",
    }  # fmt: skip
    assert place.owner.get(f"/api/jobs/{job}/sight?against=as%20quoted").status_code == 200
    missing = place.owner.get(f"/api/jobs/{job}/sight?against=nothing")
    assert (missing.status_code, slug(missing)) == (404, "mark-unknown")
    body = {"title": "alternate", "key": key()}
    copies = [place.owner.post(f"/api/jobs/{job}/copy", body).json() for _ in range(2)]
    assert copies[0]["id"] == copies[1]["id"] != job
    texts = [place.owner.get(f"/api/jobs/{name}/text").json()["text"] for name in (job, copies[0]["id"])]
    assert texts[0].replace("title: first", "title: alternate") == texts[1]


def test_a_job_taken_off_the_list_is_gone_for_all(place):
    job = place.job()["id"]
    assert place.owner.ask("DELETE", f"/api/jobs/{job}?revision=1").json()["gone"] is True
    assert job not in {each["id"] for each in place.owner.get("/api/jobs").json()}
    for path in (*(f"/api/jobs/{job}/{part}" for part in ("text", "papers", "files", "files/x.csv")), f"/jobs/{job}"):
        assert place.owner.get(path).status_code == 410
    copied = place.estimator.post(f"/api/jobs/{job}/copy", {"title": "what was taken off", "key": key()})
    assert copied.status_code == 410


def test_a_script_in_a_title_comes_back_as_text(place):
    job = place.job(title=SCRIPT)["id"]
    for path in ("/", f"/jobs/{job}", f"/jobs/{job}/text", f"/jobs/{job}/papers", f"/jobs/{job}/money", f"/yard/{job}"):
        answer = place.owner.get(path)
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
        assert "&lt;script&gt;alert(&#34;1&#34;)&lt;/script&gt; &amp; &#39;x&#39;" in answer.text
    drawing = place.owner.get(f"/api/jobs/{job}/exports/svg").text
    assert "<script" not in drawing


def test_a_deed_of_five_thousand_calls(place):
    calls = "".join(f"    - N {k % 90}°{k % 60}'00\" E {10 + k % 7}.25 ft\n" for k in range(5000))
    text = f"palewright: 1\njob: {{title: long deed}}\nboundary:\n  start: A\n  calls:\n{calls}points:\n  A: {{at: [0 ft, 0 ft]}}\n"
    answer = place.owner.post("/api/jobs", {"title": "long", "from": "text", "text": text, "key": key()})
    assert answer.status_code == 201
    job = answer.json()["id"]
    checked = place.owner.get(f"/api/jobs/{job}/text")
    assert checked.status_code == 200
    assert checked.json()["text"] == text
    assert place.owner.get(f"/jobs/{job}/text").status_code == 200
    assert place.owner.get("/api/about").status_code == 200


def test_a_job_file_over_its_limit_is_refused_in_words(place):
    job = place.job()["id"]
    text = "palewright: 1\n" + "# x\n" * 300_000
    answer = place.owner.post(f"/api/jobs/{job}/check", {"text": text})
    assert (answer.status_code, slug(answer)) == (200, "file-too-large")
    answer = place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": "x" * 3_000_000, "key": key()})
    assert answer.status_code == 422


def test_the_title_of_a_broken_text_stays_as_it_was():
    assert api_jobs.title_of("job: [", "kept") == "kept"
    assert api_jobs.title_of("palewright: 1\njob: {title: ask}\n", "kept") == "ask"
