"""Who is asking: sessions of paired devices, the token of the page, roles, and how often a code may be tried."""

from __future__ import annotations

import hashlib
import hmac
import threading
import time
from collections import deque
from collections.abc import Awaitable, Callable
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated

from fastapi import Depends, Request, Response
from starlette.concurrency import run_in_threadpool

from palewright.errors import Problem, ProblemError
from palewright.record import Record
from palewright.web.words import language_of

if TYPE_CHECKING:
    from palewright.store import Device, Store
    from palewright.web.house import House

__all__ = [
    "NOT_IN",
    "Anyone",
    "Crew",
    "Estimator",
    "Owner",
    "Rate",
    "Sessions",
    "Visit",
    "cookie_name",
    "page_token",
    "sign_in",
    "visit_of",
]

ROLES = ("crew", "estimator", "owner")
TOKEN_HEADER = "X-Page-Token"
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_LONG = 180 * 24 * 3600
NOT_IN = Problem("not-signed-in", "this browser is not signed in")


class Visit(Record):
    """One request of a known device, or of nobody: ``device`` None; ``language``: of the page that asks."""

    house: House
    device: Device | None
    token: str
    address: str
    language: str = "en"

    @property
    def role(self) -> str:
        """owner, estimator, crew, or "" for nobody."""
        return self.device.role if self.device is not None else ""

    @property
    def by(self) -> str:
        """The name that a change is written under."""
        return self.device.name if self.device is not None else ""

    @property
    def sender(self) -> str:
        """The paired device as entries of the yard name it: its own name may be that of another device too."""
        return f"{self.device.name} · {self.device.id[:6]}" if self.device is not None else ""

    @property
    def priced(self) -> bool:
        """Whether prices may be shown: to the owner alone."""
        return self.role == "owner"

    def may(self, least: str) -> bool:
        """Whether the role is at least this one."""
        return self.device is not None and ROLES.index(self.role) >= ROLES.index(least)


def cookie_name(port: int) -> str:
    """Name of the session's cookie: of its own for each port, as browsers keep one jar for a machine."""
    return f"palewright-{port}"


@lru_cache(256)
def page_token(session: str) -> str:
    """The token that a page sends back with every change; nobody can make it without the session's cookie.

    >>> page_token("a") == page_token("a"), page_token("a") == page_token("b"), len(page_token("a"))
    (True, False, 43)
    """
    import base64

    made = hmac.digest(session.encode(), b"page token", hashlib.sha256)
    return base64.urlsafe_b64encode(made).decode().rstrip("=")


def sign_in(request: Request, response: Response, house: House, session: str) -> None:
    """Hand out the session's cookie; one that was handed out by https is not sent by http."""
    response.set_cookie(
        cookie_name(house.settings.port), session, max_age=_LONG, httponly=True, samesite="strict",
        secure=request.url.scheme == "https", path="/",
    )  # fmt: skip


class Sessions:
    """The devices of the sessions seen in the last seconds, so that a drag does not ask the store for each step."""

    def __init__(self, store: Store, keep_s: float = 5.0) -> None:
        self._store, self._keep = store, keep_s
        self._known: dict[str, tuple[float, Device]] = {}
        self._ends = 0

    def known(self, token: str) -> Device | None:
        """The device, if it was looked up a moment ago."""
        found = self._known.get(token)
        return found[1] if found is not None and time.monotonic() - found[0] < self._keep else None

    def look_up(self, token: str) -> Device | None:
        """Ask the store. What it said before a session was ended is not remembered after."""
        ends = self._ends
        device = self._store.people.device(token)
        if device is not None and ends == self._ends:
            if len(self._known) > 1000:
                self._known.clear()
            self._known[token] = (time.monotonic(), device)
        return device

    def forget(self) -> None:
        """Ask the store again for everybody: a session was ended."""
        self._ends += 1
        self._known.clear()


class Rate:
    """At most so many tries in so many seconds, by address and altogether.

    For codes of pairing: 10 a minute from one address, 240 from all. A code is one of 31^8 = 8.5e11 and lives ten
    minutes; five are open at most. Whoever tries without a break from 24 addresses and more has 2,400 tries in the life
    of five codes: a chance of 5 x 2400 / 8.5e11 = 1.4e-8; in a year in which five codes never cease to be open,
    7.4e-4. One address alone has a 24th of that, and leaves 230 tries a minute to the others.
    """

    def __init__(self, each: int, every: int, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._limits, self._seconds, self._clock = (each, every), seconds, clock
        self._tries: dict[str, deque[float]] = {}
        self._lock = threading.Lock()

    def take(self, address: str) -> None:
        """Count one try. Raises ProblemError when there were too many."""
        now = self._clock()
        with self._lock:
            for name, most in zip((address, "*"), self._limits, strict=True):
                tries = self._tries.setdefault(name, deque())
                while tries and now - tries[0] > self._seconds:
                    tries.popleft()
                if len(tries) >= most:
                    raise ProblemError(Problem("too-many-tries", "too many codes were tried", hint="wait a minute"))
                tries.append(now)
            if len(self._tries) > 1000:
                self._tries = {name: tries for name, tries in self._tries.items() if tries and name == "*"}


def _at_least(least: str) -> Callable[[Request], Awaitable[Visit]]:
    """The one dependency that decides whether a request may go on; ``least`` "" lets everybody in."""

    async def allowed(request: Request) -> Visit:
        visit = await visit_of(request, anew=request.method not in _SAFE)
        if not least:
            return visit
        if visit.device is None:
            raise ProblemError(NOT_IN)
        if not visit.may(least):
            raise ProblemError(
                Problem("role-not-enough", "this role may not do this", found=visit.role, allowed=f"{least} or above")
            )
        if request.method not in _SAFE:
            sent = request.headers.get(TOKEN_HEADER, "").encode()
            if not hmac.compare_digest(sent, page_token(visit.token).encode()):
                raise ProblemError(
                    Problem(
                        "page-token-missing", "the request does not carry the token of the page", hint="reload the page"
                    )
                )
        return visit

    allowed.least = least  # type: ignore[attr-defined]
    return allowed


async def visit_of(request: Request, *, anew: bool = False) -> Visit:
    """Who a request is from, looked up once for all who ask. Raises ProblemError ``data-...`` where that fails.

    anew
        once more: a body comes in for minutes, and the session may have ended meanwhile.
    """
    found: Visit | None = getattr(request.state, "visit", None)
    if found is not None and not anew:
        return found
    house: House = request.app.state.house
    address = request.client.host if request.client is not None else ""
    token = request.cookies.get(cookie_name(house.settings.port), "")
    device = None
    if token and len(token) < 200 and token.isascii():
        device = house.sessions.known(token) or await run_in_threadpool(house.sessions.look_up, token)
    visit = Visit(house, device, token if device is not None else "", address, language_of(request.headers))
    request.state.visit = visit
    return visit


Anyone = Annotated[Visit, Depends(_at_least(""))]
Crew = Annotated[Visit, Depends(_at_least("crew"))]
Estimator = Annotated[Visit, Depends(_at_least("estimator"))]
Owner = Annotated[Visit, Depends(_at_least("owner"))]
