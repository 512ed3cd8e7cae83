"""Whatever a file holds, only JobError comes out: random bytes, random structures, distorted examples."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from palewright.errors import JobError, Problem
from palewright.jobfile import Document, read_bytes
from palewright.jobfile.keys import SECTIONS
from palewright.jobfile.writing import write_value
from palewright.model import Job

TOP_KEYS = [key.name for key in SECTIONS[0].keys]
EXAMPLES = [path.read_bytes() for path in sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.yaml"))]
TREES: list[Any] = [
    {key: Document(data).get((key,)) for key in TOP_KEYS if Document(data).get((key,)) is not None} for data in EXAMPLES
]
TOKENS = ["{", "}", "[", "]", ": ", "- ", "\n", "\n  ", "#", "&a ", "*a", "!!int ", "'", '"', "|", ">", "?", ",", "~", "yes", "1e999",
          "0x1f", "-5 ft", "16' 4\"", "N 45°75' E", "ask", "\t", "\x00", "\x85", "é", "🙂", "%", "@", "<<: *a", "---\n", "...\n"]  # fmt: skip


OUTCOMES = ("job", "problem")


def outcome(data: bytes) -> str:
    """Read; anything but a Job or a JobError with placed problems fails the test."""
    problems: tuple[Problem, ...] = ()
    try:
        assert isinstance(read_bytes(data, "job.yaml"), Job)
    except JobError as error:
        problems = error.problems
    else:
        return "job"
    assert problems
    assert all(problem.slug and problem.what and problem.render() for problem in problems)
    return "problem"


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_random_bytes(data: bytes) -> None:
    assert outcome(data) in OUTCOMES


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from(TOKENS) | st.text(max_size=5), max_size=60))
def test_random_tokens(parts: list[str]) -> None:
    assert outcome("".join(parts).encode("utf-8", "surrogatepass")) in OUTCOMES


@st.composite
def distorted(draw: Any) -> bytes:
    """An example with a few pieces cut, doubled, swapped or replaced."""
    data = bytearray(draw(st.sampled_from(EXAMPLES)))
    for _ in range(draw(st.integers(1, 4))):
        a = draw(st.integers(0, len(data)))
        b = min(len(data), a + draw(st.integers(0, 30)))
        new = draw(st.sampled_from(TOKENS) | st.text(max_size=4)).encode("utf-8", "surrogatepass")
        data[a:b] = draw(st.sampled_from([new, bytes(data[a:b]) * 2, b"", bytes(data[a:b])[::-1]]))
    return bytes(data)


@settings(max_examples=200, deadline=None)
@given(distorted())
def test_distorted_examples(data: bytes) -> None:
    assert outcome(data) in OUTCOMES


def grow(value: Any) -> Any:
    """Plain values of any shape, as a program might hand them over."""
    return st.lists(value, max_size=4) | st.dictionaries(st.sampled_from(WORDS), value, max_size=4)


WORDS = sorted({key.name for section in SECTIONS for key in section.keys} | {"A", "NE", "1", "house", "_", ""})
VALUES = st.recursive(
    st.sampled_from([*WORDS, "ask", "6 ft", "-6 ft", "0 ft", "90°", "left 90°", "all", "even", "near B", "22 ft from B", "N 3 E 9 ft", "1.10"])
    | st.integers(-3, 40)
    | st.booleans()
    | st.text(max_size=6),
    grow,
    max_leaves=8,
)  # fmt: skip


def spots(tree: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The path of every value in a tree of plain values."""
    if path:
        yield path
    pairs = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in pairs:
        yield from spots(value, (*path, key))


@st.composite
def rebuilt(draw: Any) -> bytes:
    """An example whose values were taken out, replaced by others of any shape, or exchanged; always good YAML."""
    tree: Any = copy.deepcopy(draw(st.sampled_from(TREES)))
    for _ in range(draw(st.integers(1, 4))):
        path = draw(st.sampled_from(list(spots(tree))))
        holder = tree
        for part in path[:-1]:
            holder = holder[part]
        match draw(st.integers(0, 3)):
            case 0:
                del holder[path[-1]]
            case 1:
                holder[path[-1]] = draw(VALUES)
            case 2:
                other = draw(st.sampled_from(list(spots(tree)) or [path]))
                value = tree
                for part in other:
                    value = value[part]
                holder[path[-1]] = copy.deepcopy(value)
            case _:
                if isinstance(holder, dict):
                    holder[draw(st.sampled_from(WORDS))] = draw(VALUES)
        if not list(spots(tree)):
            break
    return write_value(tree).replace(", ", ",\n ").encode("utf-8", "surrogatepass")


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rebuilt())
def test_rebuilt_examples(data: bytes) -> None:
    assert outcome(data) in OUTCOMES


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_setting_any_value_anywhere(data: st.DataObject) -> None:
    """Either the tree changes in that one value, or JobError comes out and the document is as it was."""
    k = data.draw(st.integers(0, len(EXAMPLES) - 1))
    document = Document(EXAMPLES[k])
    path = data.draw(st.sampled_from(list(spots(TREES[k]))))
    if data.draw(st.booleans()):
        path = (*path, data.draw(st.sampled_from([*WORDS, 0, 1, 2])))
    value = data.draw(VALUES)
    before, held = document.dump(), document.get(path)
    try:
        document.set(path, value)
    except JobError:
        assert document.dump() == before
        return
    read_back = document.get(path)
    if isinstance(value, str):
        assert read_back == value
    if isinstance(held, str) and not isinstance(value, list | dict):
        lines = zip(before.split("\n"), document.dump().split("\n"), strict=True)
        assert sum(old != new for old, new in lines) <= 1
    assert Document(document.dump()).get(path) == read_back


def test_large_and_deep_nonsense_is_refused_quickly() -> None:
    assert outcome(b"\xff" * 10_000_000) == "problem"
    assert outcome(b"a: " * 3_000_000) == "problem"
    assert outcome(b"[" * 100_000) == "problem"
    assert outcome(b"a: &a [x]\n" + b"".join(b"b%d: &b%d [*a, *a]\n" % (k, k) for k in range(1000))) == "problem"
