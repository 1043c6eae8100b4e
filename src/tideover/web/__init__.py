"""The pages: server-rendered, quick on a phone, working without scripts.

What lives here: the application (``app``), the doorkeeper (``guard``), pages that show
(``reading``), forms that write (``entering``, made by ``forms`` from the table of kinds), pages
about the books (``book_pages``), the kitchen (``kitchen_pages``), JSON for scripts (``api``), inline SVG (``icons``,
``charts``), words and units (``say``, ``units``), and the serving itself (``server``). Imports any room below;
nothing but the command line imports this one.

Start reading in ``app.py``, then ``reading.py`` and ``entering.py``. Use::

    from tideover.web import create_app, serve
    serve(desk)
"""

from tideover.web.app import create_app
from tideover.web.server import DEFAULT_PORT, NoPortError, serve

__all__ = ["DEFAULT_PORT", "NoPortError", "create_app", "serve"]
