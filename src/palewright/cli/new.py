"""``palewright new``: ask what is known, write a job file with ``ask`` for the rest."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from palewright.errors import OutputError

if TYPE_CHECKING:
    from palewright.jobfile import Question

__all__ = ["new"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="ask nothing: a walk from a house wall, boards, ask for the rest")
@click.option("--line", is_flag=True, help="a line of wire over land; with --yes woven wire, ask for the rest")
def new(job: Path, yes: bool, line: bool) -> None:
    """Ask a few questions and write a job file JOB. An empty answer is written as ask: nothing is made up."""
    from palewright import jobfile

    if job.exists():
        raise OutputError(f"{job} exists already: choose another name")
    answers = {"known": "line"} if line else {}
    if yes:
        answers = {"title": job.stem, "known": "walk", "kind": "boards", "wire": "woven wire"} | answers
    if not yes:
        click.echo("An empty answer means: not known yet.")
        for question in jobfile.questions():
            if question.key not in answers and question.asked(answers):
                answers[question.key] = _ask(question)
    text = jobfile.new_job_text(answers)
    try:
        job.parent.mkdir(parents=True, exist_ok=True)
        with job.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        raise OutputError(f"cannot write {job}: {error.strerror or error}") from error
    click.echo(f"Written: {job}. Next: palewright check {job}")


def _ask(question: Question) -> str:
    """Ask until the answer can be read; an empty one is "not known" where that is an answer."""
    while True:
        answer: str = click.prompt(
            f"{question.prompt} (for instance: {question.example})", default="", show_default=False
        ).strip()
        wrong = question.check(answer) if answer else ("this one is needed" if question.must else "")
        if not wrong:
            return answer
        click.echo(f"  {wrong}", err=True)
