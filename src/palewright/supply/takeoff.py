"""The list to buy, counted from the layout itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from palewright.model import Design, Item, Job, Kind, LinePlan, Post, Site, TakeOff
from palewright.supply.boards import screws, take_boards, take_rails
from palewright.supply.counts import whole_units
from palewright.supply.cutlist import CutList
from palewright.supply.draft import Draft, Piece, pieces_of
from palewright.supply.gates import take_gates
from palewright.supply.ground import take_ground, take_posts, take_removals
from palewright.supply.mesh import take_mesh
from palewright.supply.panels import take_panels
from palewright.supply.prices import PriceList, apply_prices
from palewright.tables import saw_kerf

__all__ = ["take_off"]

_GROUPS = (
    "posts",
    "rails",
    "boards",
    "panels",
    "fabric",
    "fittings",
    "caps",
    "fasteners",
    "concrete",
    "gates",
    "removal",
)


def take_off(
    job: Job,
    site: Site,
    design: Design,
    kinds: Mapping[str, Kind],
    prices: PriceList | None = None,
    search_cuts: bool = True,
    lines: Sequence[LinePlan] = (),
) -> TakeOff:
    """Everything to buy for a design, and what taking down old fences means.

    job, site
        for the currency and the old fences. design: posts, bays and gates as laid out. kinds: by the name of the fence.
    prices
        a price list, or None for a list without cost.
    search_cuts
        whether the least lengths of stock are searched for, or cut by the rule of the trade: quicker, and never less.
    lines
        runs of wire.
    Returns lines in groups (posts, rails, boards, ...), each with need, waste, purchase unit, what it serves, rule and
    source; what is cut from each length of stock; volume of concrete, weight of dry mix and gravel as bought, spoil;
    with prices also costs and their total.
    Raises JobError naming every code that the price list lacks and every unit that differs. Lines that are the same for
    the same reason are one line; a code may stand in several lines (line posts and end posts of one size).
    """
    draft = Draft()
    cuts = CutList(draft, search_cuts)
    pieces = pieces_of(design, kinds)
    posts = list(design.posts)
    take_posts(draft, kinds, posts)
    for name, kind in kinds.items():
        if pieces[name]:
            _infill(draft, cuts, kind, pieces[name], posts)
    ground = take_ground(draft, kinds, posts)
    take_gates(draft, cuts, design, dict(kinds))
    cuts.cut()
    take_removals(draft, site)
    if lines:
        from palewright.supply.line import take_lines

        take_lines(draft, lines)
    items = _merged(draft.items)
    total, currency = None, job.currency
    if prices is None:
        draft.remark("prices-not-given", "note", "price list")
    else:
        items, total = apply_prices(items, prices, job.currency)
        currency = prices.currency or job.currency
    return TakeOff(
        items,
        ground.concrete_m3,
        ground.mass_kg,
        ground.spoil_m3,
        total,
        currency,
        tuple(draft.remarks),
        tuple(draft.reasons),
        tuple(cuts.cuts),
        saw_kerf() if cuts.cuts else 0.0,
    )


def _infill(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece], posts: list[Post]) -> None:
    if kind.family == "boards":
        take_boards(draft, cuts, kind, pieces, posts)
    elif kind.family == "panels":
        take_panels(draft, kind, pieces, posts)
    elif kind.family == "post and rail":
        take_rails(draft, cuts, kind, pieces, posts)
    else:
        mine = {label for piece in pieces for label in piece.leg.posts}
        take_mesh(draft, kind, pieces, [post for post in posts if post.kind == kind.name and post.label in mine])
    if any(piece.profile is not None for piece in pieces):
        from palewright.supply.slopes import close_below

        close_below(draft, cuts, kind, pieces, screws(2))


def _merged(items: list[Item]) -> tuple[Item, ...]:
    """Lines alike in everything but need and what they serve made one, sorted by group in the order of building."""
    known: dict[tuple[object, ...], Item] = {}
    for item in items:
        key = (item.code, item.what, item.size, item.waste, item.per, item.rule, item.note)
        before = known.get(key)
        known[key] = item if before is None else _together(before, item)
    return tuple(sorted(known.values(), key=lambda item: _GROUPS.index(item.group)))


def _together(one: Item, two: Item) -> Item:
    need = one.need + two.need
    return replace(
        one,
        need=need,
        buy=whole_units(need, one.per, one.waste),
        posts=tuple(dict.fromkeys((*one.posts, *two.posts))),
        bays=tuple(dict.fromkeys((*one.bays, *two.bays))),
        gates=tuple(dict.fromkeys((*one.gates, *two.gates))),
    )
