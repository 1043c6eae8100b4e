"""What each ensemble member would show a keeper who opened the hive now."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.elementary import exp, log
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import P
from tideover.comb.density import worker_cells_per_dm2
from tideover.comb.frames import frame
from tideover.evidence.seen import BoxSpec
from tideover.figures import book, reader

Floats = NDArray[np.float64]

BREAD_POLLEN_SHARE: Final = book().value("colony.bread_pollen_share")
"""Pollen in bee bread by weight."""
_value = reader("looks")
COMB_COVERED, COMB_BEGUN, COMB_BEGUN_CELLS = _value("comb_covered"), _value("comb_begun"), _value("comb_begun_cells")


def _parts() -> Floats:
    made = np.zeros((lay.STATE, 4))
    adults = (slice(lay.HOUSE, lay.RESERVE), lay.FORAGER)
    for k, part in ((0, adults[0]), (0, adults[1]), (1, slice(lay.EGG, lay.LARVA)), (2, slice(lay.LARVA, lay.CAPPED)),
                    (3, slice(lay.CAPPED, lay.QUALITY))):  # fmt: skip
        made[part, k] = 1.0
    return made


_PARTS = _parts()
"""Columns of the state that make up adults, eggs, open larvae and capped brood."""
_ALONE = [lay.BREAD, lay.HONEY, lay.MITES, lay.JELLY, lay.HIVE_DEV, lay.QUEEN, lay.PATTY]


@dataclass(frozen=True)
class Totals:
    """What of members can be seen; every array has shape (members,).

    Units as in the state: bees, cells, grams; ``params`` holds the drawn parameters, shape (PARAMS, members).
    """

    adults: Floats
    foragers: Floats
    eggs: Floats
    open_larvae: Floats
    capped: Floats
    bread_g: Floats
    honey_g: Floats
    mites: Floats
    jelly: Floats
    hive_dev: Floats
    queen: Floats
    patty_g: Floats
    params: Floats

    @staticmethod
    def of(ensemble: Ensemble) -> Totals:
        """Of an ensemble as it stands; nothing is changed by what later happens to it."""
        x = ensemble.state
        # One product instead of five sums over strips of the state.
        adults, eggs, open_larvae, capped = (x @ _PARTS).T
        bread, honey, mites, jelly, dev, queen, patty = x[:, _ALONE].T.copy()
        return Totals(
            adults, x[:, lay.FORAGER].copy(), eggs, open_larvae, capped, bread, honey, mites, jelly, dev, queen, patty,
            ensemble.params.T,
        )  # fmt: skip


class Shown:
    """Predicted observables per member, each worked out when it is first asked for, shape (members,).

    :param of: what of the members can be seen.
    :param boxes: boxes of the hive, bottom first; the first box's comb is the brood comb.
    :param flying: share of foragers in the field at that hour (0-1).
    :param log_index: log of pollen on offer today, shape (members,) or (1,).
    :param counted: what the keeper writes over what is there, for seams and combs; shape (members,) or one number.
    """

    def __init__(
        self, of: Totals, boxes: tuple[BoxSpec, ...], *, flying: float, log_index: Floats, counted: Floats | float = 1.0
    ) -> None:
        self.adults, self.eggs, self.open_larvae, self.capped = of.adults, of.eggs, of.open_larvae, of.capped
        self.pollen_g, self.jelly, self.queen, self.mites = of.bread_g, of.jelly, of.queen, of.mites
        self.patty_g = of.patty_g
        self.counted: Floats = np.broadcast_to(np.asarray(counted, dtype=np.float64), of.adults.shape)
        self._of = of
        self._flying = flying
        self._log_index = log_index
        boxes = boxes or (BoxSpec(),)
        self._side = frame(boxes[0].frame).dm2_per_side
        self._cells_side = self._side * worker_cells_per_dm2()
        self.box_share = tuple(frame(b.frame).dm2_per_side / self._side for b in boxes)
        """How much of a seam of the first box's comb a seam of each box is, bottom first."""
        self._places = sum((b.frames + 1) * part for b, part in zip(boxes, self.box_share, strict=True))

    def _param(self, name: str) -> Floats:
        return np.asarray(self._of.params[P[name]])

    @cached_property
    def at_home(self) -> Floats:
        """Bees in the hive at that hour."""
        return self.adults - self._flying * self._of.foragers

    @cached_property
    def bread_g(self) -> Floats:
        """Bee bread as stored, pollen plus honey and moisture [g]."""
        return self._of.bread_g / BREAD_POLLEN_SHARE

    @cached_property
    def bread_side_g(self) -> Floats:
        """Bee bread of a comb side quite full of it [g]."""
        return self._cells_side * self._param("bread_per_cell_g")

    @cached_property
    def bread_dm2_g(self) -> Floats:
        """Bee bread per dm2 of one face [g]."""
        return worker_cells_per_dm2() * self._param("bread_per_cell_g")

    @cached_property
    def honey_kg(self) -> Floats:
        """Honey [kg]."""
        return self._of.honey_g / 1000.0

    @cached_property
    def honey_comb_kg(self) -> Floats:
        """Honey of a full deep comb [kg]."""
        return frame("deep").dm2_per_side * self._param("honey_per_dm2_g") / 1000.0

    @cached_property
    def honey_dm2_g(self) -> Floats:
        """Honey per dm2 of a comb with both faces [g]."""
        return self._param("honey_per_dm2_g")

    @cached_property
    def bees_per_dm2(self) -> Floats:
        """Bees per dm2 of one face."""
        return self._param("bees_per_dm2")

    @cached_property
    def seams(self) -> Floats:
        """Seams of bees, of the first box's comb."""
        raw = self.at_home / (self.bees_per_dm2 * 2.0 * self._side)
        # Above about nine tenths of the space there is no further seam to fill: the count saturates.
        crowded = raw / self._places
        cubed = crowded * crowded * crowded
        return np.asarray(raw / np.cbrt(np.sqrt(1.0 + cubed * cubed)))

    @cached_property
    def brood_fill(self) -> Floats:
        """Share of a brood comb's cells that hold brood."""
        return self._param("brood_fill")

    @cached_property
    def cells_quarter(self) -> Floats:
        """Cells of brood in a quarter of a side."""
        return self._cells_side / 4.0 * self.brood_fill

    @cached_property
    def brood_combs(self) -> Floats:
        """Combs with brood."""
        brood = self.eggs + self.open_larvae + self.capped
        combs = brood / (2.0 * self._cells_side * self.brood_fill * COMB_COVERED)
        return np.asarray(combs + COMB_BEGUN * (1.0 - exp(-brood / COMB_BEGUN_CELLS)))

    @cached_property
    def offer_log(self) -> Floats:
        """Log of the pollen on offer to this hive."""
        land = np.broadcast_to(self._log_index, self.adults.shape)
        return np.asarray(land + self._of.hive_dev + log(self._param("income_scale")))


def shown(
    ensemble: Ensemble,
    boxes: tuple[BoxSpec, ...],
    *,
    flying: float,
    log_index: Floats,
    counted: Floats | float = 1.0,
) -> Shown:
    """Predict what the hive would show; see ``Shown``. The ensemble may change afterwards, but for its parameters.

    :param ensemble: members.
    :param boxes: boxes of the hive, bottom first; the first box's comb is the brood comb.
    :param flying: share of foragers in the field at that hour (0-1).
    :param log_index: log of pollen on offer today, shape (members,) or (1,).
    :param counted: what the keeper writes over what is there, shape (members,) or one number.
    """
    return Shown(Totals.of(ensemble), boxes, flying=flying, log_index=log_index, counted=counted)
