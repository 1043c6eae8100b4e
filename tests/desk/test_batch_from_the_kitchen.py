"""A mix written in the books reaches the colony: what was weighed is what the members carry."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.evidence.hives import TODAY, known, look, seen
from tests.patty.kitchen_help import raw
from tideover.desk.batches import with_batches
from tideover.evidence.seen import HiveCase, Place, Seen
from tideover.figures import book
from tideover.patty.kitchen.batch import sheet
from tideover.patty.kitchen.formulate import Mix, formulate
from tideover.patty.kitchen.shelf import for_the_books
from tideover.patty.kitchen.task import read_task
from tideover.records import parse_values

D = timedelta(days=1)


def kept(mix: Mix) -> dict[str, object]:
    """The entry of a mix as the books hold it: written as text, read and checked."""
    given = for_the_books(mix, sheet(mix), "AUG-1", TODAY)
    return dict(parse_values("batch", {k: v if isinstance(v, str) else repr(v) for k, v in given.items()}, "metric"))


def from_batch(piece: Seen, batch: dict[str, object]) -> Seen:
    """The piece as the desk hands it on when its batch is in the books."""
    case = HiveCase("pit-1", Place("pit", 37.0), (), (piece,))
    return with_batches(case, {"AUG-1": batch}).seen[0]  # type: ignore[dict-item]


@pytest.mark.parametrize(("sugar", "water"), [((35.0, 40.0), (20.0, 22.0)), ((50.0, 55.0), (17.0, 19.0))])
def test_sugar_and_drying_of_a_mix_reach_the_members(sugar: tuple[float, float], water: tuple[float, float]) -> None:
    """Sugar as it was mixed, and intake that slows by the days until that paste is hard against the usual fourteen."""
    limits = {"protein_min": 15, "sugar_min": sugar[0], "sugar_max": sugar[1], "water_min": water[0],
              "water_max": water[1], "softness_min": "none"}  # fmt: skip
    mix = formulate(read_task(raw(limits=limits)), prices=False)
    assert mix.makeup is not None
    batch, hard = kept(mix), sheet(mix).hard_after_days
    assert hard is not None
    piece = from_batch(seen("laid on", TODAY - 3 * D, weight=454.0, piece="AUG-1-7"), batch)
    carried = known(look(TODAY - 9 * D), piece).ensemble.piece
    assert carried.sugar == pytest.approx(mix.makeup.shares["sugar"].best / 100.0, abs=1e-4)
    usual_days = book().value("colony.patty_harden_d")
    assert carried.harden_d == pytest.approx(usual_days * hard / 14.0, rel=1e-6)


def test_two_mixes_are_two_patties_to_the_colony() -> None:
    """The wetter and sweeter the mix, the later it is hard: the colonies get that order."""
    found = []
    for water in (17.0, 22.0):
        limits = {"protein_min": 15, "water_min": water, "water_max": water + 0.5, "softness_min": "none"}
        mix = formulate(read_task(raw(limits=limits)), prices=False)
        piece = from_batch(seen("laid on", TODAY - 3 * D, weight=454.0, batch="aug-1"), kept(mix))
        found.append(known(look(TODAY - 9 * D), piece).ensemble.piece.harden_d)
    assert found[0] is not None
    assert found[1] is not None
    assert found[0] < found[1]


def test_what_was_weighed_is_what_the_books_hold() -> None:
    """Weight, pieces, cost and the protein that counts are those of the sheet."""
    mix = formulate(read_task(raw(piece_lb=1)), prices=False)
    made, batch = sheet(mix), kept(mix)
    assert batch["weight"] == pytest.approx(20_000.0)
    assert batch["pieces"] == made.pieces == 44
    assert batch["cost"] == pytest.approx(mix.spend, abs=0.005)
    assert batch["counted_protein"] == pytest.approx(made.worth.counted_protein, abs=0.005)
    assert (batch["worth_low"], batch["worth_high"]) == pytest.approx((made.worth.low, made.worth.high), abs=0.05)
    unpriced = replace(mix.task, items=tuple(replace(i, price=None) for i in mix.task.items))
    assert "cost" not in for_the_books(replace(mix, task=unpriced), made)
