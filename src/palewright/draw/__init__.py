"""Drawings: one scene of primitives in page millimetres, and its back ends."""

from palewright.draw.dxf import dxf_text, model_scene, to_dxf
from palewright.draw.elevation import elevation_sheets
from palewright.draw.plan_sheet import plan_sheets
from palewright.draw.plot_plan import plot_sheets
from palewright.draw.scene import (
    LAYERS,
    SCENE_VERSION,
    Arc,
    Circle,
    Hatch,
    Line,
    Polygon,
    Polyline,
    Primitive,
    Scene,
    Text,
    View,
    hatch_lines,
    schema,
    to_json,
)
from palewright.draw.stakeout_sheet import stakeout_sheets
from palewright.draw.svg import to_svg
from palewright.draw.write import all_sheets, write_drawings

__all__ = [
    "LAYERS",
    "SCENE_VERSION",
    "Arc",
    "Circle",
    "Hatch",
    "Line",
    "Polygon",
    "Polyline",
    "Primitive",
    "Scene",
    "Text",
    "View",
    "all_sheets",
    "dxf_text",
    "elevation_sheets",
    "hatch_lines",
    "model_scene",
    "plan_sheets",
    "plot_sheets",
    "schema",
    "stakeout_sheets",
    "to_dxf",
    "to_json",
    "to_svg",
    "write_drawings",
]
