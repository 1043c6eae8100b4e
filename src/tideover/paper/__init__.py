"""Printed sheets: the round on paper, to carry, fill in with a pencil and type in later.

What lives here: the page and its blocks, our shapes drawn as vectors, the embedded
typeface, and the words for amounts, days and odds that the commands use as well.

May import ``desk.views`` and ``plan.call`` for what it is given to print, and
``evidence.words`` for what may be ticked; nothing is computed here.

Start reading at ``sheet.py``, then ``block.py`` and ``blanks.py``.
"""

from tideover.paper.sheet import PAPER_SIZES, round_sheet

__all__ = ["PAPER_SIZES", "round_sheet"]
