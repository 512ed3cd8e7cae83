"""Edits that draw: runs, zones, buildings, the line of the property, and what was measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from palewright.drafting.desk import Desk, checked_length, refuse
from palewright.drafting.edits import (
    Built,
    DrawBoundary,
    DrawBuilding,
    DrawOld,
    DrawRun,
    DrawZone,
    PasteDeed,
    Square,
    Tape,
    Walk,
    WalkOn,
    Wall,
)
from palewright.drafting.naming import new_name
from palewright.jobfile.writing import Plain

__all__ = [
    "built", "draw_boundary", "draw_building", "draw_old", "draw_run", "draw_zone", "no_boundary", "paste_deed",
    "square", "tape", "walk", "walk_on", "wall",
]  # fmt: skip


_TALL = {"panel": "panel", "chain-link": "fabric", "post-and-rail": "top of rails"}
"""What of a kind of fence says how tall it is, by a part of its name; of all others the board."""
_READS = ("reads", "inside angle", "bearing", "at")
"""Keys of what a measurement reads."""


def draw_run(desk: Desk, edit: DrawRun) -> None:
    """A run through points; with its fence, where the job has none yet."""
    if len(edit.points) < 2 and not edit.sides:
        raise refuse("edit-unusable", "a run needs two points or more", str(len(edit.points)))
    taken = {run.name for run in desk.job.runs}
    name = edit.name or new_name("run 1" if not taken else f"run {len(taken) + 1}", taken)
    if name in taken:
        raise refuse("name-taken", "another run has this name", name)
    fence = _fence(desk, edit.fence)
    row: dict[str, Plain] = {"name": name, "fence": fence}
    row |= _along_sides(desk, edit) if edit.sides else _through(desk, edit)
    row |= {"yard": edit.yard or "ask", "follows": edit.follows or "ask"}
    desk.append("runs", row, 1)
    desk.made.append(f"run {name}")


def _along_sides(desk: Desk, edit: DrawRun) -> dict[str, Plain]:
    """Sides by their numbers, or all of them, and how far inside them the face of the fence stands."""
    known = len(desk.site.ring.courses) if desk.site.ring is not None else 0
    every = edit.sides == ("all",)
    if not every and not all(side.isdecimal() and 1 <= int(side) <= known for side in edit.sides):
        raise refuse("edit-unusable", "the property has no such sides", ", ".join(edit.sides), f"1 to {known}, or all")
    checked_length(desk, edit.inside)
    row: dict[str, Plain] = {"sides": "all" if every else [int(side) for side in edit.sides]}
    ends = {"begins abreast of": edit.begins, "ends abreast of": edit.ends}
    row |= {key: desk.ref(name) for key, name in ends.items() if name}
    return row | {"inside boundary": {"face": edit.inside}}


def _through(desk: Desk, edit: DrawRun) -> dict[str, Plain]:
    """Names of its points, those that are new among them."""
    names = desk.points_for(edit.points, edit.snapped)
    if len(names) > 2 and names[0] == names[-1]:
        names, closed = names[:-1], True
    else:
        closed = edit.closed
    if any(a == b for a, b in pairwise(names)) or (closed and len(names) < 3):
        raise refuse("edit-unusable", "two points of the run fall on one", ", ".join(names))
    return {"through": names, "closed": True} if closed else {"through": names}


def _fence(desk: Desk, wanted: str) -> str:
    """The fence of a new run: the one that is named, else the first of the job, else a new one of boards."""
    known = [fence.name for fence in desk.job.fences]
    if wanted and wanted not in known:
        from palewright.tables import kind_names
        from palewright.tables.wire import wire_kind_names

        if wanted not in (*kind_names(), *wire_kind_names()):
            raise desk.unknown(f"fence {wanted}", [f"fence {name}" for name in (*known, *kind_names())])
        side = "wire side" if wanted in wire_kind_names() else "good side"
        desk.insert(["fences", wanted], {"kind": wanted, side: "ask"}, 1)
        return wanted
    if wanted or known:
        return wanted or known[0]
    desk.insert(["fences", "boards"], {"kind": "boards", "good side": "ask"}, 1)
    desk.say("fence_made")
    return "boards"


def built(desk: Desk, edit: Built) -> None:
    """What is built along a run; a fence that was only taken for want of another goes, where no run has it any more."""
    k, run = desk.run(edit.run.removeprefix("run "))
    name = _fence(desk, edit.fence)
    if name != run.fence:
        desk.set(["runs", k, "fence"], name)
        held = desk.document.get(["fences", run.fence])
        used = any(other.fence == run.fence for other in desk.job.runs)
        if not used and isinstance(held, Mapping) and set(held) <= {"kind", "good side"}:
            desk.remove(["fences", run.fence])
    from palewright.tables.wire import wire_kind_names

    kind = str(desk.document.get(["fences", name, "kind"]))
    if kind in wire_kind_names():  # it follows the ground, and both its sides are alike
        if desk.document.get(["runs", k, "follows"]) is not None:
            desk.remove(["runs", k, "follows"])
        return
    if edit.tall:
        checked_length(desk, edit.tall)
        desk.set(["fences", name, next((key for part, key in _TALL.items() if part in kind), "board")], edit.tall)
    if edit.good:
        desk.set(["fences", name, "good side"], edit.good)


def draw_zone(desk: Desk, edit: DrawZone) -> None:
    """Ground to keep clear of."""
    taken = {zone.name for zone in desk.job.zones}
    name = new_name(edit.name or "zone", taken)
    refs = [desk.ref(spot, edit.snapped) for spot in edit.points]
    if not refs:
        raise refuse("edit-unusable", "a zone needs a place", edit.name)
    if any(not isinstance(ref, str) for ref in refs):
        desk.hold_frame()
    row: dict[str, Plain] = {"name": name}
    row |= {"through": refs} if len(refs) > 1 else {"at": refs[0]}
    if edit.closed:
        row["closed"] = True
    if edit.width:
        row["width"] = edit.width
    row |= {"each side": edit.each_side, "inside it": edit.inside}
    if edit.utility:
        row["utility"] = edit.utility
    desk.append("clear of", row)
    desk.made.append(f"zone {name}")


def draw_building(desk: Desk, edit: DrawBuilding) -> None:
    """A building by its corners."""
    if len(edit.points) < 3:
        raise refuse("edit-unusable", "a building needs three corners or more", str(len(edit.points)))
    name = new_name(edit.name or "house", {name for name, _ in desk.job.buildings})
    refs = [desk.ref(spot, edit.snapped) for spot in edit.points]
    if any(not isinstance(ref, str) for ref in refs):
        desk.hold_frame()
    desk.insert(["buildings", name], refs)
    desk.made.append(f"building {name}")


def draw_old(desk: Desk, edit: DrawOld) -> None:
    """A fence that stands there, its posts and footings as they were measured."""
    if len(edit.points) < 2:
        raise refuse("edit-unusable", "an old fence needs two points or more", str(len(edit.points)))
    name = new_name(edit.name or "old fence", {old.name for old in desk.job.removals})
    refs = [desk.ref(spot, edit.snapped) for spot in edit.points]
    if any(not isinstance(ref, str) for ref in refs):
        desk.hold_frame()
    for length in (edit.every, edit.footing):
        checked_length(desk, length)
    posts = {"posts every": edit.every, "footing": edit.footing}
    desk.append("remove", {"name": name, "through": refs, **posts, "then": edit.then})
    desk.made.append(f"old fence {name}")


def draw_boundary(desk: Desk, edit: DrawBoundary) -> None:
    """The line of the property through points; nothing of it was found by drawing it."""
    if len(edit.points) < 3:
        raise refuse("edit-unusable", "a boundary needs three corners or more", str(len(edit.points)))
    no_boundary(desk)
    refs = [desk.ref(spot, edit.snapped) for spot in edit.points]
    if any(not isinstance(ref, str) for ref in refs):
        desk.hold_frame()
    if "north" not in _job_keys(desk):
        desk.insert(["job", "north"], "none")
        desk.say("no_north")
    row: dict[str, Plain] = {"through": refs}
    if edit.names:
        row["names"] = list(edit.names)
    desk.insert("boundary", row, 1)
    desk.say("boundary_drawn")


def _job_keys(desk: Desk) -> Mapping[str, Plain]:
    found = desk.document.get("job")
    return found if isinstance(found, Mapping) else {}


def paste_deed(desk: Desk, edit: PasteDeed) -> None:
    """The line of the property by a legal description, word for word, or by its calls, one a line."""
    no_boundary(desk)
    text = " ".join(edit.text.split())
    if not text:
        raise refuse("edit-unusable", "there are no words to read", "")
    from palewright.jobfile import read_deed_text

    found = read_deed_text(edit.text)  # raises JobError with every word that is not understood
    rows = [row.strip() for row in edit.text.splitlines() if row.strip()]
    if found.prose is None and len(rows) > 1:
        desk.insert("boundary", {"calls": rows, "record": "ask"}, 2)
    else:
        desk.insert("boundary", {"deed": text, "record": "ask"}, 1)
    desk.say("deed_pasted")


def no_boundary(desk: Desk) -> None:
    """Raises ProblemError ``boundary-there`` where the job has a boundary."""
    if desk.document.get("boundary") is not None:
        hint = "delete the boundary first, or change it in the text of the job file"
        raise refuse("boundary-there", "the job has a boundary already", hint=hint, path="boundary")


def tape(desk: Desk, edit: Tape) -> None:
    """A taped distance: a new line, or another reading of one that is there."""
    if edit.about:
        _retape(desk, edit)
        return
    if len(edit.points) != 2:
        raise refuse("edit-unusable", "a tape lies between two points", ", ".join(edit.points))
    row: dict[str, Plain] = {"tape": list(edit.points), "reads": edit.reads}
    if edit.tool:
        row["with"] = edit.tool
    number = desk.append("measured", row)
    walls = sum(m.at.path.startswith("walls") for m in desk.job.measured)
    desk.made.append(f"tape {walls + number + 1}")


def _retape(desk: Desk, edit: Tape) -> None:
    number = edit.about.removeprefix("tape ")
    rows = desk.job.measured
    if not number.isdigit() or not 1 <= int(number) <= len(rows):
        raise desk.unknown(edit.about, [f"tape {k + 1}" for k in range(len(rows))])
    path = rows[int(number) - 1].at.path
    if path.startswith("walls"):
        desk.set(f"{path}.length", edit.reads)
    else:
        key = next((key for key in _READS if desk.document.get(f"{path}.{key}") is not None), "")
        if not key:
            raise refuse("edit-unusable", "nothing is read there", edit.about, path=path)
        desk.set(f"{path}.{key}", edit.reads)
        if len(edit.points) == 2 and desk.document.get(f"{path}.tape") not in (None, list(edit.points)):
            desk.set(f"{path}.tape", list(edit.points))
    if edit.tool:
        desk.set(f"{path}.with", edit.tool)


def square(desk: Desk, edit: Square) -> None:
    """A right angle that was measured."""
    if len(edit.points) != 3:
        raise refuse("edit-unusable", "a square corner has three points, the corner in the middle", str(edit.points))
    row: dict[str, Plain] = {"square": list(edit.points)}
    if edit.by:
        row["by"] = edit.by
    desk.append("measured", row)


def wall(desk: Desk, edit: Wall) -> None:
    """A wall that stands there."""
    row: dict[str, Plain] = {"from": edit.start, "to": edit.end, "length": edit.length}
    if edit.tool:
        row["with"] = edit.tool
    desk.append("walls", row)
    desk.made += [f"point {edit.start}", f"point {edit.end}"]


def walk(desk: Desk, edit: Walk) -> None:
    """A walk from a thing that stands there."""
    if bool(edit.along) == bool(edit.toward):
        raise refuse("edit-unusable", "a walk goes along a wall, or toward a thing", edit.start)
    _steps(edit.go, edit.call)
    row: dict[str, Plain] = {"from": edit.start}
    row |= {"along": edit.along} if edit.along else {"toward": edit.toward}
    row |= {"go": list(edit.go), "call": [name or None for name in edit.call]}
    desk.append("walks", row, 1)
    desk.made += [f"point {name}" for name in edit.call if name]


def walk_on(desk: Desk, edit: WalkOn) -> None:
    """The walk goes on from where it ended."""
    if not 0 <= edit.index < len(desk.job.walks):
        raise desk.unknown(f"walk {edit.index}", [f"walk {k}" for k in range(len(desk.job.walks))])
    _steps(edit.go, edit.call)
    for key, words in (("go", edit.go), ("call", edit.call)):
        for word in words:
            held = desk.document.get(["walks", edit.index, key])
            count = len(held) if isinstance(held, Sequence) and not isinstance(held, str) else 0
            desk.document.insert(["walks", edit.index, key, count], word or None)
    desk.changed()
    desk.made += [f"point {name}" for name in edit.call if name]


def _steps(go: Sequence[str], call: Sequence[str]) -> None:
    lengths = [step for step in go if step[:1].isdigit() or step[:1] == "."]
    if len(lengths) != len(call):
        raise refuse("edit-unusable", "a walk calls one name for each length", f"{len(lengths)} and {len(call)}")
