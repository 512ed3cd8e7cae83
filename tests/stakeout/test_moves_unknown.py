"""A post whose tape hangs on a point that nothing fixes: its expected lengths are of unknown worth, and the plan is made."""

from __future__ import annotations

from pathlib import Path

from palewright.jobfile import Document
from palewright.plan import make_plan

HOUSE = Path(__file__).resolve().parents[2] / "examples" / "house-and-tape.yaml"


def test_a_tape_that_contradicts_the_walk_leaves_the_worth_of_ties_unknown() -> None:
    document = Document.load(HOUSE)
    document.set("walks[0].go[6]", "12 ft")  # 46' 6" as walked; the tape back to the house reads 14 ft all the same
    made = make_plan(document.job(), search_cuts=False)
    assert made.stakeout.ties
    assert None in {tie.known_m for tie in made.stakeout.ties}
