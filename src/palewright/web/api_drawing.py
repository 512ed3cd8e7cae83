"""The drawing table: what a screen shows, edits, drags that save nothing, snapping, undo and redo."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Annotated, Any

from fastapi import Query, Response
from starlette.concurrency import run_in_threadpool

from palewright.errors import Problem, ProblemError
from palewright.store import JobEntry
from palewright.web import shapes
from palewright.web.api_files import named_in_edits
from palewright.web.api_jobs import entry_on, title_of
from palewright.web.desk import edited, hints_for, keep_sight, sight_of
from palewright.web.dragging import dragged, moved, moved_at_once
from palewright.web.routes import JobId, Lang, job_of, json_answer, router
from palewright.web.security import Crew, Estimator, Visit

__all__ = ["DRAWN", "api", "drawn"]

api = router("drawing")

Metres = Annotated[float, Query(ge=-1e8, le=1e8, allow_inf_nan=False)]

DRAWN: dict[int | str, dict[str, Any]] = {200: {"model": shapes.Drawn, "description": "the job and its sight"}}


@api.get("/jobs/{job}/sight", responses=DRAWN)
def sight(
    visit: Crew,
    job: JobId,
    lang: Lang = "en",
    against: Annotated[str, Query(max_length=80)] = "",
    beside: Annotated[str, Query(max_length=64)] = "",
    since: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0,
) -> Response:
    """What a screen shows of a job. ``against``: name of a version, ``beside``: another job, ``since``: a revision, to
    compare with.
    """
    store = visit.house.store
    entry = job_of(visit, job)
    earlier: tuple[str, int] | None = None
    if against:
        number = next((mark.number for mark in store.marks.all(job) if mark.name == against), None)
        if number is None:
            raise ProblemError(Problem("mark-unknown", "this job has no version of that name", found=against))
        earlier = (job, number)
    elif beside:
        earlier = (beside, job_of(visit, beside).revision)
    return drawn(visit, entry, lang, against=earlier, since=since)


@api.post("/jobs/{job}/edits", responses=DRAWN)
def edits(visit: Estimator, job: JobId, new: shapes.Edits) -> Response:
    """Do edits on the job file and save it, all or nothing."""
    from palewright import drafting

    store = visit.house.store
    entry = job_of(visit, job)
    text, against = store.revisions.text(job, new.revision), _since(job, new.since, new.revision + 1)
    named_in_edits(visit, job, new.edits)
    done, seen = edited(visit.house, entry, text, drafting.edits_from_json(new.edits), new.lang, against)
    saved = store.revisions.save(
        job, done.text, on=new.revision, title=title_of(done.text, entry.title), by=visit.by,
        why=", ".join(dict.fromkeys(str(edit.get("kind", "")) for edit in new.edits))[:200], key=new.key,
    )  # fmt: skip
    if (saved.revision, saved.files) == (new.revision + 1, entry.files) and store.revisions.text(job) == done.text:
        keep_sight(visit.house, saved, new.lang, against, seen)
    return drawn(visit, saved, new.lang, done.said, done.made, since=new.since)


@api.post("/jobs/{job}/trial", responses=DRAWN)
async def trial(visit: Estimator, job: JobId, drag: shapes.Drag) -> Response:
    """What the edits would give; nothing is saved."""
    from palewright import drafting

    assert visit.device is not None
    asked = drafting.edits_from_json(drag.edits)
    if any(edit.get("kind") == "set" for edit in drag.edits):
        await run_in_threadpool(named_in_edits, visit, job, drag.edits)
    done = moved_at_once(visit.house, job, visit.device.id, drag, asked)
    return _tried(*done) if done is not None else await run_in_threadpool(_moved, visit, job, drag, asked)


def _moved(visit: Visit, job: str, drag: shapes.Drag, asked: Sequence[Any]) -> Response:
    assert visit.device is not None
    entry = entry_on(visit, job, drag.revision)
    return _tried(entry, moved(visit.house, entry, visit.device.id, drag, asked))


def _tried(entry: JobEntry, sight: bytes) -> Response:
    return json_answer(_head(entry), sight, b"sight")


@api.post("/jobs/{job}/snap")
def snap(visit: Estimator, job: JobId, at: shapes.Pointing) -> dict[str, Any]:
    """What a place near the mouse snaps to, with words."""
    from palewright import drafting

    entry = entry_on(visit, job, at.revision)
    assert visit.device is not None
    chain = tuple((x, y) for x, y in at.so_far)
    aim = drafting.Aim((at.at[0], at.at[1]), at.near_m, at.what, chain, at.about, at.reads)
    with dragged(visit.house, entry, visit.device.id, at.lang) as held:
        found = held.trial.snap(aim, hints_for(visit.house, entry))
    answer: dict[str, Any] = {**drafting.to_json(found), "at": found.at}  # as exactly as it is to be saved
    return answer


@api.get("/jobs/{job}/typed")
def typed(visit: Estimator, job: JobId, about: Annotated[str, Query(max_length=200)]) -> dict[str, str]:
    """What stands in the job file of one thing ("corner NE", "gate side"), by key, as it is typed."""
    from palewright import drafting
    from palewright.web.desk import folder_of

    entry = job_of(visit, job)
    text = visit.house.store.revisions.text(job, entry.revision)
    with visit.house.hand.turn(), folder_of(visit.house, job) as folder:
        return drafting.typed(text, about, folder)


@api.get("/jobs/{job}/stretch")
def stretch(
    visit: Estimator, job: JobId, about: Annotated[str, Query(max_length=200)], lang: Lang = "en"
) -> dict[str, Any]:
    """One stretch of a run of wire from the side ("stretch north 3"); {} where there is none."""
    from palewright import drafting

    found = drafting.stretch_side(_lines(visit, job), about, lang)
    answer: dict[str, Any] = drafting.to_json(found) if found is not None else {}
    return answer


@api.get("/jobs/{job}/line-posts")
def line_posts(visit: Estimator, job: JobId, x0: Metres, y0: Metres, x1: Metres, y1: Metres) -> dict[str, Any]:
    """Where the line posts of runs of wire stand in a box, those of wood and those of steel."""
    from palewright import drafting

    found = drafting.posts_near(_lines(visit, job), (x0, y0, x1, y1))
    return {name: [drafting.to_json(post) for post in posts] for name, posts in found.items()}


def _lines(visit: Visit, job: str) -> Any:
    from palewright.web.desk import plan_of

    return plan_of(visit.house, job_of(visit, job), priced=False)


@api.post("/jobs/{job}/undo", responses=DRAWN)
def undo(visit: Estimator, job: JobId, step: shapes.Step) -> Response:
    """Take the last change back."""
    entry = visit.house.store.revisions.undo(job, on=step.revision, by=visit.by, key=step.key)
    return drawn(visit, entry, step.lang, since=step.since)


@api.post("/jobs/{job}/redo", responses=DRAWN)
def redo(visit: Estimator, job: JobId, step: shapes.Step) -> Response:
    """Do again what was taken back."""
    entry = visit.house.store.revisions.redo(job, on=step.revision, by=visit.by, key=step.key)
    return drawn(visit, entry, step.lang, since=step.since)


@lru_cache(64)
def _head(entry: JobEntry, said: tuple[str, ...] = (), made: tuple[str, ...] = ()) -> bytes:
    """All of a Drawn but its sight."""
    drawn = shapes.Drawn(job=shapes.Job.of(entry), said=list(said), made=list(made), sight={})
    return drawn.model_dump_json(exclude={"sight"}).encode()


def drawn(
    visit: Visit,
    entry: JobEntry,
    language: str,
    said: tuple[str, ...] = (),
    made: tuple[str, ...] = (),
    *,
    against: tuple[str, int] | None = None,
    since: int = 0,
) -> Response:
    """The job and its sight; ``against``: a job and its revision that it is compared with, ``since``: its own."""
    against = against or _since(entry.id, since, entry.revision)
    return json_answer(_head(entry, said, made), sight_of(visit.house, entry, language, against), b"sight")


def _since(job: str, since: int, revision: int) -> tuple[str, int] | None:
    """The revision of a job that a later one is compared with, None for none."""
    return (job, since) if 0 < since < revision else None
