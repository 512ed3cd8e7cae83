"""Rules for the holes of a kind: its own figures, or the rules of the trade for chain link, which disagree."""

from __future__ import annotations

import math
from collections.abc import Mapping

from palewright.model import HoleRule, PostSize
from palewright.tables import KindTable

__all__ = ["f567_depth", "f567_diameter", "hole_rules"]

_FOOT = 0.3048
_LEAFLET = {"line": (6 * 0.0254, 24 * 0.0254), "end": (8 * 0.0254, 30 * 0.0254), "gate": (8 * 0.0254, 30 * 0.0254)}


def f567_depth(fabric_m: float) -> float:
    """Depth of a hole for chain link by ASTM F567.

    fabric_m
        height of the fence [m], > 0.
    Returns 24 in, and 3 in more for each foot above 4 ft; a part of a foot counts as a whole one [m].
    Source: f567 (setting depths), confirmed by the text of byesville (a)(2).

    >>> [round(f567_depth(feet * 0.3048) / 0.0254, 6) for feet in (4, 5, 6, 7, 8, 10, 12)]
    [24.0, 27.0, 30.0, 33.0, 36.0, 42.0, 48.0]
    """
    if not fabric_m > 0:
        raise ValueError(f"height of the fence must be more than 0, not {fabric_m}")
    return (24 + 3 * max(0, math.ceil(fabric_m / _FOOT - 4 - 1e-9))) * 0.0254


def f567_diameter(post_m: float) -> float:
    """Diameter of a hole for chain link by ASTM F567.

    post_m
        largest cross section of the post [m], > 0.
    Returns four times the post up to 4 in, three times above [m]. Source: f567.

    >>> [round(f567_diameter(inches * 0.0254) / 0.0254, 3) for inches in (1.625, 1.9, 2.375, 2.875, 4, 6.625)]
    [6.5, 7.6, 9.5, 11.5, 16.0, 19.875]
    """
    if not post_m > 0:
        raise ValueError(f"post must be more than 0 across, not {post_m}")
    return post_m * (4 if post_m <= 4 * 0.0254 + 1e-9 else 3)


def hole_rules(
    table: KindTable,
    values: Mapping[str, float | int | str | bool],
    posts: tuple[tuple[str, PostSize], ...],
    infill_m: float,
    sources: Mapping[str, str],
) -> tuple[tuple[str, HoleRule], ...]:
    """Rules by role for a kind; a value of 0 leaves diameter and depth of chain link to its ``hole rule``."""
    rules = []
    by_role = dict(posts)
    if values.get("hole.corner") and "corner" not in by_role:
        by_role["corner"] = by_role["end"]
    for role, size in by_role.items():
        key = f"hole.{role}" if values.get(f"hole.{role}") else ("hole.end" if role != "line" else "hole.line")
        diameter, depth = float(values[key]), float(values["hole.least"])
        source, across = sources["hole.least"], sources[key]
        if table.family == "chain link":
            wide, deep, rule = _chain_link(str(values["hole rule"]), role, size, infill_m)
            source, across = source if depth else rule, across if diameter else rule
            diameter, depth = diameter or wide, depth or deep
        rules.append(
            (
                role,
                HoleRule(
                    diameter,
                    depth,
                    float(values["hole.gravel"]),
                    float(values["share in ground"]),
                    str(values["hole.fill"]),
                    source,
                    across,
                ),
            )
        )
    return tuple(rules)


def _chain_link(rule: str, role: str, size: PostSize, infill_m: float) -> tuple[float, float, str]:
    """The two rules that disagree. The leaflet gives a range of depths: the deep end of it is taken."""
    if rule == "leaflet":
        return *_LEAFLET.get(role, _LEAFLET["end"]), "clhow"
    return f567_diameter(size.diagonal_m), f567_depth(infill_m), "f567"
