"""``palewright explain``: how a number came about."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["explain"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("thing", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="one JSON list, numbers SI")
def explain(job: Path, thing: tuple[str, ...], as_json: bool) -> None:
    """Say how the numbers of THING came about: value, formula, inputs, source.

    THING is "post 7", "bay 3", "gate NAME", "run NAME", "string A", "corner NAME", "point NAME", "boundary"
    or a code of the material list.
    Without THING, the names that can be asked for are listed.
    """
    from palewright import plan as engine
    from palewright.cli.summary import reason_json, reason_text

    made = engine.make_plan(*engine.load(job))
    if not thing:
        for name in engine.things(made):
            click.echo(name)
        return
    reasons = engine.explain(made, " ".join(thing))
    if as_json:
        click.echo(reason_json(reasons))
        return
    for reason in reasons:
        click.echo(reason_text(reason, made.settings))
