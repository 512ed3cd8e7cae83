"""Whatever a file holds, only JobError comes out: random bytes, random structures, distorted examples."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import JobError, Problem
from palewright.jobfile import read_bytes
from palewright.model import Job

EXAMPLES = [path.read_bytes() for path in sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.yaml"))]
TOKENS = ["{", "}", "[", "]", ": ", "- ", "\n", "\n  ", "#", "&a ", "*a", "!!int ", "'", '"', "|", ">", "?", ",", "~", "yes", "1e999",
          "0x1f", "-5 ft", "16' 4\"", "N 45°75' E", "ask", "\t", "\x00", "\x85", "é", "🙂", "%", "@", "<<: *a", "---\n", "...\n"]  # fmt: skip


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
    outcome(data)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from(TOKENS) | st.text(max_size=5), max_size=60))
def test_random_tokens(parts: list[str]) -> None:
    outcome("".join(parts).encode("utf-8", "surrogatepass"))


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
    outcome(data)


def test_large_and_deep_nonsense_is_refused_quickly() -> None:
    assert outcome(b"\xff" * 10_000_000) == "problem"
    assert outcome(b"a: " * 3_000_000) == "problem"
    assert outcome(b"[" * 100_000) == "problem"
    assert outcome(b"a: &a [x]\n" + b"".join(b"b%d: &b%d [*a, *a]\n" % (k, k) for k in range(1000))) == "problem"
