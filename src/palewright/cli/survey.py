"""``palewright survey``: what was measured, what does not fit, how well every point stands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from palewright.model import Job, Plan
    from palewright.supply import PriceList

__all__ = ["survey"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="also write the measurement page as PDF")
@click.option("--json", "as_json", is_flag=True, help="one JSON object, numbers SI")
def survey(job: Path, out: Path | None, as_json: bool) -> None:
    """Adjust what was measured on the site of JOB and say what it is worth.

    First what does not fit, then every reading with how far it is from the places as worked out, then every point with
    how well it stands, then heights where something was levelled. With --out the same as a page, with a drawing.
    """
    from palewright import plan as engine
    from palewright.cli.survey_text import survey_json, survey_lines
    from palewright.errors import Problem, ProblemError

    made = _measured(*engine.load(job))
    if made.site.survey is None and made.site.heights is None:
        raise ProblemError(
            Problem(
                "nothing-measured",
                "this job has no measurements to adjust",
                found=str(job),
                hint="write tapes, squares, directions and rises under `measured`, rod readings under `levels`",
            )
        )
    if out is not None:
        engine.publish_paper(made, "measurements.pdf", out)
    if as_json:
        click.echo(survey_json(made))
        return
    for line in survey_lines(made):
        click.echo(line)
    if out is not None:
        click.echo(f"written: {out}")


def _measured(job: Job, prices: PriceList | None) -> Plan:
    """The plan; of the measurements alone where only the fence cannot be laid out: a misread tape may do that."""
    from palewright import plan as engine
    from palewright.errors import JobError

    try:
        return engine.make_plan(job, prices)
    except JobError as error:
        try:
            made = engine.make_plan(replace(job, runs=()), prices)
        except JobError:
            raise error from None
        click.echo("The fence cannot be laid out: palewright check says why. This is what was measured.", err=True)
        return made
