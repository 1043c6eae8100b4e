"""The invented Calder Basin season: three yards, twenty-six hives, one hot dry summer.

What lives here: a small world with its own rules (``weather``, ``land``, ``colony``),
the stories of its hives (``stories``), the two keepers who look and write
(``visits``, ``sees``, ``keeping``, ``incidents``), and the files they leave (``sheets``,
``truth``, ``make``). It is made apart from the science it is used to show: it may
import ``records.kinds`` for the names of sheets and columns, and nothing else of
the house. Start reading at ``stories``, then ``make``.
"""

from tideover.demo.make import make

__all__ = ["make"]
