"""Gates and their hardware."""

from __future__ import annotations

import math

from palewright.model import Design, Gate, Kind
from palewright.notation import show_inches
from palewright.supply.counts import boards_solid
from palewright.supply.cutlist import BOARD_NAILS, GATE_FRAME, RAIL_SCREWS, CutList, Stock
from palewright.supply.draft import Draft, code_of, feet, feet_words, inches, number, word
from palewright.tables import gate_post_table, section

__all__ = ["take_gates"]

_IN_THE_PACK = "its own screws or bolts come with it as a rule: look in the pack"
_THREE_HIGH = 5 * 0.3048
_THREE_WIDE = 3 * 0.3048


def take_gates(draft: Draft, cuts: CutList, design: Design, kinds: dict[str, Kind]) -> None:
    """Each gate: leaves as bought, or boards and frame where leaves are made on site, and the hardware."""
    for gate in design.gates:
        kind = kinds[gate.fence]
        if kind.family == "boards":
            _made(draft, cuts, gate, kind)
        else:
            _bought(draft, gate, kind)
    if design.gates:
        _hardware(draft, design.gates, kinds)
    for gate in design.gates:
        _post_size(draft, design, gate, kinds[gate.fence])


def _bought(draft: Draft, gate: Gate, kind: Kind) -> None:
    height = kind.top_m if kind.family == "post and rail" else kind.infill_m
    pair, leaf = ("", "leaf") if gate.leaves == 1 else ("pair.", "each leaf")
    draft.add(
        f"gate.{kind.kind}.{pair}{inches(gate.opening_m)}x{inches(height)}in",
        "gate-leaf" if gate.leaves == 1 else "gate-pair",
        f"for a {_inches(gate.opening_m)} opening, {leaf} {_inches(gate.leaf_m)}, {_inches(height)} high",
        1,
        "gates",
        gates=(gate.name,),
        posts=gate.posts,
        rule="one for each opening",
        source=gate.allowance_source or "common practice",
    )


def _inches(value: float) -> str:
    """As a buyer reads it: "44 1/4 in"."""
    return show_inches(value, 16).replace('"', " in")


def _made(draft: Draft, cuts: CutList, gate: Gate, kind: Kind) -> None:
    """A leaf of the boards of the fence on a frame: two stiles, the rails of the fence and a diagonal."""
    board, rail = section("lumber", word(kind, "board size")), section("lumber", word(kind, "rail size"))
    height, rails = kind.infill_m, max(2, kind.rails)
    stock = next((length for length in board.stocks_m if length >= height - 1e-6), math.ceil(height / 0.3048) * 0.3048)
    boards = gate.leaves * boards_solid(gate.leaf_m, board.width_m)
    nails = boards * (rails + 1) * int(number(kind, "nails per crossing"))
    name = (gate.name,)
    draft.add(
        f"board.{code_of(board.name)}.{feet(stock)}ft", "gate-board", f"{board.name} x {feet_words(stock)}", boards,
        "gates", gates=name, rule="leaf / width of a board, rounded up for each leaf", source="geometry",
    )  # fmt: skip
    draft.add(
        "nail.board.2in", "board-nail", "2 in", nails, "fasteners", waste=0.05, per=500.0, buy_unit="box of 500",
        gates=name, rule=BOARD_NAILS, source="from memory",
    )  # fmt: skip
    draft.add(
        "screw.rail.3in", "rail-screw", "3 in", gate.leaves * (2 * rails + 2) * int(number(kind, "gate.screws")),
        "fasteners", waste=0.05, per=100.0, buy_unit="box of 100", gates=name, rule=RAIL_SCREWS,
    )  # fmt: skip
    parts = ((height, 2), (gate.leaf_m, rails), (math.hypot(gate.leaf_m, height), 1))
    typed = (kind.rail_stock_m,) if kind.rail_stock_m >= max(length for length, _ in parts) else ()
    frame = Stock(f"rail.{code_of(rail.name)}", "rail", rail.name, "rails", typed or rail.stocks_m, 0.0, GATE_FRAME)
    for length, times in parts:
        cuts.part(frame, length, gate.name, times * gate.leaves)


def _hardware(draft: Draft, gates: tuple[Gate, ...], kinds: dict[str, Kind]) -> None:
    _hinges(draft, gates, kinds)
    families: dict[str, list[Gate]] = {}
    for gate in gates:
        families.setdefault(kinds[gate.fence].family, []).append(gate)
    for family, mine in families.items():
        material = family.replace(" ", "-")
        names, double = [gate.name for gate in mine], [gate.name for gate in mine if gate.leaves == 2]
        draft.add(
            f"latch.{material}", "latch", "", len(mine), "gates", gates=names, rule="one for each gate",
            note=_IN_THE_PACK,
        )  # fmt: skip
        draft.add(f"drop-rod.{material}", "drop-rod", "", len(double), "gates", gates=double, rule="one for each pair")
    for gate in gates:
        if kinds[gate.fence].value("gate stiffener"):
            draft.add(
                "stiffener.gate-post", "post-stiffener", "", 2, "gates", gates=(gate.name,), posts=gate.posts,
                rule="one in each gate post", source="from memory",
            )  # fmt: skip


def _hinges(draft: Draft, gates: tuple[Gate, ...], kinds: dict[str, Kind]) -> None:
    """Two for each leaf, three for a large one of boards."""
    hinges: dict[tuple[str, int], list[Gate]] = {}
    for gate in gates:
        kind = kinds[gate.fence]
        three = kind.family == "boards" and (kind.infill_m > _THREE_HIGH + 1e-6 or gate.leaf_m > _THREE_WIDE + 1e-6)
        hinges.setdefault((kind.family, 3 if three else 2), []).append(gate)
    for (family, each), mine in hinges.items():
        draft.add(
            f"hinge.{family.replace(' ', '-')}",
            "hinge",
            "",
            each * sum(gate.leaves for gate in mine),
            "gates",
            gates=[gate.name for gate in mine],
            posts=[post for gate in mine for post in gate.hinge],
            rule="three for each leaf above 5 ft high or 3 ft wide" if each == 3 else "two for each leaf",
            source="gate4" if family == "boards" else "common practice",
            note=_IN_THE_PACK,
        )


def _post_size(draft: Draft, design: Design, gate: Gate, kind: Kind) -> None:
    """Chain link: whether the hinge posts are of the size remembered from the standard for the leaf."""
    if kind.family != "chain link":
        return
    for label in gate.hinge:
        post = next((post for post in design.posts if post.label == label), None)
        if post is None or not post.number:
            continue
        carries = max((leaf for od, leaf in gate_post_table() if od <= post.width_m + 1e-4), default=0.0)
        if gate.leaf_m > carries + 1e-6:
            draft.remark(
                "gate-post-light", "caution", f"gate {gate.name}",
                post=label, section=post.section, leaf_m=gate.leaf_m, carries_m=carries,
            )  # fmt: skip
