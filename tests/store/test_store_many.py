"""Many at once: threads and processes, on both databases."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections import Counter
from pathlib import Path

import pytest
from tests.store.conftest import made

from palewright.store import Store

ROOT = Path(__file__).resolve().parents[2]


def hand(kind: str, folder: Path, url: str | None, job: str, count: int) -> subprocess.Popen[str]:
    """A process of its own that saves."""
    words = [sys.executable, "-m", "tests.store.hand", kind, str(folder), url or "", job, str(count)]
    return subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def test_twenty_threads_save_twenty_jobs(store: Store) -> None:
    jobs = [made(store, f"Yard {number}") for number in range(20)]
    faults: list[BaseException] = []

    def work(job: str) -> None:
        try:
            for number in range(1, 11):
                store.revisions.save(
                    job, f"{job} {number}", on=number, title=f"Yard {job}", by="hand", key=f"{job}-{number}"
                )
                assert store.jobs.entry(job).revision == number + 1
        except BaseException as error:
            faults.append(error)

    threads = [threading.Thread(target=work, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not faults
    for job in jobs:
        assert [store.revisions.text(job, number) for number in range(2, 12)] == [
            f"{job} {number}" for number in range(1, 11)
        ]
        assert (store.files.folder(job) / "job.yaml").read_text() == f"{job} 10"
    assert all(not entry.cautions for entry in store.jobs.all())


def test_four_processes_save_one_job_and_exactly_one_wins_each_revision(store: Store, url: str | None) -> None:
    job = made(store)
    hands = [hand("contest", store.folder, url, job, 8) for _ in range(4)]
    told = [one.communicate(timeout=120) for one in hands]
    assert [one.returncode for one in hands] == [0] * 4, told
    lines = [line.split() for out, _ in told for line in out.splitlines()]
    won = Counter(int(number) for what, number, _ in lines if what == "won")
    assert won == Counter(range(2, 34))
    assert all(int(present) > int(on) for what, on, present in lines if what == "lost")
    assert [one.number for one in store.revisions.all(job, most=100)] == list(range(33, 0, -1))
    assert (store.files.folder(job) / "job.yaml").read_text() == store.revisions.text(job)


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_four_processes_open_one_new_folder_at_once(tmp_path: Path, kind: str, request: pytest.FixtureRequest) -> None:
    url = request.getfixturevalue("new_postgres") if kind == "postgresql" else None
    words = "import sys; from pathlib import Path; from palewright.store import Store; s = Store.open(Path(sys.argv[1]), sys.argv[2] or None)"
    words += "; s.jobs.create('a', title='Yard', by='hand')"
    hands = [
        subprocess.Popen(
            [sys.executable, "-c", words, str(tmp_path / "new"), url or ""], stderr=subprocess.PIPE, cwd=ROOT
        )
        for _ in range(4)
    ]
    said = [one.communicate(timeout=60)[1].decode() for one in hands]
    assert [one.returncode for one in hands] == [0] * 4, said
    with Store.open(tmp_path / "new", url) as store:
        assert len(store.jobs.all()) == 4
