"""Any sequence of saves, undos, redos and marks does what a plain list of texts with a pointer does."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from palewright.errors import ProblemError
from palewright.store import ChangedElsewhere, Store

TEXTS = st.sampled_from([f"palewright: 1\n# {letter}\n" for letter in "abcde"])


class Revisions(RuleBasedStateMachine):
    """The model: ``line`` are the texts that undo and redo walk through, ``at`` where the job stands, ``log`` all heads."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="palewright-machine-"))
        self.store = Store.open(self.folder)
        self.keys = 0

    def teardown(self) -> None:
        self.store.close()
        shutil.rmtree(self.folder)

    @initialize(text=TEXTS)
    def begin(self, text: str) -> None:
        self.job = self.store.jobs.create(text, title="Yard", by="desk").id
        self.line, self.at, self.log = [text], 0, [text]
        self.marks: dict[str, int] = {}

    @property
    def head(self) -> int:
        return len(self.log)

    def moved(self) -> None:
        self.log.append(self.line[self.at])

    @rule(text=TEXTS, twice=st.booleans())
    def save(self, text: str, twice: bool) -> None:
        self.keys += 1
        told = [
            self.store.revisions.save(self.job, text, on=self.head, title="Yard", by="desk", key=f"key-{self.keys:06}")
            for _ in range(1 + twice)
        ]
        if text != self.log[-1]:
            self.line, self.at = [*self.line[: self.at + 1], text], self.at + 1
            self.moved()
        assert {one.revision for one in told} == {self.head}

    @rule(way=st.sampled_from(["undo", "redo"]))
    def step(self, way: str) -> None:
        there = self.at + (1 if way == "redo" else -1)
        if 0 <= there < len(self.line):
            getattr(self.store.revisions, way)(self.job, on=self.head, by="desk")
            self.at = there
            self.moved()
        else:
            with pytest.raises(ProblemError, match=f"nothing-to-{way}"):
                getattr(self.store.revisions, way)(self.job, on=self.head, by="desk")

    @precondition(lambda self: self.head > 1)
    @rule(text=TEXTS, data=st.data())
    def stale(self, text: str, data: st.DataObject) -> None:
        on = data.draw(st.integers(1, self.head - 1))
        with pytest.raises(ChangedElsewhere) as caught:
            self.store.revisions.save(self.job, text, on=on, title="Yard", by="desk")
        assert caught.value.present.revision == self.head

    @rule(name=st.sampled_from(["quoted", "signed"]), data=st.data())
    def mark(self, name: str, data: st.DataObject) -> None:
        number = data.draw(st.integers(1, self.head))
        if self.marks.get(name, number) == number:
            self.store.marks.add(self.job, name, number=number, by="desk")
            self.marks[name] = number
        else:
            with pytest.raises(ProblemError, match="mark-name-taken"):
                self.store.marks.add(self.job, name, number=number, by="desk")

    @rule()
    def reopen(self) -> None:
        self.store.close()
        self.store = Store.open(self.folder)

    @invariant()
    def same(self) -> None:
        if not hasattr(self, "job"):
            return
        entry = self.store.jobs.entry(self.job)
        assert entry.revision == self.head
        assert (entry.can_undo, entry.can_redo) == (self.at > 0, self.at < len(self.line) - 1)
        assert [self.store.revisions.text(self.job, number + 1) for number in range(self.head)] == self.log
        assert {mark.name: mark.number for mark in self.store.marks.all(self.job)} == self.marks
        assert (self.store.files.folder(self.job) / "job.yaml").read_text("utf-8") == self.log[-1]


TestRevisions = Revisions.TestCase
TestRevisions.settings = settings(max_examples=20, stateful_step_count=20, deadline=None)
