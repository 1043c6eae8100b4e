"""Commands: the same answers as the pages, for a terminal and for scripts.

What lives here: one small module per command in ``commands/``, the group that
finds them in ``main.py``, the tables and JSON shapes they print, and the JSON
Schemas of that output in ``schemas/``.

May import every other room, but only inside functions: ``tideover --help`` must
start in well under a third of a second, so nothing heavy is loaded to print help.

Start reading at ``main.py``, then ``session.py``.
"""
