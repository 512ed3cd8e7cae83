"""From a job to a plan: site, kinds, layout, stake-out, locate, take-off, in that order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from palewright import jobfile
from palewright.errors import JobError, Problem, ProblemError, Where
from palewright.layout import lay_out
from palewright.layout.kinds import resolve
from palewright.locate import locate_sheet
from palewright.model import PLAN_VERSION, Design, Embedment, Job, Kind, LinePlan, Plan, Profile, Remark, Settings, Site
from palewright.permit import judge, read_rules
from palewright.plan.ground_asked import has_heights, words_only
from palewright.plan.inside import how_far_inside
from palewright.plan.site import site_and_network
from palewright.plan.wire_asked import split_wire
from palewright.plane import XY
from palewright.stakeout import stake_out
from palewright.strength import embed, embed_remarks
from palewright.supply import PriceList, read_prices, take_off

__all__ = ["Laid", "files_named", "lay_job", "load", "load_text", "make_plan"]

if TYPE_CHECKING:
    from palewright.ground import Floats
    from palewright.layout.rising import Limits
    from palewright.layout.rising_gates import Heights
    from palewright.survey import Adjustment

_T = TypeVar("_T")
Lay = Callable[..., Design]


def load(path: Path) -> tuple[Job, PriceList | None]:
    """Read a job file, and the rules and the price list that it names.

    path
        the job file. Files with a relative name are looked for beside it.
    Raises JobError with every problem of the first file that has one.
    """
    return _with_files(jobfile.read(path), Path(path))


def load_text(text: str, folder: Path, file: str = "job.yaml", *, priced: bool = True) -> tuple[Job, PriceList | None]:
    """Read a job from text that came from elsewhere, and the files that it names: only such as lie in one folder.

    text
        of the job file. folder: where its files are looked for; none outside of it is opened. file: name for messages.
    priced
        False: the price list is not opened, and the job goes on as if it named none.
    Raises JobError with every problem of the first file that has one, and for every name that leads out of the folder.
    """
    job = jobfile.read_text(text, file)
    home = Path(folder).resolve()
    outside = [
        Problem(
            "file-outside-folder", "this name leads out of the folder of the job", where=at, found=name,
            allowed="the name of a file beside the job file",
        )
        for name, at in [*files_named(job), (job.prices_file, job.prices_at)]
        if name and home not in _resolved(home / name).parents
    ]  # fmt: skip
    if outside:
        raise JobError(outside)
    fences = (replace(one, kind_file=str(home / one.kind_file)) if one.kind_file else one for one in job.fences)
    job = replace(job, fences=tuple(fences))
    return _with_files(job if priced else replace(job, prices_file=""), home / file)


def files_named(job: Job) -> list[tuple[str, Where]]:
    """Names of the files that a job has read beside it, its price list apart, and where each is named."""
    ground = [(spec.file, spec.at) for spec in job.ground.files]
    kinds = [(fence.kind_file, fence.at) for fence in job.fences]
    return [(name, at) for name, at in [(job.rules_file, job.rules_at), *ground, *kinds] if name]


def _resolved(path: Path) -> Path:
    """Where a path leads to; the root where it is no path at all."""
    try:
        return path.resolve()
    except (OSError, ValueError, RuntimeError):
        return Path("/")


def _with_files(job: Job, path: Path) -> tuple[Job, PriceList | None]:
    if job.rules_file:
        text = _beside(path, "rules", "the file of rules", job.rules_file, job.rules_at)
        job = replace(job, rules=read_rules(text, str(Path(path).parent / job.rules_file)))
    if job.ground.files:
        from palewright.plan.ground_files import read_ground

        job = read_ground(job, Path(path).parent)
    if not job.prices_file:
        return job, None
    text = _beside(path, "prices", "the price list", job.prices_file, job.prices_at)
    return job, read_prices(text, str(Path(path).parent / job.prices_file))


def _beside(path: Path, key: str, what: str, name: str, at: Where) -> str:
    """The text of a file that a key of the job names, looked for beside the job file."""
    where = at if at.line else Where(file=str(path), path=key)
    try:
        return (Path(path).parent / name).read_bytes().decode("utf-8-sig")
    except OSError as error:
        slug = "prices-unreadable" if key == "prices" else "rules-unreadable"
        raise JobError(
            Problem(
                slug,
                f"{what} cannot be read",
                where=where,
                found=f"{name} ({error.strerror or 'not readable'})",
                hint=f"{key}: names a file beside the job file; leave the key out to plan without it",
            )
        ) from error
    except UnicodeDecodeError as error:
        slug = "prices-not-utf8" if key == "prices" else "rules-not-utf8"
        raise JobError(
            Problem(
                slug,
                f"{what} is not UTF-8 text",
                where=where,
                found=f"{name}: byte {error.object[error.start]:#04x} at offset {error.start}",
                hint="save it as UTF-8",
            )
        ) from error


def make_plan(
    job: Job, prices: PriceList | None = None, today: date | None = None, *, search_cuts: bool = True
) -> Plan:
    """The whole job, computed.

    job
        as written, in SI. prices: a price list, or None for a list without cost. today: the day from which the age of
        rules counts, and up to which a ticket holds; the present day unless given.
    search_cuts
        False leaves out the search for the least lengths of stock, which takes longer than all the rest: the list to
        buy is then cut by the rule of the trade and may ask for more. For a check, or while a corner is dragged about.
    Raises JobError with every problem that can be found at the stage where the first one stands.
    """
    laid = lay_job(job)
    job, site, kinds, design, lines = laid.job, laid.site, laid.kinds, laid.design, laid.lines
    stakeout = stake_out(job, site, design, laid.network)
    inside = how_far_inside(job, site, kinds, design, stakeout, laid.network)
    today = today or date.today()
    locate = locate_sheet(job, site, design, stakeout, lines, today)
    takeoff = take_off(job, site, design, kinds, prices, search_cuts, lines)
    heights = laid.under.heights if laid.under is not None else None
    permit = judge(job, site, design, kinds, today, heights)
    return Plan(
        version=PLAN_VERSION,
        settings=laid.settings,
        site=site,
        kinds=tuple(kinds.values()),
        design=design,
        stakeout=stakeout,
        locate=locate,
        takeoff=takeoff,
        asks=job.asks,
        permit=permit,
        inside=inside,
        lines=lines,
    )


class Fences(NamedTuple):
    """The kinds of a job by the name of its fence, how deep they stand, and what they were made from."""

    asked: tuple[object, ...]
    kinds: dict[str, Kind]
    embed: Callable[[Kind, str], Embedment]


class Laid(NamedTuple):
    """A job as far as it is drawn: what a plan is made from. ``job``: without its runs of wire, which are ``lines``."""

    job: Job
    site: Site
    network: Adjustment | None
    fences: Fences
    design: Design
    lines: tuple[LinePlan, ...]
    under: _Under | None

    @property
    def kinds(self) -> dict[str, Kind]:
        """What stands, by the name of its fence."""
        return self.fences.kinds

    @property
    def settings(self) -> Settings:
        """How its papers print."""
        return _settings(self.job, self.site)


def _fences_of(job: Job, problems: list[Problem], known: Fences | None = None) -> Fences:
    """The kinds of a job; ``known``: those of a job that may have the same."""
    asked = (job.fences, job.site.frost_m)
    if known is not None and known.asked == asked:
        return known
    return Fences(asked, _kinds(job, problems), _embedder(job))


def lay_job(job: Job, lay: Lay = lay_out, known: Fences | None = None) -> Laid:
    """The site and the layout of a job, without what is made from them.

    lay
        what lays out its runs, with the arguments of :func:`palewright.layout.lay_out`. known: the kinds of a job that
        differs little.
    Raises JobError with every problem that can be found at the stage where the first one stands.
    """
    problems: list[Problem] = []
    whole, (job, wire) = job, split_wire(job)
    fences = _fences_of(job, problems, known)
    kinds = fences.kinds
    made = _gather(lambda: site_and_network(whole), problems)
    if problems or made is None:
        raise JobError(problems)
    site, network = made
    said: list[Remark] = []
    lines = _lines(wire, site, said) if wire is not None else ()
    under = _under(job, site, said)
    given = (under.profiles, under.heights, _limits(job, site, under)) if under is not None else ()
    design = lay(job, site, kinds, fences.embed, *given)
    said += under.said if under is not None else []
    said += [remark for kind in kinds.values() for remark in embed_remarks(kind, job.site.frost_m)]
    said += _pools(job, site, design, kinds, under)
    laid = [remark for remark in design.remarks if not (lines and remark.slug == "nothing-to-lay-out")]
    return Laid(job, site, network, fences, replace(design, remarks=(*laid, *said)), lines, under)


def _lines(wire: Job, site: Site, said: list[Remark]) -> tuple[LinePlan, ...]:
    """The runs of wire; what must be said of the ground under them goes to ``said``."""
    from palewright.plan.lines import lay_lines

    under = _under(wire, site, said)
    lines = lay_lines(wire, site, under.profiles if under is not None else None)
    said += under.said if under is not None else []
    return lines


class _Under:
    """The ground of a job: profiles once the runs are traced, then heights beside them; what must be said of it."""

    def __init__(self, job: Job, site: Site) -> None:
        self.job, self.site = job, site
        self.said: list[Remark] = []
        self.beside: Heights | None = None

    def profiles(self, paths: Sequence[tuple[str, Sequence[XY]]], called: Mapping[str, XY]) -> Sequence[Profile]:
        """The ground under the runs."""
        from palewright.plan.ground import ground_under

        found = ground_under(self.job, self.site, paths, called)
        self.said += found.remarks
        self.beside = found.heights
        return found.profiles

    def heights(self, xy: Floats) -> Floats:
        """The ground at places (n, 2) [m], nan where it is not known."""
        import numpy as np

        return np.full(len(xy), np.nan) if self.beside is None else self.beside(xy)


def _under(job: Job, site: Site, said: list[Remark]) -> _Under | None:
    """None where no height is known; why not goes to ``said``."""
    if has_heights(job, site):
        return _Under(job, site)
    said += words_only(job)
    return None


def _limits(job: Job, site: Site, under: _Under) -> Limits | None:
    """What the rules of a job ask of its runs on their ground."""
    if job.rules is None and not any(pool.barrier for pool in job.lot.pools):
        return None
    from palewright.permit import limits_on

    return limits_on(job, site, under.heights)


def _pools(job: Job, site: Site, design: Design, kinds: dict[str, Kind], under: _Under | None) -> list[Remark]:
    """What must be said of pool barriers: figures that stand in for rules, and walls that are part of them."""
    if not any(pool.barrier for pool in job.lot.pools):
        return []
    from palewright.permit.pool_default import pool_default, pool_walls

    heights = under.heights if under is not None else None
    return [*pool_default(job, site, design, kinds, heights), *pool_walls(job, site, design)]


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
    known: dict[tuple[str, str, float], Embedment] = {}

    def depth(kind: Kind, role: str) -> Embedment:
        key = (kind.name, role, kind.above(role))
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
        signed=tuple((run.name, run.signed_m) for run in job.runs if run.signed_m is not None),
    )
