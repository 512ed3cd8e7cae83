"""Frozen records to plain JSON values and back, and their JSON Schema, from the annotations alone."""

from __future__ import annotations

import dataclasses
import inspect
import sys
import types
import typing
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from functools import cache
from operator import attrgetter
from typing import Any

from palewright.errors import Problem, ProblemError, Where

__all__ = ["decode", "encoder", "schema_of"]

_Encode = Callable[[Any], Any]
_Decode = Callable[[Any, str], Any]
_SCALARS: dict[Any, str] = {float: "number", int: "integer", str: "string", bool: "boolean", types.NoneType: "null"}


def _shape(kind: Any) -> tuple[str, tuple[Any, ...]]:
    """How a type is written in JSON, and the types inside it.

    "scalar", "decimal", "record", "list" (of one type), "tuple" (one type for each place) or "choice". Raises TypeError
    for a type that has no JSON form.
    """
    if kind in _SCALARS:
        return "scalar", ()
    if kind is Decimal:
        return "decimal", ()
    if dataclasses.is_dataclass(kind):
        return "record", ()
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin is tuple:
        return ("list", args[:1]) if args[1:] == (Ellipsis,) else ("tuple", args)
    if origin in (typing.Union, types.UnionType):
        return "choice", args
    raise TypeError(f"no JSON form for {kind!r}")


# ---------------------------------------------------------------- to JSON


@cache
def encoder(kind: Any) -> _Encode | None:
    """A function that turns a value of type ``kind`` into plain JSON values; None where it already is one.

    Records become objects, tuples lists, decimals strings; numbers are written as they are (SI, no rounding).
    """
    shape, args = _shape(kind)
    match shape:
        case "scalar":
            return None
        case "decimal":
            return str
        case "record":
            return _encode_where if kind is Where else _encode_record(kind)
        case "list":
            return _encode_list(encoder(args[0]))
        case "tuple":
            return _encode_tuple(args)
    return _encode_choice(args)


def _encode_record(kind: Any) -> _Encode:
    hints = typing.get_type_hints(kind)
    names = tuple(field.name for field in dataclasses.fields(kind))
    special = [(name, encode) for name in names if (encode := encoder(hints[name])) is not None]
    if len(names) == 1:
        only = names[0]
        plain = attrgetter(only)
        first = encoder(hints[only])
        return lambda record: {only: plain(record) if first is None else first(plain(record))}
    get = attrgetter(*names)

    def encode_record(record: Any) -> dict[str, Any]:
        made = dict(zip(names, get(record), strict=True))
        for name, encode in special:
            made[name] = encode(made[name])
        return made

    return encode_record


def _encode_list(each: _Encode | None) -> _Encode:
    if each is None or each is list:
        return list if each is None else _lists
    return lambda values: [each(value) for value in values]


def _encode_tuple(args: tuple[Any, ...]) -> _Encode:
    parts = [encoder(arg) for arg in args]
    if all(part is None for part in parts):
        return list

    def encode_parts(values: Any) -> list[Any]:
        return [value if part is None else part(value) for part, value in zip(parts, values, strict=True)]

    return encode_parts


def _lists(values: Any) -> list[Any]:
    return [list(value) for value in values]


def _encode_choice(args: tuple[Any, ...]) -> _Encode | None:
    others = [arg for arg in args if encoder(arg) is not None]
    if not others:
        return None
    if len(others) > 1 or set(args) - {others[0], types.NoneType}:
        raise TypeError(f"no JSON form for a choice of {args!r}")
    inner = encoder(others[0])
    assert inner is not None
    return lambda value: None if value is None else inner(value)


def _encode_where(where: Where) -> dict[str, Any]:
    """A place in the job file: the file by its bare name, never with the folders of the machine it was made on."""
    bare = where.file.replace("\\", "/").rpartition("/")[2]
    return {
        "file": bare,
        "line": where.line,
        "column": where.column,
        "width": where.width,
        "path": where.path,
        "thing": where.thing,
    }


# ---------------------------------------------------------------- from JSON


def decode(kind: Any, value: Any, path: str = "") -> Any:
    """A value of type ``kind`` from plain JSON values.

    path
        where the value stands, for problems ("design.posts[3].xy").
    Strict: no unknown or missing keys, no number for a word, no true for a 1, no NaN.
    Raises ProblemError (slug ``plan-shape``) at the first value of a wrong shape.
    """
    return _decoder(kind)(value, path)


@cache
def _decoder(kind: Any) -> _Decode:
    shape, args = _shape(kind)
    match shape:
        case "scalar":
            return _decode_scalar(kind)
        case "decimal":
            return _decode_decimal
        case "record":
            return _decode_record(kind)
        case "list":
            return _decode_list(_decoder(args[0]))
        case "tuple":
            return _decode_tuple(args)
    return _decode_choice(args)


def _wrong(path: str, found: Any, allowed: str) -> ProblemError:
    text = repr(found)
    shown = text if len(text) <= 60 else text[:57] + "..."
    what = "a value does not have the shape of a plan"
    return ProblemError(Problem("plan-shape", what, where=Where(path=path, thing=path), found=shown, allowed=allowed))


def _fits(kind: Any, value: Any) -> bool:
    """Whether a JSON value is of a kind; as in JSON Schema 1 is a number, 1.0 an integer and true neither."""
    if kind is float:
        return type(value) in (float, int) and abs(value) <= sys.float_info.max
    if kind is int:
        return type(value) is int or (type(value) is float and value.is_integer())
    return type(value) is kind


