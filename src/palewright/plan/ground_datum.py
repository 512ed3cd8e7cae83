"""One datum for all that is known of the ground: levels, spots, strings and falls, tied where they share points."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from palewright.errors import Problem, ProblemError, Where
from palewright.ground import Floats, allowed_miss, path_stations
from palewright.model import FallSpec, Job, Measurement, Remark, Site, SpotSpec, StringSpec
from palewright.plane import XY
from palewright.survey import stated_sigma

__all__ = ["ON_LINE_M", "GroundDatum", "HungString", "along_path", "height_sigma", "stations_near"]

ON_LINE_M = 0.3048
"""A height so near a run counts as measured on it: 1 ft (common practice) [m]."""
_FAR_M = 30.48
"""Heights of a place whose distance from the tool is not known count as read over 100 ft (our own choice) [m]."""
_SAME_PLACE_M = 0.01
"""Two strings that were measured from at places so near each other show one piece of ground (our own choice) [m]."""
_LEVELS = ("levels", "levels")


def stations_near(path: Floats, xy: Floats) -> tuple[Floats, Floats]:
    """Of places (n, 2): the station of the nearest spot of a path (k, 2), and how far it is away [m]."""
    a, b = path[:-1], path[1:]
    way = b - a
    square = np.maximum((way**2).sum(axis=1), 1e-18)
    share = np.clip((((xy[:, None] - a) * way).sum(axis=2)) / square, 0.0, 1.0)
    off = np.hypot(*np.moveaxis(xy[:, None] - (a + share[..., None] * way), 2, 0))
    nearest = off.argmin(axis=1)
    at = path_stations(path)
    row = np.arange(len(xy))
    return at[nearest] + share[row, nearest] * (at[nearest + 1] - at[nearest]), off[row, nearest]


def along_path(path: Floats, stations: Floats) -> Floats:
    """Places (n, 2) of stations along a path."""
    at = path_stations(path)
    return np.column_stack([np.interp(stations, at, path[:, k]) for k in (0, 1)])


@dataclass(slots=True)
class HungString:
    """A level string in its place: where the rule stood (n, 2), drops and their sigmas [m], the points that it passes.

    ``height``: of the string [m] and its sigma, once it is tied. ``island``: as of points, see :class:`GroundDatum`.
    """

    spec: StringSpec
    xy: Floats
    stations: Floats
    drops: Floats
    sigmas: Floats
    ties: dict[str, tuple[float, float]] = field(default_factory=dict)
    height: tuple[float, float] | None = None
    island: int = 0

    def ground(self) -> tuple[Floats, Floats]:
        """Heights of the ground where the rule stood, and their standard deviations [m]."""
        assert self.height is not None
        return self.height[0] - self.drops, self.sigmas


class GroundDatum:
    """Heights of places in one datum.

    job, site
        as written and resolved. places: of named points. paths: of the runs, (k, 2) [m].
    ``known``: height, sigma [m] and how it is known, of every point that has one; ``loose``: spots at coordinates.
    ``floats``: nothing gave a height, the first point counts as zero. ``island``: of points whose heights hang together
    and on no others, while others are known, a number from 1 on; no height of one island may be laid beside another's.
    Raises ProblemError: tools whose accuracy nobody
    knows, strings that reach past their end.
    """

    def __init__(self, job: Job, site: Site, places: Mapping[str, XY], paths: Mapping[str, Floats]) -> None:
        self.job, self.places, self.paths = job, places, paths
        self.remarks: list[Remark] = []
        self.known: dict[str, tuple[float, float, str]] = {}
        self.loose: list[tuple[XY, float, float]] = []
        self.falls = [fall for fall in job.falls if fall.even]
        self.floats = False
        self.island: dict[str, int] = {}
        self.islands = 0
        #: points that runs and the boundary are drawn by: their heights are of the ground, not of a step or a lid
        self.ground_points = {ref.name for run in job.runs for ref in run.through} | {
            n for run in job.runs for n in run.call if n
        }
        self.ground_points |= {corner.name for corner in site.ring.corners} if site.ring else set()
        self._levels(site)
        self._spots(job.ground.spots)
        self.strings = [self._hang(spec) for spec in job.ground.strings if self._placed(spec)]
        self._join()

    def _levels(self, site: Site) -> None:
        heights = site.heights
        for point in heights.points if heights else ():
            self.known[point.name] = (point.height, point.sigma, "levels")
        if heights is None or not heights.above:
            return
        self.floats = True
        given = [(s.height_m - self.known[s.name][0]) for s in self.job.ground.spots if s.name in self.known]
        if given:  # a spot at a levelled point gives the levels their height
            shift = sum(given) / len(given)
            self.known = {name: (z + shift, sigma, how) for name, (z, sigma, how) in self.known.items()}
            self.floats = False

    def _spots(self, spots: Sequence[SpotSpec]) -> None:
        for spot in spots:
            sigma = height_sigma(spot.how, spot.within, _FAR_M, spot.at)
            if spot.name in self.known:
                z, other, how = self.known[spot.name]
                self._differs(spot.name, z, spot.height_m, math.hypot(sigma, other), (how, "spots"), spot.at)
            elif spot.name:
                self.known[spot.name] = (spot.height_m, sigma, "spots")
            elif spot.xy is not None:
                self.loose.append((spot.xy, spot.height_m, sigma))

    def _differs(self, name: str, taken: float, left: float, sigma: float, hows: tuple[str, str], at: Where) -> None:
        """Say where two heights of one point differ by more than they may."""
        if abs(left - taken) > allowed_miss(sigma):
            args = (("point", name), ("most_m", abs(left - taken)), ("taken", f"ground {hows[0]}"),
                    ("left", f"ground {hows[1]}"))  # fmt: skip
            self.remarks.append(Remark("ground-heights-differ", "caution", "heights", args, at))

    # ------------------------------------------------------------ strings

    def _placed(self, spec: StringSpec) -> bool:
        """Whether the run of a string was laid out, and its points are known: what is wrong with them was told."""
        names = [name for name in (*spec.ends, spec.start) if name]
        return all(name in self.places for name in names) and (not spec.run or spec.run in self.paths)

    def _hang(self, spec: StringSpec) -> HungString:
        if spec.run:
            path, before = self._along_run(spec)
        else:
            path, before = np.array([self.places[name] for name in spec.ends]), 0.0
            path = path[::-1] if spec.start == spec.ends[1] else path
        stations, drops = (np.array(column) for column in zip(*spec.drops, strict=True))
        long = float(path_stations(path)[-1]) - before
        if stations[-1] > long + max(ON_LINE_M, 0.02 * long) or stations[0] < -before - ON_LINE_M:
            raise ProblemError(
                Problem(
                    "string-too-long",
                    "the stations of a string reach past its end",
                    spec.at,
                    found=f"station {stations[-1]:.3f} m",
                    allowed=f"{0.0 - before:.3f} m to {long:.3f} m",
                    hint="measured from the other end? say it with `from`",
                )
            )
        sigmas = np.array([height_sigma(spec.how, spec.within, abs(s), spec.at) for s in stations])
        hung = HungString(spec, along_path(path, stations + before), stations, drops, sigmas)
        names = list(self.places)
        if names:
            at, off = stations_near(path, np.array([self.places[name] for name in names]))
            for name, s, d in zip(names, at - before, off, strict=True):
                if d <= ON_LINE_M and stations[0] - ON_LINE_M <= s <= stations[-1] + ON_LINE_M:
                    hung.ties[name] = (float(np.interp(s, stations, drops)), float(np.interp(s, stations, sigmas)))
        return hung

    def _join(self) -> None:
        """Strings that a rule stood under at one place are tied there: the ground below both is one."""
        for (i, one), (k, two) in itertools.combinations(enumerate(self.strings, 1), 2):
            if one.ties.keys() & two.ties.keys():
                continue
            apart = np.hypot(*(one.xy[:, None] - two.xy[None, :]).T).T
            a, b = np.unravel_index(int(apart.argmin()), apart.shape)
            if apart[a, b] <= _SAME_PLACE_M:
                name = f"the place that strings {i} and {k} share"
                one.ties[name] = (float(one.drops[a]), float(one.sigmas[a]))
                two.ties[name] = (float(two.drops[b]), float(two.sigmas[b]))

    def _along_run(self, spec: StringSpec) -> tuple[Floats, float]:
        """The path of a string's run, and the station of the point that its own stations count from.

        From the last point of a run that is not closed they count back, as gates do.
        """
        path = self.paths[spec.run]
        if not spec.start:
            return path, 0.0
        at, off = stations_near(path, np.array([self.places[spec.start]]))
        if off[0] > ON_LINE_M:
            raise ProblemError(
                Problem(
                    "string-start-off-run",
                    "a string along a run is measured from a point of the run",
                    spec.at,
                    found=spec.start,
                    hint="name a point that the run goes through",
                )
            )
        last = path_stations(path)[-1] - float(at[0]) <= ON_LINE_M and not np.allclose(path[0], path[-1])
        return (path[::-1], 0.0) if last and spec.drops[-1][0] > ON_LINE_M else (path, float(at[0]))

    # ------------------------------------------------------------ tying

    def tie(self, surface: Callable[[XY], float]) -> None:
        """Give every string and every even fall its height.

        surface
            height of the ground at a place by files [m], nan where they have none: what hangs on no point of known
            height is tied to it. Where there is none either, the first point counts as zero.
        """
        while True:
            self._settle()
            name = self._first_open()
            if name is None:
                break
            z = surface(self.places[name]) if name in self.places else math.nan
            if math.isfinite(z):
                self.known[name] = (z, 0.0, "surface")
            else:
                if self.known or self.floats:
                    self.remarks.append(Remark("ground-not-tied", "caution", "heights", (("point", name),)))
                    self.islands += 1
                    self.island[name] = self.islands
                self.floats = True
                self.known[name] = (0.0, 0.0, "zero")
        self._contradicted()
        for hung in self.strings:
            if hung.height is None:  # it passes no point at all
                if self.known or self.floats:
                    what = (("point", hung.spec.run or hung.spec.start or hung.spec.ends[0]),)
                    self.remarks.append(Remark("ground-not-tied", "caution", "heights", what, hung.spec.at))
                    self.islands += 1
                    hung.island = self.islands
                self.floats = True
                hung.height = (float(hung.drops[0]), 0.0)

    def _contradicted(self) -> None:
        """Even falls that the heights of their points contradict; those of levels are told with the levels."""
        for fall in self.falls:
            (z0, s0, how0), (z1, s1, how1) = self.known[fall.start], self.known[fall.end]
            own = self._fallheight_sigma(fall)
            if abs(z0 - z1 - fall.fall_m) > allowed_miss(s0, s1, own) and (how0, how1) != _LEVELS:
                said, found = (
                    ("falls" if fall_m >= 0.0 else "rises", abs(fall_m)) for fall_m in (fall.fall_m, z0 - z1)
                )
                args = (("start", fall.start), ("end", fall.end), ("typed_way", said[0]), ("typed_m", said[1]),
                        ("found_way", found[0]), ("found_m", found[1]))  # fmt: skip
                self.remarks.append(Remark("ground-fall-differs", "caution", "heights", args, fall.at))

    def _fallheight_sigma(self, fall: FallSpec) -> float:
        ends = [self.places[name] for name in (fall.start, fall.end) if name in self.places]
        far = math.dist(*ends) if len(ends) == 2 else _FAR_M
        return height_sigma(fall.how or "by eye", fall.within, far, fall.at)

    def spots_off_strings(self) -> list[tuple[XY, float, StringSpec]]:
        """Spots at coordinates under a string whose ground it has otherwise: where, by how much [m], which string."""
        found = []
        for hung in self.strings:
            z, sigma = hung.ground()
            along = path_stations(hung.xy)
            for xy, height, own in self.loose:
                (at,), (off,) = stations_near(hung.xy, np.array([xy]))
                miss = height - float(np.interp(at, along, z))
                if off <= ON_LINE_M and abs(miss) > allowed_miss(own, np.interp(at, along, sigma)):
                    found.append((xy, abs(miss), hung.spec))
        return found

    def _settle(self) -> None:
        """Carry heights as far as they go; what they reach belongs to the last island, if there is one."""
        known, open_ = set(self.known), [hung for hung in self.strings if hung.height is None]
        while self._spread():
            pass
        if self.islands:
            self.island |= {name: self.islands for name in self.known if name not in known}
            for hung in open_:
                hung.island = self.islands if hung.height is not None else 0

    def _spread(self) -> bool:
        """Carry heights along strings and falls; whether any was new."""
        new = False
        for hung in self.strings:
            held = [(name, tie) for name, tie in hung.ties.items() if name in self.known]
            if hung.height is None and held:
                self._string_height(hung, held)
                new = True
        for fall in self.falls:
            new |= self._carry(fall)
        return new

    def _string_height(self, hung: HungString, held: Sequence[tuple[str, tuple[float, float]]]) -> None:
        rows = [(self.known[n][0] + drop, math.hypot(self.known[n][1], s)) for n, (drop, s) in held]
        weights = [1.0 / max(sigma, 1e-4) ** 2 for _, sigma in rows]
        height = sum(w * z for w, (z, _) in zip(weights, rows, strict=True)) / sum(weights)
        hung.height = (height, 1.0 / math.sqrt(sum(weights)))
        for (name, _), (z, sigma) in zip(held, rows, strict=True):
            here, _, how = self.known[name]
            spread = math.hypot(sigma, hung.height[1])
            self._differs(name, here, here + height - z, spread, (how, "drops"), hung.spec.at)
        for name, (drop, sigma) in hung.ties.items():
            self.known.setdefault(name, (height - drop, math.hypot(sigma, hung.height[1]), "drops"))

    def _carry(self, fall: FallSpec) -> bool:
        known = [name in self.known for name in (fall.start, fall.end)]
        if all(known) or not any(known):
            return False
        here, there, sign = (fall.start, fall.end, -1.0) if known[0] else (fall.end, fall.start, 1.0)
        z, sigma, _ = self.known[here]
        self.known[there] = (z + sign * fall.fall_m, math.hypot(sigma, self._fallheight_sigma(fall)), "story")
        return True

    def _first_open(self) -> str | None:
        """A point of the first string or fall that has no height yet."""
        open_ = next((h for h in self.strings if h.height is None and h.ties), None)
        if open_ is not None:
            return next(iter(open_.ties))
        return next((f.start for f in self.falls if f.start not in self.known), None)


def height_sigma(how: str, within: float | None, far: float, at: Where) -> float:
    """Standard deviation of a height [m]: as given, or by the tool over ``far`` metres. Raises ProblemError."""
    if within is not None:
        return within
    return stated_sigma(Measurement("rise", (), 0.0, how, at=at), "rise", far)
