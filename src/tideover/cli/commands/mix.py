"""``tideover mix``: a patty worked out from what can be bought."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.patty.kitchen.formulate import Mix
    from tideover.patty.kitchen.ingredients import Ingredient
    from tideover.patty.kitchen.nutrients import Content


@click.command(
    "mix",
    short_help="Work out a patty: least cost, most protein, use up, or weigh a recipe; --pdf prints it.",
    epilog="Example: tideover mix patty.toml --pdf batch.pdf --units us",
)
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--book", "list_book", is_flag=True, help="List the ingredients there are instead.")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write the batch sheet.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Size of the paper."
)
@click.option("--units", type=click.Choice(["metric", "us"]), help="Which unit stands first [default: as in settings].")
@click.option("--use", "use_it", is_flag=True, help="Let the calls reckon with this batch from now on.")
@click.option("--keep", "store", metavar="YARD", help="Write the batch in the books, stored at this yard.")
@click.option("--label", default="", help="The batch's label in the books [default: from its name].")
@click.option("--json", "as_json", is_flag=True, help="For scripts: one object; with --book a list of ingredients.")
def command(
    file: Path | None,
    list_book: bool,
    pdf: Path | None,
    paper: str,
    units: str | None,
    use_it: bool,
    store: str | None,
    label: str,
    as_json: bool,
) -> None:
    """Work out the mix that FILE (TOML or JSON; - for standard input) asks for, or say why there is none."""
    from tideover.cli.errors import Stop
    from tideover.cli.quiet import prints_aside
    from tideover.desk.objects import as_text, plain
    from tideover.patty.kitchen.files import parse
    from tideover.patty.kitchen.formulate import formulate
    from tideover.patty.kitchen.ingredients import pantry
    from tideover.patty.kitchen.objects import ingredient_object, mix_object
    from tideover.patty.kitchen.shelf import for_the_calls, kept
    from tideover.patty.kitchen.task import read_task
    from tideover.patty.kitchen.worth import pollen_worth

    held = _settings()
    own, problems = kept(held)
    for text in problems:
        print(f"tideover: {text}", file=sys.stderr)
    chosen = units or str(held.get("units", "metric"))
    if list_book:
        if as_json:
            print(as_text([ingredient_object(one) for one in [*pantry().values(), *own]]))
        else:
            _print_book(own)
        return
    if file is None:
        raise Stop("name a file that says what to mix, or list the ingredients with --book.")
    name = "standard input" if str(file) == "-" else str(file)
    text = sys.stdin.read() if str(file) == "-" else file.read_text(encoding="utf-8")
    raw = parse(text, name)
    task = read_task(raw, own)
    with prints_aside():
        mix = formulate(task)
    if pdf is not None and mix.found:
        from tideover.paper.batch import batch_sheet

        batch_sheet(mix, pdf, units=chosen, paper_size=paper, label=label)
    if as_json:
        print(as_text(plain(mix_object(mix))))
    else:
        _print_mix(mix, chosen)
        if pdf is not None and mix.found:
            print(f"The batch sheet is in {pdf}")
    if not mix.found:
        said = "no mix meets all limits; " if not as_json else "no mix meets all limits, see cannot_hold_together; "
        raise Stop(said + "nothing was written.")
    if store is not None:
        _keep(mix, raw, store, label, chosen, as_json)
    if use_it:
        given = for_the_calls(mix, pollen_worth(mix))
        with session().open_books() as books:
            books.put_settings(given)
        said = ", ".join(f"{key} {value:g}" for key, value in given.items())
        print(f"The calls reckon with it now: {said}.", file=sys.stderr if as_json else sys.stdout)


def _keep(mix: Mix, raw: Mapping[str, object], yard: str, label: str, units: str, quiet: bool) -> None:
    """Write the batch as an entry, so that its pieces are known by their label."""
    from datetime import UTC, datetime

    from tideover.patty.kitchen.batch import sheet
    from tideover.patty.kitchen.shelf import for_the_books
    from tideover.records import new_entry, parse_values

    with session().open_desk() as desk:
        zone = desk.books.yard(yard).zone
        today = desk.today()
        given = for_the_books(mix, sheet(mix), label, today, raw)
        values = parse_values("batch", {k: v if isinstance(v, str) else repr(v) for k, v in given.items()}, "metric")
        now = datetime.now(UTC)
        at = now if now.astimezone(zone).date() == today else datetime.combine(today, now.time(), zone)
        entry = new_entry(
            "batch", yard, None, at, values, now.replace(microsecond=0), device="command line",
            units="us" if units == "us" else "metric",
        )  # fmt: skip
        desk.enter(entry)
    said = f"Batch {values['batch']} is in the books, stored at {yard}. "
    said += f"Take it back with: tideover undo --entry {entry.id}"
    print(said, file=sys.stderr if quiet else sys.stdout)


def _settings() -> dict[str, object]:
    """Settings of the books when there are books; none are needed to mix."""
    now = session()
    if not now.is_url and not Path(now.books).exists():
        return {}
    with now.open_books() as books:
        return dict(books.settings())


def _print_book(own: Sequence[Ingredient]) -> None:
    from tideover.cli.tables import print_table
    from tideover.patty.kitchen.ingredients import pantry

    def shown(content: Content) -> str:
        return f"? ({content.low:.3g} to {content.high:.3g})" if content.value is None else f"{content.value:.4g}"

    heads = ("ingredient", "dry", "protein", "fat", "sugar", "harmful sugars", "ash", "source", "id", "how known")
    rows = [
        (one.name, f"{one.dry:.4g}", shown(one["protein"]), shown(one["fat"]), shown(one["sugar"]), shown(one["toxic"]),
         shown(one["ash"]), one.source, one.id, one.known)
        for one in [*pantry().values(), *own]
    ]  # fmt: skip
    print_table(heads, rows, "Per 100 g as sold; protein at N x 6.25")


def _print_mix(mix: Mix, units: str) -> None:
    from tideover.cli.tables import print_table, wrapped
    from tideover.paper.batch import buying, money, piece_words, weighed
    from tideover.patty.kitchen import words
    from tideover.patty.kitchen.batch import sheet
    from tideover.patty.kitchen.nutrients import AMINO, SAYS

    def say(text: str, indent: str = "") -> None:
        print("\n".join(wrapped(text, indent)))

    for text in mix.task.left_out:
        say(text)
    if not mix.found:
        for text in words.infeasible_words(mix):
            say(text)
        if mix.instead is None:
            return
        print("\nWith that change:")
        mix = mix.instead
    made, currency = sheet(mix), mix.task.currency
    print(f"{made.name}: {weighed(made.total_kg, units)}")
    rows = [
        (w.name, weighed(w.kilograms, units), f"{w.share:.2f} %", "?" if w.cost is None else f"{w.cost:.2f}",
         buying(w, units))
        for w in made.weighings
    ]  # fmt: skip
    print_table(("ingredient", "weight", "share", currency, "buy"), rows)
    print(money(mix, made, units))
    for text in mix.notes:
        say(text)
    shares = mix.makeup.shares if mix.makeup else {}
    rows2 = [
        (SAYS[n], f"{s.best:.2f}", f"{s.low:.2f} to {s.high:.2f}")
        for n, s in shares.items() if n not in AMINO
    ]  # fmt: skip
    print()
    print_table(("in it", "% of weight", "range"), rows2)
    print()
    say(words.amino_words(mix))
    for b in mix.binding:
        say(words.binding_words(b, mix, units), "  ")
    for p in mix.prices:
        say(words.price_words(p, mix, units), "  ")
    for text in words.doubt_words(mix):
        say(f"Not known: {text}")
    if mix.chances is not None:
        say(words.need_words(mix))
    say(f"Softness {made.softness:.0f} of 100: {made.feel}, {made.feel_says}. {words.drying_words(made)}")
    say(words.keeping_words(made))
    say(words.worth_words(made.worth.low, made.worth.grams_per_kg, made.worth.high, units))
    print("\nBefore you mix")
    for c in made.cautions:
        say(f"! {c.subject}: {c.text}")
    print("\nMix, in this order")
    for number, text in enumerate(made.steps, start=1):
        say(f"{number}. {text}")
    print()
    say(f"{piece_words(made, units)} On the label of each:")
    for text in made.label:
        say(text, "  ")
