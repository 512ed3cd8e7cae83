"""Whether what was found at a corner is a pin that may hold anything down: what it is, how it is marked, its match."""

from __future__ import annotations

import re
import unicodedata

from palewright.model import Corner, CornerEvidence

__all__ = ["NO_PIN", "pin_weaknesses", "seen_at"]

NO_PIN = ("map", "gnss", "neighbour's fence", "owner's word")
"""What a corner may rest on that names the lot and never a corner."""

_PIN = re.compile(
    r"\b(pins?|irons?|rods?|bars?|rebars?|pipes?|tubes?|monuments?|markers?|dis[ck]s?|caps?|nails?|spikes?|tacks?|"
    r"stones?|rocks?|boulders?|cross|drill(ed)? ?holes?|plugs?|bolts?|axles?|rails?|concrete|trees?|oaks?|elms?|pines?|"
    r"varillas?|fierros?|hierros?|barras?|tubos?|mojon(es|era|eras)?|clavos?|piedras?|rocas?|placas?|cruz|pernos?|"
    r"tapas?|arbol(es)?|discos?)\b"
)
_LATH = re.compile(
    r"\b(pin flags?|laths?|flag(s|ging|ged)?|ribbons?|whiskers?|paint(ed)?|banderas?|listones?|cintas?)\b"
)
_NOT_SAID = re.compile(
    r"\b(yes|no|ok|found|something|it|si|hallad[oa]|encontrad[oa]|algo|an?|the|un|una|el|la|with|con|in|inch|cap)\b"
)
_SIZE = re.compile(r"\d\s*(?:\"|''|”|in\b|inch|ft\b|foot|feet|cm\b|mm\b|m\b|pulg)|#\s*\d|\bno\.?\s*\d", re.ASCII)
_MARK = re.compile(
    r"\b(capped|caps?|stamp(ed|s)?|marked|chisel(l)?ed|engraved|tag(ged|s)?|washers?|r?p?ls\s*\d+|dis[ck]s?|tapas?|"
    r"sello|sellad[oa]|marcad[oa]|grabad[oa]|placas?|discos?)\b"
)
_UNMARKED = re.compile(r"\b(no|without( an?)?|sin) (caps?|stamps?|marks?|tags?|tapas?|sellos?|placas?)\b|\buncapped\b")
_NONE = ("", "no", "none", "not readable", "no cap", "no stamp", "ninguno", "ninguna", "sin tapa")
_WITNESS = re.compile(r"\b(witness|reference|testigo|referencia)\b")


def pin_weaknesses(corner: Corner) -> tuple[str, ...]:
    """What keeps a corner from holding anything down, in the words of :attr:`palewright.model.Corner.weak`.

    corner
        with what was found there. A pin counts when it is described (what it is, and its size, cap or stamp), was
        compared with the record and agrees, and stands at the corner itself. A lath or a flag is never a pin; a corner
        that rests on a map, a phone fix, a fence or a word never counts, whatever else is said of it.
    Source: common practice of surveyors, who describe every monument they find.

    >>> pin_weaknesses(Corner("NE", (0.0, 0.0), "5/8 in iron pin, cap 1178", True))
    ()
    >>> pin_weaknesses(Corner("NE", (0.0, 0.0), "iron pin"))
    ('mark', 'match')
    """
    said = corner.evidence
    if said.rests_on in NO_PIN:
        return (said.rests_on,)
    if not corner.found:
        return ("no pin",) if said.seen else ("record only",)
    words = _plain(corner.found)
    if _no_pin(words, said):
        return ("no pin",)
    weak = [] if said.what or _PIN.search(words) or re.search(r"[a-z]{3}", _NOT_SAID.sub(" ", words)) else ["kind"]
    parts = (part for part in (said.size, said.cap, said.stamp) if _plain(part).strip() not in _NONE)
    marked = any(parts) or _SIZE.search(words) or _MARK.search(_UNMARKED.sub(" ", words))
    weak += [] if marked else ["mark"]
    if corner.matches_record is None:
        weak.append("match")
    elif not corner.matches_record:
        weak.append("differs")
    if said.stands_off_m or _WITNESS.search(words):
        weak.append("stands off")
    return tuple(weak)


def seen_at(found: str, said: CornerEvidence) -> tuple[str, str]:
    """What was found at a corner, parted: words of the pin, and words of what is no pin; one of the two is empty.

    >>> seen_at("wood lath with pink ribbon", CornerEvidence()), seen_at("5/8 in rebar, flagged", CornerEvidence())
    (('', 'wood lath with pink ribbon'), ('5/8 in rebar, flagged', ''))
    """
    if found and (said.rests_on in (*NO_PIN, "record only") or _no_pin(_plain(found), said)):
        return "", found
    return found, ""


def _no_pin(words: str, said: CornerEvidence) -> bool:
    """Whether these words are of a lath or a flag, and of nothing that stands beside it."""
    words = _plain(said.what) or words
    return bool(_LATH.search(words)) and not _PIN.search(_LATH.sub(" ", words))


def _plain(words: str) -> str:
    """Lower case without accents."""
    return "".join(c for c in unicodedata.normalize("NFKD", words.lower()) if not unicodedata.combining(c))
