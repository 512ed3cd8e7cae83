"""The papers written: data and templates to PDF files."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

from palewright.draw.scene import Scene
from palewright.model import Plan
from palewright.papers.agreement import agreement_data
from palewright.papers.boundary import boundary_data
from palewright.papers.clean import clean
from palewright.papers.crew import crew_data
from palewright.papers.decisions import decisions_data
from palewright.papers.materials import materials_data
from palewright.papers.permit import permit_data
from palewright.papers.pins import pins_data
from palewright.papers.sketch import sketch, tape_sketch
from palewright.papers.stretches import stretches_data
from palewright.papers.survey import survey_data

__all__ = ["paper_names", "set_paper", "write_papers"]


_PARTS = {"crew": ("slopes",)}
"""Templates of parts that a paper is put together from, before its own."""


@functools.cache
def _template(name: str) -> str:
    scene = resources.files("palewright.draw").joinpath("scene.typ").read_text("utf-8")
    folder = resources.files("palewright.papers")
    parts = ("frame", *_PARTS.get(name, ()), name)
    return "\n".join([scene, *(folder.joinpath(f"{part}.typ").read_text("utf-8") for part in parts)])


def set_paper(name: str, data: dict[str, Any], drawn: dict[str, Any] | None = None) -> bytes:
    """The PDF/UA bytes of a paper from its data.

    name
        "crew", "materials", "decisions", "survey", "boundary", "pins", "stretches" or "asbuilt"; ``data`` as its data
        function returns it. drawn: pictures of ours that go in beside it as they are.
        What a person typed is data, never markup. Raises OutputError when it cannot be set.
    """
    from palewright.draw.typeset import compile_pdf

    return compile_pdf(_template(name), clean(data, data.get("language") == "es") | (drawn or {}))


def write_papers(plan: Plan, folder: Path, only: str = "") -> list[Path]:
    """Write the papers into a folder that exists: crew.pdf, materials.pdf, decisions.pdf, measurements.pdf where
    something was measured, boundary.pdf where there is one, pins.pdf where a corner has none,
    stretches.pdf where there is a run of wire, and drawings.pdf.

    only
        name of the one paper to write; "" all. Returns the paths written, in reading order. Raises OutputError when a
        paper cannot be set or written.
    """
    paths = []
    for name, make in _papers(plan).items():
        if only in ("", name):
            path = Path(folder) / name
            path.write_bytes(make())
            paths.append(path)
    return paths


def paper_names(plan: Plan) -> tuple[str, ...]:
    """File names of the papers that a plan has, in reading order; nothing is drawn or typeset."""
    return tuple(_papers(plan))


def _papers(plan: Plan) -> dict[str, Callable[[], bytes]]:
    """How each paper of a plan is made, in reading order; sheets are drawn when the first paper needs them."""
    from palewright.draw import all_sheets
    from palewright.draw.typeset import scene_pdf

    sheets = functools.cache(lambda: all_sheets(plan))
    made: dict[str, Callable[[], bytes]] = {}
    if plan.design.runs or not plan.lines:  # where there is nothing but wire, its own sheet is the crew's
        made["crew.pdf"] = lambda: set_paper("crew", crew_data(plan) | _crew_drawings(sheets()))
    if plan.lines:
        made["stretches.pdf"] = lambda: set_paper("stretches", stretches_data(plan))
    made["materials.pdf"] = lambda: set_paper("materials", materials_data(plan))
    made["decisions.pdf"] = lambda: set_paper("decisions", decisions_data(plan))
    if plan.site.survey is not None or plan.site.heights is not None:
        made["measurements.pdf"] = lambda: set_paper("survey", survey_data(plan) | _measured(plan, sheets()))
    permit = plan.permit
    if permit is not None and (permit.drawn or permit.rules is not None):
        made["permit.pdf"] = lambda: set_paper("permit", permit_data(plan) | _plot(plan))
    if permit is not None and permit.agreements:
        made["agreement.pdf"] = lambda: set_paper("agreement", agreement_data(plan))
    ring, evidence = plan.site.ring, plan.site.evidence
    if ring is not None:
        made["boundary.pdf"] = lambda: set_paper("boundary", boundary_data(plan, ring))
        if evidence is not None and evidence.searches:
            made["pins.pdf"] = lambda: set_paper("pins", pins_data(plan, ring))
    made["drawings.pdf"] = lambda: scene_pdf(sheets())
    return made


def _measured(plan: Plan, sheets: Sequence[Scene]) -> dict[str, Any]:
    """The drawing of what was measured, and what is said of its ellipses."""
    from palewright.draw.network_sheet import ellipse_note
    from palewright.draw.words import Words

    drawn = [scene for scene in sheets if scene.kind == "network"]
    scales = [scene.view.denominator for scene in drawn if scene.view is not None]
    survey = plan.site.survey
    note = ellipse_note(survey, scales[0], Words(plan.settings)) if survey is not None and scales else ""
    return {"scenes": [sketch(scene) for scene in drawn], "ellipses": note}


def _plot(plan: Plan) -> dict[str, Any]:
    from palewright.draw import plot_sheets, to_json

    return {"scenes": [to_json(scene) for scene in plot_sheets(plan)]}


def _crew_drawings(sheets: Sequence[Scene]) -> dict[str, Any]:
    return {
        "scenes": [sketch(scene) for scene in sheets if scene.kind == "stakeout"],
        "check_scenes": [tape_sketch(scene) for scene in sheets if scene.kind == "checks"],
    }
