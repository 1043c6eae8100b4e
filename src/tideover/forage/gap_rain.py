"""Rain on days nobody measured: the usual rain of these days of the year, falling in usual wet days.

A land on which nothing falls over a long gap is told too dry. What falls there instead is reckoned from the record's
own days within a month of the same day of the year, earlier years' and this one's, shrunk to the place's yearly rain
where the record is short. It gathers from day to day and falls as one usual wet day whenever it adds up to one: a
drizzle every day would never wet the soil. A few days in a dry month take none. It is no reading: the days stay
unmeasured, and whoever uses them keeps them wide.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book

Floats = npt.NDArray[np.float64]
YEAR_D: Final = 365.25
WINDOW_D: Final = int(book().value("lookout.gap_rain_window_d"))
"""Days of the year on either side that tell of a day's usual rain."""
PRIOR_D: Final = book().value("lookout.gap_rain_prior_d")
"""Days of the record that the place's yearly rain weighs."""


def usual_rain_mm(j: npt.ArrayLike, rain_mm: npt.ArrayLike, annual_mm: float, at: npt.ArrayLike) -> Floats:
    """Usual rain a day [mm] on the days of the year ``at``, shape (at,).

    j: days of the year of the record; rain_mm: its rain [mm], NaN where not measured, same shape. annual_mm: the
    place's yearly rain [mm], which speaks where the record does not.
    """
    days, fell = np.asarray(j, dtype=np.float64), np.asarray(rain_mm, dtype=np.float64)
    known = ~np.isnan(fell)
    bins = np.round(days[known]).astype(np.int64) % 366
    total, count = (np.bincount(bins, w, 366) for w in (fell[known], np.ones(int(known.sum()))))
    reach = np.arange(-WINDOW_D, WINDOW_D + 1)
    near = (np.round(np.asarray(at, dtype=np.float64)).astype(np.int64)[:, None] + reach) % 366
    return np.asarray(
        (total[near].sum(axis=1) + PRIOR_D * annual_mm / YEAR_D) / (count[near].sum(axis=1) + PRIOR_D), dtype=np.float64
    )


def filled(j: npt.ArrayLike, rain_mm: npt.ArrayLike, annual_mm: float, wet_day_mm: float) -> Floats:
    """A run of days' rain [mm] with its gaps filled, shape (days,).

    j: day of the year of each day; rain_mm: NaN where not measured. wet_day_mm: rain of a usual wet day [mm].
    """
    out = np.array(rain_mm, dtype=np.float64)
    gaps = np.isnan(out)
    usual = usual_rain_mm(j, out, annual_mm, j)
    gathered = 0.0
    for k in range(out.size):
        if not gaps[k]:
            gathered = 0.0
            continue
        gathered += float(usual[k])
        out[k] = wet_day_mm if gathered >= wet_day_mm else 0.0
        gathered -= float(out[k])
    return out
