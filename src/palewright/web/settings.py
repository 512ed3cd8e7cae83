"""What a server is told when it starts."""

from __future__ import annotations

from pathlib import Path

from palewright.record import Record

__all__ = ["Settings", "default_data"]


class Settings(Record):
    """Where the jobs are kept and who may reach them.

    data
        folder of the jobs. url: of a PostgreSQL database, "" for the file in the folder.
    host, port
        where the server listens. hosts: names and addresses, with port, by which a browser may call it.
    secure
        True where it answers by https. shared: True where other devices on the network may reach it.
    """

    data: Path
    url: str = ""
    host: str = "127.0.0.1"
    port: int = 8734
    hosts: tuple[str, ...] = ()
    secure: bool = False
    shared: bool = False

    @property
    def names(self) -> frozenset[str]:
        """Every Host that is answered: this machine by its loopback names, and what was given."""
        own = (f"{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]"))
        return frozenset((*own, *self.hosts))

    @property
    def scheme(self) -> str:
        """http or https."""
        return "https" if self.secure else "http"


def default_data() -> Path:
    """The folder of the jobs unless another is named."""
    return Path.home() / ".local" / "share" / "palewright"
