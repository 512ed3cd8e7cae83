"""Records of the store: jobs, revisions, marks, files, photos, devices; and what it takes at most."""

from __future__ import annotations

from palewright.errors import Problem, ProblemError
from palewright.record import Record

__all__ = [
    "Arrival",
    "ChangedElsewhere",
    "Device",
    "FileEntry",
    "JobEntry",
    "Limits",
    "Mark",
    "Pairing",
    "PairingCode",
    "Photo",
    "Revision",
]


class JobEntry(Record):
    """One job as it stands.

    revision
        the number of its head. can_undo, can_redo: whether there is something to take back, or to do again.
    made, changed
        times [ISO 8601, UTC].
    files
        how often a file beside it was put or taken away: a plan kept in memory is stale when ``revision`` or
        ``files`` differs.
    entries
        the number of the last yard entry, 0 where there is none.
    gone
        when it was removed; "" when it was not. A job that is gone is kept.
    cautions
        what is to be said of its folder on disk: what was saved is saved all the same.
    """

    id: str
    title: str
    revision: int
    can_undo: bool
    can_redo: bool
    made: str
    changed: str
    files: int = 0
    entries: int = 0
    gone: str = ""
    cautions: tuple[Problem, ...] = ()


class Revision(Record):
    """One saved state of a job's text. Numbers go up by one; a revision is never changed and never deleted.

    text_digest
        SHA-256 of the text, as hexadecimal digits.
    by, at, why
        the device or person, the time [ISO 8601, UTC], and what was done, in words.
    undo_to, redo_to
        the revision whose text undo, or redo, brings back from here; None where there is none.
    """

    job: str
    number: int
    title: str
    text_digest: str
    by: str
    at: str
    why: str
    undo_to: int | None = None
    redo_to: int | None = None


class Mark(Record):
    """A revision with a name that a person gave it."""

    job: str
    name: str
    number: int
    by: str
    at: str


class FileEntry(Record):
    """A file beside a job, as last put; ``digest`` is the SHA-256 of its bytes, ``role`` that of who put it.

    ``role`` is "" where it was put before roles were written down.
    """

    job: str
    name: str
    digest: str
    bytes: int
    by: str
    at: str
    role: str = ""


class Photo(Record):
    """A photo from the yard; ``kind`` is its media type, told from its first bytes."""

    job: str
    id: str
    kind: str
    digest: str
    bytes: int
    by: str
    at: str


class Device(Record):
    """A phone or computer that may come in, as ``owner``, ``estimator`` or ``crew``; ``ended`` is "" while it may."""

    id: str
    name: str
    role: str
    made: str
    seen: str
    ended: str = ""


class PairingCode(Record):
    """A code that lets one device in, once, until a time. It is shown when it is made and kept nowhere."""

    code: str
    role: str
    until: str


class Pairing(Record):
    """A device that was let in, and the token that it shows from then on. Only the token's hash is kept."""

    device: Device
    token: str


class Arrival(Record):
    """Numbers of the entries just sent, in the order sent, and the last number of the job."""

    numbers: tuple[int, ...]
    last: int


class Limits(Record):
    """What is taken at most.

    text_bytes, file_bytes, photo_bytes, entry_bytes
        bytes of a job's text, of a file beside it, of a photo, of a yard entry.
    files, photos, entries
        of one job. entries_at_once: in one request. entries_bytes: of all that the entries of one job say.
    versions
        of each file that were replaced and are kept.
    job_bytes, all_bytes
        of photos and files of one job, and of all jobs.
    spare_bytes
        left free on the disk by photos and files; spare_for_yard: by the texts of jobs too.
    """

    text_bytes: int = 4_000_000
    file_bytes: int = 64_000_000
    files: int = 200
    versions: int = 5
    photo_bytes: int = 25_000_000
    photos: int = 5_000
    job_bytes: int = 5_000_000_000
    all_bytes: int = 100_000_000_000
    spare_bytes: int = 1_000_000_000
    spare_for_yard: int = 200_000_000
    entry_bytes: int = 16_000
    entries_at_once: int = 2_000
    entries: int = 200_000
    entries_bytes: int = 64_000_000


class ChangedElsewhere(ProblemError):  # noqa: N818 - it is no fault
    """A change was made on a revision that is no longer the last; ``present`` is the job as it stands."""

    def __init__(self, present: JobEntry, on: int) -> None:
        self.present = present
        super().__init__(
            Problem(
                "job-changed-elsewhere",
                "The job was changed in another window or on another device meanwhile",
                found=f"a change made on revision {on}",
                allowed=f"a change made on revision {present.revision}",
                hint="look at the job as it stands now and make the change again",
            )
        )
