"""A draft that was made from a file of another program, taken into a job: its points, its boundary, its north."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from palewright.drafting.applying import Applied
from palewright.drafting.desk import Desk, refuse
from palewright.drafting.drawing import no_boundary
from palewright.drafting.naming import known_names
from palewright.jobfile import Document

__all__ = ["take_draft"]


def take_draft(text: str, draft: str, folder: Path | None = None, language: str = "en") -> Applied:
    """The text of a job with what a draft gives it; a job with nothing but a title becomes the draft.

    draft
        the text of a job file, as :func:`palewright.exchange.import_file` makes it.
    Raises ProblemError: ``boundary-there`` where both have a boundary, ``name-taken`` where both name a point.
    """
    desk, drawn = Desk(text, folder, language), Document(draft)
    if _bare(desk.document):
        title = desk.document.get("job.title")
        if isinstance(title, str) and title:
            drawn.set("job.title", title)
        return Applied(drawn.dump(), (), ("boundary",) if drawn.get("boundary") is not None else ())
    boundary, points = drawn.get("boundary"), drawn.get("points")
    rows = points if isinstance(points, Mapping) else {}
    if boundary is not None:
        no_boundary(desk)
    taken = known_names(desk.document.get([])) & set(rows)
    if taken:
        raise refuse("name-taken", "the job has points of these names already", ", ".join(sorted(taken)[:12]),
                     "rename them here, or begin another job with the file", "points")  # fmt: skip
    for name, row in rows.items():
        desk.insert(["points", name], row)
        desk.made.append(f"point {name}")
    if boundary is not None:
        desk.insert("boundary", boundary, 2 if "calls" in boundary else 1)  # type: ignore[operator]
        desk.made.insert(0, "boundary")
    job, north = desk.document.get("job"), drawn.get("job.north")
    if isinstance(job, Mapping) and "north" not in job and north is not None:
        desk.insert(["job", "north"], north)
    desk.say("file_taken")
    return Applied(desk.document.dump(), tuple(desk.said), tuple(desk.made))


def _bare(document: Document) -> bool:
    """Whether a job says nothing but its title."""
    held, job = document.get([]), document.get("job")
    return (
        isinstance(held, Mapping)
        and set(held) <= {"palewright", "job"}
        and isinstance(job, Mapping)
        and set(job) <= {"title"}
    )
