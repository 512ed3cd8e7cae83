"""Things that are dragged: a trial for each device and job. A short step of it is done at once, a long one in a thread.

A page asks for the plan sixty times a second. What stands round a short step, the store's word that the job is as it
was and the way to another thread and back, takes a tenth of the whole.
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from palewright.web.desk import as_it_stands, encode, folder_of

if TYPE_CHECKING:
    from palewright.store import JobEntry
    from palewright.web.house import House
    from palewright.web.shapes import Drag

__all__ = ["Held", "dragged", "moved", "moved_at_once"]

_FRESH = 0.5
"""So long the store is not asked again whether a job is as it was [s]; nothing is saved by a step."""

_SHORT = 0.02
"""A step that takes no longer may hold up everybody else [s]."""


class Held:
    """A trial of a job as it stands, for one request at a time.

    seen
        when the store last said that the job stands so. took: how long the last step took that gave places, and the
        last that gave figures [s].
    """

    def __init__(self, entry: JobEntry, trial: Any) -> None:
        self.entry, self.trial = entry, trial
        self.lock = threading.Lock()
        self.seen = -math.inf
        self.took = {"places": math.inf, "change": math.inf}


@contextmanager
def dragged(house: House, entry: JobEntry, device: str, language: str) -> Iterator[Held]:
    """The trial that one device drags things about in; ``entry``: the job as the store has just given it."""

    def make() -> Held:
        from palewright import drafting

        for shelf in (house.trials, house.at_hand):
            shelf.let_go(entry.id, entry.revision)
        text = house.store.revisions.text(entry.id, entry.revision)
        with folder_of(house, entry.id) as folder:
            return Held(entry, drafting.Trial(text, folder, language=language))

    with house.hand.turn():
        held = house.trials.get((*as_it_stands(entry), device, language), make)
        house.at_hand.keep((entry.id, entry.revision, device, language), held)
        with held.lock:
            held.seen = time.monotonic()
            yield held


def moved(house: House, entry: JobEntry, device: str, drag: Drag, edits: Sequence[Any]) -> bytes:
    """What a step of a drag gives, whatever it takes. Raises ProblemError where an edit cannot be done."""
    with dragged(house, entry, device, drag.lang) as held:
        if drag.answer == "sight":
            return encode(held.trial.move(edits))
        made = _quickly(held, drag, edits)
        return made if made is not None else encode(held.trial.change(edits, drag.side))


def moved_at_once(
    house: House, job: str, device: str, drag: Drag, edits: Sequence[Any]
) -> tuple[JobEntry, bytes] | None:
    """The job and what a step of a drag gives, without waiting for anything; None where that may take longer.

    Raises ProblemError where an edit cannot be done.
    """
    held = house.at_hand.find((job, drag.revision, device, drag.lang))
    if held is None or held.took.get(drag.answer, math.inf) > _SHORT or not house.hand.alone:
        return None
    if time.monotonic() - held.seen > _FRESH or not held.lock.acquire(blocking=False):
        return None
    try:
        made = _quickly(held, drag, edits)
    finally:
        held.lock.release()
    return (held.entry, made) if made is not None else None


def _quickly(held: Held, drag: Drag, edits: Sequence[Any]) -> bytes | None:
    """Places or figures of a job that can be laid out by what changed; None where that is not so."""
    begun = time.perf_counter()
    places = drag.answer == "places"
    found = held.trial.shifted(edits) if places else held.trial.changed(edits, drag.side)
    made = encode(found) if found is not None else None
    held.took[drag.answer] = time.perf_counter() - begun
    return made
