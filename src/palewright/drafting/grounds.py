"""The ground on the screen: shaded by height where it is known."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.drafting.sight_records import Item
from palewright.drafting.speech import Speech
from palewright.model import Design, Job

__all__ = ["ground_items"]


def ground_items(job: Job, design: Design, speech: Speech) -> Iterator[Item]:
    """Nothing where no height is known."""
    yield from ()
