"""Building colonies from totals: adults, brood by stage, stores."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import P

Floats = NDArray[np.float64]


def establish(
    params: Floats,
    *,
    adults: Floats | float,
    eggs: Floats | float,
    open_larvae: Floats | float,
    capped: Floats | float,
    pollen_g: Floats | float,
    honey_g: Floats | float,
    warmth_c: float = 20.0,
    flight: float = 0.8,
    jelly: Floats | float = 1.0,
    reserve: Floats | float = 0.5,
    mites: Floats | float = 1.2,
    queen: Floats | float = 1.0,
) -> Ensemble:
    """Spread totals over ages as in a colony that has been much the same for weeks.

    :param params: parameters, shape (members, PARAMS).
    :param adults: adult workers [bees], shape (members,) or scalar; likewise eggs, open_larvae,
        capped [cells], pollen_g [g, as fresh pollen], honey_g [g].
    :param warmth_c: two-week mean temperature [degC].
    :param flight: recent share of a full flying day (0-1).
    :param jelly: jelly index (0 dry - 1 floating).
    :param reserve: mean reserve of house bees (0-1).
    :param mites: mites per hundred bees.
    :param queen: 1 laying, negative days until laying, -9999 none.
    :returns: an ensemble with ``params`` and the new state.
    """
    n = params.shape[0]
    x = np.zeros((n, lay.STATE))

    def full(v: Floats | float) -> Floats:
        return np.broadcast_to(np.asarray(v, dtype=np.float64), (n,))

    x[:, lay.EGG : lay.LARVA] = full(eggs)[:, None] / lay.N_EGG
    x[:, lay.LARVA : lay.CAPPED] = full(open_larvae)[:, None] / lay.N_LARVA
    x[:, lay.CAPPED : lay.QUALITY] = full(capped)[:, None] / lay.N_CAPPED
    x[:, lay.QUALITY : lay.HOUSE] = np.clip(0.3 + 0.7 * full(jelly), 0, 1)[:, None]
    foragers = full(adults) * params[:, P["forager_share"]] * flight
    house = full(adults) - foragers
    ages = np.arange(lay.N_AGE - 1)
    # Emergence sets the young end of the age pyramid; whoever is left over is old.
    daily = full(capped) / lay.N_CAPPED
    young = daily[:, None] * np.exp(-0.02 * ages) * np.clip(1.0 - (ages - 12) / 14.0, 0.05, 1.0)
    scale = np.minimum(1.0, 0.97 * house / (young.sum(axis=1) + 1e-9))
    x[:, lay.HOUSE : lay.HOUSE + lay.N_AGE - 1] = young * scale[:, None]
    x[:, lay.HOUSE + lay.N_AGE - 1] = house - (young * scale[:, None]).sum(axis=1)
    x[:, lay.RESERVE : lay.FORAGER] = full(reserve)[:, None]
    x[:, lay.FORAGER] = foragers
    x[:, lay.JELLY] = full(jelly)
    x[:, lay.NUTRITION] = full(jelly)
    x[:, lay.POLLEN_MEMORY] = 0.3 + 0.7 * full(jelly)
    x[:, lay.BREAD] = full(pollen_g)
    x[:, lay.HONEY] = full(honey_g)
    x[:, lay.MITES] = full(mites)
    x[:, lay.QUEEN] = full(queen)
    x[:, lay.FLIGHT_MEMORY] = flight
    x[:, lay.WARMTH] = warmth_c
    x[:, lay.PATTY_PROTEIN] = 0.15
    return Ensemble(x, np.ascontiguousarray(params))
