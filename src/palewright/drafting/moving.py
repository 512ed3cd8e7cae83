"""Edits that move: points, corners of zones and buildings, typed lengths of legs, gates. Each becomes a few values."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

from palewright.drafting.desk import Desk, checked_length, refuse
from palewright.drafting.dragging import walked
from palewright.drafting.edits import ChangeGate, Follows, Length, Move, MoveGate
from palewright.drafting.words import text as words
from palewright.jobfile.writing import Plain
from palewright.model import Job, PointRef, PointSpec
from palewright.plane import XY, add, distance, dot, scale, sub, unit

__all__ = ["Value", "follows_values", "gate_values", "length_values", "move_values", "refs_of"]

Value = tuple[tuple[str | int, ...], Plain]
"""A key path, and the value that is put there."""
_LEAST_M = 0.1
_TYPED_M = 0.0003


def move_values(desk: Desk, edit: Move) -> list[Value]:
    """What a drag changes: the coordinates of a point, the length that was walked to it, or the corner of a thing.

    Raises ProblemError where a place is not for a hand to move, and says what to change instead.
    """
    kind, _, name = edit.about.partition(" ")
    if kind == "old":
        kind, name = "old fence", edit.about.removeprefix("old fence ")
    if kind in ("point", "corner"):
        return _point(desk, name, edit.to, edit.about, edit.snapped)
    refs, path = refs_of(desk.job, kind, name)
    if not path:
        raise desk.unknown(edit.about, sorted(_things(desk.job)))
    if edit.index >= len(refs):
        raise refuse("edit-unusable", "it has no corner of this number", str(edit.index), path=_dotted(path))
    if edit.index < 0:
        return _whole(desk, refs, path, edit)
    ref = refs[edit.index]
    if ref.xy is None:
        return _point(desk, ref.name, edit.to, f"point {ref.name}", edit.snapped)
    named = desk.named_near(edit.to) if edit.snapped else ""
    return [(_ref_path(desk, path, edit.index), named or _coordinates(desk, ref, edit.to, edit.snapped))]


def _things(job: Job) -> list[str]:
    return [
        *(f"point {point.name}" for point in job.points),
        *(f"zone {zone.name}" for zone in job.zones),
        *(f"building {name}" for name, _ in job.buildings),
        *(f"old fence {old.name}" for old in job.removals),
    ]


def refs_of(job: Job, kind: str, name: str) -> tuple[Sequence[PointRef], tuple[str | int, ...]]:
    """The points of a thing, and the key path of their list; () where there is no such thing."""
    if kind == "building":
        for known, corners in job.buildings:
            if known == name:
                return corners, ("buildings", name)
    named: dict[str, tuple[str, Sequence[tuple[str, Sequence[PointRef]]]]] = {
        "zone": ("clear of", [(zone.name, zone.through) for zone in job.zones]),
        "old fence": ("remove", [(old.name, old.through) for old in job.removals]),
        "run": ("runs", [(run.name, run.through) for run in job.runs]),
    }
    section, rows = named.get(kind, ("", ()))
    for k, (known, refs) in enumerate(rows):
        if known == name:
            return refs, (section, k, "through")
    return (), ()


def _ref_path(desk: Desk, path: tuple[str | int, ...], index: int) -> tuple[str | int, ...]:
    if path[0] == "clear of" and desk.document.get(path) is None:
        return (*path[:-1], "at")
    return (*path, index)


def _whole(desk: Desk, refs: Sequence[PointRef], path: tuple[str | int, ...], edit: Move) -> list[Value]:
    """All corners of a thing go along; where it was held, or else their middle, comes to the place."""
    if not refs or any(ref.xy is None for ref in refs):
        raise refuse("not-by-hand", words("drag.named", desk.language), edit.about, path=_dotted(path))
    spots = [ref.xy for ref in refs if ref.xy is not None]
    middle = (sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots))
    x, y = sub(edit.to, edit.held or middle)
    by = (
        round(x / desk.mark) * desk.mark,
        round(y / desk.mark) * desk.mark,
    )  # by marks of the tape: it keeps its shape
    return [
        (_ref_path(desk, path, k), _coordinates(desk, ref, add(ref.xy or (0.0, 0.0), by), exact=True))
        for k, ref in enumerate(refs)
    ]


def _coordinates(desk: Desk, ref: PointRef | PointSpec, to: XY, exact: bool = False) -> Plain:
    """Coordinates as they are typed; one that stays where it is keeps its spelling."""
    typed = desk.document.get(_point_path(ref)) if ref.at.path else None
    before = [str(part) for part in typed] if isinstance(typed, Sequence) and not isinstance(typed, str) else ["", ""]
    return [desk.coordinate(c, b, exact) for c, b in zip(to, before, strict=False)]


def _point_path(ref: PointRef | PointSpec) -> tuple[str | int, ...] | str:
    return ("points", ref.name, "at") if isinstance(ref, PointSpec) else ref.at.path


def _point(desk: Desk, name: str, to: XY, about: str, exact: bool = False) -> list[Value]:
    job = desk.job
    spec = next((point for point in job.points if point.name == name), None)
    if spec is not None and spec.how == "coordinates":
        return [(("points", name, "at"), _coordinates(desk, spec, to, exact))]
    if walked(job, name) is not None:
        return _walked(desk, name, to)
    if spec is not None and spec.how == "on line":
        a, b = (desk.places()[end] for end in spec.line)
        along = max(dot(sub(to, a), unit(sub(b, a))), _LEAST_M)
        return [(("points", name, "distance"), desk.length(along))]
    ring = job.boundary.through if job.boundary is not None else ()
    corners = desk.site.ring.corners if desk.site.ring is not None else ()
    for k, (ref, corner) in enumerate(zip(ring, corners, strict=False)):
        if corner.name == name and ref.xy is not None and not corner.found:
            return [(("boundary", "through", k), _coordinates(desk, ref, to, exact))]
    raise _not_by_hand(desk, name, about)


def _not_by_hand(desk: Desk, name: str, about: str) -> Exception:
    from palewright.drafting.dragging import drag_of
    from palewright.drafting.speech import Speech, settings_of
    from palewright.drafting.things import things_of

    if name not in desk.places():
        return desk.unknown(about, _things(desk.job))
    _, why = drag_of(desk.job, name, Speech(settings_of(desk.job), desk.language))
    return refuse("not-by-hand", "this place is not set by hand", about, why, things_of(desk.job).path(about))


def _walked(desk: Desk, name: str, to: XY) -> list[Value]:
    """The length walked to a point: its leg keeps its direction."""
    found = walked(desk.job, name)
    assert found is not None
    w, n, step = found
    places, walk = desk.places(), desk.job.walks[w]
    before = walk.start if n == 0 else walk.names[n - 1]
    if name not in places or before not in places:
        raise refuse("not-by-hand", "this place is not set by hand", f"point {name}", path=f"walks[{w}].go[{step}]")
    a, b = places[before], places[name]
    along = max(dot(sub(to, a), unit(sub(b, a))), _LEAST_M)
    return [(("walks", w, "go", step), desk.length(along))]


def length_values(desk: Desk, edit: Length) -> list[Value]:
    """A typed length of a leg: as typed where it was walked, else the end goes along the leg to the place that has it.

    Raises ProblemError where the end of the leg is not for a hand to move.
    """
    wanted = checked_length(desk, edit.length)
    start, end = _leg(desk, edit.about)
    if edit.moves == start:
        start, end = end, start
    elif edit.moves not in ("", end):
        raise desk.unknown(f"point {edit.moves}", [f"point {start}", f"point {end}"])
    places, job = desk.places(), desk.job
    found = walked(job, end)
    if found is not None:
        w, n, step = found
        before = job.walks[w].start if n == 0 else job.walks[w].names[n - 1]
        if before == start:
            return [(("walks", w, "go", step), edit.length)]
    if start not in places or end not in places:
        raise refuse("not-by-hand", "this place is not set by hand", edit.about, words("drag.sides", desk.language))
    a, b = places[start], places[end]
    if abs(distance(a, b) - wanted) <= _TYPED_M:
        return []  # it is so long
    if distance(a, b) < _LEAST_M:
        raise refuse("edit-unusable", "this leg is too short to say where it goes", edit.about)
    to = add(a, scale(unit(sub(b, a)), wanted))
    values = _point(desk, end, to, f"point {end}")
    return [(path, _typed_place(desk, value, a, to, wanted)) for path, value in values]


def _typed_place(desk: Desk, value: Plain, a: XY, to: XY, wanted: float) -> Plain:
    """Coordinates that keep a typed length: finer ones where an eighth of an inch would spoil it."""
    if isinstance(value, str) or not isinstance(value, Sequence) or len(value) != 2:
        return value

    def spot(texts: Sequence[str]) -> XY:
        return desk.read(texts[0]), desk.read(texts[1])

    kept = [str(part) for part in value]
    if abs(math.dist(a, spot(kept)) - wanted) <= _TYPED_M:
        return value
    fits = [abs(desk.read(text) - c) <= _TYPED_M for text, c in zip(kept, to, strict=True)]
    for steps in (16, 32, 64):
        axes = [[text] if fit else desk.beside(c, steps) for text, fit, c in zip(kept, fits, to, strict=True)]
        near = [pair for pair in product(axes[0], axes[1]) if abs(math.dist(a, spot(pair)) - wanted) <= _TYPED_M]
        if near:
            texts: tuple[str, str] = min(near, key=lambda pair: math.dist(spot(pair), to))
            return list(texts)
    return [text if fit else desk.finer(c) for text, fit, c in zip(kept, fits, to, strict=True)]


def _leg(desk: Desk, about: str) -> tuple[str, str]:
    """The named points at both ends of a leg: "leg rear 2"."""
    name, _, number = about.removeprefix("leg ").rpartition(" ")
    _, run = desk.run(name)
    names = [ref.name for ref in run.through]
    if run.closed and names and names[0] != names[-1]:
        names.append(names[0])
    if not run.through:
        raise refuse("not-by-hand", "this place is not set by hand", about, words("drag.sides", desk.language),
                     run.at.path)  # fmt: skip
    if not number.isdigit() or not 1 <= int(number) < len(names):
        raise desk.unknown(about, [f"leg {name} {k}" for k in range(1, len(names))])
    k = int(number)
    if not names[k - 1] or not names[k]:
        raise refuse("not-by-hand", "the ends of this leg have no names", about, words("drag.named", desk.language))
    return names[k - 1], names[k]


# ---------------------------------------------------------------- gates


def gate_values(desk: Desk, edit: MoveGate | ChangeGate) -> list[Value]:
    """Where a gate stands, or what is given of it."""
    r, g = desk.gate(edit.about)
    path = ("runs", r, "gates", g)
    spec = desk.job.runs[r].gates[g]
    if isinstance(edit, ChangeGate):
        given = {"opening": edit.opening, "hinges": edit.hinges, "swings": edit.swings, "leaves": edit.leaves or ""}
        return [((*path, key), value) for key, value in given.items() if value != ""]
    where = "centre" if spec.reference == "centre" else "starts"
    if desk.document.get([*path, "at"]) is not None:
        raise refuse("not-by-hand", "this gate stands at a post of its run", edit.about,
                     words("drag.gate_at", desk.language), _dotted((*path, "at")))  # fmt: skip
    if edit.starts:
        checked_length(desk, edit.starts)
        return [((*path, where), f"{edit.starts} from {spec.from_point}")]
    if edit.at is None:
        raise refuse("edit-unusable", "a place or a length is needed", edit.about)
    from palewright.drafting.gating import counted

    opening = 0.0 if where == "centre" else desk_opening(desk, edit.about, spec.opening_m)
    away, point = counted(desk, desk.job.runs[r], edit.at, opening, spec.from_point)
    values: list[Value] = [((*path, where), f"{desk.length(max(away, 0.0), 1)} from {point}")]
    hinges = str(desk.document.get([*path, "hinges"]) or "")
    if point != spec.from_point and hinges.endswith(f" {spec.from_point}"):
        values.append(((*path, "hinges"), hinges.removesuffix(spec.from_point) + point))
    return values


def desk_opening(desk: Desk, about: str, typed: float | None) -> float:
    """The clear opening of a gate [m]: as typed, else as laid out."""
    if typed is not None:
        return typed
    name = about.removeprefix("gate ")
    return next((gate.opening_m for gate in desk.plan.design.gates if gate.name == name), 1.2192)


def follows_values(desk: Desk, edit: Follows) -> list[Value]:
    """How a run follows the ground."""
    k, _ = desk.run(edit.run.removeprefix("run "))
    return [(("runs", k, "follows"), edit.follows)]


def _dotted(path: Sequence[str | int]) -> str:
    from palewright.jobfile.trees import path_of

    return path_of(path)
