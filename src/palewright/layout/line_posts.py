"""Every post of a line as one table: where it stands, what it is, on what ground, how long."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from palewright.layout.line import NAMES, LineArrays, Role
from palewright.layout.line_sizes import post_depth, post_length
from palewright.model import PostMove, WireRules

__all__ = ["COLUMNS", "LinePosts", "line_posts", "post_table"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

COLUMNS = np.dtype(
    [("station_m", "f8"), ("along_m", "f8"), ("x_m", "f8"), ("y_m", "f8"), ("ground_m", "f8"), ("length_m", "f8"),
     ("depth_m", "f8"), ("role", "u1")]
)  # fmt: skip
"""Columns of a table of posts: level station, distance along the ground, place, height of the ground, length of the
post and how deep it stands [m]; role as in :class:`palewright.layout.line.Role`."""


class LinePosts(NamedTuple):
    """Posts in walking order: distances along the ground [m], roles, and their assembly or stretch."""

    along: Floats
    role: Ints
    of: Ints


def line_posts(line: LineArrays, rules: WireRules) -> LinePosts:
    """Every post of a line, each once.

    rules
        "wood every": which line post of a stretch is of wood, 0 none; "span": length of a brace rail [m].
    """
    parts = [_assembly_posts(line), _brace_posts(line), _row(line, int(rules.number("wood every")))]
    parts.append(LinePosts(line.fixed, line.fixed_role, np.zeros(len(line.fixed), dtype=np.intp)))
    along, role, of = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.argsort(along, kind="stable")
    return LinePosts(along[order], role[order], of[order])


def _loop(line: LineArrays) -> bool:
    """Whether the last assembly is the first one again."""
    return bool(line.role[0] != Role.END and line.role[-1] == line.role[0])


def _assembly_posts(line: LineArrays) -> LinePosts:
    """The pulled posts: one of each assembly, two of a pull assembly that is braced."""
    n = len(line.along) - (1 if _loop(line) else 0)
    at, role, of = line.along[:n], line.role[:n], np.arange(n)
    two = (role == Role.PULL) & (line.reach_before[:n] > 0.0)
    low = np.where(two, at - line.reach_before[:n], at)
    more = of[two]
    return LinePosts(
        np.concatenate([low, at[more] + line.reach_after[more]]),
        np.concatenate([role, role[more]]),
        np.concatenate([of, more]),
    )


def _brace_posts(line: LineArrays) -> LinePosts:
    """Brace posts on both sides of assemblies, and the middle ones of double pull assemblies."""
    found: list[Floats] = []
    owners: list[Ints] = []
    plain = line.role != Role.PULL
    direct = np.concatenate([line.short == 2, [False]])
    shared = np.concatenate([[False], line.short >= 1])
    for spans, reach, sign, left_out in (
        (line.spans_after, line.reach_after, 1.0, direct),
        (line.spans_before, line.reach_before, -1.0, shared),
    ):
        for j in (1, 2):
            here = np.flatnonzero(plain & (spans >= j) & ~left_out)
            found.append(line.along[here] + sign * reach[here] * j / spans[here])
            owners.append(here)
    middle = np.flatnonzero((line.role == Role.PULL) & (line.spans_after == 2))
    found.append(line.along[middle])
    owners.append(middle)
    along = np.concatenate(found)
    return LinePosts(along, np.full(len(along), Role.BRACE, dtype=np.intp), np.concatenate(owners))


def _row(line: LineArrays, wood_every: int) -> LinePosts:
    """Line posts of the stretches; every so many of each stretch of wood."""
    count = line.bays - 1
    of = np.repeat(np.arange(len(count)), count)
    k = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count) + 1
    along = line.start[of] + k * line.spacing[of]
    wood = k % wood_every == 0 if wood_every else np.zeros(len(k), dtype=bool)
    return LinePosts(along, np.where(wood, Role.WOOD, Role.STEEL), of)


def post_table(line: LineArrays, rules: WireRules, moves: Sequence[PostMove] = ()) -> NDArray[Any]:
    """One row for each post of a line, in walking order, with the columns of :data:`COLUMNS`.

    moves
        line posts that do not stand where equal bays put them.
    """
    posts = line_posts(line, rules)
    for move in moves:
        posts.along[int(np.abs(posts.along - move.along_m).argmin())] += move.by_m
    station = line.way.level_of(posts.along)
    xy = line.way.xy_of(station)
    made = np.empty(len(station), dtype=COLUMNS)
    made["station_m"], made["along_m"] = station, posts.along
    made["x_m"], made["y_m"] = xy[:, 0], xy[:, 1]
    made["ground_m"] = np.interp(station, line.way.station, line.way.height)
    length, depth = np.array([(post_length(rules, role), post_depth(rules, role)) for role in NAMES]).T
    made["length_m"], made["depth_m"], made["role"] = length.take(posts.role), depth.take(posts.role), posts.role
    return made
