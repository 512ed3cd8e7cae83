"""A file of another program, put beside the job before, as the first draft of the job or as its points and boundary."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from fastapi import Query, Response

from palewright.web import shapes
from palewright.web.api_drawing import DRAWN, drawn
from palewright.web.api_files import guarded
from palewright.web.api_jobs import title_of
from palewright.web.desk import folder_of
from palewright.web.faults import said
from palewright.web.routes import FileName, JobId, job_of, router
from palewright.web.security import Estimator, Visit

if TYPE_CHECKING:
    from palewright.exchange import Asked

__all__ = ["api"]

api = router("import")

_MOST_S = 60.0
"""Longer no file of another program is read [s] (our own choice)."""


@api.get("/jobs/{job}/files/{name}/outlines")
def outlines(
    visit: Estimator,
    job: JobId,
    name: FileName,
    unit: Annotated[str, Query(max_length=20)] = "",
    crs: Annotated[str, Query(max_length=40)] = "",
    layer: Annotated[str, Query(max_length=200)] = "",
) -> list[shapes.Outline]:
    """Rings and lines of a file beside the job, the largest first: which of them is the lot?"""
    from palewright import exchange
    from palewright.notation import show_area, show_length

    asked = exchange.Asked(unit, crs, "", layer, any_size=True)
    with visit.house.hand.turn(), _alone(visit, job, name) as path:
        found = visit.house.helpers.within(_MOST_S, exchange.list_file, path, asked)
    return [
        shapes.Outline(
            kind=kind, name=called, layer=on, size=show_area(area) if kind == "ring" else show_length(length)
        )
        for kind, called, area, length, on in found[:200]
    ]


@api.post("/jobs/{job}/import", responses=DRAWN)
def import_file(visit: Estimator, job: JobId, new: shapes.Import) -> Response:
    """Draft from a file beside the job, as `palewright import` does, and take the draft into the job."""
    from palewright import drafting

    store = visit.house.store
    entry = job_of(visit, job)
    text = store.revisions.text(job, new.revision)
    with visit.house.hand.turn(), _alone(visit, job, new.file) as path:
        made, cautions = visit.house.helpers.within(
            _MOST_S, _drafted, path, _asked(new), new.ring, new.way, entry.title, new.lang
        )
    with visit.house.hand.turn(job) as seat, folder_of(visit.house, job) as folder:
        done = visit.house.compute(seat, drafting.take_draft, text, made, folder, new.lang)
    saved = store.revisions.save(
        job, done.text, on=new.revision, title=title_of(done.text, entry.title), by=visit.by,
        why=f"taken from {new.file}"[:200], key=new.key,
    )  # fmt: skip
    return drawn(visit, saved, new.lang, (*done.said, *cautions), done.made, since=new.since)


def _drafted(path: Path, asked: Asked, ring: str, way: str, title: str, lang: str) -> tuple[str, tuple[str, ...]]:
    """The text of a draft, and what is to be said of it in a language."""
    from palewright import exchange

    made = exchange.import_file(path, asked, ring, way, title)
    cautions = (f"{one.what}: {one.found}" if one.found else one.what for one in said(made.drawn.cautions, lang))
    return made.text, tuple(cautions)


def _asked(new: shapes.Import) -> Asked:
    from palewright import notation
    from palewright.exchange import Asked

    up = notation.parse_length(new.height, signed=True).m if new.height else None
    return Asked(new.unit, new.crs, new.order, new.layer, up, None, new.any_size)


@contextmanager
def _alone(visit: Visit, job: str, name: str) -> Iterator[Path]:
    """The file by itself in a passing folder: what reads it opens nothing else."""
    kept = visit.house.store.files.path(job, name)
    guarded(visit, job, name)
    with tempfile.TemporaryDirectory(prefix="palewright-") as folder:
        path = Path(folder) / Path(name).name
        shutil.copyfile(kept, path)
        yield path
