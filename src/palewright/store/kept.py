"""Bytes that are kept: photos and files beside jobs, each once, under the digest of what is in it."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from hashlib import sha256
from pathlib import Path
from types import TracebackType
from typing import Generic, Self, TypeVar

from palewright.errors import ProblemError
from palewright.store.core import Core
from palewright.store.database import damaged, refuse
from palewright.store.room import check_disk
from palewright.store.trouble import file_problem, files_told, locked, sync_folder

__all__ = ["Intake", "Received", "at_rest", "keeping", "kept_path", "let_go", "sweep", "too_large"]

T = TypeVar("T")

_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
_HEAD = 64
_LOOK = 1 << 20
_OLD_S = 86_400


class Received:
    """What an intake took: the digest and number of its bytes, and the first few of them."""

    def __init__(self, digest: str, size: int, head: bytes) -> None:
        self.digest = digest
        self.size = size
        self.head = head


class Intake(Generic[T]):
    """Bytes on their way in. Write them in pieces, then say ``done()``; without it nothing is kept.

    core
        of the store. most: bytes that are taken. keep: writes down what was taken; what it refuses is not kept. check:
        looks at it before. after: follows when all of it stands.
    """

    def __init__(
        self,
        core: Core,
        most: int,
        keep: Callable[[Received], T],
        check: Callable[[Received], None] = lambda _: None,
        after: Callable[[], None] = lambda: None,
    ) -> None:
        self._core, self._folder = core, core.folder / "kept"
        self._most = most
        self._keep, self._check, self._after = keep, check, after
        self._digest = sha256()
        self._size = self._looked = 0
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
        """Take the next piece. Raises ProblemError ``upload-too-large``, ``data-disk-low``, ``data-disk-full``..."""
        self._size += len(chunk)
        if self._size > self._most:
            raise too_large(self._most)
        if self._size - self._looked > _LOOK:  # many may come in at once
            self._looked = self._size
            check_disk(self._core, 0, self._core.limits.spare_bytes)
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
        target = kept_path(self._core.folder, received.digest)
        with files_told(self._folder):
            os.fsync(self._file.fileno())
            self._file.close()
            os.chmod(self._path, 0o444)
        with keeping(self._core.folder):
            fresh = not target.exists()
            target.parent.mkdir(exist_ok=True)
            os.replace(self._path, target)
            sync_folder(target.parent)
            sync_folder(self._folder)
            try:
                made = self._keep(received)
            except ProblemError as error:
                # of trouble with the database nobody knows whether it was written down all the same
                if fresh and not error.problems[0].slug.startswith("data"):
                    target.unlink(missing_ok=True)
                raise
        self._after()
        return made


def too_large(most: int) -> ProblemError:
    """The problem of a file that is larger than what is taken."""
    return refuse(
        "upload-too-large",
        "A file is larger than what is taken; nothing of it was kept",
        found=f"more than {most:,} bytes",
        allowed=f"up to {most:,} bytes",
    )


@contextmanager
def keeping(folder: Path) -> Iterator[None]:
    """Held while kept bytes and the rows that name them change together."""
    with files_told(folder), locked(folder / ".locks" / "kept"):
        yield


@contextmanager
def at_rest(folder: Path, *, wait: bool = False) -> Iterator[bool]:
    """Whether nobody reads all kept bytes just now, as a backup does: until this ends nobody else begins."""
    with ExitStack() as held:
        try:
            held.enter_context(locked(folder / ".locks" / "backup", wait=wait))
            rest = True
        except BlockingIOError:
            rest = False
        yield rest


def let_go(core: Core, digests: Iterable[str]) -> None:
    """Remove kept bytes that no row names any more; who calls is :func:`keeping`."""
    with core.database.reading() as work:
        for digest in digests:
            named = work.rows(
                """SELECT digest FROM files WHERE digest = :digest
                UNION SELECT digest FROM photos WHERE digest = :digest""",
                digest=digest,
            )
            if not named:
                kept_path(core.folder, digest).unlink(missing_ok=True)


def kept_path(folder: Path, digest: str) -> Path:
    """Where the bytes of a digest are under the data folder. Raises ProblemError ``data-damaged`` for what is none."""
    if not _DIGEST.fullmatch(digest):
        raise ProblemError(damaged("", "a digest that is none"))
    return folder / "kept" / digest[:2] / digest


def sweep(folder: Path, pattern: str, now: float) -> None:
    """Remove files by their names that were left half written more than a day ago."""
    for path in folder.glob(pattern):
        try:
            if now - path.stat().st_mtime > _OLD_S:
                path.unlink()
        except OSError:
            continue
