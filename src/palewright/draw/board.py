"""The drawing board: draws in page millimetres, clips to the field, keeps what labels must not touch."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as made
from operator import itemgetter
from typing import Any

from palewright.draw.fonts import CAP, text_width
from palewright.draw.labels import Labels, Option, leader_ends
from palewright.draw.palette import BLACK
from palewright.draw.place import HARD, Box, Placer, box_of_segment, box_of_text
from palewright.draw.scene import Arc, Circle, Hatch, Line, Polygon, Polyline, Primitive, Text, View
from palewright.draw.view import Field

__all__ = ["LABEL_MM", "LEADER_MM", "NOTE_MM", "Board", "clip_chain", "clip_ring", "readable"]

XY = tuple[float, float]

LABEL_MM = 3.1
"""Type size of post labels: capitals and figures 2.2 mm high."""

NOTE_MM = 2.8
"""Smallest type on a sheet: 8 point."""

LEADER_MM = 0.13
"""Stroke of a leader."""


def readable(angle: float) -> float:
    """The angle, or the opposite one, so that a text is read from the bottom or from the right of the sheet.

    >>> round(readable(math.pi), 6), round(readable(-math.pi / 2), 4)
    (0.0, 1.5708)
    """
    low = -math.radians(80.0)
    return (angle - low) % math.pi + low


def _clip_segment(a: XY, b: XY, window: tuple[float, float, float, float]) -> tuple[XY, XY] | None:
    left, top, right, bottom = window
    t0, t1 = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, q in ((-dx, a[0] - left), (dx, right - a[0]), (-dy, a[1] - top), (dy, bottom - a[1])):
        if p == 0.0:
            if q < 0.0:
                return None
            continue
        t = q / p
        if p < 0.0:
            t0 = max(t0, t)
        else:
            t1 = min(t1, t)
        if t0 > t1:
            return None
    return ((a[0] + t0 * dx, a[1] + t0 * dy), (a[0] + t1 * dx, a[1] + t1 * dy))


def clip_chain(points: Sequence[XY], window: tuple[float, float, float, float]) -> list[list[XY]]:
    """The parts of a chain of lines inside an upright window (left, top, right, bottom).

    >>> clip_chain([(0.0, 1.0), (10.0, 1.0)], (2.0, 0.0, 6.0, 5.0))
    [[(2.0, 1.0), (6.0, 1.0)]]
    """
    out: list[list[XY]] = []
    for a, b in itertools.pairwise(points):
        part = _clip_segment(a, b, window)
        if part is None:
            continue
        if out and out[-1][-1] == part[0]:
            out[-1].append(part[1])
        else:
            out.append([part[0], part[1]])
    return out


def clip_ring(ring: Sequence[XY], window: tuple[float, float, float, float]) -> list[XY]:
    """A ring cut by an upright window (Sutherland and Hodgman's method); empty when nothing is left."""
    left, top, right, bottom = window
    points = list(ring)
    for axis, limit, sign in ((0, left, 1.0), (0, right, -1.0), (1, top, 1.0), (1, bottom, -1.0)):
        kept: list[XY] = []
        for a, b in zip(points, [*points[1:], *points[:1]], strict=True):
            da, db = sign * (a[axis] - limit), sign * (b[axis] - limit)
            if da >= 0.0:
                kept.append(a)
            if da * db < 0.0:
                t = da / (da - db)
                kept.append((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))
        points = kept
    return points


def _on_the_drawing(style: Mapping[str, Any]) -> bool:
    """Whether labels must keep clear of it: not so in the key and the frame."""
    return bool(style.get("space", "model") == "model")


@dataclass(slots=True)
class Board:
    """A sheet being drawn. ``field`` is the part that the view draws on; model primitives are clipped to it.

    hidden
        parts of the field whose names stand in a detail.
    only
        of a board that is itself such a detail: the part of its field where it names things.
    unseen
        how many dimensions lie outside the field.
    labels
        its words, which may still move.
    """

    field: Field
    view: View
    primitives: list[Primitive] = made(default_factory=list)
    placer: Placer = made(init=False)
    clipped: bool = True
    hidden: list[Field] = made(default_factory=list)
    only: Field | None = None
    unseen: int = 0
    labels: Labels = made(init=False)

    def __post_init__(self) -> None:
        f = self.field
        self.placer = Placer(f.left + 0.5, f.top + 0.5, f.right - 0.5, f.bottom - 0.5)
        self.labels = Labels(self.placer, self.primitives)

    @property
    def window(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the field [mm]."""
        f = self.field
        return (f.left, f.top, f.right, f.bottom)

    def at(self, p: XY) -> XY:
        """Page point of a world point."""
        return self.view.to_page(p)

    def shows(self, q: XY, margin: float = 0.0) -> bool:
        """Whether a page point lies in the field, ``margin`` from its edge."""
        left, top, right, bottom = self.window
        return left + margin <= q[0] <= right - margin and top + margin <= q[1] <= bottom - margin

    def names(self, q: XY, margin: float = 0.0) -> bool:
        """Whether what stands at a page point is named here: it is in the field, and not on another drawing of it."""
        if self.only is not None and not self.only.holds(q):
            return False
        return self.shows(q, margin) and not any(f.holds(q) for f in self.hidden)

    def _all_inside(self, points: Sequence[XY]) -> bool:
        return not self.clipped or all(self.shows(p) for p in points)

    def chain(
        self,
        points: Sequence[XY],
        layer: str,
        closed: bool = False,
        weight: float = 0.0,
        crossing: float | None = None,
        **style: Any,
    ) -> None:
        """A chain of lines in page millimetres, clipped; ``weight``: what it costs a label to touch it.

        ``crossing``: what it costs a leader, when less.
        """
        ring = [*points, points[0]] if closed else list(points)
        parts = [ring] if self._all_inside(ring) else clip_chain(ring, self.window)
        for part in parts:
            if len(part) == 2:
                self.primitives.append(Line(layer=layer, a=part[0], b=part[1], **style))
            elif closed and part is ring:
                self.primitives.append(Polygon(layer=layer, points=tuple(points), **style))
            else:
                self.primitives.append(Polyline(layer=layer, points=tuple(part), **style))
            if weight and _on_the_drawing(style):
                self.placer.add_line(part, weight, crossing=crossing)

    def area(self, points: Sequence[XY], layer: str, fill: str = "", hatch: Hatch | None = None, **style: Any) -> None:
        """A filled or hatched ring in page millimetres, clipped; its outline is clipped as a chain."""
        if self._all_inside(points):
            self.primitives.append(Polygon(layer=layer, points=tuple(points), fill=fill, hatch=hatch, **style))
            return
        rest = clip_ring(points, self.window)
        if len(rest) > 2:
            inner = {k: v for k, v in style.items() if k not in ("stroke_mm", "dash")}
            self.primitives.append(
                Polygon(layer=layer, points=tuple(rest), fill=fill, hatch=hatch, stroke_mm=0.0, **inner)
            )
        if style.get("stroke_mm", 0.25) > 0.0:
            self.chain(points, layer, closed=True, **style)

    def disc(self, centre: XY, radius: float, layer: str, weight: float = 0.0, **style: Any) -> None:
        """A circle whose centre is in the field."""
        if self.clipped and not self.shows(centre):
            return
        self.primitives.append(Circle(layer=layer, centre=centre, radius_mm=radius, **style))
        if weight and _on_the_drawing(style):
            self.placer.add(Box(centre[0], centre[1], 1.0, 0.0, radius, radius), weight)

    def bow(
        self, centre: XY, radius: float, start: float, sweep: float, layer: str, weight: float = 0.0, **style: Any
    ) -> None:
        """An arc; one that leaves the field is drawn as a clipped chain."""
        steps = max(2, math.ceil(abs(sweep) / math.radians(12)))
        turns = [start + sweep * k / steps for k in range(steps + 1)]
        points = [(centre[0] + radius * math.cos(t), centre[1] - radius * math.sin(t)) for t in turns]
        if self._all_inside(points):
            self.primitives.append(Arc(layer=layer, centre=centre, radius_mm=radius, start=start, sweep=sweep, **style))
            if weight and _on_the_drawing(style):
                self.placer.add_line(points, weight)
        else:
            self.chain(points, layer, weight=weight, **style)

    def write(
        self,
        text: str,
        at: XY,
        size: float = NOTE_MM,
        anchor: str = "start",
        angle: float = 0.0,
        layer: str = "label",
        weight: str = "regular",
        role: str = "note",
        space: str = "model",
        colour: str = BLACK,
        halo: bool | None = None,
        middle: bool = False,
        taken: bool = True,
        id: str = "",
    ) -> Box:
        """A text with its baseline (or with ``middle`` the middle of its capitals) at a page point."""
        if middle:
            at = (at[0] + math.sin(angle) * size * CAP / 2, at[1] + math.cos(angle) * size * CAP / 2)
        width = text_width(text, size, weight)
        self.primitives.append(
            Text(
                layer=layer,
                text=text,
                at=at,
                size_mm=size,
                anchor=anchor,
                angle=angle,
                weight=weight,
                role=role,
                width_mm=width,
                halo=space == "model" if halo is None else halo,
                space=space,
                colour=colour,
                id=id,
            )
        )
        box = box_of_text(at, width, size, anchor, angle)
        if taken:
            self.placer.add(box, HARD)
        return box

    def block(self, lines: Sequence[str], size: float, weight: str = "regular") -> XY:
        """Half the width and half the height of lines of text set under each other [mm]."""
        width = max(text_width(line, size, weight) for line in lines)
        return (width / 2, (len(lines) - 1) * size * 1.25 / 2 + size * 0.934 / 2)

    def label(
        self,
        lines: Sequence[str],
        anchor: XY,
        spots: Sequence[tuple[XY, float]],
        size: float = NOTE_MM,
        weight: str = "regular",
        role: str = "note",
        pad: float = 0.5,
        aside: float = 0.0,
        layer: str = "label",
        halo: bool = True,
        id: str = "",
        reach: Sequence[float] = (7.0, 10.0, 13.0, 17.0, 22.0, 28.0, 36.0, 46.0),
        lead: bool = True,
        most: float = HARD,
        now: float = math.inf,
        feet: Sequence[XY] = (),
    ) -> Box | None:
        """Upright lines of text near ``anchor``: at the cheapest of ``spots`` (centre, penalty), else on a leader.

        ``pad`` is kept free all round, ``aside`` besides at both ends. ``feet``: where a leader may begin instead of at
        ``anchor``. Returns the rectangle it took, or None when ``most`` would be exceeded everywhere; with ``now`` it
        may cost more when it moves than it may at first.
        """
        half, rise = self.block(lines, size, weight)
        wide, tall = half + pad + aside, rise + pad

        def options() -> Iterator[Option]:
            for (x, y), penalty in spots:
                box = Box(x, y, 1.0, 0.0, wide, tall)
                yield ((box,), penalty, (box, None))
            if lead:
                for distance in reach:
                    places = self._led(feet or (anchor,), distance, (half + pad, rise + pad), aside)
                    yield from sorted(places, key=itemgetter(1))

        def draw(place: tuple[Box, tuple[XY, XY] | None]) -> None:
            box, line = place
            if line is not None:
                self.chain(line, layer, stroke_mm=LEADER_MM, weight=HARD, crossing=HARD / 4, id=id or "leader")
            top = box.y - rise + size * CAP
            for k, text in enumerate(lines):
                self.write(text, (box.x, top + k * size * 1.25), size, "middle", 0.0, layer, weight, role, halo=halo,
                           taken=False, id=id)  # fmt: skip
            self.placer.add(Box(box.x, box.y, 1.0, 0.0, half, rise), HARD)

        found = self.labels.put(options, draw, most, now)
        return None if found is None else found[0]

    def _led(self, feet: Sequence[XY], distance: float, size: XY, aside: float) -> Iterator[Option]:
        """Places in the field for words of half a ``size`` on leaders of a length."""
        left, top, right, bottom = self.placer.frame
        half, rise = size
        for n, (x, y) in enumerate(feet):
            for k in range(20):
                t = 2 * math.pi * (k + 0.5 * (distance > 12)) / 20
                c, s = math.cos(t), math.sin(t)
                start, end = (x + c * 2.0, y + s * 2.0), (x + c * distance, y + s * distance)
                line = box_of_segment(start, end, 0.2)
                for dx, dy, price in leader_ends(half, rise, c, s):
                    u, v = end[0] + dx, end[1] + dy
                    if left + half <= u - aside and u + aside <= right - half and top + rise <= v <= bottom - rise:
                        box = Box(u, v, 1.0, 0.0, half + aside, rise)
                        yield ((box, line), 15.0 + distance + price + 0.4 * n, (box, (start, end)))
