"""Hardware allowances of gates: how much wider the opening is than the leaves."""

from __future__ import annotations

from functools import cache
from typing import Any

from palewright.errors import TableError
from palewright.record import Record
from palewright.tables.loader import _load, to_si

__all__ = ["GateAllowance", "gate_allowances"]


class GateAllowance(Record):
    """For one kind: opening minus leaves, for one leaf and for two together [m]; key of the source; a note.

    gaps_m
        at the hinge, at the latch, between two leaves [m]; () where only the whole is published.
    widest_leaf_m
        a wider leaf is told [m]; 0 where nothing is said of it. widest_source: key of its source, "" with it.
    """

    kind: str
    single_m: float
    double_m: float
    source: str
    note: str
    gaps_m: tuple[float, ...] = ()
    widest_leaf_m: float = 0.0
    widest_source: str = ""


@cache
def gate_allowances() -> dict[str, GateAllowance]:
    """Every kind of gate by name. Raises TableError when the data file is unusable.

    >>> round(gate_allowances()["chain-link"].single_m / 0.0254, 6)
    3.75
    """
    data = _load("gates.toml")
    try:
        return {name: _allowance(name, data) for name in data}
    except KeyError as error:
        raise TableError(f"gates.toml lacks {error}") from error


def _allowance(name: str, data: dict[str, Any]) -> GateAllowance:
    entry = data[data[name].get("as", name)]
    gaps: tuple[float, ...] = ()
    if "single" in entry:
        single, double = entry["single"], entry["double"]
    else:
        single = entry["hinge"] + entry["latch"]
        double = 2 * entry["hinge"] + entry["middle"]
        gaps = tuple(to_si(entry[part], "in") for part in ("hinge", "latch", "middle"))
    widest = to_si(entry.get("widest_leaf_ft", 0.0), "ft")
    return GateAllowance(
        name, to_si(single, "in"), to_si(double, "in"), entry["source"], entry["note"], gaps, widest,
        entry.get("widest_source", ""),
    )  # fmt: skip
