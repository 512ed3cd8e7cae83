"""A process that saves and says what was acknowledged: ``python -m tests.store.hand KIND FOLDER URL JOB COUNT``."""

from __future__ import annotations

import sys
import uuid
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from palewright.model.yard import YardEntry
from palewright.store import ChangedElsewhere, Store


def everything(store: Store, job: str, count: int) -> Iterator[str]:
    """Save, append an entry, put a photo and a file, in turn."""
    for number in range(count):
        text = f"palewright: 1\n# {uuid.uuid4()} {'x' * 2000}\n"
        entry = store.revisions.save(
            job, text, on=store.jobs.entry(job).revision, title=f"Yard {number % 3}", by="hand"
        )
        yield f"revision {entry.revision} {sha256(text.encode()).hexdigest()}"
        sent = YardEntry(str(uuid.uuid4()), "phone", "Ana", number, 0, "", "post 1", "done", {"done": True})
        yield f"entry {store.yard.append(job, [sent]).numbers[0]} {sent.id}"
        photo = store.photos.put(job, str(uuid.uuid4()), [b"\xff\xd8\xff", text.encode()], by="phone")
        yield f"photo {photo.id} {photo.digest}"
        file = store.files.put(job, "prices.csv", text.encode(), by="hand")
        yield f"file {store.jobs.entry(job).files} {file.digest}"


def contest(store: Store, job: str, count: int) -> Iterator[str]:
    """Save on the head as it was read; say which revisions were won, and how often another was quicker."""
    for number in range(count):
        while True:
            on = store.jobs.entry(job).revision
            try:
                entry = store.revisions.save(job, f"# {number} {uuid.uuid4()}", on=on, title="Yard", by="hand")
            except ChangedElsewhere as lost:
                yield f"lost {on} {lost.present.revision}"
                continue
            yield f"won {entry.revision} {entry.revision}"
            break


def main(kind: str, folder: str, url: str, job: str, count: str) -> None:
    with Store.open(Path(folder), url or None) as store:
        for line in {"everything": everything, "contest": contest}[kind](store, job, int(count)):
            print(line, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
