"""What a server is told when it starts."""

from __future__ import annotations

from pathlib import Path

from palewright.record import Record
from palewright.store import Limits

__all__ = ["Settings"]


class Settings(Record):
    """Where the jobs are kept and who may reach them.

    data
        folder of the jobs. url: of a PostgreSQL database, "" for the file in the folder.
    port
        where this machine reaches it, by http. hosts: addresses, with port, by which other devices may, by https.
    helpers
        whether processes may compute beside the server's own.
    limits
        how much is taken of what is sent.
    """

    data: Path
    url: str = ""
    port: int = 8734
    hosts: tuple[str, ...] = ()
    helpers: bool = False
    limits: Limits = Limits()

    @property
    def shared(self) -> bool:
        """Whether other devices on the network may reach it."""
        return bool(self.hosts)

    @property
    def origins(self) -> frozenset[str]:
        """Scheme and Host of every page that is ours: this machine by its loopback names, and what was given."""
        own = (f"http://{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]"))
        return frozenset((*own, *(f"https://{name}" for name in self.hosts)))
