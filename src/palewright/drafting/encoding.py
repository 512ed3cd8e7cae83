"""Records of this room as plain JSON values: what is empty is left out, lengths are rounded to 0.1 mm."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

from palewright.drafting.sight_records import Change, ElevationBay, Item
from palewright.record import Record

__all__ = ["encode", "to_json"]

_PLACES = 4
_ALWAYS = frozenset({"items", "notices", "extent", "counts", "gone", "north", "whole", "drawn"})
"""Keys that stand even when there is nothing in them."""
_NAMES = {"start": "from", "end": "to"}


def to_json(record: Record) -> dict[str, Any]:
    """A record as a JSON object.

    >>> to_json(Item("post 1", "post", "fence", centre=(0.0, 1.23456)))
    {'id': 'post 1', 'kind': 'post', 'layer': 'fence', 'centre': [0.0, 1.2346]}
    """
    if isinstance(record, Item):
        return _item(record)
    if isinstance(record, Change):
        rest = {key: _value(value) for key, value in record.rest}
        return {"items": [_item(item) for item in record.items], "gone": list(record.gone), **rest}
    return _record(record)


def encode(record: Record) -> bytes:
    """The same as bytes of JSON."""
    return json.dumps(to_json(record), ensure_ascii=False, separators=(",", ":"), check_circular=False).encode()


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
        found["points"] = [[round(x, _PLACES) + 0.0, round(y, _PLACES) + 0.0] for x, y in item.points]
    if item.closed:
        found["closed"] = True
    if item.centre is not None:
        x, y = item.centre
        found["centre"] = [round(x, _PLACES) + 0.0, round(y, _PLACES) + 0.0]
    for name in ("half", "radius", "width", "depth", "axis"):
        value = getattr(item, name)
        if value:
            found[name] = round(value, _PLACES)
    for name in ("arc", "rings", "spots", "drag", "why"):
        value = getattr(item, name)
        if value:
            found[name] = _value(value)
    return found


_SHAPES: dict[str, tuple[tuple[str, str, Any], ...]] = {}


def _shape(kind: type[Record]) -> tuple[tuple[str, str, Any], ...]:
    """Of every field its name, its key and its default; records of this room have names of their own."""
    found = _SHAPES.get(kind.__name__)
    if found is None:
        renamed = _NAMES if kind is ElevationBay else {}
        found = _SHAPES[kind.__name__] = tuple(
            (f.name, renamed.get(f.name, f.name), None if f.default is dataclasses.MISSING else f.default)
            for f in dataclasses.fields(kind)
        )
    return found


def _record(record: Record) -> dict[str, Any]:
    found = {}
    for name, key, default in _shape(type(record)):
        value = getattr(record, name)
        if value in (None, "", (), False) and value == default and name not in _ALWAYS:
            continue
        if default is not None and value == default and name not in _ALWAYS and name != "version":
            continue
        found[key] = _value(value)
    return found


def _value(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, _PLACES) + 0.0
    if isinstance(value, tuple):
        return [_value(item) for item in value]
    if isinstance(value, Item):
        return _item(value)
    if isinstance(value, Record):
        return _record(value)
    return value
