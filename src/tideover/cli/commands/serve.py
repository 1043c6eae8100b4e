"""``tideover serve``: the pages, on this machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.desk import Desk

PORT = 8737


@click.command("serve", short_help="Serve the pages on this machine.", epilog="Example: tideover serve --port 8800")
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="First port to try.")
@click.option("--host", default="127.0.0.1", show_default=True, help="Another address lets others on your network in.")
@click.option("--new", "begin", is_flag=True, help="Make empty books when there are none, to begin on the pages.")
def command(port: int, host: str, begin: bool) -> None:
    """Serve the pages until Ctrl-C; the address is printed."""
    if begin:
        with session().open_books(create=True):
            pass
    with session().open_desk() as desk:
        pages(desk, host, port)


def pages(desk: Desk, host: str, port: int) -> None:
    """Print the address and serve until stopped."""
    from tideover.web import serve

    serve(desk, host, port, say=lambda line: print(line, flush=True))
