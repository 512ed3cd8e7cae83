"""Names that the program made itself ("gate 1", "corner 2") in the language of the job; names as typed stay."""

from __future__ import annotations

import dataclasses
import re
from typing import Any

from palewright.model import Plan
from palewright.papers.words import term, text

__all__ = ["call_words", "in_language"]

_CURVE = re.compile(r"^(curve right|curve left|radius|arc|chord|delta|tangent|non-tangent|reverse|compound)\b")
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


def call_words(call: str, language: str) -> str:
    """A call of a curve in the job's language; one of a straight side is shown as it was typed.

    >>> call_words("curve right, radius 420 ft, non-tangent", "es")
    'curva a la derecha, radio 420 pies, no tangente'
    >>> call_words("N 89°45'00\\" W 89.00 ft", "es")
    'N 89°45\\'00" W 89.00 ft'
    """
    if language == "en" or not call.startswith("curve "):
        return call
    parts = (_CURVE.sub(lambda found: term(found[1], language), part) for part in call.split(", "))
    return re.sub(r"(?<=\d) ft\b", f" {term('ft', language)}", ", ".join(parts))


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
