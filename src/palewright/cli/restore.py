"""``palewright restore``: a backup back into an empty data folder or database."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["restore"]


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--data", type=click.Path(path_type=Path), default=None, help="data folder, empty or not there yet")
@click.option("--database", envvar="PALEWRIGHT_DATABASE", default=None, help="address of an empty PostgreSQL database")
def restore(file: Path, data: Path | None, database: str | None) -> None:
    """Bring the backup FILE back into a data folder that is empty or not there.

    The whole file is compared with its digests before anything is written. A backup of a SQLite folder can be restored
    into PostgreSQL, and the other way round.
    """
    from palewright import store

    done = store.restore(file, data, database)
    click.echo(f"{done.jobs} job{'s' if done.jobs != 1 else ''} restored into {done.folder}")
