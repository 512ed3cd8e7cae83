"""Kinds of fence: a kind of the catalogue (data, :mod:`palewright.tables`) with the job's own values laid over.

What is worked out here and not typed: the height from ground to highest part, the tops of the posts, the heights of the
rails, and how far the faces of the fence stand from the line of post centres.
"""

from __future__ import annotations

import math

from palewright.errors import JobError, Problem
from palewright.layout._kind_checks import conflicts, good_side, is_two_faced, tight_holes
from palewright.layout._kind_holes import f567_depth, f567_diameter, hole_rules
from palewright.layout._kind_values import (
    LaidOver,
    Values,
    base_of,
    follow,
    longest_of,
    number,
    posts_of,
    section_of,
    values_of,
)
from palewright.model import FenceSpec, Kind, PostSize, RackRule
from palewright.tables import KindTable, kind_names

__all__ = ["catalogue", "f567_depth", "f567_diameter", "resolve"]


def catalogue() -> tuple[str, ...]:
    """Names of the kinds of fence that ship with the program.

    >>> "chain-link" in catalogue()
    True
    """
    return kind_names()


def resolve(spec: FenceSpec) -> Kind:
    """A fence as it will be built.

    spec
        the kind by name (or a firm's own file in ``kind_file``, looked for beside the job file) and values laid over.
    Returns the kind with every key in SI, the height worked out, and the source of each key ("as typed" where laid
    over).
    Raises JobError with every problem: unknown kind or key (with the nearest spelling), value out of range, values that
    contradict each other, good side not said where the two faces differ.

    >>> kind = resolve(FenceSpec("privacy", "boards", (("board", 1.8288),), good_side="neighbour"))
    >>> [(word, round(part / 0.0254, 3)) for word, part in kind.height_words]
    [('bottom gap', 2.0), ('board', 72.0)]
    """
    problems: list[Problem] = []
    base = base_of(spec, problems)
    if base is None:
        raise JobError(problems)
    table, laid_over = base
    values, typed = values_of(table, laid_over, problems)
    if problems:
        raise JobError(problems)
    follow(table, values, typed)
    problems += _contradictions(spec, laid_over, conflicts(table, values))
    problems += good_side(spec, table, values)
    if problems:
        raise JobError(problems)
    kind = _build(spec, table, values, typed)
    problems += _contradictions(spec, laid_over, tight_holes(kind))
    if problems:
        raise JobError(problems)
    return kind


def _contradictions(spec: FenceSpec, laid_over: LaidOver, found: list[tuple[str, tuple[str, ...]]]) -> list[Problem]:
    """Problems at the first of the keys that was laid over."""
    return [
        Problem(
            "kind-values-conflict",
            reason,
            where=next((laid_over[key][1] for key in keys if key in laid_over), spec.at),
            hint="change " + " or ".join(keys),
        )
        for reason, keys in found
    ]


def _build(spec: FenceSpec, table: KindTable, values: Values, typed: set[str]) -> Kind:
    gap, infill = number(values, "bottom gap") if "bottom gap" in values else 0.0, number(values, table.infill)
    low = _lowest(values) if table.family == "post and rail" else gap
    words, post_tops = _HEIGHTS[table.family](values, gap, infill)
    posts = posts_of(table, values)
    front, back = _faces(table, values, posts)
    longest = longest_of(values)
    two_faced = is_two_faced(table, values)
    board = section_of("lumber", values, "board size").width_m if "board size" in values else 0.0
    pattern = str(values["pattern"])
    over = pattern in ("board on board", "both sides")
    rise = number(values, "rack rise")
    sources = {key: "as typed" if key in typed else entry.source for key, entry in table.keys.items() if key in values}
    return Kind(
        name=spec.name,
        kind=table.name,
        family=table.family,
        pattern=pattern,
        good_side=_good_side(spec, table, two_faced),
        two_faced=two_faced,
        height_m=math.fsum(part for _, part in words),
        height_words=words,
        bottom_gap_m=low,
        infill_m=gap + infill - low,
        top_m=gap + infill,
        longest_m=longest,
        shortest_m=number(values, "shortest bay") or longest / 3,
        module_m=number(values, "module") if "module" in values else None,
        front_m=front,
        back_m=back,
        posts=posts,
        post_top_m=post_tops,
        holes=hole_rules(table, values, posts, infill, sources),
        rails=_rails(table, values),
        rail_heights_m=_rail_heights(table, values, gap, infill),
        rail_stock_m=float(values.get("rail stock", 0.0)),
        board_width_m=board,
        board_gap_m=number(values, "board gap") if pattern in ("spaced", "horizontal") else 0.0,
        board_overlap_m=number(values, "overlap") if over else 0.0,
        rack=RackRule(rise, number(values, "rack over"), sources["rack rise"]) if rise else None,
        values=tuple(values.items()),
        sources=tuple(sources.items()),
    )


