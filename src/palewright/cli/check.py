"""``palewright check``: read and plan a job, print what is wrong or open; write nothing."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["check"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
def check(job: Path) -> None:
    """Read JOB, plan it, and print every problem, caution and open question. Nothing is written.

    The cost of the material, where there are prices, is what it is at most: `plan` searches for the best way to cut.
    """
    from palewright import plan
    from palewright.cli.summary import open_points, summary

    made = plan.make_plan(*plan.load(job), search_cuts=False)
    click.echo(summary(made, at_most=True))
    for line in open_points(made):
        click.echo(line)
