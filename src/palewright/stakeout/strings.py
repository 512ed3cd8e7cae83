"""Strings with their stakes, zeros, readings, re-zero marks and sighted points."""

from __future__ import annotations

from palewright.model import Job, Mark, Post, Remark, Stake, StringLine
from palewright.stakeout.lines import Line
from palewright.stakeout.stakes import Ground

__all__ = ["make_strings", "reading"]


def reading(line: Line, s: float) -> float:
    """What the tape reads at ``s`` from opposite the first post [m]; never negative from the zero on.

    The zero stands at ``ends[0].s``: before the first post the tape reads 0 there, past it the first post reads 0.
    """
    return s - min(line.ends[0].s, 0.0)


def make_strings(job: Job, lines: list[Line], ground: Ground, remarks: list[Remark]) -> list[StringLine]:
    """One StringLine for each line; what a reader must know goes into ``remarks``."""
    return [_string(job, lines, k, ground, remarks) for k in range(len(lines))]


def _string(job: Job, lines: list[Line], index: int, ground: Ground, remarks: list[Remark]) -> StringLine:
    line = lines[index]
    first, last = line.ends
    stakes, reach = _stakes(job, line, index, ground, remarks)
    marks, rezeros = _marks(job, line)
    low, high = first.s - reach[0], last.s + reach[1]
    sighted = ground.sighted(line, low, high, job.stakes.longest_string_m)
    _say(line, remarks)
    if ground.buildings_between(line.point(first.s), line.point(last.s)):
        remarks.append(Remark("string-meets-building", "caution", f"string {line.name}", (("string", line.name),)))
    return StringLine(
        name=line.name,
        leg=min(leg.index for leg in line.legs),
        run=line.legs[0].run,
        side=line.side,
        offset_m=line.offset,
        face_m=_face(line, remarks),
        stakes=stakes,
        length_m=high - low,
        zero=first.kind,
        zero_with=lines[first.partner].name if first.partner >= 0 else "",
        zero_xy=line.point(first.s),
        zero_reads_m=reading(line, first.s),
        first_reads_m=reading(line, 0.0),
        end_reads_m=reading(line, last.s),
        end_with=lines[last.partner].name if last.partner >= 0 else "wall" if last.kind == "wall" else "",
        marks=marks,
        rezeros_m=rezeros,
        sighted_m=tuple(reading(line, s) for s in sighted),
        start_xy=stakes[0].xy,
        end_xy=stakes[1].xy,
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
            args = (("stake", label), ("string", line.name), ("why", refused))
            remarks.append(Remark("stake-refused", "caution", about, args))
        elif moved:
            args = (("stake", label), ("string", line.name), ("zone", moved))
            remarks.append(Remark("stake-moved", "note", about, args))
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
        marks.append(Mark(post.label, reads, len(rezeros), reads - base, reads - before if k else 0.0, post.role))
        before = reads
    end = reading(line, line.ends[1].s)
    while end - base > job.tape_m + 1e-9:
        base = before if before > base else base + job.tape_m
        rezeros.append(base)
    return tuple(marks), tuple(rezeros)


def _face(line: Line, remarks: list[Remark]) -> float:
    """String to the near face of most of its posts [m]; posts of another size are named in a remark."""
    sizes: dict[float, list[Post]] = {}
    for post in line.posts:
        if post.hole is not None:
            sizes.setdefault(round(post.depth_m, 6), []).append(post)
    if not sizes:
        return line.offset
    common = max(sizes, key=lambda size: (sum(post.role == "line" for post in sizes[size]), len(sizes[size])))
    for size, posts in sizes.items():
        if size != common:
            names = ", ".join(post.label for post in sorted(posts, key=lambda post: post.number))
            args = (("string", line.name), ("posts", names), ("face_m", line.offset - size / 2.0))
            remarks.append(Remark("face-offset-differs", "note", f"string {line.name}", args))
    return line.offset - common / 2.0


def _say(line: Line, remarks: list[Remark]) -> None:
    about = f"string {line.name}"
    for end, post in zip(line.ends, (line.posts[0], line.posts[-1]), strict=True):
        args = (("string", line.name), ("post", post.label))
        if end.kind == "stake line":
            remarks.append(Remark("crossing-too-flat" if end.flat else "zero-stake-line", "note", about, args))
        elif end.wall_assumed:
            remarks.append(Remark("wall-square-assumed", "assumption", about, args))
    if not line.yard_said:
        remarks.append(Remark("string-side-not-said", "assumption", about, (("string", line.name),)))
