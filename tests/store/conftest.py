"""The store over both databases: the same tests run on SQLite and on a real PostgreSQL."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.store.postgres import emptied, empty_database, server

from palewright.model.yard import YardEntry
from palewright.store import Store


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    with server() as address:
        yield address


@pytest.fixture
def new_postgres(postgres_server: str) -> Iterator[str]:
    """The address of a database in which there is nothing, not even a schema."""
    with empty_database(postgres_server) as address:
        yield address


@pytest.fixture(scope="session")
def one_postgres(postgres_server: str) -> Iterator[str]:
    with empty_database(postgres_server) as address:
        yield address


@pytest.fixture
def postgres(one_postgres: str) -> Iterator[str]:
    """The address of a database without rows."""
    yield one_postgres
    emptied(one_postgres)


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> str | None:
    """Where rows go: None, into the SQLite file of the data folder; or the address of an empty PostgreSQL database."""
    return None if request.param == "sqlite" else request.getfixturevalue("postgres")


@pytest.fixture
def store(tmp_path: Path, url: str | None) -> Iterator[Store]:
    with Store.open(tmp_path / "data", url) as opened:
        yield opened


@pytest.fixture
def lite(tmp_path: Path) -> Iterator[Store]:
    """A store over SQLite, for what has nothing to do with the database."""
    with Store.open(tmp_path / "data") as opened:
        yield opened


TEXT = "palewright: 1\njob: {title: Yard}\n"


def made(store: Store, title: str = "Tansy Court lot 7", text: str = TEXT) -> str:
    """A job; its id."""
    return store.jobs.create(text, title=title, by="desk").id


def entry(device: str = "phone-1", seq: int = 1, about: str = "post 1", **given: object) -> YardEntry:
    """An entry from a yard."""
    said = {
        "id": str(uuid.uuid4()),
        "who": "Ana",
        "saw": 0,
        "made": "2026-05-04T09:00:00",
        "what": "done",
        "value": {"done": True},
    }
    return YardEntry(**{**said, "device": device, "seq": seq, "about": about, **given})  # type: ignore[arg-type]


def slugs(error: BaseException) -> list[str]:
    """The names of the problems in an error."""
    return [problem.slug for problem in error.problems]  # type: ignore[attr-defined]
