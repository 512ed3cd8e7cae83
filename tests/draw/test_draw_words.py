"""Both languages say the same things, with the same blanks."""

from __future__ import annotations

import re
import string
from pathlib import Path

from palewright.draw import words as room
from palewright.draw.words import languages, word_table

SOURCE = Path(room.__file__).parent


def blanks(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_same_keys_and_same_blanks() -> None:
    assert languages() == ("en", "es")
    english, spanish = word_table("en"), word_table("es")
    assert list(english) == list(spanish)
    for key, text in english.items():
        assert blanks(text) == blanks(spanish[key]), key


def test_every_key_is_used() -> None:
    """A key stands in the code in full, or begins with a stem that the code completes."""
    code = "\n".join(path.read_text("utf-8") for path in SOURCE.glob("*.py"))
    stems = (
        "key_",
        "missing_",
        "role_",
        "part_",
        "alt_",
        "ask_hinges",
        "ask_swings",
        "offset_side_",
        "swings_",
        "old_fence_",
        "utility_",
        "tapes_",
        "measured_",
        "not_located_",
        "located_note_",
        "trial_note",
        "level_note",
        "level_fall_",
        "level_rise_",
    )
    unused = [
        key for key in word_table("en") if not re.search(rf"[\"']{key}[\"']", code) and not key.startswith(stems)
    ]  # fmt: skip
    assert unused == []
