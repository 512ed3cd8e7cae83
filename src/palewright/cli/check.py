"""``palewright check``: read and plan a job, print what is wrong or open; write nothing."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["check"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
def check(job: Path) -> None:
    """Read JOB, plan it, and print every problem, caution and open question. Nothing is written."""
    from palewright import plan
    from palewright.cli.summary import open_points, summary

    made = plan.make_plan(*plan.load(job))
    click.echo(summary(made))
    for line in open_points(made):
        click.echo(line)
