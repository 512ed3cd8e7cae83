"""Pairing codes, devices and their tokens, on both databases."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from tests.store.conftest import slugs

from palewright.errors import ProblemError
from palewright.store import Store, people


class Clock:
    def __init__(self) -> None:
        self.time = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.time

    def on(self, **step: float) -> None:
        self.time += timedelta(**step)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(tmp_path: Path, url: str | None, clock: Clock) -> Iterator[Store]:
    with Store.open(tmp_path / "data", url, clock=clock) as opened:
        yield opened


def refused(store: Store, code: str) -> bool:
    try:
        store.people.pair(code, "phone")
    except ProblemError as error:
        return slugs(error) == ["pairing-refused"]
    return False


def test_a_code_lets_one_device_in_once(store: Store) -> None:
    code = store.people.code("crew", by="desk")
    pairing = store.people.pair(f"  {code.code.lower().replace('-', ' ')} ", "Ana's\nphone 📱")
    assert (pairing.device.role, pairing.device.name, pairing.device.ended) == ("crew", "Ana's phone 📱", "")
    assert store.people.device(pairing.token) == pairing.device
    assert refused(store, code.code)
    assert store.people.devices() == (pairing.device,)


@pytest.mark.parametrize("code", ["", "AAAA-AAAA", "x" * 10_000, "nul\x00", "' OR 1=1", "\ud800"])
def test_wrong_codes(store: Store, code: str) -> None:
    assert refused(store, code)
    store.people.code("owner", by="desk")
    assert refused(store, code)
    assert store.people.devices() == ()


def test_a_code_ends_after_its_minutes(store: Store, clock: Clock) -> None:
    code = store.people.code("crew", by="desk", minutes=10)
    clock.on(minutes=10, seconds=1)
    assert refused(store, code.code)


@pytest.fixture
def ten(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten wrong tries end a code: 3,000 take a minute of scrypt."""
    monkeypatch.setattr(people, "TRIES", 10)


def test_tries_that_the_door_lets_through_end_no_code() -> None:
    rate = 240 * 10  # palewright.web.house, in the ten minutes of a code
    assert rate < people.TRIES
    assert people.OPEN * people.TRIES / len(people._LETTERS) ** 8 < 2e-8


@pytest.mark.usefixtures("ten")
def test_ten_wrong_tries_end_the_codes_that_are_open_and_nine_do_not(store: Store) -> None:
    code, opening = store.people.code("crew", by="desk"), store.people.opening()
    assert all(refused(store, "AAAA-AAAA") for _ in range(9))
    store.people.pair(code.code, "phone")
    code = store.people.code("crew", by="desk")
    assert all(refused(store, "AAAA-AAAA") for _ in range(10))
    assert refused(store, code.code)
    assert store.people.pair(opening, "this machine", typed=False).device.role == "owner"
    assert not refused(store, store.people.code("crew", by="desk").code)


@pytest.mark.usefixtures("ten")
def test_wrong_tries_at_once_count_each(store: Store) -> None:
    code = store.people.code("crew", by="desk")
    threads = [threading.Thread(target=refused, args=(store, "AAAA-AAAA")) for _ in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert refused(store, code.code)


def test_a_code_that_many_show_at_once_lets_one_in(store: Store) -> None:
    code = store.people.code("crew", by="desk")
    told: list[bool] = []
    threads = [threading.Thread(target=lambda: told.append(refused(store, code.code))) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(told) == [False, True, True, True, True]
    assert len(store.people.devices()) == 1


def test_five_codes_are_open_at_once(store: Store, clock: Clock) -> None:
    codes = []
    for _ in range(6):
        clock.on(seconds=1)
        codes.append(store.people.code("crew", by="desk").code)
    assert refused(store, codes[0])
    assert not any(refused(store, code) for code in codes[1:])


def test_an_opening_token_is_good_once(store: Store) -> None:
    token = store.people.opening()
    assert store.people.pair(token, "this machine", typed=False).device.role == "owner"
    assert refused(store, token)


def test_a_device_that_was_ended_is_let_in_no_more(store: Store) -> None:
    pairing = store.people.pair(store.people.opening("crew"), "phone", typed=False)
    other = store.people.pair(store.people.opening("estimator"), "laptop", typed=False)
    ended = store.people.end(pairing.device.id)
    assert ended.ended
    assert store.people.end(pairing.device.id) == ended
    assert store.people.device(pairing.token) is None
    assert store.people.device(other.token) == other.device
    for wrong in ("", "0" * 16, "nul\x00", "../x"):
        with pytest.raises(ProblemError) as caught:
            store.people.end(wrong)
        assert slugs(caught.value) == ["device-unknown"]


def test_a_device_stays_in_while_it_is_used_and_not_after_90_days(store: Store, clock: Clock) -> None:
    pairing = store.people.pair(store.people.opening("crew"), "phone", typed=False)
    for _ in range(3):
        clock.on(days=80)
        assert store.people.device(pairing.token) is not None
    assert store.people.devices()[0].seen == "2026-12-30T09:00:00.000Z"
    clock.on(days=91)
    assert store.people.device(pairing.token) is None


@pytest.mark.parametrize("token", ["", "x", "nul\x00", "\ud800", "x" * 100_000])
def test_wrong_tokens(store: Store, token: str) -> None:
    store.people.pair(store.people.opening(), "phone", typed=False)
    assert store.people.device(token) is None


def test_an_unknown_role(store: Store) -> None:
    with pytest.raises(ProblemError) as caught:
        store.people.code("admin", by="desk")
    assert slugs(caught.value) == ["role-unknown"]


def test_neither_codes_nor_tokens_are_kept(tmp_path: Path) -> None:
    with Store.open(tmp_path / "data") as store:
        code, opening = store.people.code("crew", by="desk").code, store.people.opening()
        token = store.people.pair(opening, "phone", typed=False).token
    held = b"".join(path.read_bytes() for path in (tmp_path / "data").rglob("*") if path.is_file())
    for secret in (code, code.replace("-", ""), opening, token):
        assert secret.encode() not in held


def test_an_address_is_no_code_and_a_code_no_address(store: Store) -> None:
    code, opening = store.people.code("crew", by="desk").code, store.people.opening()
    assert refused(store, opening)
    for wrong in (code, *map(str, range(20))):
        with pytest.raises(ProblemError) as caught:
            store.people.pair(wrong, "phone", typed=False)
        assert slugs(caught.value) == ["pairing-refused"]
    assert store.people.pair(code, "phone").device.role == "crew"  # wrong addresses were no tries of it
    store.people.close()
    with pytest.raises(ProblemError):
        store.people.pair(opening, "laptop", typed=False)


@pytest.mark.skipif(os.name != "posix", reason="modes of files")
def test_the_database_is_for_its_owner_alone_also_in_a_folder_that_others_may_read(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    with Store.open(tmp_path) as store:
        store.people.opening()
        for path in tmp_path.glob("palewright.db*"):
            assert path.stat().st_mode & 0o077 == 0, path
