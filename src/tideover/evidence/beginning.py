"""Colonies as they may be before anything was seen of them."""

from __future__ import annotations

from datetime import date

import numpy as np

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.establish import establish
from tideover.colony.layout import P
from tideover.colony.parameters import constants, draw
from tideover.colony.weather import light_term
from tideover.evidence.sky import Sky, daylength_change
from tideover.figures import book


def starting(rng: np.random.Generator, members: int, sky: Sky, day: date) -> Ensemble:
    """Draw colonies as they may be before anything was seen: broad, but in season.

    Brood follows the light and warmth of the day; sizes and stores spread over what keepers have
    (our assumption: adults 14,000 times or over e^0.6, pollen 600 g e^0.9, honey 10 kg e^0.7).

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
    back = slice(max(0, i - 14), i + 1)
    warmth = float(np.mean(0.5 * (sky.temp_max_c[back] + sky.temp_min_c[back])))
    warm = float(
        np.clip(
            (warmth - c[lay.C["laying_temp_none"]]) / (c[lay.C["laying_temp_full"]] - c[lay.C["laying_temp_none"]]),
            0,
            1,
        )
    )
    n = members
    adults = np.clip(14_000.0 * np.exp(0.6 * rng.standard_normal(n)), 500, 70_000)
    size = adults / (adults + c[lay.C["size_half_bees"]])
    laying = params[:, P["laying_max"]] * light * warm * size * size * np.exp(0.4 * rng.standard_normal(n))
    # Past supply sets how much of the laying has lived: late stages lag early ones.
    lived = np.clip(1.0 - np.abs(0.35 * rng.standard_normal(n)), 0.02, 1.0)
    # A colony without a laying queen may have been so for long: brood runs out stage by stage.
    idle = np.where(rng.random(n) < 0.96, 0.0, rng.uniform(0.0, 30.0, n))
    coming = np.where(rng.random(n) < 0.6, np.minimum(-1.0, np.round(idle) - c[lay.C["queen_gap"]]), -9999.0)
    queen = np.where(idle > 0.0, coming, 1.0)
    left = [np.clip(1.0 - (idle - after) / length, 0.0, 1.0) for after, length in ((0.0, 3.0), (3.0, 6.0), (9.0, 12.0))]
    mites = book().row("colony.mites_start").prior().sample(rng, n)
    return establish(
        params,
        adults=adults,
        eggs=2.9 * laying * left[0] * lived,
        open_larvae=5.4 * laying * left[1] * lived * np.exp(0.2 * rng.standard_normal(n)),
        capped=10.3 * laying * left[2] * np.exp(0.25 * rng.standard_normal(n)),
        pollen_g=600.0 * np.exp(0.9 * rng.standard_normal(n)),
        honey_g=10_000.0 * np.exp(0.7 * rng.standard_normal(n)),
        warmth_c=warmth,
        flight=float(np.clip(np.mean(sky.flight_h[back]) / 8.0, 0.0, 1.0)),
        jelly=lived,
        reserve=np.clip(0.5 + 0.12 * rng.standard_normal(n), 0.1, 0.95),
        mites=mites,
        queen=queen,
    )
