"""Files that a job names: a job from elsewhere opens none outside of its folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from palewright import plan
from palewright.errors import JobError

JOB = """palewright: 1
job: {{title: T, tape: 100 ft}}
points: {{A: {{at: [0 ft, 0 ft]}}, B: {{at: [40 ft, 0 ft]}}}}
fences: {{f: {{kind: boards, kind file: {kind}, board: 6 ft, good side: yard}}}}
runs: [{{name: r, fence: f, through: [A, B]}}]
"""
OURS = 'name = "ours"\n"based on" = "boards"\n[values]\n"bottom gap" = "3 in"\n'


def test_a_kind_of_the_firm_is_found_in_the_folder_of_the_job(tmp_path: Path) -> None:
    (tmp_path / "ours.toml").write_text(OURS)
    job, _ = plan.load_text(JOB.format(kind="ours.toml"), tmp_path)
    (kind,) = plan.make_plan(job).kinds
    assert kind.bottom_gap_m == pytest.approx(3 * 0.0254)


@pytest.mark.parametrize("kind", ["../ours.toml", "/etc/passwd"])
def test_a_kind_file_outside_of_the_folder_is_not_opened(tmp_path: Path, kind: str) -> None:
    (tmp_path / "ours.toml").write_text(OURS)
    (tmp_path / "jobs").mkdir()
    with pytest.raises(JobError) as caught:
        plan.load_text(JOB.format(kind=kind), tmp_path / "jobs")
    assert [problem.slug for problem in caught.value.problems] == ["file-outside-folder"]
