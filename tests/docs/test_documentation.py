"""Documentation is tested: an undocumented command, key, slug or public name fails."""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from tools.docs import ROOMS, walk

from palewright.cli.main import cli

ROOT = Path(__file__).resolve().parents[2]
SRC = ROOT / "src" / "palewright"


def _slugs() -> dict[str, str]:
    """Every slug of a Problem in the source, with the file that holds it."""
    found: dict[str, str] = {}
    for path in sorted(SRC.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            if "problem" not in name.lower():
                continue
            for argument in [*node.args, *[word.value for word in node.keywords if word.arg == "slug"]]:
                if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                    if re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", argument.value):
                        found[argument.value] = path.name
                    break
    return found


def _headings(page: str) -> set[str]:
    return set(re.findall(r"^## (\S+)$", (ROOT / "docs" / page).read_text(encoding="utf-8"), re.MULTILINE))


def test_every_slug_has_an_entry() -> None:
    missing = {slug: where for slug, where in _slugs().items() if slug not in _headings("messages.md")}
    assert not missing


def test_every_entry_of_messages_is_used() -> None:
    text = "\n".join(path.read_text(encoding="utf-8") for path in SRC.rglob("*.py"))
    unused = {slug for slug in _headings("messages.md") if f'"{slug}"' not in text}
    assert not unused


def test_messages_are_in_order() -> None:
    headings = re.findall(r"^## (\S+)$", (ROOT / "docs/messages.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert headings == sorted(headings)


@pytest.mark.parametrize("room", ROOMS)
def test_public_names_are_documented(room: str) -> None:
    module = importlib.import_module(f"palewright.{room}")
    assert inspect.getdoc(module), f"room {room} says nothing of itself"
    bare = [
        name
        for name in module.__all__
        if (inspect.isclass(getattr(module, name)) or inspect.isfunction(getattr(module, name)))
        and not inspect.getdoc(getattr(module, name))
    ]
    assert not bare
    assert len(set(module.__all__)) == len(module.__all__)


def test_every_command_and_option_has_help() -> None:
    silent = []
    for path, command in walk(cli, ("palewright",)):
        if not (command.help or "").strip():
            silent.append(path)
        silent += [
            (*path, option.name) for option in command.params if isinstance(option, click.Option) and not option.help
        ]
    assert not silent


def test_generated_pages_are_fresh() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tools.docs", "--check"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_links_between_pages_lead_somewhere() -> None:
    broken = []
    for page in [*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")]:
        for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
            if "://" not in target and not (page.parent / target).exists():
                broken.append((page.name, target))
    assert not broken


def test_no_page_names_a_machine() -> None:
    pattern = re.compile(r"(?<![\w.])/(?:home|root|tmp|Users)/\w")
    found = [
        path.name
        for path in [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *SRC.rglob("*.py")]
        if pattern.search(path.read_text(encoding="utf-8"))
    ]
    assert not found


def test_the_architecture_page_names_every_room() -> None:
    page = (ROOT / "ARCHITECTURE.md").read_text(encoding="utf-8")
    rooms = [path.name for path in SRC.iterdir() if path.is_dir() and (path / "__init__.py").exists()]
    assert not [room for room in rooms if f"`{room}`" not in page]
