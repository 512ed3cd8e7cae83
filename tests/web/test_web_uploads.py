"""What is sent up: sizes counted while they stream, names that lead nowhere, photos, entries of the yard."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from tests.web.conftest import key, run

PNG = bytes.fromhex("89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c489") + b"\0" * 40


def slug(answer) -> str:
    return answer.json()["problems"][0]["slug"]


@pytest.mark.parametrize(
    "name",
    [
        "%2e%2e%2fx",
        "..%2f..%2fx.csv",
        "a%2fb.csv",
        "a%5cb.csv",
        ".hidden",
        "x%00.csv",
        "%2fetc%2fpasswd",
        "job.yaml",
        "con.csv%0a",
        "x" * 300,
    ],
)
def test_a_name_that_is_no_plain_file_name_is_refused(place, name, tmp_path):
    job = place.job()["id"]
    answer = place.owner.raw(f"/api/jobs/{job}/files/{name}", b"x")
    assert answer.status_code in (404, 405, 415, 422)
    assert place.owner.get(f"/api/jobs/{job}/files/{name}").status_code in (404, 422)
    assert place.owner.get(f"/api/jobs/{job}/files").json() == []
    data = place.app.state.house.settings.data
    assert not list(data.rglob("x*"))
    assert not [one for one in (data.parent / "x", data.parent / "x.csv", data.parent.parent / "x.csv") if one.exists()]


def test_a_file_comes_back_as_it_went_and_is_replaced(place):
    job = place.job()["id"]
    for data in (b"\x00\xff" * 1000, b"second"):
        assert place.estimator.raw(f"/api/jobs/{job}/files/terrain.xyz", data).json()["bytes"] == len(data)
        answer = place.estimator.get(f"/api/jobs/{job}/files/terrain.xyz")
        assert answer.content == data
        assert answer.headers["content-disposition"] == 'attachment; filename="terrain.xyz"'
        assert answer.headers["x-content-type-options"] == "nosniff"
    assert place.estimator.ask("DELETE", f"/api/jobs/{job}/files/terrain.xyz").status_code == 200
    assert place.estimator.get(f"/api/jobs/{job}/files/terrain.xyz").status_code == 404


def stream(
    app: Any, path: str, headers: dict[str, str], pieces: int, size: int, method: str = "PUT",
    body: Callable[[int], bytes] | None = None,
) -> tuple[int, int]:  # fmt: skip
    """Send a body of unknown length piece by piece: the status that came back, and how many pieces were taken."""
    taken, status = 0, 0
    piece = b"\xff" * size

    async def receive() -> dict[str, Any]:
        nonlocal taken
        if taken >= pieces:
            return {"type": "http.disconnect"}
        taken += 1
        sent = body(taken) if body is not None else piece
        return {"type": "http.request", "body": sent, "more_body": taken < pieces}

    async def send(message: dict[str, Any]) -> None:
        nonlocal status
        if message["type"] == "http.response.start":
            status = message["status"]

    raw = [(name.lower().encode(), value.encode()) for name, value in headers.items()]
    scope = {
        "type": "http", "method": method, "path": path, "raw_path": path.encode(), "query_string": b"", "headers": raw,
        "http_version": "1.1", "scheme": "http", "server": ("127.0.0.1", 8734), "client": ("127.0.0.1", 1),
        "root_path": "", "asgi": {"version": "3.0"},
    }  # fmt: skip
    run(app(scope, receive, send))
    return status, taken


def own_headers(browser, **more: str) -> dict[str, str]:
    session = browser.client.cookies["palewright-8734"]
    return {"Host": "127.0.0.1:8734", "Cookie": f"palewright-8734={session}", "X-Page-Token": browser.token} | more


def test_a_photo_of_300_mb_is_stopped_on_its_way(place):
    job = place.job()["id"]
    path = f"/api/jobs/{job}/yard/photos/{uuid.uuid4()}"
    status, taken = stream(place.app, path, own_headers(place.crew), 300, 1 << 20)
    assert status == 413
    assert taken <= 27


@pytest.mark.parametrize("what", ["photos/{id}", "entries"])
def test_what_comes_in_when_the_session_has_ended_is_not_kept(place, what):
    """Whoever holds a request open and sends its body letter by letter changes nothing after the owner ended it."""
    job, phone, name = place.job()["id"], place.browser("crew"), str(uuid.uuid4())
    whole = PNG if what != "entries" else json.dumps({"entries": [entry(1)]}).encode()

    def body(number: int) -> bytes:
        if number == 2:
            device = place.store.people.device(phone.client.cookies["palewright-8734"])
            assert place.owner.ask("DELETE", f"/api/devices/{device.id}").status_code == 200
        return whole[:20] if number == 1 else whole[20:]

    path = f"/api/jobs/{job}/yard/{what.format(id=name)}"
    headers = own_headers(phone, **{"Content-Type": "application/json"})
    assert stream(place.app, path, headers, 2, 0, "POST" if what == "entries" else "PUT", body) == (401, 2)
    assert place.store.photos.all(job) == ()
    assert place.store.yard.entries(job) == ()


def test_what_announces_too_much_is_not_read_at_all(place):
    path = f"/api/jobs/{'0' * 16}/yard/photos/x"
    status, taken = stream(place.app, path, own_headers(place.crew, **{"Content-Length": str(300 << 20)}), 300, 1 << 20)
    assert (status, taken) == (413, 0)


def test_a_stranger_sends_nothing_to_disk(place):
    path = f"/api/jobs/{'0' * 16}/yard/photos/x"
    status, taken = stream(place.app, path, {"Host": "127.0.0.1:8734"}, 30, 1 << 20)
    assert (status, taken) == (401, 0)


@pytest.mark.parametrize("path", ["/api/jobs", "/api/pair", "/api/jobs/x/text"])
def test_json_has_a_limit_too(place, path):
    headers = own_headers(place.owner, **{"Content-Type": "application/json"})
    status, taken = stream(place.app, path, headers, 100, 1 << 20)
    assert taken <= 6
    assert status in (413, 405)


def test_a_photo_goes_up_once_and_comes_back(place):
    job, photo = place.job()["id"], str(uuid.uuid4())
    path = f"/api/jobs/{job}/yard/photos/{photo}"
    for _ in range(2):
        assert place.crew.raw(path, PNG).json() == {"id": photo, "kind": "image/png", "bytes": len(PNG)}
    answer = place.crew.get(path)
    assert (answer.content, answer.headers["content-type"]) == (PNG, "image/png")
    other = place.crew.raw(path, PNG + b"other")
    assert (other.status_code, slug(other)) == (409, "photo-id-used")
    page = place.crew.raw(f"/api/jobs/{job}/yard/photos/{uuid.uuid4()}", b"<html><script>")
    assert (page.status_code, slug(page)) == (422, "photo-kind-unknown")


def entry(seq: int, **more: Any) -> dict[str, Any]:
    return {
        "id": str(uuid.uuid4()), "device": "phone-1", "who": "first crew", "seq": seq, "saw": 0,
        "made": "2026-05-04T08:12:00-05:00", "about": f"post {seq}", "what": "done", "value": {"done": True},
    } | more  # fmt: skip


def test_entries_sent_again_are_not_doubled(place):
    job = place.job()["id"]
    path = f"/api/jobs/{job}/yard/entries"
    entries = [entry(seq) for seq in (1, 2, 3)]
    first = place.crew.post(path, {"entries": entries[:2]}).json()
    again = place.crew.post(path, {"entries": entries, "after": first["last"]}).json()
    assert first["numbers"] == [1, 2]
    assert again["numbers"] == [1, 2, 3]
    assert [each["id"] for each in again["entries"]] == [entries[2]["id"]]
    kept = place.crew.get(path).json()
    assert [each["id"] for each in kept["entries"]] == [each["id"] for each in entries]
    assert kept["last"] == place.crew.get(f"/api/jobs/{job}").json()["entries"] == 3
    built = place.crew.get(f"/api/jobs/{job}/asbuilt").json()
    assert len(built["posts"]) > 20


def test_one_entry_that_cannot_be_used_keeps_all_out(place):
    job = place.job()["id"]
    answer = place.crew.post(f"/api/jobs/{job}/yard/entries", {"entries": [entry(1), entry(2, what="guessed")]})
    assert answer.status_code == 422
    assert place.crew.get(f"/api/jobs/{job}/yard/entries").json() == {"last": 0, "entries": []}


@pytest.mark.parametrize("value", ['{"done": NaN}', '{"done": 1e999}', '{"reads_m": -Infinity}', "[]", "1" * 400])
def test_no_number_gets_in_that_is_none(place, value):
    job = place.job()["id"]
    text = '{"entries": [{"id": "x", "value": ' + value + "}]}"
    answer = place.crew.ask(
        "POST", f"/api/jobs/{job}/yard/entries", content=text, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code in (400, 422)


def test_a_key_of_another_shape_is_refused(place):
    for wrong in ("short", "x" * 65, "with space", "ünicode-key", 7, None):
        assert place.owner.post("/api/jobs", {"title": "x", "from": "empty", "key": wrong}).status_code == 422
    assert place.owner.post("/api/jobs", {"title": "x", "from": "empty", "key": key(), "more": 1}).status_code == 422


def test_the_as_built_sheet_is_set_once_while_nothing_comes_in(place, monkeypatch):
    from palewright import papers

    job, made, plain = place.job()["id"], [], papers.asbuilt_pdf
    monkeypatch.setattr(papers, "asbuilt_pdf", lambda *given: made.append(1) or plain(*given))
    for _ in range(3):
        assert place.crew.get(f"/api/jobs/{job}/asbuilt.pdf").status_code == 200
    assert len(made) == 1
    place.crew.post(f"/api/jobs/{job}/yard/entries", {"entries": [entry(1)]})
    photo = f"/api/jobs/{job}/yard/photos/{uuid.uuid4()}"
    for step, change in ((2, lambda: None), (3, lambda: place.crew.raw(photo, PNG))):
        change()
        assert place.crew.get(f"/api/jobs/{job}/asbuilt.pdf").status_code == 200
        assert len(made) == step


def test_a_photo_that_is_cut_off_does_not_cost_the_as_built_sheet(place):
    job, photo = place.job()["id"], str(uuid.uuid4())
    assert place.crew.raw(f"/api/jobs/{job}/yard/photos/{photo}", PNG[: len(PNG) // 2]).status_code == 200
    said = entry(1, about="post 1", what="photo", value={"photo": photo, "shows": "rock"})
    assert place.crew.post(f"/api/jobs/{job}/yard/entries", {"entries": [said]}).status_code == 200
    answer = place.crew.get(f"/api/jobs/{job}/asbuilt.pdf")
    assert (answer.status_code, answer.content[:5]) == (200, b"%PDF-")
