"""Whether anything is known of the ground but words: asked before the parts that work it out are loaded."""

from __future__ import annotations

from palewright.model import Job, Remark, Site

__all__ = ["has_heights", "words_only"]


def has_heights(job: Job, site: Site) -> bool:
    """Whether anything is known of the ground but words."""
    ground = job.ground
    return bool(
        ground.spots
        or ground.strings
        or ground.files
        or any(fall.even for fall in job.falls)
        or site.heights is not None
    )


def words_only(job: Job) -> tuple[Remark, ...]:
    """Falls of which nobody said that they are even: what is needed to use them."""
    return tuple(
        Remark("ground-fall-not-even", "ask", "heights", (("start", fall.start), ("end", fall.end)), fall.at)
        for fall in job.falls
        if not fall.even
    )
