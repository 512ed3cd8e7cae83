"""What all requests of one server share: the store, sessions, plans at hand, papers already set."""

from __future__ import annotations

import contextlib
import os
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from importlib import metadata
from pathlib import Path
from typing import Any, Generic, TypeVar

from palewright.errors import ProblemError
from palewright.store import Store
from palewright.web.dragging import Held
from palewright.web.helper import Helpers
from palewright.web.security import Rate, Sessions
from palewright.web.settings import Settings
from palewright.web.turns import Turns

__all__ = ["House", "Shelf"]

T = TypeVar("T")
_MOST_S = 60.0
"""Longer nothing is worked out for anybody [s]: 12,500 posts take 4 s (measured), where nothing else runs."""


class _Making:
    """A thing that somebody makes while others wait for it; ``failed``: what kept it from being made."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.failed: ProblemError | None = None


class Shelf(Generic[T]):
    """Keeps the last few things made; two requests for the same thing make it once."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, T] = OrderedDict()
        self._making: dict[Hashable, _Making] = {}

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The thing under a key, made if it is not there. What ``make`` raises is raised, and nothing is kept; problems
        also to those who waited for it, so that they do not wait as long once more.
        """
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            making = self._making.setdefault(key, _Making())
        with making.lock:
            if (found := self.find(key)) is not None:
                return found
            if making.failed is not None:
                raise making.failed
            try:
                made = make()
                self.keep(key, made)
            except ProblemError as error:
                making.failed = error
                raise
            finally:
                with self._lock:
                    self._making.pop(key, None)
            return made

    def find(self, key: Hashable) -> T | None:
        """The thing under a key, if it is there. Waits for nobody who makes something."""
        with self._lock:
            return self._kept.get(key)

    def let_go(self, job: str, revision: int) -> None:
        """Let go of what was made of earlier revisions of a job, of which nobody asks again; keys begin with both."""
        with self._lock:
            for key in [key for key in self._kept if isinstance(key, tuple) and key[0] == job and key[1] < revision]:
                del self._kept[key]

    def keep(self, key: Hashable, made: T) -> None:
        """Put a thing that was made elsewhere under its key."""
        with self._lock:
            self._kept[key] = made
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)


class House:
    """One open folder of jobs and everything that is kept in memory beside it."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.version = metadata.version("palewright")
        self.store = Store.open(settings.data, settings.url or None, limits=settings.limits)
        self.sessions = Sessions(self.store)
        self.pairing = Rate(each=10, every=240, seconds=60.0)
        self.plans: Shelf[Any] = Shelf(24)
        self.sights: Shelf[bytes] = Shelf(48)
        self.trials: Shelf[Held] = Shelf(24)
        self.at_hand: Shelf[Held] = Shelf(24)
        """The same by what a step of a drag says of itself."""
        self.hints: Shelf[Any] = Shelf(48)
        self.papers: Shelf[bytes] = Shelf(48)
        self.built: Shelf[bytes] = Shelf(4)
        """As-built sheets, with the photos in them: whoever asks again and again has each set once."""
        self.earlier: Shelf[Any] = Shelf(48)
        self.authority: Path | None = None
        """The certificate that phones are asked to trust, where it is one of ours."""
        seats = min(max(2, os.cpu_count() or 2), 4)
        self.hand = Turns(seats)
        """Held while something is computed: more at once would only slow each other down."""
        self.helpers = Helpers(seats if settings.helpers else 0)
        self.press = threading.Lock()
        """Held while a paper is typeset: one at a time."""

    def opening(self) -> str:
        """The path that signs a browser in as the owner, once."""
        return f"/open/{self.store.people.opening('owner')}"

    def compute(self, seat: int, function: Callable[..., T], *args: Any) -> T:
        """What a function of a module gives, by somebody who has a turn: beside the server, which answers others.

        Raises ProblemError ``took-too-long``: whoever waits for this turn is not kept waiting for ever.
        """
        self.helpers.start()
        return self.helpers.do(seat, _MOST_S, function, *args)

    def heal(self) -> None:
        """Bring the folders of all jobs up to date, as they may not be where the program was killed."""
        with contextlib.suppress(ProblemError):  # who asks for a job is told what is wrong with the database
            self.store.heal()

    def close(self) -> None:
        """Close the store, and end what helped."""
        self.helpers.close()
        self.store.close()
