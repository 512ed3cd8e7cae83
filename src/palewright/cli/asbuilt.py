"""``palewright asbuilt``: a job and the entries of its yard in, the sheet that closes it out."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["asbuilt"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("entries", type=click.Path(path_type=Path))
@click.option(
    "--out", "folder", type=click.Path(path_type=Path), required=True, help="folder for the sheet; made if missing"
)
@click.option("--lang", type=click.Choice(["en", "es"]), help="language of the sheet; as the job says unless given")
@click.option("--paper", type=click.Choice(["letter", "a4"]), help="size of the paper; as the job says unless given")
def asbuilt(job: Path, entries: Path, folder: Path, lang: str | None, paper: str | None) -> None:
    """Lay what was measured in the yard (ENTRIES, a JSON file) beside the plan of JOB, and write the as-built sheet."""
    from dataclasses import replace

    from palewright import plan as engine
    from palewright.asbuilt import as_built, fold, planned_places

    if not folder.name:
        raise click.UsageError("--out names a folder for the sheet")
    plan = engine.make_plan(*engine.load(job), search_cuts=False)
    read, cautions = engine.load_yard(entries, plan)
    settings = plan.settings
    plan = replace(plan, settings=replace(settings, language=lang or settings.language, paper=paper or settings.paper))
    built = as_built(plan, fold(read, planned_places(plan)))
    written = engine.publish_as_built(plan, built, folder, engine.photos_beside(entries, built), cautions)
    for caution in cautions:
        click.echo(caution.render(), err=True)
    measured = sum(post.along_m is not None and post.aside_m is not None for post in built.posts)
    click.echo(f"{len(read):,} entries; {measured} of {len(built.posts)} posts measured")
    click.echo(f"  entries that disagree: {len(built.conflicts)}; not entered as set: {len(built.open_holes)}")
    click.echo(f"Written to {folder}:")
    for path in written:
        click.echo(f"  {path.name}")
