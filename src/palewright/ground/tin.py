"""A surface of triangles: a plane over each."""

from __future__ import annotations

import itertools
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from palewright.errors import Problem, ProblemError
from palewright.ground.pieces import (
    APART,
    LEAST_M,
    NEAR_M,
    Floats,
    Index,
    Pieces,
    counted,
    joined,
    path_stations,
    shifted,
)

__all__ = ["SAME_PLACE_M", "Tin", "tin"]

SAME_PLACE_M = 1e-3
"""Spots closer than this stand in one place [m] (our own choice: no tape tells them apart)."""
_PARALLEL_M = 1e-7
"""A line that gains less on the side of a triangle runs along it: rounding [m]."""
_THIN = 1e-6
"""Spots whose width is a smaller share of their length stand on a line: rounding."""
Faces = Index


def tin(points: Floats, sigmas: Floats | float, faces: Faces | None = None, how: str = "spots") -> Tin:
    """Triangles over spots.

    points
        x, y and height (n, 3) [m]. sigmas: standard deviation of the heights (n,) [m], or one for all.
    faces
        rows of ``points`` (m, 3); None: the Delaunay triangulation, in which no spot lies within the circle round a
        triangle. how: "spots" or "surface".
    Spots in one place count as one, their heights weighed. Raises ProblemError, with places in m: ``spot-not-finite``,
    ``spots-two-heights``, ``spots-too-few``, ``spots-on-a-line``, ``surface-empty`` for faces without an area.
    Source: B. Delaunay, Sur la sphere vide, 1934; the triangulation is scipy.spatial.Delaunay.

    >>> corner = tin(np.array([[0.0, 0.0, 1.0], [10.0, 0.0, 2.0], [0.0, 10.0, 3.0]]), 0.01)
    >>> corner.heights(np.array([[2.0, 2.0], [9.0, 9.0]]))[0]
    array([1.6, nan])
    """
    points = np.asarray(points, dtype=float).reshape(-1, 3)
    sigmas = np.broadcast_to(np.asarray(sigmas, dtype=float), (len(points),))
    wrong = np.flatnonzero(~np.isfinite(points).all(axis=1))
    if wrong.size:
        raise _refused("spot-not-finite", "a spot or its height is not a number", f"spot {wrong[0] + 1}")
    if faces is None:
        points, sigmas = _single(points, sigmas)
        faces = _delaunay(points[:, :2])
    return Tin(points, sigmas, faces, how)


