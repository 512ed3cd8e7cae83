"""Every sheet of a plan, numbered through, and their files."""

from __future__ import annotations

from pathlib import Path

from palewright.draw.dxf import to_dxf
from palewright.draw.elevation import elevation_drafts
from palewright.draw.line_braces import brace_drafts
from palewright.draw.line_profile import profile_drafts
from palewright.draw.network_sheet import network_drafts
from palewright.draw.plan_sheet import plan_drafts
from palewright.draw.plot_plan import plot_sheets
from palewright.draw.scene import Scene
from palewright.draw.sheets import finish
from palewright.draw.stakeout_sheet import stakeout_drafts
from palewright.draw.svg import to_svg
from palewright.draw.words import Words
from palewright.model import Plan

__all__ = ["all_sheets", "write_drawings"]

_NAMES = {
    "plan": "plan",
    "stakeout": "stakeout",
    "checks": "tapes",
    "network": "measured",
    "elevation": "elevation",
    "index": "index",
    "plot": "plot-plan",
}


def all_sheets(plan: Plan) -> list[Scene]:
    """Plan, stake-out, tapes that prove it, what was measured, elevations: each drawn once and numbered through."""
    words = Words(plan.settings)
    drafts = plan_drafts(plan, words)
    drafts += stakeout_drafts(plan, words, len(drafts) + 1)
    drafts += network_drafts(plan, words)
    drafts += elevation_drafts(plan, words)
    drafts += profile_drafts(plan, words)
    drafts += brace_drafts(plan, words)
    return finish(drafts, plan, words)


def write_drawings(plan: Plan, folder: str | Path) -> list[Path]:
    """Every sheet as SVG and the plan as DXF, into a folder that exists.

    Names: ``plan.svg``, ``stakeout.svg``, ``tapes.svg``, ``measured.svg``, ``elevation.svg``, ``index.svg``, with
    -2, -3, ... for further sheets of a kind, ``plot-plan.svg`` and ``plan.dxf``. Returns the paths in the
    order of the sheets.
    """
    paths: list[Path] = []
    counts: dict[str, int] = {}
    for scene in (*all_sheets(plan), *plot_sheets(plan)):
        stem = _NAMES[scene.kind]
        counts[stem] = counts.get(stem, 0) + 1
        path = Path(folder) / (f"{stem}.svg" if counts[stem] == 1 else f"{stem}-{counts[stem]}.svg")
        path.write_text(to_svg(scene), encoding="utf-8", newline="\n")
        paths.append(path)
    dxf = Path(folder) / "plan.dxf"
    to_dxf(plan, dxf)
    return [*paths, dxf]
