"""Write everything of a plan into a folder, all or nothing."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from palewright.errors import OutputError
from palewright.model import Plan
from palewright.record import Record

__all__ = ["Published", "publish", "publish_paper"]

MANIFEST = "contents.json"


class Published(Record):
    """The folder and the files written into it, in reading order."""

    folder: Path
    files: tuple[Path, ...]


def publish(plan: Plan, folder: Path, progress: Callable[[str], None] = lambda step: None) -> Published:
    """Write ``plan.json``, papers, drawings and tables into ``folder``.

    Everything is made in a new folder beside it first; only when all of it stands are the files moved over.
    A failure at any moment leaves the previous output whole. Files that are not ours are never touched.
    Raises OutputError when the folder cannot be written.
    """
    folder = Path(folder)
    stage: Path | None = None
    try:
        for one in (folder, *folder.parents):
            if one.exists() and not one.is_dir():
                raise OutputError(f"{one} is a file, not a folder")
        folder.parent.mkdir(parents=True, exist_ok=True)
        stage = Path(tempfile.mkdtemp(prefix=f".{folder.name or 'out'}-", dir=folder.parent))
        names = _write_all(plan, stage, progress)
        (stage / MANIFEST).write_text(json.dumps({"files": names}, indent=1) + "\n", encoding="utf-8")
        progress("putting the files in place")
        _swap(stage, folder, [*names, MANIFEST])
        return Published(folder, tuple(folder / name for name in names))
    except OSError as error:
        raise OutputError(f"cannot write to {folder}: {error.strerror or error}") from error
    finally:
        if stage is not None:
            shutil.rmtree(stage, ignore_errors=True)


def publish_paper(plan: Plan, name: str, path: Path) -> None:
    """Write one of the papers, by its name in the folder of a plan, to a file; an old one stays until the new stands.

    Raises OutputError when it cannot be written, or when the plan has no such paper.
    """
    from palewright import papers

    path = Path(path)
    with tempfile.TemporaryDirectory(prefix=".paper-") as stage:
        made = {made.name: made for made in papers.write_papers(papers.in_language(plan), Path(stage), only=name)}
        if name not in made:
            raise OutputError(f"this plan has no {name}")
        try:
            fresh = path.with_name(f".{path.name}.new")
            fresh.write_bytes(made[name].read_bytes())
            os.replace(fresh, path)
        except OSError as error:
            raise OutputError(f"cannot write {path}: {error.strerror or error}") from error


def _write_all(plan: Plan, stage: Path, progress: Callable[[str], None]) -> list[str]:
    from palewright import draw, exchange, papers

    progress("writing plan.json and tables")
    (stage / "plan.json").write_text(exchange.dumps(plan), encoding="utf-8")
    if plan.design.posts or not plan.lines:
        (stage / "posts.csv").write_text(exchange.posts_csv(plan), encoding="utf-8", newline="")
        (stage / "holes.csv").write_text(exchange.holes_csv(plan), encoding="utf-8", newline="")
    (stage / "materials.csv").write_text(exchange.materials_csv(plan), encoding="utf-8", newline="")
    if plan.lines:
        from palewright.exchange.lines_csv import line_posts_csv

        (stage / "line-posts.csv").write_text(line_posts_csv(plan), encoding="utf-8", newline="")
    shown = papers.in_language(plan)
    progress("drawing")
    draw.write_drawings(shown, stage)
    progress("setting the papers")
    papers.write_papers(shown, stage)
    first = ["crew.pdf", "stretches.pdf", "materials.pdf", "decisions.pdf", "measurements.pdf"]
    first += ["boundary.pdf", "pins.pdf", "drawings.pdf"]
    every = sorted(path.name for path in stage.iterdir())
    return [name for name in first if name in every] + [name for name in every if name not in first]


def _swap(stage: Path, folder: Path, names: list[str]) -> None:
    """Move the new files in and what an earlier run left out; on a failure put everything back."""
    folder.mkdir(parents=True, exist_ok=True)
    attic = stage / ".previous"
    attic.mkdir()
    old = [name for name in _earlier(folder) if name not in names]
    moved_out: list[str] = []
    moved_in: list[str] = []
    try:
        for name in [*names, *old]:
            if (folder / name).exists():
                os.replace(folder / name, attic / name)
                moved_out.append(name)
        for name in names:
            os.replace(stage / name, folder / name)
            moved_in.append(name)
    except OSError:
        for name in moved_in:
            (folder / name).unlink(missing_ok=True)
        for name in moved_out:
            os.replace(attic / name, folder / name)
        raise


def _earlier(folder: Path) -> list[str]:
    """Names that an earlier run wrote here; only plain names are believed."""
    try:
        listed = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["files"]
        return [name for name in listed if isinstance(name, str) and Path(name).name == name and name not in ("", "..")]
    except (OSError, ValueError, KeyError, TypeError):
        return []
