"""Words and lengths as the screen shows them, in its own language and in the print style of the job."""

from __future__ import annotations

import re
from dataclasses import replace

from palewright.drafting import words
from palewright.drafting.sight_records import Item
from palewright.model import Job, Remark, Settings
from palewright.papers.measures import Measures
from palewright.papers.words import say, term
from palewright.papers.words import text as paper_words

__all__ = ["Speech", "settings_of"]


_MOST = 20_000
"""Lengths that are remembered: those of one job many times over."""


class Speech:
    """Says keys of ``words`` and lengths; ``settings``: those of the job with the language of the screen.

    memo
        items that were made and may be shown again while something is dragged.
    """

    def __init__(self, settings: Settings, language: str) -> None:
        self.language = language if language in words.LANGUAGES else "en"
        self.settings = replace(settings, language=self.language)
        self.measures = Measures.of(self.settings)
        self.memo: dict[object, Item] = {}
        self._lengths: dict[float, str] = {}
        self._inches: dict[float, str] = {}
        self._remarks: dict[Remark, str] = {}

    def __call__(self, key: str, /, **args: object) -> str:
        """The words of ``table.entry``."""
        return words.text(key, self.language, **args)

    def name(self, name: str) -> str:
        """A name; what the program called so itself ("corner 2") in the language of the screen, as on papers."""
        made = re.fullmatch(r"(gate|corner) (\d+)", name) if self.language != "en" else None
        return paper_words(f"common.made_{made[1]}", self.language, number=made[2]) if made else name

    def has(self, key: str) -> bool:
        """Whether there are words for a key."""
        return words.has(key)

    def length(self, m: float) -> str:
        """A length [m] as it is read on a tape."""
        shown = self._lengths.get(m)
        if shown is None:
            if len(self._lengths) >= _MOST:
                self._lengths.clear()
            shown = self._lengths[m] = self.measures.length(m)
        return shown

    def inches(self, m: float) -> str:
        """A length [m] in inches, as a hole is told."""
        shown = self._inches.get(m)
        if shown is None:
            shown = self._inches[m] = self.measures.inches(m)
        return shown

    def small(self, m: float) -> str:
        """A small length [m], in inches."""
        return self.measures.small(m)

    def term(self, word: str) -> str:
        """A word of the records in the language of the screen."""
        return term(word, self.language)

    def remark(self, remark: Remark) -> str:
        """A remark as a sentence: as on paper, unless that tells what to write into the file."""
        said = self._remarks.get(remark)
        if said is None:
            key = f"remark.{remark.slug}"
            said = self._remarks[remark] = self(key) if self.has(key) else say(remark, self.settings)
        return said


def settings_of(job: Job) -> Settings:
    """How a job prints, where there is no plan to say it."""
    return Settings(
        title=job.title, address=job.address, client=job.client, notes=job.notes, print_style=job.print_style,
        fraction=job.fraction, language=job.language, paper=job.paper, tape_m=job.tape_m, north=job.north,
        north_basis=job.north_basis, tolerance_m=job.stakes.tolerance_m, paint_m=job.stakes.paint_m,
        frost_m=job.site.frost_m, file=job.file,
    )  # fmt: skip
