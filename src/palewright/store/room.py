"""How much is taken of photos and files: for one job, for all of them together, and what is left of the disk.

Entries of the yard come in as long as the disk has room at all: they are small and matter most. Photos and files stop
well before that, the texts of jobs a little later.
"""

from __future__ import annotations

import shutil
from collections import Counter

from palewright.errors import ProblemError
from palewright.store.core import Core
from palewright.store.database import Row, Work, refuse
from palewright.store.trouble import files_told

__all__ = ["check_disk", "check_room", "drop_earlier", "in_words"]


def in_words(size: int) -> str:
    """A number of bytes for a person.

    >>> in_words(25_000_000), in_words(1_500_000_000), in_words(800)
    ('25 MB', '1.5 GB', '800 bytes')
    """
    for unit, large in (("GB", 10**9), ("MB", 10**6)):
        if size >= large:
            return f"{size / large:.3g} {unit}"
    return f"{size:,} bytes"


def check_disk(core: Core, need: int, spare: int) -> None:
    """Raises ProblemError ``data-disk-low`` where the disk would be left with less than ``spare`` bytes."""
    with files_told(core.folder):
        free = shutil.disk_usage(core.folder).free
    if free - need < spare:
        raise refuse(
            "data-disk-low",
            "The disk that keeps the jobs has little room left; what was sent was not taken",
            found=f"{in_words(free)} free",
            allowed=f"{in_words(spare)} stay free for entries of the yard",
            hint="make room on the disk, then send it again; entries of the yard are taken all the same",
        )


def check_room(work: Work, core: Core, job: str, need: int, name: str = "") -> None:
    """Whether so many bytes more have room in a job and in the house. Versions of files that were replaced give way.

    name
        of the file that the bytes take the place of, "" for a photo or a copy.
    Raises ProblemError ``job-room-full``, ``house-room-full``.
    """
    limits = core.limits
    stand = sum(row["bytes"] for row in _last(_rows(work, job)).values() if row["name"] != name)
    own = need + stand + _sum(work, "photos WHERE job = :job", job)
    if own > limits.job_bytes:
        raise _full("job-room-full", "Photos and files of this job fill the room that a job has", own, limits.job_bytes)
    whole = own + _others(work, job)
    if whole > limits.all_bytes:
        what = "Photos and files of all jobs together fill the room that they have"
        raise _full("house-room-full", what, whole, limits.all_bytes)


def drop_earlier(work: Work, core: Core, job: str) -> set[str]:
    """Let go of versions of a job's files that were replaced, all but the last few of each name; their digests.

    Where the job, or the house, is over its limit the oldest go too.
    """
    limits, rows = core.limits, _rows(work, job)
    last = _last(rows)
    gone = [name for name, row in last.items() if not row["digest"]]
    forgotten = set(gone[: max(len(gone) - limits.files, 0)])  # names that were taken away long ago
    size = sum(row["bytes"] for row in rows) + _sum(work, "photos WHERE job = :job", job)
    others = _others(work, job)
    later = Counter(row["name"] for row in rows)
    drop: list[Row] = []
    for row in rows:
        later[row["name"]] -= 1
        over = size > limits.job_bytes or size + others > limits.all_bytes
        replaced = later[row["name"]] > 0
        if row["name"] in forgotten or (replaced and (over or later[row["name"]] > limits.versions)):
            drop.append(row)
            size -= row["bytes"]
    work.many(
        "DELETE FROM files WHERE job = :job AND number = :number",
        [{"job": job, "number": row["number"]} for row in drop],
    )
    return {row["digest"] for row in drop if row["digest"]}


def _rows(work: Work, job: str) -> list[Row]:
    return work.rows("SELECT number, name, digest, bytes FROM files WHERE job = :job ORDER BY number", job=job)


def _last(rows: list[Row]) -> dict[str, Row]:
    """The last row of each name, the names that changed last at the end."""
    last: dict[str, Row] = {}
    for row in rows:
        last.pop(row["name"], None)
        last[row["name"]] = row
    return last


def _sum(work: Work, where: str, job: str) -> int:
    return int(work.rows(f"SELECT COALESCE(SUM(bytes), 0) AS size FROM {where}", job=job)[0]["size"])


def _others(work: Work, job: str) -> int:
    return _sum(work, "photos WHERE job <> :job", job) + _sum(work, "files WHERE job <> :job", job)


def _full(slug: str, what: str, found: int, allowed: int) -> ProblemError:
    return refuse(
        slug,
        f"{what}; what was sent was not taken",
        found=f"{in_words(found)} with this one",
        allowed=in_words(allowed),
        hint="the owner can start `palewright serve` with more room; nothing is lost on a phone meanwhile",
    )
