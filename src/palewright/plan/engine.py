"""From a job to a plan: site, kinds, layout, stake-out, locate, take-off, in that order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from palewright import jobfile
from palewright.errors import JobError, Problem, ProblemError, Where
from palewright.layout import lay_out
from palewright.layout.kinds import resolve
from palewright.locate import locate_sheet
from palewright.model import PLAN_VERSION, Embedment, Job, Kind, Plan, Settings, Site
from palewright.plan.site import build_site
from palewright.stakeout import stake_out
from palewright.strength import embed, embed_remarks
from palewright.supply import PriceList, read_prices, take_off

__all__ = ["load", "make_plan"]

_T = TypeVar("_T")


def load(path: Path) -> tuple[Job, PriceList | None]:
    """Read a job file and the price list that it names.

    path
        the job file. A relative price list is looked for beside it.
    Raises JobError with every problem of both files.
    """
    job = jobfile.read(path)
    if not job.prices_file:
        return job, None
    beside = Path(path).parent / job.prices_file
    try:
        text = beside.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise JobError(
            Problem(
                "prices-unreadable",
                "the price list cannot be read",
                where=_prices_place(job, path),
                found=f"{job.prices_file} ({error.strerror or 'not readable'})",
                hint="prices: names a CSV file beside the job file; leave the key out to plan without prices",
            )
        ) from error
    except UnicodeDecodeError as error:
        raise JobError(
            Problem(
                "prices-not-utf8",
                "the price list is not UTF-8 text",
                where=_prices_place(job, path),
                found=f"{job.prices_file}: byte {error.object[error.start]:#04x} at offset {error.start}",
                hint="save it as UTF-8",
            )
        ) from error
    return job, read_prices(text, str(beside))


def _prices_place(job: Job, path: Path) -> Where:
    """Where the job names its price list."""
    return job.prices_at if job.prices_at.line else Where(file=str(path), path="prices")


def make_plan(job: Job, prices: PriceList | None = None) -> Plan:
    """The whole job, computed.

    job
        as written, in SI. prices: a price list, or None for a list without cost.
    Raises JobError with every problem that can be found at the stage where the first one stands.
    """
    problems: list[Problem] = []
    kinds = _kinds(job, problems)
    site = _gather(lambda: build_site(job), problems)
    if problems or site is None:
        raise JobError(problems)
    design = lay_out(job, site, kinds, _embedder(job))
    typed = tuple(remark for kind in kinds.values() for remark in embed_remarks(kind, job.site.frost_m))
    design = replace(design, remarks=design.remarks + typed)
    stakeout = stake_out(job, site, design)
    locate = locate_sheet(job, site, design, stakeout)
    takeoff = take_off(job, site, design, kinds, prices)
    return Plan(
        version=PLAN_VERSION,
        settings=_settings(job, site),
        site=site,
        kinds=tuple(kinds.values()),
        design=design,
        stakeout=stakeout,
        locate=locate,
        takeoff=takeoff,
        asks=job.asks,
    )


def _gather(step: Callable[[], _T], problems: list[Problem]) -> _T | None:
    try:
        return step()
    except ProblemError as error:
        problems.extend(error.problems)
        return None


def _kinds(job: Job, problems: list[Problem]) -> dict[str, Kind]:
    result: dict[str, Kind] = {}
    for spec in job.fences:
        kind = _gather(lambda spec=spec: resolve(spec), problems)  # type: ignore[misc]
        if kind is not None:
            result[spec.name] = kind
    return result


def _embedder(job: Job) -> Callable[[Kind, str], Embedment]:
    """Hole depths by kind and role, each worked out once."""
    known: dict[tuple[str, str], Embedment] = {}

    def depth(kind: Kind, role: str) -> Embedment:
        key = (kind.name, role)
        if key not in known:
            known[key] = embed(kind, role, job.site.frost_m)
        return known[key]

    return depth


def _settings(job: Job, site: Site) -> Settings:
    return Settings(
        title=job.title,
        address=job.address,
        client=job.client,
        notes=job.notes,
        print_style=job.print_style,
        fraction=job.fraction,
        language=job.language,
        paper=job.paper,
        tape_m=job.tape_m,
        north=site.north,
        north_basis=job.north_basis,
        tolerance_m=job.stakes.tolerance_m,
        paint_m=job.stakes.paint_m,
        frost_m=job.site.frost_m,
        file=Path(job.file).name,
    )
