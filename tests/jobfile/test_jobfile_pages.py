"""The published schema and the page of keys: complete, fresh, and true to what the reader takes."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import jsonschema
import pytest
from ruamel.yaml import YAML

from palewright import jobfile
from palewright.jobfile.composing import read_source
from palewright.jobfile.keys import SECTIONS
from palewright.jobfile.reading import Reading
from palewright.jobfile.tables import Key, Section

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.yaml"))


def test_every_key_stands_on_the_page() -> None:
    page = (ROOT / "docs/job-file.md").read_text(encoding="utf-8")
    assert jobfile.reference().strip() in page
    missing = [
        (section.name, key.name) for section in SECTIONS for key in section.keys if f"| `{key.name}` |" not in page
    ]
    assert not missing


@pytest.mark.parametrize(
    ("section", "key"), [(section, key) for section in SECTIONS for key in section.keys], ids=lambda part: part.name
)
def test_the_example_of_every_key_can_be_read(section: Section, key: Key) -> None:
    source, node, problems = read_source(f"{key.name}: {key.example}\n".encode())
    assert node is not None
    assert not problems
    reading = Reading(source)
    key.value.read(reading, node.pairs[0][1], key.name)
    assert not reading.problems, reading.problems[0].render()


def test_the_job_file_on_the_page_reads() -> None:
    page = (ROOT / "docs/job-file.md").read_text(encoding="utf-8")
    job = jobfile.read_text(page.split("```yaml\n")[1].split("```")[0])
    assert [run.name for run in job.runs] == ["rear"]


def test_every_key_has_a_description_in_the_schema() -> None:
    definitions = jobfile.schema()["$defs"]
    tables = [jobfile.schema(), *(part for part in definitions.values() if "properties" in part)]
    assert len(tables) == len(SECTIONS)
    assert all(entry["description"] for table in tables for entry in table["properties"].values())


def test_the_schema_is_a_schema() -> None:
    made = jobfile.schema()
    jsonschema.Draft202012Validator.check_schema(made)
    assert made["$id"] == "urn:palewright:job:1"


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_examples_fit_the_schema(example: Path) -> None:
    plain = YAML(typ="safe").load(StringIO(example.read_text(encoding="utf-8")))
    errors = list(
        jsonschema.Draft202012Validator(jobfile.schema()).iter_errors(json.loads(json.dumps(plain, default=str)))
    )
    assert not errors, errors[0].message


def test_the_schema_refuses_an_unknown_key() -> None:
    wrong = {"palewright": 1, "job": {"title": "T", "titel": "T"}}
    assert list(jsonschema.Draft202012Validator(jobfile.schema()).iter_errors(wrong))
