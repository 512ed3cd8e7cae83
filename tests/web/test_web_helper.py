"""Processes that compute beside the server's own: the same answers, the same problems, and none left behind."""

from __future__ import annotations

import operator
import os
import pickle
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from palewright import drafting
from palewright.drafting.edits import SetValue
from palewright.errors import ProblemError
from palewright.store.files import check_name
from palewright.web import Settings, desk, helper
from palewright.web.helper import Helpers
from palewright.web.house import House

SAMPLE = Path(desk.__file__).with_name("sample.yaml").read_text("utf-8")


@pytest.fixture
def helpers() -> Iterator[Helpers]:
    made = Helpers(1)
    made.start()
    _until_up(made)
    yield made
    made.close()


def _until_up(helpers: Helpers, count: int = 1) -> None:
    end = time.monotonic() + 120
    while len(helpers._free) < count or not helpers._up:
        assert time.monotonic() < end, "the helper did not come up"
        time.sleep(0.01)


def test_another_process_answers_and_this_one_before_they_are_up(helpers: Helpers) -> None:
    other = helpers.do(0, 60, os.getpid)
    assert other != os.getpid()
    assert helpers.do(0, 60, os.getpid) == other
    helpers._up = False
    assert helpers.do(0, 60, os.getpid) == os.getpid()


def test_who_asks_again_is_answered_by_the_same_process() -> None:
    helpers = Helpers(2)
    try:
        helpers.start()
        _until_up(helpers, 2)
        first, second = (helpers.do(seat, 60, os.getpid) for seat in (0, 1))
        assert first != second
        assert [helpers.do(seat, 60, os.getpid) for seat in (1, 1, 0, 0, 1)] == [second, second, first, first, second]
    finally:
        helpers.close()


def test_what_goes_wrong_is_raised_here(helpers: Helpers) -> None:
    with pytest.raises(ZeroDivisionError):
        helpers.do(0, 60, operator.truediv, 1, 0)
    assert helpers.do(0, 60, operator.truediv, 1, 2) == 0.5


def test_a_process_that_was_killed_is_missed_by_nobody_and_another_begins(helpers: Helpers) -> None:
    killed = helpers._all[0]
    killed.kill()
    killed.wait()
    assert helpers.do(0, 60, os.getpid) not in (os.getpid(), killed.pid)
    _until_up(helpers)
    assert killed not in helpers._all
    assert all(one.poll() is None for one in helpers._free)


def test_a_process_that_is_killed_while_it_works_is_told_and_another_begins(helpers: Helpers) -> None:
    busy = helpers._all[0]
    with pytest.raises(ProblemError) as gone:
        helpers.do(0, 60, os.kill, busy.pid, signal.SIGKILL)  # as the system does where memory runs out
    assert gone.value.problems[0].slug == "took-too-long"
    _until_up(helpers)
    assert helpers.do(0, 60, os.getpid) not in (os.getpid(), busy.pid)


def test_what_takes_too_long_is_ended_and_another_begins(helpers: Helpers) -> None:
    first = helpers._all[0]
    with pytest.raises(ProblemError) as late:
        helpers.do(0, 0.2, time.sleep, 600)
    assert late.value.problems[0].slug == "took-too-long"
    assert first.wait(30) != 0
    _until_up(helpers)
    assert helpers.within(60, os.getpid) not in (os.getpid(), first.pid)


def test_what_takes_all_memory_costs_its_process_and_no_other(helpers: Helpers) -> None:
    with pytest.raises(ProblemError) as gone:
        helpers.within(60, os.abort)  # as it ends where the system takes it away
    assert gone.value.problems[0].slug == "took-too-long"


def test_problems_come_over_as_they_are_and_a_busy_house_begins_one_more(helpers: Helpers) -> None:
    held = helpers._free.popleft()
    assert helpers.within(60, os.getpid) not in (os.getpid(), held.pid)
    with pytest.raises(ProblemError) as wrong:
        helpers.within(60, check_name, "..")
    assert wrong.value.problems[0].slug == "file-name-refused"
    assert len(helpers._free) == 1


def test_where_none_comes_up_everything_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(helper, "_WORK", "raise SystemExit(1)")
    helpers = Helpers(1)
    helpers._warm(1)
    assert helpers._all == []
    assert helpers.do(0, 60, os.getpid) == os.getpid()


def test_none_is_left_behind(helpers: Helpers) -> None:
    process = helpers._all[0]
    helpers.close()
    assert process.returncode is not None
    assert helpers.do(0, 60, os.getpid) == os.getpid()


def test_a_process_ends_when_nobody_asks_any_more_also_while_it_works(helpers: Helpers) -> None:
    process = helpers._all[0]
    assert process.stdin is not None
    process.stdin.write(pickle.dumps((time.sleep, (600,))))
    process.stdin.close()  # as it is closed where the server is killed
    assert process.wait(30) == 0


def test_edits_and_sights_are_those_of_this_process(tmp_path: Path) -> None:
    house = House(Settings(tmp_path, helpers=True))
    try:
        entry = house.store.jobs.create(SAMPLE, title="a job", by="test", why="begun", key="0123456789abcdef")
        house.helpers.start()
        _until_up(house.helpers)
        edits = drafting.edits_from_json([{"kind": "set", "path": "site.frost", "value": "30 in"}])
        assert isinstance(edits[0], SetValue)
        with house.hand.turn():  # somebody else has a turn
            done, seen = desk.edited(house, entry, SAMPLE, edits, "es", (entry.id, 1))
            gone = drafting.edits_from_json([{"kind": "delete", "about": "run nowhere"}])
            with pytest.raises(ProblemError) as wrong:
                desk.edited(house, entry, SAMPLE, gone, "es", None)
            assert desk.sight_of(house, entry, "en") == desk.encode(drafting.sight(SAMPLE, tmp_path))
        assert wrong.value.problems[0].slug == "no-such-thing"
        assert done.text == drafting.apply(SAMPLE, edits, tmp_path).text
        before = drafting.earlier(SAMPLE, tmp_path, language="es")
        assert seen == desk.encode(drafting.sight(done.text, tmp_path, language="es", against=before))
    finally:
        house.close()
