"""Taking entries out, putting them in, renaming keys: the rest of the file stays byte for byte."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from palewright.errors import JobError
from palewright.jobfile import Document

EXAMPLES = {
    path.stem: path.read_text("utf-8") for path in (Path(__file__).resolve().parents[2] / "examples").glob("*.yaml")
}

JOB = """\
palewright: 1
job: {title: Yard}

# the points, as taped
points:
  # by the shed
  A: {at: [0 ft, 0 ft]}   # a stake
  B: {at: [40 ft, 0 ft]}

  C: {at: [40 ft, 30 ft]}

runs:
  - name: rear          # toward the lane
    fence: low
    through: [A, B]     # no corner
  # the side
  - name: side
    fence: low
    through: [B, C]

site: {frost: ask}
"""


def gone(before: str, after: str) -> list[str]:
    diff = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    assert not [line for line in diff if line.startswith("+ ")]
    return [line[2:] for line in diff if line.startswith("- ")]


def test_an_entry_goes_with_its_comments_and_nothing_else() -> None:
    document = Document(JOB)
    document.remove("points.A")
    assert gone(JOB, document.dump()) == ["  # by the shed", "  A: {at: [0 ft, 0 ft]}   # a stake"]
    document = Document(JOB)
    document.remove("runs[1]")
    assert gone(JOB, document.dump()) == [
        "  # the side", "  - name: side", "    fence: low", "    through: [B, C]"
    ]  # fmt: skip
    document.remove("points")
    assert document.dump().startswith("palewright: 1\njob: {title: Yard}\n\nruns:\n")


def test_the_first_key_behind_a_dash_gives_its_place_to_the_next() -> None:
    document = Document(JOB)
    document.remove("runs[0].name")
    assert "  - fence: low\n    through: [A, B]     # no corner\n" in document.dump()


def test_parts_in_brackets_go_with_their_comma() -> None:
    document = Document("palewright: 1\njob: {title: Yard, notes: [a, b, c]}\n")
    document.remove("job.notes[2]")
    document.remove("job.notes[0]")
    assert document.dump() == "palewright: 1\njob: {title: Yard, notes: [b]}\n"
    document.remove("job.notes[0]")
    document.remove("job.title")
    assert document.dump() == "palewright: 1\njob: {notes: []}\n"


def test_a_new_section_stands_at_its_place_in_lines() -> None:
    document = Document(JOB)
    document.insert("measured[0]", {"tape": ["A", "C"], "reads": "50 ft"}, before=["runs", "site"])
    document.insert("points.D", {"at": ["0 ft", "30 ft"]})
    document.insert(
        "runs[1]", {"name": "front", "fence": "low", "through": ["A", "D"], "gates": [{"opening": "4 ft"}]}, levels=1
    )
    assert "  C: {at: [40 ft, 30 ft]}\n  D: {at: [0 ft, 30 ft]}\n" in document.dump()
    assert "\n\nmeasured:\n  - {tape: [A, C], reads: 50 ft}\n\nruns:\n" in document.dump()
    assert """    through: [A, B]     # no corner
  - name: front
    fence: low
    through: [A, D]
    gates:
      - {opening: 4 ft}
  # the side
