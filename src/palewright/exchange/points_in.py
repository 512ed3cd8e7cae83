"""Point lists of surveyors, read: PNEZD or PENZD, with a header or with the order said."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence

from palewright.exchange.foreign import DAMAGED, WGS84, Sheet, check_count, refused, spot
from palewright.model import DrawnPoint

__all__ = ["ORDERS", "read_points"]

ORDERS = ("PNEZD", "PENZD")
_WORDS = {
    "P": ("p", "point", "pt", "point number", "point no", "pointno", "number", "no", "name", "id", "point name"),
    "N": ("n", "north", "northing", "y"),
    "E": ("e", "east", "easting", "x"),
    "Z": ("z", "elev", "elevation", "height", "el"),
    "D": ("d", "desc", "description", "code", "raw description", "note"),
    "B": ("lat", "latitude"),
    "L": ("lon", "long", "longitude", "lng"),
}


def read_points(data: bytes, file: str, order: str = "") -> Sheet:
    """Lines of a point list: point, northing, easting, elevation, description, divided by commas, tabs or semicolons.

    order
        "PNEZD" or "PENZD"; "" takes it from a header line, or from the name of the file.
    Raises ProblemError: ``csv-order-not-said``, ``not-a-number``, ``not-finite``, ``file-broken``.
    """
    rows = _rows(data, file)
    columns = _header([cell.strip() for cell in rows[0][1]]) if rows else {}
    if columns:
        rows = rows[1:]
    else:
        columns = {letter: k for k, letter in enumerate(_order(order, file, rows))}
    geographic = "B" in columns
    sheet = Sheet(file, "point list", WGS84 if geographic else "", north="" if geographic else "the grid of the file")
    north, east = (columns["B"], columns["L"]) if geographic else (columns["N"], columns["E"])
    seen: dict[str, int] = {}
    for line, cells in rows:
        if len(cells) <= max(north, east):
            raise refused("file-broken", "this line has too few values", file, line=line, found=",".join(cells)[:60],
                          allowed="point, northing, easting, elevation, description",
                          hint="a list has the same columns in every line; say their order with --order")  # fmt: skip
        name = cells[columns["P"]].strip() if "P" in columns else ""
        if name in seen:
            sheet.caution("point-twice", "two points have the same name; the second one was renamed", f"{name}, lines "
                          f"{seen[name]} and {line}")  # fmt: skip
        seen[name] = line
        xy = spot(_number(cells[east], file, line), _number(cells[north], file, line), file, f"line {line}")
        sheet.points.append(DrawnPoint(name, xy, "", _about(cells, columns), _height(cells, columns, file, line)))
        check_count(len(sheet.points), file)
    return sheet


def _rows(data: bytes, file: str) -> list[tuple[int, list[str]]]:
    """Lines with something on them, with their numbers, divided by what divides the first."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    if "\x00" in text:
        raise refused("unknown-kind", "this is not a list of points", file, found="bytes that are no text")
    lines = [(k, line) for k, line in enumerate(text.splitlines(), 1) if line.strip() and not line.startswith("#")]
    first = lines[0][1] if lines else ""
    sign = max(",\t;", key=first.count)
    try:
        return [(k, next(csv.reader(io.StringIO(line), delimiter=sign), [])) for k, line in lines]
    except csv.Error as error:
        raise refused("file-broken", "this is not a list of points", file, found=str(error)[:80],
                      hint=DAMAGED) from None  # fmt: skip


def _header(cells: Sequence[str]) -> dict[str, int]:
    """Letter to column, where the first line names northing and easting, or latitude and longitude; else empty."""
    found: dict[str, int] = {}
    for k, cell in enumerate(cells):
        word = re.sub(r"[^a-z ]", " ", cell.casefold().replace("_", " ")).strip()
        word = re.sub(r" (ft|feet|m|meters|us ft|usft)$", "", word)
        letter = next((letter for letter, words in _WORDS.items() if word in words), "")
        if letter and letter not in found:
            found[letter] = k
    return found if {"N", "E"} <= found.keys() or {"B", "L"} <= found.keys() else {}


def _order(order: str, file: str, rows: Sequence[tuple[int, Sequence[str]]]) -> str:
    said = order.upper() or next((known for known in ORDERS if known in file.upper()), "")
    if said in ORDERS:
        return said
    shown = ",".join(rows[0][1])[:60] if rows else ""
    raise refused(
        "csv-order-not-said", "a list without a header does not say which is north and which is east", file,
        found=order or shown, allowed=" or ".join(ORDERS),
        hint="say it with --order; exchanged, the lot is a mirror image of itself",
    )  # fmt: skip


def _number(cell: str, file: str, line: int) -> float:
    try:
        return float(cell.strip())
    except ValueError:
        raise refused("not-a-number", "a number is expected here", file, line=line, found=cell[:40],
                      hint="a comma inside a description, or a header line?") from None  # fmt: skip


def _height(cells: Sequence[str], columns: dict[str, int], file: str, line: int) -> float | None:
    k = columns.get("Z", len(cells))
    if k >= len(cells) or not cells[k].strip():
        return None
    return spot(_number(cells[k], file, line), 0.0, file, f"line {line}")[0]


def _about(cells: Sequence[str], columns: dict[str, int]) -> str:
    """The description; where it is the last column, with the commas that stand in it."""
    k = columns.get("D", len(cells))
    held = cells[k:] if k >= max(columns.values()) else cells[k : k + 1]
    return " ".join(cell.strip() for cell in held).strip()
