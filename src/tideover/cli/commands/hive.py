"""``tideover hive``: everything known of one hive."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.desk.views import HiveView


@click.command(
    "hive",
    short_help="One hive: its call with reasons, alternatives, patties and entries.",
    epilog="Example: tideover hive quarry-03",
)
@click.argument("hive_id", metavar="ID")
@click.option("--json", "as_json", is_flag=True, help="For scripts: one object.")
def command(hive_id: str, as_json: bool) -> None:
    """Show one hive: call, reasons, what stands in the way, alternatives, patties, entries."""
    from tideover.cli.commands.calls import unknown_hive
    from tideover.desk.objects import as_text, call_object, plain
    from tideover.records.own_units import all_own_first

    with session().open_desk() as desk:
        known = [hive.id for hive in desk.books.hives()]
        if hive_id not in known:
            raise Stop(unknown_hive(hive_id, known))
        view = desk.hive(hive_id)
        units = str(desk.books.settings().get("units", "metric"))
    if as_json:
        # What was written down stays as it was written.
        line = all_own_first({**plain(view.line), "call": call_object(view.line.call)}, units)
        print(as_text({**plain(view), "line": line}))
    else:
        show(view, units)


def show(view: HiveView, units: str) -> None:
    """The hive in plain lines, most useful first."""
    from tideover.cli.tables import print_table
    from tideover.paper import amounts
    from tideover.records.own_units import own_first

    line, call = view.line, view.line.call
    weighed = amounts.pounds if units == "us" else amounts.weight
    print(f"{line.hive}, {line.yard_name}, {view.boxes}, on {amounts.day(view.today)} {view.today.year}")
    print(f"Last look: {line.last_look}")
    print(f"Today: {amounts.bees(line.bees)}")
    print()
    gives = amounts.gives(call, units)
    print(f"Call: {call.action}{', ' + gives if gives else ''} ({amounts.sure(call)})")
    print(f"  {own_first(call.summary, units)}")
    if call.pull_by:
        print(f"  Pull by {amounts.hour(call.pull_by)}")
    for name, runway in call.milestones.items():
        print(f"  {name}: {amounts.runway(runway)}")
    for head, lines in (
        ("Why", [reason.text for reason in call.reasons]),
        ("Then", list(call.then_)),
        ("Look for", list(call.ask)),
        ("First", [f"{gate.effect}: {gate.title}. {gate.seen} {gate.do}" for gate in call.gates]),
        (
            "Odd entries",
            [f"{flag.text} With it: {flag.call_with}; without: {flag.call_without}." for flag in call.flags],
        ),
        ("Notes", view.notes),
    ):
        if lines:
            print(f"\n{head}")
            for text in lines:
                print(f"  - {own_first(text, units)}")
    if call.alternatives:
        print()
        rows = [
            (
                one.name,
                weighed(one.grams_season),
                f"{one.bees_at_winter.median:,.0f} ({one.bees_at_winter.low:,.0f} to {one.bees_at_winter.high:,.0f})",
                f"{one.brood_lost.median:,.0f} ({one.brood_lost.low:,.0f} to {one.brood_lost.high:,.0f})",
                f"{one.cost:.2f}",
                amounts.percent(one.better_than_call),
            )
            for one in call.alternatives
        ]
        heads = ("plan", "all season", "bees at winter", "brood lost", "cost", "beats the call")
        print_table(heads, rows, title="Plans compared")
    if view.patties:
        print()
        stays = [
            (
                amounts.day(stay.on),
                amounts.day(stay.off) if stay.off else "on",
                weighed(stay.grams),
                "" if stay.left_g is None else weighed(stay.left_g),
                stay.note,
            )
            for stay in view.patties
        ]
        print_table(("on", "off", "weight", "left", "note"), stays, title="Patties")
    if view.history:
        print()
        entries = [
            (f"{amounts.day(e.at)} {e.at:%H:%M}", e.kind, e.text, e.who, e.state, e.id[:8]) for e in view.history
        ]
        print_table(("when", "kind", "what", "who", "state", "id"), entries, title="Entries")
