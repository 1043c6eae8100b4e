"""Errors a person can act on become one sentence; anything else is owned up to as a fault."""

from __future__ import annotations

import sys
import traceback
from types import TracebackType
from typing import Final

import click

EXPECTED: Final = (ValueError, LookupError, OSError)
"""What the rooms raise for bad input, an unknown name or a file that cannot be read."""


class Stop(click.ClickException):
    """The command cannot go on; the message is one sentence that says what to do."""

    exit_code = 2


def one_line(text: str) -> str:
    """``text`` with every run of white space, line ends included, turned into one space."""
    return " ".join(text.split())


def sentence(error: BaseException) -> str:
    """The words of an error as one line, without Python's own decoration.

    A ``KeyError`` shows its argument in quotes when turned into text, and an
    ``OSError`` its number; a person needs neither.
    """
    if isinstance(error, OSError) and error.strerror:
        where = f" {error.filename}" if error.filename else ""
        return one_line(f"cannot use{where}: {error.strerror.lower()}") if where else one_line(error.strerror)
    if isinstance(error, KeyError) and len(error.args) == 1:
        return one_line(str(error.args[0]))
    return one_line(str(error)) or type(error).__name__


def _raised_in(trace: TracebackType | None) -> str:
    """Name of the module whose code raised, from the innermost frame."""
    name = ""
    while trace is not None:
        name = str(trace.tb_frame.f_globals.get("__name__", ""))
        trace = trace.tb_next
    return name


def is_expected(error: BaseException) -> bool:
    """Whether the error was meant for the person who typed, not for us.

    Our own subclasses always are. A plain ``ValueError`` or ``KeyError`` is, when our
    own code raised it; one from deep inside a numeric library is a fault of ours.
    """
    if not isinstance(error, EXPECTED):
        return False
    if isinstance(error, OSError) or type(error).__module__.startswith("tideover."):
        return True
    return _raised_in(error.__traceback__).startswith("tideover.")


def report(error: Exception, debug: bool) -> int:
    """Say what went wrong on stderr and return the exit code.

    Parameters: error; debug: show the whole traceback as well.
    Returns: 2 for an expected error, 1 for a fault of the program.
    """
    if debug:
        traceback.print_exception(error, file=sys.stderr)
    problems = getattr(error, "problems", None)
    if problems:
        count = len(problems)
        said = str(error).partition("\n")[0] if "\n" in str(error) else ""
        head = said or f"nothing was written: {count} problem{'s' if count != 1 else ''}"
        print(f"tideover: {one_line(head)}", file=sys.stderr)
        for problem in problems:
            print(f"  {one_line(str(problem))}", file=sys.stderr)
        return 2
    if is_expected(error):
        print(f"tideover: {sentence(error)}", file=sys.stderr)
        return 2
    print(
        f"tideover: this is a fault in Tideover, not in what you typed ({type(error).__name__}: {sentence(error)}); "
        "the books are as they were, and --debug before the command shows where it happened.",
        file=sys.stderr,
    )
    return 1
