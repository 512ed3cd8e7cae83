"""The papers written: data and templates to PDF files."""

from __future__ import annotations

import functools
from importlib import resources
from pathlib import Path
from typing import Any

from palewright.model import Plan
from palewright.papers.clean import clean
from palewright.papers.crew import crew_data
from palewright.papers.decisions import decisions_data
from palewright.papers.materials import materials_data

__all__ = ["set_paper", "write_papers"]


@functools.cache
def _template(name: str) -> str:
    scene = resources.files("palewright.draw").joinpath("scene.typ").read_text("utf-8")
    folder = resources.files("palewright.papers")
    return "\n".join([scene, *(folder.joinpath(f"{part}.typ").read_text("utf-8") for part in ("frame", name))])


def set_paper(name: str, data: dict[str, Any]) -> bytes:
    """The PDF/UA bytes of a paper from its data.

    name
        "crew", "materials" or "decisions"; ``data`` as its data function returns it. What a person typed is data, never
        markup. Raises OutputError when it cannot be set.
    """
    from palewright.draw.typeset import compile_pdf

    return compile_pdf(_template(name), clean(data))


def write_papers(plan: Plan, folder: Path) -> list[Path]:
    """Write crew.pdf, materials.pdf, decisions.pdf and drawings.pdf into a folder that exists.

    Returns the paths written, in reading order. Raises OutputError when a paper cannot be set or written.
    """
    from palewright.draw import all_sheets
    from palewright.draw.typeset import scene_pdf
    from palewright.papers.sketch import sketch, tape_sketch

    sheets = all_sheets(plan)
    drawn = {
        "scenes": [sketch(scene) for scene in sheets if scene.kind == "stakeout"],
        "check_scenes": [tape_sketch(scene) for scene in sheets if scene.kind == "checks"],
    }
    papers = {
        "crew.pdf": set_paper("crew", crew_data(plan) | drawn),
        "materials.pdf": set_paper("materials", materials_data(plan)),
        "decisions.pdf": set_paper("decisions", decisions_data(plan)),
    }
    if sheets:
        papers["drawings.pdf"] = scene_pdf(sheets)
    paths = []
    for name, content in papers.items():
        path = Path(folder) / name
        path.write_bytes(content)
        paths.append(path)
    return paths
