"""One shape for everything that goes wrong: problems in JSON for the interface, in words on a page."""

from __future__ import annotations

import errno
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import PurePath
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException
from starlette.routing import compile_path

from palewright.errors import OutputError, Problem, ProblemError, Where
from palewright.web.words import language_of

__all__ = ["STATUS", "add_faults", "fault", "plain_problem", "said", "status_of", "told"]

STATUS = {
    "backup-unusable": 422,
    "content-kind-unknown": 415,
    "data-busy": 503,
    "data-damaged": 500,
    "data-disk-failed": 503,
    "data-disk-full": 507,
    "data-disk-low": 507,
    "data-folder-read-only": 503,
    "data-newer": 500,
    "data-not-ours": 500,
    "database-unreachable": 503,
    "entry-id-used": 409,
    "host-unknown": 400,
    "house-room-full": 507,
    "address-unknown": 404,
    "device-unknown": 404,
    "file-unknown": 404,
    "job-changed-elsewhere": 409,
    "job-entries-full": 507,
    "job-gone": 410,
    "job-room-full": 507,
    "job-text-too-large": 413,
    "job-unknown": 404,
    "key-used-otherwise": 409,
    "mark-name-taken": 409,
    "mark-unknown": 404,
    "method-unknown": 405,
    "not-signed-in": 401,
    "nothing-to-redo": 409,
    "nothing-to-undo": 409,
    "origin-unknown": 403,
    "page-token-missing": 403,
    "pairing-refused": 403,
    "paper-not-made": 503,
    "paper-unknown": 404,
    "photo-id-used": 409,
    "photo-unknown": 404,
    "photos-too-many": 507,
    "price-list-guarded": 403,
    "request-too-large": 413,
    "request-unreadable": 400,
    "revision-unknown": 404,
    "role-not-enough": 403,
    "server-failed": 500,
    "server-folder-full": 507,
    "server-folder-unusable": 503,
    "server-stopped": 503,
    "too-many-tries": 429,
    "took-too-long": 503,
    "unknown-format": 404,
    "upload-too-large": 413,
}
"""What the browser is told by number; what a person typed wrongly is 422."""

_SHOWN = 200
_FAILED = Problem("server-failed", "something went wrong in the program", hint="what was saved stays saved")
Page = Callable[[Request, int, Sequence[Problem]], Response]


def status_of(problems: Iterable[Problem]) -> int:
    """The number for an answer with these problems: that of the first.

    >>> status_of([Problem("job-unknown", "no such job")]), status_of([Problem("length-unreadable", "no length")])
    (404, 422)
    """
    first = next(iter(problems), None)
    return 422 if first is None else STATUS.get(first.slug, 422)


def plain_problem(problem: Problem) -> dict[str, Any]:
    """A problem as JSON has it. Of a file only its name is told, not where it lies on this machine."""
    where = problem.where
    return {
        "slug": problem.slug,
        "severity": problem.severity,
        "where": {
            "file": PurePath(where.file).name,
            "line": where.line,
            "column": where.column,
            "width": where.width,
            "path": where.path,
            "thing": where.thing,
        },
        "what": problem.what,
        "found": problem.found,
        "allowed": problem.allowed,
        "hint": problem.hint,
    }


def fault(problems: Sequence[Problem], revision: int | None = None, status: int = 0) -> JSONResponse:
    """The answer of the interface when something is wrong."""
    body: dict[str, Any] = {"problems": [plain_problem(problem) for problem in problems]}
    if revision is not None:
        body["revision"] = revision
    code = status or status_of(problems)
    headers = {"Retry-After": "60"} if code == 429 else None
    return JSONResponse(_sound(body), code, headers)


def told(problems: Sequence[Problem], role: str) -> Sequence[Problem]:
    """Problems as a role is told them: what the database and the disk of this machine say is for the owner alone."""
    if role == "owner":
        return problems
    ours = ("data-", "database-", "server-folder-", "paper-not-made")
    return [replace(one, where=Where(), found="") if one.slug.startswith(ours) else one for one in problems]


