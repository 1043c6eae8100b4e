"""Forage shared by a yard: what the looks at one hive say of the land informs its neighbours.

All hives of a yard follow the same index of pollen on offer. Each hive is first known from its own
entries alone; what each of its looks then says of the index, apart from what was known of it before,
is a message (``known.LandSaid``). A hive is known anew with the messages of all others, never its own, so
that nothing is counted twice: the paths of the index are weighted by them before members follow any.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony.weather import Weather
from tideover.evidence.assimilate import assimilate
from tideover.evidence.known import Assimilated, LandSaid
from tideover.evidence.moving import effective, systematic
from tideover.evidence.seen import HiveCase
from tideover.evidence.sky import Sky

Floats = NDArray[np.float64]

LEAST_EFFECTIVE: Final = 60.0
"""Paths of the index that must stay effective; sharper messages are taken with part of their weight."""


def path_weights(sky: Sky, said: Iterable[LandSaid]) -> Floats:
    """Weights of a sky's paths given messages of other hives, summing to one, shape (paths,).

    :param sky: the yard's drivers.
    :param said: Gaussian messages on means of the log index over days; those outside the sky say nothing.
    """
    log = np.zeros(sky.paths.shape[0])
    for m in said:
        i, j = max(0, (m.first - sky.first).days), min(sky.days, (m.day - sky.first).days)
        if m.precision > 0.0 and i < j:
            log -= 0.5 * m.precision * (sky.paths[:, i:j].mean(axis=1) - m.log_index) ** 2
    top = log - log.max()
    share = 1.0
    while effective(np.exp(share * top)) < min(LEAST_EFFECTIVE, 0.5 * log.size) and share > 1e-12:
        share *= 0.7
    weights = np.exp(share * top)
    return np.asarray(weights / weights.sum())


def informed(sky: Sky, said: Sequence[LandSaid], seed: int, draw: int | None = None) -> Sky:
    """The sky with its paths drawn anew by what other hives' looks say; the same sky when they say nothing.

    :param draw: paths drawn, in no order; as many as there are when not given.
    """
    if not any(m.precision > 0.0 for m in said):
        return sky
    weights = path_weights(sky, said)
    rng = np.random.default_rng(seed)
    chosen = systematic(weights, weights.size if draw is None else draw, rng)
    return replace(sky, paths=sky.paths[chosen if draw is None else rng.permutation(chosen)])


def led_on(weather: Weather, leads_from: Floats, keep: float, before: Sky, after: Sky) -> Weather:
    """Futures led on from paths that other hives' looks have weighed.

    The land's departure fades by ``keep`` a day whatever befalls it, so that a future which began a little higher
    stays so much higher, fading: each is moved from where it began among the paths of ``before`` to the same rank
    among those of ``after``. Everything else of it, weather and luck, is its own.

    :param weather: futures, rows of ``log_index``.
    :param leads_from: each future's log index on the last day that is past, shape (futures,).
    :param keep: share of the land's departure kept from one day to the next.
    :param before: the sky the futures were drawn for.
    :param after: the same sky informed.
    """
    n = leads_from.size
    rank = np.empty(n)
    rank[np.argsort(leads_from, kind="stable")] = (np.arange(n) + 0.5) / n
    moved = np.quantile(after.paths[:, -1], rank) - np.quantile(before.paths[:, -1], rank)
    fades = keep ** np.arange(1.0, weather.days + 1.0)
    return replace(weather, log_index=weather.log_index + moved[:, None] * fades)


def said_by_others(known: Iterable[Assimilated], hive: str) -> list[LandSaid]:
    """The messages of every hive but one, in a fixed order."""
    return sorted((m for a in known if a.hive != hive for m in a.land), key=lambda m: (m.hive, m.day, m.entry))


def assimilate_yard(
    cases: Sequence[HiveCase], sky: Sky, today: date, *, members: int, seed: int = 1, first_members: int | None = None
) -> dict[str, Assimilated]:
    """Carry all hives of a yard to the morning of ``today``, each informed by the others' looks.

    :param cases: the hives.
    :param sky: the yard's drivers.
    :param today: the day answers are for.
    :param members: members a hive is answered with.
    :param seed: seed; hives' names are mixed in.
    :param first_members: members of the first round, which only hears each hive alone; a third when not given.
    """
    few = first_members or max(100, members // 3)
    alone = [assimilate(c, sky, today, members=few, seed=seed) for c in cases]
    return {
        c.hive: assimilate(
            c, informed(sky, said_by_others(alone, c.hive), seed), today, members=members, seed=seed
        )
        for c in cases
    }  # fmt: skip
