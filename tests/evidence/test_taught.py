"""What looks have narrowed of a hive's figures: what was narrowed is found, luck is not, and the words say the rest."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from tideover.colony.establish import establish
from tideover.colony.layout import PARAM_NAMES
from tideover.colony.parameters import draw
from tideover.desk.taught_words import WORDS, own_figures
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.keeper import count_log_sd
from tideover.evidence.space import space
from tideover.evidence.taught import COUNTING, narrowed

DAY = date(2031, 6, 1)
MEMBERS = 600


def hive(families: int, *, seed: int = 1, shrunk: dict[str, float] | None = None, counting: float = 1.0) -> Assimilated:
    """A hive whose parameters are its prior's, save those drawn together by a factor of their spread."""
    rng = np.random.default_rng(seed)
    scores = space().scores(draw(rng, MEMBERS))
    for name, factor in (shrunk or {}).items():
        scores[:, PARAM_NAMES.index(name)] *= factor
    e = establish(space().params(scores), adults=12_000.0, eggs=900.0, open_larvae=1_600.0, capped=3_000.0,
                  pollen_g=500.0, honey_g=10_000.0)  # fmt: skip
    known = Assimilated("pit", DAY, DAY, e, np.zeros(MEMBERS, np.intp), np.zeros((0, 0, 0), np.float32))
    known.count_log = counting * count_log_sd() * rng.standard_normal((MEMBERS, 1))
    known.effective = [(DAY, 100.0, families)] if families else []
    return known


def test_what_was_narrowed_is_found_with_its_share() -> None:
    """Half the spread is three quarters of the variance lost; the keeper's counting is told beside the parameters."""
    taught = narrowed(hive(400, shrunk={"income_scale": 0.5}, counting=0.6))

    assert list(taught) == ["income_scale", COUNTING]
    assert taught["income_scale"] == pytest.approx(0.75, abs=0.05)
    assert taught[COUNTING] == pytest.approx(1.0 - 0.6**2, abs=0.05)


def test_luck_is_not_told_as_learnt() -> None:
    """Draws of the prior alone: over fifty hives of as many families as members hardly anything is said to be narrowed."""
    told = sum(len(narrowed(hive(MEMBERS, seed=seed))) for seed in range(50))
    assert told <= 3  # 1,100 looked at, one in 740 passes three errors on one side


def test_few_families_can_say_little() -> None:
    """The same narrowing is not told where it may be that of ten colonies left over; without a look nothing is."""
    assert narrowed(hive(10, shrunk={"income_scale": 0.5})) == {}
    assert narrowed(hive(0, shrunk={"income_scale": 0.5})) == {}


def test_words_tell_what_was_learnt_and_what_stays_the_books() -> None:
    """Every figure has words; what a patty is worth is said to stay the book's until it is narrowed."""
    assert set(WORDS) == {*PARAM_NAMES, COUNTING}
    nothing, some = own_figures(hive(0)), own_figures(hive(400, shrunk={"income_scale": 0.5}))
    fed = own_figures(hive(400, shrunk={"feed_value": 0.3}))

    assert "narrowed" not in nothing
    assert "what a patty is worth to them" in nothing
    assert some.startswith("Its looks have narrowed how well it collects.")
    assert "what a patty is worth to them" in some
    assert "what a patty is worth to it" in fed
    assert "what a patty is worth to them" not in fed
    for text in (nothing, some, fed):
        assert text.endswith("looks at one hive do not tell it.")
