"""A phone of the crew gone rogue, or somebody on the same network: what they cannot do, and what they are not told."""

from __future__ import annotations

import errno
import re
import uuid

import pytest
from tests.web.conftest import key
from tests.web.test_web_uploads import PNG, entry, slug

from palewright.errors import ProblemError
from palewright.store.trouble import file_problem


@pytest.mark.parametrize("number", [errno.EIO, errno.ENOSPC, errno.EROFS, errno.ENOENT])
@pytest.mark.parametrize("role", ["crew", "estimator", "nobody", "owner"])
def test_where_the_data_lie_is_told_to_nobody(place, monkeypatch, role, number):
    folder = place.app.state.house.settings.data / "kept"

    def broken(*_args, **_kwargs):
        raise ProblemError(file_problem(OSError(number, f"secret {number}"), folder))

    for part, name in ((place.store.jobs, "all"), (place.store.people, "pair")):
        monkeypatch.setattr(part, name, broken)
    place.app.state.house.pairing._tries.clear()
    browser = getattr(place, role)
    answers = [browser.get("/api/jobs"), browser.get("/"), browser.post("/api/pair", {"code": "x", "name": "x"})]
    assert answers[2].status_code in (500, 503, 507)
    for answer in answers:
        assert str(folder) not in answer.text
        assert str(folder.parent) not in answer.text
        assert role == "owner" or "secret" not in answer.text


def test_a_database_that_fails_while_a_session_is_looked_up_tells_nothing_either(place, monkeypatch):
    def broken(*_args):
        raise ProblemError(file_problem(OSError(errno.EIO, "secret"), place.app.state.house.settings.data))

    monkeypatch.setattr(place.store.people, "device", broken)
    place.app.state.house.sessions.forget()
    for answer in (place.crew.get("/api/jobs"), place.crew.post("/api/leave"), place.crew.get("/")):
        assert answer.status_code == 503
        assert "data-disk-failed" in answer.text
        assert "secret" not in answer.text
        assert str(place.app.state.house.settings.data) not in answer.text


def test_a_caution_about_a_folder_tells_the_name_of_a_file_and_no_path(place):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"]
    (place.store.files.folder(job) / "job.yaml").write_text("by hand")
    saved = place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text + "# x\n", "key": key()})
    assert [caution["slug"] for caution in saved.json()["job"]["cautions"]] == ["job-folder-edited"]
    assert saved.json()["job"]["cautions"][0]["where"]["file"] == "job.yaml"
    assert str(place.app.state.house.settings.data) not in saved.text


def tick(about: str, **more):
    return entry(1, about=about, what="measured", value={"depth_m": 0.9}) | more


def test_a_phone_cannot_write_over_what_another_wrote_in_its_name(place):
    """It claims the other's device, a higher count, and to have seen everything: what it did not see stays said beside it."""
    job = place.job()["id"]
    path, honest, rogue = f"/api/jobs/{job}/yard/entries", place.browser("crew"), place.browser("crew")
    assert honest.post(path, {"entries": [tick("post 1", device="d1")]}).status_code == 200
    forged = tick("post 1", device="d1", who="first crew", seq=900, saw=0, value={"depth_m": 0.2}, by="the owner")
    assert rogue.post(path, {"entries": [forged]}).status_code == 200
    one, two = place.owner.get(path).json()["entries"]
    names = [place.store.people.device(each.client.cookies["palewright-8734"]) for each in (honest, rogue)]
    assert [one["by"], two["by"]] == [f"{device.name} · {device.id[:6]}" for device in names]
    assert one["by"] != two["by"]  # both are called "a crew"
    built = place.owner.get(f"/api/jobs/{job}/asbuilt").json()
    (state,) = [each for each in built["conflicts"] if each["field"] == "measured.depth_m"]
    assert {said["by"]: said["value"] for said in state["said"]} == {one["by"]: 0.9, two["by"]: 0.2}
    sheet = place.owner.get(f"/api/jobs/{job}/asbuilt/sheet").text
    assert one["by"] in sheet
    assert two["by"] in sheet


