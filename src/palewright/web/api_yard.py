"""The yard: the day's pack for a phone, entries that come in and go out, photos, and the sheet that closes the job."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from palewright.errors import Problem, ProblemError
from palewright.web import shapes
from palewright.web.api_files import chunks, spooled
from palewright.web.desk import plan_of
from palewright.web.routes import JobId, Lang, bytes_answer, job_of, router
from palewright.web.security import Crew

if TYPE_CHECKING:
    from palewright.model import YardEntry

__all__ = ["api"]

api = router("yard")

PhotoId = Annotated[str, Path(max_length=64)]
_BODY = {
    "requestBody": {
        "required": True,
        "content": {
            kind: {"schema": {"type": "string", "format": "binary"}}
            for kind in ("image/jpeg", "image/png", "image/webp", "image/heic")
        },
    }
}


@api.get("/jobs/{job}/yard")
def yard(visit: Crew, job: JobId, lang: Lang = "en") -> shapes.Yard:
    """All that a phone needs for a day without signal."""
    from palewright import papers

    entry = job_of(visit, job)
    plan = plan_of(visit.house, entry, priced=False)
    with visit.house.hand:
        pack = papers.yard_pack(plan, lang)
    assert visit.device is not None
    return shapes.Yard(job=shapes.Job.of(entry), device=visit.device.id, who=visit.by, pack=pack)


@api.get("/jobs/{job}/yard/entries")
def entries(visit: Crew, job: JobId, after: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0) -> shapes.Entries:
    """Entries with a higher number than ``after``."""
    found = visit.house.store.yard.entries(job, after)
    return shapes.Entries(last=found[-1].number if found else after, entries=_plain(found))


@api.post("/jobs/{job}/yard/entries")
def new_entries(visit: Crew, job: JobId, new: shapes.NewEntries) -> shapes.Arrived:
    """Take entries in, all or none; one that is here already keeps its number. Send as often as needed."""
    from palewright.asbuilt import entry_of

    problems: list[Problem] = []
    read: list[YardEntry] = []
    for value in new.entries:
        try:
            read.append(entry_of(value))
        except ProblemError as error:
            problems += error.problems
    if problems:
        raise ProblemError(problems)
    store = visit.house.store
    arrival = store.yard.append(job, read)
    later = store.yard.entries(job, new.after)
    return shapes.Arrived(numbers=list(arrival.numbers), last=arrival.last, entries=_plain(later))


@api.put("/jobs/{job}/yard/photos/{photo}", openapi_extra=_BODY)
async def put_photo(visit: Crew, job: JobId, photo: PhotoId, request: Request) -> shapes.Photo:
    """Take a photo in; the same one twice is kept once."""
    async with spooled(request) as body:
        kept = await run_in_threadpool(lambda: visit.house.store.photos.put(job, photo, chunks(body), by=visit.by))
    return shapes.Photo(id=kept.id, kind=kept.kind, bytes=kept.bytes)


@api.get(
    "/jobs/{job}/yard/photos/{photo}",
    response_class=Response,
    responses={200: {"content": {"image/*": {}}, "description": "the photo"}},
)
def one_photo(visit: Crew, job: JobId, photo: PhotoId) -> Response:
    """A photo from the yard."""
    kept = visit.house.store.photos.entry(job, photo)
    return bytes_answer(visit.house.store.photos.path(job, photo).read_bytes(), kept.kind)


@api.get("/jobs/{job}/asbuilt")
def as_built(visit: Crew, job: JobId) -> dict[str, Any]:
    """What was built, against the plan (docs/as-built.md)."""
    from palewright import asbuilt, exchange

    entry = job_of(visit, job)
    plan = plan_of(visit.house, entry, priced=False)
    with visit.house.hand:
        built = asbuilt.as_built(plan, asbuilt.fold(visit.house.store.yard.entries(job)))
    answer: dict[str, Any] = exchange.as_built_json(built)
    return answer


def _plain(found: Sequence[YardEntry]) -> list[dict[str, Any]]:
    from palewright import exchange

    listed: list[dict[str, Any]] = json.loads(exchange.entries_json(found))["entries"]
    return listed
