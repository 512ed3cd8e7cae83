"""The yard: the day's pack for a phone, entries that come in and go out, photos, and the sheet that closes the job."""

from __future__ import annotations

import gzip
import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import Path, Query, Request, Response

from palewright.errors import Problem, ProblemError
from palewright.web import shapes, shapes_yard
from palewright.web.api_files import file_answer, taken_in
from palewright.web.desk import plan_of
from palewright.web.routes import JobId, Lang, announced, bytes_answer, job_of, json_answer, router
from palewright.web.security import Crew

if TYPE_CHECKING:
    from palewright.model import AsBuilt, Plan, YardEntry
    from palewright.store import JobEntry
    from palewright.web.security import Visit

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


@api.get("/jobs/{job}/yard", response_model=shapes_yard.Yard)
def yard(visit: Crew, job: JobId, request: Request, lang: Lang = "en") -> Response:
    """All that a phone needs for a day without signal; 304 where it has it already."""
    entry = job_of(visit, job)
    assert visit.device is not None
    head = shapes_yard.Yard(job=shapes.Job.of(entry), device=visit.device.id, who=visit.by, pack={})
    body = bytes(json_answer(head.model_dump_json(exclude={"pack"}).encode(), _pack(visit, entry, lang), b"pack").body)
    headers = {"ETag": f'"{hashlib.sha256(body).hexdigest()[:32]}"', "Cache-Control": "private, no-cache"}
    headers["Vary"] = "Accept-Encoding, Cookie"
    if request.headers.get("if-none-match", "").removeprefix("W/") == headers["ETag"]:
        return Response(status_code=304, headers=headers)
    if "gzip" in request.headers.get("accept-encoding", ""):
        headers["Content-Encoding"] = "gzip"
        body = gzip.compress(body, 5)
    return Response(body, media_type="application/json", headers=headers)


def _pack(visit: Visit, entry: JobEntry, language: str) -> bytes:
    """The pack as JSON, kept while the job stays as it is."""
    from palewright import papers

    def make() -> bytes:
        plan = plan_of(visit.house, entry, priced=False)
        with visit.house.hand.turn():
            return json.dumps(papers.yard_pack(plan, language), ensure_ascii=False, separators=(",", ":")).encode()

    return visit.house.papers.get((entry.id, entry.revision, entry.files, "yard", language), make)


@api.get("/jobs/{job}/yard/entries")
def entries(visit: Crew, job: JobId, after: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0) -> shapes_yard.Entries:
    """Entries with a higher number than ``after``."""
    found = visit.house.store.yard.entries(job, after)
    return shapes_yard.Entries(last=found[-1].number if found else after, entries=_plain(found))


@api.post("/jobs/{job}/yard/entries")
def new_entries(visit: Crew, job: JobId, new: shapes_yard.NewEntries) -> shapes_yard.Arrived:
    """Take entries in, all or none; one that is here already keeps its number. Send as often as needed."""
    from palewright.asbuilt import entry_of

    problems: list[Problem] = []
    read: list[YardEntry] = []
    for value in new.entries:
        try:
            read.append(replace(entry_of(value), by=visit.sender))
        except ProblemError as error:
            problems += error.problems
    if problems:
        raise ProblemError(problems)
    store = visit.house.store
    arrival = store.yard.append(job, read)
    later = store.yard.entries(job, new.after)
    return shapes_yard.Arrived(numbers=list(arrival.numbers), last=arrival.last, entries=_plain(later))


@api.put("/jobs/{job}/yard/photos/{photo}", openapi_extra=_BODY)
async def put_photo(visit: Crew, job: JobId, photo: PhotoId, request: Request) -> shapes_yard.Photo:
    """Take a photo in; the same one twice is kept once."""
    photos = visit.house.store.photos
    kept = await taken_in(
        request, lambda: photos.receive(job, photo, by=visit.by, announced=announced(request.headers))
    )
    return shapes_yard.Photo(id=kept.id, kind=kept.kind, bytes=kept.bytes)


@api.get(
    "/jobs/{job}/yard/photos/{photo}",
    response_class=Response,
    responses={200: {"content": {"image/*": {}}, "description": "the photo"}},
)
def one_photo(visit: Crew, job: JobId, photo: PhotoId) -> Response:
    """A photo from the yard."""
    kept = visit.house.store.photos.entry(job, photo)
    return file_answer(visit.house.store.photos.path(job, photo), kept.kind)


@api.get("/jobs/{job}/asbuilt")
def as_built(visit: Crew, job: JobId) -> dict[str, Any]:
    """What was built, against the plan (docs/as-built.md)."""
    from palewright import exchange

    answer: dict[str, Any] = exchange.as_built_json(_built(visit, job, "")[1])
    return answer


@api.get("/jobs/{job}/asbuilt/sheet")
def as_built_sheet(visit: Crew, job: JobId, lang: Lang = "en") -> dict[str, Any]:
    """What the as-built sheet prints so far, in words."""
    from palewright import papers

    data: dict[str, Any] = papers.asbuilt_data(*_built(visit, job, lang))
    return data


@api.get(
    "/jobs/{job}/asbuilt.pdf",
    response_class=Response,
    responses={200: {"content": {"application/pdf": {}}, "description": "the as-built sheet"}},
)
def as_built_paper(visit: Crew, job: JobId, lang: Lang | None = None) -> Response:
    """The as-built sheet so far, with the photos that have arrived, in the language of the job unless asked."""
    from palewright import papers

    entry, photos = job_of(visit, job), visit.house.store.photos
    here = {photo.id: photo.bytes for photo in photos.all(job)}

    def make() -> bytes:
        plan, built, cautions = _built(visit, job, lang or "")
        shown = [name for name in (built.signature, *(photo.photo for photo in built.photos)) if name in here]
        wanted = papers.photos_printed({name: here[name] for name in shown})
        with visit.house.press:
            pictures = {name: photos.path(job, name).read_bytes() for name in wanted}
            return papers.asbuilt_pdf(plan, built, pictures, cautions)

    key = (job, entry.revision, entry.files, entry.entries, len(here), lang)
    return bytes_answer(visit.house.built.get(key, make), "application/pdf", "asbuilt.pdf", inline=True)


def _built(visit: Visit, job: str, language: str) -> tuple[Plan, AsBuilt, tuple[Problem, ...]]:
    """The plan, in a language or "" for its own, what was built of it, and what is odd about the entries."""
    from palewright import asbuilt

    plan = plan_of(visit.house, job_of(visit, job), priced=False)
    if language:
        plan = replace(plan, settings=replace(plan.settings, language=language))
    with visit.house.hand.turn():
        entries = visit.house.store.yard.entries(job)
        yard = asbuilt.fold(entries, asbuilt.planned_places(plan))
        return plan, asbuilt.as_built(plan, yard), asbuilt.check_entries(entries)


def _plain(found: Sequence[YardEntry]) -> list[dict[str, Any]]:
    from palewright import exchange

    listed: list[dict[str, Any]] = json.loads(exchange.entries_json(found))["entries"]
    return listed
