"""Heights of the ground: what stands under ``heights`` becomes falls, spots, level strings and files of ground."""

from __future__ import annotations

import itertools
from typing import Any, NamedTuple

from palewright.jobfile.boundary import NO_REF
from palewright.jobfile.measured import different
from palewright.jobfile.names import Names, typed_names
from palewright.jobfile.phrases import read_along
from palewright.jobfile.reading import MISSING, Reading, Table, Word, nearest
from palewright.jobfile.source import Node
from palewright.jobfile.tables import Either, Free, Key, ListOf, Named, Section
from palewright.jobfile.values import Choice, Length, Name, Place, Schema, Text, YesNo, only_text
from palewright.model import FallSpec, GroundSpec, PointRef, SpotSpec, StringSpec, TerrainSpec
from palewright.notation import show_length
from palewright.record import Record

__all__ = ["FOLLOWS", "HEIGHT", "STEPS", "STRETCH", "ground_parts"]


class Degrees(Record):
    """A latitude or longitude in degrees, south and west negative."""

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The number [degrees]."""
        text = only_text(rd, node, path, self.says())
        if text is None:
            return MISSING
        try:
            value = float(text)
        except ValueError:
            value = 999.0
        if not -180.0 <= value <= 180.0:
            return rd.wrong("not-a-number", "degrees with decimals are expected here", node, path,
                            allowed="-180 to 180, south and west negative")  # fmt: skip
        return value

    def schema(self) -> Schema:
        """A number."""
        return {"type": "number", "minimum": -180, "maximum": 180}

    def says(self) -> str:
        """What is expected."""
        return "degrees with decimals"


STEPS = Section("steps", "What the steps of a fence on sloping ground must keep.", (
    Key("in", Length(), "Every step is a whole number of these.", "1 in"),
    Key("smallest", Length(), "No step is smaller, unless it is none.", "3 in"),
    Key("largest", Length(), "No step is larger.", "12 in"),
    Key("equal", YesNo(), "One height of step for every even stretch of fall.", "yes"),
))  # fmt: skip

_ALONG = Free("along", read_along, "a point, or a distance from one such as 40 ft from A")
FOLLOWS = Choice.of("racked", "stepped", "level-top", "grade", "mixed", "best")
STRETCH = Section("stretch", "Part of a run that follows the ground in its own way. A post stands where it begins and"
                  " where it ends.", (
    Key("from", _ALONG, "Where it begins: a point of the run, or a distance from one, on along the run (back from its"
        " last point).", "A", required=True),
    Key("to", _ALONG, "Where it ends.", "40 ft from A", required=True),
    Key("follows", FOLLOWS, "How the fence meets the ground there.", "stepped", required=True),
    Key("steps", STEPS, "What its steps must keep; as the run says unless given.", "{in: 1 in, smallest: 3 in}"),
))  # fmt: skip

HEIGHT = Section("height", "What is known of the ground: a fall between two points, a spot, a level string with a rule,"
    " or a file. Heights of points that were levelled count too.", (
    Key("falls", Length("any"), "How far the ground falls.", "30 in", ask=True),
    Key("rises", Length("any"), "How far the ground rises.", "6 in", ask=True),
    Key("from", Place("name"), "The fall or rise begins at this point; the stations of a string count from it.", "C"),
    Key("to", Place("name"), "To this point.", "D"),
    Key("even", YesNo(), "The ground between the two points is one straight slope. Without this a fall is carried as"
        " words only: nobody knows what lies between.", "yes"),
    Key("spot", Place(), "The ground at this place has a known height.", "[20 ft, 45 ft]"),
    Key("height", Length("any"), "Height of the spot.", "101.3 ft", ask=True),
    Key("spots", Either(table=Named(Length("any"), "heights by point"),
                        list=ListOf(ListOf(Length("any"), exactly=3))),
        "Many spots: points with their heights, or a list of [east, north, height].",
        "[[0 ft, 0 ft, 100.2 ft], [30 ft, 0 ft, 98.7 ft], [0 ft, 40 ft, 101 ft]]"),
    Key("string", Either(text=Name(), list=ListOf(Place("name"), exactly=2)),
        "A level string along this run, or between two points.", "rear"),
    Key("drops", ListOf(ListOf(Length("any"), exactly=2), least=2), "Each station along the string, and how far the"
        " ground lies below it there; straight ground between.", "[[0 ft, 0 in], [8 ft, 3 1/2 in], [16 ft, 9 in]]"),
    Key("surface", Text(), "A file beside the job file with spots or triangles: LandXML, DXF, or a point list (CSV).",
        "terrain.xml"),
    Key("grid", Text(), "A file beside the job file with a grid of heights: GeoTIFF (.tif), ESRI ASCII (.asc), or NumPy"
        " (.npz with `elevation` and `affine`).", "dem.tif"),
    Key("unit", Choice.of("ft", "ft US", "m", "in", "cm", "mm"), "Unit of the heights in the file, where it does not"
        " say it itself; of its places too, where these are in no coordinate system.", "ft"),
    Key("layer", Text(), "The only layer, or surface, of the file to read.", "existing ground"),
    Key("order", Choice.of("PNEZD", "PENZD"), "Order of a point list without a header.", "PNEZD"),
    Key("crs", Text(), "Coordinate system of the file, where it does not say it itself.", "EPSG:2229"),
    Key("same grid", YesNo(), "The coordinates of this job are those of the file.", "yes"),
    Key("zero at", ListOf(Degrees(), exactly=2), "Latitude and longitude of the job's [0, 0], its y axis to true north;"
        " then a file in a coordinate system is laid under the job.", "[40.0150, -105.2705]"),
    Key("with", Text(), "With what it was measured, in words; without it the poorer of the usual tools counts.",
        "automatic level"),
    Key("within", Length(), "How good each height is, one standard deviation, where it is known better than `with`"
        " says.", "0.1 ft"),
))  # fmt: skip


class _Kind(NamedTuple):
    needs: tuple[str, ...]
    may: tuple[str, ...] = ()


_FILE = ("unit", "layer", "crs", "same grid", "zero at")
_KINDS = {
    "falls": _Kind(("from", "to"), ("even",)),
    "rises": _Kind(("from", "to"), ("even",)),
    "spot": _Kind(("height",)),
    "spots": _Kind(()),
    "string": _Kind(("drops",), ("from",)),
    "surface": _Kind((), (*_FILE, "order")),
    "grid": _Kind((), _FILE),
}
_EXAMPLES = {"from": "C", "to": "D", "height": "ask", "drops": "[[0 ft, 0 in], [8 ft, 3 1/2 in]]"}


def ground_parts(rd: Reading, top: Table, names: Names) -> tuple[list[FallSpec], GroundSpec]:
    """Falls, and all else that a job says of its ground; what does not go together is reported."""
    falls: list[FallSpec] = []
    spots: list[SpotSpec] = []
    strings: list[StringSpec] = []
    files: list[TerrainSpec] = []
    for table in top.get("heights", []):
        kinds = [key for key in _KINDS if table.typed(key)]
        refs = [ref for key in ("from", "to", "spot") if isinstance(ref := table.get(key), PointRef)]
        if isinstance(table.get("string"), list):
            refs += table.get("string")
        for ref in refs:
            names.use(ref.name, ref.at)
        if len(kinds) != 1:
            rd.wrong_at("height-way", "a height is known in one way", table.at, found=" and ".join(kinds) or "none",
                        allowed="falls, or rises, spot, spots, string, surface, grid")  # fmt: skip
            continue
        kind = kinds[0]
        if not _companions(rd, table, kind) or not table.ok:
            continue
        if kind in ("falls", "rises"):
            falls += _fall(rd, table, kind)
        elif kind == "string":
            strings += _string(rd, top, table)
        elif kind in ("spot", "spots"):
            spots += _spots(table, kind, names)
        else:
            files.append(_file(table, kind))
    return falls, GroundSpec(tuple(spots), tuple(strings), tuple(files))


def _companions(rd: Reading, table: Table, kind: str) -> bool:
    needs, may = _KINDS[kind]
    for key in needs:
        if not table.typed(key):
            rd.wrong_at("missing-key", f"`{key}` is missing", table.at, hint=f"add `{key}: {_EXAMPLES[key]}`")
            return False
    for key in table.entries:
        if key not in (kind, "with", "within", *needs, *may):
            rd.wrong_at("height-way", f"`{key}` does not go with `{kind}`", table.place(key),
                        allowed=", ".join((*needs, *may, "with", "within")))  # fmt: skip
            return False
    return True


def _fall(rd: Reading, table: Table, kind: str) -> list[FallSpec]:
    ends = [table.get("from", NO_REF), table.get("to", NO_REF)]
    if not different(rd, ends) or table.get(kind) is None:
        return []
    fall = table.get(kind) if kind == "falls" else -table.get(kind)
    return [
        FallSpec(ends[0].name, ends[1].name, fall, table.at, bool(table.get("even", False)), table.get("with", ""),
                 table.get("within"))
    ]  # fmt: skip


def _spots(table: Table, kind: str, names: Names) -> list[SpotSpec]:
    how, within = table.get("with", ""), table.get("within")
    if kind == "spot":
        ref, height = table.get("spot"), table.get("height")
        return [] if height is None else [SpotSpec(height, ref.name, ref.xy, how, within, table.at)]
    found = []
    for row in table.get("spots"):
        if isinstance(row, tuple):
            word, height = row
            names.use(word.text, word.at)
            if height is not MISSING:
                found.append(SpotSpec(height, word.text, None, how, within, word.at))
        else:
            found.append(SpotSpec(row[2], "", (row[0], row[1]), how, within, table.place("spots")))
    return found


def _string(rd: Reading, top: Table, table: Table) -> list[StringSpec]:
    said, start = table.get("string"), table.get("from", NO_REF)
    drops = tuple((s, drop) for s, drop in table.get("drops"))
    at, job = table.place("drops"), top.get("job")
    style = job.get("print", "feet-inches") if isinstance(job, Table) else "feet-inches"

    def show(m: float) -> str:
        return show_length(m, style, 16)

    for (a, _), (b, _) in itertools.pairwise(drops):
        if b < a:
            rd.wrong_at("profile-turns-back", "the stations of a string rise", at, found=f"{show(b)} after {show(a)}",
                        hint="measure one way from the point that `from` names")  # fmt: skip
            return []
        if b - a < 1e-6:
            rd.wrong_at("profile-wall", "one station of a string has two drops", at, found=f"station {show(a)}",
                        hint="a wall has its foot and its top at two stations, an inch apart or more")  # fmt: skip
            return []
    run, ends = "", ("", "")
    if isinstance(said, Word):
        run = said.text
        runs = typed_names(top.get("runs", []))
        if run not in runs:
            close = nearest(run, runs)
            rd.wrong_at("unknown-run", "no run has this name", said.at, found=run, allowed=", ".join(runs[:12]),
                        hint=f"did you mean `{close}`?" if close else "")  # fmt: skip
            return []
    else:
        ends = (said[0].name, said[1].name)
        if not different(rd, said):
            return []
        if start.name and start.name not in ends:
            rd.wrong_at("height-way", "a string is measured from one of its ends", start.at, found=start.name,
                        allowed=" or ".join(ends))  # fmt: skip
            return []
    return [StringSpec(drops, run, ends, start.name, table.get("with", ""), table.get("within"), table.at)]


def _file(table: Table, kind: str) -> TerrainSpec:
    zero = table.get("zero at")
    return TerrainSpec(
        kind, table.get(kind), table.get("unit", ""), table.get("layer", ""), table.get("order", ""),
        table.get("crs", ""), bool(table.get("same grid", False)), (zero[0], zero[1]) if zero else None,
        table.get("with", ""), table.get("within"), table.at,
    )  # fmt: skip
