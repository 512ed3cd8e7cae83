"""Words of the pages, in English and Spanish from one source."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources
from typing import Any

from starlette.datastructures import Headers

__all__ = ["LANGUAGES", "choose", "device_name", "language_of", "words"]

LANGUAGES = ("en", "es")


@functools.cache
def words(language: str) -> dict[str, Any]:
    """Every word of the pages in a language: tables of texts.

    >>> words("es")["page"]["jobs"]
    'Trabajos'
    """
    found = resources.files("palewright.web").joinpath("words", f"{language}.toml")
    return tomllib.loads(found.read_text("utf-8"))


def choose(asked: str, kept: str, accepted: str) -> str:
    """The language of a page: as asked for, else as chosen before, else the first of the browser's that we have.

    >>> choose("", "", "fr-CA, es;q=0.8, en;q=0.5"), choose("en", "es", "es"), choose("xx", "", "")
    ('es', 'en', 'en')
    """
    wanted = [
        asked,
        kept,
        *(part.partition(";")[0].strip().partition("-")[0].lower() for part in accepted[:200].split(",")),
    ]
    return next((language for language in wanted if language in LANGUAGES), "en")


def language_of(headers: Headers) -> str:
    """The language of whoever asks something of the interface: our pages say theirs.

    >>> language_of(Headers({"Accept-Language": "es"})), language_of(Headers({}))
    ('es', 'en')
    """
    return choose("", "", headers.get("accept-language", ""))


def device_name(name: str, language: str) -> str:
    """A device by its name: the machine that serves in a language, whichever it was named in; any other as typed.

    >>> device_name("machine that serves (office)", "es"), device_name("phone of Ana", "es")
    ('máquina que sirve (office)', 'phone of Ana')
    """
    for known in LANGUAGES:
        for own in (words(known)["page"]["server"], words(known)["page"]["this_machine"]):
            if name == own or name.startswith(f"{own} ("):
                return str(words(language)["page"]["server"]) + name.removeprefix(own)
    return name
