"""``palewright export``: one file in one format."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from palewright.errors import OutputError

__all__ = ["export"]

FORMATS = (
    "plan-json", "posts-csv", "materials-csv", "svg", "dxf", "scene-json", "landxml", "pnezd-csv",
    "geojson", "geopackage", "shapefile", "kml", "gpx",
)  # fmt: skip


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("form", metavar="FORMAT", type=click.Choice(FORMATS))
@click.option(
    "--out", "file", type=click.Path(path_type=Path), default=None, help="file to write; standard output unless given"
)
@click.option(
    "--place", default="", help='"POINT, latitude, longitude" of one named point, in degrees, for formats on the globe'
)
@click.option("--height", default="", help="of the ground above the ellipsoid, for the same formats: 5400 ft")
def export(job: Path, form: str, file: Path | None, place: str, height: str) -> None:
    """Plan JOB and write it in one FORMAT.

    plan-json, posts-csv, materials-csv; svg, dxf and scene-json hold the plan drawing; landxml and pnezd-csv (point,
    northing, easting, elevation, description) are in the job's own coordinates; geojson, geopackage, shapefile (a zip),
    kml and gpx are on the globe and need a job with north and one place.
    """
    from palewright import notation
    from palewright import plan as engine

    up = notation.parse_length(height, signed=True).m if height else 0.0
    made = engine.make_plan(*engine.load(job))
    data = engine.export(made, form, place, up)
    if file is None:
        sys.stdout.buffer.write(data)
        return
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        beside = file.with_name(file.name + ".part")
        beside.write_bytes(data)
        beside.replace(file)
    except OSError as error:
        raise OutputError(f"cannot write {file}: {error.strerror or error}") from error
    click.echo(f"Written: {file}", err=True)
