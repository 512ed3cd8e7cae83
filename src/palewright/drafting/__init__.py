"""The drawing table: what a hand does becomes an edit of the job file; what a screen shows is made from its plan."""

from typing import TYPE_CHECKING

from palewright.late import late

if TYPE_CHECKING:
    from palewright.drafting.encoding import encode, to_json
    from palewright.drafting.sight import changes, read_job, sight, sight_of
    from palewright.drafting.sight_records import Change, Item, Notice, Sight

__all__ = ["Change", "Item", "Notice", "Sight", "changes", "encode", "read_job", "sight", "sight_of", "to_json"]

__getattr__ = late(
    __name__,
    {
        "Change": "sight_records",
        "Item": "sight_records",
        "Notice": "sight_records",
        "Sight": "sight_records",
        "changes": "sight",
        "encode": "encoding",
        "read_job": "sight",
        "sight": "sight",
        "sight_of": "sight",
        "to_json": "encoding",
    },
)
