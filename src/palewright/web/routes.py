"""What the modules of the interface share: their router, the answers that every route may give, parts of addresses."""

from __future__ import annotations

import re
import unicodedata
from pathlib import PurePath
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request, Response

from palewright.errors import Problem, ProblemError
from palewright.store import JobEntry
from palewright.web.security import Visit
from palewright.web.shapes import Fault, Language

__all__ = ["FAULTS", "FileName", "JobId", "Lang", "bytes_answer", "guarded_name", "job_of", "json_answer", "router"]

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
FAULTS: dict[int | str, dict[str, Any]] = {
    code: {"model": Fault, "description": words} for code, words in _WORDS.items()
}

_LIST = 4_000_000  # a price list is read up to 1 MB, in which a letter may be four bytes
_WORD = re.compile(r"[^\s,;|\"\ufeff\ufffd]+")

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
        raise ProblemError(Problem("job-gone", "This job was taken off the list", found=entry.title))
    return entry


def bytes_answer(data: bytes, kind: str, name: str = "", *, inline: bool = False) -> Response:
    """Bytes with their kind and, for a download, a plain file name."""
    headers = {}
    if name:
        safe = "".join(letter if letter.isascii() and (letter.isalnum() or letter in ".-_") else "-" for letter in name)
        headers["Content-Disposition"] = f'{"inline" if inline else "attachment"}; filename="{safe}"'
    return Response(data, media_type=kind, headers=headers)


def json_answer(head: bytes, tail: bytes, name: bytes) -> Response:
    """An object put together from one that was written already and one more part.

    >>> json_answer(b'{"a":1}', b'{"b":2}', b"sight").body
    b'{"a":1,"sight":{"b":2}}'
    """
    return Response(head[:-1] + b',"' + name + b'":' + tail + b"}", media_type="application/json")


def guarded_name(visit: Visit, name: str, data: bytes | None, named: str) -> None:
    """Keep a price list from everybody but the owner.

    name, data
        of the file, data None where it is not at hand. named: the price list that the job names.
    Raises ProblemError.
    """
    if visit.priced:
        return
    lines = (data or b"")[:_LIST].decode("utf-8", "replace").replace("\x00", "").lower().splitlines()
    columns = any({"code", "unit", "price"} <= set(_WORD.findall(line)) for line in lines if "price" in line)
    if _alike(name) == _alike(PurePath(named).name) or "price" in name.lower() or columns:
        raise ProblemError(Problem("price-list-guarded", "prices are shown to the owner alone", found=name))


def _alike(name: str) -> str:
    return unicodedata.normalize("NFC", name)


def address_of(request: Request) -> str:
    """Scheme, host and port that the browser used; they were checked before."""
    return f"{request.url.scheme}://{request.headers['host']}"
