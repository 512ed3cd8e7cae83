"""A fence's own gaps of its gates: from the job file and from a firm's kind file, and the published figure otherwise."""

from pathlib import Path

import pytest

from palewright.errors import JobError
from palewright.layout.gates import gate_allowance, gate_sizes
from palewright.layout.kinds import resolve
from palewright.model import FenceSpec
from palewright.plan.engine import load, make_plan

IN = 0.0254
JOB = """\
palewright: 1
job: {{title: gaps}}
points:
  A: {{at: [0 ft, 0 ft]}}
  B: {{at: [60 ft, 0 ft]}}
fences:
  f: {fence}
runs:
  - name: r
    fence: f
    through: [A, B]
    yard: left
    follows: grade
    gates:
      - {{name: walk, opening: 4 ft, starts: 10 ft from A, hinges: near A, swings: to yard}}
      - {{name: drive, opening: 10 ft, starts: 30 ft from A, leaves: 2, hinges: near A, swings: to yard}}
"""


def gates(tmp_path: Path, fence: str):
    path = tmp_path / "job.yaml"
    path.write_text(JOB.format(fence=fence), encoding="utf-8")
    plan = make_plan(*load(path))
    return {gate.name: gate for gate in plan.design.gates}, plan


def test_the_job_file_says_the_gaps(tmp_path):
    """One leaf: 3/4 + 3/8 in; two leaves: twice 3/4 and the published 1/2 in between (boards)."""
    found, _ = gates(tmp_path, "{kind: boards, good side: yard, gate: {hinge: 3/4 in, latch: 3/8 in}}")
    assert found["walk"].leaf_m / IN == pytest.approx(48 - 1.125)
    assert found["drive"].leaf_m / IN == pytest.approx((120 - 2.0) / 2)
    assert {gate.allowance_source for gate in found.values()} == {"as typed"}


def test_a_firm_s_own_kind_says_them(tmp_path):
    (tmp_path / "ours.toml").write_text(
        'name = "ours"\n"based on" = "chain-link"\n[values.gate]\nhinge = "2 in"\nlatch = "1 1/2 in"\n',
        encoding="utf-8",
    )
    found, plan = gates(tmp_path, "{kind: chain-link, kind file: ours.toml}")
    assert found["walk"].leaf_m / IN == pytest.approx(48 - 3.5)
    assert found["walk"].allowance_source == "as typed"
    # between two leaves was not said, and for chain link only the whole 5 1/2 in is published
    assert found["drive"].allowance_m / IN == pytest.approx(5.5)
    assert found["drive"].allowance_source == "clfleaf"
    sizes = {item.what: item.size for item in plan.takeoff.items if item.what in ("gate-leaf", "gate-pair")}
    assert sizes["gate-leaf"] == "for a 48 in opening, leaf 44 1/2 in, 48 in high"
    assert sizes["gate-pair"] == "for a 120 in opening, each leaf 57 1/4 in, 48 in high"


def test_nothing_said_is_as_published(tmp_path):
    found, _ = gates(tmp_path, "{kind: boards, good side: yard}")
    assert found["walk"].allowance_m / IN == pytest.approx(1.0)
    assert found["walk"].allowance_source == "gate3"


def test_one_gap_alone_says_nothing_where_only_the_whole_is_published():
    for values in ((("gate.hinge", 0.05),), (("gate.latch", 0.05),), (("gate.latch", 0.05), ("gate.between", 0.05))):
        with pytest.raises(JobError) as caught:
            resolve(FenceSpec("f", "chain-link", values))
        assert caught.value.problems[0].slug == "kind-values-conflict"
    resolve(FenceSpec("f", "chain-link", (("gate.hinge", 0.05), ("gate.latch", 0.04))))
    resolve(FenceSpec("f", "vinyl-panels", (("gate.hinge", 0.02),)))


def test_gaps_for_two_leaves():
    assert gate_allowance("chain-link", 2, (0.05, 0.0, 0.03)) == (pytest.approx(0.13), "as typed")
    assert gate_allowance("chain-link", 1, (0.05, 0.0, 0.03))[1] == "clfleaf"
    assert gate_allowance("vinyl-panels", 1, (0.0, 0.01, 0.0)) == (pytest.approx(0.75 * IN + 0.01), "as typed")
    assert gate_sizes("chain-link", None, 1.0, 1, (0.05, 0.04, 0.0)).opening_m == pytest.approx(1.09)


def test_opening_and_leaf_that_disagree_are_told_with_the_fence_s_own_gaps():
    with pytest.raises(JobError) as caught:
        gate_sizes("boards", 48 * IN, 47 * IN, 1, (1 * IN, 1 * IN, 0.0))
    assert caught.value.problems[0].source == "as typed"
    assert "the leaf is 3' 10\"" in caught.value.problems[0].hint
