"""Who may do what: every route for every role, with and without the page's token, by every name and from every origin."""

from __future__ import annotations

import re
from types import SimpleNamespace

import pytest
from fastapi.routing import APIRoute
from tests.web.conftest import Browser, _client

from palewright.errors import ProblemError
from palewright.web.guard import Guard
from palewright.web.security import Rate, Sessions

ROLES = ("nobody", "crew", "estimator", "owner")
LEAST = {
    "GET /": "crew",
    "GET /jobs/{job}": "estimator",
    "GET /jobs/{job}/beside/{other}": "estimator",
    "GET /jobs/{job}/text": "estimator",
    "GET /jobs/{job}/papers": "crew",
    "GET /jobs/{job}/money": "owner",
    "GET /yard/": "crew",
    "GET /yard/{job}": "crew",
    "GET /yard/sw.js": "nobody",
    "GET /yard/manifest.webmanifest": "nobody",
    "GET /devices": "owner",
    "GET /pair": "nobody",
    "GET /pair/authority.crt": "nobody",
    "GET /open/{token}": "nobody",
    "GET /api/about": "crew",
    "GET /api/openapi.json": "crew",
    "GET /api/jobs": "crew",
    "POST /api/jobs": "estimator",
    "GET /api/jobs/{job}": "crew",
    "DELETE /api/jobs/{job}": "owner",
    "POST /api/jobs/{job}/back": "owner",
    "GET /api/jobs/{job}/text": "estimator",
    "PUT /api/jobs/{job}/text": "estimator",
    "POST /api/jobs/{job}/check": "estimator",
    "GET /api/jobs/{job}/marks": "estimator",
    "POST /api/jobs/{job}/marks": "estimator",
    "POST /api/jobs/{job}/copy": "estimator",
    "GET /api/jobs/{job}/sight": "crew",
    "POST /api/jobs/{job}/edits": "estimator",
    "POST /api/jobs/{job}/trial": "estimator",
    "POST /api/jobs/{job}/snap": "estimator",
    "GET /api/jobs/{job}/typed": "estimator",
    "GET /api/jobs/{job}/stretch": "estimator",
    "GET /api/jobs/{job}/line-posts": "estimator",
    "GET /api/jobs/{job}/walk": "estimator",
    "POST /api/jobs/{job}/walk": "estimator",
    "POST /api/jobs/{job}/undo": "estimator",
    "POST /api/jobs/{job}/redo": "estimator",
    "GET /api/jobs/{job}/papers": "crew",
    "GET /api/jobs/{job}/papers/{name}.pdf": "crew",
    "GET /api/jobs/{job}/exports/job-yaml": "estimator",
    "GET /api/jobs/{job}/exports/{form}": "estimator",
    "GET /api/jobs/{job}/money": "owner",
    "GET /api/jobs/{job}/files": "estimator",
    "GET /api/jobs/{job}/files/{name}": "estimator",
    "PUT /api/jobs/{job}/files/{name}": "estimator",
    "DELETE /api/jobs/{job}/files/{name}": "estimator",
    "GET /api/jobs/{job}/files/{name}/outlines": "estimator",
    "POST /api/jobs/{job}/import": "estimator",
    "GET /api/jobs/{job}/yard": "crew",
    "GET /api/jobs/{job}/yard/entries": "crew",
    "POST /api/jobs/{job}/yard/entries": "crew",
    "PUT /api/jobs/{job}/yard/photos/{photo}": "crew",
    "GET /api/jobs/{job}/yard/photos/{photo}": "crew",
    "GET /api/jobs/{job}/asbuilt": "crew",
    "GET /api/jobs/{job}/asbuilt/sheet": "crew",
    "GET /api/jobs/{job}/asbuilt.pdf": "crew",
    "POST /api/pairing": "owner",
    "POST /api/pair": "nobody",
    "GET /api/devices": "owner",
    "DELETE /api/devices/{device}": "owner",
    "POST /api/leave": "crew",
}


def routes(app) -> set[str]:
    found, waiting = set(), list(app.routes)
    while waiting:
        route = waiting.pop()
        if isinstance(route, APIRoute):
            found |= {f"{method} {route.path}" for method in route.methods}
        else:
            waiting += getattr(getattr(route, "original_router", None), "routes", [])
    return found


def filled(path: str) -> str:
    for name in ("job", "other", "name", "form", "photo", "device", "token"):
        path = path.replace(f"{{{name}}}", "0" * 16)
    return path


