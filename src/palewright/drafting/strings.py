"""The strings of the crew on the screen."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.drafting.sight_records import Item
from palewright.drafting.speech import Speech
from palewright.model import Stakeout

__all__ = ["string_items"]


def string_items(stakeout: Stakeout, speech: Speech) -> Iterator[Item]:
    """Every string from stake to stake."""
    for string in stakeout.strings:
        said = speech("item.string", name=string.name, offset=speech.small(string.offset_m))
        yield Item(
            f"string {string.name}", "string", "strings", about=f"run {string.run}", text=string.name, say=said,
            points=(string.stakes[0].xy, string.stakes[1].xy),
        )  # fmt: skip
