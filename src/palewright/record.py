"""Frozen records whose methods are written when the first one is made.

``class Post(Record): ...`` declares what ``@dataclass(frozen=True)`` would, fields and defaults included, and the
functions of ``dataclasses`` read it. A dataclass writes and compiles seven methods for every class while the program is
imported. Here six of them are shared and ``__init__`` waits: a command that asks one small question loads hundreds of
records and makes few of them.
"""

from __future__ import annotations

from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from operator import attrgetter
from threading import RLock
from typing import Any, ClassVar, NoReturn, TypeVar, dataclass_transform

__all__ = ["Record", "other"]

_LOCK = RLock()
_DEFAULT = object()


class _Fields:
    """What ``dataclasses`` looks for on a class, there as soon as somebody asks."""

    def __get__(self, record: object, kind: type[Record]) -> dict[str, Field[Any]]:
        if kind is Record:
            raise AttributeError("Record has no fields of its own")
        _write(kind)
        found: dict[str, Field[Any]] = kind.__dict__["__dataclass_fields__"]
        return found


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
class Record:
    """Base of the records: immutable, compared and hashed by their fields.

    kw_only
        (in the class line) the fields of this class are given by name only.

    >>> class Spot(Record):
    ...     name: str
    ...     height: float = 0.0
    >>> Spot("A", height=1.5)
    Spot(name='A', height=1.5)
    >>> Spot("A") == Spot("A", 0.0), len({Spot("A"), Spot("A")})
    (True, 1)
    """

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]] = _Fields()  # type: ignore[assignment]

    def __init_subclass__(cls, *, kw_only: bool = False) -> None:
        super().__init_subclass__()
        if kw_only or cls.__bases__ != (Record,):
            _write(cls, kw_only=kw_only)

    def __init__(self, *values: Any, **named: Any) -> None:
        _write(type(self))
        type(self).__init__(self, *values, **named)

    @staticmethod
    def _key(record: Any) -> Any:
        _write(type(record))
        return type(record)._key(record)

    def __eq__(self, other: object) -> bool:
        if other is self:
            return True
        if other.__class__ is not self.__class__:
            return NotImplemented
        return bool(self._key(self) == self._key(other))

    def __hash__(self) -> int:
        return hash(self._key(self))

    def __repr__(self) -> str:
        said = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in fields(self) if f.repr)
        return f"{type(self).__qualname__}({said})"

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> NoReturn:
        raise FrozenInstanceError(f"cannot delete field {name!r}")


R = TypeVar("R", bound=Record)


def other(record: R, **values: Any) -> R:
    """The same record with some values other: :func:`dataclasses.replace` for where it is done thousands of times.

    values
        of fields by name, taken as they are: ``__post_init__`` does not run.

    >>> class Mark(Record):
    ...     name: str
    ...     height: float = 0.0
    >>> other(Mark("A", 1.5), name="B")
    Mark(name='B', height=1.5)
    """
    made = object.__new__(type(record))
    made.__dict__.update(record.__dict__)
    made.__dict__.update(values)
    return made


def _write(kind: type[Record], *, kw_only: bool = False) -> None:
    """Give a record class its fields, its constructor and the key that it is compared by."""
    with _LOCK:
        if "__dataclass_fields__" in kind.__dict__:
            return
        written = "__init__" in kind.__dict__
        dataclass(init=False, repr=False, eq=False, kw_only=kw_only)(kind)
        names = [f.name for f in fields(kind) if f.compare]
        kind._key = staticmethod(attrgetter(*names) if names else _nothing)  # type: ignore[method-assign,assignment]
        if not written:
            kind.__init__ = _constructor(kind)  # type: ignore[method-assign]


def _nothing(_record: object) -> tuple[()]:
    return ()


def _constructor(kind: type[Record]) -> Any:
    """``__init__(self, a, b=..., *, c)`` that sets every field and calls ``__post_init__`` if there is one."""
    known: dict[str, Any] = {"_DEFAULT": _DEFAULT}
    given: list[str] = []
    named: list[str] = []
    body = [" _own = _self.__dict__"]  # past __setattr__, which refuses
    for f in fields(kind):
        value = f.name
        if f.default is not MISSING or f.default_factory is not MISSING:
            known[f"_of_{f.name}"] = f.default if f.default is not MISSING else f.default_factory
        if f.default_factory is not MISSING:
            value = f"_of_{f.name}() if {f.name} is _DEFAULT else {f.name}" if f.init else f"_of_{f.name}()"
        elif not f.init:
            value = f"_of_{f.name}"
        if f.init:
            default = "" if f"_of_{f.name}" not in known else "=_DEFAULT" if f.default is MISSING else f"=_of_{f.name}"
            (named if f.kw_only else given).append(f.name + default)
        if f.init or f"_of_{f.name}" in known:
            body.append(f" _own[{f.name!r}] = {value}")
    if hasattr(kind, "__post_init__"):
        body.append(" _self.__post_init__()")
    head = ", ".join(["_self", *given, *(["*", *named] if named else [])])
    exec("\n".join([f"def __init__({head}):", *body]), known)  # the words are names of fields only
    return known["__init__"]
