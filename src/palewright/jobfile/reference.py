"""The tables of docs/job-file.md, made from the key table."""

from __future__ import annotations

from palewright.jobfile.keys import SECTIONS, TOP
from palewright.jobfile.tables import Each, Key, Named, Section

__all__ = ["reference"]


def reference() -> str:
    """Every key of the job file, a table for each section, in Markdown.

    >>> "| `title` |" in reference()
    True
    """
    return "\n\n".join(_section(section) for section in SECTIONS) + "\n"


def _section(section: Section) -> str:
    title = "the file itself" if section is TOP else section.name
    rows = "\n".join(_row(key) for key in section.keys)
    head = "| key | what | must | `ask` | for instance |\n|---|---|---|---|---|"
    return f"### {title}\n\n{section.doc}\n\n{head}\n{rows}"


def _row(key: Key) -> str:
    example = f"{key.name}: {key.example}".replace("|", "\\|")
    must, ask = ("yes" if key.required else ""), ("yes" if key.ask else "")
    return f"| `{key.name}` | {key.doc} {_expected(key)}| {must} | {ask} | `{example}` |"


def _expected(key: Key) -> str:
    value, many = key.value, ""
    if isinstance(value, Each):
        value, many = value.section, "a list; each "
    elif isinstance(value, Named):
        value, many = value.value, f"{value.says()}; each "
    if isinstance(value, Section):
        return f"({many}{'as ' if many else 'see '}*{value.name}*) "
    says = key.value.says()
    return f"({says}) " if says not in ("text", "a name") else ""
