"""A fence as it will be built: a catalogue kind with the job's own values laid over, in SI."""

from __future__ import annotations

from typing import TypeVar

from palewright.record import Record

__all__ = ["HoleRule", "Kind", "PostSize", "RackRule"]

_T = TypeVar("_T")


class PostSize(Record):
    """A post: ``width_m`` along the fence and ``depth_m`` across it (both the diameter when round) [m].

    stocks_m
        lengths on offer, rising [m]; empty when cut to order.
    embed
        "rule" (the hole rule) always; mass_kg_m: mass per length [kg/m], 0 when not known.
    """

    name: str
    width_m: float
    depth_m: float
    round: bool = False
    stocks_m: tuple[float, ...] = ()
    mass_kg_m: float = 0.0
    source: str = ""

    @property
    def diagonal_m(self) -> float:
        """Largest distance across the section [m]."""
        if self.round:
            return self.width_m
        return float((self.width_m**2 + self.depth_m**2) ** 0.5)


class HoleRule(Record):
    """The kind's own rule for a hole: diameter, least depth, gravel under the post, all [m].

    fraction
        least part of the whole post in the ground (1/3 common practice), 0 for none.
    fill
        "concrete", "soil" or "gravel".
    source
        whose least depth it is.
    diameter_source
        whose diameter it is.
    """

    diameter_m: float
    depth_m: float
    gravel_m: float
    fraction: float = 0.0
    fill: str = "concrete"
    source: str = ""
    diameter_source: str = ""


class RackRule(Record):
    """How far a panel of the kind may rack: ``rise_m`` over ``over_m`` [m]; None for no limit stated."""

    rise_m: float
    over_m: float
    source: str = ""


class Kind(Record):
    """One fence, resolved.

    family
        "boards", "panels", "post and rail" or "chain link".
    height_m
        ground to the highest part (gap + infill + cap or reveal) [m]; ``height_words`` says how it adds up,
        as pairs (word, metres).
    top_m
        top of the infill (boards, panel, fabric, top rail) above ground [m].
    post_top_m
        by role, top of the post above ground [m].
    front_m, back_m
        from the line of post centres to the outermost face on the good side and on the other side [m].
    longest_m, shortest_m
        longest and shortest bay, centre to centre [m]; ``module_m`` is the panel's own module or None.
    posts, holes
        by role: "line", "end", "corner", "gate", "tee", "change".
    rails
        number of rails; ``rail_heights_m`` their centres above ground, rising [m].
    pattern
        the arrangement of the infill: "solid", "spaced", "board on board", "both sides", "horizontal",
        "panel", "rails" or "mesh".
    two_faced
        True where the two sides look different, so that the good side must be said.
    values
        every key of the kind after overrides, for the take-off: SI floats, ints, words; ``sources`` per key.
    """

    name: str
    kind: str
    family: str
    pattern: str
    good_side: str
    two_faced: bool
    height_m: float
    height_words: tuple[tuple[str, float], ...]
    bottom_gap_m: float
    infill_m: float
    top_m: float
    longest_m: float
    shortest_m: float
    module_m: float | None
    front_m: float
    back_m: float
    posts: tuple[tuple[str, PostSize], ...]
    post_top_m: tuple[tuple[str, float], ...]
    holes: tuple[tuple[str, HoleRule], ...]
    rails: int
    rail_heights_m: tuple[float, ...]
    rail_stock_m: float
    board_width_m: float
    board_gap_m: float
    board_overlap_m: float
    rack: RackRule | None = None
    values: tuple[tuple[str, float | int | str | bool], ...] = ()
    sources: tuple[tuple[str, str], ...] = ()

    def post(self, role: str) -> PostSize:
        """The post for a role; a role not listed uses "end", then "line"."""
        return _by_role(self.posts, role)

    def hole(self, role: str) -> HoleRule:
        """The hole rule for a role; a role not listed uses "end", then "line"."""
        return _by_role(self.holes, role)

    def above(self, role: str) -> float:
        """Top of the post above ground for a role [m]."""
        return _by_role(self.post_top_m, role)

    def value(self, key: str, default: float | int | str | bool | None = None) -> float | int | str | bool | None:
        """A key of the kind after overrides, or ``default``."""
        for name, value in self.values:
            if name == key:
                return value
        return default


def _by_role(pairs: tuple[tuple[str, _T], ...], role: str) -> _T:
    for wanted in (role, "end", "line"):
        for name, value in pairs:
            if name == wanted:
                return value
    raise KeyError(role)
