"""From a boundary and what was measured to its evidence: record beside measured, and where to look for pins."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from palewright.boundary import beyond_tools, off_by, place_beyond_tools, record_distance
from palewright.errors import ProblemError
from palewright.model import (
    BoundaryEvidence,
    Corner,
    Job,
    NetPoint,
    Network,
    Observation,
    PinArea,
    PointFit,
    Reason,
    RecordCheck,
    Ring,
)
from palewright.plan.measuring import adjusted_network
from palewright.plan.searching import searches
from palewright.plane import XY, azimuth, distance
from palewright.record import Record
from palewright.survey import Adjustment

__all__ = ["boundary_evidence", "evidence_reasons"]

_ABSOLUTE = ("azimuth", "east", "north")
"""Kinds of readings that say where a network lies; it is laid on the record by two corners instead."""
_TURNED = 1e-7
"""Standard deviation of the direction by which it is laid on the record: as good as exact [rad]."""
_CORNERS = 40
"""So many corners are tried as those by which it is laid on the record."""


class _Laid(Record):
    """What was measured, laid on the record: ``base[0]`` in its place, ``base[1]`` in its direction or in its place."""

    base: tuple[str, str]
    fits: Mapping[str, PointFit]
    adjustment: Adjustment
    cleared: bool
    dof: int
    held: bool


def boundary_evidence(
    job: Job, ring: Ring, places: Mapping[str, XY], read: Sequence[Observation], north: bool
) -> BoundaryEvidence:
    """The evidence of a boundary.

    places
        of every point [m]. read: the observations of the job. north: whether azimuths mean anything.
    Only what was measured speaks here: what was read from a plat and right angles that nobody measured are left out.
    """
    measured = [o for o in read if o.source == "measured"]
    laid = _laid(ring, places, measured)
    checks = list(_read_checks(ring, measured, north))
    if laid is not None:
        checks += _adjusted_checks(ring, laid, {c.points for c in checks if c.by == "tape"})
    off = _record_off(ring, checks)
    fits = laid.fits if laid is not None and all(_holds(ring, name) for name in laid.base) else {}
    found = searches(job, ring, places, fits, off)
    if laid is None:
        return BoundaryEvidence(tuple(checks), record_sigma_m=off, searches=found)
    return BoundaryEvidence(tuple(checks), laid.base, laid.dof, off, found, laid.held)


def evidence_reasons(evidence: BoundaryEvidence) -> tuple[Reason, ...]:
    """How the numbers of the evidence came about."""
    rows = [
        Reason("boundary", "what the record is off", evidence.record_sigma_m, "m",
               "the misclosure of its calls, or the largest difference at pins that count, whichever is more",
               (), "common practice")
    ]  # fmt: skip
    for search in evidence.searches:
        if search.radius_m is not None:
            about = f"corner {search.corner}"
            inputs: tuple[tuple[str, float], ...] = (("crossing_rad", search.crossing),)
            inputs += tuple((f"tie from {t.start}", s) for t, s in zip(search.ties, search.sigmas_m, strict=True))
            formula = (
                "2.4477 x long half axis of the ellipse of two ties; each tie: record (what it is off, and 1:5000)"
            )
            rows.append(
                Reason(about, "search radius", search.radius_m, "m",
                       f"{formula}, tape and place it is taken from", inputs, "wac332-130")
            )  # fmt: skip
        if search.area is not None:
            rows += _area_reasons(search.corner, search.area)
    return tuple(rows)


def _area_reasons(corner: str, area: PinArea) -> list[Reason]:
    about, tie = f"corner {corner}", (("distance_m", area.distance_m), ("from", area.pin))
    rows = [
        Reason(about, "search along the tape", area.along_m, "m",
               "2.4477 x root of (record^2 + tape^2); record: what it is off, and 1:5000", tie, "wac332-130")
    ]  # fmt: skip
    if area.across_m is not None:
        formula = "distance x sin(2.4477 x standard deviation of the direction)"
        turned = (*tie, ("direction_rad", area.sigma), ("by", area.by), ("tool", area.tool))
        rows.append(Reason(about, "search to either side", area.across_m, "m", formula, turned, "common practice"))
    return rows


def _holds(ring: Ring, name: str) -> bool:
    return any(corner.name == name and corner.counts for corner in ring.corners)


# ---------------------------------------------------------------- what was read directly


def _read_checks(ring: Ring, measured: Iterable[Observation], north: bool) -> Iterator[RecordCheck]:
    """Tapes and directions between two corners, and coordinates of corners."""
    corners = {corner.name: corner for corner in ring.corners}
    spots: dict[str, list[Observation]] = {}
    for o in measured:
        if any(name not in corners for name in o.points):
            continue
        if o.kind == "distance":
            record = record_distance(corners[o.points[0]], corners[o.points[1]], ring.courses)
            yield _distance(ring, o.points, record, o.value, o.sigma, "tape", o.tool, o)
        elif o.kind == "azimuth" and north:
            a, b = (corners[name].xy for name in o.points)
            off = math.remainder(o.value - azimuth(a, b), 2.0 * math.pi)
            far = beyond_tools(off, o.sigma)
            yield RecordCheck(
                "direction", o.points, azimuth(a, b), o.value, off, o.sigma, far, "direction", o.tool, at=o.at
            )
        elif o.kind in ("east", "north"):
            spots.setdefault(o.points[0], []).append(o)
    yield from _coordinates(ring, corners, spots)


def _distance(
    ring: Ring,
    points: tuple[str, ...],
    record: float,
    value: float,
    sigma: float,
    by: str,
    how: str = "",
    o: Observation | None = None,
) -> RecordCheck:
    off = value - record
    curved = any({c.start, c.end} == set(points) and c.arc is not None for c in ring.courses)
    made = RecordCheck("distance", points, record, value, off, sigma, beyond_tools(off, sigma), by, how, chord=curved)
    return made if o is None else replace(made, at=o.at)


def _coordinates(
    ring: Ring, corners: Mapping[str, Corner], spots: Mapping[str, Sequence[Observation]]
) -> Iterator[RecordCheck]:
    """Corners whose coordinates were measured, and the courses between two of them."""
    seen: dict[str, tuple[XY, float]] = {}
    for name, pair in spots.items():
        east, north = (next((o for o in pair if o.kind == kind), None) for kind in ("east", "north"))
        if east is None or north is None:
            continue
        xy, sigma = (east.value, north.value), max(east.sigma, north.sigma)
        seen[name] = (xy, sigma)
        far, toward = off_by(corners[name].xy, xy)
        off = (xy[0] - corners[name].xy[0], xy[1] - corners[name].xy[1])
        beyond = place_beyond_tools(off, east.sigma**2, north.sigma**2, 0.0)
        yield RecordCheck("place", (name,), 0.0, 0.0, far, sigma, beyond, "coordinates", east.tool, toward, at=east.at)
    for course in ring.courses:
        if course.start in seen and course.end in seen:
            (a, one), (b, two) = seen[course.start], seen[course.end]
            points, sigma = (course.start, course.end), math.hypot(one, two)
            yield _distance(ring, points, course.length_m, distance(a, b), sigma, "coordinates")


def _record_off(ring: Ring, checks: Iterable[RecordCheck]) -> float:
    """What the record is off [m]: its misclosure, or the largest difference between pins that count."""
    found = [
        abs(c.difference)
        for c in checks
        if c.kind != "direction" and c.by != "coordinates" and all(_holds(ring, name) for name in c.points)
    ]
    return max([ring.closure.misclosure_m, *found])


# ---------------------------------------------------------------- what follows from all readings together


def _laid(ring: Ring, places: Mapping[str, XY], measured: Sequence[Observation]) -> _Laid | None:
    """The readings adjusted and laid on the record by two corners; None where they tie no two corners together."""
    read = [o for o in measured if o.kind not in _ABSOLUTE]
    names = _piece(read, {corner.name for corner in ring.corners})
    corners = [corner for corner in ring.corners if corner.name in names]
    read = [o for o in read if o.points[0] in names]
    xys = dict(places) | {corner.name: corner.xy for corner in ring.corners}
    for one, two in _bases(corners):
        counts = one.counts and two.counts
        for held in (False, True) if counts else (False,):
            laid = _adjusted(one, two, held, {name: xys.get(name) for name in sorted(names)}, read)
            if laid is not None:
                return laid
    return None


def _adjusted(
    one: Corner, two: Corner, held: bool, xys: Mapping[str, XY | None], read: Sequence[Observation]
) -> _Laid | None:
    """The readings laid on the record by two corners; None where they do not say how far the two are apart.

    held
        both are taken to stand where the record has them, as pins that count may be.
    """
    still = {one.name, two.name} if held else {one.name}
    points = tuple(NetPoint(name, xy, name in still) for name, xy in xys.items())
    turned = Observation("azimuth", (one.name, two.name), azimuth(one.xy, two.xy), _TURNED, "record")
    try:
        adjustment = adjusted_network(Network(points, tuple(read) if held else (*read, turned)))
    except ProblemError:
        return None
    adjusted = adjustment.adjusted
    if two.name in adjusted.undetermined:
        return None
    cleared = adjusted.without is not None and all(suspect.alone for suspect in adjusted.suspects)
    fits = adjusted.without.points if cleared and adjusted.without is not None else adjusted.points
    loose = set(adjusted.undetermined)
    kept = {fit.name: fit for fit in fits if fit.name not in loose}
    return _Laid((one.name, two.name), kept, adjustment, cleared, adjusted.dof, held)


def _piece(read: Iterable[Observation], corners: set[str]) -> set[str]:
    """Names that readings tie together, of the piece with most corners; empty where no piece has two."""
    pieces: list[set[str]] = []
    for o in read:
        joined = set(o.points).union(*(piece for piece in pieces if piece & set(o.points)))
        pieces = [piece for piece in pieces if not piece & joined] + [joined]
    best = max(pieces, key=lambda piece: len(piece & corners), default=set())
    return best if len(best & corners) > 1 else set()


def _bases(corners: Sequence[Corner]) -> list[tuple[Corner, Corner]]:
    """Pairs of corners to lay the readings on the record by: pins that count before others, then far before near."""

    def worth(corner: Corner) -> tuple[bool, bool]:
        return not corner.counts, not corner.found

    best = sorted(corners, key=worth)[:_CORNERS]
    pairs = sorted(
        itertools.combinations(best, 2),
        key=lambda p: (*map(sum, zip(*map(worth, p), strict=True)), -distance(p[0].xy, p[1].xy)),
    )
    return pairs[:6]


def _adjusted_checks(ring: Ring, laid: _Laid, taped: set[tuple[str, ...]]) -> Iterator[RecordCheck]:
    """Courses by all readings together where they say more than one tape, and places of corners."""
    known = {frozenset(points) for points in taped}
    for course in ring.courses:
        pair = (course.start, course.end)
        if laid.held and set(pair) == set(laid.base):
            continue
        if all(name in laid.fits for name in pair) and (laid.dof or frozenset(pair) not in known):
            value, sigma = _apart(laid, pair)
            yield _distance(ring, pair, course.length_m, value, sigma, "adjusted")
    for corner in ring.corners:
        if corner.name in laid.base or corner.name not in laid.fits:
            continue
        fit = laid.fits[corner.name]
        far, toward = off_by(corner.xy, fit.xy)
        off = (fit.xy[0] - corner.xy[0], fit.xy[1] - corner.xy[1])
        beyond = place_beyond_tools(off, fit.var_east, fit.var_north, fit.cov)
        yield RecordCheck("place", (corner.name,), 0.0, 0.0, far, fit.semi_major, beyond, "adjusted", toward=toward)


def _apart(laid: _Laid, pair: tuple[str, str]) -> tuple[float, float]:
    """Distance between two adjusted points and its standard deviation [m]."""
    a, b = (laid.fits[name].xy for name in pair)
    far = distance(a, b)
    q = laid.adjustment.covariance(pair, laid.cleared)
    d = q[:2, :2] + q[2:, 2:] - q[:2, 2:] - q[2:, :2]
    u = ((b[0] - a[0]) / far, (b[1] - a[1]) / far) if far else (1.0, 0.0)
    variance = u[0] * u[0] * d[0, 0] + 2.0 * u[0] * u[1] * d[0, 1] + u[1] * u[1] * d[1, 1]
    return far, math.sqrt(max(float(variance), 0.0))
