"""The first five minutes: from an empty job to something drawn, by plain questions one at a time."""

from __future__ import annotations

from fastapi import Response

from palewright.web import shapes_walk
from palewright.web.api_drawing import DRAWN, drawn
from palewright.web.api_jobs import title_of
from palewright.web.desk import folder_of
from palewright.web.routes import JobId, Lang, job_of, router
from palewright.web.security import Estimator

__all__ = ["api"]

api = router("first five minutes")


@api.get("/jobs/{job}/walk")
def walk(visit: Estimator, job: JobId, lang: Lang = "en") -> shapes_walk.Walk:
    """What was assumed so far, and the next question."""
    from palewright import drafting

    entry = job_of(visit, job)
    text = visit.house.store.revisions.text(job, entry.revision)
    with visit.house.hand.turn(job) as seat, folder_of(visit.house, job) as folder:
        found = visit.house.compute(seat, drafting.walk_questions, text, lang, folder)
    return shapes_walk.Walk.model_validate(drafting.to_json(found))


@api.post("/jobs/{job}/walk", responses=DRAWN)
def answer(visit: Estimator, job: JobId, new: shapes_walk.Answer) -> Response:
    """Answer a question: the job file is written on and saved."""
    from palewright import drafting

    store = visit.house.store
    entry = job_of(visit, job)
    text = store.revisions.text(job, new.revision)
    with visit.house.hand.turn(job) as seat, folder_of(visit.house, job) as folder:
        done = visit.house.compute(seat, drafting.walk_answer, text, new.question, new.values, new.lang, folder)
    saved = store.revisions.save(
        job, done.text, on=new.revision, title=title_of(done.text, entry.title), by=visit.by,
        why=f"answered: {new.question}", key=new.key,
    )  # fmt: skip
    return drawn(visit, saved, new.lang, done.said, done.made, since=new.since)
