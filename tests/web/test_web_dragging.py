"""Steps of a drag: the store is asked now and then, what they tell is the same, and whoever drags an old revision is told."""

from __future__ import annotations

from typing import Any

import pytest
from tests.web.conftest import Browser, Place, key

from palewright.web import dragging


@pytest.fixture
def asked(place: Place, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Jobs that the store is asked for, in turn."""
    names: list[str] = []
    entry = place.store.jobs.entry
    monkeypatch.setattr(place.store.jobs, "entry", lambda job: names.append(job) or entry(job))
    return names


def step(browser: Browser, job: str, x: float, answer: str = "places", lang: str = "en") -> Any:
    edit = {"kind": "move", "about": "point NE", "to": [x, 9.0]}
    return browser.post(
        f"/api/jobs/{job}/trial", {"revision": 1, "edits": [edit], "answer": answer, "side": "", "lang": lang}
    )


def corner(browser: Browser, job: str) -> float:
    """Where the dragged corner stands [m]."""
    items = browser.get(f"/api/jobs/{job}/sight").json()["sight"]["items"]
    return float(next(item["centre"][0] for item in items if item["id"] == "point NE"))


@pytest.mark.parametrize("answer", ["places", "change"])
def test_short_steps_ask_the_store_now_and_then(
    place: Place, answer: str, asked: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    job = place.job(TEXT)["id"]
    monkeypatch.setattr(dragging, "_FRESH", 1e9)
    monkeypatch.setattr(dragging, "_SHORT", 1e9)
    asked.clear()
    told = [step(place.owner, job, 20.0 + k, answer).json() for k in range(4)]
    assert asked == [job]  # by the first, which read the job
    monkeypatch.setattr(dragging, "_SHORT", 0.0)  # all steps are long ones
    again = [step(place.owner, job, 20.0 + k, answer).json() for k in range(4)]
    assert asked == [job] * 5
    assert told == again
    assert told[0] != told[1]
    monkeypatch.setattr(dragging, "_SHORT", 1e9)
    monkeypatch.setattr(dragging, "_FRESH", 0.0)  # what the store said is old at once
    assert step(place.owner, job, 20.0, answer).json() == told[0]
    assert asked == [job] * 6


def test_two_languages_and_two_devices_have_a_trial_each(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    job = place.job(TEXT)["id"]
    monkeypatch.setattr(dragging, "_FRESH", 1e9)
    monkeypatch.setattr(dragging, "_SHORT", 1e9)
    for browser in (place.owner, place.estimator):
        first, other = (
            {item["id"]: item for item in step(browser, job, 20.0, lang=lang).json()["sight"]["items"]}
            for lang in ("en", "es")
        )
        assert first["run north"]["say"].startswith("Run north of fence")
        assert other["run north"]["say"].startswith("Tramo")
    assert step(place.crew, job, 20.0).status_code == 403


@pytest.mark.parametrize("answer", ["places", "change"])
def test_whoever_drags_an_older_revision_is_told_when_the_store_is_asked(
    place: Place, answer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = place.job(TEXT)["id"]
    assert step(place.owner, job, 20.0).status_code == step(place.owner, job, 21.0).status_code == 200
    edits = {"revision": 1, "edits": [{"kind": "set", "path": "job.title", "value": "y"}], "key": key()}
    assert place.estimator.post(f"/api/jobs/{job}/edits", edits).status_code == 200
    monkeypatch.setattr(dragging, "_FRESH", 0.0)  # what the store said is old at once
    told = step(place.owner, job, 22.0, answer)
    assert (told.status_code, told.json()["problems"][0]["slug"]) == (409, "job-changed-elsewhere")
    assert corner(place.owner, job) == pytest.approx(18.0)  # and nothing of the drag was saved


def test_a_place_where_nothing_can_be_laid_out_is_told_as_a_whole_change(place: Place) -> None:
    job = place.job(TEXT)["id"]
    assert "notices" not in step(place.owner, job, 20.0).json()["sight"]
    broken = step(place.owner, job, 0.0).json()["sight"]  # the corner in the first one: a leg of no length
    assert [notice["level"] for notice in broken["notices"]].count("problem") >= 1
    assert "notices" not in step(place.owner, job, 20.0).json()["sight"]


TEXT = """\
palewright: 1
job: {title: dragged}
points:
  NW: {at: [0 m, 9 m]}
  NE: {at: [18 m, 9 m]}
  SE: {at: [18 m, 0 m]}
fences:
  privacy: {kind: boards, board: 6 ft, longest bay: 8 ft, good side: neighbour}
runs:
  - {name: north, fence: privacy, through: [NW, NE], yard: right, follows: racked}
  - {name: east, fence: privacy, through: [NE, SE], yard: right, follows: racked}
"""
