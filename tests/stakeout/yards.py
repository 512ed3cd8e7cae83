"""Small designs built by hand: posts evenly along given paths, nothing checked."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

from palewright.model import (
    Closure,
    Corner,
    Design,
    Hole,
    Job,
    Leg,
    LineStatus,
    PointRef,
    Post,
    Ring,
    Run,
    RunSpec,
    Site,
    Zone,
)
from palewright.plane import add, azimuth, distance, scale, sub, unit

FT = 0.3048
IN = 0.0254
XY = tuple[float, float]


def ft(*points: tuple[float, float]) -> list[XY]:
    return [(x * FT, y * FT) for x, y in points]


def post(label: str, xy: XY, d: XY, run: str, leg: int, station: float, role: str, width: float = 3.5 * IN) -> Post:
    hole = Hole(10 * IN, 36 * IN, 4 * IN, 32 * IN, "kind", "concrete", False)
    return Post(
        label, int(label) if label.isdigit() else 0, role, xy, "fence", "4x4", width, width, False, math.atan2(d[1], d[0]),
        1.8, 2.7, 3.0, hole if label.isdigit() else None, ((run, station),), (leg,),
    )  # fmt: skip


class Yard:
    """Collects runs into a design."""

    def __init__(self, bay: float = 8 * FT) -> None:
        self.bay = bay
        self.posts: list[Post] = []
        self.legs: list[Leg] = []
        self.runs: list[Run] = []
        self.specs: list[RunSpec] = []
        self.brackets = 0

    def find(self, xy: XY) -> Post | None:
        return next((p for p in self.posts if distance(p.xy, xy) < 1e-6), None)

    def _stand(self, xy: XY, d: XY, run: str, leg: int, station: float, role: str, bracket: bool) -> str:
        known = self.find(xy)
        if known is not None:
            index = self.posts.index(known)
            self.posts[index] = replace(
                known,
                places=known.places if (run, station) in known.places else (*known.places, (run, station)),
                legs=(*known.legs, leg) if leg not in known.legs else known.legs,
                role="corner" if known.role in {"end", "corner"} else known.role,
            )
            return known.label
        if bracket:
            self.brackets += 1
            label = f"W{self.brackets}"
        else:
            label = str(sum(p.number > 0 for p in self.posts) + 1)
        self.posts.append(post(label, xy, d, run, leg, station, role))
        return label

    def run(
        self,
        name: str,
        path: Sequence[XY],
        yard: str = "left",
        closed: bool = False,
        strings: str = "yard",
        brackets: tuple[bool, bool] = (False, False),
        ends: tuple = (),  # type: ignore[type-arg]
    ) -> Yard:
        corners = [*path, path[0]] if closed else list(path)
        first = len(self.legs)
        station = 0.0
        for k, (a, b) in enumerate(itertools.pairwise(corners)):
            d, length, index = unit(sub(b, a)), distance(a, b), len(self.legs)
            bays = max(1, math.ceil(length / self.bay - 1e-9))
            labels = []
            for j in range(bays + 1):
                edge = j in (0, bays)
                bracket = (brackets[0] and k == 0 and j == 0) or (brackets[1] and k == len(corners) - 2 and j == bays)
                xy = b if j == bays else add(a, scale(d, length * j / bays))
                role = "end" if edge else "line"
                labels.append(self._stand(xy, d, name, index, station + length * j / bays, role, bracket))
            self.legs.append(
                Leg(index, name, "fence", a, b, azimuth(a, b), length, station, tuple(labels), (), yard, "yard", "")
            )
            station += length
        self.runs.append(
            Run(name, "fence", tuple(range(first, len(self.legs))), station, station, closed, "racked", True)
        )
        refs = tuple(PointRef(f"{name}{k}", xy) for k, xy in enumerate(path))
        self.specs.append(RunSpec(name, "fence", through=refs, closed=closed, yard=yard, strings=strings, ends=ends))
        return self

    def design(self) -> Design:
        return Design(tuple(self.runs), tuple(self.legs), tuple(self.posts), (), ())

    def job(self, **changes: object) -> Job:
        return Job("a yard", runs=tuple(self.specs), **changes)  # type: ignore[arg-type]


def site(
    ring: Sequence[XY] = (),
    zones: tuple[Zone, ...] = (),
    buildings: tuple[tuple[str, tuple[XY, ...]], ...] = (),
    points: tuple = (),  # type: ignore[type-arg]
) -> Site:
    boundary = None
    if ring:
        corners = tuple(Corner(f"corner {k + 1}", xy) for k, xy in enumerate(ring))
        boundary = Ring(corners, (), Closure(0.0, 0.0, 0.0, 0.0, 0.0), 0.0, False, LineStatus(0, len(ring), False, "x"))
    return Site(points, boundary, zones, (), buildings, False)


def corner_path(inside_deg: float, legs_ft: tuple[float, float] = (40.0, 40.0)) -> list[XY]:
    """Two legs meeting at the origin with the yard on their left: the inside angle is measured through the yard."""
    turn = math.radians(180.0 - inside_deg)
    a, b = legs_ft[0] * FT, legs_ft[1] * FT
    return [(-a, 0.0), (0.0, 0.0), (b * math.cos(turn), b * math.sin(turn))]
