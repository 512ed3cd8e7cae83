"""Backup and restore, between both databases, and backups that are not what they should be."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import threading
import uuid
import zipfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from types import SimpleNamespace

import pytest
from tests.store.conftest import entry, made, slugs
from tests.store.test_store_files import tree

from palewright.errors import OutputError, ProblemError
from palewright.store import Store, restore, restoring
from palewright.store.backup import MANIFEST, TABLES

JPEG = b"\xff\xd8\xff\xe0 ladder"


def fill(store: Store) -> str:
    """A job with something of everything; the token of a device."""
    job = made(store, "Tansy Court ✨")
    store.revisions.save(
        job, 'two ñ 🪵 "quoted" \\ \u2028', on=1, title="Tansy Court ✨", by="desk", why="typed", key="key-00001"
    )
    store.revisions.undo(job, on=2, by="desk")
    store.marks.add(job, "as quoted", number=2, by="desk")
    store.files.put(job, "prices.csv", b"old", by="desk")
    store.files.put(job, "prices.csv", b"new", by="desk")
    photo = str(uuid.uuid4())
    store.photos.put(job, photo, [JPEG], by="phone-1")
    store.yard.append(job, [entry(what="photo", value={"photo": photo, "depth_m": 0.1 + 0.2}), entry(seq=2)])
    copy = store.jobs.create("three", title="../..", by="desk", files_from=job).id
    store.jobs.remove(copy, on=1, by="desk")
    store.people.code("crew", by="desk")
    return store.people.pair(store.people.opening(), "laptop", typed=False).token


def everything(store: Store) -> object:
    jobs = [*store.jobs.all(), *store.jobs.all(gone=True)]
    return [
        (
            job,
            [(one, store.revisions.text(job.id, one.number)) for one in store.revisions.all(job.id)],
            store.marks.all(job.id),
            [(one, store.files.read(job.id, one.name)) for one in store.files.all(job.id)],
            [(one, store.photos.path(job.id, one.id).read_bytes()) for one in store.photos.all(job.id)],
            store.yard.entries(job.id),
            tree(store.files.folder(job.id)),
        )
        for job in jobs
    ] + [store.people.devices()]  # type: ignore[list-item]


def test_there_and_back_between_both_databases(tmp_path: Path, postgres: str) -> None:
    with Store.open(tmp_path / "a") as store:
        token = fill(store)
        before = everything(store)
        done = store.backup(tmp_path / "a.zip")
        assert (done.jobs, done.cautions, done.bytes) == (2, (), (tmp_path / "a.zip").stat().st_size)
    assert restore(tmp_path / "a.zip", tmp_path / "b", postgres).jobs == 2
    with Store.open(tmp_path / "b", postgres) as store:
        assert everything(store) == before
        store.backup(tmp_path / "b.zip")
    os.makedirs(tmp_path / "c")
    assert restore(tmp_path / "b.zip", tmp_path / "c").jobs == 2
    with Store.open(tmp_path / "c") as store:
        assert everything(store) == before
        assert store.people.device(token) is not None
        (job,) = store.jobs.all()
        again = store.revisions.save(
            job.id, 'two ñ 🪵 "quoted" \\ \u2028', on=1, title="Tansy Court ✨", by="desk", key="key-00001"
        )
        assert again.revision == 2  # the answer of then: a request that comes again after a restore is not done twice
        assert store.revisions.save(job.id, "four", on=3, title="Yard", by="desk").revision == 4
    assert {path.name for path in (tmp_path / "c").iterdir()} == {
        "palewright.db",
        "kept",
        "jobs",
        "gone",
        ".lock",
        ".locks",
    }


def test_a_backup_can_be_read_without_the_program(lite: Store, tmp_path: Path) -> None:
    fill(lite)
    (job,) = lite.jobs.all()
    folder = lite.files.folder(job.id)
    lite.backup(tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as box:
        names = box.namelist()
        for path in folder.rglob("*"):
            if path.is_file() and path.name != ".palewright.json":
                assert box.read(f"jobs/{path.relative_to(folder.parent).as_posix()}") == path.read_bytes()
        assert len(names) == len(set(names))
        assert not [name for name in names if ".." in name or name.startswith("/") or "\\" in name]
        assert sum(box.read(name) == JPEG for name in names) == 1
        assert b"old" in [box.read(name) for name in names if name.startswith("kept/")]


def test_tables_of_a_backup_are_the_tables_there_are(lite: Store) -> None:
    with lite._core.database.reading() as work:
        there = {row["name"] for row in work.rows("SELECT name FROM sqlite_master WHERE type = 'table'")}
    assert there == {*TABLES, "codes"}


def test_a_backup_while_others_save_is_of_one_moment(store: Store, tmp_path: Path) -> None:
    job = made(store)
    stop, faults = threading.Event(), []

    def work() -> None:
        number = 1
        try:
            while not stop.is_set():
                store.revisions.save(job, f"{number} " * 300, on=number, title="Yard", by="desk")
                number += 1
                store.yard.append(job, [entry(seq=number)])
        except BaseException as error:
            faults.append(error)

    thread = threading.Thread(target=work)
    thread.start()
    try:
        for number in range(4):
            store.backup(tmp_path / f"{number}.zip")
    finally:
        stop.set()
        thread.join()
    assert not faults
    for number in range(4):
        restore(tmp_path / f"{number}.zip", tmp_path / f"back-{number}")
        with Store.open(tmp_path / f"back-{number}") as back:
            entry_of = back.jobs.entry(job)
            assert len(back.revisions.all(job, most=10_000)) == entry_of.revision
            assert len(back.yard.entries(job)) == entry_of.entries
            assert entry_of.entries in (entry_of.revision - 1, entry_of.revision - 2)


def test_a_backup_is_not_written_over_unasked(lite: Store, tmp_path: Path) -> None:
    made(lite)
    lite.backup(tmp_path / "a.zip")
    before = (tmp_path / "a.zip").read_bytes()
    with pytest.raises(OutputError):
        lite.backup(tmp_path / "a.zip")
    assert (tmp_path / "a.zip").read_bytes() == before
    made(lite, "Other")
    assert lite.backup(tmp_path / "a.zip", replaces=True).jobs == 2
    with pytest.raises(OutputError):
        lite.backup(tmp_path / "no such folder" / "a.zip")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.zip", "data"]


def test_a_photo_that_is_no_longer_there_is_told_and_the_rest_is_backed_up(lite: Store, tmp_path: Path) -> None:
    fill(lite)
    (job,) = lite.jobs.all()
    (photo,) = lite.photos.all(job.id)
    path = lite.photos.path(job.id, photo.id)
    path.chmod(0o600)
    path.write_bytes(b"spoilt")
    lite.files.path(job.id, "prices.csv").unlink()
    done = lite.backup(tmp_path / "a.zip")
    assert [caution.slug for caution in done.cautions] == ["kept-file-missing"] * 2
    assert restore(tmp_path / "a.zip", tmp_path / "back").jobs == 2
    with Store.open(tmp_path / "back") as back:
        assert back.revisions.all(job.id) == lite.revisions.all(job.id)
        with pytest.raises(ProblemError) as caught:
            back.files.read(job.id, "prices.csv")
        assert slugs(caught.value) == ["data-disk-failed"]


def rewritten(
    path: Path,
    change: Callable[[str, bytes], bytes | None],
    manifest: Callable[[dict[str, object]], None] = lambda said: None,
) -> Path:
    """The backup with its members changed, or left out, and what it says of them too."""
    out = path.with_name("changed.zip")
    with zipfile.ZipFile(path) as box, zipfile.ZipFile(out, "w") as fresh:
        for name in box.namelist():
            data = box.read(name)
            if name == MANIFEST:
                said = json.loads(data)
                manifest(said)
                data = json.dumps(said).encode()
            changed = change(name, data)
            if changed is not None:
                fresh.writestr(name, changed)
    return out


def same(name: str, data: bytes) -> bytes:
    return data


@pytest.mark.parametrize(
    "spoil",
    [
        lambda path: path.write_bytes(path.read_bytes()[:-100]),
        lambda path: path.write_bytes(path.read_bytes()[100:]),
        lambda path: path.write_bytes(b""),
        lambda path: path.write_bytes(b"a letter"),
        lambda path: path.unlink(),
        lambda path: rewritten(path, lambda name, data: data.replace(b"typed", b"typec")).replace(path),
        lambda path: rewritten(path, lambda name, data: data.replace(b"ladder", b"lasser")).replace(path),
        lambda path: rewritten(path, lambda name, data: None if name == "tables/texts.jsonl" else data).replace(path),
        lambda path: rewritten(path, lambda name, data: None if name.endswith(".jpg") else data).replace(path),
        lambda path: rewritten(path, lambda name, data: None if name == MANIFEST else data).replace(path),
        lambda path: rewritten(path, lambda name, data: b"[]" if name == MANIFEST else data).replace(path),
        lambda path: rewritten(path, lambda name, data: b"\xff{" if name == MANIFEST else data).replace(path),
        lambda path: rewritten(path, same, lambda said: said.update(schema="x")).replace(path),
        lambda path: rewritten(path, same, lambda said: said.update(kept={"../../../etc/cron.d/x": "jobs"})).replace(path),
        lambda path: rewritten(path, same, lambda said: said.update(kept={"a" * 64: MANIFEST})).replace(path),
    ],
)  # fmt: skip
def test_a_spoilt_backup_is_refused_and_nothing_is_written(tmp_path: Path, spoil: Callable[[Path], object]) -> None:
    path = tmp_path / "a.zip"
    with Store.open(tmp_path / "data") as store:
        fill(store)
        store.backup(path)
    spoil(path)
    with pytest.raises(ProblemError) as caught:
        restore(path, tmp_path / "back")
    assert slugs(caught.value) == ["backup-unusable"]
    assert not (tmp_path / "back").exists() or tree(tmp_path / "back") == set()


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b'"text":', b'"text) VALUES (1); DROP TABLE jobs; --":'), (b'"title":', b'"nothing":'), (b'"head": 3', b'"head": 9'),
        (b'"job": "', b'"job": "f'), (b"{", b"["), (b"three", b"tree"),
        (b'"name": "prices.csv"', b'"name": "../../prices.csv"'), (b'"name": "prices.csv"', b'"name": "/prices.csv"'),
        (b'"kind": "image/jpeg"', b'"kind": "text/html"'), (b'"role": "owner"', b'"role": "king"'),
    ],
)  # fmt: skip
def test_rows_that_are_not_as_they_must_be_leave_no_database(tmp_path: Path, before: bytes, after: bytes) -> None:
    """Somebody changed the rows and the digests with them."""
    path = tmp_path / "a.zip"
    with Store.open(tmp_path / "data") as store:
        fill(store)
        store.backup(path)
    changed: dict[str, str] = {}

    def change(name: str, data: bytes) -> bytes:
        if name.startswith("tables/"):
            data = data.replace(before, after)
            changed[name[7:-6]] = sha256(data).hexdigest()
        if name == MANIFEST:
            said = json.loads(data)
            for table, digest in changed.items():
                said["tables"][table]["sha256"] = digest
            data = json.dumps(said).encode()
        return data

    with pytest.raises(ProblemError) as caught:
        restore(rewritten(path, change), tmp_path / "back")
    assert slugs(caught.value) == ["backup-unusable"]
    assert tree(tmp_path / "back") == set()
    assert restore(path, tmp_path / "back").jobs == 2


def test_a_backup_of_a_later_version(lite: Store, tmp_path: Path) -> None:
    made(lite)
    lite.backup(tmp_path / "a.zip")
    later = rewritten(tmp_path / "a.zip", same, lambda said: said.update(schema=99))
    with pytest.raises(ProblemError) as caught:
        restore(later, tmp_path / "back")
    assert slugs(caught.value) == ["data-newer"]


def test_a_restore_needs_an_empty_place(lite: Store, tmp_path: Path, postgres: str) -> None:
    job = made(lite)
    lite.backup(tmp_path / "a.zip")
    with pytest.raises(ProblemError) as caught:
        restore(tmp_path / "a.zip", lite.folder)
    assert slugs(caught.value) == ["data-not-empty"]
    assert lite.jobs.entry(job).revision == 1
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "letter.txt").write_text("mine")
    with pytest.raises(ProblemError) as caught:
        restore(tmp_path / "a.zip", tmp_path / "other")
    assert slugs(caught.value) == ["data-not-empty"]
    restore(tmp_path / "a.zip", tmp_path / "first", postgres)
    with pytest.raises(ProblemError) as caught:
        restore(tmp_path / "a.zip", tmp_path / "second", postgres)
    assert slugs(caught.value) == ["data-not-empty"]
    assert tree(tmp_path / "second") == set()


def test_a_restore_that_was_killed_is_begun_again(lite: Store, tmp_path: Path) -> None:
    fill(lite)
    lite.backup(tmp_path / "a.zip")
    place = tmp_path / "back"
    (place / ".restoring").mkdir(parents=True)
    (place / "kept" / "00").mkdir(parents=True)
    (place / "kept" / "00" / "half").write_bytes(b"half")
    (place / "letter.txt").write_text("mine")
    with pytest.raises(ProblemError) as caught:
        restore(tmp_path / "a.zip", place)
    assert slugs(caught.value) == ["data-not-empty"]
    (place / "letter.txt").unlink()
    restore(tmp_path / "a.zip", place)
    assert not (place / "kept" / "00" / "half").exists()
    assert not (place / ".restoring").exists()
    with Store.open(place) as back:
        assert len(back.jobs.all()) == len(lite.jobs.all())


def test_what_killed_backups_left_is_swept_after_a_day(lite: Store, tmp_path: Path) -> None:
    made(lite)
    old, young, other = (tmp_path / name for name in (".a[1].zip.12.new", ".a[1].zip.34.new", ".b.zip.12.new"))
    for path in (old, young, other):
        path.write_bytes(b"half")
    for path in (old, other):
        os.utime(path, (1, 1))
    lite.backup(tmp_path / "a[1].zip")
    assert [path.exists() for path in (old, young, other)] == [False, True, True]


def run(*args: str, **more: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, **more}
    return subprocess.run(
        [sys.executable, "-m", "palewright", *args], capture_output=True, text=True, check=False, env=environment
    )


def test_the_commands(tmp_path: Path) -> None:
    with Store.open(tmp_path / "share" / "palewright") as store:
        fill(store)
        before = everything(store)
    zip_file = str(tmp_path / "a.zip")
    done = run("backup", zip_file, XDG_DATA_HOME=str(tmp_path / "share"))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("2 jobs written to ")
    again = run("backup", zip_file, "--data", str(tmp_path / "share" / "palewright"))
    assert again.returncode == 3
    assert "is there already" in again.stderr
    assert run("backup", zip_file, "--replace", "--data", str(tmp_path / "share" / "palewright")).returncode == 0
    back = run("restore", zip_file, "--data", str(tmp_path / "back"))
    assert (back.returncode, back.stdout) == (0, f"2 jobs restored into {tmp_path / 'back'}\n")
    with Store.open(tmp_path / "back") as store:
        assert everything(store) == before
    for args, slug in (
        (("restore", zip_file, "--data", str(tmp_path / "back")), "data-not-empty"),
        (("restore", str(tmp_path / "none.zip"), "--data", str(tmp_path / "new")), "backup-unusable"),
        (("backup", str(tmp_path / "b.zip"), "--data", str(tmp_path / "nowhere")), "data-not-there"),
        (("backup", str(tmp_path / "b.zip"), "--database", "mysql://x"), "database-address-unusable"),
    ):
        failed = run(*args, XDG_DATA_HOME=str(tmp_path / "share"))
        assert failed.returncode == 1, failed.stderr
        assert slug in failed.stderr
        assert "Traceback" not in failed.stderr
    assert not (tmp_path / "nowhere").exists()
    assert not (tmp_path / "b.zip").exists()


def test_a_damaged_database_replaces_no_good_backup(tmp_path: Path) -> None:
    with Store.open(tmp_path / "data") as store:
        job = made(store)
        for number in range(1, 30):
            store.revisions.save(job, f"{number} " * 500, on=number, title="Yard", by="desk")
        store.backup(tmp_path / "a.zip")
    good = (tmp_path / "a.zip").read_bytes()
    path = tmp_path / "data" / "palewright.db"
    link = sqlite3.connect(path)
    (root,) = link.execute("SELECT rootpage FROM sqlite_master WHERE name = 'texts'").fetchone()
    (size,) = link.execute("PRAGMA page_size").fetchone()
    link.close()
    data = bytearray(path.read_bytes())
    data[(root - 1) * size : root * size] = b"\x07" * size
    path.write_bytes(data)
    done = run("backup", str(tmp_path / "a.zip"), "--replace", "--data", str(tmp_path / "data"))
    assert done.returncode == 1
    assert "data-damaged" in done.stderr
    assert (tmp_path / "a.zip").read_bytes() == good


def test_a_backup_that_unpacks_to_more_than_there_is_room_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store.open(tmp_path / "data") as store:
        fill(store)
        store.backup(tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip", "a", zipfile.ZIP_DEFLATED) as box:
        box.writestr("jobs/zeros", b"\0" * 5_000_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: SimpleNamespace(free=4_000_000))
    with pytest.raises(ProblemError) as caught:
        restore(tmp_path / "a.zip", tmp_path / "back")
    assert slugs(caught.value) == ["backup-unusable"]
    assert not (tmp_path / "back").exists()


@pytest.mark.parametrize("limit", ["_MOST_MANIFEST", "_MOST_ROW"])
def test_a_part_that_unpacks_without_end_is_not_held_in_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, limit: str
) -> None:
    """The limit stands below what this backup has, in place of a backup above the limit."""
    with Store.open(tmp_path / "data") as store:
        fill(store)
        store.backup(tmp_path / "a.zip")
    monkeypatch.setattr(restoring, limit, 20)
    with pytest.raises(ProblemError) as caught:
        restore(tmp_path / "a.zip", tmp_path / "back")
    assert slugs(caught.value) == ["backup-unusable"]
    monkeypatch.undo()
    assert restore(tmp_path / "a.zip", tmp_path / "back").jobs == 2
