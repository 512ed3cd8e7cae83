"""What stands and what is dug for each kind and role: section, height, depth, length; worked out once per pair."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from palewright.layout.roles import largest_post
from palewright.model import Embedment, Kind, PostSize, Reason
from palewright.record import Record, other

__all__ = ["Embed", "Stock", "Stocks", "stock_for"]

Embed = Callable[[Kind, str], Embedment]


class Stock(Record):
    """One sort of post: section, height above ground, embedment, hole, whole length and length to buy [m]."""

    kind: str
    role: str
    size: PostSize
    above_m: float
    embedment: Embedment
    diameter_m: float
    fill: str
    length_m: float
    stock_m: float


Sort = tuple[tuple[str, ...], tuple[str, ...]]
"""Names of the kinds that a post serves, and its roles."""
Made = dict[Sort, tuple[Stock, tuple[Reason, ...]]]


class Stocks:
    """The sorts of post of one job, each worked out once; collects the reasons of their holes.

    made
        sorts of a job of the same kinds that were worked out before, with their reasons; new ones are added.
    """

    def __init__(self, embed: Embed, made: Made | None = None) -> None:
        self._embed = embed
        self._made: Made = {} if made is None else made
        self._known: dict[Sort, Stock] = {}
        self.reasons: list[Reason] = []

    def of(self, kinds: Sequence[Kind], roles: Sequence[str], tall: Kind) -> Stock:
        """The post that serves all these kinds and roles: as high as the tallest, its hole as wide and deep as any.

        kinds, roles
            at least one of each; ``tall`` is the fence whose section and fill are taken. The first role names the post.
        """
        key = (tuple(kind.name for kind in kinds), tuple(roles))
        stock = self._known.get(key)
        if stock is None:
            if key not in self._made:
                self._made[key] = self._make(kinds, roles, tall)
            stock, reasons = self._made[key]
            self._known[key] = stock
            self.reasons.extend(reasons)
        return stock

    def sorts(self) -> list[Stock]:
        """Every sort worked out so far."""
        return list(self._known.values())

    def _make(self, kinds: Sequence[Kind], roles: Sequence[str], tall: Kind) -> tuple[Stock, tuple[Reason, ...]]:
        size = largest_post(tall, roles)
        above = max(kind.above(role) for kind in kinds for role in roles)
        deepest = max(
            (self._embed(kind, role) for kind in kinds for role in roles), key=lambda found: found.in_ground_m
        )
        rule = max((kind.hole(role) for kind in kinds for role in roles), key=lambda hole: hole.diameter_m)
        fill = max((tall.hole(role) for role in roles), key=lambda hole: hole.diameter_m).fill
        length = above + deepest.in_ground_m
        about = f"{tall.name} {roles[0]}"
        dug = Reason(
            f"{about} hole",
            "hole diameter",
            rule.diameter_m,
            "m",
            "the kind's rule" if len(kinds) * len(roles) == 1 else "the largest of what it serves",
            (("fill", fill),),
            rule.diameter_source or "as typed",
        )
        long = Reason(
            f"{about} post",
            "post length",
            length,
            "m",
            "above ground + in the ground",
            (("above ground", above), ("in the ground", deepest.in_ground_m)),
        )
        reasons = (dug, *(other(reason, about=f"{about} hole") for reason in deepest.reasons), long)
        stock = Stock(
            tall.name,
            roles[0],
            size,
            above,
            deepest,
            rule.diameter_m,
            fill,
            length,
            stock_for(size, length),
        )
        return stock, reasons


def stock_for(size: PostSize, length_m: float) -> float:
    """The shortest length on offer that reaches [m]; 0 where none does, or where posts are cut to order."""
    return min((stock for stock in size.stocks_m if stock >= length_m - 1e-6), default=0.0)
