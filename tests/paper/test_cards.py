"""The field card on the round sheet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.samples import card, round_view
from tideover.desk.views import RoundView
from tideover.paper import round_sheet
from tideover.paper.cards import grouped, strip


def with_cards(view: RoundView, **kind: bool) -> RoundView:
    """The round with a card at every hive."""
    return replace(
        view,
        yards=[replace(y, hives=[replace(h, card=card(h.hive, **kind)) for h in y.hives]) for y in view.yards],
    )


def text_of(path: Path) -> str:
    """All words, white space made even."""
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


@pytest.mark.parametrize(("units", "paper"), [("metric", "a4"), ("us", "letter")])
def test_every_hive_carries_its_card(tmp_path: Path, units: str, paper: str) -> None:
    """Table, first signs, reason and expiry for each hive, amounts in the keeper's unit."""
    view = with_cards(round_view())
    text = text_of(round_sheet(view, tmp_path / "r.pdf", units, paper))
    assert text.count("Pollen / jelly") == 26
    assert text.count("disease signs: see to the cause first") == 26
    assert text.count("Good until Mon 21 Jul") == 26
    assert text.count("About 4 looks of ten") == 26
    assert ("lay on ¼ lb" if units == "us" else "lay on 115 g") in text
    assert ("0.4 in (10 mm)" if units == "us" else "10 mm (0.4 in)") in text


def test_one_answer_is_one_line_and_the_old_piece_is_told(tmp_path: Path) -> None:
    """No table where every look leads to the same; a card for the hive without its piece says so."""
    same = text_of(round_sheet(with_cards(round_view((2,)), same=True), tmp_path / "a.pdf"))
    assert "Comb, whatever it shows: lay on 115 g (¼ lb)" in same
    assert "Pollen / jelly" not in same
    off = text_of(round_sheet(with_cards(round_view((2,)), same=True, first_off=True), tmp_path / "b.pdf"))
    assert "Old piece off, then whatever it shows: lay on" in off


def test_nothing_is_cut_and_the_strip_is_as_high_as_it_says() -> None:
    """One printed row per group of words and one for the head; signs beside it never need more room than is taken."""
    for one in (card(), card(same=True), card(first_off=True)):
        made = strip(one, "metric", 527.0)
        rows = len(grouped(one))
        assert made.rows == (1 if rows == 1 else rows + 1)
        assert made.height >= 11.0 * max(made.rows, len(made.signs))
        assert "…" not in " ".join((*made.signs, *made.foot))
