"""The published JSON Schema of the job file, made from the key table."""

from __future__ import annotations

from typing import Any

from palewright.jobfile.keys import SECTIONS, TOP
from palewright.jobfile.phrases import VERSION

__all__ = ["schema"]

_WORDS: dict[str, dict[str, Any]] = {
    "length": {
        "type": ["string", "number"],
        "description": "A length with its unit, as on a tape or in a deed; a bare number only where job.unit is given.",
        "examples": ["41' 6 1/2\"", "12.5 ft", "3.25 m", "3 ch 25 lk"],
    },
    "angle": {"type": "string", "description": "An angle in degrees.", "examples": ["88°", "88°30'"]},
    "bearing": {
        "type": ["string", "number"],
        "description": "A quadrant bearing or an azimuth from north.",
        "examples": ["N 12°30'15\" E", "due west"],
    },
    "name": {"type": ["string", "integer"], "description": "The name of a point."},
    "coordinates": {
        "type": "array",
        "items": {"$ref": "#/$defs/length"},
        "minItems": 2,
        "maxItems": 2,
        "description": "East, then north.",
    },
    "place": {
        "anyOf": [{"$ref": "#/$defs/name"}, {"$ref": "#/$defs/coordinates"}],
        "description": "A point by name, or by coordinates.",
    },
    "call": {
        "type": "string",
        "description": "A call of a deed: bearing, then length; or a curve and its parts.",
        "examples": [
            "S 02°14'30\" E 148.20 ft",
            "N 87 W to beginning",
            "curve right, radius 250 ft, arc 61.35 ft, chord S 80°12' W",
        ],
    },
    "deed": {
        "type": "string",
        "description": "A legal description in sentences.",
        "examples": ["Beginning at a stake; thence N 12°30' E 120.55 feet; thence ... to the point of beginning."],
    },
    "chord": {
        "type": ["string", "number"],
        "description": "Bearing of a chord, its length, or both.",
        "examples": ["S 80°12' W", "61.20 ft", "S 80°12' W 61.20 ft"],
    },
    "north": {
        "type": "string",
        "pattern": "^([Mm]agnetic|[Gg]rid|[Tt]rue|[Aa]ssumed|[Rr]ecord)",
        "description": "What bearings are counted from.",
        "examples": ["magnetic 1812", "grid, New York East", "true"],
    },
    "walk-step": {
        "type": ["string", "number"],
        "description": "A length to go, or a turn; never a bare angle.",
        "examples": ["18 ft", "left", "left 30°", "turns 45° left", "inside angle 70° left"],
    },
    "version": {"const": VERSION, "description": "Version of the job file."},
    "from-point": {
        "type": "string",
        "pattern": " from ",
        "description": "A distance along the run from one of its points.",
        "examples": ["22 ft from B"],
    },
    "along": {
        "type": "string",
        "description": "A point of the run, or a distance along the run from one.",
        "examples": ["B", "40 ft from B"],
    },
    "hinges": {
        "type": "string",
        "pattern": "^(near|far)",
        "description": "The post that carries the hinges.",
        "examples": ["near B", "far from B"],
    },
    "at-wall": {
        "type": "string",
        "pattern": "^(bracket|post|clear .+|post clear .+)$",
        "description": "How a run ends at a wall.",
        "examples": ["bracket", "post", "clear 6 in"],
    },
    "share": {"type": "string", "pattern": "%$", "description": "A share of the whole.", "examples": ["50%"]},
    "risk": {"type": "string", "pattern": "%$", "description": "A chance below a half.", "examples": ["1%"]},
    "fence-value": {
        "type": ["string", "number", "boolean", "object"],
        "additionalProperties": {"$ref": "#/$defs/fence-value"},
        "description": "A key of the kind of fence: a length, a number, a share (5%), yes, no or a word.",
    },
}


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the job file.

    Returns a dictionary for ``json.dumps``. It says which keys there are and of which shape their values; whether
    a length can be read and whether a name is known is said by ``palewright check``.

    >>> schema()["$id"]
    'urn:palewright:job:1'
    """
    definitions = dict(_WORDS)
    for section in SECTIONS:
        if section is not TOP:
            definitions[section.name.replace(" ", "-")] = section.table_schema()
    top = TOP.table_schema()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:palewright:job:{VERSION}",
        "title": "Palewright job file",
        **top,
        "$defs": definitions,
    }
