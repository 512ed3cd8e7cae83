"""How many requests of one session are under way at once: a phone that asks a hundred things leaves room to others."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

__all__ = ["Abreast"]


class Abreast:
    """Lets a few go on side by side for each name; more of that name wait, in order, and hold no thread meanwhile."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._gates: dict[str, asyncio.Semaphore] = {}
        self._here: Counter[str] = Counter()

    @asynccontextmanager
    async def one(self, name: str) -> AsyncIterator[None]:
        """Hold this while a request of that name is answered."""
        gate = self._gates.setdefault(name, asyncio.Semaphore(self._most))
        self._here[name] += 1
        try:
            async with gate:
                yield
        finally:
            self._here[name] -= 1
            if not self._here[name]:
                del self._here[name], self._gates[name]
