"""Concrete, gravel and spoil of holes."""

from __future__ import annotations

import math

from palewright.tables import concrete_table

__all__ = ["BAG_MASSES_KG", "BAG_YIELDS_M3", "bags_needed", "hole_volumes", "spoil_volume"]

_CUBIC_FOOT = 0.3048**3
_POUND = 0.45359237

BAG_YIELDS_M3: dict[str, float] = {
    name: bag["yield_ft3"] * _CUBIC_FOOT for name, bag in concrete_table()["bags"].items()
}
BAG_MASSES_KG: dict[str, float] = {name: bag["mass_lb"] * _POUND for name, bag in concrete_table()["bags"].items()}


def hole_volumes(
    hole_d_m: float, depth_m: float, post_area_m2: float = 0.0, gravel_m: float = 0.0
) -> tuple[float, float]:
    """Volume of a round hole, and of the concrete in it.

    hole_d_m, depth_m
        diameter and whole depth, gravel included [m], > 0. post_area_m2: section of the post [m2], 0 to the hole's.
    gravel_m
        gravel under the post [m], 0 to the depth.
    Returns (gross, net) [m3]: gross is the whole hole, hole area x depth, what is dug; net is
    (hole area - post area) x (depth - gravel), the post standing on the gravel. A pipe counts as solid: it is capped or
    fills. Raises ValueError outside the ranges. Source: geometry.

    >>> gross, net = hole_volumes(0.254, 0.762, 0.0889**2)
    >>> round(net / 0.3048**3, 2)
    1.15
    """
    area = math.pi * hole_d_m**2 / 4
    if not (hole_d_m > 0 and depth_m > 0 and math.isfinite(area * depth_m)):
        raise ValueError("diameter and depth of a hole must be more than 0")
    if not 0 <= gravel_m <= depth_m:
        raise ValueError("gravel must be from 0 to the depth of the hole")
    if not 0 <= post_area_m2 <= area:
        raise ValueError("the post must not be larger than the hole")
    return area * depth_m, (area - post_area_m2) * (depth_m - gravel_m)


def bags_needed(volume_m3: float, bag_m3: float) -> int:
    """Bags of concrete mix for a volume, rounded up.

    volume_m3
        net volume [m3], >= 0. bag_m3: yield of one bag [m3], > 0; see BAG_YIELDS_M3.
    Raises ValueError outside the ranges. Source: bag-yields.

    >>> bags_needed(20 * 1.15 * 0.3048**3, BAG_YIELDS_M3["80 lb"])
    39
    """
    if not (volume_m3 >= 0 and bag_m3 > 0 and math.isfinite(volume_m3)):
        raise ValueError(f"cannot count bags of {bag_m3} for {volume_m3}")
    return math.ceil(volume_m3 / bag_m3 - 1e-9)


def spoil_volume(hole_m3: float) -> float:
    """Loose spoil from a hole.

    hole_m3
        volume dug [m3], >= 0. Returns it times the bulking of the table of concrete [m3].

    >>> spoil_volume(1.0)
    1.25
    """
    if not hole_m3 >= 0:
        raise ValueError("a volume dug is 0 or more")
    return hole_m3 * float(concrete_table()["spoil"]["bulking"])
