"""What a boundary corner rests on: its keys in the job file and its record."""

from __future__ import annotations

from palewright.jobfile.reading import Reading, Table, Word
from palewright.jobfile.tables import Key, Section
from palewright.jobfile.values import Choice, Length, Text, YesNo
from palewright.model import CornerEvidence, CornerSpec

__all__ = ["CORNER", "build_corner"]

_RESTS = Choice((
    *((word, word) for word in ("monument", "record only", "map", "gnss", "neighbour's fence")),
    ("neighbor's fence", "neighbour's fence"), ("owner's word", "owner's word"),
))  # fmt: skip

CORNER = Section("corner", "What is known of one boundary corner. A pin counts when it is described (what it is, and"
    " its size, cap or stamp) and compared with the record; a lath or a flag is never a pin.", (
    Key("found", Text(), "The monument that was found, in words.", "\"5/8 in iron pin, cap 1178\"", ask=True),
    Key("what", Text(), "What the pin is, where its parts are given apart.", "iron pin", ask=True),
    Key("size", Text(), "Its size.", "5/8 in", ask=True),
    Key("cap", Text(), "Its cap: what it is and what stands on it, or none.", "plastic cap 1178", ask=True),
    Key("stamp", Text(), "What is stamped or cut into it.", "cross", ask=True),
    Key("matches record", YesNo(), "Whether it is the monument that the record calls for.", "yes", ask=True),
    Key("stands off", Length("not negative"), "Distance from a witness bar to the corner that it bears witness to; the"
        " corner itself then has no pin.", "3 ft", ask=True),
    Key("rests on", _RESTS, "What the corner rests on. What rests on a map, a phone or GNSS fix, a fence or a word"
        " names the lot and never counts as found.", "monument", ask=True),
    Key("who", Text(), "Who says so.", "the crew lead", ask=True),
    Key("when", Text(), "On which day.", "2026-05-04", ask=True),
    Key("record", Text(), "What the record says stands there.", "5/8 in iron rod with cap", ask=True),
))  # fmt: skip

_PARTS = ("what", "size", "cap", "stamp")


def build_corner(rd: Reading, word: Word, table: Table) -> CornerSpec:
    """The record of a corner; what is found in parts is put into words where no words were given."""
    parts = {key: table.get(key, "") for key in _PARTS}
    told = " ".join(part for part in (parts["size"], parts["what"]) if part)
    found = table.get("found", "") or ", ".join(part for part in (told, parts["cap"], parts["stamp"]) if part)
    pinned = any(table.typed(key) for key in ("found", *_PARTS))
    needy = [key for key in ("matches record", "stands off") if table.has(key)]
    if table.get("rests on") == "monument":
        needy.append("rests on")
    if not pinned and needy:
        rd.wrong_at("missing-key", f"`{needy[0]}` needs `found` beside it", table.place(needy[0]),
                    hint="say what was found: `found: 5/8 in iron pin`")  # fmt: skip
        table.ok = False
    evidence = CornerEvidence(
        rests_on=table.get("rests on", ""),
        who=table.get("who", ""),
        when=table.get("when", ""),
        **parts,
        stands_off_m=table.get("stands off"),
        record=table.get("record", ""),
    )
    return CornerSpec(word.text, found, table.get("matches record"), word.at, evidence)
