"""How deep a post goes: the deepest of the kind's rule, a part of the whole post, and frost; or what was typed."""

from __future__ import annotations

import math

from palewright.model import Embedment, HoleRule, Kind, Reason, Remark

__all__ = ["design_hole", "embed", "embed_remarks", "third_in_ground"]

_SLACK = 1e-9


def third_in_ground(above_m: float, fraction: float = 1 / 3) -> float:
    """How much of a post stands in the ground when ``fraction`` of the whole post does.

    above_m
        top of the post above ground [m], >= 0. fraction: of the whole post, 0 to under 1.
    Returns d [m] with d = fraction x (above + d), that is d = above x fraction / (1 - fraction): for a third, half the
    height above ground. Raises ValueError outside the ranges. Source: geometry; the third is the custom for wood.

    >>> round(third_in_ground(6.0), 9)
    3.0
    """
    if not above_m >= 0 or not math.isfinite(above_m):
        raise ValueError(f"height above ground must be 0 or more, not {above_m}")
    if not 0 <= fraction < 1:
        raise ValueError(f"fraction must be from 0 to under 1, not {fraction}")
    return above_m * fraction / (1 - fraction)


def design_hole(
    rule: HoleRule, above_m: float, frost_m: float | None = None, typed_depth_m: float | None = None
) -> Embedment:
    """Depth of a hole, gravel in it and post in the ground.

    rule
        of the kind: least depth with gravel, gravel, and the part of the post that goes in the ground.
    above_m
        top of the post above ground [m], >= 0. frost_m: depth of frost below ground [m], >= 0, or None when not given.
    typed_depth_m
        depth as the job wants it, gravel included [m]; it goes before the rules, and what it falls short of is a reason
        and, by :func:`embed_remarks`, a caution.
    Returns the deepest of: the kind's least depth; a part of the whole post, plus gravel; frost, plus gravel.
    The bottom of the *footing* (concrete, or the post where there is none) must be at or below the frost: gravel under
    it does not count. That is the stricter reading; local code decides. Equal depths name the kind before the third
    before the frost. Raises ValueError for a negative or unusable number.

    >>> rule = HoleRule(diameter_m=0.254, depth_m=0.762, gravel_m=0.1524, fraction=1 / 3)
    >>> hole = design_hole(rule, above_m=74 * 0.0254)
    >>> hole.governs, round(hole.depth_m / 0.0254, 3), round(hole.in_ground_m / 0.0254, 3)
    ('third', 43.0, 37.0)
    """
    for value, name in ((frost_m, "frost depth"), (typed_depth_m, "typed depth")):
        if value is not None and not (value >= 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be 0 or more, not {value}")
    if rule.depth_m < 0 or rule.gravel_m < 0:
        raise ValueError("a hole rule has no negative depth or gravel")
    asked = _asked(rule, above_m, frost_m)
    governs, depth = asked[0]
    for name, wanted in asked[1:]:
        if wanted > depth + _SLACK:
            governs, depth = name, wanted
    if typed_depth_m is not None:
        if typed_depth_m <= rule.gravel_m:
            raise ValueError("the typed depth is no more than the gravel under the post")
        governs, depth = "typed", typed_depth_m
    reasons = _reasons(rule, above_m, frost_m, asked, governs, depth)
    return Embedment(depth, max(0.0, depth - rule.gravel_m), rule.gravel_m, governs, reasons)


def _asked(rule: HoleRule, above_m: float, frost_m: float | None) -> list[tuple[str, float]]:
    """What each rule asks for, gravel included [m]; the kind's first."""
    asked = [("kind", max(rule.depth_m, rule.gravel_m))]
    if rule.fraction:
        asked.append(("third", third_in_ground(above_m, rule.fraction) + rule.gravel_m))
    if frost_m is not None:
        asked.append(("frost", frost_m + rule.gravel_m))
    return asked


_FORMULAS = {
    "kind": "least depth of the kind, gravel included",
    "third": "top above ground x part / (1 - part) + gravel",
    "frost": "frost depth + gravel: the footing reaches the frost depth, gravel does not count",
}


def _reasons(
    rule: HoleRule, above_m: float, frost_m: float | None, asked: list[tuple[str, float]], governs: str, depth: float
) -> tuple[Reason, ...]:
    inputs: dict[str, tuple[tuple[str, float | int | str], ...]] = {
        "kind": (("least depth_m", rule.depth_m),),
        "third": (("above_m", above_m), ("part", rule.fraction), ("gravel_m", rule.gravel_m)),
        "frost": (("frost_m", 0.0 if frost_m is None else frost_m), ("gravel_m", rule.gravel_m)),
    }
    sources = {"kind": rule.source or "common practice", "third": "common practice", "frost": "common practice"}
    reasons = [
        Reason("hole", f"depth by {name}", value, "m", _FORMULAS[name], inputs[name], sources[name])
        for name, value in asked
    ]
    if frost_m is None:
        reasons.append(Reason("hole", "depth by frost", "not given", "", "frost depth + gravel", (), "as typed"))
    short = [name for name, value in asked if value > depth + _SLACK]
    words = "as typed" if governs == "typed" else "the deepest of what the rules ask"
    if short:
        words += "; shallower than " + ", ".join(short)
    reasons.append(
        Reason(
            "hole",
            "hole depth",
            depth,
            "m",
            words,
            (
                ("governs", governs),
                *asked,
                ("in the ground", max(0.0, depth - rule.gravel_m)),
                ("gravel", rule.gravel_m),
            ),
            "as typed" if governs == "typed" else sources[governs],
        )
    )
    return tuple(reasons)


def embed(kind: Kind, role: str, frost_m: float | None = None) -> Embedment:
    """Depth of the hole of a post of a kind, its typed depth included.

    kind, role
        the fence and the role of the post ("line", "end", "corner", "gate", ...). frost_m: as for :func:`design_hole`.
    Returns what :func:`design_hole` says for the kind's rule and the key ``hole.depth`` (0: not typed).
    """
    return design_hole(kind.hole(role), kind.above(role), frost_m, _typed(kind))


def _typed(kind: Kind) -> float | None:
    value = kind.value("hole.depth", 0.0)
    return float(value) if isinstance(value, (int, float)) and value > 0 else None


def embed_remarks(kind: Kind, frost_m: float | None = None) -> tuple[Remark, ...]:
    """Cautions about a depth that was typed: each rule that asks for more, once for the kind, at its worst.

    kind
        the fence. frost_m: depth of frost below ground [m], or None when not given.
    Returns nothing for a kind whose depth is left to the rules. Source: the rules of :func:`design_hole`.
    """
    typed = _typed(kind)
    if typed is None:
        return ()
    worst: dict[str, float] = {}
    for role, _ in kind.posts:
        for name, wanted in _asked(kind.hole(role), kind.above(role), frost_m):
            if wanted > typed + _SLACK:
                worst[name] = max(worst.get(name, 0.0), wanted)
    about = f"holes of {kind.name}"
    return tuple(
        Remark(f"hole-shallower-than-{name}", "caution", about, (("depth_m", typed), ("wanted_m", wanted)))
        for name, wanted in worst.items()
    )
