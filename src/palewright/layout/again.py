"""Legs of a job that is laid out many times over while one thing in it moves: most of them come out as before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from palewright.layout.dividing import DividedLeg
from palewright.layout.frame import LegFrame
from palewright.layout.holes import Made
from palewright.model import GivenBay

__all__ = ["Again"]

Given = Mapping[tuple[int, int, bool], Sequence[GivenBay]]


class Again:
    """Legs as they came out last; one that is asked for alike is not divided again, and its posts and bays stand.

    All that is common to the legs of a job must be as it was: its kinds, zones, boundary, paint margin and the order of
    its runs. Who changes one of these begins a new one. Nothing is remembered of legs on known ground.

    quiet
        the layout is made without remarks, reasons, and how far posts may move. What comes out so serves no other.
    """

    def __init__(self) -> None:
        self.quiet = False
        self._known: dict[int, tuple[Any, DividedLeg]] = {}
        self._asked: Any = None
        self.sorts: Made = {}

    def known(self, leg: LegFrame, given: Given) -> DividedLeg | None:
        """The leg divided, where it is asked for as it was last."""
        self._asked = _asked(leg, given)
        asked, made = self._known.get(leg.index, (None, None))
        return made if made is not None and asked == self._asked and (self.quiet or not made.quiet) else None

    def keep(self, leg: LegFrame, made: DividedLeg) -> None:
        """Remember how the leg came out that was asked for last."""
        if leg.grade is not None:
            return
        asked = self._asked
        before, old = self._known.get(leg.index, (None, None))
        if old is not None and before is not None and before[0] == asked[0]:
            # the same fence on the same line: the posts and bays that stay are those that stood there
            made.posts, made.bays = old.posts, old.bays
        self._known[leg.index] = (asked, made)


def _asked(leg: LegFrame, given: Given) -> tuple[Any, ...]:
    """All that decides how one leg comes out, but how far along its run it begins."""
    here = [(key, bays) for key, bays in given.items() if key[0] == leg.index]
    spec = leg.trace.spec
    return (leg.a, leg.b, spec.name, spec.fence), leg.length, leg.grade, leg.fixed, leg.openings, here, spec
