"""Posts of runs of wire as digs: each post of an assembly, and a row of holes and one of driven posts for a stretch."""

from __future__ import annotations

from palewright.layout.line_sizes import STEEL_M, post_depth
from palewright.model import DigItem, LinePlan, LinePost, PostZone, Stretch
from palewright.plane import path_place, path_stations

__all__ = ["line_digs"]


def line_digs(line: LinePlan) -> list[DigItem]:
    """Everything of a line that goes into the ground, driven posts among it.

    A row for a stretch says how many and how far apart; its place is that of the first post, and ``to`` that of the
    last.
    """
    held = [post for one in line.assemblies for post in one.posts]
    digs = [_post(line, post) for post in (*held, *line.fixed)]
    at = path_stations(line.path)
    for one in line.stretches:
        digs += _stretch(line, one, at)
    return digs


def _post(line: LinePlan, post: LinePost) -> DigItem:
    depth = post_depth(line.rules, post.role)
    hits = [hit for hit in line.in_zones if hit.label == post.label]
    return DigItem(
        post.label, "hole", post.xy, line.rules.number("hole"), depth, _hand(hits), _names(hits), run=line.run
    )


def _stretch(line: LinePlan, one: Stretch, at: list[float]) -> list[DigItem]:
    made = []
    mixed = bool(one.wood and one.steel)
    for what, count in (("hole", one.wood), ("driven post", one.steel)):
        if not count:
            continue
        driven = what == "driven post"
        numbers = [k for k in range(1, one.bays) if driven != (bool(one.wood_every) and k % one.wood_every == 0)]
        every = one.spacing_m * (one.wood_every if mixed else 1)
        hits = [hit for hit in line.in_zones if hit.stretch == one.number and hit.driven == driven]
        first, last = (path_place(line.path, at, one.from_m + (one.to_m - one.from_m) * k / one.bays) for k in
                       (numbers[0], numbers[-1]))  # fmt: skip
        made.append(
            DigItem(f"{one.start}-{one.end}", what, first, STEEL_M if driven else line.rules.number("hole"),
                    post_depth(line.rules, "steel" if driven else "wood"), _hand(hits), _names(hits), line.run,
                    count, None if mixed and driven else every, last)
        )  # fmt: skip
    return made


def _hand(hits: list[PostZone]) -> bool:
    return any(hit.kind == "hand dig" for hit in hits)


def _names(hits: list[PostZone]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(hit.zone for hit in hits))
