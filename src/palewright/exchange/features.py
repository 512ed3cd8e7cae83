"""What a plan shows on the ground, as named shapes in plan metres: the one list that every map format writes."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from palewright.boundary import ring_sides
from palewright.model import Plan
from palewright.plane import XY, path_of_sides
from palewright.record import Record

__all__ = ["Feature", "features", "spots"]

_BOW_M = 0.005


class Feature(Record):
    """One thing: ``what`` it is, its name, "point", "line" or "area", its points [m], and facts as (key, SI value)."""

    what: str
    name: str
    shape: str
    points: tuple[XY, ...]
    facts: tuple[tuple[str, object], ...] = ()


def features(plan: Plan) -> tuple[Feature, ...]:
    """All that a plan shows, in a fixed order; an arc of the boundary as chords within 5 mm of it.

    Boundary and corners, buildings, old fences, zones, fence, gates, strings and stakes, posts, runs of wire with the
    posts of their assemblies.
    """
    return (
        *_boundary(plan),
        *_standing(plan),
        *_zones(plan),
        *_fence(plan),
        *_strings(plan),
        *_posts(plan),
        *_wire(plan),
    )


def spots(plan: Plan) -> tuple[Feature, ...]:
    """The points alone, each with a name of its own: corners, stakes, posts."""
    seen: dict[str, int] = {}
    rows = []
    for feature in features(plan):
        if feature.what not in ("corner", "stake", "post"):
            continue
        seen[feature.name] = count = seen.get(feature.name, 0) + 1
        name = feature.name if count == 1 else f"{feature.name} ({count})"
        rows.append(Feature(feature.what, name, "point", feature.points, feature.facts))
    return tuple(rows)


def _path(what: str, name: str, points: tuple[XY, ...], closed: bool, **facts: object) -> Feature:
    shape = "point" if len(points) == 1 else "area" if closed and len(points) > 2 else "line"
    return Feature(what, name, shape, points, tuple(facts.items()))


def _boundary(plan: Plan) -> Iterator[Feature]:
    ring = plan.site.ring
    if ring is None:
        return
    status = ring.status
    yield _path(
        "boundary", "boundary", tuple(path_of_sides(ring_sides(ring), _BOW_M)), True,
        located=status.located, corners_found=status.found, found_not_counted=status.more, corners=status.total,
        area_m2=ring.area_m2, record=ring.record,
    )  # fmt: skip
    for corner in ring.corners:
        yield _path("corner", corner.name, (corner.xy,), False, found=corner.found, counts=corner.counts)


def _standing(plan: Plan) -> Iterator[Feature]:
    for name, points in plan.site.buildings:
        yield _path("building", name, points, True)
    for old in plan.site.removals:
        yield _path("old fence", old.name, old.points, False, then=old.then, length_m=old.length_m)


def _zones(plan: Plan) -> Iterator[Feature]:
    for zone in plan.site.zones:
        facts = {"kind": zone.kind, "half_width_m": zone.half_m, "utility": zone.utility}
        yield _path("zone", zone.name, zone.points, zone.closed, **facts)


def _fence(plan: Plan) -> Iterator[Feature]:
    for leg in plan.design.legs:
        facts = {"run": leg.run, "fence": leg.fence, "leg": leg.index + 1, "length_m": leg.length_m}
        yield _path("fence", f"{leg.run} {leg.index + 1}", (leg.start, leg.end), False, **facts)
    places = {post.label: post.xy for post in plan.design.posts}
    for gate in plan.design.gates:
        ends = tuple(places[label] for label in gate.posts)
        yield _path("gate", gate.name, ends, False, run=gate.run, opening_m=gate.opening_m, leaves=gate.leaves)


def _strings(plan: Plan) -> Iterator[Feature]:
    for string in plan.stakeout.strings:
        ends = tuple(stake.xy for stake in string.stakes if not stake.refused)
        if len(ends) == 2:
            yield _path("string", string.name, ends, False, run=string.run, offset_m=string.offset_m)
    for string in plan.stakeout.strings:
        for stake in string.stakes:
            if not stake.refused:
                yield _path("stake", f"stake {stake.label}", (stake.xy,), False, string=string.name)


def _posts(plan: Plan) -> Iterator[Feature]:
    for post in plan.design.posts:
        hole = post.hole
        yield _path(
            "post", f"post {post.label}", (post.xy,), False, label=post.label, role=post.role, fence=post.kind,
            section=post.section, hole_diameter_m=hole.diameter_m if hole else None,
            hole_depth_m=hole.depth_m if hole else None, hand_dig=hole.hand_dig if hole else None,
        )  # fmt: skip


def _wire(plan: Plan) -> Iterator[Feature]:
    """Runs of wire by their straight pieces, their gates, and the posts of their assemblies; not every line post."""
    for line in plan.lines:
        for number, (leg, ends) in enumerate(zip(line.legs, itertools.pairwise(line.path), strict=True), 1):
            facts = {"run": line.run, "fence": line.rules.fence, "leg": number, "length_m": leg.to_m - leg.from_m}
            yield _path("fence", f"{line.run} {number}", ends, False, **facts)
        posts = {post.label: post for assembly in line.assemblies for post in assembly.posts}
        for gate in line.gates:
            across = tuple(posts[label].xy for label in gate.posts)
            yield _path("gate", gate.name, across, False, run=line.run, opening_m=gate.opening_m, leaves=gate.leaves)
        for label, post in posts.items():
            yield _path(
                "post", f"post {label}", (post.xy,), False, label=label, role=post.role, fence=line.rules.fence,
                section="", hole_diameter_m=None, hole_depth_m=None, hand_dig=None,
            )  # fmt: skip
