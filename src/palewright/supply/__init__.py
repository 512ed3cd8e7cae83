"""Take-off: what to buy, counted from the layout, and its price."""

from palewright.supply.concrete import BAG_MASSES_KG, BAG_YIELDS_M3, bags_needed, hole_volumes, spoil_volume
from palewright.supply.counts import (
    boards_lapped,
    boards_solid,
    boards_spaced,
    rail_sticks,
    rows_of_boards,
    tension_bands,
    ties_on_post,
    whole_units,
)
from palewright.supply.cutting import CutRow, Cutting, Part, Stick, cut_rows
from palewright.supply.ground import post_material
from palewright.supply.prices import Price, PriceList, apply_prices, read_prices
from palewright.supply.takeoff import take_off

__all__ = [
    "BAG_MASSES_KG",
    "BAG_YIELDS_M3",
    "CutRow",
    "Cutting",
    "Part",
    "Price",
    "PriceList",
    "apply_prices",
    "Stick",
    "bags_needed",
    "boards_lapped",
    "boards_solid",
    "boards_spaced",
    "cut_rows",
    "hole_volumes",
    "post_material",
    "rail_sticks",
    "read_prices",
    "rows_of_boards",
    "spoil_volume",
    "take_off",
    "tension_bands",
    "ties_on_post",
    "whole_units",
]