def _good_side(spec: FenceSpec, table: KindTable, two_faced: bool) -> str:
    """Who gets the good side; "" where it matters and nobody said. What looks alike from both sides is good for both;
    fabric hangs on the outside unless said."""
    said = "" if spec.good_side == "ask" else spec.good_side
    if two_faced:
        return said
    if table.family == "boards":
        return "both"
    return said or ("neighbour" if table.family == "chain link" else "both")


def _lowest(values: Values) -> float:
    """Bottom edge of the lowest rail above ground [m]."""
    return number(values, "bottom rail") - number(values, "rail depth") / 2


Words = tuple[tuple[str, float], ...]


def _board_heights(values: Values, gap: float, infill: float) -> tuple[Words, Words]:
    words, tops = _panel_heights(values, gap, infill, "board")
    if values["cap board"]:
        words = (*words, ("cap board", section_of("lumber", values, "cap board").thick_m))
    return words, tops


def _panel_heights(values: Values, gap: float, infill: float, name: str = "panel") -> tuple[Words, Words]:
    reveal = number(values, "reveal")
    above = (("reveal", reveal),) if reveal else ()
    words = (("bottom gap", gap), (name, infill), *above, *_post_cap(values))
    return words, (("line", gap + infill + reveal),)


def _rail_fence_heights(values: Values, gap: float, infill: float) -> tuple[Words, Words]:
    reveal = number(values, "reveal")
    return (("top of rails", infill), ("reveal", reveal), *_post_cap(values)), (("line", infill + reveal),)


def _post_cap(values: Values) -> Words:
    return (("post cap", number(values, "cap height")),) if values["post cap"] else ()


def _mesh_heights(values: Values, gap: float, infill: float) -> tuple[Words, Words]:
    above, below = number(values, "above fabric"), number(values, "below fabric")
    words = [("bottom gap", gap), ("fabric", infill), ("terminal post above the fabric", above)]
    if values["barbed strands"]:
        words.append(("barbed wire", number(values, "barb height")))
    top = gap + infill
    return tuple(words), (("line", top - below), ("end", top + above), ("gate", top + above))


_HEIGHTS = {
    "boards": _board_heights,
    "panels": _panel_heights,
    "post and rail": _rail_fence_heights,
    "chain link": _mesh_heights,
}


def _faces(table: KindTable, values: Values, posts: tuple[tuple[str, PostSize], ...]) -> tuple[float, float]:
    """From the line of post centres to the outermost face, good side and other side [m].

    Boards and rails are set to the line posts; a thicker gate or corner post may stand out further.
    """
    line = posts[0][1].depth_m / 2
    thickest = max(size.depth_m for _, size in posts) / 2
    front = back = thickest
    if table.family == "boards":
        front, back = _board_faces(values, line, thickest)
    elif table.family == "panels":
        front = back = max(thickest, number(values, "panel thickness") / 2)
    elif table.family == "chain link":
        front = max(thickest, line + number(values, "fabric thickness"))
    elif values["rail mount"] == "on face":
        front = max(thickest, line + number(values, "rail thickness"))
    return front, back


def _board_faces(values: Values, line: float, thickest: float) -> tuple[float, float]:
    rail = section_of("lumber", values, "rail size").thick_m
    board = section_of("lumber", values, "board size").thick_m
    pattern = values["pattern"]
    if pattern == "both sides":
        front = back = max(thickest, rail / 2 + board)
    else:
        layers = 2 if pattern == "board on board" else 1
        on_face = values["rail mount"] == "on face" and pattern != "horizontal"
        front, back = max(thickest, line + (rail if on_face else 0.0) + layers * board), thickest
    if values["cap board"]:
        half = section_of("lumber", values, "cap board").width_m / 2
        front, back = max(front, half), max(back, half)
    return front, back


def _rails(table: KindTable, values: Values) -> int:
    if table.family == "chain link":
        return 1 if values["top rail"] else 0
    return int(values["rails"])


def _rail_heights(table: KindTable, values: Values, gap: float, infill: float) -> tuple[float, ...]:
    """Middles of the rails above ground, rising [m]; for panels spread over the panel, as the maker has them."""
    count = _rails(table, values)
    if count == 0:
        return ()
    if table.family == "chain link":
        return (gap + infill,)
    if table.family == "panels":
        low, high = gap, gap + infill
    elif table.family == "boards":
        low, high = gap + number(values, "bottom rail"), gap + infill - number(values, "top rail")
    else:
        low, high = number(values, "bottom rail"), infill - number(values, "rail depth") / 2
    if count == 1:
        return (high,)
    return tuple(low + (high - low) * k / (count - 1) for k in range(count))
