"""Who computes next: a few at a time, in the order in which they came, each job where it was worked out last."""

from __future__ import annotations

import threading
from collections import Counter, OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["Turns"]

_KNOWN = 512
"""Names whose seat is remembered."""
_NEAR = 5
"""So many at the head of the queue are looked at for somebody whose seat is the one that is free; so often the first of
them is passed over for that."""


class _Waiting:
    """Somebody in the queue. ``seat``: where that name sat last, None for no matter; once let in, where it sits now."""

    def __init__(self, name: str, seat: int | None) -> None:
        self.name, self.seat, self.passed = name, seat, 0
        self.gate = threading.Lock()
        self.gate.acquire()


class Turns:
    """Lets a few in at a time, in the order in which they came: with twenty at work nobody is passed over for long.

    Whoever computes keeps what may serve again, each in a process of its own. So a name gets the seat that it had
    before where that costs nobody more than a few turns. A name that is in already does not get the last seat: however
    long one job takes, the others have a seat left.

    >>> turns = Turns(2)
    >>> with turns.turn("a job") as first, turns.turn("another"):
    ...     turns.alone
    False
    >>> with turns.turn("a job") as seat:
    ...     seat == first, turns.alone
    (True, True)
    """

    def __init__(self, most: int) -> None:
        self._most, self._free = most, list(range(most))
        self._lock = threading.Lock()
        self._waiting: list[_Waiting] = []
        self._seats: OrderedDict[str, int] = OrderedDict()
        self._inside: Counter[str] = Counter()

    @property
    def alone(self) -> bool:
        """Whether no more than one is in."""
        return len(self._free) >= self._most - 1

    @contextmanager
    def turn(self, name: str = "") -> Iterator[int]:
        """Wait for a turn and hold it; gives the number of its seat. ``name``: what is worked on, "" for no matter."""
        seat = self._enter(name)
        try:
            yield seat
        finally:
            self._leave(name, seat)

    def _enter(self, name: str) -> int:
        with self._lock:
            before = self._seats.get(name)
            if self._may(name):
                seat = before if before in self._free else self._free[0]
                self._seated(name, seat)
                return seat
            one = _Waiting(name, before)
            self._waiting.append(one)
        one.gate.acquire()  # opened by the one that leaves
        assert one.seat is not None
        return one.seat

    def _leave(self, name: str, seat: int) -> None:
        with self._lock:
            self._free.append(seat)
            self._inside[name] -= 1
            if not self._inside[name]:
                del self._inside[name]
            while (found := self._next()) is not None:
                self._waiting.remove(found)
                found.seat = found.seat if found.seat in self._free else self._free[0]
                self._seated(found.name, found.seat)
                found.gate.release()

    def _may(self, name: str) -> bool:
        """Whether somebody may come in; the lock is held."""
        return len(self._free) > (1 if name and self._inside[name] else 0)

    def _next(self) -> _Waiting | None:
        """Who is to come in, None for nobody."""
        able = [one for one in self._waiting if self._may(one.name)][:_NEAR]
        if not able:
            return None
        first = able[0]
        fits = (one for one in able if one.seat is None or one.seat in self._free)
        found = next(fits, first) if first.passed < _NEAR else first
        first.passed += found is not first
        return found

    def _seated(self, name: str, seat: int) -> None:
        self._free.remove(seat)
        self._inside[name] += 1
        self._remember(name, seat)

    def _remember(self, name: str, seat: int) -> None:
        if name:
            self._seats[name] = seat
            self._seats.move_to_end(name)
            while len(self._seats) > _KNOWN:
                self._seats.popitem(last=False)
