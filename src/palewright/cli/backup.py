"""``palewright backup``: everything in the data folder into one file."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["backup"]


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--data", type=click.Path(path_type=Path), default=None, help="data folder, as `serve` was given it")
@click.option("--database", envvar="PALEWRIGHT_DATABASE", default=None, help="address of a PostgreSQL database")
@click.option("--replace", is_flag=True, help="write over a backup of that name once the new one is whole")
def backup(file: Path, data: Path | None, database: str | None, replace: bool) -> None:
    """Write every job, its revisions, files, photos and yard entries into FILE, a zip file.

    The page may be in use meanwhile: the backup is as things stood at one moment. The file holds who may come in as
    well, so keep it as you keep the data. `palewright restore` brings it back.
    """
    from palewright.store import Store

    with Store.open(data, database, make=False) as store:
        done = store.backup(file, replaces=replace)
    for caution in done.cautions:
        click.echo(caution.render(), err=True)
    click.echo(f"{done.jobs} job{'s' if done.jobs != 1 else ''} written to {done.path} ({done.bytes:,} bytes)")
