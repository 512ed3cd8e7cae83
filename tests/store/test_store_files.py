"""Files beside jobs, photos, and the folder of every job on disk."""

from __future__ import annotations

import json
import os
import shutil
import tracemalloc
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.store.conftest import TEXT, entry, made, slugs

from palewright.errors import ProblemError
from palewright.store import Limits, Store
from palewright.store.files import check_name

JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF" + b"grain" * 100


def tree(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_a_folder_can_be_read_without_the_program(store: Store) -> None:
    job = made(store, "Tansy Court, lot 7")
    store.files.put(job, "prices.csv", b"code,price\n", by="desk")
    photo = str(uuid.uuid4())
    store.photos.put(job, photo, [JPEG[:7], JPEG[7:]], by="phone-1")
    store.yard.append(job, [entry(what="photo", value={"photo": photo})])
    folder = store.files.folder(job)
    assert folder == store.folder / "jobs" / f"tansy-court-lot-7-{job[:6]}"
    assert tree(folder) == {"job.yaml", "prices.csv", "yard.json", f"photos/{photo}.jpg", ".palewright.json"}
    assert (folder / "job.yaml").read_bytes() == TEXT.encode()
    assert (folder / "prices.csv").read_bytes() == b"code,price\n"
    assert (folder / "photos" / f"{photo}.jpg").read_bytes() == JPEG
    yard = json.loads((folder / "yard.json").read_text("utf-8"))
    assert yard["job"] == "Tansy Court, lot 7"
    assert [(one["number"], one["value"]) for one in yard["entries"]] == [(1, {"photo": photo})]


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("../../etc/passwd", "etc-passwd"), ("a/b\\c", "a-b-c"), (". . .", "job"), ("🪵✨", "job"), ("CON", "con"), ("", "job-without-a-title"),
        ("x" * 10_000, "x" * 60), ("Cerca de la Señora Núñez", "cerca-de-la-senora-nunez"), ("<script>alert(1)</script>", "script-alert-1-script"),
        ("nul\x00 and\nlines", "nul-and-lines"), ("塀", "job"), ("half \ud83d", "half"),
    ],
)  # fmt: skip
def test_titles_make_safe_folders(store: Store, title: str, name: str) -> None:
    job = made(store, title)
    folder = store.files.folder(job)
    assert folder.name == f"{name}-{job[:6]}"
    assert folder.parent == store.folder / "jobs"
    assert (folder / "job.yaml").read_text("utf-8") == TEXT
    shown = store.jobs.entry(job).title
    assert shown
    assert len(shown) <= 1000
    assert shown.isprintable()


def test_the_folder_follows_title_text_and_removal(store: Store) -> None:
    job = made(store, "First")
    store.files.put(job, "prices.csv", b"1", by="desk")
    first = store.files.folder(job)
    store.revisions.save(job, "two", on=1, title="Second", by="desk")
    second = store.folder / "jobs" / f"second-{job[:6]}"
    assert not first.exists()
    assert (second / "job.yaml").read_text() == "two"
    assert (second / "prices.csv").read_bytes() == b"1"
    store.jobs.remove(job, on=2, by="desk")
    assert not second.exists()
    assert (store.folder / "gone" / second.name / "job.yaml").read_text() == "two"
    store.jobs.bring_back(job)
    assert (second / "job.yaml").read_text() == "two"
    assert tree(store.folder / "gone") == set()


def test_a_file_that_somebody_changed_is_kept_beside(lite: Store) -> None:
    job = made(lite)
    lite.files.put(job, "prices.csv", b"1", by="desk")
    folder = lite.files.folder(job)
    (folder / "job.yaml").write_text("by hand")
    (folder / "own notes.txt").write_text("mine")
    done = lite.revisions.save(job, "two", on=1, title="Tansy Court lot 7", by="desk")
    assert [caution.slug for caution in done.cautions] == ["job-folder-edited"]
    assert (folder / "job.yaml").read_text() == "two"
    (aside,) = folder.glob("job changed by hand *.yaml")
    assert aside.read_text() == "by hand"
    assert lite.jobs.entry(job).cautions == done.cautions
    assert lite.revisions.save(job, "three", on=2, title="Tansy Court lot 7", by="desk").cautions == ()
    (folder / "prices.csv").write_text("2")
    lite.files.put(job, "prices.csv", b"3", by="desk")
    assert (folder / "prices.csv").read_text() == "3"
    (aside,) = folder.glob("prices changed by hand *.csv")
    assert aside.read_text() == "2"
    assert (folder / "own notes.txt").read_text() == "mine"
    assert lite.files.read(job, "prices.csv") == b"3"


