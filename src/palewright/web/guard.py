"""What stands before every request: which names the server answers to, whose pages may ask, how much may be sent."""

from __future__ import annotations

import asyncio
import logging
import re
from collections.abc import Callable, Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from palewright.errors import Problem, ProblemError
from palewright.web.abreast import Abreast
from palewright.web.faults import fault, said, told
from palewright.web.routes import announced
from palewright.web.security import NOT_IN, cookie_name, visit_of
from palewright.web.settings import Settings
from palewright.web.words import language_of

__all__ = ["Guard"]

_LOG = logging.getLogger("palewright.web")
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_RAW = re.compile(r"/api/jobs/[^/]+/(?:files|yard/photos)/[^/]+")
_MEGABYTE = 1 << 20
_MOST = ((re.compile(r"/api/jobs/[^/]+/files/"), 64), (re.compile(r"/api/jobs/[^/]+/yard/photos/"), 25))
_USUAL = 4  # a job file of 1 MB, its characters escaped
_STRANGER = 4 << 10
"""Bytes that are read from whoever is not signed in: the form of a pairing code has a few hundred."""

_ABREAST = 12
"""Requests of one session under way at once; a browser has six (HTTP/1.1, common practice)."""

_STOPPED = Problem("server-stopped", "the server was stopped meanwhile", hint="what was saved stays saved")
_POLICY = (
    "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; "
    "frame-src 'self'; frame-ancestors {}"
)
_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=(), usb=()",
}


class _TooLargeError(Exception):
    """More came in than is taken."""


class Guard:
    """Wraps an application. Host and Origin are checked, bodies are counted while they come in, headers are added.

    failed
        makes the answer when the application itself fails; its trace goes to the log.
    """

    def __init__(self, app: ASGIApp, settings: Settings, failed: Callable[[Request], Response]) -> None:
        self.app = app
        self.failed = failed
        self.origins = settings.origins
        self._cookie = cookie_name(settings.port)
        self._abreast = Abreast(_ABREAST)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        path, headers, send = scope["path"], Headers(scope=scope), _dressed(send, scope["path"])
        problem = self._refused(scope, headers)
        try:
            stranger = problem is None and scope["method"] not in _SAFE and await _is_stranger(scope)
        except ProblemError as error:
            await fault(said(told(error.problems, ""), language_of(headers)))(scope, receive, send)
            return
        most = _STRANGER if stranger else _most(path)
        large = NOT_IN if stranger and path != "/api/pair" else _too_large(most)
        problem = problem or (large if announced(headers) > most else None)
        if problem is not None:
            await fault(said([problem], language_of(headers)))(scope, receive, send)
            return
        async with self._abreast.one(self._who(scope)):
            await self._answer(scope, _Counted(receive, send, most), (receive, send), large)

    async def _answer(self, scope: Scope, counted: _Counted, plain: tuple[Receive, Send], large: Problem) -> None:
        try:
            await self.app(scope, counted.receive, counted.send)
        except ClientDisconnect:  # whoever sent it is gone
            return
        except asyncio.CancelledError:  # Ctrl-C, and it takes longer than the server waits
            if not counted.begun:
                await fault(said([_STOPPED], language_of(Headers(scope=scope))))(scope, *plain)
        except Exception:
            if counted.begun:
                raise
            if not counted.over:
                _LOG.exception("%s %r", scope["method"], scope["path"])
                await self.failed(Request(scope))(scope, *plain)
        if counted.over and not counted.begun:
            await fault(said([large], language_of(Headers(scope=scope))))(scope, *plain)

    def _who(self, scope: Scope) -> str:
        """The session that asks, known or not; else the address."""
        session = Request(scope).cookies.get(self._cookie, "")
        return session or str((scope.get("client") or ("",))[0])

    def _refused(self, scope: Scope, headers: Headers) -> Problem | None:
        host, origin = headers.get("host", "").lower(), headers.get("origin")
        if f"{scope['scheme']}://{host}" not in self.origins:
            return Problem("host-unknown", "this server does not go by that name", found=host[:200])
        site = headers.get("sec-fetch-site", "none")
        foreign = origin is not None and origin.lower() != f"{scope['scheme']}://{host}"
        if foreign or (scope["method"] not in _SAFE and site not in ("same-origin", "none")):
            return Problem(
                "origin-unknown", "the request came from a page of another site", found=(origin or site)[:200]
            )
        return _wrong_kind(scope, headers)


async def _is_stranger(scope: Scope) -> bool:
    return (await visit_of(Request(scope))).device is None


def _wrong_kind(scope: Scope, headers: Headers) -> Problem | None:
    """A body that is no JSON where JSON is meant: a form of a foreign page can send no JSON."""
    path = scope["path"]
    if scope["method"] not in ("POST", "PUT", "PATCH") or not path.startswith("/api/") or _RAW.fullmatch(path):
        return None
    kind = headers.get("content-type", "").partition(";")[0].strip().lower()
    empty = headers.get("content-length", "0") == "0" and "transfer-encoding" not in headers
    if kind == "application/json" or (empty and not kind):
        return None
    return Problem(
        "content-kind-unknown", "what was sent is not marked as JSON", found=kind, allowed="application/json"
    )


def _most(path: str) -> int:
    return next((mb for pattern, mb in _MOST if pattern.match(path)), _USUAL) * _MEGABYTE


def _too_large(most: int) -> Problem:
    allowed = f"{most // _MEGABYTE} MB" if most >= _MEGABYTE else f"{most >> 10} KB"
    return Problem("request-too-large", "more was sent than is taken at once", allowed=allowed)


class _Counted:
    """Counts what comes in; past the limit nothing more is read and nothing of the application is sent."""

    def __init__(self, receive: Receive, send: Send, most: int) -> None:
        self._receive, self._send, self._left = receive, send, most
        self.over = self.begun = False

    async def receive(self) -> Message:
        if self.over:
            raise _TooLargeError
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            self.over = True
            raise _TooLargeError
        return message

    async def send(self, message: Message) -> None:
        if self.over and not self.begun:
            return
        self.begun = True
        await self._send(message)


def _dressed(send: Send, path: str) -> Send:
    """Sends with the headers that every answer carries."""
    framed = path.endswith(".pdf")
    extra: Iterable[tuple[str, str]] = (
        *_HEADERS.items(),
        ("Content-Security-Policy", _POLICY.format("'self'" if framed else "'none'")),
        ("X-Frame-Options", "SAMEORIGIN" if framed else "DENY"),
    )

    async def dressed(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in extra:
                headers[name] = value
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return dressed
