"""``plan.json``: the plan as one JSON document in SI, and back."""

from __future__ import annotations

import json
from typing import Any

from palewright.errors import Problem, ProblemError, Where
from palewright.exchange.records import decode, encoder, schema_of
from palewright.model import PLAN_VERSION, Plan

__all__ = ["SCHEMA_ID", "dumps", "from_json", "loads", "schema", "to_json"]

SCHEMA_ID = f"urn:palewright:plan:{PLAN_VERSION}"


def to_json(plan: Plan) -> dict[str, Any]:
    """A plan as plain JSON values: records as objects, tuples as lists, money as strings, numbers in SI unrounded.

    Places in the job file carry its bare name, never a folder.
    """
    encode = encoder(Plan)
    assert encode is not None
    made: dict[str, Any] = encode(plan)
    return made


def dumps(plan: Plan) -> str:
    """The text of ``plan.json``. Raises ValueError for a number that is not finite, which no plan may hold."""
    return json.dumps(to_json(plan), ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n"


def from_json(value: Any) -> Plan:
    """A plan from plain JSON values, as :func:`to_json` makes them.

    Raises ProblemError: ``plan-version`` for another version, ``plan-shape`` with the key path for a value of a wrong
    shape.
    """
    if isinstance(value, dict) and value.get("version") != PLAN_VERSION:
        raise ProblemError(
            Problem(
                "plan-version",
                "this plan is of another version",
                where=Where(path="version", thing="version"),
                found=repr(value.get("version", "none")),
                allowed=str(PLAN_VERSION),
                hint="plan the job again with this version of Palewright",
            )
        )
    plan: Plan = decode(Plan, value)
    return plan


def loads(text: str) -> Plan:
    """A plan from the text of ``plan.json``.

    Raises ProblemError: ``plan-not-json`` with line and column, and what :func:`from_json` raises.
    """
    try:
        value = json.loads(text, parse_constant=_refuse)
    except json.JSONDecodeError as error:
        raise _not_json(error.msg, Where(line=error.lineno, column=error.colno)) from None
    except RecursionError:
        raise _not_json("it is nested too deeply", Where()) from None
    except ValueError as error:
        raise _not_json(str(error), Where()) from None
    return from_json(value)


def _refuse(word: str) -> float:
    raise ValueError(f"{word} is not a number of JSON")


def _not_json(why: str, where: Where) -> ProblemError:
    return ProblemError(Problem("plan-not-json", "this is not a JSON document", where=where, found=why))


def schema() -> dict[str, Any]:
    """The published JSON Schema (2020-12) of ``plan.json``."""
    made = schema_of(Plan, "Palewright plan", SCHEMA_ID)
    made["$defs"]["Plan"]["properties"]["version"] = {"const": PLAN_VERSION}
    return made
