"""A few values of a job changed without reading its file again: what a drag does, many times a second."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from palewright.drafting.moving import Value
from palewright.jobfile.writing import Plain
from palewright.model import Job, PointRef
from palewright.plane import XY
from palewright.record import other

__all__ = ["patched"]

Path = tuple[str | int, ...]
Read = Callable[[str], float]


def patched(job: Job, values: Sequence[Value], read: Read) -> Job | None:
    """The job with values at key paths, as if its file had been read with them; None where that is not simple.

    read
        a length of the job file [m].
    """
    for path, value in values:
        found = _patch(job, path, value, read)
        if found is None:
            return None
        job = found
    return job


def _patch(job: Job, path: Path, value: Plain, read: Read) -> Job | None:
    section = path[0]
    if section == "points" and len(path) == 3 and path[2] in ("at", "distance"):
        return _point(job, str(path[1]), str(path[2]), value, read)
    if section == "walks" and len(path) == 4 and path[2] == "go":
        return _walk(job, path, value, read)
    if section == "runs" and len(path) == 5 and path[2] == "gates" and path[4] in ("starts", "centre"):
        return _gate(job, path, str(value), read)
    xy = value if isinstance(value, str) else _xy(value, read)
    if xy is None:
        return None
    if section == "buildings" and len(path) == 3:
        rows = tuple((name, _refs(refs, int(path[2]), xy) if name == path[1] else refs) for name, refs in job.buildings)
        return other(job, buildings=rows)
    if section == "boundary" and len(path) == 3 and job.boundary is not None:
        return other(job, boundary=other(job.boundary, through=_refs(job.boundary.through, int(path[2]), xy)))
    k = path[-1] if isinstance(path[-1], int) else 0
    fields = {"clear of": "zones", "remove": "removals", "runs": "runs"}
    if section in fields and path[2] in ("through", "at"):
        records: tuple[Any, ...] = getattr(job, fields[section])
        n = int(path[1])
        changed = other(records[n], through=_refs(records[n].through, k, xy))
        row: dict[str, Any] = {fields[str(section)]: (*records[:n], changed, *records[n + 1 :])}
        return other(job, **row)
    return None


def _xy(value: Plain, read: Read) -> XY | None:
    if isinstance(value, str) or not isinstance(value, Sequence) or len(value) != 2:
        return None
    return (read(str(value[0])), read(str(value[1])))


def _refs(refs: tuple[PointRef, ...], k: int, spot: str | XY) -> tuple[PointRef, ...]:
    """A corner at other coordinates, or where a named point is."""
    ref = other(refs[k], name=spot, xy=None) if isinstance(spot, str) else other(refs[k], xy=spot)
    return (*refs[:k], ref, *refs[k + 1 :])


def _point(job: Job, name: str, key: str, value: Plain, read: Read) -> Job | None:
    k = next((k for k, point in enumerate(job.points) if point.name == name), None)
    if k is None:
        return None
    if key == "at":
        xy = _xy(value, read)
        if xy is None:
            return None
        point = other(job.points[k], xy=xy)
    else:
        point = other(job.points[k], distance_m=read(str(value)))
    return other(job, points=(*job.points[:k], point, *job.points[k + 1 :]))


def _walk(job: Job, path: Path, value: Plain, read: Read) -> Job | None:
    w, step = int(path[1]), int(path[3])
    walk, text = job.walks[w], str(value)
    turn = other(walk.steps[step], length_m=read(text), words=" ".join(text.split()))
    walk = other(walk, steps=(*walk.steps[:step], turn, *walk.steps[step + 1 :]))
    return other(job, walks=(*job.walks[:w], walk, *job.walks[w + 1 :]))


def _gate(job: Job, path: Path, text: str, read: Read) -> Job | None:
    r, g = int(path[1]), int(path[3])
    run, key = job.runs[r], "centre" if path[4] == "centre" else "start"
    gate = run.gates[g]
    length, found, point = text.partition(" from ")
    if not found or gate.reference != key or point != gate.from_point:
        return None
    gate = other(gate, starts_m=read(length))
    run = other(run, gates=(*run.gates[:g], gate, *run.gates[g + 1 :]))
    return other(job, runs=(*job.runs[:r], run, *job.runs[r + 1 :]))
