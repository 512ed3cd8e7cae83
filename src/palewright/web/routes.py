"""What the modules of the interface share: their router, the answers that every route may give, parts of addresses."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request, Response
from starlette.datastructures import Headers

from palewright.errors import Problem, ProblemError
from palewright.store import JobEntry
from palewright.web.security import Visit
from palewright.web.shapes import Language

__all__ = [
    "FAULTS",
    "FileName",
    "JobId",
    "Lang",
    "announced",
    "bytes_answer",
    "disposition",
    "job_of",
    "json_answer",
    "router",
]

_WORDS = {
    400: "unreadable, or asked under another name",
    401: "not signed in",
    403: "the role, the page's token or the origin do not fit",
    404: "there is no such thing",
    405: "not for this kind of request",
    409: "changed elsewhere, or already taken",
    410: "the job was removed",
    413: "too large",
    415: "not JSON",
    422: "a value cannot be used",
    429: "too many tries",
    500: "something went wrong",
    503: "the store or a paper cannot be written now",
    507: "no room on the disk",
}
_FAULT = {"application/json": {"schema": {"$ref": "#/components/schemas/Fault"}}}
FAULTS: dict[int | str, dict[str, Any]] = {
    code: {"description": words, "content": _FAULT} for code, words in _WORDS.items()
}
"""By reference: where each names the model, one is built for every code of every route before the first page."""

JobId = Annotated[str, Path(max_length=64, description="id of the job")]
FileName = Annotated[str, Path(max_length=100, description="a plain file name")]
Lang = Annotated[Language, Query(description="language of the words")]


def router(tag: str) -> APIRouter:
    """A router of the interface."""
    return APIRouter(prefix="/api", tags=[tag], responses=FAULTS)


def job_of(visit: Visit, job: str) -> JobEntry:
    """A job that is on the list. Raises ProblemError when there is none, or it was taken off."""
    entry = visit.house.store.jobs.entry(job)
    if entry.gone:
        raise ProblemError(
            Problem(
                "job-gone",
                "This job was taken off the list",
                found=entry.title,
                hint="the owner can bring it back, at the end of the list of jobs",
            )
        )
    return entry


def bytes_answer(data: bytes, kind: str, name: str = "", *, inline: bool = False) -> Response:
    """Bytes with their kind and, for a download, a plain file name."""
    return Response(data, media_type=kind, headers=disposition(name, inline=inline))


def disposition(name: str, *, inline: bool = False) -> dict[str, str]:
    """The header that gives a download its name, in letters that no browser misreads; none without a name.

    >>> disposition('a"b\\r\\nü.csv')
    {'Content-Disposition': 'attachment; filename="a-b---.csv"'}
    """
    if not name:
        return {}
    safe = "".join(letter if letter.isascii() and (letter.isalnum() or letter in ".-_") else "-" for letter in name)
    return {"Content-Disposition": f'{"inline" if inline else "attachment"}; filename="{safe}"'}


def json_answer(head: bytes, tail: bytes, name: bytes) -> Response:
    """An object put together from one that was written already and one more part.

    >>> json_answer(b'{"a":1}', b'{"b":2}', b"sight").body
    b'{"a":1,"sight":{"b":2}}'
    """
    return Response(head[:-1] + b',"' + name + b'":' + tail + b"}", media_type="application/json")


def announced(headers: Headers) -> int:
    """How many bytes a request says that it brings, 0 where it does not say."""
    length = headers.get("content-length", "")
    return int(length[:18]) if length.isascii() and length.isdecimal() else 0


def address_of(request: Request) -> str:
    """Scheme, host and port that the browser used; they were checked before."""
    return f"{request.url.scheme}://{request.headers['host']}"
