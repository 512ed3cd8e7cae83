"""One string before its tape is laid: which posts it serves, and what stands at its ends."""

from __future__ import annotations

from dataclasses import dataclass, field

from palewright.model import Leg, Post
from palewright.plane import XY, dot, scale, sub

__all__ = ["End", "Line"]


@dataclass(slots=True)
class End:
    """What stands at one end of a string.

    kind
        "crossing", "wall" or "stake line". s: its place along the string from opposite the first post [m].
    partner
        index of the line that crosses. flat: a line meets here, but too flat for a crossing.
    """

    kind: str
    s: float
    partner: int = -1
    flat: bool = False
    wall_assumed: bool = False


@dataclass(slots=True)
class Line:
    """One string before its tape is laid: posts in tape order, direction ``d``, normal ``n`` toward the string.

    base
        place of the first post; ``at`` how far each post stands from it along ``d`` [m]; ``yard`` the normal toward
        the yard. low: the least place that is read on this string [m], never above 0; the tape reads 0 there.
    offset
        from the first post to the string [m]. curved: the posts stand on a curve, each its own distance off.
    """

    name: str
    legs: list[Leg]
    posts: list[Post]
    d: XY
    n: XY
    yard: XY
    side: str
    offset: float
    walls: list[float | None]
    at: list[float] = field(default_factory=list)
    ends: list[End] = field(default_factory=list)
    low: float = 0.0
    curved: bool = False

    @property
    def base(self) -> XY:
        """Place of the first post."""
        return self.posts[0].xy

    def point(self, s: float) -> XY:
        """Place on the string at ``s`` from opposite the first post."""
        return (
            self.base[0] + self.d[0] * s + self.n[0] * self.offset,
            self.base[1] + self.d[1] * s + self.n[1] * self.offset,
        )

    def off(self, post: Post) -> float:
        """How far the string is from the centre of a post, square to it [m]."""
        return self.offset - dot(sub(post.xy, self.base), self.n) if self.curved else self.offset

    def measure(self) -> None:
        """Fill ``at``."""
        x, y = self.base
        self.at = [(p.xy[0] - x) * self.d[0] + (p.xy[1] - y) * self.d[1] for p in self.posts]

    def reverse(self) -> None:
        """Lay the tape from the other end."""
        last = self.at[-1]
        self.offset = self.off(self.posts[-1])
        self.posts.reverse()
        self.legs.reverse()
        self.walls.reverse()
        self.d = scale(self.d, -1.0)
        self.measure()
        self.ends = [End(e.kind, last - e.s, e.partner, e.flat, e.wall_assumed) for e in reversed(self.ends)]
