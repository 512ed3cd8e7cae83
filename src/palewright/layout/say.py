"""Lengths and places in words, for problems: in the person's own way of writing them."""

from __future__ import annotations

import math

from palewright.model import Job
from palewright.plane import XY
from palewright.record import Record

__all__ = ["Say"]


class Say(Record):
    """How the job writes lengths: ``style`` "feet-inches", "decimal-feet" or "metric"; ``fraction`` of an inch."""

    style: str = "feet-inches"
    fraction: int = 8

    @classmethod
    def of(cls, job: Job) -> Say:
        """The way the job prints."""
        return cls(job.print_style, job.fraction)

    def m(self, length_m: float) -> str:
        """A length [m] in words."""
        from palewright.notation import show_length

        return show_length(length_m, self.style, self.fraction)

    @property
    def mark(self) -> float:
        """The smallest step that it writes [m]."""
        return {"decimal-feet": 0.003048, "metric": 0.001}.get(self.style, 0.0254 / self.fraction)

    def up(self, length_m: float) -> float:
        """A length rounded up to a whole mark [m], so that what is written is enough.

        >>> Say().m(Say().up(0.0255))
        '1 1/8"'
        """
        return math.ceil(length_m / self.mark - 1e-4) * self.mark

    def beyond(self, length_m: float) -> float:
        """The next whole mark above a length [m]: more than it, not the same.

        >>> Say().m(Say().beyond(0.0254)), Say().m(Say().beyond(0.0255))
        ('1 1/8"', '1 1/8"')
        """
        return math.floor(length_m / self.mark + 1.0 + 1e-4) * self.mark

    def short_of(self, length_m: float) -> float:
        """The next whole mark below a length [m]: less than it, not the same.

        >>> Say().m(Say().short_of(0.0254))
        '7/8"'
        """
        return math.ceil(length_m / self.mark - 1.0 - 1e-4) * self.mark

    def xy(self, place: XY) -> str:
        """A place: its two coordinates."""
        return f"({self.m(place[0])}, {self.m(place[1])})"