def test_folders_heal(lite: Store) -> None:
    job, other = made(lite), made(lite, "Other")
    photo = str(uuid.uuid4())
    lite.files.put(job, "prices.csv", b"1", by="desk")
    lite.photos.put(job, photo, [JPEG], by="phone-1")
    lite.yard.append(job, [entry()])
    folder, second = lite.files.folder(job), lite.files.folder(other)
    whole = {path: path.read_bytes() for path in [*folder.rglob("*"), *second.rglob("*")] if path.is_file()}
    (folder / "job.yaml").unlink()
    (folder / "prices.csv").unlink()
    (folder / "photos" / f"{photo}.jpg").unlink()
    (folder / "yard.json").write_bytes(b"{")
    (folder / ".palewright.json").write_bytes(b"half")
    (folder / ".job.yaml.123.new").write_bytes(b"hal")
    for path in second.iterdir():
        path.unlink()
    second.rmdir()
    assert lite.heal() == ()
    assert {path: path.read_bytes() for path in [*folder.rglob("*"), *second.rglob("*")] if path.is_file()} == whole


def test_a_folder_that_cannot_be_made_loses_nothing_and_is_told(lite: Store) -> None:
    (lite.folder / "jobs").write_text("a file where the folder of folders should be")
    done = lite.jobs.create(TEXT, title="Yard", by="desk")
    assert [(caution.slug, caution.severity) for caution in done.cautions] == [("job-folder-not-written", "caution")]
    assert lite.revisions.text(done.id) == TEXT
    with pytest.raises(ProblemError) as caught:
        lite.files.folder(done.id)
    assert slugs(caught.value) == ["job-folder-not-written"]
    (lite.folder / "jobs").unlink()
    assert lite.heal() == ()
    assert (lite.files.folder(done.id) / "job.yaml").read_text() == TEXT
    assert lite.jobs.entry(done.id).cautions == ()


def test_a_folder_that_is_a_link_is_neither_written_nor_read(lite: Store, tmp_path: Path) -> None:
    job = made(lite)
    folder = lite.files.folder(job)
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "secret.csv").write_text("x")
    shutil.rmtree(folder)
    folder.symlink_to(tmp_path / "elsewhere")
    saved = lite.revisions.save(job, "two", on=1, title=lite.jobs.entry(job).title, by="desk")
    assert [caution.slug for caution in saved.cautions] == ["job-folder-not-written"]
    with pytest.raises(ProblemError) as caught:
        lite.files.folder(job)
    assert slugs(caught.value) == ["job-folder-not-written"]
    assert tree(tmp_path / "elsewhere") == {"secret.csv"}


def test_a_database_of_somebody_else_leads_nowhere(lite: Store) -> None:
    """Names and digests that only another program can have written: they are no paths."""
    job = made(lite)
    lite.files.put(job, "prices.csv", b"x", by="desk")
    with lite._core.database.writing() as work:
        work.run("UPDATE files SET name = '../../../prices.csv'")
        work.run("UPDATE jobs SET filed = filed + 1")
    lite.heal()
    assert [problem.slug for problem in lite.jobs.entry(job).cautions] == ["job-folder-not-written"]
    with pytest.raises(ProblemError):
        lite.files.lay_out(job, lite.folder / "a" / "b" / "c")
    assert not [*lite.folder.parent.glob("prices.csv"), *lite.folder.glob("prices.csv")]
    with lite._core.database.writing() as work:
        work.run("UPDATE files SET name = 'prices.csv', digest = '../../../../etc/passwd'")
    with pytest.raises(ProblemError) as caught:
        lite.files.read(job, "prices.csv")
    assert slugs(caught.value) == ["data-damaged"]


def test_a_link_to_a_file_in_a_folder_is_written_over_and_not_through(lite: Store, tmp_path: Path) -> None:
    job = made(lite)
    other = tmp_path / "other"
    other.write_text("mine")
    (lite.files.folder(job) / "terrain.csv").symlink_to(other)
    lite.files.put(job, "terrain.csv", b"ours", by="desk")
    assert other.read_text() == "mine"
    assert lite.files.read(job, "terrain.csv") == b"ours"
    assert (lite.files.folder(job) / "terrain.csv").read_bytes() == b"ours"


