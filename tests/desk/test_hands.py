"""Other processes beside the desk's own: the same answers, and nothing left behind."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.desk.test_answers_stand import LOOK, desks, differing, entry, everything
from tideover.desk import Desk
from tideover.desk import hands as hands_room
from tideover.desk.asked import Asked, Bench, Listening
from tideover.desk.hands import Hands, how_many

__all__ = ["desks"]

POSIX = pytest.mark.skipif(os.name != "posix", reason="signals and process groups of POSIX")


@pytest.fixture(autouse=True)
def two_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two processes may be had on any machine."""
    monkeypatch.setattr(hands_room, "processors", lambda: 2)


def done_here(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Kinds and hives worked out in this process from here on."""
    made: list[str] = []
    for task in (Listening, Asked):

        def work(self: Listening | Asked, bench: Bench, *, was: Callable[..., object] = task.work) -> object:
            made.append(f"{type(self).__name__} {self.case.hive}")
            return was(self, bench)

        monkeypatch.setattr(task, "work", work)
    return made


def gone(pid: int, within_s: float = 20.0) -> bool:
    """Whether a process is no more, or only waits to be taken note of."""
    end = time.monotonic() + within_s
    while time.monotonic() < end:
        try:
            os.kill(pid, 0)
            if Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()[0] == "Z":
                return True
        except (ProcessLookupError, FileNotFoundError):
            return True
        time.sleep(0.05)
    return False


def test_two_processes_answer_as_one(desks: Callable[..., Desk], monkeypatch: pytest.MonkeyPatch) -> None:
    """Every hive, the round and what looks say, byte for byte; nothing is worked out in the desk's own process, and a
    later look goes on from where the filter stood in the other, to the same bytes."""
    one, two = desks(1), desks(2)
    alone = everything(one)
    made = done_here(monkeypatch)
    two.warm()
    assert made == []
    assert len(two._hands.pids()) == 2
    assert differing(alone, everything(two)) == []
    assert set(two._worked._bench.stood._held) == {h.id for h in two.books.hives()}
    two.enter(entry("look", "dry-1", 14, LOOK | {"outer_pollen": "full side"}))
    assert "Asked dry-1" in made
    assert differing(everything(desks(1)), everything(two)) == []


def test_few_hives_start_no_process(desks: Callable[..., Desk], monkeypatch: pytest.MonkeyPatch) -> None:
    """One hive, or a yard's two, are worked out here: starting would take longer."""
    desk = desks(2)
    made = done_here(monkeypatch)
    desk.hive("dry-1")
    desk.hive("dry-2")
    assert {"Asked dry-1", "Asked dry-2"} <= set(made)
    assert desk._hands.pids() == []
    assert not desk._hands.up


def test_a_lost_process_is_done_without(desks: Callable[..., Desk], caplog: pytest.LogCaptureFixture) -> None:
    """Both killed while hives wait: the rest is worked out here, to the same bytes, and the log says so once."""
    desk = desks(2)
    killed: list[int] = []

    def kill(done: int, total: int, what: str) -> None:
        if not killed:
            killed.extend(desk._hands.pids())
            for pid in killed:
                os.kill(pid, signal.SIGTERM)

    with caplog.at_level(logging.WARNING):
        desk.warm(kill)
    assert len(killed) == 2
    assert not desk._hands.up
    assert caplog.text.count("one by one") == 1
    assert differing(everything(desks(1)), everything(desk)) == []


def test_where_none_can_start_all_is_worked_out_here(
    desks: Callable[..., Desk], monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """A Python that cannot be run again (its program is gone, or it is frozen in another) takes nothing away."""
    expected = everything(desks(1))
    monkeypatch.setattr(sys, "executable", "no-such-python")
    desk = desks(2)
    with caplog.at_level(logging.WARNING):
        desk.warm()
    assert "one by one" in caplog.text
    assert differing(expected, everything(desk)) == []
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    assert not Hands(2).worth(100)


def test_a_task_that_fails_raises_its_own_error(desks: Callable[..., Desk], monkeypatch: pytest.MonkeyPatch) -> None:
    """An error is raised where it was asked for, as it would be in one process, and the others are still there."""
    desk = desks(2)
    desk.warm()
    pids = desk._hands.pids()
    task = desk._worked.asked("small-1", desk.today())
    broken = Asked(**{**vars(task), "members": 0})
    with pytest.raises(hands_room.TaskFailedError, match="small-1"):
        desk._hands.ask(broken).result()
    assert desk._hands.pids() == pids
    good, _ = desk._hands.ask(task).result()
    assert good.call == desk._answer("small-1").call


def test_a_keeper_does_not_wait_for_what_waits_for_the_processes(
    desks: Callable[..., Desk], monkeypatch: pytest.MonkeyPatch
) -> None:
    """While all hives are worked out in the background, the last one is asked for: it is answered here at once, unless
    a process is at it, before the background is through; and nothing is worked out twice."""
    desk = desks(2)
    made = done_here(monkeypatch)
    begun, through = threading.Event(), threading.Event()

    def work() -> None:
        desk.work_ahead(progress=lambda *_: begun.set())
        through.set()

    thread = threading.Thread(target=work)
    thread.start()
    assert begun.wait(60)
    view = desk.hive("small-1")
    early = not through.is_set()
    thread.join()
    assert view.line.call.hive == "small-1"
    assert early
    assert made in ([], ["Asked small-1"])


def test_how_many_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    """As asked, else as the environment says, else two; never more than processors; nonsense is told."""
    monkeypatch.delenv("TIDEOVER_PROCESSES", raising=False)
    assert how_many() == 2
    assert how_many(1) == 1
    assert how_many(8) == 2
    monkeypatch.setenv("TIDEOVER_PROCESSES", "1")
    assert how_many() == 1
    monkeypatch.setenv("TIDEOVER_PROCESSES", "many")
    with pytest.raises(ValueError, match="TIDEOVER_PROCESSES is 'many'; give the number"):
        how_many()
    monkeypatch.setattr(hands_room, "processors", lambda: 1)
    assert how_many(2) == 1


PROGRAM = """
import signal, sys, time
from datetime import date
from tideover.desk import hands, open_desk
# a shell that runs the tests in the background has Ctrl-C ignored by all it starts
signal.signal(signal.SIGINT, signal.default_int_handler)
print("begun", flush=True)
hands.processors = lambda: 2
desk = open_desk(sys.argv[1], members=40, processes=2)
desk.set_today(date(2025, 8, 10))
desk.warm(lambda done, total, what: print("at", *desk._hands.pids(), flush=True))
print("warm", *desk._hands.pids(), flush=True)
time.sleep(float(sys.argv[2]))
"""
"""No guard around it, as in a script of a few lines: it must not run again in the processes it starts."""


@POSIX
@pytest.mark.parametrize("end", ["of itself", "interrupted", "killed", "killed at work"])
def test_nothing_is_left_behind(desks: Callable[..., Desk], tmp_path: Path, end: str) -> None:
    """A program that never closes its desk, one stopped with Ctrl-C and one killed, idle or at work, leave no process;
    and the program ran once, not once more in each process."""
    desks(1)
    script = tmp_path / "keeper.py"
    script.write_text(PROGRAM, encoding="utf-8")
    env = os.environ | {"PYTHONPATH": os.pathsep.join(p for p in sys.path if p)}
    stays = "0" if end == "of itself" else "60"
    with subprocess.Popen(
        [sys.executable, str(script), str(tmp_path / "books.db"), stays],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env,
    ) as program:  # fmt: skip
        assert program.stdout is not None
        lines = []
        for line in program.stdout:
            lines.append(line)
            if line.startswith("at " if end == "killed at work" else "warm"):
                break
        pids = [int(word) for word in lines[-1].split()[1:]]
        if end == "interrupted":
            program.send_signal(signal.SIGINT)
        elif end != "of itself":
            program.kill()
        _, err = program.communicate(timeout=30)
    assert len(pids) == 2
    assert all(gone(pid) for pid in pids)
    assert lines.count("begun\n") == 1
    assert "begun" not in err
    assert program.returncode == (
        0 if end == "of itself" else -signal.SIGINT if end == "interrupted" else -signal.SIGKILL
    )
