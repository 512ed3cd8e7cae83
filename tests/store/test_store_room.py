"""How much is taken: of a job, of all jobs, of the disk; what was replaced gives way; entries of the yard come in to the last."""

from __future__ import annotations

import sqlite3
import threading
import uuid
from collections import namedtuple
from pathlib import Path

import pytest
from tests.store.conftest import TEXT, entry, made, slugs

from palewright.errors import ProblemError
from palewright.store import Limits, Store, room
from palewright.store.kept import at_rest, kept_path

JPEG = b"\xff\xd8\xff\xe0"


def photo(store: Store, job: str, size: int = 100) -> str:
    one = str(uuid.uuid4())
    store.photos.put(job, one, [JPEG + one.encode().ljust(size - 4, b"x")], by="phone")
    return one


def refused(ask: object) -> str:
    with pytest.raises(ProblemError) as caught:
        ask()  # type: ignore[operator]
    (slug,) = slugs(caught.value)
    return slug


def kept(store: Store) -> int:
    return sum(1 for path in (store.folder / "kept").rglob("*") if path.is_file())


@pytest.fixture
def free(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """What the disk says is free on it [bytes]."""
    said, usage = [10**12], namedtuple("usage", "total used free")
    monkeypatch.setattr(room.shutil, "disk_usage", lambda _: usage(10**12, 0, said[0]))
    return said


def test_a_job_takes_so_many_photos_and_no_more(tmp_path: Path, url: str | None) -> None:
    with Store.open(tmp_path / "d", url, limits=Limits(photos=2)) as store:
        job, other = made(store), made(store, "Other")
        first = photo(store, job)
        photo(store, job)
        assert refused(lambda: photo(store, job)) == "photos-too-many"
        assert kept(store) == 2
        data = store.photos.path(job, first).read_bytes()
        assert store.photos.put(job, first, [data], by="phone").id == first  # it came before: its answer was lost
        photo(store, other)


def test_photos_and_files_of_a_job_share_its_room(tmp_path: Path, url: str | None) -> None:
    with Store.open(tmp_path / "d", url, limits=Limits(job_bytes=1000)) as store:
        job, other = made(store), made(store, "Other")
        photo(store, job, 400)
        store.files.put(job, "a.csv", b"x" * 500, by="desk")
        assert refused(lambda: photo(store, job, 101)) == "job-room-full"
        assert refused(lambda: store.files.put(job, "b.csv", b"y" * 101, by="desk")) == "job-room-full"
        assert refused(lambda: store.files.put(job, "a.csv", b"y" * 601, by="desk")) == "job-room-full"
        assert kept(store) == 2
        store.files.put(job, "a.csv", b"y" * 600, by="desk")  # in the place of the other, which gives way
        photo(store, other, 900)
        store.files.remove(job, "a.csv", by="desk")
        photo(store, job, 600)
        assert store.files.all(job) == ()


def test_all_jobs_share_a_room(tmp_path: Path, url: str | None) -> None:
    with Store.open(tmp_path / "d", url, limits=Limits(all_bytes=1000)) as store:
        job, other = made(store), made(store, "Other")
        photo(store, job, 400)
        store.files.put(job, "a.csv", b"x" * 200, by="desk")
        photo(store, other, 400)
        assert refused(lambda: photo(store, other, 10)) == "house-room-full"
        assert refused(lambda: store.files.put(job, "b.csv", b"y", by="desk")) == "house-room-full"
        assert refused(lambda: store.jobs.create(TEXT, title="x", by="desk", files_from=job)) == "house-room-full"
        assert len(store.jobs.all()) == 2
        store.jobs.create(TEXT, title="x", by="desk", files_from=other)


def test_what_is_announced_is_refused_before_it_comes(tmp_path: Path, free: list[int]) -> None:
    limits = Limits(job_bytes=1000, file_bytes=700, photo_bytes=700, spare_bytes=10_000)
    with Store.open(tmp_path / "d", limits=limits) as store:
        job = made(store)
        photo(store, job, 500)
        for size, slug in ((701, "upload-too-large"), (501, "job-room-full")):
            assert refused(lambda size=size: store.files.receive(job, "a.csv", by="desk", announced=size)) == slug
            one = str(uuid.uuid4())
            assert refused(lambda one=one, size=size: store.photos.receive(job, one, by="x", announced=size)) == slug
        one = str(uuid.uuid4())
        free[0] = 10_400
        assert refused(lambda: store.photos.receive(job, one, by="x", announced=401)) == "data-disk-low"
        assert refused(lambda: store.files.receive(job, "a.csv", by="desk", announced=201)) == "data-disk-low"
        with (
            store.photos.receive(job, one, by="x", announced=400),
            store.files.receive(job, "a.csv", by="desk", announced=200),  # it will stand in the job's folder too
        ):
            pass


def test_a_disk_with_little_room_takes_entries_alone(tmp_path: Path, free: list[int]) -> None:
    with Store.open(tmp_path / "d") as store:
        job = made(store)
        free[0] = 999_000_000
        assert refused(lambda: photo(store, job)) == "data-disk-low"
        assert refused(lambda: store.files.put(job, "a.csv", b"x", by="desk")) == "data-disk-low"
        assert store.revisions.save(job, "two", on=1, title="x", by="desk").revision == 2
        free[0] = 150_000_000
        assert refused(lambda: store.revisions.save(job, "three", on=2, title="x", by="desk")) == "data-disk-low"
        assert refused(lambda: store.jobs.create("four", title="x", by="desk")) == "data-disk-low"
        assert store.revisions.undo(job, on=2, by="desk").revision == 3
        free[0] = 0
        assert store.yard.append(job, [entry()]).last == 1


def test_room_that_goes_while_a_file_comes_in_ends_it(tmp_path: Path, free: list[int]) -> None:
    with Store.open(tmp_path / "d") as store:
        job = made(store)
        with store.files.receive(job, "a.csv", by="desk") as intake:
            intake.write(b"x" * (1 << 20))
            free[0] = 0
            assert refused(lambda: intake.write(b"x" * (1 << 20))) == "data-disk-low"
        assert kept(store) == 0


def test_the_last_versions_of_a_file_are_kept(tmp_path: Path, url: str | None) -> None:
    with Store.open(tmp_path / "d", url, limits=Limits(versions=2)) as store:
        job, other = made(store), made(store, "Other")
        store.files.put(other, "same.csv", b"0", by="desk")
        for number in range(6):
            store.files.put(job, "a.csv", str(number).encode(), by="desk")
        store.files.put(job, "b.csv", b"b", by="desk")
        assert store.files.read(job, "a.csv") == b"5"
        assert store.files.read(other, "same.csv") == b"0"  # the bytes of a version that went are another job's file
        with store._core.database.reading() as work:
            rows = work.rows("SELECT name, digest FROM files WHERE job = :job ORDER BY number", job=job)
        assert [row["name"] for row in rows] == ["a.csv"] * 3 + ["b.csv"]
        assert kept(store) == 5
        assert all(kept_path(store.folder, row["digest"]).is_file() for row in rows)
        assert store.heal() == ()
        assert (store.files.folder(job) / "a.csv").read_bytes() == b"5"


def test_versions_give_way_when_the_room_is_full_the_oldest_first(tmp_path: Path) -> None:
    with Store.open(tmp_path / "d", limits=Limits(job_bytes=1000)) as store:
        job = made(store)
        for letter in b"abcd":
            store.files.put(job, "a.csv", bytes([letter]) * 300, by="desk")
        assert kept(store) == 3
        store.files.put(job, "b.csv", b"x" * 600, by="desk")
        assert kept(store) == 2
        assert store.files.read(job, "a.csv") == b"d" * 300


def test_names_that_were_taken_away_are_forgotten_in_time(tmp_path: Path) -> None:
    with Store.open(tmp_path / "d", limits=Limits(files=3)) as store:
        job = made(store)
        for number in range(9):
            store.files.put(job, f"{number}.csv", str(number).encode(), by="desk")
            store.files.remove(job, f"{number}.csv", by="desk")
        assert kept(store) == 3
        assert store.files.all(job) == ()


def test_nothing_is_let_go_while_a_backup_reads(tmp_path: Path) -> None:
    with Store.open(tmp_path / "d", limits=Limits(versions=1)) as store:
        job = made(store)
        with at_rest(store.folder) as rest:
            assert rest
            for number in range(4):
                store.files.put(job, "a.csv", str(number).encode(), by="desk")
            assert kept(store) == 4
        store.files.put(job, "a.csv", b"last", by="desk")
        assert kept(store) == 2
        assert store.backup(tmp_path / "b.zip").cautions == ()


def test_what_is_refused_at_the_end_leaves_no_bytes(lite: Store) -> None:
    job, other = made(lite), made(lite, "Other")
    one = photo(lite, job)
    for place in (job, other):
        assert refused(lambda place=place: lite.photos.put(place, one, [JPEG, b"other"], by="x")) == "photo-id-used"
    lite.files.put(job, "a.csv", b"1", by="desk")
    assert refused(lambda: lite.files.put(job, "A.csv", b"2", by="desk")) == "file-name-refused"
    assert refused(lambda: lite.files.put(job, "A.csv", b"1", by="desk")) == "file-name-refused"
    assert kept(lite) == 2
    assert lite.files.read(job, "a.csv") == b"1"


def test_many_at_once_do_not_take_more_than_there_is(tmp_path: Path, url: str | None) -> None:
    with Store.open(tmp_path / "d", url, limits=Limits(photos=5, versions=1)) as store:
        job, told = made(store), []

        def send(number: int) -> None:
            store.files.put(job, "a.csv", str(number % 3).encode(), by="desk")
            try:
                told.append(photo(store, job))
            except ProblemError as error:
                told.extend(slugs(error))

        threads = [threading.Thread(target=send, args=(number,)) for number in range(10)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert told.count("photos-too-many") == 5
        assert all(store.photos.path(job, one.id).is_file() for one in store.photos.all(job))
        assert store.files.read(job, "a.csv") in (b"0", b"1", b"2")


def test_a_phone_that_sends_without_end_is_stopped(tmp_path: Path, url: str | None) -> None:
    with Store.open(tmp_path / "d", url, limits=Limits(entries=5, entries_bytes=1000)) as store:
        job, other = made(store), made(store, "Other")
        sent = [entry(seq=number) for number in range(5)]
        store.yard.append(job, sent)
        assert refused(lambda: store.yard.append(job, [entry(seq=9)])) == "job-entries-full"
        assert store.yard.append(job, sent).last == 5  # they are here already
        long = entry(what="note", value={"text": "x" * 1000})
        assert refused(lambda: store.yard.append(other, [long])) == "job-entries-full"
        store.yard.append(other, [entry(seq=1)])


def test_who_sent_an_entry_is_kept_beside_what_it_says(store: Store) -> None:
    job = made(store)
    one = entry(by="Ana's phone · 3f2a91")
    store.yard.append(job, [one])
    store.yard.append(job, [entry(id=one.id, by="another", value=one.value)])  # again: it keeps its first
    assert [got.by for got in store.yard.entries(job)] == ["Ana's phone · 3f2a91"]
    assert "Ana's phone · 3f2a91" in (store.files.folder(job) / "yard.json").read_text("utf-8")


def test_data_of_the_first_version_is_brought_up_to_date(tmp_path: Path) -> None:
    steps = sorted((Path(room.__file__).parent / "schema").glob("*.sql"))
    link = sqlite3.connect(tmp_path / "palewright.db")
    link.executescript(steps[0].read_text("utf-8"))
    link.execute("PRAGMA user_version = 1")
    now, job = "2026-05-04T13:30:00.000Z", "0" * 16
    link.execute("INSERT INTO jobs VALUES (?, 'x', 1, 1, 1, ?, ?, '')", (job, now, now))
    link.execute("INSERT INTO texts VALUES ('t', 'x')")
    link.execute("INSERT INTO revisions VALUES (?, 1, 'x', 't', '', ?, '', NULL, NULL)", (job, now))
    link.execute(
        "INSERT INTO entries VALUES (?, ?, 1, 'd', 'w', 1, 0, ?, 'post 1', 'done', '{}', ?)",
        (str(uuid.uuid4()), job, now, now),
    )
    link.execute("INSERT INTO files VALUES (?, 1, 'a.csv', ?, 1, 'desk', ?)", (job, "0" * 64, now))
    link.commit()
    link.close()
    with Store.open(tmp_path) as store:
        assert [one.by for one in store.yard.entries(job)] == [""]
        assert [one.role for one in store.files.all(job)] == [""]
