"""The round as a table."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

from tests.samples import card, line, round_view
from tideover.paper.round_csv import round_csv
from tideover.records.format_doc import ROUND_COLUMNS


def rows(text: str) -> list[dict[str, str]]:
    """As a spreadsheet reads it."""
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_columns_are_those_described() -> None:
    """The header is the one documented, in its order."""
    assert round_csv(round_view()).split("\r\n")[0] == ",".join(name for name, _ in ROUND_COLUMNS)


def test_every_hive_is_a_line_with_grams_and_pounds() -> None:
    """26 hives; 453.6 g is one pound (453.59237 g, exact); nothing given is empty, not nought."""
    found = rows(round_csv(round_view()))
    assert len(found) == 26
    for row in found:
        assert (row["give_g"] == "") == (row["call"] not in ("lay on", "give sugar"))
    laid = next(r for r in found if r["call"] == "lay on")
    assert (laid["give_g"], laid["give_lb"]) == ("453.6", "1")
    assert laid["pull_by"] == "2031-07-20T09:30+00:00"
    assert (laid["runway_days"], laid["runway_low_days"], laid["runway_high_days"]) == ("9", "6", "16")


def test_the_card_speaks_where_there_is_one() -> None:
    """Chance that a look changes the call, and how long the card holds."""
    view = round_view((1,))
    yard = view.yards[0]
    with_card = replace(view, yards=[replace(yard, hives=[replace(yard.hives[0], card=card())])])
    (row,) = rows(round_csv(with_card))
    assert (row["look_changes"], row["card_until"]) == ("0.45", "2031-07-21")
    (bare,) = rows(round_csv(view))
    assert (bare["look_changes"], bare["card_until"]) == ("", "")


def test_text_with_commas_quotes_and_breaks_comes_back() -> None:
    """RFC 4180: quotes doubled, lines ended by CR LF; what a spreadsheet would run is defused."""
    view = round_view((1,))
    yard = view.yards[0]
    odd = line("=1+1", 'The "Old", Quarry\nUpper', summary='say "yes",\nthen go')
    text = round_csv(replace(view, yards=[replace(yard, hives=[odd])]))
    (row,) = rows(text)
    assert row["why"] == 'say "yes",\nthen go'
    assert row["yard_name"] == 'The "Old", Quarry\nUpper'
    assert row["hive"] == "'=1+1"
    assert text.endswith("\r\n")


def test_a_round_of_nothing_is_a_header() -> None:
    """An empty table is still a table."""
    view = replace(round_view(), yards=[])
    assert len(round_csv(view).strip().split("\r\n")) == 1
