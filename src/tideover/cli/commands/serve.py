"""``tideover serve``: the pages, on this machine."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.desk import Desk

PORT = 8737


@click.command("serve", short_help="Serve the pages on this machine.", epilog="Example: tideover serve --port 8800")
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="First port to try.")
@click.option("--host", default="127.0.0.1", show_default=True, help="Another address lets others on your network in.")
@click.option(
    "--cert",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Serve over https with this certificate (PEM); a phone needs that to keep a page.",
)
@click.option(
    "--key", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="The certificate's private key (PEM)."
)
@click.option("--new", "begin", is_flag=True, help="Make empty books when there are none, to begin on the pages.")
def command(port: int, host: str, begin: bool, cert: Path | None, key: Path | None) -> None:
    """Serve the pages until Ctrl-C; the address is printed."""
    if (cert is None) != (key is None):
        raise Stop("--cert and --key go together: give the certificate and its private key, both as PEM files.")
    if cert is not None:
        from tideover.web.server import CertificateError, check_certificate

        try:
            check_certificate(cert, key)
        except CertificateError as e:
            raise Stop(str(e)) from None
    if begin:
        with session().open_books(create=True):
            pass
    with session().open_desk() as desk:
        pages(desk, host, port, cert, key)


def pages(desk: Desk, host: str, port: int, cert: Path | None = None, key: Path | None = None) -> None:
    """Print the address and serve until stopped."""
    from tideover.web import serve

    serve(desk, host, port, say=lambda line: print(line, flush=True), cert=cert, key=key)
