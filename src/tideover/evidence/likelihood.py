"""How well each member agrees with one look: words and counts as distributions.

Every item has its own observation error (rows ``looks.*`` of the figures book, mostly our assumptions) and a
small wrong-entry part, so that one absurd number has bounded influence; a whole look has
one too, for a look typed into the wrong hive. What was not looked at contributes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from tideover.colony import layout as lay
from tideover.colony.elementary import exp, log
from tideover.comb.stores import POLLEN_FILLED
from tideover.evidence import chances
from tideover.evidence.predict import Shown
from tideover.evidence.scatters import (
    BEE_KG,
    COMBS,
    EGGS_BY_MISTAKE,
    EGGS_E_FOLD,
    EGGS_FOUND,
    HALF_SIDES,
    HEFT_LOG,
    HEFT_UNFELT_KG,
    HONEY,
    JELLY_ALIKE,
    JELLY_BLUR,
    JELLY_DRY,
    JELLY_FLOATING,
    JELLY_LEAST,
    JELLY_WIDTH,
    LEAST_SHARE,
    MIDDLE_COMB,
    NEST,
    NEST_SHARE,
    OUTER,
    OUTER_SHARE,
    OUTER_SIDES,
    PATTY_ELSEWHERE,
    PATTY_SD,
    POLLEN_COMING_LOG,
    QUARTERS,
    QUEEN_SEEN,
    SEAMS,
    WASH_BEES,
    WASH_ELSEWHERE,
    WASH_LOG_SD,
    WASH_LOG_SD_UNCOUNTED,
    WEIGHT_ELSEWHERE,
    WEIGHT_SD,
    WRONG_ITEM,
    WRONG_LOOK,
    Scatter,
)
from tideover.evidence.seen import Value
from tideover.evidence.words import HEFT, JELLY, POLLEN_COMING, POLLEN_NEST, POLLEN_OUTER

Floats = NDArray[np.float64]

HALF_LOG_2PI: Final = 0.5 * math.log(2.0 * math.pi)
QUARTERS_MOST: Final = 8.0
"""Quarters of both sides of a comb."""
NODES: Final = 9
"""Points the scatter of a mite wash is summed over."""
RATE_LEAST, RATE_MOST = 1e-5, 0.9
"""Mites a bee are held within these."""
ALMOST_NONE, TINIEST = 1e-9, 1e-300
"""Rates and chances are held off nought by these, so that their logs exist."""
FARTHEST: Final = 700.0
"""Logs are held within what can be put back."""


@dataclass(frozen=True)
class Item:
    """One observed item: log-likelihood per member, and under a random hive."""

    name: str
    loglik: Floats
    background: float


def _n(v: Value) -> float:
    """A number entered; anything else would have been refused by the books."""
    if isinstance(v, tuple):
        return float(sum(v))
    return float(v)


def gauss(x: Floats, mean: float | Floats, sd: float | Floats) -> Floats:
    """Log density of a normal law."""
    z = (x - mean) / sd
    return np.asarray(-0.5 * z * z - np.log(sd) - HALF_LOG_2PI)


def _at_random(words: Sequence[str]) -> float:
    """Log chance of a word written at any hive."""
    return float(np.log(1.0 / len(words)))


def _counted(name: str, predicted: Floats, written: float, scatter: Scatter) -> Item:
    """A number counted by eye, of which members predict ``predicted``."""
    return Item(name, chances.count(predicted, written, scatter.least, scatter.share), scatter.elsewhere)


def _words(x_log: Floats, table: Mapping[str, tuple[float, float]], word: str) -> Floats:
    """Log P(word | x): each word's bell over the log amount, normalised over all words."""
    means, sds = np.array(list(table.values())).T.copy()
    return chances.word(x_log, means, sds, list(table).index(word))


def _seams(s: Shown, v: Value) -> Item:
    # A seam between low combs holds fewer bees: each box counts by the height of its comb.
    boxes = v if isinstance(v, tuple) else (float(v),)
    total = sum(n * (s.box_share[min(k, len(s.box_share) - 1)]) for k, n in enumerate(boxes))
    predicted = s.seams * s.counted
    return _counted("seams", predicted, total, SEAMS)


def _heft(s: Shown, v: Value) -> Item:
    return Item("heft", _words(log(s.honey_kg + HEFT_UNFELT_KG), HEFT_LOG, str(v)), _at_random(HEFT))


def _outer(s: Shown, v: Value) -> Item:
    share = log(s.bread_g * OUTER_SHARE / OUTER_SIDES / s.bread_side_g + LEAST_SHARE)
    return Item("outer_pollen", _words(share, OUTER, str(v)), _at_random(POLLEN_OUTER))


def _half_sides(s: Shown, v: Value) -> Item:
    predicted = s.counted * s.bread_g * OUTER_SHARE / (0.5 * s.bread_side_g * POLLEN_FILLED)
    return _counted("outer_half_sides", predicted, _n(v), HALF_SIDES)


