"""``tideover settings``: the keeper's own thresholds, prices and units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session

PLAIN = {
    "units": "which units stand first: metric or us",
    "address": "where phones reach the pages, for codes on labels, such as http://hives.local:8737; empty: plain names",
    "today": "the day the answers are for (YYYY-MM-DD); empty: the day after the last entry",
}
"""Settings of the books that are no thresholds."""


@click.command(
    "settings",
    short_help="Show or change the keeper's thresholds, prices and units.",
    epilog="Example: tideover settings --set units=us --set visit_days=10",
)
@click.option("--set", "changes", multiple=True, metavar="KEY=VALUE", help="Change one setting; may be repeated.")
@click.option("--json", "as_json", is_flag=True, help="For scripts: one object.")
def command(changes: tuple[str, ...], as_json: bool) -> None:
    """Show every setting with its source, or change some; a wrong value changes nothing."""
    from tideover.cli.tables import print_table
    from tideover.desk.objects import as_text, plain

    with session().open_books() as books:
        found = dict(books.settings())
        if changes:
            fresh = checked(dict(pair(text) for text in changes), found)
            books.put_settings(fresh)
            found.update(fresh)
    rows = shown(found)
    if as_json:
        print(as_text({name: plain(value) for name, value, *_ in rows}))
    elif changes:
        wanted = {text.partition("=")[0].strip() for text in changes}
        print_table(("setting", "value"), [(row[0], str(row[1])) for row in rows if row[0] in wanted])
    else:
        heads = ("setting", "value", "unit", "what it is", "source", "how known")
        print_table(heads, [(row[0], str(row[1]), *row[2:]) for row in rows])


def pair(text: str) -> tuple[str, str]:
    """``key=value`` as a pair.

    Raises: Stop when there is no '='.
    """
    key, sign, value = text.partition("=")
    if not sign or not key.strip():
        raise Stop(f"got --set {text!r}, wanted --set key=value, for example --set units=us.")
    return key.strip(), value.strip()


def checked(changes: Mapping[str, str], found: Mapping[str, Any]) -> dict[str, Any]:
    """The changes with their types and ranges made sure.

    Parameters: changes: as typed; found: settings in the books, for limits that belong together.
    Raises: Stop or SettingsError, one sentence per value that cannot be used.
    """
    from datetime import date
    from difflib import get_close_matches

    from tideover.plan.settings import Settings

    thresholds = Settings().to_mapping()
    fresh: dict[str, Any] = {}
    for name, value in changes.items():
        if name == "units":
            if value not in ("metric", "us"):
                raise Stop(f"got units={value!r}, wanted metric or us.")
            fresh[name] = value
        elif name == "address":
            from tideover.paper.labels import address_of

            try:
                fresh[name] = address_of(value)
            except ValueError as error:
                raise Stop(str(error)) from error
        elif name == "today":
            try:
                fresh[name] = date.fromisoformat(value).isoformat() if value else ""
            except ValueError as error:
                raise Stop(f"got today={value!r}, wanted a day such as 2031-07-14, or nothing.") from error
        elif name not in thresholds:
            near = get_close_matches(name, [*thresholds, *PLAIN], n=1)
            hint = f"did you mean {near[0]!r}?" if near else "'tideover settings' lists them."
            raise Stop(f"there is no setting {name!r}; {hint}")
    own = {name: value for name, value in found.items() if name in thresholds}
    typed = {name: value for name, value in changes.items() if name in thresholds}
    valid = Settings.from_mapping({**own, **typed}).to_mapping()
    return {**fresh, **{name: valid[name] for name in typed}}


def shown(found: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """Name, value, unit, words, source and how known, of every setting; the books' own first."""
    from tideover.plan.settings import Settings, fields_for_display

    thresholds = Settings().to_mapping()
    used = Settings.from_mapping({name: value for name, value in found.items() if name in thresholds})
    rows: list[tuple[Any, ...]] = [(name, found.get(name, ""), "", says, "yours", "") for name, says in PLAIN.items()]
    rows += [
        (name, value, "", "kept in these books", "yours", "")
        for name, value in sorted(found.items())
        # What a calendar has sent is its own business, and its address is a secret.
        if name not in thresholds and name not in PLAIN and not name.startswith("calendar:")
    ]
    for one in fields_for_display(used):
        source = "yours" if one.name in found and one.value != one.default else one.source
        rows.append((one.name, one.value, one.unit, one.says, source, one.known))
    return rows
