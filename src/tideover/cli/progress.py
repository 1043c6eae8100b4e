"""How far long work has come: a bar on stderr at a terminal, silence elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Progress = Callable[[int, int, str], None]
"""Called with how many are done, of how many, and what is in hand."""


def silent(done: int, total: int, what: str) -> None:
    """Progress nobody is watching."""


@contextmanager
def watched(title: str) -> Iterator[Progress]:
    """A progress callback that draws a bar under ``title`` while the block runs.

    stdout is never touched, so that ``--json`` and pipes stay clean.
    """
    if not sys.stderr.isatty():
        yield silent
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bars

    bars = Bars(
        TextColumn("{task.description}"),
        BarColumn(bar_width=30),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TextColumn("{task.fields[what]}"),
        console=Console(stderr=True),
        transient=True,
    )
    with bars:
        task = bars.add_task(title, total=None, what="")

        def show(done: int, total: int, what: str) -> None:
            bars.update(task, completed=done, total=total, what=what)

        yield show
