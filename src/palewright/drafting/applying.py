"""Edits done on the text of a job file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from palewright.drafting import altering, drawing, edits, evidence, gating, grounding, insetting, moving
from palewright.drafting.desk import Desk, refuse
from palewright.drafting.moving import Value
from palewright.drafting.words.saying import said_in_language
from palewright.errors import ProblemError
from palewright.record import Record

__all__ = ["Applied", "apply", "values_of"]


class Applied(Record):
    """The text after edits, what was done beside what was asked, in words, and the ids of new things."""

    text: str
    said: tuple[str, ...] = ()
    made: tuple[str, ...] = ()


def apply(text: str, asked: Sequence[edits.Edit], folder: Path | None = None, language: str = "en") -> Applied:
    """Do edits, one after the other, on the text of a job file.

    folder
        of the files that the job names. language: of what is said.
    Raises ProblemError where one of them cannot be done, or where a file that could be read cannot be read afterwards;
    then none is done.

    >>> apply("palewright: 1\\njob: {title: Yard}\\n", [edits.SetValue("site.frost", "30 in")]).text
    'palewright: 1\\njob: {title: Yard}\\nsite: {frost: 30 in}\\n'
    """
    desk = Desk(text, folder, language)
    with said_in_language(language):
        for edit in asked:
            _do(desk, edit)
        try:
            desk.job  # noqa: B018 - what a hand does leaves a file that can be read
        except ProblemError:
            if _readable(text, folder):
                raise
    return Applied(desk.document.dump(), tuple(desk.said), tuple(dict.fromkeys(desk.made)))


def _readable(text: str, folder: Path | None) -> bool:
    try:
        Desk(text, folder).job  # noqa: B018
    except ProblemError:
        return False
    return True


def values_of(desk: Desk, edit: edits.Edit) -> list[Value] | None:
    """The values that an edit puts at key paths that are there; None for one that does more than that."""
    make: dict[type, Callable[[Desk, Any], list[Value]]] = {
        edits.Move: moving.move_values,
        edits.Length: moving.length_values,
        edits.MoveGate: moving.gate_values,
        edits.ChangeGate: moving.gate_values,
        edits.Follows: moving.follows_values,
    }
    found = make.get(type(edit))
    return None if found is None else found(desk, edit)


_DO: dict[type, Callable[[Desk, Any], None]] = {
    edits.Rename: altering.rename,
    edits.Delete: altering.delete,
    edits.DrawRun: drawing.draw_run,
    edits.AddGate: gating.add_gate,
    edits.Built: drawing.built,
    edits.DrawZone: drawing.draw_zone,
    edits.DrawBuilding: drawing.draw_building,
    edits.DrawOld: drawing.draw_old,
    edits.DrawBoundary: drawing.draw_boundary,
    edits.PasteDeed: drawing.paste_deed,
    edits.Ground: grounding.measured_ground,
    edits.Evidence: evidence.say_evidence,
    edits.KeepInside: insetting.keep_inside,
    edits.Tape: drawing.tape,
    edits.Square: drawing.square,
    edits.Wall: drawing.wall,
    edits.Walk: drawing.walk,
    edits.WalkOn: drawing.walk_on,
}


def _do(desk: Desk, edit: edits.Edit) -> None:
    if isinstance(edit, edits.SetValue):
        _set(desk, edit)
    elif isinstance(edit, edits.RemoveKey):
        desk.remove(edit.path)
    elif isinstance(edit, edits.Move) and altering.joined(desk, edit):
        return
    elif type(edit) in _DO:
        _DO[type(edit)](desk, edit)
    else:
        for path, value in values_of(desk, edit) or ():
            desk.set(path, value)


def _set(desk: Desk, edit: edits.SetValue) -> None:
    """A value at a key path."""
    from palewright.jobfile.trees import parts_of

    if not parts_of(edit.path):
        raise refuse("edit-unusable", "a key path is needed", edit.path)
    desk.set(edit.path, edit.value)
