"""From the table of the boundary to its record: corners, their names, what was found at them, and yards."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from palewright.errors import Where
from palewright.jobfile.corners import build_corner
from palewright.jobfile.deed import DeedText
from palewright.jobfile.names import Names, listed
from palewright.jobfile.reading import MISSING, Reading, Table, Word, nearest
from palewright.model import BoundarySpec, CornerEvidence, CornerSpec, DeedProse, PointRef

__all__ = ["NO_REF", "Evidence", "boundary_names", "build_boundary"]

NO_REF = PointRef()
Evidence = dict[str, tuple[str, bool | None, Where]]
"""What was found at points that are corners: words, whether they match the record, and their place."""


def boundary_names(table: Any) -> tuple[str, ...]:
    """Names of the corners as far as they are typed."""
    if not isinstance(table, Table):
        return ()
    names = [word.text for word in table.get("names", [])]
    start = table.get("start", NO_REF)
    if start.name and start.name not in names:
        names.insert(0, start.name)
    names += [ref.name for ref in table.get("through", []) if ref.name and ref.name not in names]
    return tuple(names)


def build_boundary(
    rd: Reading, table: Any, names: Names, typed: tuple[str, ...], evidence: Evidence
) -> tuple[BoundarySpec | None, tuple[str, ...]]:
    """The boundary, or None when it is missing or wrong, and the names of its corners as far as they are known.

    typed
        names of corners as :func:`boundary_names` found them. evidence: what the points say was found there.
    """
    if not isinstance(table, Table):
        return None, ()
    start: PointRef = table.get("start", NO_REF)
    through: list[PointRef] = list(table.get("through", []))
    if len(through) > 3 and (through[0].name, through[0].xy) == (through[-1].name, through[-1].xy):
        through.pop()
    deed: DeedText | None = table.get("deed")
    calls = table.get("calls", []) if deed is None else deed.calls
    ways = [key for key in ("calls", "deed", "through") if table.typed(key)]
    if len(ways) != 1:
        rd.wrong_at("boundary-way", "a boundary is given in one way", table.at, found=" and ".join(ways) or "none",
                    allowed="calls, deed, or through")  # fmt: skip
        table.ok = False
    corners = _corner_names(rd, table, start, through, len(calls) or len(through), typed)
    start = _define_corners(rd, table, names, start, through, corners)
    known = corners if not start.name or start.name in corners else (start.name, *corners)
    found = _called_for(_corners(rd, table, known, evidence), corners, deed.prose if deed else None)
    yards = _yards(rd, table, len(corners))
    if not table.ok or not corners:
        return None, corners
    begin = start if calls else through[0]
    record, bearings = table.get("record", ""), table.get("bearings", "") or (deed.bearings if deed else "")
    spec = BoundarySpec(begin, tuple(calls), tuple(through), corners, found, yards, record, table.at, bearings,
                        table.get("risk"), deed.prose if deed else None)  # fmt: skip
    return spec, corners


def _called_for(
    found: tuple[CornerSpec, ...], corners: tuple[str, ...], prose: DeedProse | None
) -> tuple[CornerSpec, ...]:
    """Corners with what the description calls for there, where nothing else is typed of the record."""
    if prose is None:
        return found
    known = {corner.name: corner for corner in found}
    called = (prose.begins, *(line.monument for line in prose.lines[:-1]))
    for name, words in zip(corners, called, strict=False):
        corner = known.get(name, CornerSpec(name, evidence=CornerEvidence()))
        if words and not corner.evidence.record:
            known[name] = replace(corner, evidence=replace(corner.evidence, record=words))
    return tuple(known[name] for name in corners if name in known)


def _corner_names(
    rd: Reading, table: Table, start: PointRef, through: list[PointRef], count: int, typed: tuple[str, ...]
) -> tuple[str, ...]:
    words: list[Word] = table.get("names", [])
    if words and count and len(words) != count:
        rd.wrong_at("corner-names", "a boundary has one name for each corner", table.place("names"),
                    found=f"{len(words)} names for {count} corners")  # fmt: skip
        table.ok = False
    if words and start.name and words[0].text != start.name:
        rd.wrong_at("corner-names", "the first name is that of the start", words[0].at, found=words[0].text,
                    allowed=start.name)  # fmt: skip
        table.ok = False
    if not count:
        return typed
    if words:
        result = [word.text for word in words]
    elif through:
        result = [ref.name or f"corner {k + 1}" for k, ref in enumerate(through)]
    else:
        result = [start.name or "corner 1", *(f"corner {k}" for k in range(2, count + 1))]
    if len(set(result)) != len(result):
        twice = next(name for name in result if result.count(name) > 1)
        rd.wrong_at("name-twice", "two corners have the same name", table.place("names" if words else "through"),
                    found=twice)  # fmt: skip
        table.ok = False
    return tuple(result)


def _define_corners(
    rd: Reading, table: Table, names: Names, start: PointRef, through: list[PointRef], corners: tuple[str, ...]
) -> PointRef:
    """Give the corners their places; returns the start with coordinates when nothing else places it."""
    if table.typed("calls") or table.typed("deed"):
        first = [name for name in dict.fromkeys((start.name, *corners[:1])) if start.name]
        if len(first) > 1:
            names.doubted.update(first)
        stands = [name for name in first if name in names.places or name in names.loose]
        for name in dict.fromkeys((*first, *corners)):
            if name not in stands:
                names.define(name, "a corner of the boundary", table.place("names" if name != start.name else "start"))
        if start.xy is None and not stands:
            others = [name for name in names.known() if name not in (*first, *corners)]
            if start.name and nearest(start.name, others):
                names.unknown(start.name, start.at, known=names.known())
            return PointRef(corners[0] if corners else start.name, (0.0, 0.0), start.at if start.name else table.at)
        return start
    for ref, name in zip(through, corners, strict=False):
        if ref.name:
            names.use(ref.name, ref.at)
            if name != ref.name:
                rd.wrong_at("corner-names", "a corner that is a named point keeps its name", ref.at, found=name,
                            allowed=ref.name)  # fmt: skip
                table.ok = False
        else:
            names.define(name, "a corner of the boundary", ref.at)
    return start


def _corners(rd: Reading, table: Table, corners: tuple[str, ...], evidence: Evidence) -> tuple[CornerSpec, ...]:
    found: dict[str, CornerSpec] = {
        name: CornerSpec(name, words, matches, at) for name, (words, matches, at) in evidence.items() if name in corners
    }
    for word, value in table.get("corners", []):
        if word.text not in corners and corners:
            close = nearest(word.text, corners)
            rd.wrong_at("unknown-corner", "the boundary has no corner of this name", word.at, found=word.text,
                        allowed=listed(list(corners)), hint=f"did you mean `{close}`?" if close else "")  # fmt: skip
            table.ok = False
            continue
        if isinstance(value, Table):
            spec = build_corner(rd, word, value)
            if not spec.found and word.text in found:
                spec = replace(found[word.text], evidence=spec.evidence)
            if word.text in found and found[word.text].found not in ("", spec.found):
                rd.wrong_at("name-twice", "two different monuments are given for this corner", word.at,
                            found=spec.found, allowed=found[word.text].found)  # fmt: skip
            found[word.text] = spec
        else:
            found.setdefault(word.text, CornerSpec(word.text, at=word.at))
    return tuple(found[name] for name in corners if name in found)


def _yards(rd: Reading, table: Table, count: int) -> tuple[tuple[int, str], ...]:
    yards: list[tuple[int, str]] = []
    for word, value in table.get("yards", []):
        if not word.text.isascii() or not word.text.isdigit() or not 1 <= int(word.text[:6]) <= max(count, 1):
            rd.wrong_at("unknown-side", "the boundary has no side of this number", word.at, found=word.text,
                        allowed=f"1 to {count}")  # fmt: skip
            table.ok = False
        elif value is not MISSING:
            yards.append((int(word.text), value))
    return tuple(sorted(yards))
