"""Which posts may follow one that is moved, so that a bay farther on takes up what the next would be too long by."""

from __future__ import annotations

from palewright.asbuilt.limits import verdict
from palewright.asbuilt.moving import Mover
from palewright.model import Bay
from palewright.record import Record

__all__ = ["Following", "following"]

_MOST = 15
"""No crew moves more holes than so many for the sake of one (our own choice)."""


class Following(Record):
    """Posts that are moved as far the same way, in their order, and the bay beyond the last that takes it up."""

    posts: tuple[str, ...]
    bay: Bay


def following(mover: Mover, label: str, bay: Bay, at_m: float) -> Following | None:
    """What follows a post beyond a bay that it makes too long; None where one may not move so far, or too many would.

    label
        of the moved post. bay: the one beyond which posts follow. at_m: how far, onward as its tape reads [m].
    Bays between posts that move alike stay as long as they are; the first beyond them that may grow by as much ends
    the search. Every post must stand free on the same string, its hole clear of what it is clear of now, inside the
    line. Source: common practice with panels, whose bays cannot grow.
    """
    on = mover.on(label)
    if on is None:
        return None
    found: list[str] = []
    last, here = bay, label
    while len(found) < _MOST:
        here = last.end if last.start == here else last.start
        if not mover.clear_at(here, on.string.name, at_m):
            return None
        found.append(here)
        beyond = [one for one in mover.bays[here] if one is not last]
        if len(beyond) != 1 or beyond[0].kind == "gate":
            return None
        last = beyond[0]
        if verdict(mover.limits[last.number], last.length_m + abs(at_m), mover.mark)[0] == "fits":
            return Following(tuple(found), last)
    return None
