"""``palewright new``: ask what is known, write a job file with ``ask`` for the rest."""

from __future__ import annotations

from pathlib import Path

import click

from palewright.errors import NotationError, OutputError, ProblemError

__all__ = ["new"]


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="ask nothing; write ask wherever something is not known")
def new(job: Path, yes: bool) -> None:
    """Ask a few questions and write a job file JOB. An empty answer is written as ask: nothing is made up."""
    from palewright import jobfile

    if job.exists():
        raise OutputError(f"{job} exists already; choose another name")
    answers: dict[str, str] = {}
    if not yes:
        click.echo("An empty answer means: not known yet.")
        for question in jobfile.questions(answers):
            answers[question.key] = _ask(question)
    text = jobfile.new_job_text(answers)
    try:
        job.parent.mkdir(parents=True, exist_ok=True)
        with job.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        raise OutputError(f"cannot write {job}: {error.strerror or error}") from error
    click.echo(f"Written: {job}. Next: palewright check {job}")


def _ask(question) -> str:  # type: ignore[no-untyped-def]
    while True:
        answer: str = click.prompt(f"{question.prompt} [{question.example}]", default="", show_default=False)
        if not answer.strip():
            return ""
        try:
            question.check(answer)
        except (NotationError, ProblemError) as error:
            for problem in error.problems:
                click.echo(problem.render(), err=True)
            continue
        return answer
