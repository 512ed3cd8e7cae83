"""Levelling notes: what stands under ``levels`` becomes lines of rod readings."""

from __future__ import annotations

from palewright.jobfile.measured import typed
from palewright.jobfile.names import Names
from palewright.jobfile.reading import Reading, Table
from palewright.jobfile.tables import Each, Key, Section
from palewright.jobfile.values import Length, Name, Text
from palewright.model import LevelLine, LevelNote

__all__ = ["LEVEL_LINE", "LEVEL_NOTE", "level_lines"]

LEVEL_NOTE = Section("level note", "One line of levelling notes: the rod on a point. A turning point is read from the"
    " set-up that stood before and from the one that comes next.", (
    Key("point", Name(), "Where the rod stood: a point of the job, a bench mark, a turning point.", "BM",
        required=True),
    Key("fore", Length("any"), "Foresight: the rod as read from the set-up that stood before.", "6.02 ft", ask=True),
    Key("back", Length("any"), "Backsight: the rod as read from a new set-up of the instrument. Every backsight begins"
        " a set-up.", "4.32 ft", ask=True),
))  # fmt: skip

LEVEL_LINE = Section("levels", "A line of levels: rod readings in the order they were made. It closes where it comes"
    " back to its first point, or ends on a point of given height.", (
    Key("notes", Each(LEVEL_NOTE, least=2), "The readings.",
        "[{point: BM, back: 4.32 ft}, {point: A, fore: 6.02 ft}]", required=True),
    Key("with", Text(), "The instrument; without it a builder's level counts.", "automatic level"),
    Key("within", Length(), "How good a difference of height from one set-up is, one standard deviation, where it is"
        " known better than `with` says.", "1/8 in"),
    Key("length", Length(), "How far the line went, out and back, for the closure that standards allow.", "400 ft"),
    Key("who", Text(), "Who read it.", "two of the crew"),
    Key("when", Text(), "On which day.", "2026-05-04"),
))  # fmt: skip


def level_lines(rd: Reading, top: Table, names: Names) -> list[LevelLine]:
    """The lines of levels of a job; notes that do not make a line are reported."""
    found = []
    for table in top.get("levels", []):
        rows = [row for row in table.get("notes", []) if row.ok]
        for row in rows:
            names.mention(row.get("point").text, "levelled", row.get("point").at)
        if table.ok and len(rows) == len(table.get("notes", [])) and _in_order(rd, rows):
            found.append(_line(rd, table, rows))
    return found


def _in_order(rd: Reading, rows: list[Table]) -> bool:
    """Whether notes follow one another as levelling does; reports the first that does not."""
    wrong = _out_of_order(rows)
    if wrong is None:
        return True
    row, what, hint = wrong
    rd.wrong_at("level-notes", what, row.at, found=row.get("point").text, hint=hint)
    return False


def _out_of_order(rows: list[Table]) -> tuple[Table, str, str] | None:
    used = True
    for k, row in enumerate(rows):
        if not row.typed("fore") and not row.typed("back"):
            return row, "nothing was read here", "say `back`, `fore`, or both; `ask` for what is not known yet"
        if k == 0 and (row.typed("fore") or not row.typed("back")):
            return row, "a line of levels begins with a backsight", "say `back` in its first note, and no `fore`"
        used = used or row.typed("fore")
        if row.typed("back") and not used:
            return row, "from the set-up before this one only a backsight was read", "say its `fore` in this note"
        used = used and not row.typed("back")
    if not used:
        return rows[-1], "from the last set-up only a backsight was read", "say where its `fore` was read"
    return None


def _line(rd: Reading, table: Table, rows: list[Table]) -> LevelLine:
    notes = [
        LevelNote(
            row.get("point").text, row.get("back"), row.get("fore"),
            typed(rd, row, "back") if row.typed("back") else "", typed(rd, row, "fore") if row.typed("fore") else "",
            row.at,
        )
        for row in rows
    ]  # fmt: skip
    return LevelLine(
        tuple(notes), table.get("with", ""), table.get("within"), table.get("length"), table.get("who", ""),
        table.get("when", ""), table.at,
    )  # fmt: skip
