"""The keeper's words for stored pollen as distributions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.comb.frames import FRAMES, frame
from tideover.comb.words import NEST_POLLEN, OUTER_POLLEN, half_sides_grams, nest_pollen, outer_pollen
from tideover.evidence import words as spoken


def test_words_are_those_of_the_books() -> None:
    """Every word a keeper can enter has a distribution, and no other word has."""
    assert tuple(OUTER_POLLEN) == spoken.POLLEN_OUTER
    assert tuple(NEST_POLLEN) == spoken.POLLEN_NEST


def test_words_rise_in_amount() -> None:
    """The vocabulary is ordered by amount, so the medians rise."""
    for table in (OUTER_POLLEN, NEST_POLLEN):
        shares = [a.share_of_side for a in table.values()]
        assert shares == sorted(shares)


@given(st.sampled_from(sorted(FRAMES)), st.sampled_from(sorted(OUTER_POLLEN)))
def test_every_word_is_a_distribution(name: str, word: str) -> None:
    """No word is a point: each has spread, and a larger frame holds more."""
    grams = outer_pollen(word).grams(frame(name))

    assert grams.median_g > 0.0
    assert grams.log_sd > 0.2
    assert (grams.zero > 0.0) == (word == "none")


@given(st.floats(0.5, 16.0), st.floats(0.5, 16.0))
def test_half_sides_add_up(a: float, b: float) -> None:
    """Medians of half sides add: two halves are a side."""
    deep = frame("deep")

    assert half_sides_grams(a + b, deep).median_g == pytest.approx(
        half_sides_grams(a, deep).median_g + half_sides_grams(b, deep).median_g
    )


def test_zero_half_sides_is_not_proof_of_none() -> None:
    """Nought half sides still leaves room for scattered cells."""
    grams = half_sides_grams(0.0, frame("deep"))

    assert grams.zero < 1.0
    assert grams.median_g > 0.0


def test_unknown_word_lists_the_words() -> None:
    """A word outside the vocabulary is refused with the vocabulary."""
    with pytest.raises(ValueError, match="thin band"):
        nest_pollen("lots")