def test_files_are_put_replaced_and_taken_away(store: Store) -> None:
    job = made(store)
    first = store.files.put(job, "prices.csv", b"1", by="desk")
    assert store.jobs.entry(job).files == 1
    assert store.files.put(job, "prices.csv", [b"", b"1"], by="other") == first
    assert store.jobs.entry(job).files == 1
    store.files.put(job, "prices.csv", b"2", by="desk")
    store.files.put(job, "Año 2026 (neu).csv", b"3", by="desk")
    assert [one.name for one in store.files.all(job)] == ["Año 2026 (neu).csv", "prices.csv"]
    assert store.files.read(job, "prices.csv") == b"2"
    assert store.files.read(job, "An\u0303o 2026 (neu).csv") == b"3"  # the same letters in another form of Unicode
    store.files.remove(job, "prices.csv", by="desk")
    assert not (store.files.folder(job) / "prices.csv").exists()
    for ask in (lambda: store.files.read(job, "prices.csv"), lambda: store.files.remove(job, "prices.csv", by="desk")):
        with pytest.raises(ProblemError) as caught:
            ask()
        assert slugs(caught.value) == ["file-unknown"]
    store.files.put(job, "prices.csv", b"1", by="desk")
    assert (store.files.folder(job) / "prices.csv").read_bytes() == b"1"


def test_a_copy_of_a_job_has_its_files(store: Store, tmp_path: Path) -> None:
    job = made(store)
    store.files.put(job, "prices.csv", b"1", by="desk")
    store.files.put(job, "old.csv", b"0", by="desk")
    store.files.remove(job, "old.csv", by="desk")
    copy = store.jobs.create(TEXT, title="copy", by="desk", files_from=job).id
    store.files.put(job, "prices.csv", b"2", by="desk")
    store.files.put(copy, "more.csv", b"3", by="desk")
    assert [(one.name, store.files.read(copy, one.name)) for one in store.files.all(copy)] == [
        ("more.csv", b"3"),
        ("prices.csv", b"1"),
    ]
    store.revisions.save(copy, "two", on=1, title="copy", by="desk")
    path = store.files.lay_out(copy, tmp_path / "out", 1)
    assert tree(path.parent) == {"job.yaml", "prices.csv", "more.csv"}
    assert path.read_text() == TEXT
    assert (path.parent / "prices.csv").read_bytes() == b"1"


BAD_NAMES = [
    "", ".", "..", "../../etc/passwd", "/etc/passwd", "a/b.csv", "a\\b.csv", "nul\x00.csv", "NUL", "con", "CON.csv", "lpt1.txt", "Com0",
    ".hidden", "-rf", " lead.csv", "trail.csv ", "trail.", "a..b", "job.yaml", "JOB.YAML", "yard.json", "photos", "Photos", ".palewright.json",
    "line\nbreak", "x" * 101, "塀" * 90, "a:b", "a*b", "a?b", "a|b", '"a"', "<a>", "half \ud800", "lpt\u00b9", "\uff4aob.yaml", "co\U0001d427.csv", "rtl\u202egpj.exe", "~", "a%2e%2e", "$HOME",
]  # fmt: skip


@pytest.mark.parametrize("name", BAD_NAMES, ids=ascii)
def test_names_that_files_cannot_have(lite: Store, name: str) -> None:
    job = made(lite)
    with pytest.raises(ProblemError) as caught:
        lite.files.put(job, name, b"x", by="desk")
    assert slugs(caught.value) == ["file-name-refused"]
    with pytest.raises(ProblemError) as caught:
        lite.files.read(job, name)
    assert slugs(caught.value) == ["file-unknown"]
    assert tree(lite.folder / "kept") == set()


def test_names_that_differ_in_capitals_only(lite: Store) -> None:
    job = made(lite)
    lite.files.put(job, "Prices.csv", b"x", by="desk")
    with pytest.raises(ProblemError) as caught:
        lite.files.put(job, "prices.csv", b"y", by="desk")
    assert slugs(caught.value) == ["file-name-refused"]


@given(st.text(max_size=130))
def test_a_name_that_is_taken_stays_in_its_folder(name: str) -> None:
    try:
        plain = check_name(name)
    except ProblemError:
        return
    assert Path(plain).name == plain
    assert os.path.normpath(f"/data/{plain}") == f"/data/{plain}"
    assert plain.isprintable()
    assert check_name(plain) == plain


