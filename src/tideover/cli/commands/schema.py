"""``tideover schema``: the JSON Schemas of what goes in and comes out."""

from __future__ import annotations

import click

from tideover.cli.errors import Stop


@click.command(
    "schema",
    short_help="Print a JSON Schema: calls, checks, mix, figures, lookout, coldbox, books.",
    epilog="Example: tideover schema calls > calls.schema.json",
)
@click.argument("name", required=False)
def command(name: str | None) -> None:
    """Print the JSON Schema called NAME, or list the names."""
    from tideover.cli.schemas import names, text

    if name is None:
        print("\n".join(names()))
    elif name not in names():
        raise Stop(f"there is no schema {name!r}; the names are {', '.join(names())}.")
    else:
        print(text(name), end="")
