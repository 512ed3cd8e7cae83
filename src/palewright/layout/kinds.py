"""Kinds of fence: a kind of the catalogue (data, :mod:`palewright.tables`) with the job's own values laid over.

What is worked out here and not typed: the height from ground to highest part, the tops of the posts, the heights of the
rails, and how far the faces of the fence stand from the line of post centres.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from palewright.errors import JobError, NotationError, Problem, TableError, Where
from palewright.layout._kind_holes import hole_rules
from palewright.model import FenceSpec, Kind, PostSize, RackRule
from palewright.tables import KeySpec, KindTable, Section, kind_names, kind_table, read_kind_file, section

__all__ = ["catalogue", "resolve"]

Scalar = float | int | str | bool
Values = dict[str, Scalar]
_ROLES = ("line", "end", "corner", "tee", "change", "gate")
_SLACK = 1e-9
_HINTS = {
    "height": "the height is worked out: give the boards, panel or fabric and the bottom gap",
    "gap": 'say which: "bottom gap" or "board gap"',
    "pickets": 'the boards are "board" (their length) and "board size"',
    "hole": 'say which: "hole.line", "hole.end", "hole.gate" are diameters, "hole.depth" is the depth',
    "post": 'say which: "post.line", "post.end", "post.corner", "post.gate"',
}


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
    base = _base(spec, problems)
    if base is None:
        raise JobError(problems)
    table, laid_over = base
    values, typed = _values(table, laid_over, problems)
    if problems:
        raise JobError(problems)
    _follow_height(table, values)
    for reason, keys in _conflicts(table, values):
        at = next((laid_over[key][1] for key in keys if key in laid_over), spec.at)
        problems.append(Problem("kind-values-conflict", reason, where=at, hint="change " + " or ".join(keys)))
    problems += _good_side(spec, table, values)
    if problems:
        raise JobError(problems)
    return _build(spec, table, values, typed)


# ---------------------------------------------------------------- values


def _base(spec: FenceSpec, problems: list[Problem]) -> tuple[KindTable, dict[str, tuple[Scalar, Where]]] | None:
    """The catalogue kind, and what is laid over it with the places: the firm's file first, then the job's values."""
    laid_over: dict[str, tuple[Scalar, Where]] = {}
    name = spec.kind
    places = dict(spec.value_places)
    if spec.kind_file:
        at = places.get("kind file", spec.at)
        path = Path(spec.kind_file)
        if not path.is_absolute() and spec.at.file:
            path = Path(spec.at.file).parent / path
        try:
            own = read_kind_file(path)
        except TableError as error:
            problems.append(
                Problem(
                    "kind-file-unusable",
                    "the file of the firm's own kind cannot be used",
                    where=at,
                    found=str(error),
                    hint="it is a TOML file with name, based on and a table values",
                )
            )
            return None
        name = own.based_on
        for key, value in own.values:
            laid_over[key] = (value, Where(file=spec.kind_file, thing=f"kind {own.name}, {key}"))
    if name not in kind_names():
        near = _nearest(name, kind_names())
        problems.append(
            Problem(
                "kind-unknown",
                "there is no such kind of fence",
                where=places.get("kind", spec.at),
                found=name or "nothing",
                allowed=", ".join(kind_names()),
                hint=f"did you mean {near}?" if near else "a kind of your own is a file: see docs/kinds.md",
            )
        )
        return None
    laid_over.update((key, (value, places.get(key, spec.at))) for key, value in spec.values)
    return kind_table(name), laid_over


def _values(
    table: KindTable, laid_over: dict[str, tuple[Scalar, Where]], problems: list[Problem]
) -> tuple[Values, set[str]]:
    values: Values = {key: entry.value for key, entry in table.keys.items() if entry.value is not None}
    for key, (value, at) in laid_over.items():
        entry = table.keys.get(key)
        if entry is None:
            problems.append(_unknown_key(table, key, value, at))
            continue
        checked = _check(entry, value, at)
        if isinstance(checked, Problem):
            problems.append(checked)
        else:
            values[key] = checked
    return values, set(laid_over)


def _unknown_key(table: KindTable, key: str, value: Scalar, at: Where) -> Problem:
    near = _nearest(key, tuple(table.keys))
    hint = _HINTS.get(key) or (
        f'did you mean "{near}"?' if near else "the keys of each kind are listed in docs/kinds.md"
    )
    if key == "longest bay" and "module" in table.keys:
        hint = 'panels have a "module": the longest bay is a whole panel'
    return Problem(
        "kind-key-unknown",
        f"the kind {table.name} has no such key",
        where=at,
        found=key,
        allowed=", ".join(table.keys),
        hint=hint,
    )


def _nearest(word: str, words: tuple[str, ...]) -> str:
    import difflib

    found = difflib.get_close_matches(word, words, 1, 0.6)
    return found[0] if found else ""


def _check(entry: KeySpec, value: Scalar, at: Where) -> Scalar | Problem:
    """The value in the type of its key, or what is wrong with it."""
    made = _MAKERS[entry.type](entry, value)
    if isinstance(made, str) and entry.type in ("word", "section"):
        if made in entry.allowed or (entry.optional and not made):
            return made
        near = _nearest(made, entry.allowed)
        return _wrong(entry, value, at, f"did you mean {near}?" if near else "")
    if made is None:
        return _wrong(entry, value, at, "")
    if isinstance(made, (int, float)) and not isinstance(made, bool):
        low = -math.inf if entry.least is None else entry.least
        high = math.inf if entry.most is None else entry.most
        if not low - _SLACK <= made <= high + _SLACK:
            return _wrong(entry, value, at, "")
    return made


def _length(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, str):
        from palewright.notation import parse_length

        try:
            return float(parse_length(value).m)
        except NotationError:
            return None
    return None if isinstance(value, bool) or not math.isfinite(value) else float(value)


def _count(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, str):
        return int(value) if value.isascii() and value.isdigit() else None
    if isinstance(value, bool) or not math.isfinite(value) or value != int(value):
        return None
    return int(value)


def _ratio(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, str):
        top, _, bottom = value.partition("/")
        try:
            return float(top) / float(bottom or 1)
        except (ValueError, ZeroDivisionError):
            return None
    return None if isinstance(value, bool) or not math.isfinite(value) else float(value)


def _word(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, bool):
        return "yes" if value else "none"
    if isinstance(value, float) and value == int(value):
        value = int(value)
    text = " ".join(str(value).split())
    if entry.optional and text in ("none", "no"):
        return ""
    return text


def _name_of_section(entry: KeySpec, value: Scalar) -> Scalar | None:
    """The trade name; a length ("2 3/8 in") stands for the section of that width."""
    if isinstance(value, float):
        for name in entry.allowed:
            if abs(section(entry.table, name).width_m - value) < 1e-4:
                return name
    return _word(entry, value)


def _flag(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, bool):
        return value
    return {"yes": True, "no": False}.get(str(value).strip().lower())


_MAKERS: dict[str, Callable[[KeySpec, Scalar], Scalar | None]] = {
    "length": _length,
    "count": _count,
    "ratio": _ratio,
    "word": _word,
    "section": _name_of_section,
    "flag": _flag,
}


def _wrong(entry: KeySpec, value: Scalar, at: Where, hint: str) -> Problem:
    allowed = {"flag": "yes or no", "length": "a length", "count": "a whole number", "ratio": "a number"}.get(
        entry.type, ""
    )
    if entry.allowed:
        allowed = ", ".join((*entry.allowed, "none") if entry.optional else entry.allowed)
    elif entry.least is not None and entry.most is not None:
        allowed += f" from {_shown(entry, entry.least)} to {_shown(entry, entry.most)}"
    if isinstance(value, bool):
        found = "yes" if value else "no"
    else:
        found = value if isinstance(value, str) else _shown(entry, float(value))
    return Problem(
        "kind-value-wrong",
        f'"{entry.name}" cannot be this',
        where=at,
        found=found or "nothing",
        allowed=allowed,
        hint=hint,
    )


def _shown(entry: KeySpec, value: float) -> str:
    return f"{round(value / 0.0254, 3):g} in" if entry.type == "length" else f"{value:g}"


def _follow_height(table: KindTable, values: Values) -> None:
    """Fill in the counts that follow the height of the infill."""
    for key, entry in table.keys.items():
        if key not in values and entry.by:
            height = _number(values, table.infill)
            values[key] = next((count for limit, count in entry.by if height <= limit + _SLACK), entry.by[-1][1])
    if table.family == "boards" and values["pattern"] == "horizontal":
        values["rails"] = 0


# ---------------------------------------------------------------- checks


def _conflicts(table: KindTable, values: Values) -> list[tuple[str, tuple[str, ...]]]:
    """What cannot be true together, each with the keys to change."""
    found: list[tuple[str, tuple[str, ...]]] = []
    longest = _longest(values)
    if _number(values, "shortest bay") > longest + _SLACK:
        found.append(("the shortest bay is longer than the longest", ("shortest bay", _bay_key(values))))
    rail = float(values.get("rail stock", 0.0))
    if rail and table.family in ("boards", "post and rail") and values["rails"] and rail < longest - _SLACK:
        found.append(("a rail as bought is shorter than the longest bay", ("rail stock", "longest bay")))
    if table.family == "boards":
        found += _board_conflicts(values)
    if (
        table.family == "post and rail"
        and _number(values, "bottom rail") + _number(values, "rail depth") / 2 * (2 * int(values["rails"]) - 1)
        > _number(values, "top of rails") + _SLACK
    ):
        found.append(("the rails do not fit one above the other", ("bottom rail", "top of rails", "rails")))
    depth, gravel = _number(values, "hole.depth"), _number(values, "hole.gravel")
    if depth and depth <= gravel:
        found.append(("the hole is no deeper than its gravel", ("hole.depth", "hole.gravel")))
    for role, size in _posts(table, values):
        key = f"hole.{role}" if f"hole.{role}" in values else "hole.end"
        diameter = _number(values, key)
        if diameter and diameter <= size.diagonal_m:
            found.append((f"the {role} post does not fit into its hole", (key, f"post.{role}")))
    return found


def _board_conflicts(values: Values) -> list[tuple[str, tuple[str, ...]]]:
    found: list[tuple[str, tuple[str, ...]]] = []
    width = _section("lumber", values, "board size").width_m
    if values["pattern"] in ("board on board", "both sides") and 2 * _number(values, "overlap") >= width:
        found.append(("the overlap takes half a board or more", ("overlap", "board size")))
    board = _number(values, "board")
    if values["rails"] and _number(values, "bottom rail") + _number(values, "top rail") >= board:
        found.append(("the rails do not fit on the boards", ("board", "bottom rail", "top rail")))
    stock = _number(values, "board stock")
    if stock and values["pattern"] != "horizontal" and stock < board - _SLACK:
        found.append(("a board as bought is shorter than the boards of the fence", ("board stock", "board")))
    if stock and values["pattern"] == "horizontal" and stock < _longest(values) - _SLACK:
        found.append(("a board as bought is shorter than the longest bay", ("board stock", "longest bay")))
    if values["cap board"] and _number(values, "reveal") > 0:
        found.append(("a cap board lies on the posts, so that they cannot stand above it", ("cap board", "reveal")))
    if values["cap board"] and values["post cap"]:
        found.append(("a cap board and post caps cannot both be on top of the posts", ("cap board", "post cap")))
    return found


def _two_faced(table: KindTable, values: Values) -> bool:
    if table.family == "boards":
        return values["pattern"] != "both sides"
    return table.family == "post and rail" and values["rail mount"] == "on face"


def _good_side(spec: FenceSpec, table: KindTable, values: Values) -> list[Problem]:
    allowed = ("neighbour", "yard") if _two_faced(table, values) else ("neighbour", "yard", "both")
    if spec.good_side in allowed:
        return []
    at = dict(spec.value_places).get("good side", spec.at)
    if not spec.good_side:
        if not _two_faced(table, values):
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


# ---------------------------------------------------------------- building


def _build(spec: FenceSpec, table: KindTable, values: Values, typed: set[str]) -> Kind:
    gap, infill = _number(values, "bottom gap") if "bottom gap" in values else 0.0, _number(values, table.infill)
    low = _lowest(values) if table.family == "post and rail" else gap
    words, post_tops = _HEIGHTS[table.family](values, gap, infill)
    posts = _posts(table, values)
    front, back = _faces(table, values, posts)
    longest = _longest(values)
    two_faced = _two_faced(table, values)
    good = spec.good_side or ("both" if table.family != "chain link" else "neighbour")
    if table.family == "boards" and not two_faced:
        good = "both"
    board = _section("lumber", values, "board size").width_m if "board size" in values else 0.0
    pattern = str(values["pattern"])
    over = pattern in ("board on board", "both sides")
    rise = _number(values, "rack rise")
    sources = {key: "as typed" if key in typed else entry.source for key, entry in table.keys.items() if key in values}
    return Kind(
        name=spec.name,
        kind=table.name,
        family=table.family,
        pattern=pattern,
        good_side=good,
        two_faced=two_faced,
        height_m=math.fsum(part for _, part in words),
        height_words=words,
        bottom_gap_m=low,
        infill_m=gap + infill - low,
        top_m=gap + infill,
        longest_m=longest,
        shortest_m=_number(values, "shortest bay") or longest / 3,
        module_m=_number(values, "module") if "module" in values else None,
        front_m=front,
        back_m=back,
        posts=posts,
        post_top_m=post_tops,
        holes=hole_rules(table, values, posts, infill, sources),
        rails=_rails(table, values),
        rail_heights_m=_rail_heights(table, values, gap, infill),
        rail_stock_m=float(values.get("rail stock", 0.0)),
        board_width_m=board,
        board_gap_m=_number(values, "board gap") if pattern in ("spaced", "horizontal") else 0.0,
        board_overlap_m=_number(values, "overlap") if over else 0.0,
        rack=RackRule(rise, _number(values, "rack over"), sources["rack rise"]) if rise else None,
        values=tuple(values.items()),
        sources=tuple(sources.items()),
    )


def _lowest(values: Values) -> float:
    """Bottom edge of the lowest rail above ground [m]."""
    return _number(values, "bottom rail") - _number(values, "rail depth") / 2


Words = tuple[tuple[str, float], ...]


def _board_heights(values: Values, gap: float, infill: float) -> tuple[Words, Words]:
    words = [("bottom gap", gap), ("board", infill)]
    reveal = _number(values, "reveal")
    if reveal:
        words.append(("reveal", reveal))
    if values["post cap"]:
        words.append(("post cap", _number(values, "cap height")))
    if values["cap board"]:
        words.append(("cap board", _section("lumber", values, "cap board").thick_m))
    return tuple(words), (("line", gap + infill + reveal),)


def _panel_heights(values: Values, gap: float, infill: float) -> tuple[Words, Words]:
    words = [("bottom gap", gap), ("panel", infill)]
    reveal = _number(values, "reveal")
    if reveal:
        words.append(("reveal", reveal))
    if values["post cap"]:
        words.append(("post cap", _number(values, "cap height")))
    return tuple(words), (("line", gap + infill + reveal),)


def _rail_fence_heights(values: Values, gap: float, infill: float) -> tuple[Words, Words]:
    words = [("top of rails", infill), ("reveal", _number(values, "reveal"))]
    if values["post cap"]:
        words.append(("post cap", _number(values, "cap height")))
    return tuple(words), (("line", infill + _number(values, "reveal")),)


def _mesh_heights(values: Values, gap: float, infill: float) -> tuple[Words, Words]:
    above, below = _number(values, "above fabric"), _number(values, "below fabric")
    words = [("bottom gap", gap), ("fabric", infill), ("terminal post above the fabric", above)]
    if values["barbed strands"]:
        words.append(("barbed wire", _number(values, "barb height")))
    top = gap + infill
    return tuple(words), (("line", top - below), ("end", top + above), ("gate", top + above))


_HEIGHTS = {
    "boards": _board_heights,
    "panels": _panel_heights,
    "post and rail": _rail_fence_heights,
    "chain link": _mesh_heights,
}


def _posts(table: KindTable, values: Values) -> tuple[tuple[str, PostSize], ...]:
    posts = []
    for role in _ROLES:
        name = values.get(f"post.{role}", "")
        if name:
            entry = section(table.posts, str(name))
            posts.append(
                (
                    role,
                    PostSize(
                        entry.name,
                        entry.width_m,
                        entry.thick_m,
                        entry.round,
                        entry.stocks_m,
                        entry.mass_kg_m,
                        entry.source,
                    ),
                )
            )
    return tuple(posts)


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
        front = back = max(thickest, _number(values, "panel thickness") / 2)
    elif table.family == "chain link":
        front = max(thickest, line + _number(values, "fabric thickness"))
    elif values["rail mount"] == "on face":
        front = max(thickest, line + _number(values, "rail thickness"))
    return front, back


def _board_faces(values: Values, line: float, thickest: float) -> tuple[float, float]:
    rail = _section("lumber", values, "rail size").thick_m
    board = _section("lumber", values, "board size").thick_m
    pattern = values["pattern"]
    if pattern == "both sides":
        front = back = max(thickest, rail / 2 + board)
    else:
        layers = 2 if pattern == "board on board" else 1
        on_face = values["rail mount"] == "on face" and pattern != "horizontal"
        front, back = max(thickest, line + (rail if on_face else 0.0) + layers * board), thickest
    if values["cap board"]:
        half = _section("lumber", values, "cap board").width_m / 2
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
        low, high = gap + _number(values, "bottom rail"), gap + infill - _number(values, "top rail")
    else:
        low, high = _number(values, "bottom rail"), infill - _number(values, "rail depth") / 2
    if count == 1:
        return (high,)
    return tuple(low + (high - low) * k / (count - 1) for k in range(count))


def _bay_key(values: Values) -> str:
    return "module" if "module" in values else "longest bay"


def _longest(values: Values) -> float:
    return _number(values, _bay_key(values))


def _number(values: Values, key: str) -> float:
    return float(values[key])


def _section(table: str, values: Values, key: str) -> Section:
    return section(table, str(values[key]))
