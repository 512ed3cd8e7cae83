"""The command line. A command parses, makes one call, and prints."""

from __future__ import annotations

import gc
import importlib
import os
import sys

import click

from palewright.cli.exits import Exit
from palewright.errors import OutputError, PalewrightError, ProblemError, TableError

__all__ = ["cli", "main"]

_COMMANDS = {
    "asbuilt": "palewright.cli.asbuilt:asbuilt",
    "backup": "palewright.cli.backup:backup",
    "check": "palewright.cli.check:check",
    "explain": "palewright.cli.explain:explain",
    "export": "palewright.cli.export:export",
    "import": "palewright.cli.import_:import_",
    "new": "palewright.cli.new:new",
    "plan": "palewright.cli.plan:plan",
    "pocket": "palewright.cli.pocket:pocket",
    "restore": "palewright.cli.restore:restore",
    "schema": "palewright.cli.schema:schema",
    "serve": "palewright.cli.serve:serve",
    "survey": "palewright.cli.survey:survey",
}


class _Lazy(click.Group):
    """A group whose commands are imported when they are used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        place = _COMMANDS.get(cmd_name)
        if place is None:
            return None
        module, _, name = place.partition(":")
        command: click.Command = getattr(importlib.import_module(module), name)
        return command


_BEGIN = (
    "Begin with `palewright new JOB.yaml`, then `check` it and `plan` it: the file is the job, and `ask` in it stands "
    "for what is not known yet. `palewright COMMAND --help` says the rest; docs/job-file.md has every key of the file."
)


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]}, epilog=_BEGIN)
@click.version_option(package_name="palewright", message="palewright %(version)s")
def cli() -> None:
    """From a boundary and a tape to holes in the ground, paper, and a list to buy.

    Layout help is not a survey. Have utilities located before you dig; local code and licensed practice decide.
    """


def main() -> None:
    """Entry point: run a command and turn what was raised into words and an exit code."""
    gc.set_threshold(1_000_000)  # a command makes many records, keeps nearly all of them, and is gone
    try:
        code = cli.main(standalone_mode=False)
        sys.exit(code if isinstance(code, int) else Exit.DONE)
    except click.exceptions.Abort:
        click.echo("stopped", err=True)
        sys.exit(Exit.PROBLEMS)
    except click.ClickException as error:
        error.show()
        sys.exit(Exit.USAGE)
    except ProblemError as error:
        for problem in error.problems:
            click.echo(problem.render(), err=True)
        count = len(error.problems)
        click.echo(f"{count} problem{'s' if count != 1 else ''}; nothing was written.", err=True)
        sys.exit(Exit.PROBLEMS)
    except OutputError as error:
        click.echo(f"{error}; the previous output is whole.", err=True)
        sys.exit(Exit.OUTPUT)
    except (TableError, PalewrightError) as error:
        click.echo(str(error), err=True)
        sys.exit(Exit.PROBLEMS)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(Exit.DONE)
    finally:
        gc.freeze()  # the memory goes back as a whole; looking through all of it once more costs a tenth of a check