def _nest(s: Shown, v: Value) -> Item:
    sides = 2.0 * np.maximum(1.0, s.brood_combs)
    share = log(s.bread_g * NEST_SHARE / sides / s.bread_side_g + LEAST_SHARE)
    return Item("nest_pollen", _words(share, NEST, str(v)), _at_random(POLLEN_NEST))


def _combs(s: Shown, v: Value) -> Item:
    predicted = s.brood_combs * s.counted
    return _counted("brood_combs", predicted, _n(v), COMBS)


def _quarters(name: str, cells: Callable[[Shown], Floats]) -> Callable[[Shown, Value, float | None], Item]:
    def item(s: Shown, v: Value, combs: float | None) -> Item:
        # The comb looked at is from the middle of the nest and holds more than the mean comb.
        # A number of combs that was written carries the keeper's tendency; the mean comb has it off.
        n = np.maximum(1.0, s.brood_combs if combs is None else combs / s.counted)
        predicted = np.minimum(QUARTERS_MOST, MIDDLE_COMB * s.counted * cells(s) / n / s.cells_quarter)
        return _counted(name, predicted, _n(v), QUARTERS)

    return item


_capped = _quarters("capped_quarters", lambda s: s.capped)
_open = _quarters("open_quarters", lambda s: s.open_larvae)


def _eggs(s: Shown, v: Value) -> Item:
    yes = EGGS_BY_MISTAKE + EGGS_FOUND * (1.0 - exp(-s.eggs / EGGS_E_FOLD))
    return Item("eggs", log(yes if v == "yes" else 1.0 - yes), float(np.log(0.5)))


def jelly_shares(jelly: Floats) -> Floats:
    """Expected shares of young larvae dry, damp, floating at a jelly index, shape (members, 3).

    Our own scale (no published field score of jelly exists).
    """
    dry = 1.0 / (1.0 + exp((jelly - JELLY_DRY) / JELLY_WIDTH))
    floating = 1.0 / (1.0 + exp((JELLY_FLOATING - jelly) / JELLY_WIDTH))
    shares = np.stack([dry, np.maximum(0.0, 1.0 - dry - floating), floating], axis=1) + JELLY_LEAST
    return np.asarray(shares / shares.sum(axis=1, keepdims=True))


def _jelly(s: Shown, v: Value) -> Item:
    shares = (1.0 - len(JELLY) * JELLY_BLUR) * jelly_shares(s.jelly) + JELLY_BLUR
    return Item("jelly", log(shares[:, JELLY.index(str(v))]), _at_random(JELLY))


def jelly_counts_item(s: Shown, floating: float, damp: float, dry: float) -> Item:
    """Counts of larvae by jelly: Dirichlet-multinomial, so that 40 larvae of one comb are not 40 colonies."""
    counts = np.array([dry, damp, floating])
    total = counts.sum()
    alpha = JELLY_ALIKE * jelly_shares(s.jelly)
    lik = gammaln(JELLY_ALIKE) - gammaln(JELLY_ALIKE + total) + (gammaln(alpha + counts) - gammaln(alpha)).sum(axis=1)
    kinds = float(len(JELLY))
    flat = gammaln(kinds) - gammaln(kinds + total) + gammaln(1.0 + counts).sum()
    return Item("jelly counts", np.asarray(lik), float(flat))


def _honey(s: Shown, v: Value) -> Item:
    predicted = s.counted * s.honey_kg / s.honey_comb_kg
    return _counted("honey_combs", predicted, _n(v), HONEY)


def _queen_seen(s: Shown, v: Value) -> Item:
    laying, idle, none = QUEEN_SEEN
    yes = np.where(s.queen > 0.5, laying, np.where(s.queen > 0.5 * lay.NO_QUEEN, idle, none))
    return Item("queen_seen", log(yes if v == "yes" else 1.0 - yes), float(np.log(0.5)))


def _pollen_coming(s: Shown, v: Value) -> Item:
    return Item("pollen_coming", _words(s.offer_log, POLLEN_COMING_LOG, str(v)), _at_random(POLLEN_COMING))


def _weight(s: Shown, v: Value, tare_kg: float) -> Item:
    predicted = tare_kg + s.honey_kg + BEE_KG * s.at_home + s.bread_g / 1000.0
    return Item("hive_weight", gauss(predicted, _n(v), WEIGHT_SD), WEIGHT_ELSEWHERE)


_SIMPLE: Final[Mapping[str, Callable[[Shown, Value], Item]]] = {
    "seams": _seams,
    "heft": _heft,
    "outer_pollen": _outer,
    "outer_half_sides": _half_sides,
    "nest_pollen": _nest,
    "brood_combs": _combs,
    "eggs": _eggs,
    "jelly": _jelly,
    "honey_combs": _honey,
    "queen_seen": _queen_seen,
}


