"""What the operating system says of files, in words.

Where on this machine it was stands in ``where.file`` alone: whoever is told over the network is not told that.
"""

from __future__ import annotations

import errno
import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from palewright.errors import Problem, ProblemError, Where

__all__ = ["file_problem", "files_told", "locked", "replace_file", "sync_folder"]

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_READ_ONLY = {errno.EROFS, errno.EACCES, errno.EPERM}


def file_problem(error: OSError, where: Path) -> Problem:
    """The problem that an error with a file of the data folder amounts to."""
    if error.errno in _FULL:
        return disk_full(str(where))
    if error.errno in _READ_ONLY:
        return read_only(str(where))
    return Problem(
        "data-disk-failed",
        "A file of the data folder cannot be read or written",
        Where(file=str(where)),
        found=error.strerror or f"error {error.errno}",
    )


def disk_full(where: str) -> Problem:
    """The problem of a disk without room."""
    return Problem(
        "data-disk-full",
        "There is no room left on the disk; this change was not saved",
        Where(file=where),
        hint="make room, then do it again; what was saved before is whole",
    )


def read_only(where: str) -> Problem:
    """The problem of a folder that takes no changes."""
    return Problem(
        "data-folder-read-only",
        "The data cannot be written: the folder is read-only, or belongs to someone else; this change was not saved",
        Where(file=where),
        hint="let this user write there, or name another folder with --data",
    )


@contextmanager
def files_told(where: Path) -> Iterator[None]:
    """Raise what the operating system says of files as ProblemError."""
    try:
        yield
    except OSError as error:
        raise ProblemError(file_problem(error, where)) from error


@contextmanager
def locked(path: Path, *, wait: bool = True) -> Iterator[None]:
    """Hold a lock that other threads and other processes wait for; ``path``: of a file made for it, or of a folder.

    Raises OSError when its file cannot be made; without ``wait`` BlockingIOError when somebody else holds it.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    way = os.O_RDONLY if path.is_dir() else os.O_RDWR | os.O_CREAT
    handle = os.open(path, way | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
        yield
    finally:
        os.close(handle)


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk, not only in memory."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def replace_file(path: Path, data: bytes) -> None:
    """Write a file so that there is the old one or the new one under its name, and never half of one."""
    fresh = path.with_name(f".{path.name[:60]}.{os.getpid()}.new")
    try:
        fresh.write_bytes(data)
        os.replace(fresh, path)
    except OSError:
        fresh.unlink(missing_ok=True)
        raise
