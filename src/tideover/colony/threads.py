"""How many threads step the members; the bytes that come out do not depend on it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numba as nb


@contextmanager
def at_most(threads: int) -> Iterator[None]:
    """Step members on at most so many threads of this process, where other work has the processors meanwhile.

    Threads that meet at the end of every stretch wait for the one that could not run.
    """
    before = nb.get_num_threads()
    nb.set_num_threads(min(threads, before))
    try:
        yield
    finally:
        nb.set_num_threads(before)
