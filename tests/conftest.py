"""Settings for all tests: where CI is set, the same inputs are drawn every time; by hand, new ones."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("hand", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "hand")
