"""The site on the screen: boundary, buildings, zones, pins, old fences, points with how well they are known, tapes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from palewright.boundary import ring_sides
from palewright.drafting.dragging import drag_of, drag_said, drags
from palewright.drafting.sight_records import ArcOf, Item
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.draw.network_sheet import shown_fit
from palewright.model import Job, Ring, Site, SitePoint, Zone
from palewright.papers.words import zone_name
from palewright.survey import ELLIPSE_95

__all__ = ["site_items"]

_EXACT_M = 1e-4


def site_items(job: Job, site: Site, things: Things, speech: Speech) -> Iterator[Item]:
    """Everything of a site but its fences, in drawing order."""
    yield from _buildings(job, site, things, speech)
    if site.ring is not None:
        yield from _ring(job, site.ring, things, speech)
    yield from _zones(job, site, things, speech)
    yield from _old(job, site, things, speech)
    yield from _walks(job, site, speech)
    yield from _points(job, site, things, speech)


def _buildings(job: Job, site: Site, things: Things, speech: Speech) -> Iterator[Item]:
    walls = 0
    for (name, refs), (_, ring) in zip(job.buildings, site.buildings, strict=True):
        if refs and refs[0].at.path.startswith("walls["):
            about = f"wall {walls}"
            walls += 1
            said = speech("item.wall", start=refs[0].name, end=refs[-1].name)
            yield Item(about, "building", "site", path=things.path(about), say=said, marks=("wall",), points=ring)
            continue
        loose = any(ref.xy is not None for ref in refs)
        yield Item(
            f"building {name}", "building", "site", path=things.path(f"building {name}"), text=name,
            say=speech("item.building", name=name), points=ring, closed=True, drag="point" if loose else "",
        )  # fmt: skip


def _ring(job: Job, ring: Ring, things: Things, speech: Speech) -> Iterator[Item]:
    located = "located" if ring.status.located else "not located"
    for side, course in zip(ring_sides(ring), ring.courses, strict=True):
        about, arc = f"side {course.number}", None
        length = course.arc.length_m if course.arc is not None else course.length_m
        if side.sweep:
            arc = ArcOf(side.radius, side.sweep > 0.0, abs(side.sweep) > math.pi)
        yard = speech.term(course.yard) if course.yard else ""
        key = "item.side_yard" if yard else "item.side"
        said = speech(key, number=course.number, length=speech.length(length), yard=yard,
                      start=speech.name(course.start), end=speech.name(course.end))  # fmt: skip
        yield Item(
            about, "side", "boundary", about="boundary", path=things.path(about), text=speech.length(length),
            say=said, marks=(located,), points=(side.a, side.b), arc=arc,
        )  # fmt: skip
    for corner in ring.corners:
        mark = "found" if corner.counts else "found not counted" if corner.found else "record only"
        about = f"corner {corner.name}"
        drag, why = drag_of(job, corner.name, speech)
        said = speech("item.corner_" + mark.replace(" ", "_"), name=corner.name, found=corner.found)
        yield Item(
            about, "corner", "boundary", about="boundary", path=things.path(about) or things.path("boundary"),
            text=speech.name(corner.name), say=said, marks=(mark,), centre=corner.xy, drag=drag, why=why,
        )  # fmt: skip


def _zones(job: Job, site: Site, things: Things, speech: Speech) -> Iterator[Item]:
    specs = {zone.name: zone for zone in job.zones}
    for zone in site.zones:
        if zone.kind == "pin":
            name = zone.name.removeprefix("pin ")
            yield Item(
                zone.name, "pin", "zones", about=f"corner {name}", path=things.path(f"corner {name}"),
                say=speech("item.pin", name=name, clear=speech.small(zone.half_m)), centre=zone.points[0],
                radius=zone.half_m,
            )  # fmt: skip
        elif zone.name in specs:
            loose = any(ref.xy is not None for ref in specs[zone.name].through)
            key = (zone, loose)
            if key not in speech.memo:
                speech.memo[key] = _zone(zone, zone.name, things, speech, "point" if loose else "")
            yield speech.memo[key]
        else:
            fence, _, number = zone.name.rpartition(", old footing ")
            said = speech("item.old_post", name=zone_name(zone.name, speech.language))
            yield Item(
                f"old post {fence} {number}", "old post", "old", about=f"old fence {fence}",
                path=things.path(f"old fence {fence}"), say=said, marks=(zone.kind,), centre=zone.points[0],
                radius=zone.half_m,
            )  # fmt: skip


def _zone(zone: Zone, name: str, things: Things, speech: Speech, drag: str) -> Item:
    said = speech(
        "item.zone", name=name, kind=speech.term(zone.kind), clear=speech.small(zone.half_m - zone.width_m / 2.0)
    )
    return Item(
        f"zone {name}", "zone", "zones", path=things.path(f"zone {name}"), text=name, say=said,
        marks=(zone.kind, zone.utility or "none"), points=zone.points, closed=zone.closed, half=zone.half_m, drag=drag,
    )  # fmt: skip


def _old(job: Job, site: Site, things: Things, speech: Speech) -> Iterator[Item]:
    loose = {old.name for old in job.removals if any(ref.xy is not None for ref in old.through)}
    for old in site.removals:
        about = f"old fence {old.name}"
        drag, why = ("point", "") if old.name in loose else ("", speech("drag.named"))
        said = speech(f"item.old_{old.then}", name=old.name, length=speech.length(old.length_m), posts=len(old.posts))
        yield Item(about, "old fence", "old", path=things.path(about), text=old.name, say=said, marks=(old.then,),
                   points=old.points, drag=drag, why=why)  # fmt: skip


def _walks(job: Job, site: Site, speech: Speech) -> Iterator[Item]:
    """The way that was walked, until a fence stands there: a wrong turn is seen."""
    places = {point.name: point.xy for point in site.points}
    for k, walk in enumerate(job.walks if not job.runs else ()):
        names = [name for name in (walk.start, *walk.names) if name in places]
        if len(names) > 1:
            said, way = speech("item.walk", names=", ".join(names)), tuple(places[name] for name in names)
            yield Item(f"walk {k}", "walk", "points", path=f"walks[{k}]", say=said, points=way)


def _points(job: Job, site: Site, things: Things, speech: Speech) -> Iterator[Item]:
    known = {}
    if site.survey is not None:
        known = {fit.name: ELLIPSE_95 * fit.semi_major for fit in shown_fit(site.survey).points}
    corners = {corner.name for corner in site.ring.corners} if site.ring is not None else set()
    moves = drags(job)
    for point in site.points:
        if point.name not in corners:
            within = known.get(point.name, 0.0)
            yield _point(point, within if within > _EXACT_M else 0.0, moves, things, speech)


def _point(
    point: SitePoint, within: float, moves: Mapping[str, tuple[str, str]], things: Things, speech: Speech
) -> Item:
    key = (point, within)
    item = speech.memo.get(key)
    if item is not None:
        return item
    about = f"point {point.name}"
    drag, why = drag_said(moves, point.name, speech)
    words = "item.point_within" if within else "item.point"
    said = speech(words, name=point.name, how=speech("how." + point.how.replace(" ", "_")),
                  within=speech.small(within))  # fmt: skip
    marks = (point.how, *(["found"] if point.found else []), *(["assumed"] if point.assumed_angle else []))
    if point.assumed_angle:
        said += " " + speech("item.assumed")
    item = speech.memo[key] = Item(
        about, "point", "points", path=things.path(about), text=point.name, say=said, marks=marks, centre=point.xy,
        radius=within, drag=drag, why=why,
    )  # fmt: skip
    return item
