"""Chain link: fabric, rails, wire and fittings."""

from __future__ import annotations

import math

from palewright.model import Kind, Post
from palewright.supply.counts import rail_sticks, tension_bands, ties_on_post, whole_units
from palewright.supply.draft import Draft, Piece, bay_numbers, code_of, feet, feet_words, inches, labels, number, word

__all__ = ["take_mesh"]

_FOOT = 0.3048
_TIE_RAIL = 2 * _FOOT
_BARB_ROLL = 1320 * _FOOT


def take_mesh(draft: Draft, kind: Kind, pieces: list[Piece], posts: list[Post]) -> None:
    """Everything of a chain-link fence above its posts. Each piece between terminals has two ends of fabric."""
    if not pieces:
        return
    total = math.fsum(piece.along_m for piece in pieces)
    bays = bay_numbers(pieces)
    line = [post for post in posts if post.role == "line"]
    terminals = [post for post in posts if post.number and post.role != "line"]
    ends = [end for piece in pieces for end in (piece.start, piece.end)]
    fabric = f"fabric.{inches(kind.infill_m)}in.{code_of(word(kind, 'gauge'))}ga"
    roll = number(kind, "roll")
    draft.add(
        f"{fabric}.{feet(roll)}ft",
        "fabric",
        f"{inches(kind.infill_m)} in, {word(kind, 'gauge')} gauge",
        total,
        "fabric",
        unit="m",
        waste=number(kind, "fabric waste"),
        per=roll,
        buy_unit=f"roll of {feet(roll)} ft",
        bays=bays,
        rule="sum of the pieces without gates; rolls join by one woven picket, so that pieces add",
        source="byesville",
    )
    if kind.rails:
        _top_rail(draft, kind, pieces, bays)
    _wire(draft, kind, pieces, total, bays)
    _ends(draft, kind, ends, bays)
    _caps(draft, kind, line, terminals)
    _ties(draft, kind, line, total, bays)
    _barbs(draft, kind, line, terminals, total, bays)


def _top_rail(draft: Draft, kind: Kind, pieces: list[Piece], bays: tuple[int, ...]) -> None:
    stick, size = kind.rail_stock_m, word(kind, "rail size")
    total = math.fsum(piece.along_m for piece in pieces)
    sleeved, apart = rail_sticks([piece.along_m for piece in pieces], stick)
    note = ""
    if apart > sleeved:
        note = "cut ends may be sleeved, so that leftovers are used"
        draft.remark("rails-sleeved", "note", f"fence {kind.name}", sticks=sleeved, without=apart)
    draft.add(
        f"rail.top.{code_of(size)}in.{feet(stick)}ft",
        "top-rail",
        f"{size} in x {feet_words(stick)}",
        total,
        "rails",
        unit="m",
        per=stick,
        bays=bays,
        rule="sum of the pieces / length of a rail, rounded up once: leftovers are coupled",
        source="from memory",
        note=note,
    )
    draft.add(
        f"sleeve.{code_of(size)}in",
        "rail-sleeve",
        f"{size} in",
        apart - sleeved,
        "fittings",
        bays=bays,
        rule="one for each rail saved by using a leftover",
    )


def _wire(draft: Draft, kind: Kind, pieces: list[Piece], total: float, bays: tuple[int, ...]) -> None:
    if not kind.value("tension wire"):
        return
    extra = number(kind, "wire extra")
    draft.add(
        "wire.tension",
        "tension-wire",
        "",
        total + extra * len(pieces),
        "fabric",
        unit="m",
        per=_FOOT,
        buy_unit="ft",
        bays=bays,
        rule="sum of the pieces, and more for each to tie off",
        source="clest",
    )
    draft.add(
        "ring.hog",
        "hog-ring",
        "",
        whole_units(total, _TIE_RAIL),
        "fittings",
        bays=bays,
        rule="one for each 2 ft of tension wire",
        source="clest",
    )


def _ends(draft: Draft, kind: Kind, ends: list[Post], bays: tuple[int, ...]) -> None:
    """The set of fittings at each end of fabric; a corner has two ends and takes two sets.

    Bands go round pipes, each size by itself; a post that is no pipe, shared with another fence, is told.
    """
    count, served, pipes = len(ends), _once(ends), _pipes(draft, kind, ends)
    rails = bool(kind.rails) + bool(kind.value("brace"))
    bands = tension_bands(kind.infill_m, word(kind, "band rule"))
    top = f"{inches(kind.infill_m - 2 * 0.0254)} in"
    draft.add(
        f"bar.tension.{top.replace(' ', '')}", "tension-bar", top, count, "fittings", posts=served,
        rule="one at each end of fabric, 2 in shorter than the fabric",
    )  # fmt: skip
    for size in dict.fromkeys(size for _, size in pipes):
        _bands(draft, kind, size, [post for post, of in pipes if of == size], (bands, rails))
    draft.add(
        "end.rail", "rail-end", "", rails * count, "fittings", posts=served,
        rule="one for each rail that ends on a terminal",
    )  # fmt: skip
    draft.add(
        "bolt.carriage", "carriage-bolt", "5/16 x 1 1/4 in", (bands + rails) * len(pipes), "fittings",
        posts=_once([post for post, _ in pipes]),
        rule="one for each band", source="from memory",
    )  # fmt: skip
    if kind.value("brace"):
        _braces(draft, kind, count, served, bays)


