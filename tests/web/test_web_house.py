"""What requests share in memory: things made once, and turns in the order in which they were asked for."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from palewright.web.house import Shelf, Turns


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


def test_turns_come_in_order_and_no_more_than_so_many_at_once():
    turns, order, inside, most = Turns(2), [], [], []
    held = threading.Event()

    def work(k: int) -> None:
        with turns:
            inside.append(k)
            most.append(len(inside))
            order.append(k)
            held.wait(10)
            time.sleep(0.002)
            inside.remove(k)

    threads = []
    for k in range(12):
        threads.append(threading.Thread(target=work, args=(k,)))
        threads[-1].start()
        while len(order) + len(turns._waiting) <= k:
            time.sleep(0.001)
    held.set()
    for thread in threads:
        thread.join(10)
    assert max(most) == 2
    assert sorted(order) == list(range(12))
    assert all(abs(order[k] - k) <= 1 for k in range(12))  # two leave side by side


def test_a_turn_that_fails_lets_the_next_one_in():
    turns = Turns(1)
    for _ in range(3):
        with pytest.raises(ZeroDivisionError), turns:
            raise ZeroDivisionError
    with turns:
        pass
