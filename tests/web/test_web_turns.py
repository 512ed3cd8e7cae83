"""Turns to compute: in the order in which they were asked for, each job where it was worked out before."""

from __future__ import annotations

import threading
import time

import pytest

from palewright.web.turns import Turns


def test_turns_come_in_order_and_no_more_than_so_many_at_once():
    turns, order, inside, most = Turns(2), [], [], []
    held = threading.Event()

    def work(k: int) -> None:
        with turns.turn():
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
        with pytest.raises(ZeroDivisionError), turns.turn():
            raise ZeroDivisionError
    with turns.turn():
        pass


def _queue(turns: Turns, names: list[str], seats: list[tuple[str, int]]) -> list[threading.Thread]:
    """Threads that wait for a turn in this order; each writes down its name and its seat."""

    def work(name: str) -> None:
        with turns.turn(name) as seat:
            seats.append((name, seat))

    threads = []
    for name in names:
        before = len(turns._waiting)
        threads.append(threading.Thread(target=work, args=(name,)))
        threads[-1].start()
        while len(turns._waiting) == before:
            time.sleep(0.001)
    return threads


def test_a_job_gets_its_seat_again_and_nobody_is_passed_over_for_long():
    turns, seats = Turns(2), []
    with turns.turn(), turns.turn("right") as right:
        pass
    with turns.turn() as held:
        assert held == right
        jobs = [f"left {k}" for k in range(12)]
        for job in jobs:  # one seat is free
            with turns.turn(job) as left:
                assert left != right
        with turns.turn(jobs[0]):
            threads = _queue(turns, ["right", *jobs], seats)
        for thread in threads:
            thread.join(10)
    assert {seat for _, seat in seats} == {left}
    names = [name for name, _ in seats]
    assert names == [*jobs[:5], "right", *jobs[5:]]
    with turns.turn("right") as seat:
        assert seat == left


def test_a_job_that_takes_long_leaves_a_seat_to_the_others():
    turns, seats = Turns(2), []
    with turns.turn("slow"):
        (again,) = _queue(turns, ["slow"], seats)
        with turns.turn("quick"):
            assert seats == []
        assert seats == []
    again.join(10)
    assert [name for name, _ in seats] == ["slow"]
