"""``palewright serve``: the local page, for this machine or for the phones of the yard too."""

from __future__ import annotations

import gc
from pathlib import Path

import click

__all__ = ["serve"]


@click.command()
@click.option("--data", type=click.Path(path_type=Path), default=None, help="folder of the jobs; made if missing")
@click.option("--database", envvar="PALEWRIGHT_DATABASE", default=None, help="address of a PostgreSQL database")
@click.option("--port", type=click.IntRange(1, 65535), default=8734, show_default=True, help="port to listen on")
@click.option("--share", is_flag=True, help="let other devices on this network pair and come in, each with a code")
@click.option("--open", "show", is_flag=True, help="open the page in the browser")
@click.option(
    "--cert",
    type=click.Path(path_type=Path),
    default=None,
    help="certificate (PEM) for the other devices, in place of our own",
)
@click.option("--key", type=click.Path(path_type=Path), default=None, help="private key of the certificate (PEM)")
@click.option(
    "--room",
    type=click.FloatRange(0.1, 1e6),
    default=100,
    show_default=True,
    help="room for photos and files of all jobs together [GB]",
)
@click.option(
    "--job-room", type=click.FloatRange(0.1, 1e6), default=5, show_default=True,
    help="room for photos and files of one job [GB]",
)  # fmt: skip
def serve(
    data: Path | None, database: str | None, port: int, share: bool, show: bool, cert: Path | None, key: Path | None,
    room: float, job_room: float,
) -> None:  # fmt: skip
    """Open a page on this machine where jobs are drawn, measured, priced and printed.

    The address printed at the start works once, in one browser; that browser stays signed in as the owner. Nothing is
    reachable from other machines unless --share is given, and then only after pairing.
    """
    if (cert is None) != (key is None):
        raise click.UsageError("--cert and --key go together")
    from palewright.store import Limits
    from palewright.web.serving import run

    gc.set_threshold(50_000, 10, 10)  # it stays for days: what leaves in circles is collected
    run(
        data,
        port,
        share=share,
        show=show,
        pem=(cert, key) if cert is not None and key is not None else None,
        say=click.echo,
        url=database,
        limits=Limits(all_bytes=int(room * 1e9), job_bytes=int(job_room * 1e9)),
    )
