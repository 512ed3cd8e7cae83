"""The lot in metres: streets, which side is front, yards, easements and what else lies there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field

from palewright.boundary import ring_sides
from palewright.errors import JobError, Problem
from palewright.model import (
    Drive,
    Easement,
    EasementSpec,
    Job,
    PointRef,
    Ring,
    Site,
    Street,
    StreetSpec,
    Tree,
    Wall,
)
from palewright.permit.regions import Region, beyond, house_depth, polygon, strip
from palewright.permit.rule_keys import YARDS
from palewright.plane import XY, Side, area, distance, path_of_sides, sides_area
from palewright.record import Record

__all__ = ["Lot", "Yards", "candidates_of", "front_choices", "lot_of", "yard_word"]

_CHORD_M = 0.002
"""How far a chord may stand off an arc in an outline that is only drawn [m]."""


def yard_word(text: str) -> str:
    """The yard that a side is said to have, in the words of the rules; "street" where only that is said, "" else.

    >>> [yard_word(text) for text in ("street front", "side street", "rear", "side", "street", "meadow")]
    ['front', 'street side', 'rear', 'side', 'street', '']
    """
    words = text.lower().replace("-", " ").split()
    if "front" in words:
        return "front"
    if "street" in words:
        return "street side" if "side" in words else "street"
    if "rear" in words or "back" in words:
        return "rear"
    return "side" if "side" in words else ""


class Yards(Record):
    """Where the yards of a lot are, one choice of front made: a place is in the first of them that holds it.

    sides
        yard of each side by its number. ask: why places cannot be told, or "".
    """

    sides: dict[int, str]
    regions: tuple[tuple[str, Region], ...] = ()
    rest: str = "side"
    ask: str = ""

    @property
    def edges(self) -> tuple[Side, ...]:
        """Every line where one yard may end."""
        return tuple(edge for _, region in self.regions for edge in region.edges)

    def of(self, p: XY) -> str:
        """The yard of a place; "" where it cannot be told."""
        return next((yard for yard, region in self.regions if region.holds(p)), self.rest)


class Lot(Record):
    """A lot ready for questions. ``left``: it lies left of its sides; ``far_m``: longer than anything on it [m]."""

    ring: Ring | None
    sides: tuple[Side, ...]
    left: bool
    far_m: float
    streets: tuple[StreetSpec, ...]
    words: dict[int, str]
    house: tuple[XY, ...]
    easements: tuple[tuple[Easement, Region], ...]
    drives: tuple[Drive, ...]
    trees: tuple[Tree, ...]
    pools: tuple[tuple[str, tuple[XY, ...], tuple[str, ...]], ...]
    walls: tuple[tuple[Wall, str], ...]
    typed_front: tuple[int, ...] = ()
    known: dict[int, StreetSpec] = field(default_factory=dict)

    def reference(self, number: int, line: str) -> float | None:
        """How far beyond the property line of a side the line of a rule lies [m]; None where that was not typed."""
        if line in ("", "property line"):
            return 0.0
        street = self.known.get(number)
        if street is None:
            return None
        return {"curb": street.curb_m, "pavement": street.pavement_m, "centre line": street.centre_m}[line]

    def yards(self, front: Iterable[int], depth_m: float | None) -> Yards:
        """The yards with these sides as front; ``depth_m``: how deep they are, None: up to the main building."""
        chosen = set(front)
        sides = {}
        for number in range(1, len(self.sides) + 1):
            word = self.words.get(number, "")
            if number in chosen:
                sides[number] = "front"
            elif number in self.known or word in ("front", "street", "street side"):
                sides[number] = "street side"
            else:
                sides[number] = word
        if depth_m is None and not self.house:
            return Yards(sides, ask="no-house")
        if not chosen:
            return Yards(sides, ask="yards-not-said")
        regions = []
        for yard in (name for name in YARDS if name != "side"):
            for number in (number for number, name in sides.items() if name == yard):
                side = self.sides[number - 1]
                depth = house_depth(self.house, side, self.left) if depth_m is None else depth_m
                if depth > 0.0:
                    regions.append((yard, beyond(side, depth, self.left, self.far_m)))
        return Yards(sides, tuple(regions), "side" if "rear" in sides.values() else "")


def candidates_of(lot: Lot) -> tuple[int, ...]:
    """Street sides of which it was not said which counts as front; empty where it was, or where there is no choice."""
    if lot.typed_front:
        return ()
    said = [number for number, word in lot.words.items() if word == "front"]
    streets = sorted({*lot.known, *said, *(n for n, word in lot.words.items() if word in ("street", "street side"))})
    roads = {lot.known[number].name if number in lot.known else f"side {number}" for number in streets}
    if len(roads) < 2:
        return ()
    fronts = {lot.known[number].name if number in lot.known else f"side {number}" for number in said}
    return () if len(fronts) == 1 else tuple(streets)


def front_choices(lot: Lot) -> list[tuple[int, ...]]:
    """The sides that may count as front, one tuple for each choice that is open; one alone where it is known."""
    if lot.typed_front:
        return [lot.typed_front]
    open_sides = candidates_of(lot)
    said = tuple(number for number, word in lot.words.items() if word == "front")
    if not open_sides:
        return [said or tuple(sorted(lot.known))]
    roads: dict[str, list[int]] = {}
    for number in open_sides:
        roads.setdefault(lot.known[number].name if number in lot.known else f"side {number}", []).append(number)
    return [tuple(numbers) for numbers in roads.values()]


def lot_of(job: Job, site: Site) -> Lot:
    """The lot of a job with every point in its place.

    Raises JobError for an easement along a curve that is bent too sharply for its width.
    """
    spec, places = job.lot, {point.name: point.xy for point in site.points}
    ring = site.ring
    sides = ring_sides(ring) if ring is not None else ()

    def path(refs: Iterable[PointRef]) -> tuple[XY, ...]:
        return tuple(ref.xy if ref.xy is not None else places[ref.name] for ref in refs)

    words = {course.number: yard_word(course.yard) for course in ring.courses} if ring is not None else {}
    solid = [(name, points) for name, points in site.buildings if len(points) > 2]
    house = max((points for name, points in solid if spec.building in ("", name)), key=area, default=())
    corners = [side.a for side in sides]
    reach = max((distance(corners[0], p) for p in corners), default=0.0)
    bows = max((side.radius for side in sides if side.sweep), default=0.0)
    return Lot(
        ring=ring,
        sides=sides,
        left=sides_area(sides) > 0.0 if sides else True,
        far_m=4.0 * (reach + bows) + 100.0,
        streets=spec.streets,
        words=words,
        house=house,
        easements=tuple(_easement(each, sides, path(each.through)) for each in spec.easements),
        drives=tuple(Drive(each.name, path(each.through), each.width_m) for each in spec.drives),
        trees=tuple(
            Tree(each.name, path((each.place,))[0], each.trunk_m or 0.0, each.crown_m or 0.0) for each in spec.trees
        ),
        pools=tuple((each.name, path(each.through), each.barrier) for each in spec.pools),
        walls=tuple((Wall(each.name, path(each.through), each.height_m), each.holds) for each in spec.walls),
        typed_front=spec.front,
        known={number: street for street in spec.streets for number in street.sides},
    )


def streets_of(lot: Lot) -> tuple[Street, ...]:
    """The streets as records; whether one is front is None where that is not said."""
    choices = front_choices(lot)
    made = []
    for spec in lot.streets:
        front = None if len(choices) > 1 else any(number in choices[0] for number in spec.sides)
        made.append(Street(spec.name, spec.sides, spec.curb_m, spec.pavement_m, spec.centre_m, front))
    return tuple(made)


def _easement(spec: EasementSpec, sides: Sequence[Side], through: tuple[XY, ...]) -> tuple[Easement, Region]:
    """An easement as a record and as a region; a strip along several sides is the union of their strips."""
    if not spec.sides:
        ring = tuple(Side(a, b) for a, b in zip(through, [*through[1:], through[0]], strict=True))
        return Easement(spec.name, through, 0.0, (), spec.record), polygon(ring)
    try:
        strips = [strip(sides, number - 1, spec.width_m) for number in spec.sides]
    except ValueError as error:
        raise JobError(
            Problem("easement-too-wide", "this easement is wider than the curve along which it lies allows", spec.at,
                    found=spec.name)
        ) from error  # fmt: skip
    regions = [polygon(ring) for ring in strips]
    both = Region(tuple(edge for region in regions for edge in region.edges),
                  lambda p: any(region.holds(p) for region in regions), strips[0])  # fmt: skip
    outline = tuple(point for ring in strips for point in path_of_sides(ring, _CHORD_M))
    return Easement(spec.name, outline, spec.width_m, spec.sides, spec.record), both
