"""How much the door takes: nothing of what has no room, little from strangers, and nothing whole in memory."""

from __future__ import annotations

import asyncio
import tracemalloc
import uuid
from collections import namedtuple
from collections.abc import Iterator

import pytest
from tests.web.conftest import Browser, Place, _client, _let_in, key, run
from tests.web.test_web_uploads import PNG, entry, own_headers, slug, stream

from palewright.store import Limits, room
from palewright.web import Settings, create_app

SMALL = Limits(photos=3, job_bytes=1_000_000, all_bytes=1_500_000)
STRANGER = {"Host": "127.0.0.1:8734"}


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    app = create_app(Settings(tmp_path_factory.mktemp("data"), limits=SMALL))
    owner, estimator, crew = (_let_in(app, role) for role in ("owner", "estimator", "crew"))
    yield Place(app, owner, estimator, crew, Browser(_client(app)))
    app.state.house.close()


def photo_path(job: str) -> str:
    return f"/api/jobs/{job}/yard/photos/{uuid.uuid4()}"


def test_a_crew_phone_cannot_fill_the_disk_with_photos(small):
    job = small.job()["id"]
    for _ in range(3):
        assert small.crew.raw(photo_path(job), PNG).status_code == 200
    answer = small.crew.raw(photo_path(job), PNG)
    assert (answer.status_code, slug(answer)) == (507, "photos-too-many")
    # and nothing of it is read
    assert stream(small.app, photo_path(job), own_headers(small.crew), 20, 1 << 20) == (507, 0)
    assert small.crew.post(f"/api/jobs/{job}/yard/entries", {"entries": [entry(1)]}).status_code == 200


@pytest.mark.parametrize("role", ["crew", "estimator"])
def test_what_announces_more_than_there_is_room_for_is_not_read(small, role):
    job = small.job()["id"]
    path = photo_path(job) if role == "crew" else f"/api/jobs/{job}/files/ground.xyz"
    headers = own_headers(getattr(small, role), **{"Content-Length": "1000001"})
    assert stream(small.app, path, headers, 20, 1 << 20) == (507, 0)
    status, _ = stream(small.app, path, own_headers(getattr(small, role)), 20, 1 << 20)  # it does not say how much
    assert status in (422, 507)
    house = small.app.state.house
    assert not [
        one for one in (house.settings.data / "kept").rglob("*") if one.is_file() and one.stat().st_size > 10**6
    ]


def test_an_estimator_cannot_fill_the_disk_by_putting_a_file_again_and_again(small):
    job = small.job()["id"]
    data = small.app.state.house.settings.data
    for number in range(12):
        answer = small.estimator.raw(f"/api/jobs/{job}/files/ground.xyz", bytes([number]) * 300_000)
        assert answer.status_code == 200
    assert sum(one.stat().st_size for one in (data / "kept").rglob("*") if one.is_file()) < 1_100_000
    assert slug(small.estimator.raw(f"/api/jobs/{job}/files/more.xyz", b"x" * 800_000)) == "job-room-full"
    other = small.job()["id"]
    assert small.estimator.raw(f"/api/jobs/{other}/files/a.xyz", b"y" * 300_000).status_code == 200
    copies = [
        small.estimator.post(f"/api/jobs/{other}/copy", {"title": "copy", "key": key()}).status_code for _ in range(5)
    ]
    assert copies[-1] == 507


def test_with_a_disk_that_is_nearly_full_only_entries_come_in(place, monkeypatch):
    job = place.job()["id"]
    text = place.owner.get(f"/api/jobs/{job}/text").json()["text"]
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(room.shutil, "disk_usage", lambda _: usage(10**12, 10**12, 10**6))
    for browser, path in ((place.crew, photo_path(job)), (place.estimator, f"/api/jobs/{job}/files/a.xyz")):
        assert stream(place.app, path, own_headers(browser), 20, 1 << 20) == (507, 0)
    saved = place.owner.put(f"/api/jobs/{job}/text", {"revision": 1, "text": text + "# x\n", "key": key()})
    assert (saved.status_code, slug(saved)) == (507, "data-disk-low")
    assert place.crew.post(f"/api/jobs/{job}/yard/entries", {"entries": [entry(1)]}).status_code == 200


