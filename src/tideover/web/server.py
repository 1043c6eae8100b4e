"""Serving the pages: on the loopback address unless told otherwise, on the next free port if one is taken."""

from __future__ import annotations

import errno
import socket
import ssl
from collections.abc import Callable, Iterable
from pathlib import Path

from tideover.web.app import create_app
from tideover.web.desk_like import DeskLike

DEFAULT_PORT = 8737
TRIES = 20


class NoPortError(OSError):
    """No port could be had."""


class CertificateError(ValueError):
    """A certificate or its key cannot be used."""


def check_certificate(cert: Path, key: Path | None) -> None:
    """CertificateError in a sentence when a certificate and its key cannot be served with."""
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(cert, key, password=lambda: "")
    except (OSError, ssl.SSLError) as e:
        why = e.strerror or getattr(e, "reason", None) or str(e)
        raise CertificateError(
            f"{cert.name}{f' with {key.name}' if key else ''} cannot be served with: {str(why).lower()}. Give a "
            "certificate and its own private key as PEM files, the key without a pass phrase."
        ) from None


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
    cert: Path | None = None,
    key: Path | None = None,
) -> None:
    """Serve the pages until stopped (Ctrl-C), saying the address first.

    Args:
        host: address to bind; anything but loopback lets others on the network in.
        port: first port to try; 0 takes any free one.
        hosts: names the pages answer to besides the loopback ones and ``host``.
        say: told the address in one line.
        cert, key: certificate chain and private key (PEM); with them the pages are served over https, which a phone
            needs to keep a page for where there is no signal.

    Raises:
        CertificateError: when they cannot be used, in a sentence.
    """
    import uvicorn

    if cert is not None:
        check_certificate(cert, key)

    bound = free_socket(host, port)
    number = bound.getsockname()[1]
    shown = f"[{host}]" if ":" in host else host
    app = create_app(desk, hosts=(*hosts, host))
    app.state.site.answers.start()
    say(f"Pages at {'https' if cert is not None else 'http'}://{shown}:{number}/ (stop with Ctrl-C)")
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, ssl_certfile=cert, ssl_keyfile=key
    )
    try:
        uvicorn.Server(config).run(sockets=[bound])
    finally:
        bound.close()
