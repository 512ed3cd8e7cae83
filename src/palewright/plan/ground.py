"""From a job to the ground under its runs: everything that was measured, in one datum, laid along each run."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from palewright.errors import Problem, ProblemError, Where
from palewright.ground import (
    SAG_M,
    Floats,
    Grid,
    Laid,
    Pieces,
    Source,
    Surface,
    allowed_miss,
    joined,
    lay,
    line_pieces,
    path_stations,
    steep,
    surface_pieces,
)
from palewright.model import Job, Profile, Remark, Site
from palewright.plan.ground_asked import has_heights, words_only
from palewright.plan.ground_datum import ON_LINE_M, GroundDatum, HungString, along_path, stations_near
from palewright.plan.ground_surfaces import file_surface, spot_surface
from palewright.plan.ground_tapes import tapes_on_slopes
from palewright.plane import XY

__all__ = ["Ground", "ground_under"]

#: Shots no farther apart than this show the ground between them: 25 ft (common practice) [m].
_CLOSE_M = 7.62
#: A profile leaves a surface by a hundredth of what its heights may err, or by 1 mm (our own choice).
_SAG_SHARE = 0.01
#: A file of ground that misses every measured height by more is on another datum or in another unit [m]
#: (our own choice).
_OTHER_DATUM_M = 3.0
#: A string lies along a run where its stations agree with the run's to 2 % (our own choice: a tape held by eye).
_STRING_OFF = 0.02
_HOW = {"levels": 0, "drops": 1, "spots": 2, "story": 3, "surface": 4, "grid": 5}


class Ground(NamedTuple):
    """Profiles of runs, in the order of the paths; a run without any known height has none. What must be said.

    heights
        places (n, 2) [m] to the ground there [m] by spots and files, nan where there is none; None without either.
    """

    profiles: tuple[Profile, ...]
    remarks: tuple[Remark, ...]
    heights: Callable[[Floats], Floats] | None = None


class _Shot(NamedTuple):
    """A height on a run."""

    station: float
    z: float
    sigma: float
    how: str


def ground_under(
    job: Job, site: Site, paths: Sequence[tuple[str, Sequence[XY]]], called: Mapping[str, XY] | None = None
) -> Ground:
    """The ground along runs by all that the job knows.

    job, site
        as written, its files read (:func:`palewright.plan.ground_files.read_ground`), and resolved. paths: name and
        corners of each run [m]. called: places of points that have none in the site.
    In order of trust, the first that reaches: the rule below a level string; shots on the run no more than 25 ft apart;
    triangles over all spots; slopes that the person calls even; surfaces, then grids from files; a straight line
    between shots that are farther apart, which is told as assumed. Raises ProblemError.
    """
    if not paths or not has_heights(job, site):
        return Ground((), words_only(job))
    lines = {name: np.array(path, dtype=float).reshape(-1, 2) for name, path in paths}
    places = {point.name: point.xy for point in site.points} | dict(called or {})
    work = _Work(GroundDatum(job, site, places, lines), job)
    found, said = [], list[Remark]()
    for name, path in lines.items():
        laid, straight = work.run(name, path)
        said += work.said(name, laid, straight)
        if laid.profile is not None:
            found.append(laid.profile)
    said = [*work.datum.remarks, *tapes_on_slopes(job, work.datum), *words_only(job), *said]
    return Ground(tuple(found), tuple(said), work.heights if work.surface is not None or work.files else None)


class _Work:
    """All that is known of the ground of a job, in one datum."""

    def __init__(self, datum: GroundDatum, job: Job) -> None:
        self.datum = datum
        self.terrain = job.ground.terrain
        self.files: list[Surface] = [file_surface(terrain) for terrain in self.terrain]
        self.lift = self._lift()
        datum.tie(self._file_height)
        datum.remarks += self._off_files()
        self.spots = self._spot_rows()
        self.surface, remark = spot_surface(self.spots, next((spot.at for spot in job.ground.spots), Where()))
        if len(self.spots) and _off_runs(datum, self.spots[:, :2]).max() > ON_LINE_M:
            datum.remarks += remark
        for (x, y), miss, spec in datum.spots_off_strings():
            where = (("x_m", x), ("y_m", y), ("most_m", miss))
            datum.remarks.append(Remark("ground-spot-off-string", "caution", "heights", where, spec.at))
        for terrain in self.terrain:
            args = (("file", terrain.spec.file),)
            cautions = [
                Remark(slug, "caution", "heights", (*args, ("found", found))) for slug, found in terrain.cautions
            ]
            datum.remarks += cautions
            if terrain.spec.within is None and not terrain.spec.how:
                datum.remarks.append(Remark("terrain-sigma-taken", "assumption", "heights", args, terrain.spec.at))

    def _lift(self) -> float:
        """What is added to files so that they fit levels that count from a point: their mean difference [m]."""
        if not self.datum.floats or not self.files:
            return 0.0
        levels = [(self.datum.places[n], z) for n, (z, _, _) in self.datum.known.items() if n in self.datum.places]
        pairs = [z - found for xy, z in levels if math.isfinite(found := self._bare_height(xy))]
        if not pairs:
            return 0.0
        by = float(np.median(pairs))
        self.datum.remarks.append(Remark("ground-file-lifted", "note", "heights", (("count", len(pairs)),)))
        return by

    def _bare_height(self, xy: XY) -> float:
        found = (float(surface.heights(np.array([xy]))[0][0]) for surface in self.files)
        return next((z for z in found if math.isfinite(z)), math.nan)

    def _file_height(self, xy: XY) -> float:
        return self._bare_height(xy) + self.lift

    def _off_files(self) -> list[Remark]:
        """Measured heights that a file contradicts: most of them by nearly the same where its datum is another."""
        named = [(self.datum.places[n], z, s) for n, (z, s, how) in self.datum.known.items()
                 if n in self.datum.places and how in ("levels", "spots")]  # fmt: skip
        rows = [*named, *self.datum.loose]
        remarks = []
        for terrain, surface in zip(self.terrain, self.files, strict=True):
            if not rows:
                break
            there, poor = surface.heights(np.array([xy for xy, _, _ in rows]))
            measured, sigma = np.array([row[1:] for row in rows]).T
            miss = (measured - there - self.lift)[np.isfinite(there)]
            off = np.abs(miss) > allowed_miss(sigma, poor)[np.isfinite(there)]
            if off.any() and len(miss) and (lower := float(np.abs(miss).min())) > _OTHER_DATUM_M:
                raise ProblemError(
                    Problem(
                        "ground-other-datum",
                        "a file of ground lies far above or below every height that was measured where it lies",
                        terrain.spec.at,
                        found=f"{terrain.spec.file}, {lower:.2f} m off or more at all {len(miss)}",
                        allowed=f"heights of one datum, in the unit of the file, within {_OTHER_DATUM_M:g} m",
                        hint="say its unit, or give the measured points heights of the file's datum",
                    )
                )
            if off.any():
                sizes = (("most_m", float(np.abs(miss).max())), ("middle_m", float(np.abs(np.median(miss)))))
                args = (("file", terrain.spec.file), ("off", int(off.sum())), ("all", len(miss)), *sizes)
                remarks.append(Remark("ground-file-off-heights", "caution", "heights", args, terrain.spec.at))
        return remarks

    def _spot_rows(self) -> Floats:
        """Spots for triangles: what was said to be a spot, and levelled points of runs and the boundary.

        x, y, z, sigma, rank. Other levelled points may be marks above the ground.
        """
        rows = [(*xy, z, sigma, _HOW["spots"]) for xy, z, sigma in self.datum.loose]
        named = {n: k for n, k in self.datum.known.items() if k[2] in ("levels", "spots") and n in self.datum.places}
        if named:
            xy = np.array([self.datum.places[name] for name in named])
            near = _off_runs(self.datum, xy)
            for (name, (z, sigma, how)), off in zip(named.items(), near, strict=True):
                if how == "spots" or off <= ON_LINE_M or name in self.datum.ground_points:
                    rows.append((*self.datum.places[name], z, sigma, _HOW[how]))
        return np.array(rows, dtype=float).reshape(-1, 5)

    def heights(self, xy: Floats) -> Floats:
        """The ground at places by the first surface that reaches: triangles over spots, surfaces, grids [m]."""
        found = np.full(len(xy), np.nan)
        files = [(surface, self.lift) for surface in sorted(self.files, key=lambda one: one.how == "grid")]
        for surface, lift in [*([(self.surface, 0.0)] if self.surface is not None else []), *files]:
            open_ = np.isnan(found)
            found[open_] = surface.heights(xy[open_])[0] + lift
        return found

    def run(self, name: str, path: Floats) -> tuple[Laid, Pieces]:
        """The ground under one run, and the straight lines between shots that nobody vouched for.

        Heights that hang on no others are laid beside none: of several islands the one that reaches farthest counts.
        """
        found = [self._island(name, path, island) for island in range(self.datum.islands + 1)]
        length = float(path_stations(path)[-1])
        reach = [length - sum(gap.to_m - gap.from_m for gap in laid.unknown) for laid, _ in found]
        best = reach.index(max(reach))
        if sum(far > 1e-3 for far in reach) > 1:
            self.datum.remarks.append(Remark("ground-island-left", "caution", f"run {name}", (("run", name),)))
        return found[best]

    def _island(self, name: str, path: Floats, island: int) -> tuple[Laid, Pieces]:
        """The ground under one run by the heights that hang together; files and loose spots belong to island 0."""
        close, far, bare = self._between(path, self._shots(path, island))
        firm = [Source("drops", _hung(path, hung)) for hung in self.datum.strings if hung.island == island]
        stories = [Source("story", piece) for piece in self._stories(path, island)]
        if island:
            laid = lay(name, path, [*firm, *close, *stories, *far])
            known = lay(name, path, [*firm, *close, *stories])
            return laid, _within(bare, [(u.from_m, u.to_m) for u in known.unknown])
        files = [self._file(surface, path) for surface in sorted(self.files, key=lambda one: one.how == "grid")]
        spots = [] if self.surface is None else [self.surface]
        between = [source for surface in spots for source in self._spanned(path, surface_pieces(surface, path))]
        laid = lay(name, path, [*firm, *close, *between, *stories, *files, *far], [*spots, *self.files])
        if laid.profile is not None:
            names = [t.spec.file for t in self.terrain if t.spec.kind in laid.profile.how]
            laid = laid._replace(profile=replace(laid.profile, source=", ".join(names)))
        known = lay(name, path, [*firm, *close, *stories, *files])
        straight = _within(bare, [(u.from_m, u.to_m) for u in known.unknown])
        spanned = [source.pieces for source in far if not any(source.pieces is piece for piece in bare)]
        if spanned:  # other spots lie near, but their triangles may not reach the run
            known = lay(name, path, [*firm, *close, *between, *stories, *files])
            straight = joined([straight, _within(spanned, [(u.from_m, u.to_m) for u in known.unknown])])
        return laid, straight

    def _spanned(self, path: Floats, pieces: Pieces) -> tuple[Source, Source]:
        """Triangles over spots: compared with others where a spot is near; more than 25 ft off they only span."""
        middle = along_path(path, (pieces.start + pieces.end) / 2.0)
        near = np.hypot(*(middle[:, None] - self.spots[None, :, :2]).T).min(axis=0) <= _CLOSE_M
        some, rest = (Pieces(*(column[kept] for column in pieces)) for kept in (near, ~near))
        return Source("spots", some), Source("spots", rest, compared=False)

    def _file(self, surface: Surface, path: Floats) -> Source:
        sag = max(SAG_M, _SAG_SHARE * surface.sigma) if isinstance(surface, Grid) else SAG_M
        pieces = surface_pieces(surface, path, sag)
        return Source(surface.how, pieces._replace(z0=pieces.z0 + self.lift, z1=pieces.z1 + self.lift))

    def _shots(self, path: Floats, island: int) -> list[_Shot]:
        """Heights of one island on a run, by station; of two at one station the better known."""
        places, islands = self.datum.places, self.datum.island
        names = [name for name in self.datum.known if name in places and islands.get(name, 0) == island]
        rows = [_Shot(0.0, *self.datum.known[name]) for name in names]
        xy = [places[name] for name in names]
        loose = self.datum.loose if not island else []
        rows += [_Shot(0.0, z, s, "spots") for _, z, s in loose]
        xy += [place for place, _, _ in loose]
        if not xy:
            return []
        at, off = stations_near(path, np.array(xy))
        close = [row._replace(station=float(s)) for row, s, d in zip(rows, at, off, strict=True) if d <= ON_LINE_M]
        length = path_stations(path)[-1]
        if len(path) > 2 and np.allclose(path[0], path[-1]):  # a closed run ends where it begins
            close += [shot._replace(station=float(length)) for shot in close if shot.station < 1e-6]
        best: list[_Shot] = []
        for shot in sorted(close, key=lambda one: (one.station, one.sigma)):
            if best and shot.station - best[-1].station < 1e-3:
                continue
            best.append(shot)
        return best

    def _between(self, path: Floats, shots: Sequence[_Shot]) -> tuple[list[Source], list[Source], list[Pieces]]:
        """Straight pieces between neighbouring shots: close ones, the rest, and those of the rest that are bare.

        A piece is bare where no other spot lies in the circle over its two shots: then their line is a side of the
        triangles over all spots too, and these know no more of the ground between them.
        """
        close: list[Source] = []
        far: list[Source] = []
        bare: list[Pieces] = []
        spots = self.spots[:, :2]
        others = spots[stations_near(path, spots)[1] > ON_LINE_M] if len(spots) else spots
        for a, b in itertools.pairwise(shots):
            how = max((a.how, b.how), key=lambda word: _HOW.get(word, 9))
            piece = line_pieces(*(np.array(pair) for pair in ((a.station, b.station), (a.z, b.z), (a.sigma, b.sigma))))
            ends = along_path(path, np.array([a.station, b.station]))
            reach = float(np.hypot(*(ends[1] - ends[0]))) / 2.0
            alone = self.surface is None or not (np.hypot(*(others - ends.mean(axis=0)).T) < reach).any()
            near = b.station - a.station <= _CLOSE_M and alone
            source = Source(how if how in _HOW else "spots", piece, compared=False, bridge=not near)
            (close if near else far).append(source)
            if alone and not near:
                bare.append(piece)
        return close, far, bare

    def _stories(self, path: Floats, island: int) -> list[Pieces]:
        """Even slopes whose two points lie on the run."""
        found = []
        for fall in self.datum.falls:
            names = (fall.start, fall.end)
            if not all(name in self.datum.known and name in self.datum.places for name in names):
                continue
            if self.datum.island.get(names[0], 0) != island:
                continue
            at, off = stations_near(path, np.array([self.datum.places[name] for name in names]))
            if off.max() > ON_LINE_M or abs(at[1] - at[0]) < 1e-3:
                continue
            order = np.argsort(at)
            z, sigma = (np.array([self.datum.known[name][k] for name in names], dtype=float)[order] for k in (0, 1))
            found.append(line_pieces(at[order], z, sigma))
        return found

    def said(self, run: str, laid: Laid, straight: Pieces) -> list[Remark]:
        """What a reader must know of the ground of one run."""
        about, rows = f"run {run}", []
        for one in laid.conflicts:
            from_m = one.from_m if one.from_m > 1e-3 else 0.0
            stretch = (("run", run), ("from_m", from_m), ("to_m", one.to_m), ("at_m", one.at_m))
            words = (("taken", f"ground {one.taken}"), ("left", f"ground {one.left}"))
            rows.append(Remark("ground-conflict", "caution", about, (*stretch, ("most_m", abs(one.most_m)), *words)))
        for jump in laid.jumps:
            slug = "ground-wall" if jump.wall else "ground-jump"
            rows.append(Remark(slug, "caution", about, (("run", run), ("at_m", jump.at_m), ("by_m", abs(jump.rise_m)))))
        if laid.profile is not None:
            s, z = laid.profile.stations_m, laid.profile.heights_m
            steeps = [
                (a, b)
                for a, b in steep(s, z)
                if not any(s[a] - 1e-3 <= jump.at_m <= s[b] + 1e-3 for jump in laid.jumps)
            ]
            if steeps:
                a, b = max(steeps, key=lambda ends: abs(z[ends[1]] - z[ends[0]]))
                worst = (("from_m", s[a]), ("to_m", s[b]), ("by_m", abs(z[b] - z[a])))
                rows.append(Remark("ground-steep", "caution", about, (("run", run), ("count", len(steeps)), *worst)))
        for gap in laid.unknown:
            args2 = (("run", run), ("from_m", gap.from_m), ("to_m", gap.to_m))
            slug = "ground-not-reached" if laid.profile is not None else "ground-run-unknown"
            rows.append(
                Remark(
                    "ground-no-data" if gap.why == "no-data" and laid.profile is not None else slug, "ask", about, args2
                )
            )
        for a, b in zip(straight.start, straight.end, strict=True):
            args2 = (("run", run), ("from_m", float(a)), ("to_m", float(b)))
            rows.append(Remark("ground-straight-assumed", "assumption", about, args2))
        return rows


def _off_runs(datum: GroundDatum, xy: Floats) -> Floats:
    """How far places lie from the nearest run [m]."""
    return np.asarray(np.min([stations_near(path, xy)[1] for path in datum.paths.values()], axis=0))


def _within(parts: Iterable[Pieces], spans: Sequence[tuple[float, float]]) -> Pieces:
    """Stretches of pieces that fall into spans: from and to only."""
    found = [
        (max(float(a), low), min(float(b), high))
        for part in parts
        for a, b in zip(part.start, part.end, strict=True)
        for low, high in spans
        if min(float(b), high) - max(float(a), low) > 1e-3
    ]
    zero = np.zeros(len(found))
    return Pieces(np.array([a for a, _ in found]), np.array([b for _, b in found]), zero, zero, zero, zero)


def _hung(path: Floats, hung: HungString) -> Pieces:
    """The ground below a string, where both ends of a piece of it lie on the path and are as far apart there."""
    at, off = stations_near(path, hung.xy)
    z, sigma = hung.ground()
    on = off <= ON_LINE_M
    gone, came = np.diff(at), np.diff(hung.stations)
    whole = on[:-1] & on[1:] & (np.abs(np.abs(gone) - came) <= _STRING_OFF * came + ON_LINE_M / 10.0)
    k = np.flatnonzero(whole)
    back = gone[k] < 0.0
    a, b = np.where(back, k + 1, k), np.where(back, k, k + 1)
    order = np.argsort(at[a], kind="stable")
    a, b = a[order], b[order]
    return Pieces(at[a], at[b], z[a], z[b], sigma[a], sigma[b])
