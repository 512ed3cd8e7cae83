"""Bytes that are kept: photos and files beside jobs, each once, under the digest of what is in it."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from types import TracebackType
from typing import Generic, Self, TypeVar

from palewright.errors import ProblemError
from palewright.store.database import refuse
from palewright.store.trouble import file_problem, sync_folder

__all__ = ["Intake", "Received", "kept_path", "sweep"]

T = TypeVar("T")

_HEAD = 64
_OLD_S = 86_400


class Received:
    """What an intake took: the digest and number of its bytes, and the first few of them."""

    def __init__(self, digest: str, size: int, head: bytes) -> None:
        self.digest = digest
        self.size = size
        self.head = head


class Intake(Generic[T]):
    """Bytes on their way in. Write them in pieces, then say ``done()``; without it nothing is kept.

    >>> import tempfile
    >>> with Intake(Path(tempfile.mkdtemp()), 10, lambda received: received.size) as intake:
    ...     intake.write(b"gravel")
    ...     intake.done()
    6
    """

    def __init__(
        self, folder: Path, most: int, keep: Callable[[Received], T], check: Callable[[Received], None] = lambda _: None
    ) -> None:
        self._folder = folder / "kept"
        self._most = most
        self._keep = keep
        self._check = check
        self._digest = sha256()
        self._size = 0
        self._head = b""
        self._path = self._folder / f".new-{secrets.token_hex(8)}"
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            self._file = self._path.open("xb", buffering=0)
        except OSError as error:
            raise ProblemError(file_problem(error, self._folder)) from error

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()
        self._path.unlink(missing_ok=True)

    def write(self, chunk: bytes) -> None:
        """Take the next piece. Raises ProblemError ``upload-too-large``, ``data-disk-full`` and the like."""
        self._size += len(chunk)
        if self._size > self._most:
            raise refuse(
                "upload-too-large",
                "A file is larger than what is taken; nothing of it was kept",
                found=f"more than {self._most:,} bytes",
                allowed=f"up to {self._most:,} bytes",
            )
        self._digest.update(chunk)
        self._head = (self._head + chunk[:_HEAD])[:_HEAD]
        rest = memoryview(chunk)
        try:
            while rest:
                rest = rest[self._file.write(rest) :]
        except OSError as error:
            raise ProblemError(file_problem(error, self._folder)) from error

    def done(self) -> T:
        """Keep what was written and write it down. Raises ProblemError as the part of the store says."""
        received = Received(self._digest.hexdigest(), self._size, self._head)
        self._check(received)
        target = kept_path(self._folder.parent, received.digest)
        try:
            os.fsync(self._file.fileno())
            self._file.close()
            target.parent.mkdir(exist_ok=True)
            os.chmod(self._path, 0o444)
            os.replace(self._path, target)
            sync_folder(target.parent)
            sync_folder(self._folder)
        except OSError as error:
            raise ProblemError(file_problem(error, self._folder)) from error
        return self._keep(received)


def kept_path(folder: Path, digest: str) -> Path:
    """Where the bytes of a digest are under the data folder."""
    return folder / "kept" / digest[:2] / digest


def sweep(folder: Path, now: float) -> None:
    """Remove what intakes left that were cut off more than a day ago."""
    for path in (folder / "kept").glob(".new-*"):
        try:
            if now - path.stat().st_mtime > _OLD_S:
                path.unlink()
        except OSError:
            continue
