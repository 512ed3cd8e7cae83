"""Records behave as frozen dataclasses do: the same declarations, made both ways, answer alike."""

from __future__ import annotations

import copy
import pickle
from concurrent.futures import ThreadPoolExecutor
from dataclasses import FrozenInstanceError, asdict, dataclass, field, fields, is_dataclass, replace

import pytest

from palewright.record import Record


class Hole(Record):
    """A record."""

    name: str
    depth: float = 0.6
    notes: tuple[str, ...] = field(default_factory=tuple)
    half: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "half", self.depth / 2)


class Wet(Hole, kw_only=True):
    """A record of a record."""

    water: float


class Bare(Record):
    """A record of nothing."""


@dataclass(frozen=True)
class Plain:
    """The same as Hole, as a dataclass."""

    name: str
    depth: float = 0.6
    notes: tuple[str, ...] = field(default_factory=tuple)
    half: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "half", self.depth / 2)


def test_a_record_answers_as_the_dataclass_does() -> None:
    """Fields, defaults, words, keys and copies."""
    ours, theirs = Hole("a", notes=("wet",)), Plain("a", notes=("wet",))
    assert asdict(ours) == asdict(theirs)
    assert repr(ours).removeprefix("Hole") == repr(theirs).removeprefix("Plain")
    assert hash(ours) == hash(theirs)
    assert [(f.name, f.init, f.compare) for f in fields(Hole)] == [(f.name, f.init, f.compare) for f in fields(Plain)]
    assert replace(ours, depth=1.0).half == replace(theirs, depth=1.0).half == 0.5
    assert ours == Hole("a", 0.6, ("wet",)) != Hole("a", 0.7, ("wet",))
    assert ours != theirs
    assert is_dataclass(Hole)


@pytest.mark.parametrize("args", [(), ("a", 1.0, (), 2.0)])
def test_a_record_refuses_what_the_dataclass_refuses(args: tuple[object, ...]) -> None:
    """Missing and surplus values."""
    for kind in (Hole, Plain):
        with pytest.raises(TypeError):
            kind(*args)  # type: ignore[arg-type]


def test_a_record_cannot_be_changed() -> None:
    """Neither set nor deleted."""
    hole = Hole("a")
    with pytest.raises(FrozenInstanceError):
        hole.name = "b"  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del hole.name


def test_a_record_of_a_record_has_the_fields_of_both() -> None:
    """Also when it is made before its base, and when its own fields are given by name only."""
    wet = Wet("a", water=0.1)
    assert (wet.name, wet.depth, wet.water) == ("a", 0.6, 0.1)
    assert wet != Hole("a")
    with pytest.raises(TypeError):
        Wet("a", 0.6, (), 0.1)  # type: ignore[call-arg,misc]


def test_records_are_copied_and_pickled() -> None:
    """Also one without fields."""
    for record in (Hole("a"), Wet("b", water=1.0), Bare()):
        assert copy.copy(record) == copy.deepcopy(record) == pickle.loads(pickle.dumps(record)) == record
    assert len({Bare(), Bare()}) == 1


def test_many_hands_may_make_the_first_one() -> None:
    """Twenty threads begin with a new record at once."""
    with ThreadPoolExecutor(20) as pool:
        for _ in range(50):

            class New(Record):
                a: int
                b: tuple[int, ...] = field(default_factory=tuple)

            assert set(pool.map(New, range(20))) == {New(k) for k in range(20)}
