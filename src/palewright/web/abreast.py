"""How many requests of one session are under way at once: a phone that asks a hundred things leaves room to others."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

__all__ = ["Abreast"]

_Here = tuple[str, asyncio.AbstractEventLoop]


class Abreast:
    """Lets a few go on side by side for each name; more of that name wait, in order, and hold no thread meanwhile.

    What waits belongs to the loop that it waits in: each loop counts its own.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._gates: dict[_Here, asyncio.Semaphore] = {}
        self._here: Counter[_Here] = Counter()

    @asynccontextmanager
    async def one(self, name: str) -> AsyncIterator[None]:
        """Hold this while a request of that name is answered."""
        here = (name, asyncio.get_running_loop())
        gate = self._gates.setdefault(here, asyncio.Semaphore(self._most))
        self._here[here] += 1
        try:
            async with gate:
                yield
        finally:
            self._here[here] -= 1
            if not self._here[here]:
                del self._here[here], self._gates[here]
