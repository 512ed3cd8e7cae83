"""``palewright schema``: the published JSON Schemas."""

from __future__ import annotations

import json

import click

__all__ = ["schema"]


@click.command()
@click.argument("name", type=click.Choice(["job", "plan", "scene"]))
def schema(name: str) -> None:
    """Print the JSON Schema of the job file, of plan.json or of a scene."""
    from palewright import draw, exchange, jobfile

    made = {"job": jobfile.schema, "plan": exchange.schema, "scene": draw.schema}[name]()
    click.echo(json.dumps(made, indent=2, ensure_ascii=False))
