"""Colonies as they may be before anything was seen of them."""

from __future__ import annotations

from datetime import date
from typing import Final

import numpy as np

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.establish import establish
from tideover.colony.layout import P
from tideover.colony.parameters import constants, draw
from tideover.colony.weather import light_term
from tideover.evidence.sky import Sky, daylength_change
from tideover.figures import book, reader

_value = reader("looks")
BACK_D: Final = int(_value("start_back_d"))
ADULTS, ADULTS_LOG_SD = _value("start_adults"), _value("start_adults_log_sd")
ADULTS_LEAST, ADULTS_MOST = _value("start_adults_least"), _value("start_adults_most")
LAYING_LOG_SD: Final = _value("start_laying_log_sd")
LIVED_LOSS, LIVED_LEAST = _value("start_lived_loss"), _value("start_lived_least")
QUEENRIGHT, QUEEN_COMING = _value("start_queenright"), _value("start_queen_coming")
IDLE_MOST_D: Final = _value("start_idle_most_d")
STOCK_EGGS, STOCK_OPEN, STOCK_CAPPED = _value("stock_eggs"), _value("stock_open"), _value("stock_capped")
"""Brood of each stage that one egg a day keeps up [cells]."""
OPEN_LOG_SD, CAPPED_LOG_SD = _value("start_open_log_sd"), _value("start_capped_log_sd")
POLLEN_G, POLLEN_LOG_SD = _value("start_pollen_g"), _value("start_pollen_log_sd")
HONEY_G, HONEY_LOG_SD = _value("start_honey_g"), _value("start_honey_log_sd")
RESERVE, RESERVE_SD = _value("start_reserve"), _value("start_reserve_sd")
RESERVE_LEAST, RESERVE_MOST = _value("start_reserve_least"), _value("start_reserve_most")
STAGES: Final = (
    (0.0, float(lay.N_EGG)),
    (float(lay.N_EGG), float(lay.N_LARVA)),
    (float(lay.N_EGG + lay.N_LARVA), float(lay.N_CAPPED)),
)
"""Age at which each stage of brood begins, and its days."""


def starting(rng: np.random.Generator, members: int, sky: Sky, day: date) -> Ensemble:
    """Draw colonies as they may be before anything was seen: broad, but in season.

    Brood follows the light and warmth of the day; sizes and stores spread over what keepers have (rows
    ``looks.start_*``).

    :param rng: generator; the same generator state gives the same colonies.
    :param members: number of colonies drawn.
    :param sky: the yard's drivers, for light and warmth.
    :param day: the day they stand on.
    """
    params = draw(rng, members)
    i = sky.at(day)
    c = constants()
    around = slice(max(i - 1, 0), min(i + 1, sky.days - 1) + 1)
    change = float(daylength_change(sky.daylength_h[around]).mean())
    light = float(light_term(np.array([sky.daylength_h[i]]), np.array([change]), c)[0])
    back = slice(max(0, i - BACK_D), i + 1)
    warmth = float(np.mean(0.5 * (sky.temp_max_c[back] + sky.temp_min_c[back])))
    warm = float(
        np.clip(
            (warmth - c[lay.C["laying_temp_none"]]) / (c[lay.C["laying_temp_full"]] - c[lay.C["laying_temp_none"]]),
            0,
            1,
        )
    )
    n = members
    adults = np.clip(ADULTS * np.exp(ADULTS_LOG_SD * rng.standard_normal(n)), ADULTS_LEAST, ADULTS_MOST)
    size = adults / (adults + c[lay.C["size_half_bees"]])
    laying = params[:, P["laying_max"]] * light * warm * size * size * np.exp(LAYING_LOG_SD * rng.standard_normal(n))
    # Past supply sets how much of the laying has lived: late stages lag early ones.
    lived = np.clip(1.0 - np.abs(LIVED_LOSS * rng.standard_normal(n)), LIVED_LEAST, 1.0)
    # A colony without a laying queen may have been so for long: brood runs out stage by stage.
    idle = np.where(rng.random(n) < QUEENRIGHT, 0.0, rng.uniform(0.0, IDLE_MOST_D, n))
    raised = np.minimum(-1.0, np.round(idle) - c[lay.C["queen_gap"]])
    coming = np.where(rng.random(n) < QUEEN_COMING, raised, lay.NO_QUEEN)
    queen = np.where(idle > 0.0, coming, 1.0)
    left = [np.clip(1.0 - (idle - after) / length, 0.0, 1.0) for after, length in STAGES]
    mites = book().row("colony.mites_start").prior().sample(rng, n)
    return establish(
        params,
        adults=adults,
        eggs=STOCK_EGGS * laying * left[0] * lived,
        open_larvae=STOCK_OPEN * laying * left[1] * lived * np.exp(OPEN_LOG_SD * rng.standard_normal(n)),
        capped=STOCK_CAPPED * laying * left[2] * np.exp(CAPPED_LOG_SD * rng.standard_normal(n)),
        pollen_g=POLLEN_G * np.exp(POLLEN_LOG_SD * rng.standard_normal(n)),
        honey_g=HONEY_G * np.exp(HONEY_LOG_SD * rng.standard_normal(n)),
        warmth_c=warmth,
        flight=float(np.clip(np.mean(sky.flight_h[back]) / c[lay.C["full_day_h"]], 0.0, 1.0)),
        jelly=lived,
        reserve=np.clip(RESERVE + RESERVE_SD * rng.standard_normal(n), RESERVE_LEAST, RESERVE_MOST),
        mites=mites,
        queen=queen,
    )