def said(problems: Sequence[Problem], language: str) -> Sequence[Problem]:
    """Problems in a language."""
    if language == "en":
        return problems
    from palewright.drafting.words.saying import problem_in

    return [problem_in(problem, language) for problem in problems]


def _sound(value: Any) -> Any:
    """The value with every text fit for UTF-8."""
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode("utf-8")
    if isinstance(value, dict):
        return {key: _sound(item) for key, item in value.items()}
    return [_sound(item) for item in value] if isinstance(value, list) else value


def add_faults(app: FastAPI, page: Page) -> Callable[[Request], Response]:
    """Let every exception of an application end in the one shape.

    page
        makes the answer for a person's browser. Returns what makes the answer when the program itself fails.
    """

    def answer(request: Request, problems: Sequence[Problem], revision: int | None = None) -> Response:
        visit = getattr(request.state, "visit", None)
        problems = told(problems, visit.role if visit is not None else "")
        if request.url.path.startswith("/api"):
            return fault(said(problems, language_of(request.headers)), revision)
        return page(request, status_of(problems), problems)

    def typed(request: Request, error: Exception) -> Response:
        assert isinstance(error, ProblemError)
        present = getattr(error, "present", None)
        return answer(request, error.problems, present.revision if present is not None else None)

    def output(request: Request, error: Exception) -> Response:
        return answer(request, [Problem("paper-not-made", "the paper could not be made", found=str(error))])

    def disk(request: Request, error: Exception) -> Response:
        assert isinstance(error, OSError)
        return answer(request, [_disk_problem(error)])

    def http(request: Request, error: Exception) -> Response:
        problem = _of_http(request, error)
        made = answer(request, [problem])
        if made.status_code == 405:
            made.headers["Allow"] = problem.allowed
        return made

    app.add_exception_handler(ProblemError, typed)
    app.add_exception_handler(OutputError, output)
    app.add_exception_handler(OSError, disk)
    app.add_exception_handler(RequestValidationError, lambda request, error: answer(request, _unusable(error)))
    app.add_exception_handler(HTTPException, http)
    return lambda request: answer(request, [_FAILED])


def _disk_problem(error: OSError) -> Problem:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return Problem("server-folder-full", "there is no room on the disk of the server", hint="make room, try again")
    return Problem("server-folder-unusable", "a folder of the server cannot be used", found=error.strerror or "")


def _of_http(request: Request, error: Exception) -> Problem:
    assert isinstance(error, HTTPException)
    where = Where(path=request.url.path[:_SHOWN])
    if error.status_code == 404:
        return Problem("address-unknown", "there is nothing under this address", where)
    if error.status_code == 405:
        allowed = _methods(request) or (error.headers or {}).get("Allow", "")
        return Problem(
            "method-unknown", "this address does not take such requests", where, found=request.method, allowed=allowed
        )
    return Problem("request-unreadable", "the request cannot be read", where, found=str(error.detail)[:_SHOWN])


def _methods(request: Request) -> str:
    """What the interface takes under the address of a request; "" where that is none of its addresses."""
    paths = request.app.openapi()["paths"].items()
    taken = {method.upper() for path, what in paths if compile_path(path)[0].match(request.url.path) for method in what}
    return ", ".join(sorted(taken))


def _unusable(error: Exception) -> list[Problem]:
    assert isinstance(error, RequestValidationError)
    found = []
    for item in error.errors()[:20]:
        if item["type"] == "json_invalid":
            return [
                Problem("request-unreadable", "what was sent is no JSON", found=str(item.get("ctx", {}).get("error")))
            ]
        place = ".".join(str(part) for part in item["loc"])
        shown = "" if item["type"] == "missing" else repr(item.get("input"))[:_SHOWN]
        found.append(
            Problem(
                "request-value-unusable", "this part of the request cannot be used", Where(path=place),
                found=shown, allowed=str(item["msg"]),
            )
        )  # fmt: skip
    return found