class Tin:
    """A surface of triangles. Made by :func:`tin`."""

    def __init__(self, points: Floats, sigmas: Floats, faces: Faces, how: str) -> None:
        self.how, self.points, self.sigmas = how, points, sigmas
        corners = points[faces][:, :, :2]
        double = _cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        longest = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
        kept = np.abs(double) > NEAR_M * longest
        if not kept.any():
            raise _refused("surface-empty", "no triangle of this surface has an area", f"{len(faces)} triangles")
        turned = np.where(double[:, None] < 0.0, faces[:, ::-1], faces)
        self.faces: Faces = turned[kept]
        self._at: Floats = points[self.faces][:, :, :2]
        edges = np.roll(self._at, -1, axis=1) - self._at
        #: unit normal of each side, pointing inward, and how far the corner opposite it stands off
        self._normal: Floats = np.stack([-edges[..., 1], edges[..., 0]], axis=2)
        self._normal /= np.linalg.norm(edges, axis=2)[..., None]
        self._tall: Floats = np.abs(double[kept])[:, None] / np.linalg.norm(edges, axis=2)

    @cached_property
    def _tree(self) -> shapely.STRtree:
        low, high = self._at.min(axis=1) - NEAR_M, self._at.max(axis=1) + NEAR_M
        return shapely.STRtree(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))

    def heights(self, xy: Floats) -> tuple[Floats, Floats]:
        """Heights and standard deviations (n,) [m], nan outside every triangle."""
        xy = np.asarray(xy, dtype=float).reshape(-1, 2)
        which, face = self._tree.query(shapely.points(xy))
        off = np.einsum("nki,nki->nk", self._normal[face], xy[which][:, None] - self._at[face])
        keep = off.min(axis=1) >= -NEAR_M
        z, s = np.full(len(xy), np.nan), np.full(len(xy), np.nan)
        which, face = which[keep][::-1], face[keep][::-1]
        z[which], s[which] = self._values(xy[which], face)
        return z, s

    def covers(self, xy: Floats) -> NDArray[np.bool_]:
        """Whether places lie in a triangle."""
        return np.isfinite(self.heights(xy)[0])

    def _values(self, xy: Floats, face: Faces) -> tuple[Floats, Floats]:
        """Heights and their standard deviations in the planes of given triangles.

        Spots err each for itself, heights of one survey or flight together: then sigma is as good as the corners' own.
        """
        off = np.einsum("nki,nki->nk", self._normal[face], xy[:, None] - self._at[face])
        weight = np.roll(off / self._tall[face], -1, axis=1)  # corner k lies across from side k + 1
        weight /= weight.sum(axis=1)[:, None]
        sigma = self.sigmas[self.faces[face]] * weight
        spread = np.sqrt((sigma**2).sum(axis=1)) if self.how == "spots" else np.abs(sigma.sum(axis=1))
        return (self.points[self.faces[face], 2] * weight).sum(axis=1), spread

    def over(self, path: Floats, sag_m: float = 0.0) -> Pieces:
        """Straight pieces over a path (k, 2), exact: one in each triangle that it crosses."""
        parts = [self.along(a, b) for a, b in itertools.pairwise(np.asarray(path, dtype=float))]
        return joined([shifted(part, s) for part, s in zip(parts, path_stations(path), strict=False)])

    def along(self, a: Floats, b: Floats) -> Pieces:
        """Straight pieces over the line from a to b: one in each triangle that it crosses.

        Raises ProblemError ``surface-overlaps`` where two triangles lie one above the other.
        """
        a, b = np.asarray(a, dtype=float), np.asarray(b, dtype=float)
        length = float(np.hypot(*(b - a)))
        if length <= NEAR_M:
            return Pieces.none()
        face = np.sort(self._tree.query(shapely.LineString([a, b]), predicate="intersects"))
        t0, t1 = self._clip(a, b, length, face)
        keep = t1 - t0 > NEAR_M
        face, t0, t1 = face[keep], t0[keep], t1[keep]
        if not face.size:
            return Pieces.none()
        knots = _apart(np.concatenate([t0, t1]))
        low, high = (np.searchsorted(knots, t - NEAR_M) for t in (t0, t1))
        group, part = counted(low, high - low)
        owner = np.full(len(knots) - 1, -1)
        owner[part[::-1]] = face[group][::-1]
        self._flat(a, b, knots, part, face[group], owner)
        known = np.flatnonzero(owner >= 0)
        start, end = knots[known], knots[known + 1]
        way = (b - a) / length
        (z0, s0), (z1, s1) = (self._values(a + t[:, None] * way, owner[known]) for t in (start, end))
        return Pieces(start, end, z0, z1, s0, s1)

    def _clip(self, a: Floats, b: Floats, length: float, face: Faces) -> tuple[Floats, Floats]:
        """Where the line enters and leaves triangles [m from a]."""
        off = np.einsum("nki,nki->nk", self._normal[face], a - self._at[face])
        gain = np.einsum("nki,i->nk", self._normal[face], b - a)
        level = np.abs(gain) < _PARALLEL_M
        t = -off / np.where(level, 1.0, gain) * length
        enter = np.where(gain > 0.0, t, 0.0)
        leave = np.where(gain < 0.0, t, length)
        enter = np.where(level, np.where(off < -NEAR_M, np.inf, 0.0), enter)
        leave = np.where(level, length, leave)
        return np.clip(enter.max(axis=1), 0.0, None), np.clip(leave.min(axis=1), None, length)

    def _flat(self, a: Floats, b: Floats, knots: Floats, part: Faces, face: Faces, owner: Faces) -> None:
        """Raise where two triangles cover one stretch with different heights."""
        twice = np.flatnonzero(owner[part] != face)
        if not twice.size:
            return
        way = (b - a) / np.hypot(*(b - a))
        middle = a + ((knots[part[twice]] + knots[part[twice] + 1]) / 2.0)[:, None] * way
        miss = np.abs(self._values(middle, face[twice])[0] - self._values(middle, owner[part[twice]])[0])
        worst = int(np.argmax(miss))
        if miss[worst] > LEAST_M:
            x, y = middle[worst]
            raise _refused("surface-overlaps", "two triangles of a surface lie one above the other",
                           f"{miss[worst]:.3f} m apart at x {x:.2f} m, y {y:.2f} m")  # fmt: skip


