"""Sight triangles at street corners and drives: where they lie, and what of the fence stands in them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from palewright.model import Drive, Finding, Rule, SightTriangle
from palewright.permit.checks import nearest_side
from palewright.permit.fence import Fence, Stretch
from palewright.permit.findings import SLACK_M, ask, found
from palewright.permit.lot import Lot
from palewright.permit.regions import inner_side, polygon, step_along, whole
from palewright.plane import XY, Side, add, distance, left_of, scale, sides_meet, sub, unit
from palewright.record import Record

__all__ = ["judge_sight", "triangles_of"]

_CUT_CORNER_M = 15.0
"""A side no longer than this between two streets is taken for a cut or rounded corner: our own choice [m]."""


class _Found(Record):
    """Triangles of a rule, and the things for which one could not be made, with why and what the words name."""

    triangles: list[SightTriangle]
    asks: list[tuple[str, tuple[tuple[str, str | int], ...]]]


def triangles_of(rule: Rule, lot: Lot) -> _Found:
    """The triangles of a sight rule on a lot."""
    made = _Found([], [])
    if rule.kind == "corner-sight":
        for one, two in _corners(lot):
            _corner(rule, lot, one, two, made)
    else:
        for drive in lot.drives:
            _drive(rule, lot, drive, made)
    return made


def _corners(lot: Lot) -> list[tuple[int, int]]:
    """Pairs of sides (the first runs to the corner) where two streets meet, with or without a cut corner between."""
    count, pairs = len(lot.sides), []
    for one in sorted(lot.known):
        for step in (1, 2):
            two = (one - 1 + step) % count + 1
            between = lot.sides[one % count]
            short = step == 1 or (one % count + 1 not in lot.known and distance(between.a, between.b) <= _CUT_CORNER_M)
            if two != one and two in lot.known and lot.known[two].name != lot.known[one].name and short:
                pairs.append((one, two))
    return pairs


def _line(rule: Rule, lot: Lot, number: int, made: _Found) -> Side | None:
    """The line of a rule along a street; None after asking for what was not typed."""
    word = rule.word("line")
    offset = lot.reference(number, word)
    if offset is None:
        street = lot.known.get(number)
        args = (("line", word), ("side", number), *((("street", street.name),) if street else ()))
        if ("line-not-typed", args) not in made.asks:
            made.asks.append(("line-not-typed", args))
        return None
    try:
        return inner_side(lot.sides[number - 1], -offset, lot.left)
    except ValueError:
        made.asks.append(("no-crossing", (("side", number),)))
        return None


def _legs(rule: Rule) -> tuple[float, float]:
    leg = rule.length("leg") or 0.0
    other = rule.length("other_leg")
    return leg, leg if other is None else other


def _meet(one: Side, two: Side, lot: Lot, near: XY) -> XY | None:
    """Where two lines, run on past their ends, cross nearest to a place."""
    hits = [p for a in whole(one, lot.far_m) for b in whole(two, lot.far_m) for p in sides_meet(a, b)]
    return min(hits, key=lambda p: distance(p, near), default=None)


def _corner(rule: Rule, lot: Lot, one: int, two: int, made: _Found) -> None:
    lines = [_line(rule, lot, number, made) for number in (one, two)]
    if lines[0] is None or lines[1] is None:
        return
    first, second = lines[0], lines[1]
    crossing = _meet(first, second, lot, lot.sides[one - 1].b)
    if crossing is None:
        made.asks.append(("no-crossing", (("side", one), ("other", two))))
        return
    leg, other = _legs(rule)
    ring = (crossing, step_along(first, crossing, -leg), step_along(second, crossing, other))
    made.triangles.append(SightTriangle(rule.name, "corner", ring))


def _drive(rule: Rule, lot: Lot, drive: Drive, made: _Found) -> None:
    """A triangle on each side of a drive, from where its edge crosses the line."""
    if not lot.known:
        made.asks.append(("no-streets", (("drive", drive.name),)))
        return
    number = nearest_side(lot, drive.points[0], lot.known)
    line = _line(rule, lot, number, made)
    if line is None:
        return
    into = unit(sub(drive.points[1], drive.points[0]))
    leg, other = _legs(rule)
    for half in (drive.width_m / 2.0, -drive.width_m / 2.0):
        foot = add(drive.points[0], scale(left_of(into), half))
        edge = Side(foot, add(foot, into))
        crossing = _meet(edge, line, lot, foot)
        if crossing is None:
            made.asks.append(("no-crossing", (("drive", drive.name),)))
            return
        ways = [step_along(line, crossing, sign * leg) for sign in (1.0, -1.0)]
        away = max(ways, key=lambda p: _aside(p, crossing, into) * (1.0 if half > 0.0 else -1.0))
        ring = (crossing, away, add(crossing, scale(into, other)))
        made.triangles.append(SightTriangle(rule.name, drive.name, ring))


def _aside(p: XY, origin: XY, way: XY) -> float:
    """How far a point lies to the left of a direction from an origin [m]."""
    off = sub(p, origin)
    return way[0] * off[1] - way[1] * off[0]


def judge_sight(rule: Rule, fence: Fence, lot: Lot, front: tuple[int, ...]) -> list[Finding]:
    """Every stretch of fence inside a triangle of the rule, with its height above level ground."""
    made = triangles_of(rule, lot)
    findings = [ask(rule, "sight", slug, args=args) for slug, args in made.asks]
    if rule.kind == "drive-sight" and not lot.drives:
        findings.append(ask(rule, "sight", "no-drives"))
    if rule.kind == "corner-sight" and not lot.known:
        findings.append(ask(rule, "sight", "no-streets"))
    for triangle in made.triangles:
        findings += _triangle(rule, fence, triangle)
    return findings or [found(rule, "meets", "none-there", unit="")]


def _triangle(rule: Rule, fence: Fence, triangle: SightTriangle) -> list[Finding]:
    corners: Sequence[XY] = triangle.ring
    ring = tuple(Side(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))
    region = polygon(ring)
    parts = fence.parts(region.edges, lambda p: "in" if region.holds(p) else "")
    args = (("thing", triangle.thing), ("level", rule.word("level", "ground")))
    if not parts:
        return [found(rule, "meets", "none-there", unit="", args=args)]
    return [_seen(rule, fence, stretch, args) for _, stretch in parts]


def _seen(rule: Rule, fence: Fence, stretch: Stretch, args: tuple[tuple[str, str], ...]) -> Finding:
    above, below = rule.length("clear_above") or 0.0, rule.length("clear_below")
    height, exempt = fence.height(stretch), rule.share("open_exempt")
    more: dict[str, Any] = {"provided": height, "required": above, "bound": "most", "args": args}
    gap = fence.kinds[stretch.fence].bottom_gap_m
    if height <= above + SLACK_M or (below is not None and gap >= below - SLACK_M):
        return found(rule, "meets", "sight", stretch, **more)
    if exempt is not None:
        share = fence.open_share(stretch.fence)
        if share is None:
            return ask(rule, "sight", "open-not-said", stretch, **more | {"args": (*args, ("fence", stretch.fence))})
        if share >= exempt - 1e-9:
            return found(rule, "meets", "openness", stretch, provided=share, required=exempt, unit="share",
                         bound="least", args=args)  # fmt: skip
    return found(rule, "does-not", "sight", stretch, **more)
