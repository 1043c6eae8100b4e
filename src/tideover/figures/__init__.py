"""The figures book: published numbers with value, range, unit, source and how we know.

What lives here: the rows (``data/*.toml``, one subject a file), the sources (``data/sources.toml``
and any ``[[source]]`` beside the rows that use it), the reader that refuses a row without a unit
or a source, the priors the rows carry, and the exact factors between units (``units.py``).
Imports nothing from the other rooms.

Start reading in ``rows.py`` (what a row is), then ``reading.py`` (what is refused), then
``shelf.py`` (how rows are looked up).  Use::

    from tideover.figures import book
    book().value("brood.egg_days")
"""

from tideover.figures.prior import Prior
from tideover.figures.rows import CONFIDENCES, DISTS, KINDS, KNOWN, FigureError, Row, Source, UnknownFigureError
from tideover.figures.shelf import Book, book, load, reader

__all__ = [
    "CONFIDENCES",
    "DISTS",
    "KINDS",
    "KNOWN",
    "Book",
    "FigureError",
    "Prior",
    "Row",
    "Source",
    "UnknownFigureError",
    "book",
    "load",
    "reader",
]
