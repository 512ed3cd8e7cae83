"""The only place where the parts meet: a job goes in, a plan comes out."""

from typing import TYPE_CHECKING

from palewright.late import late
from palewright.plan.engine import files_named, load, load_text, make_plan

if TYPE_CHECKING:
    from palewright.plan.as_built import load_yard, photos_beside, publish_as_built
    from palewright.plan.closing import pocket_close
    from palewright.plan.explaining import explain, things
    from palewright.plan.exporting import export
    from palewright.plan.pocket import (
        Pocket,
        pocket_concrete,
        pocket_gate,
        pocket_spacing,
        pocket_square,
        pocket_step,
        pocket_tape,
        pocket_tie,
    )
    from palewright.plan.pocket_ground import pocket_rack, pocket_slope
    from palewright.plan.publishing import Published, publish, publish_paper

__all__ = [
    "Pocket",
    "Published",
    "explain",
    "export",
    "files_named",
    "load",
    "load_yard",
    "load_text",
    "make_plan",
    "photos_beside",
    "pocket_close",
    "pocket_concrete",
    "pocket_gate",
    "pocket_rack",
    "pocket_slope",
    "pocket_spacing",
    "pocket_square",
    "pocket_step",
    "pocket_tape",
    "pocket_tie",
    "publish",
    "publish_as_built",
    "publish_paper",
    "things",
]

#: a check needs none of these
__getattr__ = late(
    __name__,
    {
        "Pocket": "pocket",
        "Published": "publishing",
        "explain": "explaining",
        "export": "exporting",
        "load_yard": "as_built",
        "photos_beside": "as_built",
        "pocket_close": "closing",
        "pocket_concrete": "pocket",
        "pocket_gate": "pocket",
        "pocket_rack": "pocket_ground",
        "pocket_slope": "pocket_ground",
        "pocket_spacing": "pocket",
        "pocket_square": "pocket",
        "pocket_step": "pocket",
        "pocket_tape": "pocket",
        "pocket_tie": "pocket",
        "publish": "publishing",
        "publish_as_built": "as_built",
        "publish_paper": "publishing",
        "things": "explaining",
    },
)
