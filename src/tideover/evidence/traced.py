"""What members went through, kept while they are drawn again and again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Index = NDArray[np.intp]


@dataclass(frozen=True)
class Traced:
    """Rows of members gone by and which of them today's members descend from; nothing is gathered until asked for.

    :param rows: a row a member of then.
    :param of: for each member of today, its row.
    """

    rows: NDArray[Any]
    of: Index

    @staticmethod
    def now(rows: NDArray[Any]) -> Traced:
        """Rows of the members as they are."""
        return Traced(rows, np.arange(rows.shape[0], dtype=np.intp))

    def follow(self, lineage: Index) -> Traced:
        """The same rows for members of which each descends from one of those of now."""
        return Traced(self.rows, self.of[lineage])

    def gathered(self) -> NDArray[Any]:
        """A row for each of today's members."""
        found: NDArray[Any] = self.rows[self.of]
        return found