def test_the_list_names_every_route(place):
    assert routes(place.app) == set(LEAST)


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("route", [route for route in LEAST if route != "POST /api/leave"])
def test_every_route_for_every_role(place, route, role):
    place.app.state.house.pairing._tries.clear()
    method, path = route.split(" ")
    answer = getattr(place, role).ask(method, filled(path), **({} if method == "GET" else {"json": {}}))
    if ROLES.index(role) >= ROLES.index(LEAST[route]):
        assert answer.status_code != 401
        assert answer.status_code != 403 or "pairing-refused" in answer.text
    else:
        assert answer.status_code == (401 if role == "nobody" else 403)


@pytest.mark.parametrize(
    "route", [route for route in LEAST if not route.startswith("GET") and LEAST[route] != "nobody"]
)
@pytest.mark.parametrize("token", ["none", "wrong", "of another session"])
def test_no_change_without_the_token_of_the_page(place, route, token):
    method, path = route.split(" ")
    sent = {"none": "", "wrong": "x" * 43, "of another session": place.crew.token}[token]
    answer = place.owner.ask(method, filled(path), token=sent, json={})
    assert answer.status_code == 403
    assert answer.json()["problems"][0]["slug"] == "page-token-missing"


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8734", "127.0.0.1", "127.0.0.1:80", "", "localhost.evil.example:8734"]
)
@pytest.mark.parametrize("path", ["/", "/api/jobs", "/static/shared/page.css", "/pair", "/nothing"])
def test_a_name_that_is_not_ours_gets_no_answer(place, host, path):
    answer = place.owner.get(path, headers={"Host": host})
    assert answer.status_code == 400
    assert answer.json()["problems"][0]["slug"] == "host-unknown"


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1:8734", "http://127.0.0.1:1"])
def test_a_page_of_another_origin_changes_and_reads_nothing(place, origin):
    for method in ("GET", "POST"):
        answer = place.owner.ask(method, "/api/jobs", headers={"Origin": origin})
        assert answer.status_code == 403
        assert answer.json()["problems"][0]["slug"] == "origin-unknown"


def test_our_own_origin_and_every_loopback_name_are_answered(place):
    for name in ("127.0.0.1:8734", "localhost:8734", "[::1]:8734"):
        place.nobody.client.cookies.clear()
        assert place.nobody.get("/pair", headers={"Host": name, "Origin": f"http://{name}"}).status_code == 200


