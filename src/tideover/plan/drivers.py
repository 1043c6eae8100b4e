"""What drove a call: the observations that moved it most, and the one worth making next."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.evidence.assimilate import OBSERVABLES, Assimilated
from tideover.figures import reader
from tideover.plan.call import Reason
from tideover.plan.gates_words import honey
from tideover.plan.wording import jelly_word

_value = reader("calls")
BACK_D, HALF_D = _value("reason_back_d"), _value("reason_half_d")
"""Age at which a look is no reason any more, and at which it speaks half as loud."""
LEAST, ASK_LEAST = _value("reason_least"), _value("ask_least")
POLLEN_FLOOR_G, MITE_FLOOR = _value("pollen_floor_g"), _value("mite_floor")
"""Below these amounts are much alike."""

Floats = NDArray[np.float64]

_SAYS = {
    "adults": "bees",
    "open brood": "open brood",
    "capped brood": "capped brood",
    "stored pollen": "stored pollen",
    "honey": "honey",
    "jelly": "jelly in young cells",
    "queen": "a laying queen",
    "mites": "mites",
}
_ASK = {
    "adults": "count seams of bees",
    "open brood": "judge open brood on the brood comb",
    "capped brood": "judge capped brood on the brood comb",
    "stored pollen": "look at stored pollen on an outer comb",
    "honey": "heft the hive or count honey combs",
    "jelly": "look at jelly around larvae 12-48 h old",
    "queen": "look for eggs",
    "mites": "wash for mites",
}


def _corr(a: Floats, b: Floats) -> float:
    if a.std() < 1e-9 or b.std() < 1e-9:
        return 0.0
    return float(np.corrcoef(a, b)[0, 1])


def drivers(known: Assimilated, members: NDArray[np.intp], gain: Floats, today: date, most: int = 2) -> list[Reason]:
    """Return the looks and observables that moved the call most.

    :param known: the hive as known; its ``reads`` hold each look's shift per observable.
    :param members: members the plans were compared on.
    :param gain: bees at winter gained per compared member.
    :param today: day of the call; looks too old (``BACK_D``) are left out.
    :returns: at most ``most`` reasons, strongest first. The weight is shift x correlation: how far
        the look moved the observable, times how strongly the gain goes with it.
    """
    found: list[tuple[float, Reason]] = []
    for read in known.reads:
        age = (today - read.day).days
        if age > BACK_D:
            continue
        shift = (read.after - read.before) / read.spread
        for k, name in enumerate(OBSERVABLES):
            link = _corr(read.values[members, k], gain)
            weight = float(shift[k] * link)
            if abs(weight) < LEAST:
                continue
            way = "more" if shift[k] > 0 else "less"
            toward = "for feeding" if weight > 0 else "against feeding"
            what = _SAYS[name]
            if name == "queen":
                way = "likelier" if shift[k] > 0 else "less likely"
                text = f"{read.day:%-d %b}: a laying queen {way} than before the look; speaks {toward}"
            else:
                was, now = _number(name, read.before[k]), _number(name, read.after[k])
                if was == now:
                    continue
                text = f"{read.day:%-d %b}: {way} {what} than expected ({was} expected, {now} after the look)"
                text += f"; speaks {toward}"
            # What was seen lately speaks louder to a keeper: half as loud after some weeks.
            found.append((abs(weight) * 0.5 ** (age / HALF_D), Reason(text, read.entry, round(weight, 3))))
    found.sort(key=lambda f: -f[0])
    seen: set[str] = set()
    chosen: list[Reason] = []
    for _, r in found:
        if r.entry is None or r.entry in seen:
            continue
        seen.add(r.entry)
        chosen.append(r)
        if len(chosen) == most:
            break
    return chosen


def _number(name: str, v: float) -> str:
    if name == "honey":
        return honey(v, places=0)
    if name == "stored pollen":
        return f"{max(0.0, round(v, -1)):.0f} g"
    if name == "jelly":
        return jelly_word(v)
    if name == "mites":
        return f"{v:.1f} per 100"
    return f"{round(v, -2):,.0f}".replace(",", " ")


def worth_looking(
    known: Assimilated, members: NDArray[np.intp], gain: Floats, most: int = 2
) -> list[tuple[str, float]]:
    """Return what to look at next: the observables that explain most of the doubt about the gain.

    :returns: (what to do, share of the gain's variance it explains), strongest first.
    """
    e = known.ensemble
    values = np.stack(
        [
            e.adults(),
            e.open_larvae(),
            e.capped(),
            np.log(e.state[:, lay.BREAD] + POLLEN_FLOOR_G),
            e.state[:, lay.HONEY],
            e.state[:, lay.JELLY],
            (e.state[:, lay.QUEEN] > 0.5).astype(float),
            np.log(e.state[:, lay.MITES] + MITE_FLOOR),
        ],
        axis=1,
    )[members]
    scored = [(_ASK[name], _corr(values[:, k], gain) ** 2) for k, name in enumerate(OBSERVABLES)]
    return [s for s in sorted(scored, key=lambda s: -s[1]) if s[1] > ASK_LEAST][:most]
