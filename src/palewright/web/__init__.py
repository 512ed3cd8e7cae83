"""The local page: jobs drawn, printed and priced in a browser, and a second face for the phone in the yard.

A door: it reads a request, asks a room below, and shows the answer. No formula, no rule, no price is worked out here.
"""

from typing import TYPE_CHECKING

from palewright.late import late

if TYPE_CHECKING:
    from palewright.web.app import create_app
    from palewright.web.settings import Settings

__all__ = ["Settings", "create_app"]

__getattr__ = late(__name__, {"Settings": "settings", "create_app": "app"})
