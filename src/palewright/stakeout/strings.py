"""Strings with their stakes, zeros, readings, re-zero marks and sighted points."""

from __future__ import annotations

import math
from dataclasses import replace

from palewright.model import Job, Mark, Post, Remark, Stake, StringLine
from palewright.stakeout.arcs import arc_of
from palewright.stakeout.line import Line
from palewright.stakeout.stakes import Ground

__all__ = ["make_strings", "reading"]


def reading(line: Line, s: float) -> float:
    """What the tape reads at ``s`` from opposite the first post [m].

    The tape reads 0 at the zero or at the first post, whichever comes first, so that nothing reads less than 0.
    """
    return s - line.low + 0.0  # never -0


def make_strings(job: Job, lines: list[Line], ground: Ground, remarks: list[Remark]) -> list[StringLine]:
    """One StringLine for each line; what a reader must know goes into ``remarks``."""
    made = [_string(job, lines, k, ground, remarks) for k in range(len(lines))]
    remarks.extend(_moved(made))
    for line, string in zip(lines, made, strict=True):
        remarks.extend(_other_faces(line, string))
    return made


def _cause(cause: str) -> tuple[tuple[str, str], ...]:
    """A cause of ``Stake.moved`` as the argument of a remark: zone, post, or why."""
    what, _, name = cause.partition(" ")
    return ((what, name),) if name else (("why", what),)


def _moved(strings: list[StringLine]) -> list[Remark]:
    """One remark for each thing that stakes were moved because of."""
    causes: dict[str, list[str]] = {}
    for string in strings:
        for stake in string.stakes:
            if stake.moved and not stake.refused:
                causes.setdefault(stake.moved, []).append(stake.label)
    return [
        Remark("stake-moved", "note", "stakes", (("stake", ", ".join(labels)), *_cause(cause)))
        for cause, labels in causes.items()
    ]


def _other_faces(line: Line, string: StringLine) -> list[Remark]:
    """Posts of a string whose near face is not as far from it as the others', or is turned too far to have a distance.

    Post centres stand in one line: the near face of a thicker post is nearer to the string.
    """
    others: dict[float, list[str]] = {}
    turned: list[str] = []
    for mark in () if line.curved else string.marks:
        if mark.face_m is None:
            turned.append(mark.post)
        elif abs(mark.face_m - string.face_m) > _SAME_FACE_M:
            others.setdefault(round(mark.face_m, 6), []).append(mark.post)
    args = (("string", line.name), ("posts", ", ".join(turned)), ("centre_m", line.offset), ("count", len(turned)))
    return [
        Remark(
            "face-offset-differs",
            "note",
            f"string {line.name}",
            (
                ("string", line.name),
                ("posts", ", ".join(labels)),
                ("face_m", face),
                ("usual_m", string.face_m),
                ("count", len(labels)),
            ),
        )
        for face, labels in others.items()
    ] + [Remark("face-turned", "note", f"string {line.name}", args) for _ in turned[:1]]


def _string(job: Job, lines: list[Line], index: int, ground: Ground, remarks: list[Remark]) -> StringLine:
    line = lines[index]
    first, last = line.ends
    stakes, reach = _stakes(job, line, index, ground, remarks)
    marks, rezeros = _marks(job, line)
    low, high = first.s - reach[0], last.s + reach[1]
    sighted = ground.sighted(line, low, high, job.stakes.longest_string_m)
    _say(line, remarks)
    arc = arc_of(line)
    if ground.buildings_between(line.point(first.s), line.point(last.s)):
        remarks.append(Remark("string-meets-building", "caution", f"string {line.name}", (("string", line.name),)))
    return StringLine(
        name=line.name,
        leg=min(leg.index for leg in line.legs),
        run=line.legs[0].run,
        side=line.side,
        offset_m=line.offset,
        face_m=_face(line),
        stakes=stakes,
        length_m=high - low,
        zero=first.kind,
        zero_with=lines[first.partner].name if first.partner >= 0 else "",
        zero_xy=line.point(first.s),
        zero_reads_m=reading(line, first.s),
        first_reads_m=marks[0].reads_m if marks else reading(line, 0.0),
        end_reads_m=reading(line, last.s),
        end_with=lines[last.partner].name if last.partner >= 0 else "wall" if last.kind == "wall" else "",
        marks=marks,
        rezeros_m=rezeros,
        sighted_m=tuple(reading(line, s) for s in sighted),
        start_xy=line.point(low),
        end_xy=line.point(high),
        arc=replace(arc, check_m=reading(line, arc.check_m)) if arc is not None else None,
    )


