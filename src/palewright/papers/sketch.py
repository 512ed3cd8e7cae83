"""The drawing of strings on the crew sheets: a stake-out sheet without its frame, cut to what the crew sets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from palewright.draw.scene import Arc, Circle, Line, Polygon, Polyline, Primitive, Scene, Text, to_json

__all__ = ["sketch", "tape_sketch", "window"]

XY = tuple[float, float]

_LAYERS = frozenset({"fence", "post", "hole", "gate", "string", "check", "label"})
_SPACES = frozenset({"model", "detail"})
_MARGIN = 3.0
_TAPES = frozenset({"check", "string"})
_ROUND_TAPES = 18.0
"""Kept round the tapes of a sketch for the names at their ends [mm]."""


def _ends(p: Primitive) -> Iterator[XY]:
    """Points round a primitive [mm]; a text as wide as it is set in any direction."""
    if isinstance(p, Line):
        yield from (p.a, p.b)
    elif isinstance(p, Polyline | Polygon):
        yield from p.points
    elif isinstance(p, Circle | Arc):
        x, y = p.centre
        yield from ((x - p.radius_mm, y - p.radius_mm), (x + p.radius_mm, y + p.radius_mm))
    elif isinstance(p, Text):
        half = p.width_mm / 2 if p.anchor == "middle" else p.width_mm
        across = half if abs(p.angle) < 0.8 else p.size_mm
        up = p.size_mm if abs(p.angle) < 0.8 else half
        yield from ((p.at[0] - across, p.at[1] - up), (p.at[0] + across, p.at[1] + up))


def window(
    scene: Scene, layers: frozenset[str] = _LAYERS, margin: float = _MARGIN
) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of what the crew sets, with a margin, inside the sheet [mm]."""
    points = [q for p in scene.primitives if p.space in _SPACES and p.layer in layers for q in _ends(p)]
    if not points:
        return (0.0, 0.0, scene.width_mm, scene.height_mm)
    xs, ys = [q[0] for q in points], [q[1] for q in points]
    return (
        max(0.0, min(xs) - margin),
        max(0.0, min(ys) - margin),
        min(scene.width_mm, max(xs) + margin),
        min(scene.height_mm, max(ys) + margin),
    )


def sketch(scene: Scene) -> dict[str, Any]:
    """The scene as plain data for the template: its model part and its details, and the window to show [mm].

    Match lines are left out: they name sheets of the drawings.
    """
    return _sketch(scene, window(scene))


def _sketch(scene: Scene, shown: tuple[float, float, float, float]) -> dict[str, Any]:
    data, gone = to_json(scene), _unseen(scene, shown)
    data["primitives"] = [
        _unscaled(p)
        for p in data["primitives"]
        if p["space"] in _SPACES and p["layer"] != "match" and not (p["layer"] == "label" and p.get("id") in gone)
    ]
    left, top, right, bottom = shown
    return data | {"left": left, "top": top, "width": right - left, "height": bottom - top}


def _unseen(scene: Scene, shown: tuple[float, float, float, float]) -> set[str]:
    """Zones of which nothing is in the window: their names would stand beside nothing."""
    left, top, right, bottom = shown
    seen: dict[str, bool] = {}
    for p in scene.primitives:
        if p.id and p.layer.startswith("zone") and p.space == "model":
            xs, ys = zip(*_ends(p), strict=True)
            inside = min(xs) <= right and max(xs) >= left and min(ys) <= bottom and max(ys) >= top
            seen[p.id] = inside or seen.get(p.id, False)
    return {name for name, inside in seen.items() if not inside}


def _unscaled(primitive: dict[str, Any]) -> dict[str, Any]:
    """The name of a detail without its scale, which does not hold here."""
    if primitive["space"] == "detail" and primitive.get("role") == "detail":
        return primitive | {"text": primitive["text"].partition(":")[0]}
    return primitive


def _with_names(scene: Scene, shown: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    """A window made as large as the names that begin in it: their words and leaders are never cut."""
    names: dict[str, list[XY]] = {}
    gone = _unseen(scene, shown)
    for n, p in enumerate(scene.primitives):
        if p.layer == "label" and p.space == "model" and p.id not in gone:
            names.setdefault(p.id or f" {n}", []).extend(_ends(p))
    left, top, right, bottom = shown
    inside = [points for points in names.values() if any(left <= x <= right and top <= y <= bottom for x, y in points)]
    xs, ys = ([q[k] for points in inside for q in points] for k in (0, 1))
    return (
        max(0.0, min([left, *(x - 1.0 for x in xs)])),
        max(0.0, min([top, *(y - 1.0 for y in ys)])),
        min(scene.width_mm, max([right, *(x + 1.0 for x in xs)])),
        min(scene.height_mm, max([bottom, *(y + 1.0 for y in ys)])),
    )


def tape_sketch(scene: Scene) -> dict[str, Any]:
    """A sketch cut to its numbered tapes; ``part``: the middle one of their numbers, 1 where none is numbered.

    A tape without room on the sheet before stands among the tapes of the next part, where most of them belong.
    """
    numbers = sorted({int(p.id[7:]) for p in scene.primitives if p.id.startswith("number ") and p.id[7:].isdigit()})
    whole, near = window(scene), window(scene, _TAPES, _ROUND_TAPES)
    shown = (max(whole[0], near[0]), max(whole[1], near[1]), min(whole[2], near[2]), min(whole[3], near[3]))
    part = numbers[(len(numbers) - 1) // 2] if numbers else 1
    return _sketch(scene, _with_names(scene, shown)) | {"part": part}
