"""Words that may still move: each is put at its cheapest place, and in the end those in the way of others make room."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from palewright.draw.place import HARD, Box, Placer
from palewright.draw.scene import Primitive

__all__ = ["Labels", "Option"]

Option = tuple[tuple[Box, ...], float, Any]
"""Rectangles that a word would take, its own before its leaders; a penalty; what is needed to draw it there."""

_DROPPED = 150.0
"""What it costs to leave out a word that may be left out."""

_BAD = 45.0
"""Words that cost so much look for a better place in the end."""

_TRIES = (8, 40)
"""Other places tried for a word that has a bad one, and for one that has none."""

_MOVED = 4


@dataclass(slots=True)
class _Word:
    """A word: its places, how it is drawn at one, the most it may cost; what it took of the page and what was drawn."""

    options: Callable[[], Iterable[Option]]
    draw: Callable[[Any], None]
    most: float
    chosen: Option | None = None
    cost: float = 0.0
    taken: range = range(0)
    drawn: list[Primitive] = field(default_factory=list)

    @property
    def value(self) -> float:
        """What it costs as it stands, or not to stand at all."""
        return self.cost if self.chosen is not None else 2.0 * HARD if self.most >= HARD else _DROPPED


class Labels:
    """The words of a board."""

    def __init__(self, placer: Placer, primitives: list[Primitive]) -> None:
        self._placer, self._primitives = placer, primitives
        self._words: list[_Word] = []
        self._owner: dict[int, _Word] = {}

    @property
    def lost(self) -> int:
        """How many words that must stand have no place."""
        return sum(word.chosen is None and word.most >= HARD for word in self._words)

    @property
    def crossed(self) -> int:
        """How many words have a place only across something that no leader should cross."""
        return sum(word.chosen is not None and word.cost >= HARD / 4 for word in self._words)

    @property
    def leaders(self) -> int:
        """How many words stand on a leader."""
        return sum(word.chosen is not None and len(word.chosen[0]) > 1 for word in self._words)

    def put(
        self,
        options: Callable[[], Iterable[Option]],
        draw: Callable[[Any], None],
        most: float = HARD,
        now: float = math.inf,
    ) -> Any | None:
        """Draw a word at the cheapest of its places; returns what was drawn there, or None.

        options
            the places, by rising penalty. most: what the word may cost; one that may cost HARD must stand somewhere,
            and waits for :meth:`settle` where it cannot.
        now
            leave it out for the present where it would cost as much, though it may cost more.
        """
        word = _Word(options, draw, most)
        self._best(word, min(most, now))
        if word.chosen is not None or (most >= HARD and now >= most):
            self._words.append(word)
        return word.chosen[2] if word.chosen is not None else None

    def settle(self) -> None:
        """Look for better places for words that have none or a bad one; others move where that costs less in all."""
        for word in sorted(self._words, key=lambda w: -w.value):
            if word.value >= _BAD:
                self._improve(word)
        for word in self._words:
            if word.chosen is None and word.most >= HARD:
                self._best(word, word.most, capped=True)

    def _best(self, word: _Word, most: float, capped: bool = False) -> None:
        listed: list[Option] = []

        def scores() -> Iterable[tuple[Sequence[Box], float]]:
            for option in word.options():
                listed.append(option)
                yield option[:2]

        found, cost = self._placer.best(scores(), most=most, capped=capped)
        if found >= 0:
            self._lay(word, listed[found], cost)

    def _lay(self, word: _Word, option: Option, cost: float) -> None:
        before, start = self._placer.count, len(self._primitives)
        word.draw(option[2])
        word.chosen, word.cost = option, cost
        word.taken, word.drawn = range(before + 1, self._placer.count + 1), self._primitives[start:]
        self._owner |= dict.fromkeys(word.taken, word)

    def _lift(self, word: _Word) -> None:
        self._placer.lift(word.taken)
        gone = set(map(id, word.drawn))
        self._primitives[:] = [p for p in self._primitives if id(p) not in gone]
        for number in word.taken:
            del self._owner[number]
        word.chosen, word.taken, word.drawn = None, range(0), []

    def _improve(self, word: _Word) -> None:
        """Try the places that would do but for a few words which can move."""
        before = word.value
        start = (word, word.chosen, word.cost)
        if word.chosen is not None:
            self._lift(word)
        most, tries = min(before - 1.0, word.most), []
        for n, option in enumerate(word.options()):
            if option[1] >= most:
                break
            fixed, others = self._against(option, most)
            if option[1] + fixed < most and len(others) <= _MOVED:
                tries.append((option[1] + fixed + 5.0 * len(others), n, option, option[1] + fixed, others))
        for _, _, option, cost, others in sorted(tries, key=lambda t: t[:2])[: _TRIES[before >= HARD]]:
            if self._swap(word, option, cost, others, before):
                return
        self._restore([start])

    def _against(self, option: Option, limit: float) -> tuple[float, list[_Word]]:
        """What a place costs among things that cannot move, and the words in its way."""
        total, others = 0.0, []
        for n, box in enumerate(option[0]):
            if not self._placer.inside(box):
                return (HARD, [])
            total += 0.0 if n else self._placer.ground(box)
            for number, weight, crossing in self._placer.touched(box):
                owner = self._owner.get(number)
                if owner is None:
                    total += crossing if n else weight
                elif owner not in others:
                    others.append(owner)
            if total >= limit:
                break
        return (total, others)

    def _swap(self, word: _Word, option: Option, cost: float, others: list[_Word], before: float) -> bool:
        """Put a word at a place and those in its way elsewhere; all as it was where that costs no less."""
        old = before + sum(w.value for w in others)
        saved = [(w, w.chosen, w.cost) for w in others]
        for w in others:
            self._lift(w)
        self._lay(word, option, cost)
        for w in others:
            self._best(w, w.most)
        if sum(w.value for w in (word, *others)) < old - 1.0:
            return True
        for w in (word, *others):
            if w.chosen is not None:
                self._lift(w)
        self._restore(saved)
        return False

    def _restore(self, saved: Iterable[tuple[_Word, Option | None, float]]) -> None:
        for word, option, cost in saved:
            if option is not None:
                self._lay(word, option, cost)


def leader_ends(half: float, rise: float, c: float, s: float) -> Iterable[tuple[float, float, float]]:
    """Where a block of words may hang on a leader that goes toward (c, s) [mm].

    Yields its centre from the leader's end, and a penalty: on the line of the leader, by the middle of a side, or by a
    corner.
    """
    reach = min(half / max(abs(c), 1e-6), rise / max(abs(s), 1e-6))
    yield (c * reach, s * reach, 0.0)
    if half > 4.0:
        for x, y in itertools.product((-1.0, 1.0), (-1.0, 0.0, 1.0)):
            if x * half * c + y * rise * s > 0.3 * rise:
                yield (x * half, y * rise, 0.6)
