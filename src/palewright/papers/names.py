"""Names that the program made itself ("gate 1", "corner 2") in the language of the job; names as typed stay."""

from __future__ import annotations

import dataclasses
import re
from typing import Any

from palewright.model import Plan
from palewright.papers.words import text

__all__ = ["in_language"]

_MADE = re.compile(r"(gate|corner) (\d+)")


def in_language(plan: Plan) -> Plan:
    """The plan as papers and drawings show it.

    Gates and boundary corners without a name of their own are called "gate 1" and "corner 2" in the records; here they
    get the words of the job's language wherever they are named. What else a person typed is left alone.
    """
    if plan.settings.language == "en":
        return plan
    corners = plan.site.ring.corners if plan.site.ring else ()
    names = {}
    for name in (*(gate.name for gate in plan.design.gates), *(corner.name for corner in corners)):
        made = _MADE.fullmatch(name)
        if made:
            names[name] = text(f"common.made_{made[1]}", plan.settings.language, number=made[2])
    if not names:
        return plan
    known = re.compile(r"\b(?:" + "|".join(map(re.escape, sorted(names, key=len, reverse=True))) + r")\b")
    changed: Plan = _put(plan, lambda said: known.sub(lambda match: names[match[0]], said))
    return dataclasses.replace(changed, settings=plan.settings)


def _put(value: Any, swap: Any) -> Any:
    """The same value with every text in it swapped."""
    if isinstance(value, str):
        return swap(value)
    if isinstance(value, tuple):
        return tuple([_put(item, swap) for item in value])
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = ((field.name, getattr(value, field.name)) for field in dataclasses.fields(value))
        return dataclasses.replace(value, **{name: _put(item, swap) for name, item in fields if item})
    return value
