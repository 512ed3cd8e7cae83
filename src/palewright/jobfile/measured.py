"""Measurements between named points: what stands under ``measured`` and ``walls`` becomes records."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

from palewright.jobfile.boundary import NO_REF
from palewright.jobfile.names import Names
from palewright.jobfile.reading import Reading, Table, Word
from palewright.model import Measurement, PointRef, PointSpec, TapeSpec

__all__ = ["different", "measurement", "tape_specs", "typed", "wall"]


class _Kind(NamedTuple):
    """Keys that must stand beside the key of the kind, and keys that may."""

    needs: tuple[str, ...] = ()
    may: tuple[str, ...] = ()


#: "square" and "direction" are also what the angle and the bearing are called in the record
_KINDS = {
    "tape": _Kind(("reads",), ("rises", "temperature", "pull", "spans")),
    "square": _Kind(),
    "angle": _Kind(("inside angle",)),
    "direction": _Kind(("bearing",)),
    "sights from": _Kind(("readings",)),
    "on line": _Kind(("point",), ("at",)),
    "offset from": _Kind(("point", "reads"), ("side", "at")),
    "tie to line": _Kind(("line", "reads")),
    "parallel": _Kind(),
    "position": _Kind(("coordinates",)),
    "rise": _Kind(("reads",)),
}
_COMPANIONS = dict.fromkeys(key for kind in _KINDS.values() for key in (*kind.needs, *kind.may))


def tape_specs(rd: Reading, top: Table) -> tuple[TapeSpec, ...]:
    """The tapes of a job; what goes together and is not all there is reported."""
    found = []
    for word, table in top.get("tapes", []):
        if not isinstance(table, Table) or not table.ok:
            continue
        if table.typed("marked") != table.typed("true"):
            rd.wrong_at("missing-key", "`marked` and `true` go together", word.at, hint="say both, or neither")
            continue
        if table.typed("right under") and not table.typed("section"):
            rd.wrong_at("missing-key", "`right under` needs `section` beside it", word.at,
                        hint="how much a ribbon stretches depends on its cross section")  # fmt: skip
            continue
        found.append(
            TapeSpec(word.text, table.get("accuracy", ""), table.get("marked"), table.get("true"),
                     table.get("right at"), table.get("right under"), table.get("section"), table.get("weight"),
                     word.at)
        )  # fmt: skip
    return tuple(found)


def wall(rd: Reading, table: Table, names: Names) -> Measurement | None:
    """A wall that stands there: a tape between its ends, or None after reporting what is wrong."""
    ends = [table.get("from", NO_REF), table.get("to", NO_REF)]
    for ref in ends:
        if ref.name:
            names.mention(ref.name, "an end of a wall", ref.at)
    if not table.ok or not different(rd, ends):
        return None
    how, text = table.get("with", ""), typed(rd, table, "length")
    return Measurement("tape", (ends[0].name, ends[1].name), table.get("length"), how, text, table.at)


def measurement(rd: Reading, table: Table, names: Names) -> Measurement | PointSpec | None:
    """One measurement; a point that is defined on a line; or None: something is wrong, or it is not known yet."""
    kinds = [key for key in _KINDS if table.typed(key)]
    if len(kinds) != 1:
        if table.ok or len(kinds) > 1:
            rd.wrong_at("measured-kind", "a measurement is of one kind", table.at,
                        found=" and ".join(kinds) or "none", allowed=", ".join(_KINDS))  # fmt: skip
        return None
    kind = kinds[0]
    _companions(rd, table, kind)
    refs = _refs(table, kind)
    point = table.get("point")
    if kind == "on line" and isinstance(point, Word) and point.text not in names.places and table.typed("at"):
        return _on_line(rd, table, refs, point, names)
    for ref in refs:
        names.mention(ref.name, "measured", ref.at)
    if not table.ok or not different(rd, refs) or any(table.asked(key) for key in _KINDS[kind].needs):
        return None
    return _record(rd, table, kind, refs)


def _companions(rd: Reading, table: Table, kind: str) -> None:
    """Report what is missing beside the key of a kind, and what does not go with it."""
    needs, may = _KINDS[kind]
    for key in _COMPANIONS:
        if table.typed(key) and key not in needs and key not in may:
            rd.wrong_at("measured-kind", f"`{key}` does not go with `{kind}`", table.place(key),
                        hint=f"`{kind}` goes with `{'`, `'.join((*needs, *may))}`" if needs else "")  # fmt: skip
            table.ok = False
    for key in needs:
        if not table.typed(key):
            rd.wrong_at("missing-key", f"`{kind}` needs `{key}` beside it", table.at, hint=f"add `{key}: ask`")
            table.ok = False


def _refs(table: Table, kind: str) -> list[PointRef]:
    """The points of a measurement in the order of the record: the point itself, then the line it is told from."""
    own = table.get(kind)
    refs = list(own) if isinstance(own, list) else [own] if isinstance(own, PointRef) else []
    if kind in ("on line", "offset from"):
        point = table.get("point")
        return [PointRef(point.text, at=point.at), *refs] if isinstance(point, Word) else refs
    if kind == "tie to line":
        return [*refs, *table.get("line", [])]
    if kind == "sights from":
        return [*refs, *(PointRef(word.text, at=word.at) for word, _ in table.get("readings", []))]
    return refs


def _record(rd: Reading, table: Table, kind: str, refs: list[PointRef]) -> Measurement | None:
    needs = _KINDS[kind].needs
    how = table.get("with") or table.get("by") or table.get("from", "")
    shown = next((key for key in needs if key in ("reads", "inside angle", "bearing")), "")
    made = Measurement(
        {"angle": "square", "offset from": "offset", "tie to line": "offset", "sights from": "sights"}.get(kind, kind),
        tuple(ref.name for ref in refs),
        table.get(shown, 0.0) if shown else math.pi / 2 if kind == "square" else 0.0,
        how,
        typed(rd, table, shown) if shown else how,
        table.at,
        side=table.get("side", ""),
        at_m=table.get("at"),
        rise_m=table.get("rises", 0.0),
        within=table.get("within"),
        source="record" if table.typed("from") else "measured",
        temperature_c=table.get("temperature"),
        pull_n=table.get("pull"),
        spans=table.get("spans", 0),
        who=table.get("who", ""),
        when=table.get("when", ""),
    )
    if kind == "sights from":
        return replace(made, readings=tuple(angle for _, angle in table.get("readings")))
    if kind == "position":
        return replace(made, xy=table.get("coordinates").xy)
    if kind != "rise" and shown == "reads" and (made.value < 0.0 or (kind == "tape" and made.value == 0.0)):
        rd.wrong_at("length-out-of-range", "this length is too small", table.place("reads"), found=made.text,
                    allowed="more than 0" if kind == "tape" else "0 or more",
                    hint="type what the tape read; say a side or a direction in words")  # fmt: skip
        return None
    if abs(made.rise_m) >= made.value > 0.0:
        rd.wrong_at("length-out-of-range", "the ends of a tape differ in height by less than it reads",
                    table.place("rises"), found=typed(rd, table, "rises"),
                    allowed=f"less than {made.text}",
                    hint="`rises` is the difference in height of the ends; were the two exchanged?")  # fmt: skip
        return None
    return made


def _on_line(rd: Reading, table: Table, refs: list[PointRef], word: Word, names: Names) -> PointSpec | None:
    """The first that is said of a point: it is defined on a line, at a distance."""
    for ref in refs[1:]:
        names.use(ref.name, ref.at)
    names.define(word.text, "a point on a line", word.at)
    if not (table.ok and len(refs) == 3 and different(rd, refs) and table.has("at")):
        return None
    line = (refs[1].name, refs[2].name)
    return PointSpec(word.text, "on line", line=line, distance_m=table.get("at"), at=table.at)


def typed(rd: Reading, table: Table, key: str) -> str:
    """A value as it stands in the file, without quotes around it."""
    where = table.place(key)
    start = rd.source.starts[where.line - 1] + where.column - 1
    text = rd.source.text[start : start + where.width]
    return text[1:-1] if len(text) > 1 and text[0] == text[-1] and text[0] in "\"'" else text


def different(rd: Reading, refs: list[PointRef]) -> bool:
    """Whether the points of a measurement are different ones; reports the first that is not."""
    seen: set[str] = set()
    for ref in refs:
        if ref.name in seen:
            rd.wrong_at("same-point", "this point stands here twice", ref.at, found=ref.name,
                        hint="a measurement needs different points")  # fmt: skip
            return False
        seen.add(ref.name)
    return True
