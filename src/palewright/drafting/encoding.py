"""Records of this room as plain JSON values: what is empty is left out, lengths are rounded to 0.1 mm."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import Any

from palewright.drafting.sight_records import XY, Change, ElevationBay, Item
from palewright.record import Record

__all__ = ["spot", "to_json"]

_PLACES = 4
_ALWAYS = frozenset({"items", "notices", "extent", "counts", "gone", "north", "whole", "drawn", "version"})
"""Keys that stand even when there is nothing in them."""
_NAMES = {"start": "from", "end": "to"}
_NEVER = object()


def to_json(record: Record) -> dict[str, Any]:
    """A record as a JSON object.

    >>> to_json(Item("post 1", "post", "fence", centre=(0.0, 1.23456)))
    {'id': 'post 1', 'kind': 'post', 'layer': 'fence', 'centre': [0.0, 1.2346]}
    """
    if isinstance(record, Item):
        return _item(record)
    if isinstance(record, Change):
        rest = {key: _value(value) for key, value in record.rest}
        return {"items": [*_others(record), *record.moved], "gone": list(record.gone), **rest}
    return _record(record)


def spot(xy: XY) -> list[float]:
    """A place.

    >>> spot((0.0, 1.23456))
    [0.0, 1.2346]
    """
    return [round(xy[0], _PLACES) + 0.0, round(xy[1], _PLACES) + 0.0]


def _item(item: Item) -> dict[str, Any]:
    """An item: as :func:`_record` makes it, and quicker, for there are thousands."""
    found: dict[str, Any] = {"id": item.id, "kind": item.kind, "layer": item.layer}
    if item.about:
        found["about"] = item.about
    if item.path:
        found["path"] = item.path
    if item.text:
        found["text"] = item.text
    if item.say:
        found["say"] = item.say
    if item.marks:
        found["marks"] = list(item.marks)
    if item.points:
        found["points"] = [spot(xy) for xy in item.points]
    if item.closed:
        found["closed"] = True
    if item.centre is not None:
        found["centre"] = spot(item.centre)
    for name in ("half", "radius", "width", "depth", "axis"):
        value = getattr(item, name)
        if value:
            found[name] = round(value, _PLACES)
    for name in ("arc", "rings", "spots", "drag", "why"):
        value = getattr(item, name)
        if value:
            found[name] = _value(value)
    return found


_FIELDS = tuple(f.name for f in dataclasses.fields(Item))
_VALUES = attrgetter(*_FIELDS)


def _others(change: Change) -> list[dict[str, Any]]:
    """Items that are new, and of those that are other their values that are; None: it has that one no more."""
    found = []
    for was, now in change.items:
        if was is None:
            found.append(_item(now))
        elif was is not now:
            old, new = _VALUES(was), _VALUES(now)
            if old != new:
                pairs = zip(_FIELDS, old, new, strict=True)
                other = {key: _value(b) if b else None for key, a, b in pairs if a != b}
                found.append({"id": now.id, **other})
    return found


_Shape = tuple[Callable[[Any], Any], tuple[str, ...], tuple[object, ...]]
_SHAPES: dict[type[Record], _Shape] = {}
_PLAIN = frozenset({str, int, bool, type(None)})


def _shape(kind: type[Record]) -> _Shape:
    """What takes the values of a record, their keys, and the values that are left out."""
    fields, renamed = dataclasses.fields(kind), _NAMES if kind is ElevationBay else {}
    found = _SHAPES[kind] = (
        attrgetter(*(f.name for f in fields)),
        tuple(renamed.get(f.name, f.name) for f in fields),
        tuple(_NEVER if f.name in _ALWAYS else None if f.default is dataclasses.MISSING else f.default for f in fields),
    )
    return found


def _record(record: Record) -> dict[str, Any]:
    values, keys, defaults = _SHAPES.get(type(record)) or _shape(type(record))
    return {
        key: value if type(value) in _PLAIN else _value(value)
        for key, value, default in zip(keys, values(record), defaults, strict=True)
        if value != default
    }


def _value(value: Any) -> Any:
    kind = type(value)
    if kind is float:
        return round(value, _PLACES) + 0.0
    if kind in _PLAIN:
        return value
    if kind is tuple:
        return [round(one, _PLACES) + 0.0 if type(one) is float else _value(one) for one in value]
    if kind is Item:
        return _item(value)
    if isinstance(value, Record):
        return _record(value)
    if isinstance(value, float):
        return round(float(value), _PLACES) + 0.0
    return [_value(one) for one in value] if isinstance(value, tuple) else value