def test_a_phone_that_was_paired_anew_goes_on_with_its_count(place):
    job = place.job()["id"]
    path, first, again = f"/api/jobs/{job}/yard/entries", place.browser("crew"), place.browser("crew")
    saw = first.post(path, {"entries": [tick("post 1", device="d1")]}).json()["last"]
    later = tick("post 1", device="d1", seq=2, saw=saw, value={"depth_m": 0.95})
    assert again.post(path, {"entries": [later]}).status_code == 200
    built = place.owner.get(f"/api/jobs/{job}/asbuilt").json()
    assert built["conflicts"] == []
    assert built["missing"] == []


def test_an_entry_cannot_say_of_itself_when_it_came(place):
    job = place.job()["id"]
    path = f"/api/jobs/{job}/yard/entries"
    place.crew.post(path, {"entries": [tick("post 1", number=7, arrived="1999-01-01T00:00:00.000Z")]})
    (one,) = place.crew.get(path).json()["entries"]
    assert one["number"] == 1
    assert one["arrived"] > "2026"


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("svg", b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>'), ("html", b"<!doctype html><script>"),
        ("zip", b"PK\x03\x04" + b"\0" * 40), ("pdf", b"%PDF-1.7\n"), ("gif", b"GIF89a"), ("exe", b"MZ\x90\0"),
        ("avif", b"\0\0\0\x18ftypavif"), ("mp4", b"\0\0\0\x18ftypisom"), ("riff", b"RIFF\0\0\0\0WAVE"), ("xml", b"\xef\xbb\xbf<?xml"),
        ("late", b"\n\xff\xd8\xff\xe0"), ("nothing", b""),
    ],
)  # fmt: skip
def test_what_is_no_photo_is_none_however_it_is_called(place, name, data):
    job = place.job()["id"]
    answer = place.crew.raw(f"/api/jobs/{job}/yard/photos/{uuid.uuid4()}", data, headers={"Content-Type": "image/jpeg"})
    assert (answer.status_code, slug(answer)) == (422, "photo-kind-unknown"), name


def test_a_photo_with_a_page_inside_is_a_photo_to_every_browser(place):
    job = place.job()["id"]
    path = f"/api/jobs/{job}/yard/photos/{uuid.uuid4()}"
    both = b"\xff\xd8\xff\xe0<!doctype html><script src=//evil.example></script>"
    assert place.crew.raw(path, both, headers={"Content-Type": "text/html"}).status_code == 200
    answer = place.owner.get(path, headers={"Accept": "text/html"})
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'self'" in answer.headers["content-security-policy"]
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "ranges",
    ["bytes=0-3", "bytes=0-0,1-1", "bytes=" + ",".join(f"{k}-{k}" for k in range(500)), "bytes=9-1", "bytes=x"],
)
def test_a_part_of_a_photo_is_no_way_to_have_more_of_it(place, ranges):
    job = place.job()["id"]
    path = f"/api/jobs/{job}/yard/photos/{uuid.uuid4()}"
    place.crew.raw(path, PNG)
    answer = place.crew.get(path, headers={"Range": ranges})
    assert answer.status_code in (200, 206, 400, 416)
    assert len(answer.content) <= 60_000
    assert answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize(
    "name", ["ma\u0308rz.csv", "\u7a0e.csv", "\u202egpj.csv", "a\u200bb.csv", "\ufeffa.csv", "\u2025/x.csv", "\uff0e\uff0e\uff0fx.csv", "e\u0301" * 40 + ".csv"]
)  # fmt: skip
def test_names_in_any_script_come_back_or_are_refused(place, name):
    from urllib.parse import quote

    job = place.job()["id"]
    path = f"/api/jobs/{job}/files/{quote(name, safe='')}"
    answer = place.estimator.raw(path, b"x")
    assert answer.status_code in (200, 404, 415, 422)
    if answer.status_code == 200:
        back = place.estimator.get(path)
        assert back.content == b"x"
        assert re.fullmatch(r'attachment; filename="[A-Za-z0-9._-]+"', back.headers["content-disposition"])
    data = place.app.state.house.settings.data
    assert all(one.resolve().is_relative_to(data.resolve()) for one in data.rglob("*"))
