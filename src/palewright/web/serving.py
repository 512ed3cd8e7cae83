"""Start the server: bind, print the address that signs the owner in, run until stopped."""

from __future__ import annotations

import contextlib
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from palewright.errors import OutputError
from palewright.web.app import create_app
from palewright.web.settings import Settings, default_data

__all__ = ["run"]


def run(
    data: Path | None,
    port: int,
    *,
    share: bool,
    show: bool,
    pem: tuple[Path, Path] | None,
    say: Callable[[str], None],
) -> None:
    """Serve until stopped.

    data
        folder of the jobs, None for the usual one. port: to listen on. share: other devices may pair. show: open the
        browser. pem: certificate and private key, for https. say: prints a line.
    Raises OutputError when the port is taken or the folder cannot be used.
    """
    settings = Settings(
        data=data or default_data(),
        host="0.0.0.0" if share else "127.0.0.1",
        port=port,
        hosts=tuple(f"{name}:{port}" for name in _own_names()) if share else (),
        secure=pem is not None,
        shared=share,
    )
    listening = _bind(settings)
    app = create_app(settings)
    address = f"{settings.scheme}://127.0.0.1:{port}{app.state.house.opening()}"
    say(f"Open this in a browser on this machine; it works once:\n  {address}")
    for name in settings.hosts:
        say(f"Other devices on this network: {settings.scheme}://{name}/pair (make a code on the page Devices)")
    if share and pem is None:
        say("Without --cert and --key what is sent over the network can be read by others on it.")
    say("Stop with Ctrl-C.")
    if show:
        webbrowser.open(address)
    cert, key = pem or (None, None)
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, proxy_headers=False,
        ssl_certfile=cert, ssl_keyfile=key,
    )  # fmt: skip
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listening])


def _bind(settings: Settings) -> socket.socket:
    # with the protocol named, asyncio sends each answer at once; without, it waits 40 ms for the other side
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((settings.host, settings.port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        raise OutputError(f"cannot listen on port {settings.port}: {error.strerror or error}; try --port") from error
    return listening


def _own_names() -> list[str]:
    """Addresses of this machine on its network. Nothing is sent: a datagram socket only looks up the way."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 9))
            found = str(probe.getsockname()[0])
        except OSError:
            return []
    return [] if found.startswith("127.") else [found]
