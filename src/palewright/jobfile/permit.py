"""What lies on the lot, and what neighbours agree: keys of the job file and their records."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from palewright.jobfile.names import Names, listed, typed_names
from palewright.jobfile.reading import MISSING, Reading, Table, Word, nearest
from palewright.jobfile.source import Node
from palewright.jobfile.tables import Each, Free, Key, ListOf, Named, Section
from palewright.jobfile.values import Choice, Count, Length, Name, Place, Text, YesNo, only_text
from palewright.model import (
    AgreementSpec,
    DriveSpec,
    EasementSpec,
    FenceFacts,
    GateFacts,
    LotSpec,
    PointRef,
    PoolSpec,
    RetainingSpec,
    RunSpec,
    StreetSpec,
    TreeSpec,
)

__all__ = ["AGREEMENT", "LOT", "LOT_SECTIONS", "build_agreements", "build_lot"]

_NOT_NEGATIVE = Length("not negative")
_SIDES = ListOf(Count(1, 1_000), one=True)
_AREA = ListOf(Place(), least=3)


def _read_share(rd: Reading, node: Node, path: str) -> Any:
    text = only_text(rd, node, path, "a share such as 50%")
    if text is None:
        return MISSING
    match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]+)?) ?%", text.strip())
    if match is None or float(match.group(1)) > 100.0:
        return rd.wrong("not-a-share", "a share of the whole is expected here", node, path, allowed="0% to 100%")
    return float(match.group(1)) / 100.0


_SHARE = Free("share", _read_share, "a share such as 50%")

STREET = Section("street", "A street along sides of the lot; how far beyond the property line its curb, pavement and"
    " middle lie.", (
    Key("name", Name(), "Name of the street.", "Tansy Court", required=True),
    Key("side", _SIDES, "Side or sides of the boundary along it; side 1 begins at the start.", "4", required=True),
    Key("curb", _NOT_NEGATIVE, "From the property line out to the face of the curb.", "10 ft", ask=True),
    Key("pavement", _NOT_NEGATIVE, "From the property line out to the edge of the pavement.", "12 ft", ask=True),
    Key("centre line", _NOT_NEGATIVE, "From the property line out to the middle of the street.", "25 ft", ask=True),
))  # fmt: skip

DRIVE = Section("drive", "A drive.", (
    Key("name", Name(), "Name of the drive.", "drive", required=True),
    Key("through", ListOf(Place(), least=2), "Points of its centre line, the first at the street.",
        "[[70 ft, 6 ft], [70 ft, 40 ft]]", required=True),
    Key("width", Length(), "Its width.", "10 ft", required=True),
))  # fmt: skip

TREE = Section("tree", "A tree.", (
    Key("name", Name(), "What it is called.", "oak", required=True),
    Key("at", Place(), "Where it stands.", "[12 ft, 20 ft]", required=True),
    Key("trunk", Length(), "How thick the trunk is.", "18 in", ask=True),
    Key("crown", Length(), "How wide the crown is.", "30 ft", ask=True),
))  # fmt: skip

EASEMENT = Section("easement", "Land that somebody else may use: a strip along sides, or an area by its corners.", (
    Key("name", Name(), "Name of the easement.", "drainage easement", required=True),
    Key("side", _SIDES, "Side or sides of the boundary along which it lies.", "2"),
    Key("width", Length(), "Width of the strip.", "10 ft"),
    Key("through", _AREA, "Corners of its area in order.", "[[0 ft, 0 ft], [10 ft, 0 ft], [10 ft, 90 ft]]"),
    Key("record", Text(), "Where it is written.", "plat book 12, page 7", ask=True),
))  # fmt: skip

POOL = Section("pool", "A pool, a spa or a pond with a barrier.", (
    Key("name", Name(), "What it is called.", "pool"),
    Key("through", _AREA, "Edge of the water, by its corners in order.",
        "[[30 ft, 90 ft], [50 ft, 90 ft], [50 ft, 105 ft], [30 ft, 105 ft]]", required=True),
    Key("barrier", ListOf(Name(), one=True), "Runs that keep people from it.", "[rear, left return]", ask=True),
    Key("surface below", Choice.of("soil", "solid"), "What lies below the barrier: soil, grass or gravel, or a solid"
        " surface, which lets more room where no rules of the place are given.", "solid"),
))  # fmt: skip

RETAINING = Section("retaining wall", "A wall that holds ground.", (
    Key("name", Name(), "What it is called.", "terrace wall", required=True),
    Key("through", ListOf(Place(), least=2), "Points along it.", "[[5 ft, 80 ft], [40 ft, 80 ft]]", required=True),
    Key("height", Length(), "Its height.", "30 in", ask=True),
    Key("holds", Choice.of("fill", "cut"), "Whether it holds ground that was filled in, or cut.", "fill", ask=True),
))  # fmt: skip

GATE_FACTS = Section("gate hardware", "What a rule may ask of a gate.", (
    Key("self-closing", YesNo(), "It shuts by itself.", "yes", ask=True),
    Key("self-latching", YesNo(), "It latches by itself.", "yes", ask=True),
    Key("latch", Length(), "Height of the release of the latch above the ground.", "54 in", ask=True),
))  # fmt: skip

FENCE_FACTS = Section("fence facts", "What a rule may ask of a fence and its kind does not say.", (
    Key("open", _SHARE, "Share of its face that is open.", "50%", ask=True),
    Key("opening", _NOT_NEGATIVE, "Widest opening in it.", "2 in", ask=True),
    Key("rails", Choice.of("in", "out", "none"), "Side on which rails could be climbed: in (to yard or pool), out, or"
        " none.", "in", ask=True),
))  # fmt: skip

LOT = Section("lot", "What lies on and round the lot, for the permit plot plan and the rules.", (
    Key("streets", Each(STREET), "Streets along the lot.", "[{name: Tansy Court, side: 4, curb: 10 ft}]"),
    Key("front", _SIDES, "Side or sides that count as front; on a corner lot the building office says which.", "4",
        ask=True),
    Key("main building", Name(), "Building from which yards are counted; the largest unless given.", "house"),
    Key("drives", Each(DRIVE), "Drives.", "[{name: drive, through: [[70 ft, 6 ft], [70 ft, 40 ft]], width: 10 ft}]"),
    Key("trees", Each(TREE), "Trees.", "[{name: oak, at: [12 ft, 20 ft], trunk: 18 in}]"),
    Key("easements", Each(EASEMENT), "Easements.", "[{name: drainage easement, side: 2, width: 10 ft}]"),
    Key("pools", Each(POOL), "Pools.", "[{through: [[3 m, 3 m], [6 m, 3 m], [6 m, 8 m]], barrier: [rear]}]"),
    Key("retaining walls", Each(RETAINING), "Retaining walls.",
        "[{name: terrace wall, through: [[5 ft, 80 ft], [40 ft, 80 ft]], height: 30 in}]"),
    Key("gates", Named(GATE_FACTS, "gates by name"), "Hardware of gates.", "{side gate: {self-closing: yes}}"),
    Key("fences", Named(FENCE_FACTS, "fences by name"), "Facts of fences.", "{privacy: {open: 0%}}"),
))  # fmt: skip

AGREEMENT = Section("agreement", "What two neighbours agree about a line; what is not typed is a blank on the paper.", (
    Key("neighbour", Text(), "Name of the neighbour, as it is to stand on the paper.", "owner of lot 6", required=True,
        ask=True),
    Key("side", _SIDES, "Side or sides of the boundary that it is about.", "1", required=True),
    Key("line shown by", Text(), "Who showed the line.", "the owner of lot 7", ask=True),
    Key("line found by", Text(), "How it was found.", "iron pins at both ends", ask=True),
    Key("on", Text(), "On which day.", "2026-10-01", ask=True),
    Key("share", Text(), "Who pays what.", "each pays half", ask=True),
    Key("good side", Text(), "Whose side is the good one, where it is not as the fence is laid out.", "lot 6",
        ask=True),
    Key("upkeep", Text(), "Who keeps the fence in order.", "each side paints its own", ask=True),
    Key("access", Text(), "Who may come onto whose land for the work.", "the crew may stand on lot 6", ask=True),
    Key("more", Text(), "Anything else that is agreed.", "the old hedge stays", ask=True),
))  # fmt: skip

LOT_SECTIONS = (LOT, STREET, DRIVE, TREE, EASEMENT, POOL, RETAINING, GATE_FACTS, FENCE_FACTS, AGREEMENT)


class _Lot:
    """The records of a lot, with the names that they refer to."""

    def __init__(self, rd: Reading, names: Names, sides: int) -> None:
        self.rd = rd
        self.names = names
        self.sides = sides

    def refs(self, table: Table, key: str = "through") -> tuple[PointRef, ...]:
        """Points of a key, each of them used."""
        refs = table.get(key, [])
        for ref in refs:
            self.names.use(ref.name, ref.at)
        return tuple(refs)

    def side(self, table: Table, key: str = "side") -> tuple[int, ...]:
        """Sides of the boundary; those that it has not are reported."""
        found = tuple(dict.fromkeys(table.get(key, [])))
        for number in found:
            if not number <= self.sides:
                self.rd.wrong_at("unknown-side", "the boundary has no side of this number", table.place(key),
                                 found=str(number), allowed=f"1 to {self.sides}" if self.sides else "",
                                 hint="" if self.sides else "the job has no boundary")  # fmt: skip
                table.ok = False
        return found

    def known(self, word: Word, names: Iterable[str], what: str) -> bool:
        """Whether a name is one of those; reports one that is not."""
        known = [name for name in names if name]
        if word.text in known:
            return True
        close = nearest(word.text, known)
        self.rd.wrong_at("unknown-lot-name", f"there is no {what} of this name", word.at, found=word.text,
                         allowed=listed(known), hint=f"did you mean `{close}`?" if close else "")  # fmt: skip
        return False

    def once(self, tables: list[Table], what: str) -> None:
        """Report a name that two tables bear."""
        seen: set[str] = set()
        for table in tables:
            word = table.get("name")
            if isinstance(word, Word):
                if word.text in seen:
                    self.rd.wrong_at("duplicate-name", f"two {what} have the same name", word.at, found=word.text)
                seen.add(word.text)


def build_lot(
    rd: Reading, top: Table, names: Names, sides: int, buildings: Iterable[str], runs: Iterable[RunSpec]
) -> LotSpec:
    """The lot as typed.

    sides
        how many the boundary has. buildings, runs: what its names may refer to, beside all that were typed.
    """
    table = top.get("lot")
    if not isinstance(table, Table):
        return LotSpec()
    lot, tables = _Lot(rd, names, sides), top.get("runs", [])
    for key in ("streets", "drives", "trees", "easements", "pools", "retaining walls"):
        lot.once(table.get(key, []), key)
    building = table.get("main building")
    if isinstance(building, Word) and not lot.known(building, buildings, "building"):
        building = None
    gates = [gate.name for run in runs for gate in run.gates]
    gates += typed_names(gate for run in tables for gate in run.get("gates", []))
    return LotSpec(
        streets=tuple(_street(lot, each) for each in table.get("streets", []) if _sound(lot.side(each), each)),
        front=lot.side(table, "front"),
        building=building.text if isinstance(building, Word) else "",
        drives=tuple(_drive(lot, each) for each in table.get("drives", []) if _sound(lot.refs(each), each)),
        trees=tuple(tree for each in table.get("trees", []) if (tree := _tree(lot, each)) is not None),
        easements=tuple(made for each in table.get("easements", []) if (made := _easement(lot, each)) is not None),
        pools=tuple(
            _pool(lot, each, typed_names(tables)) for each in table.get("pools", []) if _sound(lot.refs(each), each)
        ),
        walls=tuple(_wall(lot, each) for each in table.get("retaining walls", []) if _sound(lot.refs(each), each)),
        gates=tuple(
            GateFacts(word.text, each.get("self-closing"), each.get("self-latching"), each.get("latch"))
            for word, each in table.get("gates", [])
            if isinstance(each, Table) and lot.known(word, gates, "gate")
        ),
        fences=tuple(
            FenceFacts(word.text, each.get("open"), each.get("opening"), each.get("rails", ""))
            for word, each in table.get("fences", [])
            if isinstance(each, Table) and lot.known(word, [fence.text for fence, _ in top.get("fences", [])], "fence")
        ),
        at=table.at,
    )


def _sound(_: object, table: Table) -> bool:
    """Whether a table may become a record, after its references were looked at."""
    return table.ok


def _street(lot: _Lot, table: Table) -> StreetSpec:
    return StreetSpec(
        table.get("name").text, lot.side(table), table.get("curb"), table.get("pavement"), table.get("centre line"),
        table.at,
    )  # fmt: skip


def _drive(lot: _Lot, table: Table) -> DriveSpec:
    return DriveSpec(table.get("name").text, tuple(table.get("through")), table.get("width"), table.at)


def _tree(lot: _Lot, table: Table) -> TreeSpec | None:
    ref = table.get("at")
    if not table.ok:
        return None
    lot.names.use(ref.name, ref.at)
    return TreeSpec(table.get("name").text, ref, table.get("trunk"), table.get("crown"), table.at)


def _easement(lot: _Lot, table: Table) -> EasementSpec | None:
    refs, sides = lot.refs(table), lot.side(table)
    strip = table.typed("side"), table.typed("width")
    if table.typed("through") == any(strip) or (any(strip) and not all(strip)):
        lot.rd.wrong_at("easement-way", "an easement is a strip along a side, or an area by its corners", table.at,
                        found=", ".join(key for key in ("side", "width", "through") if table.typed(key)) or "neither",
                        allowed="side and width, or through")  # fmt: skip
        return None
    if not table.ok:
        return None
    name, record = table.get("name").text, table.get("record", "")
    return EasementSpec(name, sides, table.get("width", 0.0), refs, record, table.at)


def _pool(lot: _Lot, table: Table, runs: list[str]) -> PoolSpec:
    words = [word for word in table.get("barrier", []) if lot.known(word, runs, "run")]
    name = table.get("name")
    return PoolSpec(
        name.text if name else "pool", tuple(table.get("through")), tuple(word.text for word in words), table.at,
        table.get("surface below", ""),
    )  # fmt: skip


def _wall(lot: _Lot, table: Table) -> RetainingSpec:
    return RetainingSpec(
        table.get("name").text, tuple(table.get("through")), table.get("height"), table.get("holds", ""), table.at
    )


def build_agreements(rd: Reading, top: Table, names: Names, sides: int) -> tuple[AgreementSpec, ...]:
    """What neighbours agree, as typed; ``sides``: how many the boundary has."""
    lot = _Lot(rd, names, sides)
    made = []
    for table in top.get("agreements", []):
        numbers = lot.side(table)
        if table.ok:
            said = {
                field: table.get(key, "")
                for key, field in (
                    ("neighbour", "neighbour"), ("line shown by", "shown_by"), ("line found by", "found_how"),
                    ("on", "shown_on"), ("share", "share"), ("good side", "good_side"), ("upkeep", "upkeep"),
                    ("access", "access"), ("more", "more"),
                )
            }  # fmt: skip
            made.append(AgreementSpec(**said, sides=numbers, at=table.at))
    return tuple(made)
