"""Fewer threads for a while, and as many as before afterwards; that the bytes are the same stands in ``test_day``."""

from __future__ import annotations

from collections.abc import Iterator

import numba as nb
import pytest

from tideover.colony.threads import at_most


@pytest.fixture(autouse=True)
def most() -> Iterator[int]:
    """All threads there are, and afterwards what there was."""
    before = nb.get_num_threads()
    nb.set_num_threads(nb.config.NUMBA_NUM_THREADS)
    yield nb.config.NUMBA_NUM_THREADS
    nb.set_num_threads(before)


def test_fewer_for_a_while_never_more(most: int) -> None:
    """A second, wider bound within the first changes nothing."""
    with at_most(1):
        assert nb.get_num_threads() == 1
        with at_most(most + 5):
            assert nb.get_num_threads() == 1
    assert nb.get_num_threads() == most


def test_as_many_as_before_after_an_error(most: int) -> None:
    """What fails within leaves all threads."""
    with pytest.raises(ZeroDivisionError), at_most(1):
        raise ZeroDivisionError
    assert nb.get_num_threads() == most