""" in document.dump()


def test_a_key_is_renamed_and_its_value_stays() -> None:
    document = Document(JOB)
    document.rename("points.A", "house, left")
    assert "  'house, left': {at" in document.dump().replace('"', "'") or "  house, left: {at" in document.dump()
    assert document.get(["points", "house, left", "at"]) == ["0 ft", "0 ft"]
    with pytest.raises(JobError):
        document.rename("points.B", "C")
    with pytest.raises(JobError):
        document.rename("points.Z", "Y")


def paths(tree: object, at: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    found = [at] if at else []
    if isinstance(tree, dict):
        return found + [path for key, value in tree.items() for path in paths(value, (*at, key))]
    if isinstance(tree, list):
        return found + [path for k, value in enumerate(tree) for path in paths(value, (*at, k))]
    return found


def without(tree: object, path: tuple[str | int, ...]) -> object:
    first, rest = path[0], path[1:]
    if isinstance(tree, dict):
        return {k: without(v, rest) if k == first else v for k, v in tree.items() if rest or k != first}
    assert isinstance(tree, list)
    return [without(v, rest) if k == first else v for k, v in enumerate(tree) if rest or k != first]


VALUES = st.sampled_from(
    ["4 ft", ["A", "B"], {"at": ["1 ft", "2 ft"]}, {"name": "x: y", "gates": [{"opening": "4 ft"}]}]
)


@given(st.sampled_from(sorted(EXAMPLES)), st.data())
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_entry_can_go_and_the_lines_of_the_others_stay(name: str, data: st.DataObject) -> None:
    text = data.draw(st.sampled_from([EXAMPLES[name], EXAMPLES[name].replace("\n", "\r\n")]))
    document = Document(text)
    tree = document.get([])
    path = data.draw(st.sampled_from(paths(tree)))
    document.remove(path)
    assert document.get([]) == without(tree, path)
    before, after = text.split("\n"), document.dump().split("\n")
    same = difflib.SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    changed = [code for code in same if code[0] != "equal"]
    assert len(changed) <= 2  # one place, and where a key moves up to its dash the line before


@given(st.sampled_from(sorted(EXAMPLES)), VALUES, st.integers(0, 2), st.data())
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_entry_can_come_and_goes_again_without_a_trace(
    name: str, value: object, levels: int, data: st.DataObject
) -> None:
    text = EXAMPLES[name]
    document = Document(text)
    holders = [path for path in paths(document.get([])) if isinstance(document.get(path), dict | list)]
    holder = data.draw(st.sampled_from(holders))
    inside = document.get(holder)
    if isinstance(inside, dict):
        path, before = (*holder, "new key"), data.draw(st.lists(st.sampled_from(sorted(inside)), max_size=1))
    else:
        path, before = (*holder, data.draw(st.integers(0, len(inside)))), []  # type: ignore[arg-type]
    document.insert(path, value, levels=levels, before=before)  # type: ignore[arg-type]
    assert document.get(path) == value
    kept = [line for line in text.splitlines() if line in document.dump().splitlines()]
    assert len(kept) >= len(text.splitlines()) - 1  # at most the line of the brackets that it went into
    document.remove(path)
    assert document.get([]) == Document(text).get([])


@pytest.mark.parametrize("dash", [0, 2, 4, 6])
@pytest.mark.parametrize("gap", [1, 3])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_what_is_put_in_stands_in_as_far_as_what_the_person_typed(dash: int, gap: int, end: str) -> None:
    """Lines put in one by one, and a list made for the first time, look like the list of the other run."""
    outer, mark = " " * dash, "-" + " " * gap
    key, inner = outer + " " * (gap + 1), outer + " " * (gap + 1 + dash)
    gates = [f"{inner}{mark}opening: {n} ft{end}{inner} {' ' * gap}starts: {n} ft from A{end}" for n in (3, 4)]
    head = f"palewright: 1{end}runs:{end}{outer}{mark}name: rear{end}{key}gates:{end}"
    other = f"{outer}{mark}name: front{end}{key}through: [A, B]{end}"
    rows = [{"opening": f"{n} ft", "starts": f"{n} ft from A"} for n in (3, 4)]

    document = Document(head + gates[0] + other)
    document.insert("runs[0].gates[1]", rows[1], levels=1)
    assert document.dump() == head + gates[0] + gates[1] + other
    document.insert("runs[1].gates", rows, levels=2)
    assert document.dump() == head + gates[0] + gates[1] + other + f"{key}gates:{end}" + "".join(gates)
    document.insert("runs[2]", {"name": "third", "gates": rows[:1]}, levels=3)
    assert document.dump().endswith(f"{outer}{mark}name: third{end}{key}gates:{end}{gates[0]}")


def test_tables_stand_in_as_far_as_those_of_the_file() -> None:
    text = "palewright: 1\nfences:\n    low:\n        kind: boards\n"
    document = Document(text)
    document.insert("fences.high", {"kind": "boards"}, levels=1)
    document.insert("runs", [{"name": "rear"}], levels=2)
    assert document.dump() == text + "    high:\n        kind: boards\nruns:\n    - name: rear\n"