def _decode_scalar(kind: Any) -> _Decode:
    word = _SCALARS[kind]

    def scalar(value: Any, path: str) -> Any:
        if not _fits(kind, value):
            raise _wrong(path, value, word)
        return kind(value) if kind in (float, int) else value

    return scalar


def _decode_decimal(value: Any, path: str) -> Decimal:
    if type(value) is not str:
        raise _wrong(path, value, "a decimal number in quotes")
    try:
        number = Decimal(value)
    except InvalidOperation:
        raise _wrong(path, value, "a decimal number in quotes") from None
    if not number.is_finite():
        raise _wrong(path, value, "a finite decimal number in quotes")
    return number


def _decode_record(kind: Any) -> _Decode:
    hints = typing.get_type_hints(kind)
    fields = {field.name: _decoder(hints[field.name]) for field in dataclasses.fields(kind)}
    needed = [f.name for f in dataclasses.fields(kind) if _required(f)]

    def record(value: Any, path: str) -> Any:
        if type(value) is not dict:
            raise _wrong(path, value, f"an object ({kind.__name__})")
        unknown = sorted(set(value) - set(fields))
        if unknown:
            raise _wrong(f"{path}.{unknown[0]}".lstrip("."), unknown[0], ", ".join(fields))
        missing = [name for name in needed if name not in value]
        if missing:
            raise _wrong(path, "nothing", f"{missing[0]} is needed ({kind.__name__})")
        return kind(**{name: fields[name](item, f"{path}.{name}" if path else name) for name, item in value.items()})

    return record


def _required(field: Any) -> bool:
    return field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING


def _decode_list(each: _Decode) -> _Decode:
    def many(value: Any, path: str) -> tuple[Any, ...]:
        if type(value) is not list:
            raise _wrong(path, value, "a list")
        return tuple([each(item, f"{path}[{k}]") for k, item in enumerate(value)])

    return many


def _decode_tuple(args: tuple[Any, ...]) -> _Decode:
    parts = [_decoder(arg) for arg in args]

    def fixed(value: Any, path: str) -> tuple[Any, ...]:
        if type(value) is not list or len(value) != len(parts):
            raise _wrong(path, value, f"a list of {len(parts)}")
        return tuple([part(item, f"{path}[{k}]") for k, (part, item) in enumerate(zip(parts, value, strict=True))])

    return fixed


def _decode_choice(args: tuple[Any, ...]) -> _Decode:
    scalars = [arg for arg in args if arg in _SCALARS]
    others = [arg for arg in args if arg not in _SCALARS]
    allowed = " or ".join(_SCALARS[arg] for arg in scalars)
    inner = _decoder(others[0]) if others else None

    def choice(value: Any, path: str) -> Any:
        if type(value) in scalars and _fits(type(value), value):
            return value
        if type(value) is int and float in scalars:
            return float(value)
        if int in scalars and _fits(int, value):
            return int(value)
        if inner is None:
            raise _wrong(path, value, allowed)
        return inner(value, path)

    return choice


# ---------------------------------------------------------------- the schema


def schema_of(kind: Any, title: str, identity: str) -> dict[str, Any]:
    """JSON Schema (2020-12) of a record; every record below it stands under ``$defs``.

    Descriptions come from the docstrings of the records.
    """
    defs: dict[str, Any] = {}
    root = _schema(kind, defs)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": identity,
        "title": title,
        **root,
        "$defs": dict(sorted(defs.items())),
    }


def _schema(kind: Any, defs: dict[str, Any]) -> dict[str, Any]:
    shape, args = _shape(kind)
    match shape:
        case "scalar":
            return {"type": _SCALARS[kind]}
        case "decimal":
            return {"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?$"}
        case "record":
            name = getattr(kind, "__name__", str(kind))
            if name not in defs:
                defs[name] = {}
                defs[name] = _record_schema(kind, defs)
            return {"$ref": f"#/$defs/{name}"}
        case "list":
            return {"type": "array", "items": _schema(args[0], defs)}
        case "tuple":
            parts = [_schema(arg, defs) for arg in args]
            return {"type": "array", "prefixItems": parts, "items": False, "minItems": len(parts)}
    options = [_schema(arg, defs) for arg in args]
    if all(set(option) == {"type"} for option in options):
        return {"type": [option["type"] for option in options]}
    return {"anyOf": options}


def _record_schema(kind: Any, defs: dict[str, Any]) -> dict[str, Any]:
    hints = typing.get_type_hints(kind)
    summary, notes = _documentation(kind)
    properties = {}
    for field in dataclasses.fields(kind):
        entry = _schema(hints[field.name], defs)
        if field.name in notes:
            entry = {**entry, "description": notes[field.name]}
        properties[field.name] = entry
    return {
        "type": "object",
        "description": summary,
        "properties": properties,
        "required": [f.name for f in dataclasses.fields(kind) if _required(f)],
        "additionalProperties": False,
    }


def _documentation(kind: Any) -> tuple[str, dict[str, str]]:
    """The summary of a docstring, and its notes on fields (a line of names, then indented lines)."""
    names = {field.name for field in dataclasses.fields(kind)}
    lines = (inspect.getdoc(kind) or "").splitlines()
    summary: list[str] = []
    notes: dict[str, str] = {}
    current: list[str] = []
    for line in lines:
        words = [word.strip() for word in line.split(",")]
        if line and not line.startswith(" ") and all(word in names for word in words):
            current = words
        elif line.startswith(" ") and current:
            for name in current:
                notes[name] = f"{notes.get(name, '')} {line.strip()}".strip()
        else:
            current = []
            summary.append(line)
    return " ".join(part for part in summary if part), notes
