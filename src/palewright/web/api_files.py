"""Files beside a job: price list, rules, terrain. Bytes are taken as they come, counted, and never opened by a path."""

from __future__ import annotations

import tempfile
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from typing import IO
from unicodedata import normalize

from fastapi import Request, Response
from starlette.concurrency import run_in_threadpool

from palewright.errors import ProblemError
from palewright.web import shapes
from palewright.web.routes import FileName, JobId, bytes_answer, guarded_name, router
from palewright.web.security import Estimator, Visit

__all__ = ["api", "chunks", "named_prices", "spooled"]

api = router("files")

_BODY = {
    "requestBody": {
        "required": True,
        "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
    }
}
_PIECE = 1 << 18
_IN_MEMORY = 1 << 20


@api.get("/jobs/{job}/files")
def files(visit: Estimator, job: JobId) -> list[shapes.File]:
    """The files beside a job."""
    return [shapes.File.of(entry) for entry in visit.house.store.files.all(job)]


@api.get(
    "/jobs/{job}/files/{name}",
    response_class=Response,
    responses={200: {"content": {"application/octet-stream": {}}, "description": "the file"}},
)
def one_file(visit: Estimator, job: JobId, name: FileName) -> Response:
    """A file beside a job, as it was put there. A price list is for the owner alone."""
    data = visit.house.store.files.read(job, name)
    guarded_name(visit, name, data, named_prices(visit, job))
    return bytes_answer(data, "application/octet-stream", name)


@api.put("/jobs/{job}/files/{name}", openapi_extra=_BODY)
async def put_file(visit: Estimator, job: JobId, name: FileName, request: Request) -> shapes.File:
    """Put a file beside a job, or another in its place."""
    async with spooled(request) as body:
        return await run_in_threadpool(_put, visit, job, name, body)


@api.delete("/jobs/{job}/files/{name}")
def remove_file(visit: Estimator, job: JobId, name: FileName) -> shapes.Done:
    """Take a file away."""
    guarded_name(visit, name, visit.house.store.files.read(job, name), named_prices(visit, job))
    visit.house.store.files.remove(job, name, by=visit.by)
    return shapes.Done()


def _put(visit: Visit, job: str, name: str, body: IO[bytes]) -> shapes.File:
    stands = next((one for one in visit.house.store.files.all(job) if one.name == normalize("NFC", name)), None)
    data = None if stands is None else visit.house.store.files.read(job, name)
    guarded_name(visit, name, data, named_prices(visit, job))
    return shapes.File.of(visit.house.store.files.put(job, name, chunks(body), by=visit.by))


def named_prices(visit: Visit, job: str) -> str:
    """The price list that a job names, "" for none."""
    from palewright.jobfile import Document

    try:
        found = Document(visit.house.store.revisions.text(job)).get("prices")
    except ProblemError as error:
        if error.problems[0].slug in ("job-unknown", "job-gone"):
            raise
        return ""
    return found if isinstance(found, str) else ""


@asynccontextmanager
async def spooled(request: Request) -> AsyncIterator[IO[bytes]]:
    """The body of a request, set down while it comes in: a little in memory, more in a passing file."""
    with tempfile.SpooledTemporaryFile(_IN_MEMORY) as body:
        async for piece in request.stream():
            await run_in_threadpool(body.write, piece)
        body.seek(0)
        yield body


def chunks(body: IO[bytes]) -> Iterator[bytes]:
    """A body piece by piece."""
    while piece := body.read(_PIECE):
        yield piece
