"""Other processes that work out hives beside the desk's own, which stays free for the keeper.

They are started when first needed, kept, and end with the desk: when their wire closes, however the desk's process
ended. One that cannot start or is lost is done without; whoever asked works it out himself, with the same answer.
"""

from __future__ import annotations

import contextlib
import logging
import os
import pickle
import subprocess
import sys
import threading
from collections import OrderedDict, deque
from concurrent.futures import Future
from io import BytesIO
from typing import Any, Final

from tideover.desk.asked import Answer, Asked, Listening
from tideover.desk.hand import LANDS
from tideover.desk.land import Land
from tideover.desk.neighbours import Alone
from tideover.evidence.checkpoints import Checkpoints

ENV: Final = "TIDEOVER_PROCESSES"
USUAL: Final = 2
"""Hives worked out at once where nothing is said, if there are so many processors."""
FEWEST: Final = 4
"""Starting processes takes as long as about so many hives here; fewer are worked out without."""

Task = Listening | Asked
Done = tuple[Alone | Answer, Checkpoints | None]
_LOG = logging.getLogger(__name__)


class HandLostError(RuntimeError):
    """A process could not be started or has ended; the task is nobody's any more."""


class TaskFailedError(HandLostError):
    """A process is well but failed at its task."""


def processors() -> int:
    """Processors this program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def how_many(wanted: int | None = None) -> int:
    """Hives to work out at once: as wanted, else as the environment says, else two; never more than processors.

    :raises ValueError: if the environment holds no whole number of at least 1.
    """
    said = os.environ.get(ENV, "").strip()
    if wanted is None and said:
        if not said.isascii() or not said.isdigit() or int(said) < 1:
            raise ValueError(f"{ENV} is {said!r}; give the number of hives to work out at once, 1 or more.")
        wanted = int(said)
    return max(1, min(USUAL if wanted is None else wanted, processors()))


class _Packer(pickle.Pickler):
    """Writes a task with its lands by number: they are large, and the hives of a yard share one."""

    def __init__(self, file: BytesIO, numbers: dict[int, int]) -> None:
        super().__init__(file, protocol=5)
        self._numbers = numbers

    def persistent_id(self, obj: Any) -> int | None:
        return self._numbers.get(id(obj)) if isinstance(obj, Land) else None


class _Hand:
    """One process and the wire to it; one task at a time."""

    def __init__(self) -> None:
        self._sent: OrderedDict[int, tuple[int, Land]] = OrderedDict()
        self._count = 0
        # A group of its own: Ctrl-C at the terminal is for the desk, which then closes the wire.
        own: dict[str, Any] = {"start_new_session": True}
        if sys.platform == "win32":
            own = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW}
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-c", "from tideover.desk.hand import main; main()"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=_environment(), **own,
        )  # fmt: skip

    @property
    def pid(self) -> int:
        return self._process.pid

    def do(self, task: Task, keeps: bool) -> Done:
        """Send a task and wait for its answer."""
        wire, back = self._process.stdin, self._process.stdout
        assert wire is not None
        assert back is not None
        try:
            land = task.land
            if id(land) not in self._sent:
                self._count += 1
                self._sent[id(land)] = self._count, land
                while len(self._sent) > LANDS:
                    self._sent.popitem(last=False)
                pickle.dump(("land", (self._count, land), False), wire, protocol=5)
            packed = BytesIO()
            _Packer(packed, {k: number for k, (number, _) in self._sent.items()}).dump(("task", task, keeps))
            wire.write(packed.getbuffer())
            wire.flush()
            well, made = pickle.load(back)
        except (OSError, EOFError, pickle.UnpicklingError, ValueError) as e:
            raise HandLostError(f"a process that worked out hives is lost ({e or type(e).__name__})") from e
        if not well:
            raise TaskFailedError(f"a process failed to work out {task.case.hive}:\n{made}")
        done: Done = made
        return done

    def end(self) -> None:
        """Let the process go, in the middle of a task too."""
        self._process.kill()
        self._process.wait()
        for end in (self._process.stdin, self._process.stdout):
            if end is not None:
                with contextlib.suppress(OSError):
                    end.close()


def _environment() -> dict[str, str]:
    """Ours, for one thread each: the processes are what runs side by side."""
    found = dict(os.environ)
    found.setdefault("OPENBLAS_NUM_THREADS", "1")
    found["NUMBA_NUM_THREADS"] = "1"
    found["PYTHONPATH"] = os.pathsep.join(p for p in sys.path if p)
    return found


class Hands:
    """So many processes and what waits for them.

    :param count: processes; with one there is none beside the desk's own.
    """

    def __init__(self, count: int) -> None:
        self.count = count
        self._change = threading.Condition()
        self._waiting: deque[tuple[Task, bool, Future[Done]]] = deque()
        self._hands: list[_Hand] = []
        self._threads: list[threading.Thread] = []
        self._over = count < 2 or not sys.executable or bool(getattr(sys, "frozen", False))

    @property
    def up(self) -> bool:
        """Whether they have been started and none was lost."""
        return bool(self._threads) and not self._over

    def worth(self, waiting: int) -> bool:
        """Whether so many hives that wait are better shared out than worked out here one by one."""
        return not self._over and waiting >= (2 if self._threads else FEWEST)

    def ask(self, task: Task, *, first: bool = False, keeps: bool = False) -> Future[Done]:
        """Have a task done.

        :param first: before all others that wait; for a keeper who waits.
        :param keeps: whether where the hive's filter stood comes back with its answer.
        :returns: the answer to come; ``HandLostError`` in it says to do it oneself. It can be cancelled until begun.
        """
        future: Future[Done] = Future()
        with self._change:
            if self._over:
                future.set_exception(HandLostError("there are no processes beside this one"))
                return future
            if first:
                self._waiting.appendleft((task, keeps, future))
            else:
                self._waiting.append((task, keeps, future))
            if len(self._threads) < self.count:
                self._threads += [
                    threading.Thread(target=self._tend, name=f"hand-{i}", daemon=True) for i in range(self.count)
                ]
                for thread in self._threads:
                    thread.start()
            self._change.notify()
        return future

    def pids(self) -> list[int]:
        """Numbers of the processes that are there now."""
        with self._change:
            return [h.pid for h in self._hands]

    def close(self) -> None:
        """End the processes; what still waits is given up."""
        with self._change:
            self._over = True
            hands, self._hands = self._hands, []
            self._change.notify_all()
        for hand in hands:
            hand.end()
        for thread in self._threads:
            if thread is not threading.current_thread():
                thread.join(timeout=5)

    def _tend(self) -> None:
        """Start one process and hand it task after task."""
        hand: _Hand | None = None
        future: Future[Done] | None = None
        try:
            hand = _Hand()
            with self._change:
                if self._over:
                    hand.end()
                    return
                self._hands.append(hand)
            while True:
                with self._change:
                    self._change.wait_for(lambda: self._over or self._waiting)
                    if self._over:
                        return
                    task, keeps, future = self._waiting.popleft()
                if future.set_running_or_notify_cancel():
                    try:
                        future.set_result(hand.do(task, keeps))
                    except TaskFailedError as e:
                        future.set_exception(e)
                future = None
        except Exception as e:  # whatever it is, the desk can do without
            self._lose(e, future)
        finally:
            self._give_up()
            if hand is not None:
                hand.end()

    def _lose(self, error: Exception, future: Future[Done] | None) -> None:
        with self._change:
            if not self._over:
                _LOG.warning("hives are worked out one by one from here on: %s", error)
            self._over = True
            self._change.notify_all()
        if future is not None:
            future.set_exception(error if isinstance(error, HandLostError) else HandLostError(str(error)))

    def _give_up(self) -> None:
        """Tell whoever waits for a task nobody has begun."""
        with self._change:
            left = list(self._waiting)
            self._waiting.clear()
        for _, _, future in left:
            if future.set_running_or_notify_cancel():
                future.set_exception(HandLostError("there are no processes beside this one any more"))
