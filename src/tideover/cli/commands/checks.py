"""``tideover checks``: published values beside ours."""

from __future__ import annotations

import click


@click.command(
    "checks",
    short_help="Outside checks: published values beside what Tideover computes.",
    epilog="Example: tideover checks --json",
)
@click.option("--json", "as_json", is_flag=True, help="For scripts: a list with one object per check.")
def command(as_json: bool) -> None:
    """Run the outside checks: published values, worked examples and trade rules beside ours."""
    from tideover.checks import outside_checks
    from tideover.cli.progress import watched
    from tideover.cli.tables import print_table
    from tideover.desk.objects import as_text, plain

    with watched("Checking") as progress:
        progress(0, 1, "published values")
        checks = outside_checks()
    if as_json:
        print(as_text([plain(check) for check in checks]))
        return
    rows = [
        (
            check.verdict,
            check.key,
            number(check.ours),
            number(check.expected),
            check.unit,
            check.kind + (", practice" if check.practice else "") + (", also an input" if check.used_as_input else ""),
            check.source,
        )
        for check in checks
    ]
    print_table(("verdict", "check", "ours", "published", "unit", "kind", "source"), rows)
    agree = sum(check.verdict == "agrees" for check in checks)
    print(f"{agree} of {len(checks)} agree.")


def number(value: object) -> str:
    """A value or a range, four figures."""
    if isinstance(value, tuple | list):
        return " to ".join(f"{one:.4g}" for one in value)
    return f"{value:.4g}" if isinstance(value, int | float) else str(value)
