"""``tideover card``: what each look would lead to, and where looking pays."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.desk.views import HiveLine


@click.command(
    "card",
    short_help="Field cards: if you see this, do that; and which hives are worth opening.",
    epilog="Example: tideover card --hive quarry-03",
)
@click.option("--hive", "hive_id", metavar="ID", help="One hive's card whole; without it a line for every hive.")
@click.option("--worth", is_flag=True, help="Only hives where a look pays.")
@click.option("--units", type=click.Choice(["metric", "us"]), help="Which unit stands first [default: as in settings].")
@click.option("--json", "as_json", is_flag=True, help="For scripts: a list of cards.")
def command(hive_id: str | None, worth: bool, units: str | None, as_json: bool) -> None:
    """Show field cards: the call for every pair of pollen and jelly seen, first signs, and how long a card holds."""
    from tideover.cli.commands.calls import unknown_hive
    from tideover.cli.progress import watched
    from tideover.cli.tables import print_table, wrapped
    from tideover.desk.objects import as_text, card_object
    from tideover.paper.amounts import day
    from tideover.paper.cards import does, lines, table

    with session().open_desk() as desk:
        chosen = units or str(desk.books.settings().get("units", "metric"))
        if hive_id is not None:
            known = [hive.id for hive in desk.books.hives()]
            if hive_id not in known:
                raise Stop(unknown_hive(hive_id, known))
            found: list[HiveLine] = [desk.hive(hive_id).line]
        else:
            with watched("Working out the cards") as progress:
                found = [line for yard in desk.round(progress=progress).yards for line in yard.hives]
    cards = [line.card for line in found if line.card is not None and (line.card.worth or not worth)]
    if as_json:
        print(as_text([card_object(one) for one in cards]))
        return
    if not cards:
        print("No hive is worth a look today." if worth and found else "No hive is in the books yet.")
        return
    if hive_id is None:
        heads = ("hive", "without a look", "look pays", "why", "good until")
        print_table(heads, table(cards, chosen))
        return
    one = cards[0]
    print(f"{one.hive}, {day(one.made_for)} {one.made_for.year}. Without a look: {does(one.now, chosen, both=True)}.")
    for text in lines(one, chosen):
        print("\n".join(wrapped(text)))
