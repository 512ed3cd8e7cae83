"""Files beside a job: price list, rules, terrain. Bytes are taken as they come, counted, and never opened by a path."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any, TypeVar
from unicodedata import normalize

from fastapi import Request, Response
from fastapi.responses import FileResponse
from starlette.concurrency import run_in_threadpool

from palewright.errors import Problem, ProblemError
from palewright.web import shapes
from palewright.web.routes import FileName, JobId, announced, disposition, job_of, router
from palewright.web.security import NOT_IN, Estimator, Visit, visit_of

if TYPE_CHECKING:
    from palewright.store import FileEntry, Intake

__all__ = ["api", "file_answer", "guarded", "named", "named_in_edits", "taken_in"]

T = TypeVar("T")

api = router("files")

_BODY = {
    "requestBody": {
        "required": True,
        "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
    }
}
_LIST = 4_000_000  # a price list is read up to 1 MB, in which a letter may be four bytes
_NAMING = re.compile(r"surface|grid|rules|kind file|\\")  # a key may be written with escapes
_WORD = re.compile(r"[^\s,;|\"\ufeff\ufffd]+")
_DRAWN = {"asc", "dxf", "geojson", "gpkg", "gpx", "kml", "landxml", "npy", "shp", "tif", "tiff", "toml", "xml", "xyz"}
"""Endings of what is drawn, measured or ruled, and no list of prices, nor a letter with some."""


@api.get("/jobs/{job}/files")
def files(visit: Estimator, job: JobId) -> list[shapes.File]:
    """The files beside a job."""
    return [shapes.File.of(entry) for entry in visit.house.store.files.all(job_of(visit, job).id)]


@api.get(
    "/jobs/{job}/files/{name}",
    response_class=Response,
    responses={200: {"content": {"application/octet-stream": {}}, "description": "the file"}},
)
def one_file(visit: Estimator, job: JobId, name: FileName) -> Response:
    """A file beside a job, as it was put there. A price list is for the owner alone."""
    path = visit.house.store.files.path(job_of(visit, job).id, name)
    guarded(visit, job, name)
    return file_answer(path, "application/octet-stream", name)


@api.put("/jobs/{job}/files/{name}", openapi_extra=_BODY)
async def put_file(visit: Estimator, job: JobId, name: FileName, request: Request) -> shapes.File:
    """Put a file beside a job, or another in its place."""

    def begin() -> Intake[FileEntry]:
        guarded(visit, job, name)
        return visit.house.store.files.receive(
            job, name, by=visit.by, role=visit.role, announced=announced(request.headers)
        )

    return shapes.File.of(await taken_in(request, begin))


@api.delete("/jobs/{job}/files/{name}")
def remove_file(visit: Estimator, job: JobId, name: FileName) -> shapes.Done:
    """Take a file away."""
    guarded(visit, job, name)
    visit.house.store.files.remove(job, name, by=visit.by)
    return shapes.Done()


def guarded(visit: Visit, job: str, name: str) -> None:
    """Keep prices from everybody but the owner (docs/serve.md).

    Theirs alone are: the list that the job names; what is called a price list or has the columns of one; and whatever
    the owner put there that is no drawing, survey or set of rules: quotes, tables, letters.
    Raises ProblemError.
    """
    if visit.priced:
        return
    store, called = visit.house.store, normalize("NFC", name)
    entry = next((one for one in store.files.all(job) if one.name == called), None)
    theirs = called == normalize("NFC", PurePath(_named_prices(visit, job)).name) or "price" in name.lower()
    if entry is not None and not theirs:
        drawn = PurePath(called).suffix.removeprefix(".").lower() in _DRAWN
        theirs = (entry.role == "owner" and not drawn) or _has_columns(store.files.path(job, name))
    if theirs:
        raise ProblemError(Problem("price-list-guarded", "prices are shown to the owner alone", found=name))


def named(visit: Visit, job: str, text: str) -> None:
    """Keep whoever may not read a file from having it read as ground, as rules or as a kind of fence: messages and
    heights would say what stands in it. What the job names already is named by somebody who may.

    Raises ProblemError ``price-list-guarded``.
    """
    if not visit.priced and _NAMING.search(text) and visit.house.store.files.all(job):
        _may_be_read(visit, job, _files_named(text) or set())


def named_in_edits(visit: Visit, job: str, edits: Sequence[Mapping[str, Any]]) -> None:
    """The same of edits, whose texts stand in the job file as they are."""
    if not visit.priced and (said := set(_leaves([edit for edit in edits if edit.get("kind") == "set"]))):
        beside = {entry.name for entry in visit.house.store.files.all(job)}
        _may_be_read(visit, job, {name for text in said if (name := PurePath(text).name) in beside})


def _may_be_read(visit: Visit, job: str, names: set[str]) -> None:
    if names:
        revisions = visit.house.store.revisions
        head = revisions.entry(job).number
        earlier = (_files_named(revisions.text(job, number)) for number in range(head, max(head - 50, 0), -1))
        names = names - next((found for found in earlier if found is not None), set())
    for name in names:
        guarded(visit, job, name)


def _leaves(value: Any) -> Iterator[str]:
    """Every text in a value of JSON."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            yield from _leaves(part)


def _files_named(text: str) -> set[str] | None:
    """The files that a job has read, None of a text that is no job: nothing of it is read."""
    from palewright import jobfile
    from palewright.plan import files_named

    try:
        return {PurePath(name).name for name, _ in files_named(jobfile.read_text(text))}
    except ProblemError:
        return None


def _has_columns(path: Path) -> bool:
    """Whether a line of a file names code, unit and price."""
    try:
        with path.open("rb") as file:
            data = file.read(_LIST).replace(b"\x00", b"").lower()
    except FileNotFoundError:
        return False
    lines = (line for line in re.split(b"[\r\n]", data) if b"price" in line)
    words = (set(_WORD.findall(line.decode("utf-8", "replace"))) for line in lines)
    return any({"code", "unit", "price"} <= each for each in words)


def _named_prices(visit: Visit, job: str) -> str:
    """The price list that a job names, "" for none."""
    from palewright.jobfile import Document

    try:
        found = Document(visit.house.store.revisions.text(job)).get("prices")
    except ProblemError as error:
        if error.problems[0].slug in ("job-unknown", "job-gone"):
            raise
        return ""
    return found if isinstance(found, str) else ""


async def taken_in(request: Request, begin: Callable[[], Intake[T]]) -> T:
    """The body of a request on its way to where it is kept: never whole in memory, nothing of it before ``begin``."""
    intake = await run_in_threadpool(begin)
    with intake:
        async for piece in request.stream():
            await run_in_threadpool(intake.write, piece)
        if (await visit_of(request, anew=True)).device is None:
            raise ProblemError(NOT_IN)
        return await run_in_threadpool(intake.done)


def file_answer(path: Path, kind: str, name: str = "") -> Response:
    """A file of the store, read as it is sent."""
    if not path.is_file():
        raise ProblemError(Problem("data-disk-failed", "A photo or file that was put in is no longer on the disk"))
    return FileResponse(path, media_type=kind, headers=disposition(name))
