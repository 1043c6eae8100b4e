"""What every command shares: which books, and how to open them."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tideover.cli.errors import Stop

if TYPE_CHECKING:
    from tideover.desk import Desk
    from tideover.records import Books

DEMO_FOLDER = Path(".tideover") / "demo"
"""Where the invented season lives, below the folder the command is started in."""


def program() -> str:
    """How the person starts the program: ``./tide`` in a checkout, else ``tideover``."""
    return os.environ.get("TIDEOVER_SAYS", "tideover")


def home_books() -> Path:
    """Where a person's own books live when nothing else is said, by the custom of the system."""
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "tideover" / "books.db"


def demo_books() -> Path:
    """The books of the invented season."""
    return DEMO_FOLDER / "books.db"


@dataclass(frozen=True)
class Session:
    """The books a command works on, and whether to show tracebacks."""

    books: str
    debug: bool = False
    processes: int | None = None
    """Hives worked out at once; None leaves it to the desk."""

    @property
    def is_url(self) -> bool:
        """Whether the books are a database server's rather than a file."""
        return "://" in self.books

    def path(self) -> Path:
        """The books' file.

        Raises: Stop when the books are on a server.
        """
        if self.is_url:
            raise Stop(
                "these books are on a database server, so there is no file; use the server's own tools for this."
            )
        return Path(self.books)

    def need(self) -> None:
        """Stop with a way out when there are no books yet.

        Raises: Stop.
        """
        if not self.is_url and not Path(self.books).exists():
            raise Stop(
                f"there are no books at {self.books} yet; begin with '{program()} bring FILE...', or on the pages with "
                f"'{program()} serve --new'; name others with --books, or see the invented season with "
                f"'{program()} demo'."
            )

    @contextmanager
    def open_books(self, create: bool = False) -> Iterator[Books]:
        """The books, closed again at the end; made first when ``create``."""
        from tideover.records import open_books

        if not create:
            self.need()
        elif not self.is_url:
            Path(self.books).parent.mkdir(parents=True, exist_ok=True)
        books = open_books(self.books)
        try:
            yield books
        finally:
            books.close()

    @contextmanager
    def open_desk(self) -> Iterator[Desk]:
        """Books and science together; the books are closed at the end."""
        from tideover.desk import open_desk

        self.need()
        desk = open_desk(self.books, processes=self.processes)
        try:
            settle_day(desk)
            yield desk
        finally:
            desk.close()


def session() -> Session:
    """The session of the command being run."""
    found = click.get_current_context().find_object(Session)
    if found is None:
        raise RuntimeError("a command was run without its group")
    return found


def settle_day(desk: Desk) -> None:
    """Let the desk answer for the day the keeper set, when one is set."""
    from datetime import date

    said = desk.books.settings().get("today")
    if said:
        desk.set_today(date.fromisoformat(str(said)))
