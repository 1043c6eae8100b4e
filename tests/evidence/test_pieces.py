"""A piece laid on: what its entry and its batch say reaches the colony; what they leave out is as usual."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from tests.evidence.hives import TODAY, known, look, same, seen
from tests.plan.test_choice import SETTINGS, ahead, colonies
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, run
from tideover.evidence.pieces import PieceKind, UsualPiece, laid_on, of_batch, piece_kind
from tideover.figures import book
from tideover.plan.compare import outcome
from tideover.plan.options import Option

D = timedelta(days=1)


def test_the_usual_piece_is_left_to_the_figures_book() -> None:
    """Nothing said, or what is usual said, changes nothing to the last byte."""
    share = book().value("colony.patty_sugar")
    assert piece_kind() == piece_kind(100.0 * share, 14.0) == PieceKind()
    assert laid_on({}, UsualPiece()).protein == pytest.approx(0.15)
    entries = (look(TODAY - 9 * D), seen("laid on", TODAY - 3 * D, weight=454.0))
    assert same(known(*entries), known(*entries, usual=piece_kind(100.0 * share, 14.0)))


def test_batch_fills_what_the_piece_leaves_out() -> None:
    """Protein that counts before crude protein; the piece's own word before the batch's."""
    batch = {"protein": 21.0, "counted_protein": 18.5, "pollen_share": 4.0, "sugar_share": 41.0, "hard_after": 9.0}
    filled = of_batch({"weight": 200.0}, batch)
    assert filled == {"weight": 200.0, "protein": 18.5, "pollen_share": 4.0, "sugar_share": 41.0, "hard_after": 9.0}
    assert of_batch({"protein": 12.0, "pollen_share": 0.0}, batch)["protein"] == 12.0
    assert of_batch({"pollen_share": 0.0}, batch)["pollen_share"] == 0.0
    assert of_batch({}, {"protein": 21.0})["protein"] == 21.0
    piece = laid_on(filled, UsualPiece())
    assert (piece.protein, piece.pollen, piece.kind.sugar) == (0.185, 0.04, 0.41)
    # hard in 9 days where the usual is hard in 14 (trade rule): intake falls 14/9 times as fast
    assert piece.kind.harden_d == pytest.approx(book().value("colony.patty_harden_d") * 9.0 / 14.0)


def test_entry_reaches_the_members() -> None:
    """Sugar and drying of the piece that lies there are carried with the colony, the keeper's usual where silent."""
    first = look(TODAY - 9 * D)
    own = known(first, seen("laid on", TODAY - 3 * D, weight=454.0, sugar_share=30.0, hard_after=7.0))
    assert own.ensemble.piece.sugar == 0.30
    silent = known(first, seen("laid on", TODAY - 3 * D, weight=454.0), usual=piece_kind(60.0, 21.0))
    assert silent.ensemble.piece == piece_kind(60.0, 21.0)
    assert silent.ensemble.take(np.array([0, 1])).piece == silent.ensemble.copy().piece == piece_kind(60.0, 21.0)


def after(e: Ensemble, kind: PieceKind, days: int = 10) -> Ensemble:
    """Colonies ten days after a large piece of a kind was laid on, in a dearth."""
    c = replace(e.copy(), piece=kind)
    c.state[:, lay.PATTY], c.state[:, lay.PATTY_PROTEIN] = 2000.0, 0.15
    c.state[:, lay.PATTY_AGE] = c.state[:, lay.PATTY_DAYS] = 0.0
    run(c, ahead(0.05, days).weather, seed=3)
    return c


def test_sugar_in_a_piece_is_honey_and_drying_slows_eating() -> None:
    """More sugar leaves more honey by the sugar eaten; a piece that dries twice as fast is eaten less."""
    e = colonies()
    assert isinstance(e, Ensemble)
    plain, sweet, dry = after(e, PieceKind()), after(e, PieceKind(sugar=0.65)), after(e, piece_kind(None, 7.0))
    eaten = 2000.0 - plain.state[:, lay.PATTY]
    more = sweet.state[:, lay.HONEY] - plain.state[:, lay.HONEY]
    # 0.82 is the sugar in honey (figures book, stores.honey_sugar_share)
    assert float(np.median(more / eaten)) == pytest.approx((0.65 - 0.45) / 0.82, rel=0.05)
    assert float(np.mean(dry.state[:, lay.PATTY] > plain.state[:, lay.PATTY])) > 0.95


def test_plans_lay_on_the_keepers_usual_patty() -> None:
    """A patty that hardens in a few days is eaten less by the pull-by than one that stays soft."""
    option = Option("a pound", "lay on", 453.6)
    e = colonies()
    assert isinstance(e, Ensemble)
    chances = [
        outcome(option, e, ahead(0.05, 40), replace(SETTINGS, patty_hard_days=d), stay_days=7, stop_day=None)[0].eaten
        for d in (4.0, 14.0, 45.0)
    ]
    means = [float(np.mean(c)) for c in chances if c is not None]
    assert means == sorted(means)
    assert means[-1] > means[0]


@pytest.mark.parametrize("bad", [{"sugar": 1.2}, {"harden_d": 0.0}])
def test_impossible_pieces_are_refused(bad: dict[str, float]) -> None:
    """Out of range."""
    with pytest.raises(ValueError, match="wanted"):
        PieceKind(**bad)