def _apart(values: Floats) -> Floats:
    """Sorted values, of those that are nearly equal the first."""
    rising = np.sort(values)
    return rising[np.concatenate([[True], np.diff(rising) > NEAR_M])] if rising.size else rising


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _refused(slug: str, what: str, found: str, hint: str = "") -> ProblemError:
    return ProblemError(Problem(slug, what, found=found, hint=hint))


def _single(points: Floats, sigmas: Floats) -> tuple[Floats, Floats]:
    """Every place once; heights there weighed by 1 / sigma^2. Raises ``spots-two-heights``."""
    from scipy.spatial import cKDTree

    pairs = cKDTree(points[:, :2]).query_pairs(SAME_PLACE_M, output_type="ndarray")
    if not len(pairs):
        return points, sigmas
    miss = np.abs(points[pairs[:, 0], 2] - points[pairs[:, 1], 2])
    allowed = np.maximum(APART * np.hypot(sigmas[pairs[:, 0]], sigmas[pairs[:, 1]]), SAME_PLACE_M)
    worst = int(np.argmax(miss - allowed))
    if miss[worst] > allowed[worst]:
        i, j = sorted(pairs[worst])
        raise _refused(
            "spots-two-heights", "one place has two heights",
            f"spots {i + 1} and {j + 1}, {miss[worst]:.3f} m apart at x {points[i, 0]:.2f} m, y {points[i, 1]:.2f} m",
            "take the wrong one out; the top and the foot of a wall are two places",
        )  # fmt: skip
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    n = len(points)
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
    _, home = connected_components(links, directed=False)
    weight = 1.0 / np.maximum(sigmas, SAME_PLACE_M) ** 2
    total = np.bincount(home, weight)
    merged = np.stack([np.bincount(home, weight * points[:, k]) / total for k in range(3)], axis=1)
    return merged, np.where(np.bincount(home) > 1, 1.0 / np.sqrt(total), np.bincount(home, sigmas))


def _delaunay(xy: Floats) -> Faces:
    if len(xy) < 3:
        raise _refused("spots-too-few", "a surface needs three spots or more", f"{len(xy)}")
    centred = xy - xy.mean(axis=0)
    long, wide = np.linalg.svd(centred, compute_uv=False)[:2]
    if wide <= max(_THIN * long, SAME_PLACE_M):
        ends = [xy[np.argmin(centred @ way)] for way in _both_ways(centred)]
        said = " to ".join(f"x {x:.2f} m, y {y:.2f} m" for x, y in ends)
        raise _refused("spots-on-a-line", "all spots stand on one line: beside it nothing is known of the ground",
                       f"{len(xy)} spots from {said}", "measure a spot away from the line")  # fmt: skip
    from scipy.spatial import Delaunay

    return np.asarray(Delaunay(centred / long).simplices, dtype=np.intp)


def _both_ways(centred: Floats) -> tuple[Floats, Floats]:
    way = np.linalg.svd(centred, full_matrices=False)[2][0]
    return way, -way