@pytest.mark.parametrize(
    "path", ["/api/jobs", "/api/leave", "/api/jobs/x/yard/entries", "/api/jobs/x/edits", "/api/pairing", "/nothing"]
)
@pytest.mark.parametrize("cookie", ["", "palewright-8734=forged"])
def test_of_a_stranger_only_a_form_is_read(place, path, cookie):
    headers = STRANGER | {"Content-Type": "application/json", "Cookie": cookie}
    assert stream(place.app, path, headers | {"Content-Length": "4000000"}, 100, 1 << 16, "POST") == (401, 0)
    status, taken = stream(place.app, path, headers, 100, 1 << 10, "POST")
    assert taken <= 5
    assert status in (401, 404)


def test_a_code_is_read_from_a_stranger_and_no_more(place):
    place.app.state.house.pairing._tries.clear()
    headers = STRANGER | {"Content-Type": "application/json"}
    assert stream(place.app, "/api/pair", headers | {"Content-Length": "5000"}, 9, 1 << 10, "POST") == (413, 0)
    status, taken = stream(place.app, "/api/pair", headers, 100, 1 << 10, "POST")
    assert (status, taken) == (413, 5)
    code = place.owner.post("/api/pairing", {"role": "crew"}).json()["code"]
    assert place.browser("nobody").post("/api/pair", {"code": code, "name": "n" * 60}).status_code == 201


def test_a_phone_whose_session_ended_is_told_that_and_not_that_it_sent_too_much(place):
    """What is refused for what it is, a phone lays aside; what came too late in the day it keeps and sends again."""
    phone = place.browser("crew")
    job = place.job()["id"]
    phone.post("/api/leave")
    sent = {"entries": [entry(k) for k in range(200)]}
    answer = phone.post(f"/api/jobs/{job}/yard/entries", sent)
    assert (answer.status_code, slug(answer)) == (401, "not-signed-in")
    assert phone.raw(photo_path(job), PNG * 100).status_code == 401


def test_files_and_photos_are_sent_piece_by_piece(place):
    job = place.job()["id"]
    data = PNG + b"\x00" * 20_000_000
    photo, file = photo_path(job), f"/api/jobs/{job}/files/ground.tif"
    assert place.crew.raw(photo, data).status_code == 200
    assert place.estimator.raw(file, data).status_code == 200
    for browser, path in ((place.crew, photo), (place.estimator, file)):
        tracemalloc.start()
        status, size = received(place.app, path, own_headers(browser))
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert (status, size) == (200, len(data))
        assert most < 13_000_000  # of a file up to 4 MB are looked through for columns of prices


def test_files_come_in_piece_by_piece(place):
    job = place.job()["id"]
    tracemalloc.start()
    status, taken = stream(place.app, f"/api/jobs/{job}/files/ground.tif", own_headers(place.owner), 40, 1 << 20)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert (status, taken) == (200, 40)
    assert most < 10_000_000


def received(app, path: str, headers: dict[str, str]) -> tuple[int, int]:
    """Ask, and count what comes without keeping it."""
    status = size = asked = 0

    async def receive():
        nonlocal asked
        asked += 1
        if asked > 1:
            await asyncio.Event().wait()  # it stays and listens
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message):
        nonlocal status, size
        status = message.get("status", status)
        size += len(message.get("body", b""))

    raw = [(name.lower().encode(), value.encode()) for name, value in headers.items()]
    scope = {
        "type": "http", "method": "GET", "path": path, "raw_path": path.encode(), "query_string": b"", "headers": raw,
        "http_version": "1.1", "scheme": "http", "server": ("127.0.0.1", 8734), "client": ("127.0.0.1", 1),
        "root_path": "", "asgi": {"version": "3.0"},
    }  # fmt: skip
    run(app(scope, receive, send))
    return status, size
