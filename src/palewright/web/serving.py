"""Start the server: bind, print the address that signs the owner in, run until stopped."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import ssl
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import uvicorn

from palewright.errors import OutputError
from palewright.store import Limits, default_folder
from palewright.web.app import create_app
from palewright.web.helper import settle
from palewright.web.patience import Listening, Patient
from palewright.web.settings import Settings

if TYPE_CHECKING:
    from fastapi import FastAPI

    from palewright.web.authority import Pem

__all__ = ["run"]


def run(
    data: Path | None,
    port: int,
    *,
    share: bool,
    show: bool,
    pem: tuple[Path, Path] | None,
    say: Callable[[str], None],
    url: str | None = None,
    limits: Limits | None = None,
) -> None:
    """Serve until stopped: this machine by http, other devices, where they may, by https on the next port.

    data
        folder of the jobs, None for the usual one. port: to listen on. share: other devices may pair. show: open the
        browser. pem: certificate and private key for the other devices, None for one of our own. say: prints a line.
        url: of a PostgreSQL database, None for the file in the folder. limits: how much is taken, None for the usual.
    Raises OutputError when a port is taken or the folder cannot be used.
    """
    folder = data or default_folder()
    addresses = _own_addresses() if share else []
    if share and not addresses:
        raise OutputError("this machine has no address on a network: it cannot be shared")
    listening = [_bind("127.0.0.1", port), *([_bind("0.0.0.0", port + 1)] if share else [])]
    settings = Settings(
        data=folder,
        url=url or "",
        port=port,
        hosts=tuple(f"{name}:{port + 1}" for name in addresses),
        helpers=True,
        limits=limits or Limits(),
    )
    app = create_app(settings)
    files = _certificate(app, settings, pem, addresses) if share else None
    address = f"http://127.0.0.1:{port}{app.state.house.opening()}"
    say(f"Open this in a browser on this machine; it works once:\n  {address}")
    for name in settings.hosts:
        say(f"Other devices on this network: https://{name}/pair (make a code on the page Devices)")
    say("Stop with Ctrl-C.")
    if show:
        webbrowser.open(address)
    settle()
    threading.Thread(target=app.state.house.heal, daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(_serve(app, listening, files))


async def _serve(app: FastAPI, listening: list[socket.socket], files: Pem | None) -> None:
    """The loopback first; the second server, by https, shares its application and ends with it."""
    servers = [uvicorn.Server(_config(app))]
    if files is not None:
        servers.append(uvicorn.Server(_config(app, files)))
    await asyncio.gather(*(server.serve([sock]) for server, sock in zip(servers, listening, strict=True)))


def _config(app: FastAPI, files: Pem | None = None) -> uvicorn.Config:
    return uvicorn.Config(
        app, http=Patient, ws="none", log_level="error", access_log=False, server_header=False, proxy_headers=False,
        lifespan="on" if files is None else "off", timeout_graceful_shutdown=5,
        ssl_certfile=files.cert if files is not None else None, ssl_keyfile=files.key if files is not None else None,
    )  # fmt: skip


def _certificate(app: FastAPI, settings: Settings, pem: tuple[Path, Path] | None, addresses: list[str]) -> Pem:
    """What the https side shows; a certificate of our own where none was given. Its authority is offered to phones.

    Raises OutputError for a certificate that cannot be read, written or used.
    """
    from palewright.web.authority import Pem, certified

    try:
        if pem is not None:
            ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(*pem)
            return Pem(*pem)
        made = certified(settings.data, addresses)
    except OSError as error:
        where = pem[0] if pem is not None else settings.data / "tls"
        raise OutputError(f"cannot use the certificate {where}: {error.strerror or error}") from error
    app.state.house.authority = made.authority
    return made


def _bind(host: str, port: int) -> socket.socket:
    # with the protocol named, asyncio sends each answer at once; without, it waits 40 ms for the other side
    listening = Listening(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)
    except (OSError, OverflowError) as error:
        listening.close()
        said = getattr(error, "strerror", None) or error
        raise OutputError(f"cannot listen on port {port}: {said}; try --port") from error
    return listening


def _own_addresses() -> list[str]:
    """Addresses of this machine on its network. Nothing is sent: a datagram socket only looks up the way."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 9))
            found = str(probe.getsockname()[0])
        except OSError:
            return []
    return [] if found.startswith("127.") else [found]
