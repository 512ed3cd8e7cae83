"""A leg that is a hair longer than whole bays, as survey feet or rounded coordinates make it."""

from __future__ import annotations

import pytest

from palewright.layout.bays import BayRules, divide

FOOT = 0.3048
SURVEY_FOOT = 1200 / 3937  # NIST, legacy foot


@pytest.mark.parametrize("rule", ["even", "short last", "short first", "short both"])
@pytest.mark.parametrize("length_m", [40 * SURVEY_FOOT, 40 * FOOT + 3e-7, 40 * FOOT])
def test_whole_bays_stay_whole(rule: str, length_m: float) -> None:
    found = divide(length_m, BayRules(8 * FOOT, rule=rule))
    assert found.bays == 5
    assert found.spread_m == 0.0


def test_one_bay_in_survey_feet() -> None:
    assert divide(8 * SURVEY_FOOT, BayRules(8 * FOOT)).bays == 1


def test_more_than_that_is_a_bay_more() -> None:
    assert divide(40 * FOOT + 0.001, BayRules(8 * FOOT)).bays == 6


def test_panels_of_a_module_in_survey_feet() -> None:
    found = divide(48 * SURVEY_FOOT, BayRules(8 * FOOT, rule="panels", module_m=6 * FOOT))
    assert (found.bays, found.cut) == (8, 0)
