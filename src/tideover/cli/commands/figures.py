"""``tideover figures``: every published number used, with its source."""

from __future__ import annotations

import click


@click.command(
    "figures",
    short_help="The figures behind every answer, with range, source and how each is known.",
    epilog="Example: tideover figures brood",
)
@click.argument("key", required=False)
@click.option("--json", "as_json", is_flag=True, help="For scripts: every figure with its source.")
def command(key: str | None, as_json: bool) -> None:
    """List the figures, or those whose key begins with KEY."""
    from tideover.cli.tables import print_table
    from tideover.desk.objects import as_text
    from tideover.figures import book

    figures = book()
    rows = figures.rows(key or "")
    if not rows:
        rows = [figures.row(key or "")]  # raises, naming near misses
    if as_json:
        everything = figures.as_json()
        kept = {row.key for row in rows}
        print(as_text({**everything, "figures": [one for one in everything["figures"] if one["key"] in kept]}))
        return
    table = [
        (
            row.key,
            row.text if row.value is None else f"{row.value:g}",
            "" if row.low is None or row.high is None else f"{row.low:g} to {row.high:g}",
            row.unit,
            row.says,
            row.known,
            ", ".join(row.sources),
        )
        for row in rows
    ]
    print_table(("key", "value", "range", "unit", "what it is", "how known", "sources"), table)
