"""Where posts stand as they were measured: differences along and across strings into places."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.asbuilt.marks import to_post
from palewright.asbuilt.moving import Mover, OnString
from palewright.model import Yard
from palewright.plane import XY, cross, dot
from palewright.record import Record

__all__ = ["Known", "Place", "place_of"]

_CROSSING = 0.17
"""Two measured directions fix a place when the sine of the angle between them is at least this, 10 degrees."""

_AS_GOOD = 0.99995
"""A difference along one direction is taken for that along another within half a degree: 4 in of the unmeasured one
then count for 1/32 in (our own choice)."""

_SAME_M = 1e-5


class Known:
    """What a yard says, by object and field."""

    def __init__(self, yard: Yard) -> None:
        self._states = {(state.about, state.field): state for state in yard.states}
        self._fields: dict[str, list[str]] = {}
        for state in yard.states:
            self._fields.setdefault(state.about, []).append(state.field)

    def number(self, about: str, field: str) -> float | None:
        """A length, or None where nobody knows it."""
        state = self._states.get((about, field))
        value = state.value if state is not None else None
        return None if value is None or isinstance(value, bool | str) else float(value)

    def yes(self, about: str, field: str) -> bool | None:
        """A tick, or None."""
        state = self._states.get((about, field))
        return state.value if state is not None and isinstance(state.value, bool) else None

    def word(self, about: str, field: str) -> str:
        """A text, or ""."""
        state = self._states.get((about, field))
        return state.value if state is not None and isinstance(state.value, str) else ""

    def made(self, about: str, field: str) -> str:
        """What the clock of the device showed when a field was entered, or ""."""
        state = self._states.get((about, field))
        return state.said[0].made if state is not None and state.said and not state.conflict else ""

    def earlier(self, about: str, field: str) -> tuple[float, ...]:
        """Numbers that were overridden, in order of arrival."""
        state = self._states.get((about, field))
        said = state.earlier if state is not None else ()
        return tuple(
            float(one.value) for one in said if isinstance(one.value, int | float) and not isinstance(one.value, bool)
        )

    def disputed(self, about: str) -> tuple[str, ...]:
        """Fields of an object on which entries disagree."""
        return tuple(field for field in self._fields.get(about, ()) if self._states[about, field].conflict)


class Place(Record):
    """A post as measured: differences along and away from its first string [m], what is known in which direction.

    known
        pairs of unit vector and difference [m]. shift: the whole difference, where two of them cross.
    disputed
        fields that say two things.
    """

    along_m: float | None
    aside_m: float | None
    known: tuple[tuple[XY, float], ...]
    shift: XY | None
    disputed: tuple[str, ...]

    def toward(self, direction: XY) -> float | None:
        """The difference in a direction (unit vector) [m]; None where it was not measured."""
        if self.shift is not None:
            return dot(self.shift, direction)
        for e, value in self.known:
            cosine = dot(e, direction)
            if abs(cosine) >= _AS_GOOD:
                return value * cosine
        return None


def place_of(mover: Mover, known: Known, label: str) -> Place:
    """Where a post stands by what was entered of it. A post in no string, or not measured, has no differences."""
    about = f"post {label}"
    disputed = list(known.disputed(about))
    pairs: list[tuple[XY, float]] = []
    for k, on in enumerate(mover.strings(label)):
        pairs += _pairs(known, about, on, k == 0, disputed)
    shift = _shift(pairs)
    first = mover.on(label)
    along = aside = None
    if first is not None:
        made = Place(None, None, tuple(pairs), shift, ())
        along, aside = made.toward(first.u), made.toward(first.away)
    return Place(along, aside, tuple(pairs), shift, tuple(dict.fromkeys(disputed)))


def _pairs(known: Known, about: str, on: OnString, first: bool, disputed: list[str]) -> Iterator[tuple[XY, float]]:
    """Differences along and away from one string [m]."""

    def read(key: str) -> float | None:
        named = known.number(about, f"measured.{key}@{on.string.name}")
        plain = known.number(about, f"measured.{key}") if first else None
        if named is not None and plain is not None and abs(named - plain) > _SAME_M:
            disputed.append(f"measured.{key}")
            return None
        return named if plain is None else plain

    along = read("back_m")
    if along is None and first and not {"measured.back_m"} & set(disputed):
        along = known.number(about, "moved.along_m")
    if along is not None:
        yield on.u, along
    offset, aside = read("offset_m"), read("aside_m")
    if offset is not None:
        aside = offset - to_post(on.string, on.mark)
    if aside is not None:
        yield on.away, aside


def _shift(pairs: list[tuple[XY, float]]) -> XY | None:
    """The difference of place that has these parts in these directions; of more than two the first that cross count."""
    for k, (e, a) in enumerate(pairs):
        for f, b in pairs[k + 1 :]:
            sine = cross(e, f)
            if abs(sine) >= _CROSSING:
                return ((a * f[1] - b * e[1]) / sine, (b * e[0] - a * f[0]) / sine)
    return None
