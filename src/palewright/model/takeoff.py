"""What a design takes: items to buy, with their price and where they come from, and how stock is cut."""

from __future__ import annotations

from decimal import Decimal

from palewright.model.said import Reason, Remark
from palewright.record import Record

__all__ = ["Cut", "CutPart", "Item", "TakeOff"]


class Item(Record):
    """One line of the take-off.

    code
        stable key of the price list; ``what`` a slug with a text in every language, ``size`` in plain words.
    need
        exact need before waste, in ``unit`` ("each", "m", "m2", "kg", "m3"); waste: fraction added.
    buy, per, buy_unit
        whole purchase units, and how much of ``unit`` one holds.
    posts, bays, gates
        what it serves. rule: how it was counted, source: whose rule.
    price, cost
        per purchase unit and for all, or None without a price list.
    """

    code: str
    what: str
    size: str
    need: float
    unit: str
    waste: float
    buy: int
    buy_unit: str
    per: float
    group: str
    posts: tuple[str, ...] = ()
    bays: tuple[int, ...] = ()
    gates: tuple[str, ...] = ()
    rule: str = ""
    source: str = "common practice"
    note: str = ""
    price: Decimal | None = None
    cost: Decimal | None = None


class CutPart(Record):
    """One part of a length of stock: its length [m], and the bays that it covers or the gates that it is for."""

    length_m: float
    bays: tuple[int, ...] = ()
    gates: tuple[str, ...] = ()


class Cut(Record):
    """Lengths of stock that are cut alike.

    code, what
        of the line of the take-off that buys them. stock_m: each one's length [m]; ``count``: how many.
    parts, left_m
        what is cut from each, and what is left of it [m].
    """

    code: str
    what: str
    stock_m: float
    count: int
    parts: tuple[CutPart, ...]
    left_m: float


class TakeOff(Record):
    """The list to buy. total: None unless every line has a price.

    cuts, kerf_m
        which length of stock gives which parts, and the saw cut that was counted between them [m].
    """

    items: tuple[Item, ...]
    concrete_m3: float
    mass_kg: float
    spoil_m3: float
    total: Decimal | None
    currency: str
    remarks: tuple[Remark, ...] = ()
    reasons: tuple[Reason, ...] = ()
    cuts: tuple[Cut, ...] = ()
    kerf_m: float = 0.0
