"""True scales, the size of the paper, and how a site that is too large is cut into tiles."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from palewright.draw.scene import View
from palewright.record import Record

__all__ = ["PAPERS", "Extent", "Field", "Scale", "extent_of", "fit", "scales", "tiles", "view_of"]

XY = tuple[float, float]

PAPERS: dict[str, XY] = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
"""Width and height of the papers, upright [mm]: ANSI/ASME Y14.1 size A, ISO 216 A4."""

_FEET_PER_INCH = (5, 10, 20, 30, 40, 50, 60, 100, 200, 300, 400, 500, 1000, 2000, 5000, 10000)
_SHARES = (0.5, 0.25, 0.75, 0.0, 1.0)
"""How the room that a grid of tiles leaves over may be divided between its two ends."""

_METRIC = (50, 75, 100, 125, 200, 250, 300, 400, 500, 1000, 2000, 2500, 5000, 10000, 20000, 50000, 100000)


class Scale(Record):
    """A true scale 1 : ``denominator`` as the sheet names it; ``bar_m``: marks of its bar [m], ``bar`` their words."""

    denominator: float
    words: str
    bar_m: tuple[float, ...]
    bar: tuple[str, ...]


class Extent(Record):
    """An upright rectangle in the world [m]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Left to right [m]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Bottom to top [m]."""
        return self.top - self.bottom

    @property
    def centre(self) -> XY:
        """The middle [m]."""
        return ((self.left + self.right) / 2, (self.bottom + self.top) / 2)


class Field(Record):
    """The part of a sheet that is drawn on [mm]; ``pad`` is kept free at each side for labels."""

    left: float
    top: float
    right: float
    bottom: float
    pad: float = 13.0

    @property
    def width(self) -> float:
        """Left to right [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Top to bottom [mm]."""
        return self.bottom - self.top

    @property
    def centre(self) -> XY:
        """The middle [mm]."""
        return ((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    def holds(self, q: XY) -> bool:
        """Whether a point lies in it."""
        return self.left <= q[0] <= self.right and self.top <= q[1] <= self.bottom


def extent_of(points: Iterable[XY]) -> Extent | None:
    """The upright rectangle round points, or None without any."""
    listed = list(points)
    if not listed:
        return None
    xs, ys = [p[0] for p in listed], [p[1] for p in listed]
    return Extent(min(xs), min(ys), max(xs), max(ys))


def scales(style: str) -> list[Scale]:
    """The engineering scales of a print style, from the largest drawing to the smallest.

    >>> [s.words for s in scales("feet-inches")][:3]
    ['1" = 5\\'', '1" = 10\\'', '1" = 20\\'']
    >>> scales("metric")[2].words
    '1:100'
    """
    out = []
    if style == "metric":
        for n in _METRIC:
            step = n / 50.0
            marks = (0.0, step / 2, step, 2 * step)
            out.append(Scale(float(n), f"1:{n}", marks, (*tuple(f"{m:g}" for m in marks[:-1]), f"{marks[-1]:g} m")))
        return out
    for n in _FEET_PER_INCH:
        feet = (0.0, n / 2, n, 2 * n)
        words = (*tuple(f"{f:g}" for f in feet[:-1]), f"{feet[-1]} ft")
        out.append(Scale(12.0 * n, f"1\" = {n}'", tuple(f * 0.3048 for f in feet), words))
    return out


def fit(extent: Extent, field: Field, style: str, largest: float = 0.0) -> Scale:
    """The largest scale at which ``extent`` fits into ``field`` less its padding; the smallest of all when none does.

    ``largest``: no denominator below it.
    """
    offered = [s for s in scales(style) if s.denominator >= largest]
    for scale in offered:
        k = 1000.0 / scale.denominator
        if extent.width * k <= field.width - 2 * field.pad and extent.height * k <= field.height - 2 * field.pad:
            return scale
    return offered[-1]


def view_of(centre: XY, field: Field, scale: Scale, rotation: float = 0.0) -> View:
    """The view that puts a world point [m] in the middle of the field, the world turned by ``rotation`` [rad]."""
    return View(scale.denominator, centre, rotation, field.centre, scale.words)


def tiles(
    path_points: Sequence[Sequence[XY]], extent: Extent, field: Field, scale: Scale, overlap_mm: float
) -> list[Extent]:
    """Rectangles that cover ``extent`` and hold some of the paths, row by row from the top left.

    path_points
        polylines that must be covered, in metres. Tiles without any of them are left out. Of the places that the grid
        may have, the one with the fewest tiles is taken, and of those the one whose emptiest tile holds the most.
    """
    k = 1000.0 / scale.denominator
    step = ((field.width - 2 * overlap_mm) / k, (field.height - 2 * overlap_mm) / k)
    count = [max(1, math.ceil(size / d - 1e-9)) for size, d in zip((extent.width, extent.height), step, strict=True)]
    slack = (count[0] * step[0] - extent.width, count[1] * step[1] - extent.height)
    points = _dense(path_points, min(step) / 16)
    best: tuple[int, int, XY, dict[XY, int]] | None = None
    for u, v in itertools.product(_SHARES if count[0] > 1 else (0.5,), _SHARES if count[1] > 1 else (0.5,)):
        left, top = extent.left - slack[0] * u, extent.top + slack[1] * v
        used: dict[XY, int] = {}
        for x, y in points:
            i = min(count[0] - 1, max(0, math.floor((x - left) / step[0])))
            j = min(count[1] - 1, max(0, math.floor((top - y) / step[1])))
            used[j, i] = used.get((j, i), 0) + 1
        if best is None or (len(used), -min(used.values(), default=0)) < best[:2]:
            best = (len(used), -min(used.values(), default=0), (left, top), used)
    assert best is not None
    left, top = best[2]
    return [
        Extent(left + i * step[0], top - (j + 1) * step[1], left + (i + 1) * step[0], top - j * step[1])
        for j, i in sorted(best[3])
    ]


def _dense(paths: Sequence[Sequence[XY]], most: float) -> list[XY]:
    """Points along the paths, no farther apart than ``most``."""
    points = []
    for a, b in itertools.chain.from_iterable(map(itertools.pairwise, paths)):
        pieces = max(1, math.ceil(math.dist(a, b) / most))
        points += [(a[0] + (b[0] - a[0]) * n / pieces, a[1] + (b[1] - a[1]) * n / pieces) for n in range(pieces + 1)]
    return points
