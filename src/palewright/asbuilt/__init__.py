"""As built: entries of the yard folded into what is known, and that beside the plan."""

from typing import TYPE_CHECKING

from palewright.asbuilt.entries import check_entries, entry_of
from palewright.asbuilt.fold import fold
from palewright.late import late

if TYPE_CHECKING:
    from palewright.asbuilt.advising import Advice, advise
    from palewright.asbuilt.built import as_built
    from palewright.asbuilt.following import following
    from palewright.asbuilt.limits import BayLimits, bay_limits, fitting, gap_limit, verdict
    from palewright.asbuilt.marks import check_verdict, expected_on_tape, mark_m, to_post
    from palewright.asbuilt.moving import BayThen, Moved, Mover
    from palewright.asbuilt.names import bay_about, check_ids, known_abouts, place_text, planned_places

__all__ = [
    "Advice",
    "BayLimits",
    "BayThen",
    "Moved",
    "Mover",
    "advise",
    "as_built",
    "bay_about",
    "bay_limits",
    "check_entries",
    "check_ids",
    "check_verdict",
    "entry_of",
    "expected_on_tape",
    "fitting",
    "fold",
    "following",
    "gap_limit",
    "known_abouts",
    "mark_m",
    "place_text",
    "planned_places",
    "to_post",
    "verdict",
]

#: who only takes entries in needs none of these
__getattr__ = late(
    __name__,
    {
        "Advice": "advising",
        "BayLimits": "limits",
        "BayThen": "moving",
        "Moved": "moving",
        "Mover": "moving",
        "advise": "advising",
        "as_built": "built",
        "bay_about": "names",
        "bay_limits": "limits",
        "check_ids": "names",
        "check_verdict": "marks",
        "expected_on_tape": "marks",
        "fitting": "limits",
        "following": "following",
        "gap_limit": "limits",
        "known_abouts": "names",
        "mark_m": "marks",
        "place_text": "names",
        "planned_places": "names",
        "to_post": "marks",
        "verdict": "limits",
    },
)
