"""The pages: HTML made here, filled by our own modules in the browser through the interface."""

from __future__ import annotations

import functools
import hashlib
import json
import socket
from collections.abc import Sequence
from importlib import resources
from importlib.resources.abc import Traversable
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from palewright.errors import Problem, ProblemError
from palewright.web.faults import plain_problem, said
from palewright.web.routes import JobId, job_of
from palewright.web.security import Anyone, Crew, Estimator, Owner, Visit, page_token, sign_in
from palewright.web.words import LANGUAGES, choose, device_name, words

if TYPE_CHECKING:
    from palewright.web.house import House

__all__ = ["fault_page", "pages", "yard_files", "yard_version"]

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)

_KEPT = "palewright-language"


@functools.cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("palewright.web"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip


@pages.get("/")
def jobs(visit: Crew, request: Request) -> Response:
    """The list of jobs, and three ways to begin one."""
    store = visit.house.store
    gone = store.jobs.all(gone=True) if visit.role == "owner" else ()
    return _page(request, "jobs.html", visit, jobs=store.jobs.all(), gone=gone)


@pages.get("/jobs/{job}")
def table(visit: Estimator, request: Request, job: JobId) -> Response:
    """The drawing table."""
    return _job_page(request, "table.html", visit, job)


@pages.get("/jobs/{job}/beside/{other}")
def beside(visit: Estimator, request: Request, job: JobId, other: JobId) -> Response:
    """Two jobs side by side."""
    return _job_page(request, "beside.html", visit, job, other=visit.house.store.jobs.entry(other))


@pages.get("/jobs/{job}/text")
def text(visit: Estimator, request: Request, job: JobId) -> Response:
    """The job file as text."""
    entry = job_of(visit, job)
    found = visit.house.store.revisions.text(job, entry.revision)
    return _page(request, "text.html", visit, job=entry, text=found)


@pages.get("/jobs/{job}/papers")
def papers(visit: Crew, request: Request, job: JobId) -> Response:
    """Papers to look at and print, and files to download."""
    from palewright.web.api_papers import EXPORTS

    return _job_page(request, "papers.html", visit, job, exports=EXPORTS)


@pages.get("/jobs/{job}/money")
def money(visit: Owner, request: Request, job: JobId) -> Response:
    """What the material costs."""
    return _job_page(request, "money.html", visit, job)


@pages.get("/yard/sw.js")
def worker(visit: Anyone) -> Response:
    """What keeps the phone's pages at hand without signal; it may only look after addresses below its own."""
    head = f"const FILES = {json.dumps(yard_files())};\nconst VERSION = {json.dumps(yard_version())};\n"
    return Response(
        head + _static("yard/sw.js").read_text("utf-8"),
        media_type="text/javascript",
        headers={"Cache-Control": "no-cache"},
    )


@pages.get("/yard/manifest.webmanifest")
def manifest(visit: Anyone) -> Response:
    """What a phone asks for before it installs the page."""
    data = _static("yard/manifest.webmanifest").read_bytes()
    return Response(data, media_type="application/manifest+json", headers={"Cache-Control": "no-cache"})


@pages.get("/yard/")
def yards(visit: Crew, request: Request) -> Response:
    """The jobs of the yard: what an installed phone opens."""
    return _yard_page(request, "yards.html", visit, jobs=visit.house.store.jobs.all())


@pages.get("/yard/{job}")
def yard(visit: Crew, request: Request, job: JobId) -> Response:
    """The phone's page."""
    return _yard_page(request, "yard.html", visit, job=job_of(visit, job))


@pages.get("/devices")
def devices(visit: Owner, request: Request) -> Response:
    """Devices that may come in, and codes for new ones."""
    return _page(request, "devices.html", visit, print=_fingerprint(visit))


@pages.get("/pair")
def pair(visit: Anyone, request: Request) -> Response:
    """Where a code is typed."""
    return _page(request, "pair.html", visit, print=_fingerprint(visit))


@pages.get("/pair/authority.crt")
def authority(visit: Anyone) -> Response:
    """The certificate of the authority that phones are asked to trust. It is no secret; its key stays here."""
    path = visit.house.authority
    if path is None:
        raise ProblemError(Problem("address-unknown", "this server has no authority of its own"))
    headers = {"Content-Disposition": 'attachment; filename="palewright-authority.crt"'}
    return Response(path.read_bytes(), media_type="application/x-x509-ca-cert", headers=headers)


@pages.get("/open/{token}")
def opening(visit: Anyone, request: Request, token: str) -> Response:
    """The address that ``palewright serve`` prints: it signs one browser in, once. Its 256 bits are not guessed."""
    people = visit.house.store.people
    if visit.role == "owner":
        people.close()
        return RedirectResponse("/", 303)
    own = f"{words(_language(request))['page']['server']} ({socket.gethostname()})"
    made = people.pair(token, own, typed=False)
    answer = RedirectResponse("/", 303)
    sign_in(request, answer, visit.house, made.token)
    return answer


def _fingerprint(visit: Visit) -> str:
    """What tells the authority from any other, "" where there is none of ours."""
    if visit.house.authority is None:
        return ""
    from palewright.web.authority import fingerprint

    return fingerprint(visit.house.authority)


def fault_page(request: Request, status: int, problems: Sequence[Problem]) -> Response:
    """What went wrong, on a page of its own, in words."""
    shown = [plain_problem(problem) for problem in said(problems, _language(request))]
    return _page(request, "fault.html", None, status=status, problems=shown)


def _static(path: str) -> Traversable:
    return resources.files("palewright.web").joinpath("static", *path.split("/"))


def yard_files() -> list[str]:
    """Everything that the phone's pages are made of, by address; what a phone keeps together or not at all."""
    shared = ["page.css", "mark.svg", *(f"{name}.js" for name in ("api", "dom", "page", "problems"))]
    own = sorted(
        one.name
        for one in _static("yard").iterdir()
        if one.name.endswith((".js", ".css", ".png")) and one.name != "sw.js"
    )
    return [*(f"/static/shared/{name}" for name in shared), *(f"/static/yard/{name}" for name in own)]


@functools.cache
def yard_version() -> str:
    """A name for these files and words as they are: another as soon as one of them changes.

    >>> len(yard_version())
    16
    """
    made = hashlib.sha256()
    for address in (*yard_files(), "/static/yard/sw.js"):
        made.update(_static(address.removeprefix("/static/")).read_bytes())
    made.update(json.dumps([words(language) for language in LANGUAGES], sort_keys=True).encode())
    for name in ("base.html", "yard.html", "yard_head.html", "yards.html"):
        made.update(resources.files("palewright.web").joinpath("templates", name).read_bytes())
    return made.hexdigest()[:16]


def _yard_page(request: Request, template: str, visit: Visit, **data: Any) -> Response:
    """A page that a phone keeps; it says which version of the files it goes with, and asks for that one."""
    both = {language: words(language)["yard_say"] for language in LANGUAGES}
    answer = _page(request, template, visit, both=both, main="yard", static=f"/static/{yard_version()}", **data)
    answer.headers["X-Yard-Version"] = yard_version()
    return answer


def _job_page(request: Request, template: str, visit: Visit, job: str, **data: Any) -> Response:
    return _page(request, template, visit, job=job_of(visit, job), **data)


def _language(request: Request) -> str:
    asked, kept = request.query_params.get("lang", ""), request.cookies.get(_KEPT, "")
    return choose(asked, kept, request.headers.get("accept-language", ""))


def _name(by: str, language: str) -> str:
    """Who is signed in: "this machine" in the language of the page where it is the one that serves."""
    page = words(language)["page"]
    return page["this_machine"] if device_name(by, language).startswith(page["server"]) else by


def _page(request: Request, template: str, visit: Visit | None, **data: Any) -> Response:
    language = _language(request)
    house: House = request.app.state.house
    shown = {
        "w": words(language), "lang": language, "role": visit.role if visit else "",
        "name": _name(visit.by, language) if visit else "",
        "token": page_token(visit.token) if visit and visit.token else "",
        "shared": house.settings.shared, "static": "/static", "job": None, "main": template.removesuffix(".html"),
    }  # fmt: skip
    text = _templates().get_template(template).render(shown | data)
    answer = HTMLResponse(text, data.get("status", 200))
    if request.query_params.get("lang") == language:
        answer.set_cookie(_KEPT, language, max_age=31536000, samesite="strict", httponly=True, path="/")
    return answer
