"""What cannot be true together in a kind of fence, and whether the good side must be said."""

from __future__ import annotations

from palewright.errors import Problem
from palewright.layout._kind_values import SLACK, Values, bay_key, longest_of, number, section_of
from palewright.model import FenceSpec, Kind
from palewright.tables import KindTable, gate_allowances

__all__ = ["conflicts", "good_side", "is_two_faced", "tight_holes"]


def conflicts(table: KindTable, values: Values) -> list[tuple[str, tuple[str, ...]]]:
    """What cannot be true together, each with the keys to change."""
    found: list[tuple[str, tuple[str, ...]]] = []
    longest = longest_of(values)
    if number(values, "shortest bay") > longest + SLACK:
        found.append(("the shortest bay is longer than the longest", ("shortest bay", bay_key(values))))
    rail = float(values.get("rail stock", 0.0))
    if rail and table.family in ("boards", "post and rail") and values["rails"] and rail < longest - SLACK:
        found.append(("a rail as bought is shorter than the longest bay", ("rail stock", "longest bay")))
    if table.family == "boards":
        found += _board_conflicts(values)
    if (
        table.family == "post and rail"
        and number(values, "bottom rail") + number(values, "rail depth") / 2 * (2 * int(values["rails"]) - 1)
        > number(values, "top of rails") + SLACK
    ):
        found.append(("the rails do not fit one above the other", ("bottom rail", "top of rails", "rails")))
    found += _gate_gaps(table, values)
    gravel = number(values, "hole.gravel")
    for key in ("hole.depth", "hole.least"):
        if values[key] and number(values, key) <= gravel:
            found.append(("the hole is no deeper than its gravel", (key, "hole.gravel")))
    return found


def _gate_gaps(table: KindTable, values: Values) -> list[tuple[str, tuple[str, ...]]]:
    """Gaps that lack their other half, where only the whole of a gate's hardware allowance is published."""
    allowance = gate_allowances().get(table.name)
    given = {name for name in ("hinge", "latch", "between") if values.get(f"gate.{name}")}
    if allowance is None or allowance.gaps_m or not given or ("hinge" in given and len(given) > 1):
        return []
    reason = "for this kind only the whole allowance of a gate is published, so that one gap alone says nothing"
    return [(reason, ("gate.hinge", "gate.latch", "gate.between"))]


def tight_holes(kind: Kind) -> list[tuple[str, tuple[str, ...]]]:
    """Posts that do not fit into their holes, whichever rule made the hole, each with the keys to change."""
    return [
        (f"the {role} post does not fit into its hole", (f"hole.{role}", f"post.{role}"))
        for role, rule in kind.holes
        if rule.diameter_m <= kind.post(role).diagonal_m
    ]


def _board_conflicts(values: Values) -> list[tuple[str, tuple[str, ...]]]:
    found: list[tuple[str, tuple[str, ...]]] = []
    width = section_of("lumber", values, "board size").width_m
    if values["pattern"] in ("board on board", "both sides") and 2 * number(values, "overlap") >= width:
        found.append(("the overlap takes half a board or more", ("overlap", "board size")))
    board = number(values, "board")
    if values["rails"] and number(values, "bottom rail") + number(values, "top rail") >= board:
        found.append(("the rails do not fit on the boards", ("board", "bottom rail", "top rail")))
    stock = number(values, "board stock")
    if stock and values["pattern"] != "horizontal" and stock < board - SLACK:
        found.append(("a board as bought is shorter than the boards of the fence", ("board stock", "board")))
    if stock and values["pattern"] == "horizontal" and stock < longest_of(values) - SLACK:
        found.append(("a board as bought is shorter than the longest bay", ("board stock", "longest bay")))
    if values["cap board"] and number(values, "reveal") > 0:
        found.append(("a cap board lies on the posts, so that they cannot stand above it", ("cap board", "reveal")))
    if values["cap board"] and values["post cap"]:
        found.append(("a cap board and post caps cannot both be on top of the posts", ("cap board", "post cap")))
    return found


def is_two_faced(table: KindTable, values: Values) -> bool:
    if table.family == "boards":
        return values["pattern"] != "both sides"
    return table.family == "post and rail" and values["rail mount"] == "on face"


def good_side(spec: FenceSpec, table: KindTable, values: Values) -> list[Problem]:
    allowed = ("neighbour", "yard") if is_two_faced(table, values) else ("neighbour", "yard", "both")
    if spec.good_side in (*allowed, "ask"):
        return []
    at = dict(spec.value_places).get("good side", spec.at)
    if not spec.good_side:
        if not is_two_faced(table, values):
            return []
        return [
            Problem(
                "good-side-missing",
                "this fence has a good side and a back, and it was not said who sees which",
                where=at,
                allowed=" or ".join(allowed),
                hint="write good side: neighbour, or good side: yard; local rules may decide it",
            )
        ]
    return [
        Problem(
            "good-side-wrong",
            "the good side cannot be this",
            where=at,
            found=spec.good_side,
            allowed=", ".join(allowed),
            hint='a fence that is the same on both sides is the pattern "both sides"'
            if spec.good_side == "both"
            else "",
        )
    ]
