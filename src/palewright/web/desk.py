"""From a job of the store to its plan, sight and papers, each kept while the job stays as it is."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from palewright.errors import OutputError, Problem, ProblemError

if TYPE_CHECKING:
    from palewright.drafting import Applied
    from palewright.model import Job, Plan
    from palewright.record import Record
    from palewright.store import JobEntry
    from palewright.web.house import House

__all__ = [
    "as_it_stands",
    "edit_and_see",
    "edited",
    "encode",
    "folder_of",
    "hints_for",
    "keep_sight",
    "paper",
    "papers_of",
    "plan_of",
    "problems_of",
    "read_and_plan",
    "sight_of",
]

FILE = "job.yaml"


def as_it_stands(entry: JobEntry) -> tuple[Any, ...]:
    """What two states of a job differ in: all that is kept of one stands under it."""
    return (entry.id, entry.revision, entry.files)


@contextmanager
def folder_of(house: House, job: str) -> Iterator[Path]:
    """A folder with the files of a job: its own, or a passing one where its own cannot be written."""
    try:
        folder = house.store.files.folder(job)
    except ProblemError:
        with tempfile.TemporaryDirectory(prefix="palewright-") as passing:
            house.store.files.lay_out(job, Path(passing))
            yield Path(passing)
        return
    yield folder


def read_and_plan(text: str, folder: Path, *, priced: bool, cuts: bool = True) -> tuple[Job, Plan]:
    """Read and plan the text of a job. Raises JobError with its problems."""
    from palewright import plan as engine

    job, prices = engine.load_text(text, folder, FILE, priced=priced)
    return job, engine.make_plan(job, prices, search_cuts=cuts)


def _planned(text: str, folder: Path, priced: bool) -> Plan:
    return read_and_plan(text, folder, priced=priced)[1]


def _check(text: str, folder: Path) -> None:
    read_and_plan(text, folder, priced=False, cuts=False)


def plan_of(house: House, entry: JobEntry, *, priced: bool) -> Plan:
    """The plan of a job as it stands. Without ``priced`` its price list is not even opened."""

    def make() -> Plan:
        house.plans.let_go(entry.id, entry.revision)
        text = house.store.revisions.text(entry.id, entry.revision)
        with house.hand.turn(entry.id) as seat, folder_of(house, entry.id) as folder:
            return house.compute(seat, _planned, text, folder, priced)

    made: Plan = house.plans.get((*as_it_stands(entry), priced), make)
    return made


def problems_of(house: House, job: str, text: str) -> tuple[Problem, ...]:
    """What is wrong with a text, () when it can be planned. Prices play no part."""
    try:
        with house.hand.turn(job) as seat, folder_of(house, job) as folder:
            house.compute(seat, _check, text, folder)
    except ProblemError as error:
        return error.problems
    return ()


def sight_of(house: House, entry: JobEntry, language: str, against: tuple[str, int] | None = None) -> bytes:
    """What a screen shows of a job as it stands, as JSON. ``against``: a job and its revision to compare it with."""

    def make() -> bytes:
        text = house.store.revisions.text(entry.id, entry.revision)
        with house.hand.turn(entry.id) as seat, folder_of(house, entry.id) as folder:
            earlier = _earlier(house, seat, entry, folder, language, against)
            return house.compute(seat, _see, text, folder, language, earlier)

    return house.sights.get((*as_it_stands(entry), language, against), make)


def edited(
    house: House, entry: JobEntry, text: str, asked: Sequence[Any], language: str, against: tuple[str, int] | None
) -> tuple[Applied, bytes]:
    """Edits done on a text of a job, and what a screen shows of it then. Raises ProblemError."""
    with house.hand.turn(entry.id) as seat, folder_of(house, entry.id) as folder:
        earlier = _earlier(house, seat, entry, folder, language, against)
        return house.compute(seat, edit_and_see, text, asked, folder, language, earlier)


def keep_sight(house: House, entry: JobEntry, language: str, against: tuple[str, int] | None, seen: bytes) -> None:
    """Keep what a screen shows of a job as it stands."""
    house.sights.keep((*as_it_stands(entry), language, against), seen)


def _see(text: str, folder: Path, language: str, before: Any) -> bytes:
    from palewright import drafting

    return encode(drafting.sight(text, folder, language=language, against=before, file=FILE))


def encode(record: Record) -> bytes:
    """A record of the drafting room as bytes of JSON."""
    import pydantic_core

    from palewright import drafting

    return pydantic_core.to_json(drafting.to_json(record))


def edit_and_see(text: str, asked: Sequence[Any], folder: Path, language: str, before: Any) -> tuple[Applied, bytes]:
    """Edits done on a text, and what a screen shows of it then, as JSON. Raises ProblemError."""
    from palewright import drafting

    done = drafting.apply(text, asked, folder, language)
    return done, _see(done.text, folder, language, before)


def _earlier(
    house: House, seat: int, entry: JobEntry, folder: Path, language: str, against: tuple[str, int] | None
) -> Any:
    """Figures and places of an earlier version, made once for all the changes that are compared with it."""
    if against is None:
        return None

    def make() -> Any:
        return house.compute(seat, _figures, house.store.revisions.text(*against), folder, language)

    return house.earlier.get((against, entry.id, entry.files, language), make)


def _figures(text: str, folder: Path, language: str) -> Any:
    from palewright import drafting

    return drafting.earlier(text, folder, language=language)


def hints_for(house: House, entry: JobEntry) -> Any:
    """Lengths of a job that are worth snapping to; none of a job that cannot be read."""

    def make() -> Any:
        from palewright import drafting

        text = house.store.revisions.text(entry.id, entry.revision)
        try:
            with folder_of(house, entry.id) as folder:
                return drafting.hints_for(text, folder)
        except ProblemError:
            return drafting.Hints()

    return house.hints.get(as_it_stands(entry), make)


def papers_of(plan: Plan) -> Sequence[str]:
    """File names of the papers of a plan, in reading order."""
    from palewright import papers

    return papers.paper_names(plan)


def paper(house: House, entry: JobEntry, name: str, language: str, *, priced: bool) -> bytes:
    """One paper of a job as PDF, in a language, "" for the job's own."""

    def make() -> bytes:
        plan = plan_of(house, entry, priced=priced)
        if language:
            plan = replace(plan, settings=replace(plan.settings, language=language))
        with house.hand.turn():
            known = papers_of(plan)
        if name not in known:
            raise ProblemError(
                Problem("paper-unknown", "this plan has no such paper", found=name, allowed=", ".join(known))
            )
        return set_alone(house, plan, name)

    return house.papers.get((*as_it_stands(entry), name, language, priced), make)


def set_alone(house: House, plan: Plan, name: str) -> bytes:
    """Typeset one paper while no other is."""
    from palewright import plan as engine

    return _printed(house, lambda path: engine.publish_paper(plan, name, path))


def _printed(house: House, write: Callable[[Path], None]) -> bytes:
    with house.press, tempfile.TemporaryDirectory(prefix="palewright-") as folder:
        path = Path(folder) / "paper.pdf"
        write(path)
        if not path.is_file():
            raise OutputError("the paper was not written")
        return path.read_bytes()
