"""A process that works out hives for the desk: tasks come in, answers go out, until nobody is there to send any.

Started by ``hands`` as a program of its own, so that the program the keeper started is never run a second time.
Nothing is read from the books here and nothing is written anywhere.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import sys
import traceback
from collections import OrderedDict
from typing import IO, Any, Final

LANDS: Final = 4
"""Lands held, the last ones sent; both ends of the wire keep to it."""
NICE: Final = 10
"""A page or entry of the keeper, in the desk's own process, goes before what is worked out here."""


class Reader(pickle.Unpickler):
    """Reads a task in which lands stand by number."""

    def __init__(self, file: IO[bytes], lands: OrderedDict[int, Any]) -> None:
        super().__init__(file)
        self._lands = lands

    def persistent_load(self, number: Any) -> Any:
        """The land of that number."""
        return self._lands[number]


def serve(tasks: IO[bytes], answers: IO[bytes]) -> None:
    """Answer task after task until the other end is closed."""
    # here, so that the wire stands before what takes long to load
    from tideover.desk.asked import Bench
    from tideover.evidence.checkpoints import Checkpoints

    lands: OrderedDict[int, Any] = OrderedDict()
    bench = Bench()
    while True:
        try:
            what, given, keeps = Reader(tasks, lands).load()
        except EOFError:
            return
        if what == "land":
            number, land = given
            lands[number] = land
            while len(lands) > LANDS:
                lands.popitem(last=False)
            continue
        try:
            # where the filter stood goes back with the answer: the next look is met in the desk's own process
            bench.stood = Checkpoints()
            made: tuple[bool, Any] = True, (given.work(bench), bench.stood if keeps else None)
        except Exception:  # the desk tries itself, and raises what there is to raise
            made = False, traceback.format_exc()
        pickle.dump(made, answers, protocol=5)
        answers.flush()


def main() -> None:
    """Serve on the standard streams; what is printed on the way goes to the errors, not between the answers."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    if hasattr(os, "nice"):
        os.nice(NICE)
    # whoever sends tasks may be gone in the middle of an answer
    with contextlib.suppress(BrokenPipeError, KeyboardInterrupt):
        serve(sys.stdin.buffer, answers)
    # nothing is left to say, and nobody to say it to
    os._exit(0)
