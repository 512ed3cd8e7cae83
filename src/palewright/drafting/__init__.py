"""The drawing table: what a hand does becomes an edit of the job file; what a screen shows is made from its plan."""

from typing import TYPE_CHECKING

from palewright.late import late

if TYPE_CHECKING:
    from palewright.drafting.applying import Applied, apply
    from palewright.drafting.edits import Edit
    from palewright.drafting.edits_json import edits_from_json, edits_to_json
    from palewright.drafting.encoding import to_json
    from palewright.drafting.evidence import typed
    from palewright.drafting.hints import Hints, hints_for, hints_of
    from palewright.drafting.seeing import changes, earlier, read_job, sight, sight_of
    from palewright.drafting.sight_records import Change, Item, Notice, Sight
    from palewright.drafting.snapping import Aim, Snap, snap
    from palewright.drafting.taking import take_draft
    from palewright.drafting.trials import Trial
    from palewright.drafting.walking import Walkthrough, walk_answer, walk_questions
    from palewright.drafting.wires import posts_near, stretch_side

__all__ = [
    "Aim",
    "Applied",
    "Change",
    "Edit",
    "Hints",
    "Item",
    "Notice",
    "Sight",
    "Snap",
    "Trial",
    "Walkthrough",
    "apply",
    "changes",
    "earlier",
    "edits_from_json",
    "edits_to_json",
    "hints_for",
    "hints_of",
    "posts_near",
    "read_job",
    "sight",
    "sight_of",
    "snap",
    "stretch_side",
    "take_draft",
    "to_json",
    "typed",
    "walk_answer",
    "walk_questions",
]

__getattr__ = late(
    __name__,
    {
        "Aim": "snapping",
        "Applied": "applying",
        "Change": "sight_records",
        "Edit": "edits",
        "Hints": "hints",
        "Item": "sight_records",
        "Notice": "sight_records",
        "Sight": "sight_records",
        "Snap": "snapping",
        "Trial": "trials",
        "Walkthrough": "walking",
        "apply": "applying",
        "changes": "seeing",
        "earlier": "seeing",
        "edits_from_json": "edits_json",
        "edits_to_json": "edits_json",
        "hints_for": "hints",
        "hints_of": "hints",
        "posts_near": "wires",
        "read_job": "seeing",
        "sight": "seeing",
        "sight_of": "seeing",
        "snap": "snapping",
        "stretch_side": "wires",
        "take_draft": "taking",
        "to_json": "encoding",
        "typed": "evidence",
        "walk_answer": "walking",
        "walk_questions": "walking",
    },
)