def _pipes(draft: Draft, kind: Kind, ends: list[Post]) -> list[tuple[Post, str]]:
    """The ends of fabric that bands go round, each with the size of its pipe (of the half post at a wall)."""
    square = _once([post for post in ends if post.number and not post.round])
    if square:
        draft.remark("mesh-on-square-post", "caution", "fittings", fence=kind.name, posts=", ".join(square))
    half_post = kind.post("end").name
    return [(post, post.section if post.number else half_post) for post in ends if post.round or not post.number]


def _bands(draft: Draft, kind: Kind, size: str, ends: list[Post], each: tuple[int, int]) -> None:
    """Tension bands and brace bands of one size; ``each``: how many of both an end takes."""
    said = "height in feet less one" if word(kind, "band rule") == "height" else "three by home rule"
    for what, count, rule in (
        ("tension", each[0], f"at each end of fabric: {said}"),
        ("brace", each[1], "one for each rail end"),
    ):
        draft.add(
            f"band.{what}.{code_of(size)}in", f"{what}-band", f"{size} in", count * len(ends), "fittings",
            posts=_once(ends), rule=rule,
        )  # fmt: skip


def _braces(draft: Draft, kind: Kind, count: int, served: tuple[str, ...], bays: tuple[int, ...]) -> None:
    """A brace rail with its truss rod at each end of fabric."""
    size = word(kind, "brace size")
    longest = kind.longest_m
    draft.add(
        f"rail.brace.{code_of(size)}in", "brace-rail", f"{size} in x {feet_words(longest)}", count, "rails",
        posts=served, bays=bays, rule="one at each end of fabric, one bay long", source="mil1013",
    )  # fmt: skip
    draft.add(
        "rod.truss", "truss-rod", "3/8 in", count, "fittings", posts=served,
        rule="one at each end of fabric", source="mil1013",
    )  # fmt: skip


def _once(posts: list[Post]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(labels(posts)))


def _caps(draft: Draft, kind: Kind, line: list[Post], terminals: list[Post]) -> None:
    for section in dict.fromkeys(post.section for post in terminals):
        mine = [post for post in terminals if post.section == section]
        draft.add(
            f"cap.dome.{code_of(section)}in", "dome-cap", f"{section} in", len(mine), "caps", posts=labels(mine),
            rule="one for each terminal post",
        )  # fmt: skip
    for section in dict.fromkeys(post.section for post in line):
        mine = [post for post in line if post.section == section]
        rail = word(kind, "rail size") if kind.rails else ""
        code = f"cap.loop.{code_of(section)}in" + (f".{code_of(rail)}in" if rail else "")
        draft.add(
            code, "loop-cap", f"{section} x {rail} in" if rail else f"{section} in", len(mine), "caps",
            posts=labels(mine), rule="one for each line post",
        )  # fmt: skip


def _ties(draft: Draft, kind: Kind, line: list[Post], total: float, bays: tuple[int, ...]) -> None:
    rule = word(kind, "tie rule")
    each = ties_on_post(kind.infill_m, rule)
    said, source = {
        "f567": ("on each line post, at most 15 in apart", "byesville"),
        "12 in": ("on each line post, 12 in apart", "from memory"),
        "home": ("three on each line post, by home rule", "clest"),
    }[rule]
    draft.add(
        "tie.post", "post-tie", "", each * len(line), "fittings", posts=labels(line),
        rule=said, source=source,
    )  # fmt: skip
    if kind.rails:
        draft.add(
            "tie.rail", "rail-tie", "", whole_units(total, _TIE_RAIL), "fittings", bays=bays,
            rule="one for each 2 ft of rail", source=source if rule != "12 in" else "byesville",
        )  # fmt: skip


def _barbs(
    draft: Draft, kind: Kind, line: list[Post], terminals: list[Post], total: float, bays: tuple[int, ...]
) -> None:
    strands = int(number(kind, "barbed strands"))
    if not strands:
        return
    draft.add(
        "wire.barbed", "barbed-wire", "12 1/2 gauge", strands * total, "fabric", unit="m", per=_BARB_ROLL,
        buy_unit="roll of 1320 ft", bays=bays, rule="strands x length", source="from memory",
    )  # fmt: skip
    for what, mine in (("barb-arm", line), ("corner-arm", terminals)):
        draft.add(f"arm.{what}", what, "", len(mine), "fittings", posts=labels(mine), rule="one for each post")
