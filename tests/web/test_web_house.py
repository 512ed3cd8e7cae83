"""What requests share in memory: things that are made once."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from palewright.web.house import Shelf


def test_a_thing_asked_for_by_many_at_once_is_made_once():
    shelf, made = Shelf(4), []

    def make() -> str:
        made.append(1)
        time.sleep(0.02)
        return "thing"

    with ThreadPoolExecutor(16) as pool:
        assert set(pool.map(lambda _: shelf.get("key", make), range(64))) == {"thing"}
    assert len(made) == 1


def test_what_could_not_be_made_is_tried_again_and_the_oldest_goes_first():
    shelf: Shelf[int] = Shelf(2)
    with pytest.raises(ZeroDivisionError):
        shelf.get("a", lambda: 1 // 0)
    assert shelf.get("a", lambda: 1) == 1
    for name in ("b", "c"):
        shelf.get(name, lambda: 2)
    assert shelf.get("a", lambda: 3) == 3
    assert shelf.get("c", lambda: 4) == 2
