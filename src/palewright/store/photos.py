"""Photos from the yard: taken in piece by piece, kept under their digest, seen in the job's folder."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from palewright.store.core import Core, line
from palewright.store.database import Row, Work, refuse
from palewright.store.entries import get_job, present
from palewright.store.folders import Folders
from palewright.store.kept import Intake, Received, kept_path, too_large
from palewright.store.records import Photo
from palewright.store.room import check_disk, check_room

__all__ = ["UUID", "Photos", "photo_kind"]

UUID = re.compile(r"[0-9a-f]{8}-(?:[0-9a-f]{4}-){3}[0-9a-f]{12}", re.ASCII)


def photo_kind(head: bytes) -> str:
    """The media type of a photo by its first bytes; "" for what is none of the kinds that are taken.

    Source: PNG, W3C Recommendation third edition, 5.2; JPEG, ITU-T T.81, table B.1 (SOI); WebP, RFC 9649, 2.4;
    HEIC, ISO/IEC 23008-12, brands of the ``ftyp`` box (from memory).

    >>> photo_kind(b"\\xff\\xd8\\xff\\xe0....JFIF"), photo_kind(b"<svg onload=")
    ('image/jpeg', '')
    """
    if head.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "image/webp"
    if head[4:8] == b"ftyp" and head[8:12] in (b"heic", b"heix", b"hevc", b"mif1"):
        return "image/heic"
    return ""


class Photos:
    """The photos of each job."""

    def __init__(self, core: Core, folders: Folders) -> None:
        self._core = core
        self._folders = folders

    def receive(self, job: str, photo: str, *, by: str, announced: int = 0) -> Intake[Photo]:
        """An intake for a photo with an id (uuid) that its device made: the same photo twice is kept once.

        announced
            bytes that will come, 0 where nobody knows: refused now what would be later.
        Raises ProblemError ``entry-unusable`` for an id that is no uuid, ``job-unknown``, ``job-gone``,
        ``data-disk-low``, and as its ``done()`` ``photos-too-many``, ``job-room-full``, ``house-room-full``; while it
        is written ``upload-too-large``; its ``done()`` ``photo-kind-unknown``, ``photo-id-used``.
        """
        core = self._core
        if not UUID.fullmatch(photo):
            raise refuse("entry-unusable", "A photo needs an id that is a uuid", found=line(photo, 60))
        if announced > core.limits.photo_bytes:
            raise too_large(core.limits.photo_bytes)
        check_disk(core, announced, core.limits.spare_bytes)
        with core.database.reading() as work:
            present(work, job)
            if not work.rows("SELECT id FROM photos WHERE id = :id", id=photo):
                self._check_room(work, job, announced)
        return Intake(
            core,
            core.limits.photo_bytes,
            lambda received: self._insert(job, photo, received, by),
            _check,
            lambda: self._folders.refresh(job),
        )

    def put(self, job: str, photo: str, chunks: Iterable[bytes], *, by: str) -> Photo:
        """Keep a photo that comes in pieces. Raises as :meth:`receive`."""
        with self.receive(job, photo, by=by) as intake:
            for chunk in chunks:
                intake.write(chunk)
            return intake.done()

    def _check_room(self, work: Work, job: str, size: int) -> None:
        (row,) = work.rows("SELECT count(*) AS photos FROM photos WHERE job = :job", job=job)
        most = self._core.limits.photos
        if row["photos"] >= most:
            raise refuse("photos-too-many", "A job has so many photos and no more", allowed=f"{most:,}")
        check_room(work, self._core, job, size)

    def _insert(self, job: str, photo: str, received: Received, by: str) -> Photo:
        with self._core.database.writing() as work:
            present(work, job)
            work.hold("room")
            if not work.rows("SELECT id FROM photos WHERE id = :id", id=photo):
                self._check_room(work, job, received.size)
            work.run(
                """INSERT INTO photos (id, job, kind, digest, bytes, made_by, made_at)
                VALUES (:id, :job, :kind, :digest, :bytes, :by, :now) ON CONFLICT DO NOTHING""",
                id=photo,
                job=job,
                kind=photo_kind(received.head),
                digest=received.digest,
                bytes=received.size,
                by=line(by, 200),
                now=self._core.now(),
            )
            (row,) = work.rows("SELECT * FROM photos WHERE id = :id", id=photo)
            if (row["job"], row["digest"]) != (job, received.digest):
                raise refuse(
                    "photo-id-used", "Another photo came with the same id", hint="send it with an id of its own"
                )
        return _photo(row)

    def all(self, job: str) -> tuple[Photo, ...]:
        """The photos of a job in order of arrival. Raises ProblemError ``job-unknown``."""
        with self._core.database.reading() as work:
            get_job(work, job)
            rows = work.rows("SELECT * FROM photos WHERE job = :job ORDER BY made_at, id", job=job)
        return tuple(_photo(row) for row in rows)

    def entry(self, job: str, photo: str) -> Photo:
        """One photo. Raises ProblemError ``photo-unknown``, ``job-unknown``."""
        rows: list[Row] = []
        with self._core.database.reading() as work:
            get_job(work, job)
            if UUID.fullmatch(photo):
                rows = work.rows("SELECT * FROM photos WHERE job = :job AND id = :id", job=job, id=photo)
        if not rows:
            raise refuse("photo-unknown", "The job has no such photo")
        return _photo(rows[0])

    def path(self, job: str, photo: str) -> Path:
        """Where the bytes of a photo are kept; read them only.

        Raises ProblemError ``photo-unknown``, ``job-unknown``.
        """
        return kept_path(self._core.folder, self.entry(job, photo).digest)


def _check(received: Received) -> None:
    if not photo_kind(received.head):
        raise refuse(
            "photo-kind-unknown",
            "What came is not a photo of a kind that is taken; it was not kept",
            allowed="JPEG, PNG, WebP, HEIC",
        )


def _photo(row: Row) -> Photo:
    return Photo(row["job"], row["id"], row["kind"], row["digest"], row["bytes"], row["made_by"], row["made_at"])
