"""A job while something is dragged: edits are tried on it many times a second, and nothing is saved.

The result is the same as if the edits had been saved and the file been read and laid out anew; tests compare them.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from palewright.drafting.altering import fallen_on
from palewright.drafting.applying import apply, values_of
from palewright.drafting.counting import counts_of
from palewright.drafting.desk import Desk
from palewright.drafting.edits import Edit, Move, MoveGate
from palewright.drafting.hints import Hints
from palewright.drafting.patching import patched
from palewright.drafting.quick import Quick, Seen
from palewright.drafting.seeing import (
    Earlier,
    broken,
    changes,
    compose,
    earlier_of,
    read_job,
    rest_of,
    sight,
    sight_of_laid,
    unread,
)
from palewright.drafting.shifting import Shifting
from palewright.drafting.sight_records import Change, Sight
from palewright.drafting.snapping import Aim, Snap, snap
from palewright.errors import ProblemError
from palewright.model import Job
from palewright.plan.engine import lay_job

__all__ = ["Trial"]


class Trial:
    """One revision of a job, read and planned once. Not for two threads at a time.

    sight
        of the revision itself, with all that a whole plan says.
    """

    def __init__(
        self, text: str, folder: Path | None = None, *, language: str = "en", against: str | None = None,
        today: date | None = None,
    ) -> None:  # fmt: skip
        """Read and plan the text of a job file. Never raises for what a person typed.

        against
            the text of an earlier version, for the differences; the revision itself unless given.
        """
        self._text, self._folder, self._language = text, folder, language
        self._against = text if against is None else against
        self.sight = sight(text, folder, language=language, against=self._against, today=today)
        self._desk: Desk | None = None
        self._quick: Quick | None = None
        self._base: tuple[Seen, Earlier | None, Sight] | None = None
        self._shifting: Shifting | None = None
        if self.sight.drawn:
            self._begin()

    def _begin(self) -> None:
        """Lay the revision out by itself; a job that cannot be laid out has no quick way."""
        desk = Desk(self._text, self._folder, self._language)
        quick = Quick(desk.job, self._language)
        try:
            seen = quick.seen(desk.job)
        except ProblemError:
            return
        if self._against == self._text:
            counts = counts_of([piece.figures for piece in seen.pieces], seen.frame.shown.lines, quick.speech)
            earlier: Earlier | None = Earlier(counts, tuple(piece.spots for piece in seen.pieces))
        else:
            earlier = earlier_of(self._against, self._folder, quick.speech)
        self._desk, self._quick = desk, quick
        self._base = (seen, earlier, compose(seen.frame, seen.pieces, seen.said, earlier, quick.speech))
        self._shifting = Shifting(quick.stood(desk.job), self._base[2].items, quick.things, quick.speech)

    def text(self, edits: Sequence[Edit]) -> str:
        """What would be saved. Raises ProblemError where an edit cannot be done."""
        return apply(self._text, edits, self._folder, self._language).text

    def move(self, edits: Sequence[Edit]) -> Sight:
        """What a screen shows after edits: all that is drawn, and said of site and layout.

        Raises ProblemError where an edit cannot be done; what is wrong with the job then is in the sight.
        """
        found = self._seen(edits)
        if found is None:
            return self._slow(edits)
        assert self._quick is not None
        assert self._base is not None
        return compose(found.frame, found.pieces, found.said, self._base[1], self._quick.speech)

    def change(self, edits: Sequence[Edit], side: str | None = None) -> Change:
        """The same, but only what differs from the revision as far as it is drawn.

        side
            id of the only run that is looked at from the side, "" for none; all of them unless given.
        """
        return self.changed(edits, side) or changes(self.sight, self._slow(edits))

    def changed(self, edits: Sequence[Edit], side: str | None = None) -> Change | None:
        """The same where it can be told quickly; None where the whole job has to be read and drawn again."""
        found = self._seen(edits)
        if found is None or self._base is None or self._quick is None:
            return None
        seen, earlier, before = self._base
        after = compose(found.frame, found.pieces, found.said, earlier, self._quick.speech, items=False, side=side)
        old = [seen.frame.items, *(piece.items for piece in seen.pieces)]
        new = [found.frame.items, *(piece.items for piece in found.pieces)]
        kept = {id(items) for items in old} & {id(items) for items in new}
        was = {item.id: item for items in old if id(items) not in kept for item in items}
        now = {item.id: item for items in new if id(items) not in kept for item in items}
        items = tuple((was.get(key), item) for key, item in now.items())
        return Change(items, tuple(key for key in was if key not in now), rest_of(before, after))

    def shifted(self, edits: Sequence[Edit]) -> Change | None:
        """The same, but places alone: all that is needed to redraw the plan. No figures, no side view, no sentences.

        None where there is no quick way, or the job cannot be laid out so: then :meth:`change` tells more.
        """
        job = self._job(self._desk, edits) if self._desk is not None else None
        if job is None or self._quick is None or self._shifting is None:
            return None
        try:
            return self._shifting.of(self._quick.stood(job))
        except ProblemError:
            return None

    def snap(self, aim: Aim, hints: Hints) -> Snap:
        """Where a place falls; of a gate, and a point that goes along a line, the length that would stand in the file.

        Raises ProblemError when a typed length cannot be read.
        """
        along = any(item.id == aim.about and item.drag in ("along", "walk") for item in self.sight.items)
        if self._desk is None or self._quick is None or not along or aim.reads:
            return snap(self.sight, aim, hints)
        edit = (MoveGate if aim.about.startswith("gate ") else Move)(aim.about, aim.at)
        path, text = (values_of(self._desk, edit) or [])[0]
        length, _, point = str(text).partition(" from ")
        far = self._quick.speech.length(self._desk.read(length))
        if not point:
            return Snap(aim.at, length=far)
        return Snap(aim.at, text=self._quick.speech(f"snap.gate_{path[-1]}", length=far, point=point))

    def _seen(self, edits: Sequence[Edit]) -> Seen | None:
        """The job after edits that only change values, without reading its file again; None where that is not so."""
        if self._desk is None or self._quick is None:
            return None
        job = self._job(self._desk, edits)
        try:
            return None if job is None else self._quick.seen(job)
        except ProblemError:
            return None

    def _job(self, desk: Desk, edits: Sequence[Edit]) -> Job | None:
        for edit in edits:
            if isinstance(edit, Move) and fallen_on(desk, edit):
                return None  # two points may become one
            values = values_of(desk, edit)
            job = patched(desk.job, values, desk.read) if values is not None else None
            if job is None:
                return None
            desk = desk.with_job(job)
        return desk.job

    def _slow(self, edits: Sequence[Edit]) -> Sight:
        text = self.text(edits)
        try:
            job = read_job(text, self._folder)
        except ProblemError as error:
            return unread(error.problems, self._language)
        try:
            laid = lay_job(job)
        except ProblemError as error:
            return broken(job, error.problems, self._language)
        return sight_of_laid(laid, job, language=self._language, against=self._against, folder=self._folder)