def test_limits_of_files(tmp_path: Path) -> None:
    with Store.open(tmp_path, limits=Limits(file_bytes=10, files=2)) as store:
        job = made(store)
        store.files.put(job, "a.csv", b"x" * 10, by="desk")
        with pytest.raises(ProblemError) as caught:
            store.files.put(job, "b.csv", b"x" * 11, by="desk")
        assert slugs(caught.value) == ["upload-too-large"]
        store.files.put(job, "b.csv", b"y", by="desk")
        with pytest.raises(ProblemError) as caught:
            store.files.put(job, "c.csv", b"z", by="desk")
        assert slugs(caught.value) == ["files-too-many"]
        store.files.put(job, "b.csv", b"z", by="desk")


def test_a_photo_of_300_mb_is_refused_while_it_comes_in(lite: Store) -> None:
    job = made(lite)
    chunk = b"\xff\xd8\xff" + b"\x00" * (1 << 20)
    taken = 0

    def chunks() -> Iterator[bytes]:
        nonlocal taken
        for _ in range(300):
            taken += 1
            yield chunk

    tracemalloc.start()
    with pytest.raises(ProblemError) as caught:
        lite.photos.put(job, str(uuid.uuid4()), chunks(), by="phone-1")
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert slugs(caught.value) == ["upload-too-large"]
    assert taken == 24  # 25 MB are 23.8 pieces
    assert most < 4 << 20
    assert tree(lite.folder / "kept") == set()
    assert lite.photos.all(job) == ()


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"\xff\xd8\xff\xe1", "image/jpeg"), (b"\x89PNG\r\n\x1a\n", "image/png"), (b"RIFF\x00\x00\x00\x00WEBP", "image/webp"),
        (b"\x00\x00\x00\x18ftypheic", "image/heic"), (b"GIF89a", ""), (b"<svg onload='x'>", ""), (b"%PDF-1.7", ""), (b"", ""), (b"MZ", ""),
    ],
)  # fmt: skip
def test_kinds_of_photos(store: Store, head: bytes, kind: str) -> None:
    job, photo = made(store), str(uuid.uuid4())
    if not kind:
        with pytest.raises(ProblemError) as caught:
            store.photos.put(job, photo, [head], by="phone-1")
        assert slugs(caught.value) == ["photo-kind-unknown"]
        assert tree(store.folder / "kept") == set()
        return
    kept = store.photos.put(job, photo, [head], by="phone-1")
    assert (kept.kind, kept.bytes, kept.digest) == (kind, len(head), sha256(head).hexdigest())
    assert store.photos.all(job) == (kept,)
    assert store.photos.path(job, photo).read_bytes() == head


def test_a_photo_twice_is_one_and_another_with_its_id_is_refused(store: Store) -> None:
    job, other, photo = made(store), made(store, "Other"), str(uuid.uuid4())
    first = store.photos.put(job, photo, [JPEG], by="phone-1")
    assert store.photos.put(job, photo, [JPEG], by="phone-1") == first
    for place, data in ((job, JPEG + b"x"), (other, JPEG)):
        with pytest.raises(ProblemError) as caught:
            store.photos.put(place, photo, [data], by="phone-2")
        assert slugs(caught.value) == ["photo-id-used"]
    assert store.photos.path(job, photo).read_bytes() == JPEG
    with pytest.raises(ProblemError) as caught:
        store.photos.path(other, photo)
    assert slugs(caught.value) == ["photo-unknown"]
    for wrong in ("../x", "x\x00", str(uuid.uuid4()).upper()):
        with pytest.raises(ProblemError) as caught:
            store.photos.put(job, wrong, [JPEG], by="phone-1")
        assert slugs(caught.value) == ["entry-unusable"]
        with pytest.raises(ProblemError) as caught:
            store.photos.entry(job, wrong)
        assert slugs(caught.value) == ["photo-unknown"]


def test_an_upload_that_breaks_off_leaves_nothing(lite: Store) -> None:
    job = made(lite)
    intake = lite.photos.receive(job, str(uuid.uuid4()), by="phone-1")
    with intake:
        intake.write(JPEG)
        assert len(tree(lite.folder / "kept")) == 1
    assert tree(lite.folder / "kept") == set()


def test_what_killed_uploads_left_is_swept_after_a_day(tmp_path: Path) -> None:
    now = datetime.now(UTC)
    with Store.open(tmp_path) as store:
        made(store)
        (tmp_path / "kept").mkdir()
        (tmp_path / "kept" / ".new-1").write_bytes(b"half")
        store.heal()
        assert (tmp_path / "kept" / ".new-1").exists()
    with Store.open(tmp_path, clock=lambda: now + timedelta(days=2)) as store:
        store.heal()
        assert tree(tmp_path / "kept") == set()
