"""The only place where the parts meet: a job goes in, a plan comes out."""

from palewright.plan.closing import pocket_close
from palewright.plan.engine import load, make_plan
from palewright.plan.explaining import explain, things
from palewright.plan.exporting import export
from palewright.plan.pocket import (
    Pocket,
    pocket_concrete,
    pocket_gate,
    pocket_spacing,
    pocket_square,
    pocket_tape,
    pocket_tie,
)
from palewright.plan.publishing import Published, publish, publish_paper

__all__ = [
    "Pocket",
    "Published",
    "explain",
    "export",
    "load",
    "make_plan",
    "pocket_close",
    "pocket_concrete",
    "pocket_gate",
    "pocket_spacing",
    "pocket_square",
    "pocket_tape",
    "pocket_tie",
    "publish",
    "publish_paper",
    "things",
]
