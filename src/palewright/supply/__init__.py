"""Take-off: what to buy, counted from the layout, and its price."""

from palewright.supply.concrete import BAG_MASSES_KG, BAG_YIELDS_M3, bags_needed, hole_volumes, spoil_volume
from palewright.supply.counts import (
    boards_lapped,
    boards_solid,
    boards_spaced,
    cut_from_stock,
    rail_sticks,
    rows_of_boards,
    tension_bands,
    ties_on_post,
    whole_bays_from_stock,
    whole_units,
)
from palewright.supply.prices import Price, PriceList, apply_prices, read_prices
from palewright.supply.takeoff import take_off

__all__ = [
    "BAG_MASSES_KG",
    "BAG_YIELDS_M3",
    "Price",
    "PriceList",
    "apply_prices",
    "bags_needed",
    "boards_lapped",
    "boards_solid",
    "boards_spaced",
    "cut_from_stock",
    "hole_volumes",
    "rail_sticks",
    "read_prices",
    "rows_of_boards",
    "spoil_volume",
    "take_off",
    "tension_bands",
    "ties_on_post",
    "whole_bays_from_stock",
    "whole_units",
]
