"""What requests share in memory: things that are made once."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from palewright.errors import Problem, ProblemError
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


class _Counted:
    """A lock that says when somebody asks for it."""

    def __init__(self, lock: threading.Lock) -> None:
        self.lock, self.asked = lock, threading.Event()

    def __enter__(self) -> None:
        self.asked.set()
        self.lock.acquire()

    def __exit__(self, *_: object) -> None:
        self.lock.release()


def test_of_a_job_the_last_revision_is_kept():
    shelf: Shelf[int] = Shelf(9)
    for key in (("a", 1, "x"), ("a", 2, "x"), ("b", 1, "x"), "other"):
        shelf.keep(key, 1)
    shelf.let_go("a", 2)
    assert list(shelf._kept) == [("a", 2, "x"), ("b", 1, "x"), "other"]


def test_whoever_waited_for_what_could_not_be_made_does_not_wait_once_more():
    shelf: Shelf[int] = Shelf(2)
    begun, go, made = threading.Event(), threading.Event(), []

    def make() -> int:
        made.append(1)
        begun.set()
        go.wait(10)
        raise ProblemError(Problem("took-too-long", "it takes too long"))

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(shelf.get, "a", make)
        begun.wait(10)
        making = shelf._making["a"]
        making.lock = lock = _Counted(making.lock)
        second = pool.submit(shelf.get, "a", make)
        lock.asked.wait(10)
        go.set()
        assert {type(one.exception(10)) for one in (first, second)} == {ProblemError}
    assert len(made) == 1
    assert shelf.get("a", lambda: 1) == 1
