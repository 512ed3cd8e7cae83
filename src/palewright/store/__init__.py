"""The store: jobs with every revision, yard entries, photos, files and devices, kept in a data folder.

SQLite by default, PostgreSQL by its address; both by the same statements. It knows no plan: a job is its text.
"""

from typing import TYPE_CHECKING

from palewright.late import late
from palewright.store.records import (
    Arrival,
    ChangedElsewhere,
    Device,
    FileEntry,
    JobEntry,
    Limits,
    Mark,
    Pairing,
    PairingCode,
    Photo,
    Revision,
)

if TYPE_CHECKING:
    from palewright.store.backup import Backup
    from palewright.store.kept import Intake
    from palewright.store.people import ROLES
    from palewright.store.restoring import Restored
    from palewright.store.store import Store, default_folder, restore

__all__ = [
    "Arrival",
    "Backup",
    "ChangedElsewhere",
    "Device",
    "FileEntry",
    "Intake",
    "JobEntry",
    "Limits",
    "Mark",
    "Pairing",
    "PairingCode",
    "Photo",
    "ROLES",
    "Restored",
    "Revision",
    "Store",
    "default_folder",
    "restore",
]

__getattr__ = late(
    __name__,
    {
        "Backup": "backup",
        "Intake": "kept",
        "ROLES": "people",
        "Restored": "restoring",
        "Store": "store",
        "default_folder": "store",
        "restore": "store",
    },
)
