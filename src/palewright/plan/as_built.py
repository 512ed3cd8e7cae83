"""The as-built sheet written: a plan and the entries of its yard into a folder."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from palewright.errors import OutputError, Problem, ProblemError, Where
from palewright.model import AsBuilt, Plan, YardEntry

__all__ = ["load_yard", "photos_beside", "publish_as_built"]

_PHOTOS = "photos"
_KINDS = (".jpg", ".jpeg", ".png")
_MOST_BYTES = 200_000_000


def load_yard(path: Path, plan: Plan) -> tuple[tuple[YardEntry, ...], tuple[Problem, ...]]:
    """The entries of a file and the cautions that go with them.

    path
        a JSON file, as the store keeps it beside a job. plan: what the entries may be about.
    Raises ProblemError: ``yard-unreadable``, ``yard-not-utf8``, and what
    :func:`palewright.exchange.read_entries` finds.
    """
    from palewright.asbuilt import known_abouts
    from palewright.exchange import read_entries

    path = Path(path)
    where = Where(file=str(path))
    try:
        size = path.stat().st_size
        if size > _MOST_BYTES:
            what, allowed = "the file of entries is too large", f"at most {_MOST_BYTES:,} bytes"
            raise ProblemError(Problem("yard-too-many", what, where, found=f"{size:,} bytes", allowed=allowed))
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        why = error.strerror or "not readable"
        raise ProblemError(Problem("yard-unreadable", "the entries cannot be read", where, found=why)) from error
    except UnicodeDecodeError as error:
        found = f"byte {error.object[error.start]:#04x} at offset {error.start}"
        raise ProblemError(Problem("yard-not-utf8", "the entries are not UTF-8 text", where, found=found)) from error
    return read_entries(text, str(path), known=known_abouts(plan))


def photos_beside(path: Path, built: AsBuilt) -> dict[str, bytes]:
    """The pictures that a sheet names, from the folder ``photos`` beside a file of entries; those that are there."""
    found = {}
    names = [photo.photo for photo in built.photos] + [built.signature]
    for name in dict.fromkeys(filter(None, names)):
        for ending in _KINDS:
            file = Path(path).parent / _PHOTOS / f"{name}{ending}"
            if Path(name).name == name and file.is_file():
                found[name] = file.read_bytes()
                break
    return found


def publish_as_built(
    plan: Plan,
    built: AsBuilt,
    folder: Path,
    photos: Mapping[str, bytes] | None = None,
    cautions: Sequence[Problem] = (),
) -> tuple[Path, ...]:
    """Write ``asbuilt.pdf`` and ``asbuilt.json`` into a folder, both or none; other files in it are left alone.

    photos
        pictures by their id. cautions: of the entries, to be printed.
    Returns the paths written. Raises OutputError when the sheet cannot be set or the folder cannot be written.
    """
    from palewright.exchange import as_built_json
    from palewright.papers import asbuilt_pdf

    folder = Path(folder)
    made = {
        "asbuilt.pdf": asbuilt_pdf(plan, built, photos, cautions),
        "asbuilt.json": (json.dumps(as_built_json(built), ensure_ascii=False, allow_nan=False) + "\n").encode(),
    }
    try:
        if folder.exists() and not folder.is_dir():
            raise OutputError(f"{folder} is a file, not a folder")
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".asbuilt-", dir=folder) as stage:
            for name, data in made.items():
                (Path(stage) / name).write_bytes(data)
            for name in made:
                os.replace(Path(stage) / name, folder / name)
    except OSError as error:
        raise OutputError(f"cannot write to {folder}: {error.strerror or error}") from error
    return tuple(folder / name for name in made)
