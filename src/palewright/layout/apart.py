"""Which runs of a job have nothing to do with one another, so that each group may be laid out by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from palewright.model import Job, RunSpec, Site
from palewright.plane import XY

__all__ = ["Apart", "Box", "box_of", "meet", "places_of"]

Box = tuple[float, float, float, float]
_BESIDE_M = 1.25
"""Room round a run for its posts, holes and near misses: our own choice, more than any of them reaches [m]."""
_LEAF_M = 8.0
"""Allowed for a gate whose opening is not typed [m]."""


def box_of(points: Iterable[XY], room_m: float = 0.0) -> Box | None:
    """The box round points, with room on every side [m]; None for none.

    >>> box_of([(0.0, 1.0), (2.0, 0.0)], 1.0)
    (-1.0, -1.0, 3.0, 2.0)
    """
    spots = list(points)
    if not spots:
        return None
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    return (min(xs) - room_m, min(ys) - room_m, max(xs) + room_m, max(ys) + room_m)


def meet(a: Box, b: Box) -> bool:
    """Whether two boxes meet."""
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


class Apart:
    """Groups of runs, kept up to date while points move.

    Runs belong together that name the same point, or whose boxes, with room for posts, holes and swinging leaves, meet.
    Runs along sides of the boundary are one group with all that comes near it.
    """

    def __init__(self) -> None:
        self._boxes: list[Box] = []
        self._runs: Sequence[RunSpec] = ()
        self._pairs: set[tuple[int, int]] = set()
        self._named: list[tuple[int, int]] = []
        self.boxes: list[Box] = []

    def groups(self, job: Job, site: Site) -> list[tuple[int, ...]]:
        """Numbers of the runs of each group, in the order of their first runs."""
        places = {point.name: point.xy for point in site.points}
        boxes = [_box(run, site, places.get) for run in job.runs]
        if len(self._runs) != len(job.runs) or any(a is not b for a, b in zip(self._runs, job.runs, strict=True)):
            self._runs, self._boxes, self._pairs = job.runs, [], set()
            self._named = _named(job.runs)
        changed = [k for k, box in enumerate(boxes) if k >= len(self._boxes) or self._boxes[k] != box]
        if changed:
            moved = set(changed)
            self._pairs = {pair for pair in self._pairs if moved.isdisjoint(pair)}
            for k in changed:
                self._pairs |= {(min(k, n), max(k, n)) for n, box in enumerate(boxes) if n != k and meet(boxes[k], box)}
        self._boxes = self.boxes = boxes
        return _joined(len(boxes), [*self._named, *self._pairs])


def _box(run: RunSpec, site: Site, place: Callable[[str], XY | None]) -> Box:
    leaves = [gate.opening_m or (gate.leaf_m or _LEAF_M) * gate.leaves for gate in run.gates]
    room = _BESIDE_M + max(leaves, default=0.0)
    spots = [ref.xy or place(ref.name) for ref in run.through]
    points = [xy for xy in spots if xy is not None]
    if run.sides and site.ring is not None:
        points += [corner.xy for corner in site.ring.corners]
        room += max((course.length_m for course in site.ring.courses if course.arc is not None), default=0.0)
    return box_of(points, room) or (0.0, 0.0, 0.0, 0.0)


def _named(runs: Sequence[RunSpec]) -> list[tuple[int, int]]:
    """Pairs of runs that name one point, or follow the boundary."""
    first: dict[str, int] = {}
    pairs = []
    for k, run in enumerate(runs):
        names = {ref.name for ref in run.through} | set(run.call) | {gate.from_point for gate in run.gates}
        names |= {"the boundary "} if run.sides else set()
        for name in names - {""}:
            if name in first:
                pairs.append((first[name], k))
            else:
                first[name] = k
    return pairs


def _joined(count: int, pairs: Iterable[tuple[int, int]]) -> list[tuple[int, ...]]:
    root = list(range(count))

    def top(k: int) -> int:
        while root[k] != k:
            root[k] = root[root[k]]
            k = root[k]
        return k

    for a, b in pairs:
        one, two = top(a), top(b)
        root[max(one, two)] = min(one, two)
    found: dict[int, list[int]] = {}
    for k in range(count):
        found.setdefault(top(k), []).append(k)
    return [tuple(group) for group in found.values()]


def places_of(runs: Iterable[RunSpec], places: Mapping[str, XY]) -> tuple[XY | None, ...]:
    """Where the points are that some runs, their gates and their given bays name."""
    found: list[XY | None] = []
    for run in runs:
        refs = (*run.through, *(ref for ref in (run.begins, run.finishes) if ref is not None))
        found += [ref.xy or places.get(ref.name) for ref in refs]
        names = (*(gate.from_point for gate in run.gates), *(bay.point for bay in run.given), *run.breaks)
        found += [places.get(name) for name in names]
    return tuple(found)
