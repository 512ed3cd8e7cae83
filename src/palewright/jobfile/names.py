"""The names of a job: which points exist, who refers to them, and what is spelled wrongly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from palewright.errors import Where
from palewright.jobfile.reading import Reading, Table, Word, nearest

__all__ = ["Names", "typed_names"]

_WORD = 4
_OTHER_WORDS = frozenset(
    {"near", "rear", "este", "oeste", "noreste", "noroeste", "nordeste", "sureste", "suroeste", "sudeste", "sudoeste"}
)
"""Words that look like slips of one another and are none."""
_PLACES = 6


class Names:
    """Names of points as they are defined, and every use of one."""

    def __init__(self, rd: Reading) -> None:
        self.rd = rd
        self.places: dict[str, tuple[str, Where]] = {}
        self.loose: dict[str, tuple[str, Where]] = {}
        self.times: Counter[str] = Counter()
        self.uses: list[tuple[str, Where]] = []
        self.doubted: set[str] = set()
        self.strays: list[tuple[str, Where, list[str], list[str]]] = []

    def define(self, name: str, how: str, at: Where) -> bool:
        """A name gets its place; False after reporting that it has one already."""
        known = self.places.get(name)
        if known is not None:
            first, where = known
            shared = ", or write _ for it where both runs share the post" if "called out by" in first + how else ""
            if how == "a corner of the boundary":
                shared = "; where the boundary begins at that point, name it as its `start`"
            self.rd.wrong_at("name-twice", "this point has its place already", at, found=name,
                             hint=f"it is {first} at line {where.line}; give one of the two another name"
                             + shared)  # fmt: skip
            return False
        self.places[name] = (how, at)
        return True

    def mention(self, name: str, how: str, at: Where) -> None:
        """A thing that stands there; its place comes from a measurement."""
        self.loose.setdefault(name, (how, at))
        self.times[name] += 1

    def use(self, name: str, at: Where) -> None:
        """A reference that has to be known in the end."""
        if name:
            self.uses.append((name, at))

    def stray(self, name: str, at: Where, points: list[str], more: Iterable[str] = ()) -> None:
        """A name that is no point of a run through ``points``; ``more``: what else it might be."""
        self.strays.append((name, at, points, [*points, *more]))

    def known(self) -> list[str]:
        """Every name of a point."""
        return [*self.places, *(name for name in self.loose if name not in self.places)]

    def check(self) -> None:
        """Report every use of a name that is not known, and names of one reading only that look like another."""
        known = self.known()
        held = set(known)
        self._strays(held)
        missing: dict[str, list[Where]] = {}
        for name, at in self.uses:
            if name not in held:
                missing.setdefault(name, []).append(at)
        for name, places in missing.items():
            self.unknown(name, *sorted(places, key=lambda at: (at.line, at.column)), known=known)
        used = self.places.keys() | {name for name, _ in self.uses}
        for name, (how, at) in self.loose.items():
            if how in ("measured", "an end of a wall") and self.times[name] == 1 and name not in used:
                others = [other for other in known if other != name and slip_of_the_pen(name, other)]
                if others:
                    self.unknown(name, at, known=others)

    def _strays(self, held: set[str]) -> None:
        """Report names that are no points of their runs; of a run with a name that is not known, only unknown ones."""
        for name, at, points, allowed in self.strays:
            if not held.issuperset(points) or self.doubted.intersection(points):
                self.use(name, at)
                continue
            close = nearest(name, allowed)
            self.rd.wrong_at("not-on-run", "this is not a point of the run", at, found=name, allowed=listed(allowed),
                             hint=f"did you mean `{close}`?" if close else "")  # fmt: skip

    def unknown(self, name: str, at: Where, *again: Where, known: list[str]) -> None:
        """Report one unknown name, once for all its places, with its nearest spelling."""
        close = nearest(name, known)
        hint = f"did you mean `{close}`?" if close else "define it under points, walks, walls, boundary or measured"
        lines = ", ".join(dict.fromkeys(str(place.line) for place in again[:_PLACES]))
        if lines:
            hint += f" (the same name: line {lines})"
        self.rd.wrong_at("unknown-point", "no point has this name", at, found=name, allowed=listed(known), hint=hint)


def typed_names(tables: Iterable[Any]) -> list[str]:
    """The names that tables bear, those that failed for something else too."""
    return [word.text for table in tables if isinstance(table, Table) and isinstance(word := table.get("name"), Word)]


def slip_of_the_pen(name: str, other: str) -> bool:
    """Whether two names differ in one word only, and that by its spelling; words of three letters and numbers apart.

    >>> slip_of_the_pen("hosue left", "house left"), slip_of_the_pen("house right", "house left")
    (True, False)
    >>> slip_of_the_pen("post 12", "post 13"), slip_of_the_pen("east corner", "west corner")
    (False, False)
    """
    one, two = name.casefold().split(), other.casefold().split()
    odd = [pair for pair in zip(one, two, strict=False) if pair[0] != pair[1]]
    if len(one) != len(two) or len(odd) != 1 or min(map(len, odd[0])) < _WORD:
        return False
    if any(c.isdigit() for word in odd[0] for c in word) or _OTHER_WORDS.issuperset(odd[0]):
        return False
    return _one_slip(*odd[0])


def _one_slip(a: str, b: str) -> bool:
    """Whether one letter is wrong, left out or put in, or two beside each other are turned round."""
    k = next((k for k, (one, two) in enumerate(zip(a, b, strict=False)) if one != two), min(len(a), len(b)))
    turned = a[k + 2 :] == b[k + 2 :] and a[k : k + 2] == b[k : k + 2][::-1]
    return turned or a[k + 1 :] in (b[k:], b[k + 1 :]) or a[k:] == b[k + 1 :]


def listed(names: list[str], most: int = 12) -> str:
    """Names for a problem; only their first dozen when there are many."""
    if not names:
        return ""
    more = f", and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more
