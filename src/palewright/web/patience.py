"""How long a connection is waited for: whoever opens many, or never says what is wanted, keeps nobody else out."""

from __future__ import annotations

import asyncio
import socket
from collections import Counter
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

__all__ = ["EACH", "Listening", "Patient"]

LOOK_S = 20.0
"""Between two looks at a connection, and so until a request must be there with all its headers [s]."""
BODY = 45
"""Looks until what is sent must be there: 64 MB in a quarter of an hour are 0.6 Mbit/s."""
UNREAD = 3
"""Looks at an answer of which nobody takes a byte."""
EACH, MOST = 100, 400
"""Connections at once from one address and from all; a browser opens six (HTTP/1.1, common practice)."""


class Listening(socket.socket):
    """A socket that listens and counts whom it lets in, from the first packet on: also who never ends a handshake.

    asyncio tells of a connection by TLS only when its handshake is done, and waits a minute for that.
    """

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        self._inside: Counter[str] = Counter()

    def accept(self) -> tuple[socket.socket, Any]:
        """The next connection; one too many is closed unheard. Raises ConnectionAbortedError then."""
        found, peer = super().accept()
        address = str(peer[0])
        if self._inside[address] >= EACH or self._inside.total() >= MOST:
            found.close()
            raise ConnectionAbortedError
        made = _Inside(found.family, found.type, found.proto, found.detach())
        made.left = lambda: self._leave(address)
        self._inside[address] += 1
        return made, peer

    def _leave(self, address: str) -> None:
        self._inside[address] -= 1
        if not self._inside[address]:
            del self._inside[address]


class _Inside(socket.socket):
    """A connection that says when it is closed."""

    left: Any = None

    def close(self) -> None:
        """Close it."""
        super().close()
        left, self.left = self.left, None
        if left is not None:
            left()


class Patient(H11Protocol):
    """uvicorn's protocol with an end to waiting: it has none of its own while a request comes in letter by letter."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A connection."""
        super().connection_made(transport)
        self._before: object = self.cycle
        self._looks = self._unread = self._before_unread = 0
        self._next = self.loop.call_later(LOOK_S, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """It is over."""
        self._next.cancel()
        super().connection_lost(exc)

    def _look(self) -> None:
        """Close a connection on which no request came since the last look, or one comes and comes, or nobody reads."""
        waiting = self.transport.get_write_buffer_size()
        self._unread = self._unread + 1 if waiting and waiting == self._before_unread else 0
        self._before_unread = waiting
        self._looks = self._looks + 1 if self.cycle is self._before else 0
        self._before = self.cycle
        idle = self.conn.their_state is h11.IDLE and (self.cycle is None or self.cycle.response_complete)
        slow = self.conn.their_state is h11.SEND_BODY and self._looks >= BODY
        if (idle and self._looks >= 1) or slow or self._unread >= UNREAD:
            self.transport.abort()
            return
        self._next = self.loop.call_later(LOOK_S, self._look)
