"""Edits that rename a thing everywhere, or take it away with what hangs on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from palewright.drafting.desk import Desk, refuse
from palewright.drafting.edits import Delete, Move, Rename
from palewright.drafting.naming import Use, known_names, uses_of
from palewright.drafting.things import things_of
from palewright.drafting.words import has
from palewright.drafting.words import text as words
from palewright.errors import Problem, ProblemError, Where
from palewright.jobfile.trees import path_of
from palewright.jobfile.writing import Plain

__all__ = ["delete", "joined", "rename"]

_KINDS = (
    "old fence",
    "point",
    "corner",
    "run",
    "gate",
    "zone",
    "building",
    "fence",
    "tape",
    "wall",
    "walk",
    "boundary",
)
_MOST_NEEDED = 8
_DRAWN = ("runs", "buildings", "remove", "clear of")
"""Sections whose things are drawn through points; of all others a point is more than a place."""


def _split(desk: Desk, about: str) -> tuple[str, str]:
    for kind in _KINDS:
        if about == kind or about.startswith(kind + " "):
            return kind, about[len(kind) + 1 :]
    raise desk.unknown(about, [f"{kind} ..." for kind in _KINDS])


def rename(desk: Desk, edit: Rename) -> None:
    """A thing gets another name wherever it is named."""
    kind, old = _split(desk, edit.about)
    kind = "point" if kind == "corner" else kind
    new = " ".join(edit.name.split())
    if not new:
        raise refuse("edit-unusable", "a name is needed", edit.name)
    if kind == "point":
        _name_corners(desk, old)
    tree = desk.document.get([])
    uses = [use for use in uses_of(tree, kind) if use.name == old]
    if kind == "gate" and not any(use.defines for use in uses):
        r, g = desk.gate(edit.about)  # it had no name of its own
        desk.document.insert(["runs", r, "gates", g, "name"], new, before=("opening", "leaf", "starts", "centre", "at"))
        desk.changed()
    elif not uses:
        raise desk.unknown(edit.about, sorted({f"{kind} {use.name}" for use in uses_of(tree, kind)}))
    if any(use.name == new for use in uses_of(tree, kind)):
        raise refuse("name-taken", "another thing has this name", new)
    for use in uses:
        if use.key:
            desk.document.rename(use.path, new)
        else:
            desk.document.set(_renamed(use, uses, new), use.lead + new)
    desk.changed()
    desk.job  # noqa: B018 - a name that cannot be read is a problem now
    desk.made.append(f"{edit.about.removesuffix(f' {old}')} {new}")


def joined(desk: Desk, edit: Move) -> bool:
    """A drawn point that is dragged onto another becomes that one: what was drawn through it goes through the other.

    False where it fell on none, where it was measured or found, or where one thing would go through a point twice; of a
    run whose one end falls on the other it closes the loop.
    """
    other, name = fallen_on(desk, edit), edit.about.partition(" ")[2]
    uses = _others(desk, "point", name)
    if not other or not uses or any(use.key or use.section not in _DRAWN for use in uses):
        return False
    twice = [use for use in uses if other in _list(desk, use.path)]
    loops = [use for use in twice if use.path[2:3] == ("through",) and use.section == "runs"]
    ends = [(_list(desk, use.path)[0], _list(desk, use.path)[-1]) for use in loops]
    if len(loops) < len(twice) or any({*pair} != {name, other} for pair in ends):
        return False
    if any(len(_list(desk, use.path)) < 4 for use in loops):
        return False
    for use in uses:
        if use not in loops:
            desk.document.set(use.path, use.lead + other)
    for use in loops:
        desk.document.remove(use.path)
        desk.set(["runs", use.path[1], "closed"], True)
    desk.remove(["points", name])
    desk.say("joined", point=name, other=other)
    return True


def fallen_on(desk: Desk, edit: Move) -> str:
    """The point that a drawn one fell on, "" where it fell on none or was not drawn."""
    kind, _, name = edit.about.partition(" ")
    held = desk.document.get(["points", name]) if edit.snapped and kind == "point" else None
    return desk.named_near(edit.to, name) if isinstance(held, Mapping) and list(held) == ["at"] else ""


def _list(desk: Desk, path: Sequence[str | int]) -> Sequence[Plain]:
    """The list that a name stands in; () where it stands in none."""
    held = desk.document.get(path[:-1])
    return held if isinstance(held, Sequence) and not isinstance(held, str) else ()


def _name_corners(desk: Desk, old: str) -> None:
    """Names of all corners are written where one of them gets its first: it was "corner 2" and stood nowhere."""
    uses = [use for use in uses_of(desk.document.get([]), "point") if use.name == old]
    given = any(use.defines or use.path[:2] in (("boundary", "start"), ("boundary", "through")) for use in uses)
    if old in desk.corners() and not given:
        desk.set(["boundary", "names"], list(desk.corners()))


def _renamed(use: Use, uses: Sequence[Use], new: str) -> tuple[str | int, ...]:
    """The key path of a use, after the keys before it were renamed."""
    path = list(use.path)
    for other in uses:
        if other.key and len(other.path) <= len(path) and path[: len(other.path)] == list(other.path):
            path[len(other.path) - 1] = new
    return tuple(path)


def delete(desk: Desk, edit: Delete) -> None:
    """A thing goes. A point in the middle of a run goes out of the run; what else needs a thing keeps it."""
    kind, name = _split(desk, edit.about)
    if kind in ("point", "corner"):
        _delete_point(desk, name)
    elif kind == "run":
        _delete_run(desk, name)
    elif kind == "gate":
        _refuse_used(desk, "gate", name)
        r, g = desk.gate(edit.about)
        desk.remove(["runs", r, "gates", g])
    elif kind == "tape":
        path = things_of(desk.job).path(edit.about)
        if not path:
            raise desk.unknown(edit.about, [f"tape {k + 1}" for k in range(len(desk.job.measured))])
        desk.remove(path)
    elif kind in ("wall", "walk"):
        _delete_row(desk, f"{kind}s", name)
    elif kind == "boundary":
        if desk.document.get("boundary") is None:
            raise desk.unknown(edit.about, list(things_of(desk.job).paths))
        if any(run.sides for run in desk.job.runs):
            sided = [Use(("runs", k, "sides"), "", "runs") for k, run in enumerate(desk.job.runs) if run.sides]
            raise ProblemError(_needed(desk, "boundary", "", sided))
        desk.remove("boundary")
    else:
        _refuse_used(desk, kind, name)
        path = things_of(desk.job).path(edit.about)
        if not path:
            raise desk.unknown(edit.about, list(things_of(desk.job).paths))
        desk.remove(path if kind not in ("building", "fence") else [f"{kind}s", name])
    desk.job  # noqa: B018 - what cannot be read without it is a problem now


def _delete_row(desk: Desk, section: str, number: str) -> None:
    held = desk.document.get([section])
    count = len(held) if isinstance(held, Sequence) and not isinstance(held, str) else 0
    if not number.isdigit() or int(number) >= count:
        raise desk.unknown(f"{section[:-1]} {number}", [f"{section[:-1]} {k}" for k in range(count)])
    desk.remove([section, int(number)])


def _others(desk: Desk, kind: str, name: str) -> list[Use]:
    """Every place that needs a thing and does not give it."""
    return [use for use in uses_of(desk.document.get([]), kind) if use.name == name and not use.defines]


def _refuse_used(desk: Desk, kind: str, name: str) -> None:
    uses = _others(desk, kind, name)
    if uses:
        raise ProblemError(_needed(desk, kind, name, uses))


def _needed(desk: Desk, kind: str, name: str, uses: Sequence[Use]) -> list[Problem]:
    """What needs a thing, one problem for each, in words; each with its place."""
    things = things_of(desk.job)
    said: dict[str, Problem] = {}
    what = words("needed.what", desk.language, thing=_called(desk, f"{kind} {name}"))
    for use in uses:
        path = path_of(use.path)
        about = things.of_path(path)
        about = "boundary" if about == f"corner {name}" else about
        by = (
            _called(desk, about)
            if about != "job"
            else words(f"needed.in_{use.section.replace(' ', '_')}", desk.language)
        )
        said.setdefault(by, Problem("still-needed", what, Where(path=path, thing=about), found=by,
                                    hint=words("needed.hint", desk.language)))  # fmt: skip
    return list(said.values())[:_MOST_NEEDED]


def _called(desk: Desk, about: str) -> str:
    """A thing in words: "run rear" is "tramo rear" in Spanish."""
    kind = next((kind for kind in (*_KINDS, "side") if about == kind or about.startswith(kind + " ")), "")
    key = f"needed.{kind.replace(' ', '_')}"
    return words(key, desk.language, name=about[len(kind) + 1 :]) if kind and has(key) else about


def _delete_point(desk: Desk, name: str) -> None:
    tree = desk.document.get([])
    if name not in known_names(tree):
        raise desk.unknown(f"point {name}", [f"point {known}" for known in known_names(tree)])
    uses = _others(desk, "point", name)
    inner = [use for use in uses if use.section == "runs" and len(use.path) == 4 and use.path[2] == "through"]
    for use in inner:
        held = desk.document.get(use.path[:-1])
        if isinstance(held, Sequence) and len(held) <= 2:
            inner = []
    if len(inner) < len(uses):
        _refuse_used(desk, "point", name)
    for use in reversed(inner):
        desk.remove(use.path)
        desk.say("out_of_run", point=name, run=desk.document.get(["runs", use.path[1], "name"]))
    if desk.document.get(["points", name]) is not None:
        desk.remove(["points", name])
    elif not inner:
        uses = [use for use in uses_of(tree, "point") if use.name == name]
        raise ProblemError(_needed(desk, "point", name, uses))


def _delete_run(desk: Desk, name: str) -> None:
    """A run goes, and with it the drawn points that nothing else needs."""
    k, run = desk.run(name)
    _refuse_used(desk, "run", name)
    for called in run.call:
        if [use for use in _others(desk, "point", called) if use.path[:2] != ("runs", k)]:
            _refuse_used(desk, "point", called)
    loose = [ref.name for ref in run.through if ref.name]
    desk.remove(["runs", k])
    gone = []
    for point in dict.fromkeys(loose):
        held = desk.document.get(["points", point])
        if isinstance(held, dict) and list(held) == ["at"] and not _others(desk, "point", point):
            desk.remove(["points", point])
            gone.append(point)
    if gone:
        desk.say("points_gone", points=", ".join(gone))
