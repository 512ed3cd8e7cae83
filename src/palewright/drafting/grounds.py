"""The ground on the screen: shaded by height and with contour lines, where it is known beside the fence."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.drafting.sight_records import Item
from palewright.drafting.speech import Speech
from palewright.errors import ProblemError
from palewright.model import Design, Job, Site
from palewright.plan.ground_asked import has_heights
from palewright.plane import XY

__all__ = ["ground_items"]

_CELLS = 24
_LEVELS = 8
_FLAT_M = 0.03
"""Ground that differs by less is not worth shading (our own choice)."""
_STEPS_FT = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_STEPS_M = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
_MOST = 12


def ground_items(job: Job, site: Site, design: Design, speech: Speech) -> Iterator[Item]:
    """Shades and contour lines; none where no height is known beside a run."""
    paths = [(run.name, _path(design, run.legs)) for run in design.runs if run.legs]
    if not paths or not has_heights(job, site):
        return
    from palewright.plan.ground import ground_under

    try:
        heights = ground_under(job, site, paths).heights
    except ProblemError:
        return
    if heights is None:
        return
    import numpy as np

    spots = [xy for _, path in paths for xy in path] + [point.xy for point in site.points]
    xs, ys = _lines([x for x, _ in spots]), _lines([y for _, y in spots])
    grid = np.stack(np.meshgrid(np.array(xs), np.array(ys)), axis=-1)
    z = heights(grid.reshape(-1, 2)).reshape(len(ys), len(xs)).tolist()
    known = [value for row in z for value in row if not math.isnan(value)]
    if not known or max(known) - min(known) < _FLAT_M:
        return
    yield from _shades(xs, ys, z, min(known), max(known), speech)
    yield from _contours(xs, ys, z, min(known), max(known), speech)


def _path(design: Design, legs: Sequence[int]) -> list[XY]:
    return [design.legs[legs[0]].start, *(design.legs[k].end for k in legs)]


def _lines(values: Sequence[float]) -> list[float]:
    """Grid lines over a span [m]."""
    low, high = min(values) - 1.0, max(values) + 1.0
    return [low + (high - low) * k / _CELLS for k in range(_CELLS + 1)]


def _shades(
    xs: Sequence[float], ys: Sequence[float], z: Sequence[Sequence[float]], low: float, high: float, speech: Speech
) -> Iterator[Item]:
    """Cells that lie beside one another at one level are one shade."""
    for j in range(len(ys) - 1):
        start, level = 0, 0
        for i in range(len(xs)):
            here = _level(z, i, j, low, high) if i + 1 < len(xs) else 0
            if here != level:
                if level:
                    box = ((xs[start], ys[j]), (xs[i], ys[j]), (xs[i], ys[j + 1]), (xs[start], ys[j + 1]))
                    yield Item(f"shade {j}-{start}", "shade", "ground", path="heights", marks=(str(level),),
                               points=box, closed=True)  # fmt: skip
                start, level = i, here


def _level(z: Sequence[Sequence[float]], i: int, j: int, low: float, high: float) -> int:
    """The shade of a cell, 1 lowest; 0 where a corner is not known."""
    middle = (z[j][i] + z[j][i + 1] + z[j + 1][i] + z[j + 1][i + 1]) / 4.0
    return 0 if math.isnan(middle) else min(_LEVELS, 1 + int((middle - low) / (high - low) * _LEVELS))


def _contours(
    xs: Sequence[float], ys: Sequence[float], z: Sequence[Sequence[float]], low: float, high: float, speech: Speech
) -> Iterator[Item]:
    from palewright.ground.contours import contour

    metric = speech.settings.print_style == "metric"
    unit = 1.0 if metric else 0.3048
    step = next((s for s in (_STEPS_M if metric else _STEPS_FT) if (high - low) / (s * unit) <= _MOST), 100.0) * unit
    for k in range(math.ceil(low / step), math.floor(high / step) + 1):
        text = speech.length(k * step) if k >= 0 else f"-{speech.length(-k * step)}"
        said = speech("item.contour", height=text)
        for n, chain in enumerate(sorted(contour(xs, ys, z, k * step), key=len, reverse=True)):
            yield Item(f"contour {k}-{n}", "contour", "ground", path="heights", text="" if n else text, say=said,
                       points=tuple(chain))  # fmt: skip
