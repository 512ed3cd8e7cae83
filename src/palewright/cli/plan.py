"""``palewright plan``: a job file in, a folder of papers and drawings out."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import click

__all__ = ["plan"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out", "folder", type=click.Path(path_type=Path), required=True, help="folder for the papers; made if missing"
)
@click.option("--quiet", is_flag=True, help="print nothing but problems")
def plan(job: Path, folder: Path, quiet: bool) -> None:
    """Plan JOB and write plan.json, papers and drawings into a folder, all or nothing."""
    from palewright import plan as engine

    if not folder.name:
        raise click.UsageError("--out names a folder for the papers")
    from palewright.cli.summary import cautions, summary

    say = _progress(quiet)
    say("reading the job")
    made = engine.make_plan(*engine.load(job))
    done = engine.publish(made, folder, say)
    if quiet:
        return
    click.echo(summary(made))
    for line in cautions(made):
        click.echo(line)
    click.echo(f"Written to {done.folder}:")
    for path in done.files:
        click.echo(f"  {path.name}")


def _progress(quiet: bool) -> Callable[[str], None]:
    def say(step: str) -> None:
        if not quiet and sys.stderr.isatty():
            click.echo(f"... {step}", err=True)

    return say
