"""The drawing table: what a hand does becomes an edit of the job file; what a screen shows is made from its plan."""

from typing import TYPE_CHECKING

from palewright.late import late

if TYPE_CHECKING:
    from palewright.drafting.applying import Applied, apply
    from palewright.drafting.edits import Edit, edits_from_json, edits_to_json
    from palewright.drafting.encoding import encode, to_json
    from palewright.drafting.seeing import changes, read_job, sight, sight_of
    from palewright.drafting.sight_records import Change, Item, Notice, Sight

__all__ = [
    "Applied",
    "Change",
    "Edit",
    "Item",
    "Notice",
    "Sight",
    "apply",
    "changes",
    "edits_from_json",
    "edits_to_json",
    "encode",
    "read_job",
    "sight",
    "sight_of",
    "to_json",
]

__getattr__ = late(
    __name__,
    {
        "Applied": "applying",
        "Change": "sight_records",
        "Edit": "edits",
        "Item": "sight_records",
        "Notice": "sight_records",
        "Sight": "sight_records",
        "apply": "applying",
        "changes": "seeing",
        "edits_from_json": "edits",
        "edits_to_json": "edits",
        "encode": "encoding",
        "read_job": "seeing",
        "sight": "seeing",
        "sight_of": "seeing",
        "to_json": "encoding",
    },
)
