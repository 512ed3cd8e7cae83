"""Names that repeat what a thing is: "corner 1" is a corner's name where nobody gave it one."""

from __future__ import annotations

import re

__all__ = ["once"]

_KINDS = {"corner": "corner", "esquina": "corner", "gate": "gate", "portón": "gate"}
_TWICE = re.compile(rf"\b({'|'.join(_KINDS)}) (corner|gate)(?![\w-])", re.IGNORECASE)


def once(said: str) -> str:
    """A sentence in which a kind and a name that begins with it say the kind once.

    >>> once("Corner corner 1: by the record only."), once("Portón gate: 4' 0\\" libres."), once("gate corner")
    ('Corner 1: by the record only.', 'Portón: 4\\' 0" libres.', 'gate corner')
    """
    if "corner" not in said and "gate" not in said:
        return said
    return _TWICE.sub(lambda found: found[1] if _KINDS[found[1].lower()] == found[2].lower() else found[0], said)
