"""Names that repeat what a thing is: "corner 1" is a corner's name where nobody gave it one."""

from __future__ import annotations

import re

__all__ = ["once"]

_KINDS = {"corner": "corner", "esquina": "corner", "gate": "gate", "portón": "gate"}
_TWICE = re.compile(rf"\b({'|'.join(_KINDS)}) ({'|'.join(_KINDS)})(?![\w-])", re.IGNORECASE)


def once(said: str) -> str:
    """A sentence in which a kind and a name that begins with it say the kind once.

    >>> once("Corner corner 1: by the record only."), once("Portón gate: 4' 0\\" libres."), once("Esquina esquina 2")
    ('Corner 1: by the record only.', 'Portón: 4\\' 0" libres.', 'Esquina 2')
    """
    for kind in _KINDS:
        if kind in said:
            return _TWICE.sub(_one, said)
    return said


def _one(found: re.Match[str]) -> str:
    return found[1] if _KINDS[found[1].lower()] == _KINDS[found[2].lower()] else found[0]