def _stakes(
    job: Job, line: Line, index: int, ground: Ground, remarks: list[Remark]
) -> tuple[tuple[Stake, Stake], tuple[float, float]]:
    made: list[Stake] = []
    reach: list[float] = []
    for end, out in ((0, -1.0), (1, 1.0)):
        label = f"S{2 * index + end + 1}"
        what = line.ends[end]
        if what.kind == "wall":
            made.append(Stake(label, line.point(what.s), 0.0))
            reach.append(0.0)
            continue
        corner = what.s if end == 0 else line.at[-1] - what.s
        beyond, moved, refused = ground.place(line, end, corner, job.stakes.beyond_m)
        made.append(Stake(label, line.point(what.s + out * beyond), beyond, moved, refused))
        reach.append(max(corner, 0.0) if refused else beyond)
        about = f"string {line.name}"
        if refused:
            args = (("stake", label), ("string", line.name), *_cause(refused))
            remarks.append(Remark("stake-refused", "caution", about, args))
        if not refused:
            remarks.extend(
                Remark("stake-near-zone", "caution", about, (("stake", label), ("zone", zone), ("clear_m", clear)))
                for zone, clear in ground.zones_near(made[-1].xy)
            )
        if not refused and beyond < corner:
            post = line.posts[-1 if end else 0].label
            short = (("stake", label), ("string", line.name), ("post", post), ("short_m", corner - beyond))
            remarks.append(Remark("string-short-of-post", "note", about, short))
    return (made[0], made[1]), (reach[0], reach[1])


def _marks(job: Job, line: Line) -> tuple[tuple[Mark, ...], tuple[float, ...]]:
    """Marks of the holes; the tape is laid again from the last mark it reaches."""
    holes = [(post, reading(line, s)) for post, s in zip(line.posts, line.at, strict=True) if post.hole is not None]
    rezeros: list[float] = []
    marks: list[Mark] = []
    base, before = 0.0, 0.0
    for k, (post, reads) in enumerate(holes):
        while reads - base > job.tape_m + 1e-9:
            base = before if before > base else base + job.tape_m
            rezeros.append(base)
        gap = reads - before if k else 0.0
        off = line.off(post) if line.curved else None
        marks.append(Mark(post.label, reads, len(rezeros), reads - base, gap, post.role, off, _face_off(line, post)))
        before = reads
    end = reading(line, line.ends[1].s)
    while end - base > job.tape_m + 1e-9:
        base = before if before > base else base + job.tape_m
        rezeros.append(base)
    return tuple(marks), tuple(rezeros)


def _face_off(line: Line, post: Post) -> float | None:
    """Square off a string to where it meets the near face of this post [m]; None where the face turns far."""
    half = post.depth_m / 2.0
    if post.round:
        return line.off(post) - half
    turn = abs(math.remainder(post.axis - math.atan2(line.d[1], line.d[0]), math.pi))
    if turn > math.pi / 4.0:
        half, turn = post.width_m / 2.0, math.pi / 2.0 - turn
    return line.off(post) - half / math.cos(turn) if turn < _MOST_FACE_TURN else None


_MOST_FACE_TURN = math.radians(30.0)
"""A face that turns more from its string has no one distance to measure to (our own choice)."""

_SAME_FACE_M = 0.0004
"""Faces whose distances differ by no more are as far from the string: half of 1/32 in (our own choice)."""


def _face(line: Line) -> float:
    """String to the near face of most of its posts, line posts first [m]."""
    halves: dict[float, tuple[int, int]] = {}
    for post in line.posts:
        face = _face_off(line, post)
        if post.hole is not None and face is not None:
            half = round(line.off(post) - face, 9)
            lines, posts = halves.get(half, (0, 0))
            halves[half] = (lines + (post.role == "line"), posts + 1)
    return line.offset - max(halves, key=lambda half: halves[half], default=0.0)


def _say(line: Line, remarks: list[Remark]) -> None:
    about = f"string {line.name}"
    for end, post in zip(line.ends, (line.posts[0], line.posts[-1]), strict=True):
        args = (("string", line.name), ("post" if post.hole else "bracket", post.label))
        if end.kind == "stake line":
            remarks.append(Remark("crossing-too-flat" if end.flat else "zero-stake-line", "note", about, args))
        elif end.wall_assumed:
            remarks.append(Remark("wall-square-assumed", "assumption", about, args))
