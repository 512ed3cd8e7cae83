"""``palewright import``: a file of another program in, a draft of a job file out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from palewright.errors import OutputError, Problem, ProblemError

if TYPE_CHECKING:
    from palewright.exchange import Imported

__all__ = ["import_"]

_UNITS = {"in": "inches", "ft": "feet", "ft US": "US survey feet", "m": "metres"}


@click.command(name="import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--out", "job", type=click.Path(path_type=Path), default=None, help="job file to write; a new name")
@click.option("--list", "show", is_flag=True, help="list rings and lines with their sizes, and write nothing")
@click.option("--layer", default="", help="read this layer alone")
@click.option("--ring", default="", help="name of the ring that is the lot, where there are several")
@click.option(
    "--as", "way", type=click.Choice(["points", "calls"]), default=None,
    help="how the boundary is written; by calls where it has arcs, by points elsewhere",
)  # fmt: skip
@click.option("--unit", default="", help='unit of lengths in the file: ft, "ft US", m, in; over what the file says')
@click.option("--crs", default="", help="coordinate system of the file, as EPSG:2229; over what the file says")
@click.option("--order", default="", help="columns of a point list: PNEZD or PENZD")
@click.option("--height", default="", help="of the ground above the ellipsoid, with its unit: 5400 ft")
@click.option(
    "--near", default="", help='"LATITUDE, LONGITUDE" within 50 km of the site: exchanged axes are found by it'
)
@click.option("--any-size", is_flag=True, help="the size is right, however unlikely")
@click.option("--title", default="", help="title of the job; the name of the file unless given")
@click.option(
    "--print", "style", type=click.Choice(["feet-inches", "decimal-feet", "metric"]), default=None,
    help="how the job prints lengths; metric for a file in metres",
)  # fmt: skip
def import_(
    file: Path, job: Path | None, show: bool, layer: str, ring: str, way: str | None, unit: str, crs: str, order: str,
    height: str, near: str, any_size: bool, title: str, style: str | None,
) -> None:  # fmt: skip
    """Draft a job file from FILE: GeoJSON, GeoPackage, shapefile, DXF, LandXML, KML, GPX or a point list.

    A ring becomes the boundary, points keep their names, all else is written as ask. A drawing proves no line.
    """
    from palewright import exchange, notation

    up = notation.parse_length(height, signed=True).m if height else None
    asked = exchange.Asked(unit, crs, order, layer, up, _near(near), any_size)
    if show:
        _list(exchange.list_file(file, asked))
        return
    if job is None:
        raise click.UsageError("--out names the job file to write; --list only looks")
    if job.exists():
        raise OutputError(f"{job} exists already: choose another name")
    made = exchange.import_file(file, asked, ring, way or "", title, style or "")
    try:
        job.parent.mkdir(parents=True, exist_ok=True)
        with job.open("x", encoding="utf-8") as out:
            out.write(made.text)
    except OSError as error:
        raise OutputError(f"cannot write {job}: {error.strerror or error}") from error
    _say(made, job)


def _near(text: str) -> tuple[float, float] | None:
    if not text.strip():
        return None
    try:
        latitude, longitude = (float(part) for part in text.split(","))
        if not (abs(latitude) <= 90.0 and abs(longitude) <= 180.0):
            raise ValueError(text)
    except ValueError:
        raise ProblemError(
            Problem("place-unreadable", "the place of the site cannot be read", found=text,
                    allowed="latitude, longitude in degrees", hint='for instance "41.20345, -96.04512"')
        ) from None  # fmt: skip
    return latitude, longitude


def _list(rows: tuple[tuple[str, str, float, float, str], ...]) -> None:
    from palewright.notation import show_area, show_length

    for kind, name, area, length, layer in rows:
        size = show_length(length, "decimal-feet")
        size = f"{show_area(area)}, {size} round" if kind == "ring" else size
        click.echo(f"{kind} {name}: {size}" + (f", on layer {layer}" if layer else ""))


def _say(made: Imported, job: Path) -> None:
    from palewright.exchange import path_length, ring_area
    from palewright.notation import show_area, show_length

    drawn = made.drawn
    for caution in drawn.cautions:
        click.echo(caution.render(), err=True)
    for ring in drawn.rings:
        size = f"{show_area(ring_area(ring), made.style)}, {show_length(path_length(ring), made.style)} round"
        click.echo(
            f"ring {ring.name}: {len(ring.points)} corners, {size}; lengths in {_UNITS.get(drawn.unit, drawn.unit)}"
        )
    if drawn.frame is not None:
        frame = drawn.frame
        click.echo(f"ground distances and true north, from {frame.crs}")
        click.echo(f"first corner at {frame.latitude:.9f}, {frame.longitude:.9f} ({frame.datum})")
    click.echo(f"{len(drawn.points)} points, {len(drawn.paths)} lines")
    click.echo(f"Written: {job}. Next: look at it, say which fence goes where, then palewright check {job}")
