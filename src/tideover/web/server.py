"""Serving the pages: on the loopback address unless told otherwise, on the next free port if one is taken."""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable, Iterable

from tideover.web.app import create_app
from tideover.web.desk_like import DeskLike

DEFAULT_PORT = 8737
TRIES = 20


class NoPortError(OSError):
    """No port could be had."""


def free_socket(host: str, port: int, tries: int = TRIES) -> socket.socket:
    """A bound socket on ``port`` or the next free one above it.

    Raises:
        NoPortError: when ``tries`` ports in a row are taken, or the address is not one of this machine's.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for wanted in range(port, min(port + tries, 65536)) if port else (0,):
        bound = socket.socket(family, socket.SOCK_STREAM)
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            bound.bind((host, wanted))
            # Listening before the address is told: whoever reads it may ask at once.
            bound.listen(128)
        except OSError as e:
            bound.close()
            if e.errno in (errno.EADDRINUSE, errno.EACCES):
                continue
            why = f"The pages cannot be served on {host}: {e.strerror}. Give an address of this machine."
            raise NoPortError(why) from None
        return bound
    raise NoPortError(f"Ports {port} to {port + tries - 1} are all taken: give another with --port.")


def serve(
    desk: DeskLike,
    host: str = "127.0.0.1",
    port: int = DEFAULT_PORT,
    hosts: Iterable[str] = (),
    say: Callable[[str], object] = print,
) -> None:
    """Serve the pages until stopped (Ctrl-C), saying the address first.

    Args:
        host: address to bind; anything but loopback lets others on the network in.
        port: first port to try; 0 takes any free one.
        hosts: names the pages answer to besides the loopback ones and ``host``.
        say: told the address in one line.
    """
    import uvicorn

    bound = free_socket(host, port)
    number = bound.getsockname()[1]
    shown = f"[{host}]" if ":" in host else host
    app = create_app(desk, hosts=(*hosts, host))
    app.state.site.answers.start()
    say(f"Pages at http://{shown}:{number}/ (stop with Ctrl-C)")
    config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False)
    try:
        uvicorn.Server(config).run(sockets=[bound])
    finally:
        bound.close()
