"""The key table of the rules: one line for each key of each kind. docs/permit.md is made to agree with it (tested)."""

from __future__ import annotations

from palewright.record import Record

__all__ = ["FILE_KEYS", "KINDS", "YARDS", "Field", "keys_of"]

YARDS = ("front", "street side", "side", "rear")
"""Yards of a lot, in the order in which a place that could be in two of them is counted."""

FILE_KEYS = ("palewright_rules", "place", "source", "checked", "answered")


class Field(Record):
    """What may stand behind a key.

    shape
        "length" (text with a unit), "share" (text such as "50%"), "word" (one of ``words``), "list" (some of ``words``;
        any where there are none), "yes" (true or false), "own" (read by itself).
    """

    shape: str
    doc: str
    words: tuple[str, ...] = ()
    must: bool = False

    def says(self) -> str:
        """What is expected."""
        return {
            "length": 'a length with its unit in quotes, such as "4 ft"',
            "share": '"0%" to "100%"',
            "yes": "true, false",
            "word": ", ".join(self.words),
            "list": f"a list of {', '.join(self.words)}" if self.words else "a list of names in quotes",
        }.get(self.shape, "text")


_REFERENCES = ("property line", "curb", "pavement", "centre line")
_COMMON = {
    "name": Field("own", "What the rule is called.", must=True),
    "kind": Field("own", "Which kind of rule it is.", must=True),
    "clause": Field("own", "Where it stands in the document.", must=True),
    "source": Field("own", "The document, where it is not that of the file."),
    "checked": Field("own", "The day on which it was looked up, where it is not that of the file."),
    "note": Field("own", "Words to print with it."),
}
_MEASURED = ("own grade", "post", "higher side", "lower side", "highest within", "lowest within")
_YARDS = Field("list", "Yards in which it holds; all of them unless given.", YARDS)
_DEPTH = Field("length", "How deep front, street side and rear yard are; up to the main building unless given.")
_OVER = Field("length", "It holds for fences that are higher than this.")
_SIGHT = {
    "line": Field("word", "The lines from whose crossing the legs are taken.", _REFERENCES, must=True),
    "leg": Field("length", "Leg of the triangle; of a drive, the leg along the street.", must=True),
    "other_leg": Field("length", "The other leg, where it differs; of a drive, the leg along the drive."),
    "clear_above": Field("length", "What stands higher than this blocks the view.", must=True),
    "clear_below": Field("length", "What begins higher than this does not; without this key everything does."),
    "level": Field("word", "Level from which heights count.", ("ground", "curb", "pavement", "centre line")),
    "open_exempt": Field("share", "A fence that is open by this share or more is let alone."),
}

KINDS: dict[str, dict[str, Field]] = {
    "setback": {
        "yards": Field("list", "Lot lines from which it is measured: of these yards; all unless given.", YARDS),
        "line": Field("word", "What it is measured from.", _REFERENCES),
        "of": Field("word", "What is measured.", ("face", "post", "footing"), must=True),
        "least": Field("length", "Least distance.", must=True),
        "over": _OVER,
    },
    "height": {
        "yards": _YARDS,
        "depth": _DEPTH,
        "most": Field("length", "Greatest height above the ground.", must=True),
        "posts_over": Field("length", "How much higher posts may be."),
        "measured": Field("word", "From which ground heights count; straight below the fence unless given.", _MEASURED),
        "within": Field("length", "How far from the fence that ground may lie; 1 ft for a higher or lower side."),
    },
    "openness": {
        "yards": _YARDS,
        "depth": _DEPTH,
        "least": Field("share", "Least share of the face that is open.", must=True),
        "over": _OVER,
    },
    "corner-sight": _SIGHT,
    "drive-sight": _SIGHT,
    "easement": {
        "easements": Field("list", "Names of the easements it is about; all unless given."),
        "allows": Field("word", "What may stand there.", ("nothing", "no posts", "fence", "with consent"), must=True),
    },
    "pool": {
        "height": Field("length", "Least height, seen from outside."),
        "gap": Field("length", "Largest gap between ground and fence."),
        "opening": Field("length", "Largest opening in it."),
        "rails_apart": Field("length", "Rails on the outside are at least so far apart."),
        "water": Field("length", "Least distance from the water to the barrier."),
        "self_closing": Field("yes", "Gates shut by themselves."),
        "self_latching": Field("yes", "Gates latch by themselves."),
        "opens": Field("word", "Way in which gates open.", ("out", "in")),
        "latch": Field("length", "Least height of the release of the latch."),
    },
    "retaining": {
        "near": Field("length", "It holds for a fence nearer than this to a retaining wall.", must=True),
        "counts": Field("word", "Which walls add to the height of the fence.", ("all", "fill", "none"), must=True),
        "most": Field("length", "Greatest height, with the wall where it counts.", must=True),
    },
    "good-side": {
        "yards": _YARDS,
        "depth": _DEPTH,
        "faces": Field("word", "Where the good side looks.", ("out", "in"), must=True),
    },
    "material": {
        "yards": _YARDS,
        "depth": _DEPTH,
        "bans": Field("list", "What may not be used.",
                      ("boards", "panels", "post and rail", "chain link", "barbed wire"), must=True),
    },
}  # fmt: skip


def keys_of(kind: str) -> dict[str, Field]:
    """Every key of a kind of rule, those that all rules have first.

    >>> list(keys_of("height"))[-1]
    'within'
    """
    return _COMMON | KINDS[kind]
