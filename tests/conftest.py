"""Settings for all tests: where CI is set, the same inputs are drawn every time; by hand, new ones."""

from __future__ import annotations

import gc
import os
from collections.abc import Generator

import pytest
from hypothesis import settings

# As many tests run at once as there are cores: threads of the linear algebra, a set of them in every process, would only
# wait for each other. Said before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("hand", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "hand")


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is collected stays to the end: nobody looks through it for garbage again and again, a tenth of all time."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.enable()
        gc.collect()
        gc.freeze()
