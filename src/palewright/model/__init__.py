"""Frozen, typed records: what was written, the site, the design, the plan. No calculation, no input or output."""

from typing import TYPE_CHECKING

from palewright.late import late
from palewright.model.design import *  # noqa: F403
from palewright.model.design import __all__ as _design
from palewright.model.drawn import *  # noqa: F403
from palewright.model.drawn import __all__ as _drawn
from palewright.model.evidence import *  # noqa: F403
from palewright.model.evidence import __all__ as _evidence
from palewright.model.ground import *  # noqa: F403
from palewright.model.ground import __all__ as _ground
from palewright.model.heights import *  # noqa: F403
from palewright.model.heights import __all__ as _heights
from palewright.model.inside import *  # noqa: F403
from palewright.model.inside import __all__ as _inside
from palewright.model.job import *  # noqa: F403
from palewright.model.job import __all__ as _job
from palewright.model.kind import *  # noqa: F403
from palewright.model.kind import __all__ as _kind
from palewright.model.line import *  # noqa: F403
from palewright.model.line import __all__ as _line
from palewright.model.network import *  # noqa: F403
from palewright.model.network import __all__ as _network
from palewright.model.permit import *  # noqa: F403
from palewright.model.permit import __all__ as _permit
from palewright.model.places import *  # noqa: F403
from palewright.model.places import __all__ as _places
from palewright.model.plan import *  # noqa: F403
from palewright.model.plan import __all__ as _plan
from palewright.model.prose import *  # noqa: F403
from palewright.model.prose import __all__ as _prose
from palewright.model.said import *  # noqa: F403
from palewright.model.said import __all__ as _said
from palewright.model.site import *  # noqa: F403
from palewright.model.site import __all__ as _site
from palewright.model.takeoff import *  # noqa: F403
from palewright.model.takeoff import __all__ as _takeoff
from palewright.model.terrain import *  # noqa: F403
from palewright.model.terrain import __all__ as _terrain

_LATE = {
    "AsBuilt": "asbuilt",
    "BuiltBay": "asbuilt",
    "BuiltCheck": "asbuilt",
    "BuiltGate": "asbuilt",
    "BuiltLine": "asbuilt",
    "BuiltPost": "asbuilt",
    "BuiltRun": "asbuilt",
    "BuiltWirePosts": "asbuilt",
    "Yard": "asbuilt",
    "YardMissing": "asbuilt",
    "YardNote": "asbuilt",
    "YardPhoto": "asbuilt",
    "YardSaid": "asbuilt",
    "YardState": "asbuilt",
    "YardEntry": "yard",
}
"""What only the yard and the sheet that closes a job need."""

if TYPE_CHECKING:
    from palewright.model.asbuilt import *  # noqa: F403
    from palewright.model.yard import *  # noqa: F403

__getattr__ = late(__name__, _LATE)

__all__ = sorted(
    [
        *_job,
        *_kind,
        *_design,
        *_drawn,
        *_evidence,
        *_ground,
        *_heights,
        *_inside,
        *_line,
        *_network,
        *_permit,
        *_places,
        *_plan,
        *_prose,
        *_said,
        *_site,
        *_takeoff,
        *_terrain,
        *_LATE,
    ]
)
