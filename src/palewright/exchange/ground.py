"""From the units of a file to ground metres: a plane tangent to the ellipsoid at the site, or plain units."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from palewright.errors import ProblemError
from palewright.exchange.arcs import arc_middle, sweep_by_middle
from palewright.exchange.foreign import Asked, Sheet, refused, unit_size
from palewright.exchange.projection import Projection, projection
from palewright.model import Drawn, DrawnPath, DrawnPoint, GroundFrame
from palewright.plane import XY
from palewright.survey import elevation_factor, geographic_to_local, grid_factors, radii

__all__ = ["Ground", "drawn_of"]

_NEAR_M = 50_000.0
_FAR_M = 20_000.0
_MOST_LIKELY_LATITUDE = math.radians(72.0)
_EARTH_M = 6_371_000.0
_LIKE_A_GRID_M = 50_000.0
_SAME_UNIT = 1e-9
Shape = TypeVar("Shape", DrawnPath, DrawnPoint)


class Ground:
    """Turns places of one sheet into ground metres about an origin.

    sheet, asked
        what was read, and what the person said of it. origin: a place of the sheet, in its units.
    Raises ProblemError: ``unit-not-said``, ``unit-conflict``, ``axes-swapped``, ``far-from-site``, ``outside-crs``, and
    what :func:`palewright.exchange.projection.projection` raises.
    """

    def __init__(self, sheet: Sheet, asked: Asked, origin: XY) -> None:
        self.sheet, self.asked = sheet, asked
        crs = asked.crs or sheet.crs
        self.system: Projection | None = projection(crs, sheet.file) if crs else None
        self.unit, self.size = self._unit()
        self.frame: GroundFrame | None = None
        if self.system is not None:
            self.latitude, self.longitude = self._origin(self.system, origin)
            self.frame = self._frame(self.system)

    def _unit(self) -> tuple[str, float]:
        """Name and size [m] of a unit of the file; of degrees, ("degree", 1)."""
        system, sheet = self.system, self.sheet
        if system is not None and system.geographic:
            return "degree", 1.0
        said = self.asked.unit or sheet.unit
        if not said:
            if system is None:
                raise refused("unit-not-said", "the file does not say the unit of its lengths", sheet.file,
                              hint="say it: --unit ft, --unit \"ft US\", --unit m")  # fmt: skip
            return _unit_name(system.unit_m), system.unit_m
        size = unit_size(said, sheet.file)
        if system is not None and not self.asked.unit and abs(size / system.unit_m - 1.0) > _SAME_UNIT:
            other = _unit_name(system.unit_m)
            raise refused(
                "unit-conflict", "the file and its coordinate system do not have the same unit", sheet.file,
                found=f"{said} in the file, {other} in {system.name}", allowed="one unit",
                hint=f'say which one the numbers are in: --unit "{said}" or --unit "{other}"',
            )  # fmt: skip
        return said, size

    def _origin(self, system: Projection, origin: XY) -> tuple[float, float]:
        (here,) = self.geographic([origin])
        (swapped,) = self.geographic([(origin[1], origin[0])], check=False)
        shown = f"{math.degrees(here[0]):.5f}, {math.degrees(here[1]):.5f}"
        near = self.asked.near
        fits, other = system.covers(*here), system.covers(*swapped)
        if near is not None:
            place = (math.radians(near[0]), math.radians(near[1]))
            fits = fits and _apart(here, place) <= _NEAR_M
            other = other and _apart(swapped, place) <= _NEAR_M
        elif abs(here[0]) > _MOST_LIKELY_LATITUDE:
            fits, other = False, abs(swapped[0]) <= _MOST_LIKELY_LATITUDE
        if fits:
            return here
        if other:
            raise refused(
                "axes-swapped", "east and north stand in each other's place", self.sheet.file,
                found=f"latitude, longitude {shown}",
                hint="give the file with its axes the right way round (a point list: --order PENZD or PNEZD)",
            )  # fmt: skip
        if near is not None and system.covers(*here):
            raise refused(
                "far-from-site", "the file lies far from the place that was named", self.sheet.file,
                found=f"latitude, longitude {shown}", allowed=f"within 50 km of {near[0]}, {near[1]}",
                hint="is this the right file, the right coordinate system, the right unit?",
            )  # fmt: skip
        raise refused(
            "outside-crs", "the coordinates do not lie where their coordinate system is used", self.sheet.file,
            found=f"{origin[0]:,.3f}, {origin[1]:,.3f} in {system.name}",
            hint="another system, or another unit? a site in the far north needs --near LATITUDE,LONGITUDE",
        )  # fmt: skip

    def _frame(self, system: Projection) -> GroundFrame:
        height = self.asked.height_m or 0.0
        meridian, normal = radii(self.latitude, system.a, system.f)
        lift = elevation_factor(height, math.sqrt(meridian * normal))
        convergence, north, east = 0.0, 1.0, 1.0
        if not system.geographic:
            made = grid_factors(system.to_grid, self.latitude, self.longitude, system.a, system.f)
            convergence, north, east = made.convergence, made.scale_north, made.scale_east
        return GroundFrame(
            system.name, system.datum, math.degrees(self.latitude), math.degrees(self.longitude), height,
            self.asked.height_m is not None, convergence, north, east, lift,
        )  # fmt: skip

    def geographic(self, places: Sequence[XY], check: bool = True) -> list[tuple[float, float]]:
        """(latitude, longitude) [rad] of places in the units of the file."""
        assert self.system is not None
        k = self.size / self.system.unit_m
        made = self.system.to_geographic([(x * k, y * k) for x, y in places])
        for (lat, lon), place in zip(made, places, strict=True):
            if check and not (abs(lat) <= math.pi / 2 and abs(lon) <= math.tau):
                swapped = self.system.geographic and abs(place[0]) <= 90.0 and abs(place[1]) <= 180.0
                raise refused(
                    "axes-swapped" if swapped else "outside-crs",
                    "latitude and longitude stand in each other's place" if swapped
                    else "a place does not lie where its coordinate system is used",
                    self.sheet.file, found=f"{place[0]:,.6f}, {place[1]:,.6f}",
                    allowed="longitude -180 to 180, latitude -90 to 90" if self.system.geographic else "",
                    hint="give the file with longitude first, then latitude" if swapped
                    else "is this the coordinate system of the file? say another with --crs",
                )  # fmt: skip
        return made

    def places(self, places: Sequence[XY]) -> tuple[XY, ...]:
        """Ground metres of places in the units of the file."""
        if self.system is None:
            return tuple((x * self.size, y * self.size) for x, y in places)
        assert self.frame is not None
        origin = (self.latitude, self.longitude, self.frame.height_m, self.system.a, self.system.f)
        try:
            return tuple(geographic_to_local(place, *origin) for place in self.geographic(places))
        except ValueError as error:
            raise refused("outside-crs", str(error), self.sheet.file) from None

    def path(self, path: DrawnPath) -> DrawnPath:
        """A ring or line in ground metres, its arcs through the same middle points."""
        points = self.places(path.points)
        holes = tuple(self.places(hole) for hole in path.holes)
        arcs = path.arcs
        if self.system is not None:
            arcs = tuple((side, self._sweep(path, points, side, sweep)) for side, sweep in path.arcs)
        return replace(path, points=points, holes=holes, arcs=arcs)

    def _sweep(self, path: DrawnPath, points: Sequence[XY], side: int, sweep: float) -> float:
        n = len(points)
        raw = arc_middle(path.points[side], path.points[(side + 1) % n], sweep)
        (middle,) = self.places([raw])
        return sweep_by_middle(points[side], middle, points[(side + 1) % n])

    def point(self, point: DrawnPoint) -> DrawnPoint:
        """A point in ground metres; its elevation keeps the unit of a grid, and is metres otherwise."""
        (xy,) = self.places([point.xy])
        up = point.height_m
        return replace(point, xy=xy, height_m=None if up is None else up * self.size)


def drawn_of(
    sheet: Sheet, asked: Asked, ring: DrawnPath | None, keep: Callable[[Sequence[XY]], bool] = lambda points: True
) -> Drawn:
    """What a sheet holds in ground metres, about the first corner of ``ring`` (or of what comes first).

    ring
        the ring that becomes the boundary, or None. keep: whether a path or point (its ground metres) belongs to it;
        what does not is left out and counted in a caution.
    Raises ProblemError as :class:`Ground` does.
    """
    shapes: Iterable[DrawnPath] = [ring] if ring else [*sheet.rings, *sheet.paths]
    origin = next((path.points[0] for path in shapes), None) or sheet.points[0].xy
    ground = Ground(sheet, asked, origin)
    out = Sheet(sheet.file, sheet.form, cautions=list(sheet.cautions))
    rings = [ground.path(ring)] if ring else []
    paths = [made for path in sheet.paths if (made := _try(ground.path, path)) and keep(made.points)]
    points = [near for point in sheet.points if (near := _try(ground.point, point)) and keep([near.xy])]
    left = len(sheet.paths) - len(paths) + len(sheet.points) - len(points)
    if left:
        out.caution("drawn-left-out", "lines and points away from the ring were left out", f"{left:,} of them")
    _frame_cautions(out, ground, [*rings, *paths], [point.xy for point in points])
    north = "true north" if ground.frame else sheet.north
    return Drawn(
        sheet.file, sheet.form, ground.unit, north, tuple(rings), tuple(paths), tuple(points), ground.frame,
        tuple(out.cautions),
    )  # fmt: skip


def _try(turn: Callable[[Shape], Shape], shape: Shape) -> Shape | None:
    """A shape that lies where the ring's own frame cannot reach is left out."""
    try:
        return turn(shape)
    except ProblemError:
        return None


