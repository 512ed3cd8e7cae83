"""The words of the papers, in every language from one source: ``en.toml`` and ``es.toml``, the same keys in both.

Keys are ``table.entry``: ``remark.frost-not-given``, ``crew.order``. A remark that may come with or without an
argument has a second entry ``slug+argument`` that is taken when the argument is there; ``slug+one`` is taken when the
argument ``count`` is 1, or where there is none when one post or stake is listed.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections import defaultdict
from collections.abc import Callable, Mapping
from pathlib import Path

from palewright.model import Remark, Settings
from palewright.papers.measures import Measures
from palewright.papers.words.once import once

__all__ = ["LANGUAGES", "has", "keys", "say", "table", "term", "text", "whose", "zone_name"]

LANGUAGES = ("en", "es")
"""Languages the papers speak; a job in any other gets English."""

_HOLE = re.compile(r"\{(\w+)\}")
_HEAD = re.compile(r"^\[(\w+)\]$", re.MULTILINE)
_STOPS = re.compile(r"(?<!\.)\.\.(?!\.)")
_FOOTING = re.compile(r"(.*), old footing (\d+)", re.DOTALL)
_NAMES = frozenset(
    {"run", "other", "gate", "post", "point", "fence", "string", "stake", "name", "title", "corner", "found", "word"}
)
"""Arguments that stand as they were typed: names, and a ``word`` to write into the job file."""

_LISTS = frozenset({"posts", "stake"})
_ONE = re.compile(r"[^,–-]+")
"""Arguments that list labels, and a list with one: it has the words for one, as a ``count`` of 1 has."""

_AT_LEAST = frozenset({"least_m", "needed_m"})
"""Arguments that are rounded up, so that the mark is never too small."""

_AT_MOST = frozenset({"clear_m"})
"""Arguments that are rounded down, so that nothing is said to be farther off than it is."""

_DEPTHS = frozenset({"depth_m", "wanted_m"})
"""Arguments that are depths of holes: in inches, as everywhere on the papers."""


_SURVEYED = (
    "tape-",
    "measurements-",
    "next-tape",
    "network-",
    "walk-",
    "heights-",
    "levels-",
    "rise-",
    "rod-",
    "boundary-",
)
"""Remarks of what was measured: their lengths say how far something is off, in hundredths of a foot where the job
prints feet so; they are no holes and gaps."""


@functools.cache
def _texts(language: str) -> dict[str, str]:
    """Each table of a language, not yet read: a command needs few of them, and reading them all takes its time."""
    file = Path(__file__).with_name(f"{language if language in LANGUAGES else 'en'}.toml")
    _, *parts = _HEAD.split(file.read_text("utf-8"))
    return dict(zip(parts[::2], parts[1::2], strict=True))


@functools.cache
def _entries(language: str, name: str) -> dict[str, str]:
    return tomllib.loads(_texts(language)[name])


@functools.cache
def _sentences(language: str, slug: str) -> list[tuple[frozenset[str], str]]:
    """The sentences of a slug with the "+" words that they need, those that need most first.

    Each stands on a line of its own (tested), and only these lines are read: a job says few of the remarks there are.
    """
    lines = re.findall(rf'^"?{re.escape(slug)}(?:\+[^"=]*)?"? *=.*$', _texts(language)["remark"], re.MULTILINE)
    found = [(frozenset(entry.split("+")[1:]), said) for entry, said in tomllib.loads("\n".join(lines)).items()]
    return sorted(found, key=lambda choice: -len(choice[0]))


def keys(language: str) -> frozenset[str]:
    """Every ``table.entry`` of a language.

    >>> keys("en") == keys("es")
    True
    """
    return frozenset(f"{name}.{entry}" for name in _texts(language) for entry in _entries(language, name))


def has(key: str, language: str = "en") -> bool:
    """Whether there is a text for ``table.entry``."""
    name, _, entry = key.partition(".")
    return name in _texts(language) and entry in _entries(language, name)


def table(name: str, language: str) -> dict[str, str]:
    """All entries of one table; raises KeyError for an unknown table.

    >>> table("common", "es")["page"]
    'página'
    """
    return dict(_entries(language, name))


def text(key: str, language: str = "en", /, **args: object) -> str:
    """The text of ``table.entry`` with its ``{places}`` filled in.

    Raises KeyError for an unknown key or a place left open.

    >>> text("common.toward_post", "en", post="5")
    'toward post 5'
    """
    name, _, entry = key.partition(".")
    filled = _fill(_entries(language, name)[entry], args)
    # Spanish joins "de" and "a" with the article of a place that was filled in
    return filled.replace(" de el ", " del ").replace(" a el ", " al ") if language == "es" else filled


def _fill(sentence: str, args: Mapping[str, object]) -> str:
    """A sentence with its places filled in; words that end in a full stop of their own give it no second one."""
    return once(_STOPS.sub(".", _HOLE.sub(lambda match: str(args[match.group(1)]), sentence)))


def term(word: str, language: str) -> str:
    """A word of the records (a role, a side, what governs) in a language; a word that is not ours stays as it is.

    >>> term("corner", "es"), term("north forty", "es")
    ('esquina', 'north forty')
    """
    return _entries(language, "term").get(word, word)


def zone_name(name: str, language: str, whose: bool = True) -> str:
    """A zone as a paper names it: old footings and pins in the language, any other as typed.

    ``whose``: an old footing with the name of its fence.

    >>> zone_name("chain link, old footing 5", "en"), zone_name("chain link, old footing 5", "es", whose=False)
    ('old footing no. 5 of chain link', 'base vieja n.º 5')
    >>> zone_name("pin NW", "es"), zone_name("gas service", "es")
    ('mojonera NW', 'gas service')
    """
    footing = _FOOTING.fullmatch(name)
    if footing:
        short = text("common.old_footing", language, number=footing[2])
        return text("common.of_fence", language, what=short, fence=footing[1]) if whose else short
    return text("common.pin", language, name=name[4:]) if name.startswith("pin ") else name


def say(remark: Remark, settings: Settings) -> str:
    """A remark as a sentence in the job's language, its lengths as the job prints them.

    Arguments ending in ``_m`` are lengths [m], ``_m2`` areas, ``_m3`` volumes, ``_kg`` masses and ``_rad`` angles. A
    slug without a sentence is printed with its arguments, so that nothing said of a plan is ever lost.
    """
    measures = Measures.of(settings)
    language = settings.language
    spread = remark.slug.startswith(_SURVEYED)
    shown = {name: _shown(name, value, measures, language, spread) for name, value in remark.args}
    given = set(shown)
    listed = [value for name, value in remark.args if name in _LISTS]
    counts = [value for name, value in remark.args if name == "count"] or [
        1 if _ONE.fullmatch(str(v)) else 2 for v in listed
    ]
    if counts and counts[0] == 1:
        given.add("one")
    if "after_m" in shown and shown["after_m"] == shown.get("before_m"):
        given.add("same")
    sentence = _sentence(remark.slug, given, language)
    if sentence is None:
        pairs = "; ".join(f"{name} {value}" for name, value in shown.items())
        about = f"{remark.about}: " if remark.about else ""
        return about + remark.slug.replace("-", " ") + (f" ({pairs})" if pairs else "")
    return _fill(sentence, defaultdict(lambda: "?", shown))


def _sentence(slug: str, given: set[str], language: str) -> str | None:
    """The sentence of a slug whose "+" words are all given, the one with most of them."""
    return next((said for more, said in _sentences(language, slug) if more <= given), None)


def whose(source: str, language: str) -> str:
    """A source in words: the title of what the ledger has, common practice and the like in the language.

    >>> whose("common practice", "es"), whose("ISPSC 305 (from memory)", "es")
    ('práctica común', 'ISPSC 305 (de memoria)')
    """
    key = f"common.{source.replace(' ', '_')}"
    if has(key, language):
        return text(key, language)
    from palewright.sources import all_sources

    named = all_sources()[source].title if source in all_sources() else source
    return named.replace("(from memory)", f"({text('common.from_memory', language)})")


def _shown(name: str, value: float | int | str, measures: Measures, language: str, spread: bool) -> str:
    if isinstance(value, str):
        if name == "source":
            return whose(value, language)
        return zone_name(value, language) if name == "zone" else value if name in _NAMES else term(value, language)
    if name in _AT_LEAST:
        return measures.up(float(value))
    if name in _DEPTHS:
        return measures.inches(float(value))
    if spread and name.endswith("_m") and measures.style == "decimal-feet":
        return measures.spread(float(value))
    for ending, show in (
        ("_m", lambda m: _length(m, measures, language, measures.down if name in _AT_MOST else measures.small)),
        ("_m2", measures.area),
        ("_m3", measures.volume),
        ("_kg", measures.mass),
        ("_rad", measures.angle),
    ):
        if name.endswith(ending):
            return show(float(value))
    return f"{value:,}" if isinstance(value, int) else f"{value:,.10g}"


def _length(m: float, measures: Measures, language: str, show: Callable[[float], str]) -> str:
    """A length; one too small to show says so, rather than nothing."""
    shown = show(m)
    if m and shown == measures.small(0.0):
        return text("common.under", language, length=measures.tolerance(0.0))
    return shown
