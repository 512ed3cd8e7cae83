"""Papers as PDF, exports, and what the material costs."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path, Query, Response

from palewright.errors import ProblemError
from palewright.web import shapes
from palewright.web.desk import paper, papers_of, plan_of
from palewright.web.faults import plain_problem, said, status_of
from palewright.web.routes import JobId, Lang, bytes_answer, job_of, router
from palewright.web.security import Crew, Estimator, Owner

__all__ = ["EXPORTS", "api"]

api = router("papers")

_KINDS = {
    "plan-json": ("application/json", "plan.json"),
    "posts-csv": ("text/csv; charset=utf-8", "posts.csv"),
    "materials-csv": ("text/csv; charset=utf-8", "materials.csv"),
    "svg": ("image/svg+xml", "plan.svg"),
    "dxf": ("image/vnd.dxf", "plan.dxf"),
    "scene-json": ("application/json", "scene.json"),
    "landxml": ("application/xml", "plan.xml"),
    "pnezd-csv": ("text/csv; charset=utf-8", "points.csv"),
    "geojson": ("application/geo+json", "plan.geojson"),
    "geopackage": ("application/geopackage+sqlite3", "plan.gpkg"),
    "shapefile": ("application/zip", "plan-shapefile.zip"),
    "kml": ("application/vnd.google-earth.kml+xml", "plan.kml"),
    "gpx": ("application/gpx+xml", "plan.gpx"),
}
EXPORTS = tuple(_KINDS)
"""Every format of a plan; docs/exchange.md."""

_AS_BUILT = "asbuilt.pdf"


@api.get("/jobs/{job}/papers")
def papers(visit: Crew, job: JobId, lang: Lang = "en") -> shapes.Papers:
    """The papers that this job has, in reading order, the as-built sheet last; or what keeps it from being planned."""
    from palewright.web.words import words

    entry = job_of(visit, job)
    try:
        names = [*papers_of(plan_of(visit.house, entry, priced=False)), *([_AS_BUILT] if entry.entries else [])]
    except ProblemError as error:
        return shapes.Papers(papers=[], problems=_of_the_job(error, lang))
    titles = words(lang)["paper"]
    made = [shapes.Paper(name=name, title=titles.get(name.removesuffix(".pdf"), name)) for name in names]
    return shapes.Papers(papers=made, problems=[])


def _of_the_job(error: ProblemError, language: str) -> list[shapes.Trouble]:
    """What is wrong with a job; whatever else went wrong is raised again."""
    if status_of(error.problems) != 422:
        raise error
    return [shapes.Trouble.model_validate(plain_problem(problem)) for problem in said(error.problems, language)]


@api.get(
    "/jobs/{job}/papers/{name}.pdf",
    response_class=Response,
    responses={200: {"content": {"application/pdf": {}}, "description": "the paper"}},
)
def one_paper(visit: Crew, job: JobId, name: Annotated[str, Path(max_length=40)], lang: Lang | None = None) -> Response:
    """A paper as PDF, in the language of the job unless another is asked for. Only the owner's shows prices."""
    entry = job_of(visit, job)
    if f"{name}.pdf" == _AS_BUILT and entry.entries:
        from palewright.web.api_yard import as_built_paper

        return as_built_paper(visit, job, lang)
    data = paper(visit.house, entry, f"{name}.pdf", lang or "", priced=visit.priced)
    return bytes_answer(data, "application/pdf", f"{name}.pdf", inline=True)


@api.get(
    "/jobs/{job}/exports/job-yaml",
    response_class=Response,
    responses={200: {"content": {"application/yaml": {}}, "description": "the job file"}},
)
def job_file(visit: Estimator, job: JobId) -> Response:
    """The job file itself."""
    text = visit.house.store.revisions.text(job)
    return bytes_answer(text.encode(), "application/yaml", "job.yaml")


@api.get(
    "/jobs/{job}/exports/{form}",
    response_class=Response,
    responses={200: {"content": {"application/octet-stream": {}}, "description": "the file"}},
)
def one_export(
    visit: Estimator,
    job: JobId,
    form: Annotated[str, Path(max_length=40)],
    place: Annotated[
        str, Query(max_length=200, description="POINT, latitude, longitude; for formats on the globe")
    ] = "",
    height_m: Annotated[float, Query(ge=-1e4, le=1e4, allow_inf_nan=False)] = 0.0,
) -> Response:
    """One file in one format. Only the owner's shows prices."""
    from palewright import plan as engine

    plan = plan_of(visit.house, job_of(visit, job), priced=visit.priced)
    with visit.house.hand.turn():
        data = engine.export(plan, form, place, height_m)
    kind, name = _KINDS[form]
    return bytes_answer(data, kind, name)


@api.get("/jobs/{job}/money")
def money(visit: Owner, job: JobId, lang: Lang = "en") -> shapes.Money:
    """What the material costs."""
    from palewright.papers import bought_words

    entry = job_of(visit, job)
    try:
        plan = plan_of(visit.house, entry, priced=True)
    except ProblemError as error:
        problems = _of_the_job(error, lang)
        return shapes.Money(revision=entry.revision, currency="", total=None, unpriced=[], lines=[], problems=problems)
    takeoff = plan.takeoff
    lines = [
        shapes.MoneyLine(
            code=item.code, what=what, buy=item.buy, unit=unit,
            price=None if item.price is None else str(item.price), cost=None if item.cost is None else str(item.cost),
        )
        for item, (what, unit) in zip(takeoff.items, bought_words(plan, lang), strict=True)
    ]  # fmt: skip
    return shapes.Money(
        revision=entry.revision, currency=takeoff.currency, total=None if takeoff.total is None else str(takeoff.total),
        unpriced=[line.code for line in lines if line.price is None], lines=lines,
    )  # fmt: skip