def _frame_cautions(out: Sheet, ground: Ground, paths: Sequence[DrawnPath], spots: Sequence[XY]) -> None:
    frame, system = ground.frame, ground.system
    places = [*(xy for path in paths for xy in path.points), *spots]
    reach = max((math.hypot(*xy) for xy in places), default=0.0)
    if frame is None or system is None:
        if reach > _EARTH_M:
            raise refused("not-finite", "the coordinates are larger than the earth", out.file,
                          found=f"{reach / 1000.0:,.0f} km", hint="is the unit right? say it with --unit")  # fmt: skip
        if reach > _LIKE_A_GRID_M:
            out.caution(
                "taken-as-ground", "coordinates so large are often of a map grid; they were taken as ground distances",
                hint="name the grid with --crs, and its scale is taken off",
            )  # fmt: skip
        return
    if not frame.height_given:
        out.caution(
            "height-not-given", "the height of the ground is not known; each 1,000 ft of it is 0.05 ft in 1,000 ft",
            hint="give it with --height, above the ellipsoid",
        )  # fmt: skip
    if max(abs(frame.scale_east - 1.0), abs(frame.scale_north - 1.0)) > 0.01:
        out.caution(
            "grid-not-for-measuring", "lengths in this coordinate system are no ground lengths; they were turned into "
            "longitude and latitude first", f"1 ft on the ground is {frame.scale_east:.4f} ft in the file",
        )  # fmt: skip
    if reach > _FAR_M:
        out.caution("far-from-origin", "the ground plane is meant for 20 km", f"{reach / 1000.0:,.0f} km")
    if system.datum not in ("WGS 84", "World Geodetic System 1984", "World Geodetic System 1984 ensemble"):
        out.caution("datum-kept", "no datum shift was made: latitude and longitude are on the file's own datum",
                    system.datum)  # fmt: skip


def _apart(one: tuple[float, float], two: tuple[float, float]) -> float:
    """Distance on a sphere [m], for telling near from far."""
    h = (
        math.sin((two[0] - one[0]) / 2) ** 2
        + math.cos(one[0]) * math.cos(two[0]) * math.sin((two[1] - one[1]) / 2) ** 2
    )
    return 2.0 * _EARTH_M * math.asin(math.sqrt(min(1.0, max(0.0, h))))


def _unit_name(size: float) -> str:
    names = {"m": 1.0, "ft": 0.3048, "ft US": 1200.0 / 3937.0}
    return next((name for name, m in names.items() if abs(size / m - 1.0) < _SAME_UNIT), f"{size:.9f} m")
