"""Old fences beside the new strings: where their posts stand on the tape, and what they are in the way of."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator

from palewright.model import Remark, Removal, Site, StringLine
from palewright.plane import XY, dot, segment_distance, sub
from palewright.stakeout.line import Line
from palewright.stakeout.stakes import zone_clear
from palewright.stakeout.strings import reading

__all__ = ["NEAR_M", "old_fences"]

NEAR_M = 0.3048
"""A string this near an old post or its footing bends round it, or is in the way when it is pulled [m] (our choice)."""
_BESIDE_M = 3.048
"""Farther than 10 ft from every string, an old post is not told by a string's tape [m] (our choice)."""


def old_fences(site: Site, lines: list[Line], strings: list[StringLine], remarks: list[Remark]) -> None:
    """Add to ``remarks`` where each old post stands along a string, strings near one, and those in a marked zone.

    Old posts have no marks: they are counted from the first point of their fence, no. 1, 2, 3, ...
    """
    pairs = list(zip(lines, strings, strict=True))
    for removal in site.removals:
        remarks.extend(_beside(removal, pairs))
        remarks.extend(_near(removal, strings))
        remarks.extend(_in_zones(removal, site))


def _beside(removal: Removal, pairs: list[tuple[Line, StringLine]]) -> Iterator[Remark]:
    """Old posts in a row on one side of one string: from where to where, and how far off.

    The string beside most of the posts tells as many as it can, the next one those that are left.
    """
    left = dict(enumerate(removal.posts, start=1))
    while left:
        told = [(line, _places(left, line, string)) for line, string in pairs]
        line, places = max(told, key=lambda pair: len(pair[1]), default=(None, {}))
        if line is None or not places:
            return
        rows = [(k - n, places[k][1] < 0.0, k) for n, k in enumerate(places)]
        for _, row in itertools.groupby(rows, lambda at: at[:2]):
            yield _row(removal, line.name, {k: places[k] for _, _, k in row})
        left = {k: xy for k, xy in left.items() if k not in places}


def _places(posts: dict[int, XY], line: Line, string: StringLine) -> dict[int, tuple[float, float]]:
    """Reading on the tape and distance from the string (minus: on the fence side) of the old posts beside a string."""
    places = {}
    for k, xy in posts.items():
        reads = reading(line, dot(sub(xy, line.base), line.d))
        if reads >= 0.0 and segment_distance(xy, string.start_xy, string.end_xy) <= _BESIDE_M:
            places[k] = (reads, dot(sub(xy, line.base), line.n) - line.offset)
    return places


def _row(removal: Removal, name: str, row: dict[int, tuple[float, float]]) -> Remark:
    reads, offs = [reads for reads, _ in row.values()], [abs(off) for _, off in row.values()]
    return Remark(
        "old-posts-beside",
        "note",
        removal.name,
        (
            ("fence", removal.name),
            ("posts", _numbers(row)),
            ("count", len(row)),
            ("string", name),
            ("from_m", reads[0]),
            ("to_m", reads[-1]),
            ("near_m", min(offs)),
            ("far_m", max(offs)),
            ("side", "fence side" if min(off for _, off in row.values()) < 0.0 else "far side"),
        ),
    )


def _near(removal: Removal, strings: list[StringLine]) -> Iterator[Remark]:
    """Strings that pass close to an old post or its footing."""
    for string in strings:
        clear = {
            k: segment_distance(xy, string.start_xy, string.end_xy) - removal.footing_m / 2.0
            for k, xy in enumerate(removal.posts, start=1)
        }
        close = [k for k, gap in clear.items() if gap < NEAR_M]
        if close:
            slug = "string-near-old-post" if removal.then == "pull" else "string-near-left-post"
            args = (("string", string.name), ("fence", removal.name), ("posts", _numbers(close)), ("count", len(close)))
            least = min(clear[k] for k in close)
            more = (("clear_m", least),) if least > 0.0 else ()
            yield Remark(slug, "caution", f"string {string.name}", (*args, *more))


def _in_zones(removal: Removal, site: Site) -> Iterator[Remark]:
    """Old posts that are pulled out of ground where holes are dug by hand or not at all."""
    if removal.then != "pull":
        return
    for zone in site.zones:
        if zone.kind not in ("hand dig", "no hole", "pin") or zone.name.startswith(f"{removal.name}, old footing "):
            continue
        inside = [k for k, xy in enumerate(removal.posts, start=1) if zone_clear(zone, xy) < removal.footing_m / 2.0]
        if inside:
            args = (
                ("fence", removal.name), ("posts", _numbers(inside)), ("count", len(inside)), ("zone", zone.name)
            )  # fmt: skip
            yield Remark("old-post-in-zone", "caution", removal.name, args)


def _numbers(numbers: Iterable[int]) -> str:
    """Rising numbers in few words.

    >>> _numbers([1, 2, 3, 7, 8])
    '1-3, 7, 8'
    """
    rows: list[list[int]] = []
    for number in numbers:
        if rows and rows[-1][-1] == number - 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    parts = [[f"{row[0]}-{row[-1]}"] if len(row) > 2 else [str(n) for n in row] for row in rows]
    return ", ".join(part for row in parts for part in row)