def test_a_form_of_a_foreign_page_cannot_post(place):
    answer = place.owner.ask("POST", "/api/jobs", data={"title": "x"}, headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403
    answer = place.owner.ask("POST", "/api/jobs", data={"title": "x"})
    assert answer.status_code == 415


def test_the_opening_address_signs_in_once(place):
    path = place.app.state.house.opening()
    first, second = place.browser("nobody"), place.browser("nobody")
    answer = first.client.get(path, follow_redirects=False)
    assert answer.status_code == 303
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert first.get("/api/about").json()["role"] == "owner"
    assert second.client.get(path, follow_redirects=False).status_code == 403
    assert second.get("/api/jobs").status_code == 401


def test_a_code_lets_one_device_in_once(place):
    made = place.owner.post("/api/pairing", {"role": "crew"}).json()
    assert made["qr"].startswith("data:image/svg+xml")
    assert made["url"].endswith("#" + made["code"])
    first = place.browser("nobody")
    assert first.post("/api/pair", {"code": made["code"], "name": "phone"}).json()["role"] == "crew"
    again = place.browser("nobody").post("/api/pair", {"code": made["code"], "name": "other"})
    assert again.status_code == 403
    assert again.json()["problems"][0]["slug"] == "pairing-refused"


def test_guessing_codes_is_slowed_down(place):
    place.app.state.house.pairing._tries.clear()
    guesser = place.browser("nobody")
    answers = [guesser.post("/api/pair", {"code": f"AAAA-{k:04d}", "name": "x"}) for k in range(12)]
    assert [answer.status_code for answer in answers] == [403] * 10 + [429] * 2
    assert answers[-1].headers["retry-after"] == "60"
    assert answers[-1].json()["problems"][0]["slug"] == "too-many-tries"
    place.app.state.house.pairing._tries.clear()


def test_wrong_tries_of_one_address_keep_no_other_out(place):
    """Whoever is on the network tries codes without a break: a code that the owner shows lets a phone in all the same."""
    place.app.state.house.pairing._tries.clear()
    code = place.owner.post("/api/pairing", {"role": "crew"}).json()["code"]
    guesser = Browser(_client(place.app, "10.0.1.66"))
    answers = [guesser.post("/api/pair", {"code": f"AAAA-{k:04d}", "name": "x"}).status_code for k in range(50)]
    assert (answers.count(403), answers.count(429)) == (10, 40)
    phone = Browser(_client(place.app, "10.0.1.67"))
    assert phone.post("/api/pair", {"code": code, "name": "phone"}).status_code == 201
    place.app.state.house.pairing._tries.clear()


def test_many_addresses_together_are_slowed_down_too():
    now = [0.0]
    rate = Rate(each=2, every=5, seconds=60.0, clock=lambda: now[0])
    for k in range(5):
        rate.take(f"10.0.0.{k}")
    with pytest.raises(ProblemError):
        rate.take("10.0.0.99")
    now[0] = 61.0
    rate.take("10.0.0.99")


def test_a_session_ends_at_once(place):
    phone = place.browser("crew")
    assert phone.get("/api/jobs").status_code == 200
    own = next(
        d for d in place.owner.get("/api/devices").json() if d["id"] == place.store.people.device(cookie(phone)).id
    )
    assert place.owner.ask("DELETE", f"/api/devices/{own['id']}").status_code == 200
    assert phone.get("/api/jobs").status_code == 401
    leaver = place.browser("estimator")
    assert leaver.post("/api/leave").status_code == 200
    assert leaver.get("/api/jobs").status_code == 401


def test_the_machine_that_serves_is_named_in_the_language_of_whoever_looks_and_only_there_called_this_one(place):
    opened = place.browser("nobody")
    opened.get(f"{place.app.state.house.opening()}?lang=es")
    named = {
        language: [
            d["name"]
            for d in place.owner.get("/api/devices", headers={"Accept-Language": language}).json()
            if "(" in d["name"]
        ]
        for language in ("en", "es")
    }
    assert {name.partition(" (")[0] for name in named["en"]} == {"machine that serves"}
    assert {name.partition(" (")[0] for name in named["es"]} == {"máquina que sirve"}
    assert "this machine" in opened.get("/?lang=en").text


def cookie(browser) -> str:
    return browser.client.cookies["palewright-8734"]


def test_a_forged_cookie_is_nobody(place):
    for value in ("x", "x" * 5000, cookie(place.owner)[:-1], "'; DROP TABLE devices"):
        stranger = place.browser("nobody")
        assert stranger.get("/api/jobs", headers={"Cookie": f"palewright-8734={value}"}).status_code == 401


def test_the_guard_is_the_outermost_part(place):
    assert place.app.user_middleware[0].cls is Guard


def test_the_opening_address_ends_when_the_owner_opens_it_who_is_in_already(place):
    path = place.app.state.house.opening()
    assert place.owner.client.get(path, follow_redirects=False).status_code == 303
    assert place.browser("nobody").client.get(path, follow_redirects=False).status_code == 403


def test_an_address_is_no_code_and_no_try_of_one(place):
    """A page of the web can send a browser to any address: it neither signs it in as somebody nor ends codes."""
    code = place.owner.post("/api/pairing", {"role": "crew"}).json()["code"]
    stranger = place.browser("nobody")
    for wrong in (code, *(f"x{k}" for k in range(50))):
        answer = stranger.client.get(f"/open/{wrong}", follow_redirects=False)
        assert (answer.status_code, answer.headers.get("set-cookie")) == (403, None)
    token = place.app.state.house.opening().rpartition("/")[2]
    assert stranger.post("/api/pair", {"code": token[:40], "name": "x"}).status_code == 403
    assert place.browser("nobody").post("/api/pair", {"code": code, "name": "phone"}).status_code == 201


def test_a_session_that_ends_while_it_is_looked_up_is_not_remembered(place):
    phone = place.browser("crew")
    known = place.store.people.device(cookie(phone))

    class People:
        def device(self, token):
            sessions.forget()  # the owner ends it between the store's answer and its being noted
            return known

    sessions = Sessions(SimpleNamespace(people=People()))
    assert sessions.look_up("t") == known
    assert sessions.known("t") is None


@pytest.mark.parametrize("path", ["//evil.example/", "//evil.example/yard/x", "/nothing"])
def test_links_of_a_page_stay_on_this_server(place, path):
    for link in re.findall(r'href="([^"]*)"', place.crew.client.get(f"http://127.0.0.1:8734{path}").text):
        assert re.match(r"/(?!/)|\?|#", link), link


@pytest.mark.parametrize(
    "path",
    [
        "//api/devices", "/api//devices", "/api/devices/", "/api/devices.", "/api/./devices", "/API/devices", "/api%2Fdevices",
        "/api/devices;x", "/api/x/../devices", "/api/devices%00", "/api/devices%20", "/%2e%2e/api/devices",
    ],
)  # fmt: skip
@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS", "get", "TRACE", "PROPFIND"])
def test_no_other_spelling_of_an_address_opens_it(place, path, method):
    assert place.crew.client.request(method, f"http://127.0.0.1:8734{path}").status_code in (403, 404, 405)
