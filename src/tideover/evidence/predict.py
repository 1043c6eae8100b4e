"""What each ensemble member would show a keeper who opened the hive now."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import P
from tideover.comb.density import worker_cells_per_dm2
from tideover.comb.frames import frame
from tideover.evidence.seen import BoxSpec

Floats = NDArray[np.float64]

BREAD_POLLEN_SHARE = 0.72
"""Pollen in bee bread by weight; kept equal to the figures row ``colony.bread_pollen_share``."""


def _parts() -> Floats:
    made = np.zeros((lay.STATE, 4))
    adults = (slice(lay.HOUSE, lay.RESERVE), lay.FORAGER)
    for k, part in ((0, adults[0]), (0, adults[1]), (1, slice(lay.EGG, lay.LARVA)), (2, slice(lay.LARVA, lay.CAPPED)),
                    (3, slice(lay.CAPPED, lay.QUALITY))):  # fmt: skip
        made[part, k] = 1.0
    return made


_PARTS = _parts()
"""Columns of the state that make up adults, eggs, open larvae and capped brood."""


@dataclass(frozen=True)
class Shown:
    """Predicted observables per member; every array has shape (members,).

    ``bread_g`` is bee bread as stored (pollen plus honey and moisture) [g]; ``counted`` what the keeper
    writes over what is there, for seams and combs; ``bees_per_dm2`` and ``bread_dm2_g`` are per dm2 of one face,
    ``honey_dm2_g`` of a comb with both. ``seams`` are seams of the first box's comb, and ``box_share`` says
    how much of one a seam of each box is, bottom first.
    """

    adults: Floats
    at_home: Floats
    eggs: Floats
    open_larvae: Floats
    capped: Floats
    pollen_g: Floats
    bread_g: Floats
    bread_side_g: Floats
    honey_kg: Floats
    honey_comb_kg: Floats
    jelly: Floats
    queen: Floats
    mites: Floats
    seams: Floats
    patty_g: Floats
    brood_combs: Floats
    cells_quarter: Floats
    offer_log: Floats
    counted: Floats
    bees_per_dm2: Floats
    brood_fill: Floats
    bread_dm2_g: Floats
    honey_dm2_g: Floats
    box_share: tuple[float, ...]


def shown(
    ensemble: Ensemble,
    boxes: tuple[BoxSpec, ...],
    *,
    flying: float,
    log_index: Floats,
    counted: Floats | float = 1.0,
) -> Shown:
    """Predict what the hive would show.

    :param ensemble: members.
    :param boxes: boxes of the hive, bottom first; the first box's comb is the brood comb.
    :param flying: share of foragers in the field at that hour (0-1).
    :param log_index: log of pollen on offer today, shape (members,) or (1,).
    :param counted: what the keeper writes over what is there, shape (members,) or one number.
    """
    x, p = ensemble.state, ensemble.params
    comb = frame((boxes or (BoxSpec(),))[0].frame)
    side = comb.dm2_per_side
    cells_side = side * worker_cells_per_dm2()
    # One product instead of five sums over strips of the state.
    adults, eggs, open_larvae, capped = (x @ _PARTS).T
    foragers = x[:, lay.FORAGER]
    at_home = adults - flying * foragers
    full_seam = p[:, P["bees_per_dm2"]] * 2.0 * side
    share = tuple(frame(b.frame).dm2_per_side / side for b in boxes) or (1.0,)
    places = sum((b.frames + 1) * part for b, part in zip(boxes, share, strict=False)) or 11.0
    raw = at_home / full_seam
    # Above about nine tenths of the space there is no further seam to fill: the count saturates.
    seams = raw / (1.0 + (raw / places) ** 6) ** (1.0 / 6.0)
    fill = p[:, P["brood_fill"]]
    brood = eggs + open_larvae + capped
    combs = brood / (2.0 * cells_side * fill * 0.62)
    bread = x[:, lay.BREAD] / BREAD_POLLEN_SHARE
    return Shown(
        adults=adults,
        at_home=at_home,
        eggs=eggs,
        open_larvae=open_larvae,
        capped=capped,
        pollen_g=x[:, lay.BREAD].copy(),
        bread_g=bread,
        bread_side_g=cells_side * p[:, P["bread_per_cell_g"]],
        honey_kg=x[:, lay.HONEY] / 1000.0,
        honey_comb_kg=frame("deep").dm2_per_side * p[:, P["honey_per_dm2_g"]] / 1000.0,
        jelly=x[:, lay.JELLY].copy(),
        queen=x[:, lay.QUEEN].copy(),
        mites=x[:, lay.MITES].copy(),
        seams=seams,
        patty_g=x[:, lay.PATTY].copy(),
        brood_combs=combs + 0.6 * (1.0 - np.exp(-brood / 500.0)),
        cells_quarter=cells_side / 4.0 * fill,
        offer_log=np.broadcast_to(log_index, adults.shape) + x[:, lay.HIVE_DEV] + np.log(p[:, P["income_scale"]]),
        counted=np.broadcast_to(np.asarray(counted, dtype=np.float64), adults.shape),
        bees_per_dm2=p[:, P["bees_per_dm2"]],
        brood_fill=fill,
        bread_dm2_g=worker_cells_per_dm2() * p[:, P["bread_per_cell_g"]],
        honey_dm2_g=p[:, P["honey_per_dm2_g"]],
        box_share=share,
    )
