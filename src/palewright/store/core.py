"""What the parts of the store share: the database, the data folder, limits, a clock; checks of words from outside."""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Callable
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from palewright.store.database import Database, Work, refuse
from palewright.store.records import Limits

__all__ = ["Core", "clean", "fresh_id", "line", "once", "stamp"]

_KEY = re.compile(r"[A-Za-z0-9-]{8,64}", re.ASCII)


class Core:
    """Handed to every part of the store."""

    def __init__(self, database: Database, folder: Path, limits: Limits, clock: Callable[[], datetime]) -> None:
        self.database = database
        self.folder = folder
        self.limits = limits
        self.clock = clock

    def now(self) -> str:
        """The time, as it is kept."""
        return stamp(self.clock())


def stamp(moment: datetime) -> str:
    """A time as it is kept: ISO 8601, UTC, to the millisecond; such texts sort as the times do.

    >>> stamp(datetime(2026, 5, 4, 13, 30, tzinfo=UTC))
    '2026-05-04T13:30:00.000Z'
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def fresh_id() -> str:
    """A new id: 16 hexadecimal digits by chance."""
    return secrets.token_hex(8)


def line(text: str, most: int) -> str:
    """A text that fits on one line of a list: without control characters, and cut where it is long.

    >>> line("Tansy\\x00 Court\\nlot 7", 12)
    'Tansy Court…'
    """
    plain = " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
    return plain if len(plain) <= most else plain[: most - 1].rstrip() + "…"


def clean(text: str) -> bool:
    """Whether a text can be kept as it is by every database: no NUL, no half of a surrogate pair."""
    return "\x00" not in text and not any("\ud800" <= letter <= "\udfff" for letter in text)


def once(
    work: Work, core: Core, key: str | None, request: tuple[object, ...], do: Callable[[], dict[str, Any]]
) -> dict[str, Any]:
    """Do what is asked, once per key; asked again with the same key, give the first answer.

    Raises ProblemError ``key-unusable`` for a key of other letters, ``key-used-otherwise`` for a key of another
    request.
    """
    if key is None:
        return do()
    if not _KEY.fullmatch(key):
        raise refuse(
            "key-unusable", "The key of a request cannot be used", allowed="8 to 64 letters, digits and hyphens"
        )
    digest = sha256(repr(request).encode("utf-8", "surrogatepass")).hexdigest()
    taken = work.run(
        "INSERT INTO answers (key, request, answer, made_at) VALUES (:key, :request, '', :now) ON CONFLICT DO NOTHING",
        key=key,
        request=digest,
        now=core.now(),
    )
    if not taken:
        (first,) = work.rows("SELECT request, answer FROM answers WHERE key = :key", key=key)
        if first["request"] != digest:
            raise refuse("key-used-otherwise", "The key of this request belongs to another request; nothing was done")
        answer: dict[str, Any] = json.loads(first["answer"])
        return answer
    answer = do()
    work.run("UPDATE answers SET answer = :answer WHERE key = :key", answer=json.dumps(answer), key=key)
    return answer