def look_items(s: Shown, values: Mapping[str, Value], *, tare_kg: float, pollen_hours: bool) -> list[Item]:
    """Return one item per observed field that says something about the colony.

    :param s: what members would show.
    :param values: the look's fields (canonical units); 'not looked' says nothing.
    :param tare_kg: empty weight of the hive's boxes and frames [kg].
    :param pollen_hours: whether the look fell in hours fit for pollen.
    """
    items: list[Item] = []
    counts = [_n(values.get(f"jelly_{k}", 0.0)) for k in ("floating", "damp", "dry")]
    combs_value = values.get("brood_combs")
    combs = float(combs_value) if isinstance(combs_value, (int, float)) else None
    for name, value in values.items():
        if value == "not looked":
            continue
        if name in _SIMPLE:
            if name == "jelly" and sum(counts) > 0:
                continue
            if name == "outer_pollen" and "outer_half_sides" in values:
                continue
            items.append(_SIMPLE[name](s, value))
        elif name == "capped_quarters":
            items.append(_capped(s, value, combs))
        elif name == "open_quarters":
            items.append(_open(s, value, combs))
        elif name == "hive_weight":
            items.append(_weight(s, value, tare_kg))
        elif name == "pollen_coming" and pollen_hours:
            items.append(_pollen_coming(s, value))
    if sum(counts) > 0:
        items.append(jelly_counts_item(s, *counts))
    return items


def mite_item(s: Shown, mites: float, bees: float | None) -> Item:
    """A mite wash: binomial, widened because mites clump between frames and half a cup is 300 bees only roughly."""
    # More mites than bees cannot be told apart from a mite on every bee.
    n = max(mites, WASH_BEES if bees is None else bees)
    spread = WASH_LOG_SD if bees is not None else WASH_LOG_SD_UNCOUNTED
    nodes, weights = np.polynomial.hermite_e.hermegauss(NODES)
    lik = np.zeros_like(s.mites)
    for z, w in zip(nodes, weights, strict=True):
        rate = np.clip(s.mites / 100.0 * np.exp(spread * z), RATE_LEAST, RATE_MOST)
        lik = lik + w * np.exp(mites * np.log(rate) + (n - mites) * np.log1p(-rate) - _best(mites, n))
    return Item("mite wash", np.log(lik / weights.sum() + TINIEST), WASH_ELSEWHERE)


def _best(k: float, n: float) -> float:
    """Log-likelihood at the observed rate, to keep the binomial in floating range."""
    r = min(max(k / n, ALMOST_NONE), 1 - ALMOST_NONE)
    return float(k * np.log(r) + (n - k) * np.log1p(-r))


def patty_item(s: Shown, laid_g: float, left: float) -> Item:
    """The share of the piece still there, seen in quarters."""
    predicted = s.patty_g / max(1.0, laid_g)
    return Item("patty left", gauss(predicted, left, PATTY_SD), PATTY_ELSEWHERE)


@dataclass(frozen=True)
class Weighed:
    """A look weighed: log-weight per member, and the chance that it belongs elsewhere."""

    loglik: Floats
    odd: float
    items: tuple[Item, ...]


def _mixed(it: Item) -> Floats:
    """An item with its small chance of being wrong."""
    return chances.either(it.loglik, math.log1p(-WRONG_ITEM), math.log(WRONG_ITEM) + it.background)


def together(items: list[Item]) -> float:
    """Log chance of a whole look at any of the colonies its items were weighed for (a mean over them).

    :param items: items of one look, weighed for colonies drawn at large. What is left of a piece is taken at its
        background: other hives have other pieces on.
    """
    whole = np.zeros_like(items[0].loglik)
    for it in items:
        whole = whole + (it.background if it.name == "patty left" else _mixed(it))
    top = float(whole.max())
    return top + float(np.log(np.mean(np.exp(whole - top))))


def wrong_items(items: tuple[Item, ...], weights: Floats) -> Floats:
    """Chance that each item of a look is wrong, given the rest of it and all that is known.

    :param items: items of one look.
    :param weights: normalised weights after the whole look, shape (members,).
    """
    return np.array([float(weights @ np.exp(np.log(WRONG_ITEM) + it.background - _mixed(it))) for it in items])


def weigh(items: list[Item], weights: Floats, *, confirmed: bool, elsewhere: float | None = None) -> Weighed:
    """Combine items into one log-weight per member with bounded influence.

    :param items: items of one look.
    :param weights: current normalised weights, shape (members,).
    :param confirmed: the keeper says it is right; the wrong-entry parts are dropped.
    :param elsewhere: log chance of the look at any other hive (``together``); the items' own backgrounds when
        it is not known.
    :returns: log-weights and the posterior chance that the look is wrong as a whole.
    """
    if not items:
        return Weighed(np.zeros_like(weights), 0.0, ())
    whole = np.zeros_like(weights)
    for it in items:
        whole = whole + (it.loglik if confirmed else _mixed(it))
    if confirmed:
        return Weighed(whole, 0.0, tuple(items))
    random_hive = sum(it.background for it in items) if elsewhere is None else elsewhere
    mixed = chances.either(whole, math.log1p(-WRONG_LOOK), math.log(WRONG_LOOK) + random_hive)
    right = float(np.dot(weights, exp(np.clip(math.log1p(-WRONG_LOOK) + whole - random_hive, -FARTHEST, FARTHEST))))
    odd = WRONG_LOOK / (WRONG_LOOK + right)
    return Weighed(mixed, odd, tuple(items))
