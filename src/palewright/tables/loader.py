"""Reading of the data files: numbers with their unit and source, turned to SI once and kept."""

from __future__ import annotations

import tomllib
from dataclasses import field
from functools import cache
from pathlib import Path
from typing import Any

from palewright.errors import TableError
from palewright.record import Record

__all__ = [
    "KeySpec",
    "KindFile",
    "KindTable",
    "Section",
    "concrete_table",
    "gate_post_table",
    "kind_names",
    "kind_table",
    "read_kind_file",
    "removal_table",
    "section",
    "section_names",
    "tape_table",
    "to_si",
]

# metres per unit as a ratio, so that the result is rounded once
_UNITS = {"in": (127, 5000), "ft": (381, 1250), "m": (1, 1), "mm": (1, 1000), "cm": (1, 100)}
_POUND = 0.45359237
_FILE_LIMIT = 1_000_000
_TYPES = ("length", "count", "ratio", "word", "flag", "section")

Scalar = float | int | str | bool


def to_si(value: float, unit: str) -> float:
    """A length of a data file in metres.

    value, unit
        the number as printed and "in", "ft", "m", "cm" or "mm". Raises TableError for another unit.

    >>> to_si(12, "in")
    0.3048
    """
    try:
        over, under = _UNITS[unit]
    except KeyError:
        raise TableError(f"unit {unit!r} is not known; use one of {', '.join(_UNITS)}") from None
    return value * over / under


class KeySpec(Record):
    """One key of a kind of fence.

    type
        "length", "count", "ratio", "word", "flag" or "section" (a post, rail or board by its trade name).
    value
        the default, lengths in metres; None where it follows the height by ``by``.
    least, most
        range allowed, in metres for lengths; None for no limit. ``allowed``: the words or section names.
    by
        (height up to this [m], value) rising, for a count that follows the height of the infill.
    optional
        an empty word is allowed and means none.
    printed
        default as the file has it, with its unit, for papers and documentation.
    """

    name: str
    type: str
    value: Scalar | None
    doc: str
    source: str
    unit: str = ""
    least: float | None = None
    most: float | None = None
    allowed: tuple[str, ...] = ()
    by: tuple[tuple[float, int], ...] = ()
    optional: bool = False
    table: str = ""
    printed: str = ""


class KindTable(Record):
    """A kind of the catalogue: ``infill`` names the key that holds the height of its boards, panels or fabric."""

    name: str
    family: str
    about: str
    infill: str
    posts: str
    keys: dict[str, KeySpec] = field(default_factory=dict)


class KindFile(Record):
    """A firm's own variant: a name, the kind it is based on, and values laid over as written in the file."""

    name: str
    based_on: str
    values: tuple[tuple[str, Scalar], ...]


class Section(Record):
    """A post, rail or board: real width and thickness [m]; ``stocks_m`` rising [m]; mass [kg/m], 0 when not known."""

    name: str
    width_m: float
    thick_m: float
    round: bool
    stocks_m: tuple[float, ...]
    mass_kg_m: float
    source: str
    stock: str = ""


@cache
def _load(name: str) -> dict[str, Any]:
    """A data file as it stands; nobody changes what comes from here."""
    try:
        return tomllib.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise TableError(f"data file {name} is missing") from None
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"data file {name}: {error}") from error


# ---------------------------------------------------------------- sections


def _feet(values: list[float]) -> tuple[float, ...]:
    return tuple(to_si(value, "ft") for value in values)


@cache
def _sections(table: str) -> dict[str, Section]:
    if table == "lumber":
        return _lumber()
    if table == "pipe":
        return _pipe()
    data = _load("sections.toml")
    if table not in data:
        raise TableError(f"no table of sections {table!r}")
    result = {}
    for name, entry in data[table].items():
        if isinstance(entry, dict):
            result[name] = Section(
                name,
                to_si(entry["width"], "in"),
                to_si(entry["thick"], "in"),
                bool(entry.get("round", False)),
                _feet(data[table]["stocks"]),
                entry["mass"] * _POUND / 0.3048,
                entry.get("source", data["source"]),
                "posts",
            )
    return result


def _lumber() -> dict[str, Section]:
    data = _load("lumber.toml")
    result = {}
    for name, entry in data["size"].items():
        width, thick = to_si(entry["width"], "in"), to_si(entry["thick"], "in")
        result[name] = Section(
            name,
            width,
            thick,
            False,
            _feet(data["stocks"][entry["stock"]]),
            width * thick * data["density"]["value"],
            entry.get("source", data["source"]),
            entry["stock"],
        )
    return result


def _pipe() -> dict[str, Section]:
    data = _load("pipe.toml")
    return {
        name: Section(
            name,
            to_si(entry["od"], "in"),
            to_si(entry["od"], "in"),
            True,
            _feet(data["stocks"]["posts"]),
            entry["mass"] * _POUND / 0.3048,
            entry.get("source", data["source"]),
            "posts",
        )
        for name, entry in data["size"].items()
    }


def section(table: str, name: str) -> Section:
    """A post, rail or board by its trade name.

    table
        "lumber", "pipe", "vinyl", "metal", "composite" or "split". Raises TableError for an unknown name.

    >>> round(section("lumber", "4x4").width_m / 0.0254, 6)
    3.5
    """
    try:
        return _sections(table)[name]
    except KeyError:
        raise TableError(f"no section {name!r} in the table of {table}") from None


