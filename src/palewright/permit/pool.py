"""Rules of pool barriers and of fences near retaining walls."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

from palewright.model import Finding, Gate, GateFacts, Kind, Leg, Rule, Wall
from palewright.permit.fence import Fence, Stretch, joined
from palewright.permit.findings import SLACK_M, ask, found
from palewright.permit.lot import Lot
from palewright.permit.regions import nearest_of_segment
from palewright.plane import XY, Side

__all__ = ["judge_pool", "judge_retaining"]


def judge_pool(
    rule: Rule, fence: Fence, lot: Lot, front: tuple[int, ...], gates: dict[str, GateFacts]
) -> list[Finding]:
    """Each typed value of a rule against every run of the barrier of every pool."""
    if not lot.pools:
        return [ask(rule, "pool", "no-pools")]
    made: list[Finding] = []
    for name, water, barrier in lot.pools:
        if not barrier:
            made.append(ask(rule, "pool", "barrier-not-said", args=(("pool", name),)))
            continue
        for stretch in fence.whole():
            if stretch.run in barrier:
                made += [finding for part in fence.by_ground(stretch) for finding in _barrier(rule, fence, part)]
                made += _water(rule, fence, stretch, water)
        for gate in fence.design.gates:
            if gate.run in barrier:
                made += _gate(rule, gate, gates.get(gate.name) or GateFacts(gate.name))
    return made


def _bound(rule: Rule, stretch: Stretch, measure: str, value: float | None, limit: float, least: bool,
           slug: str) -> Finding:  # fmt: skip
    """A value against a limit; an ask where it is not known."""
    more: dict[str, Any] = {"provided": value, "required": limit, "bound": "least" if least else "most"}
    if value is None:
        return ask(rule, measure, slug, stretch, args=(("fence", stretch.fence),), **more)
    kept = value >= limit - SLACK_M if least else value <= limit + SLACK_M
    return found(rule, "meets" if kept else "does-not", measure, stretch, **more)


def _barrier(rule: Rule, fence: Fence, stretch: Stretch) -> list[Finding]:
    kind, run = fence.kinds[stretch.fence], fence.runs[stretch.run]
    made = []
    height, gap, opening, rails = (rule.length(key) for key in ("height", "gap", "opening", "rails_apart"))
    if fence.on_ground(stretch):
        from palewright.permit.on_ground import pool_on_ground

        made += pool_on_ground(rule, fence, stretch)
        height = gap = None
    if height is not None:
        low = [gate.height_m for gate in fence.design.gates if gate.bay in stretch.bays]
        made.append(_bound(rule, stretch, "barrier-height", min([kind.top_m, *low]), height, True, ""))
    if gap is not None:
        finding = _bound(rule, stretch, "gap-under", kind.bottom_gap_m, gap, False, "")
        if finding.verdict == "meets" and run.fall_m and not fence.racks(stretch, ("racked",)):
            finding = ask(rule, "gap-under", "ground-falls", stretch, provided=kind.bottom_gap_m, required=gap,
                          bound="most")  # fmt: skip
        made.append(finding)
    if opening is not None:
        made.append(_bound(rule, stretch, "opening", fence.opening(stretch.fence), opening, False, "opening-not-said"))
    if rails is not None:
        made.append(_rails(rule, fence, stretch, kind, rails))
    return made


def _rails(rule: Rule, fence: Fence, stretch: Stretch, kind: Kind, apart_m: float) -> Finding:
    """Rails that could be climbed: on the outside they are far enough apart, or there are none there."""
    facts = fence.facts.get(stretch.fence)
    sides = {facts.rails} if facts is not None and facts.rails else {_rail_side(kind, fence.design.legs[leg])
                                                                     for leg in stretch.legs}  # fmt: skip
    heights = kind.rail_heights_m
    least = min((b - a for a, b in itertools.pairwise(heights)), default=None)
    if sides <= {"in", "none"} or (kind.rails < 2 and kind.family == "boards"):
        return found(rule, "meets", "rails-inside", stretch, provided="none" if sides == {"none"} else "in", unit="")
    if least is None or "" in sides:
        return ask(rule, "rails-apart", "rails-not-said", stretch, provided=least, required=apart_m, bound="least",
                   args=(("fence", stretch.fence),))  # fmt: skip
    step, post = _step(fence, stretch)
    if step > SLACK_M and least >= apart_m - SLACK_M:
        finding = _bound(rule, stretch, "rails-at-step", least - step, apart_m, True, "")
        return replace(finding, args=(("post", post),))
    return _bound(rule, stretch, "rails-apart", least, apart_m, True, "rails-not-said")


def _step(fence: Fence, stretch: Stretch) -> tuple[float, str]:
    """The largest step within a stretch [m], and its post: there rails of two bays are nearer to each other."""
    steps = [(0.0, "")]
    for one, two in itertools.pairwise(stretch.bays):
        if one in fence.met and two in fence.met and fence.bays[one].end == fence.bays[two].start:
            rise = abs(fence.met[two].bottom_m[0] - fence.met[one].bottom_m[1])
            steps.append((rise, fence.bays[two].start))
    return max(steps)


def _rail_side(kind: Kind, leg: Leg) -> str:
    """The side of the rails: away from the good side, where the two sides differ; "" where it cannot be told."""
    if kind.family == "boards" and kind.pattern in ("solid", "spaced", "board on board"):
        return {"neighbour": "in", "yard": "out"}.get(leg.good_side, "")
    return ""


def _water(rule: Rule, fence: Fence, stretch: Stretch, water: tuple[XY, ...]) -> list[Finding]:
    limit = rule.length("water")
    if limit is None:
        return []
    shore = [Side(a, b) for a, b in zip(water, [*water[1:], water[0]], strict=True)]
    faces = [face for leg in stretch.legs for face in fence.faces(fence.design.legs[leg])]
    least = min(nearest_of_segment(a, b, side)[0] for a, b in faces for side in shore)
    return [_bound(rule, stretch, "water-to-barrier", least, limit, True, "")]


def _gate(rule: Rule, gate: Gate, facts: GateFacts) -> list[Finding]:
    made: list[Finding] = []
    where: dict[str, Any] = {"run": gate.run, "posts": gate.posts, "bays": (gate.bay,)}
    args = (("gate", gate.name),)
    typed = {"self_closing": facts.self_closing, "self_latching": facts.self_latching}
    for key, value in typed.items():
        if rule.word(key) == "yes":
            measure = key.replace("_", "-")
            more = where | {"required": "yes", "unit": "", "args": args}
            if value is None:
                made.append(ask(rule, measure, "gate-not-said", **more))
            else:
                verdict = "meets" if value else "does-not"
                made.append(found(rule, verdict, measure, provided="yes" if value else "no", **more))
    opens, latch = rule.word("opens"), rule.length("latch")
    if opens:
        more = where | {"required": opens, "unit": "", "args": args}
        way = {"yard": "in", "out": "out"}.get(gate.swings, "")
        if not way:
            made.append(ask(rule, "gate-opens", "gate-not-said", **more))
        else:
            made.append(found(rule, "meets" if way == opens else "does-not", "gate-opens", provided=way, **more))
    if latch is not None:
        more = where | {"provided": facts.latch_m, "required": latch, "bound": "least", "args": args}
        if facts.latch_m is None:
            made.append(ask(rule, "latch", "gate-not-said", **more))
        else:
            kept = facts.latch_m >= latch - SLACK_M
            made.append(found(rule, "meets" if kept else "does-not", "latch", **more))
    return made


# ---------------------------------------------------------------- retaining walls


def judge_retaining(rule: Rule, fence: Fence, lot: Lot, front: tuple[int, ...]) -> list[Finding]:
    """Height of the fence near a retaining wall, with the height of the wall where the rule counts it."""
    if not lot.walls:
        return [found(rule, "meets", "no-walls", unit="")]
    made: list[Finding] = []
    for wall, holds in lot.walls:
        for stretch in _near(fence, wall, rule.length("near") or 0.0):
            made.append(_beside(rule, fence, stretch, wall, holds))
    return made or [found(rule, "meets", "none-there", unit="")]


def _near(fence: Fence, wall: Wall, near_m: float) -> list[Stretch]:
    """Bays that come nearer to a wall than a distance, those of one run in a row as one stretch."""
    sides = [Side(a, b) for a, b in itertools.pairwise(wall.points)]
    close = {
        bay.number
        for bay in fence.design.bays
        for side in sides
        if nearest_of_segment(fence.posts[bay.start].xy, fence.posts[bay.end].xy, side)[0] < near_m - SLACK_M
    }
    return joined(part for part in _by_bay(fence) if part.bays[0] in close)


def _by_bay(fence: Fence) -> list[Stretch]:
    made = []
    for leg in fence.design.legs:
        at = leg.from_m
        for number in leg.bays:
            bay = fence.bays[number]
            made.append(
                Stretch(leg.run, leg.fence, at, at + bay.length_m, (number,), (bay.start, bay.end), (leg.index,))
            )
            at += bay.length_m
    return made


def _beside(rule: Rule, fence: Fence, stretch: Stretch, wall: Wall, holds: str) -> Finding:
    counts, most = rule.word("counts"), rule.length("most") or 0.0
    height = fence.height(stretch)
    args = (("wall", wall.name),)
    more: dict[str, Any] = {"required": most, "bound": "most", "args": args}
    if counts == "fill" and not holds:
        return ask(rule, "height-with-wall", "wall-holds-not-said", stretch, provided=height, **more)
    if counts == "all" or (counts == "fill" and holds == "fill"):
        if wall.height_m is None:
            return ask(rule, "height-with-wall", "wall-height-not-typed", stretch, provided=height, **more)
        height += wall.height_m
    verdict = "meets" if height <= most + SLACK_M else "does-not"
    return found(rule, verdict, "height-with-wall", stretch, provided=height, **more)