def section_names(table: str, stock: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Names in a table of sections, those of the ``stock`` groups only when given.

    >>> section_names("lumber", ("posts",))
    ('4x4', '4x6')
    """
    return tuple(name for name, entry in _sections(table).items() if not stock or entry.stock in stock)


@cache
def concrete_table() -> dict[str, Any]:
    """The table of bags, densities and gravel as the file has it (cubic feet and pounds; read by ``supply``)."""
    return _load("concrete.toml")


@cache
def removal_table() -> dict[str, Any]:
    """What an old fence leaves to haul, as the file has it (feet, cubic yards and pounds; read by ``supply``)."""
    return _load("removal.toml")


@cache
def gate_post_table() -> tuple[tuple[float, float], ...]:
    """Posts of chain-link gates: (outside diameter, widest leaf it carries) rising [m]."""
    return tuple((to_si(row["od"], "in"), to_si(row["leaf_ft"], "ft")) for row in _load("gate_posts.toml")["post"])


@cache
def tape_table() -> tuple[tuple[float, float], ...]:
    """Steel tapes: (reading up to this, how far off the tape may be there) rising [m]."""
    return tuple(
        (to_si(row["up_to_ft"], "ft"), to_si(row["tolerance_in"], "in")) for row in _load("tapes.toml")["metal"]
    )


# ---------------------------------------------------------------- kinds


@cache
def kind_names() -> tuple[str, ...]:
    """Names of the kinds in the catalogue, in alphabetical order.

    >>> "boards" in kind_names()
    True
    """
    folder = Path(__file__).with_name("kinds")
    return tuple(sorted(entry.name[:-5] for entry in folder.iterdir() if entry.name.endswith(".toml")))


@cache
def kind_table(name: str) -> KindTable:
    """A kind of the catalogue with every key. Raises TableError for an unknown or unusable one."""
    if name not in kind_names():
        raise TableError(f"no kind of fence {name!r}")
    data = _load(f"kinds/{name}.toml")
    try:
        keys = {key: _key(key, entry) for key, entry in data["key"].items()}
        return KindTable(data["name"], data["family"], data["about"], data["infill"], data["posts"], keys)
    except (KeyError, TypeError, ValueError) as error:
        raise TableError(f"kind {name}: {error!r} is missing or wrong") from error


def _key(name: str, entry: dict[str, Any]) -> KeySpec:
    kind = entry["type"]
    if kind not in _TYPES:
        raise ValueError(f"{name}: type {kind}")
    unit = entry.get("unit", "")

    def si(number: float) -> float:
        return to_si(number, unit) if kind == "length" else number

    value = entry.get("value")
    if kind == "length":
        value = to_si(float(entry["value"]), unit)
    allowed = tuple(entry.get("allowed", ()))
    if kind == "section":
        allowed = section_names(entry["table"], tuple(entry.get("stock", ())))
    by = tuple((to_si(limit, unit), count) for limit, count in entry.get("by", ()))
    return KeySpec(
        name=name,
        type=kind,
        value=value,
        doc=entry["doc"],
        source=entry["source"],
        unit=unit if kind == "length" else "",
        least=None if "least" not in entry else si(entry["least"]),
        most=None if "most" not in entry else si(entry["most"]),
        allowed=allowed,
        by=by,
        optional=bool(entry.get("optional", False)),
        table=entry.get("table", ""),
        printed=_printed(entry, unit),
    )


def _printed(entry: dict[str, Any], unit: str) -> str:
    if "by" in entry:
        return ", ".join(f"{count} up to {limit} {unit}" for limit, count in entry["by"])
    value = entry["value"]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if entry["type"] == "length":
        return f"{value:g} {unit}"
    if entry["type"] == "ratio":
        return f"{value:.4g}"
    return str(value) or "none"


def read_kind_file(path: Path) -> KindFile:
    """A firm's own variant of a kind.

    path
        a TOML file: ``name``, ``based on`` and a table ``values`` with keys of that kind; lengths as on a tape
        (``board = "5' 6\\""``). Tables inside ``values`` are joined with dots (``[values.hole]`` ``line = "12 in"``).
    Raises TableError, with the reason, when it cannot be read or lacks a field.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise TableError(f"{path.name} cannot be read: {error.strerror or 'not readable'}") from error
    if len(raw) > _FILE_LIMIT:
        raise TableError(f"{path.name} is larger than {_FILE_LIMIT:,} bytes")
    try:
        data = tomllib.loads(raw.decode("utf-8-sig").replace("\r\n", "\n"))
    except UnicodeDecodeError as error:
        raise TableError(f"{path.name} is not UTF-8 text (byte {error.start})") from error
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise TableError(f"{path.name}: {error}") from error
    based_on, values = data.get("based on"), data.get("values", {})
    if not isinstance(based_on, str):
        raise TableError(f'{path.name} lacks the line: "based on" = "boards" (or another kind)')
    if not isinstance(values, dict):
        raise TableError(f"{path.name}: values is not a table")
    unknown = sorted(set(data) - {"name", "based on", "values", "about"})
    if unknown:
        raise TableError(f"{path.name}: {', '.join(unknown)} is not known; allowed: name, about, based on, values")
    return KindFile(str(data.get("name", path.stem)), based_on, tuple(_flat(path, "", values)))


def _flat(path: Path, before: str, values: dict[str, Any]) -> list[tuple[str, Scalar]]:
    result: list[tuple[str, Scalar]] = []
    for key, value in values.items():
        name = f"{before}.{key}" if before else key
        if isinstance(value, dict):
            result += _flat(path, name, value)
        elif isinstance(value, (bool, int, float, str)):
            result.append((name, value))
        else:
            raise TableError(f"{path.name}: {name} is not a number, a word or yes/no")
    return result
