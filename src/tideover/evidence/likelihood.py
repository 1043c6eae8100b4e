"""How well each member agrees with one look: words and counts as distributions.

Every item has its own observation error (our assumption where no source is named) and a
small wrong-entry part, so that one absurd number has bounded influence; a whole look has
one too, for a look typed into the wrong hive. What was not looked at contributes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from tideover.comb.stores import POLLEN_FILLED, POLLEN_FILLED_LOG_SD
from tideover.comb.words import NEST_POLLEN, OUTER_POLLEN, WordAmount
from tideover.evidence.predict import Shown
from tideover.evidence.seen import Value
from tideover.evidence.words import HEFT, POLLEN_COMING

Floats = NDArray[np.float64]

WRONG_ITEM: Final = 0.02
"""Chance that one item of a look is misread or mistyped (our assumption)."""
WRONG_LOOK: Final = 0.02
"""Chance that a whole look belongs to another hive or day (our assumption)."""

HEFT_KG: Final[Mapping[str, tuple[float, float]]] = {
    "very light": (1.5, 0.55),
    "light": (5.0, 0.40),
    "fair": (11.0, 0.35),
    "heavy": (22.0, 0.35),
}
"""Honey behind a word for heft: median [kg] and log-sd (our assumption)."""
POLLEN_COMING_LOG: Final[Mapping[str, float]] = {
    "none": float(np.log(0.03)),
    "some": float(np.log(0.25)),
    "plenty": float(np.log(0.9)),
}
SEAMS_LOG_SD: Final = 0.13
"""Trained observers err by about 10 % on bees (Imdorf et al. 1987, from memory); a quick count by more."""


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


def _gauss(x: Floats, mean: float | Floats, sd: float | Floats) -> Floats:
    z = (x - mean) / sd
    return np.asarray(-0.5 * z * z - np.log(sd) - 0.9189385332046727)


def _words(x_log: Floats, table: Mapping[str, tuple[float, float]], word: str) -> Floats:
    """Log P(word | x): each word's bell over the log amount, normalised over all words."""
    logs = np.stack([_gauss(x_log, m, s) for m, s in table.values()], axis=0)
    top = logs.max(axis=0)
    total = top + np.log(np.exp(logs - top).sum(axis=0))
    return np.asarray(logs[list(table).index(word)] - total)


def _pollen_table(words: Mapping[str, WordAmount], placement: float) -> dict[str, tuple[float, float]]:
    return {k: (float(np.log(v.share_of_side)), float(np.hypot(v.log_sd, placement))) for k, v in words.items()}


PLACEMENT_LOG_SD: Final = 0.65
"""How unevenly stored pollen lies over the combs looked at (our assumption)."""
LEAST_SHARE: Final = 0.004
"""An empty pantry still shows a few filled cells: share of a side below which all amounts look alike."""
HALF_SIDES_LOG_SD: Final = float(np.hypot(0.45, POLLEN_FILLED_LOG_SD))
"""Half sides counted: the area on the combs looked at (our assumption), and how full its cells are."""
_OUTER = _pollen_table(OUTER_POLLEN, PLACEMENT_LOG_SD)
_NEST = _pollen_table(NEST_POLLEN, PLACEMENT_LOG_SD)
_OUTER_SHARE, _OUTER_SIDES = 0.45, 4.0
"""Share of all stored pollen on the outer combs, and comb sides it is spread over (our assumption)."""
_NEST_SHARE = 0.40
"""Share of all stored pollen in the band around the brood (our assumption)."""


def _seams(s: Shown, v: Value) -> Item:
    # A seam between low combs holds fewer bees: each box counts by the height of its comb.
    boxes = v if isinstance(v, tuple) else (float(v),)
    total = sum(n * (s.box_share[min(k, len(s.box_share) - 1)]) for k, n in enumerate(boxes))
    predicted = s.seams * s.counted
    return Item("seams", _gauss(predicted, total, np.hypot(0.3, SEAMS_LOG_SD * predicted)), -2.9)


def _heft(s: Shown, v: Value) -> Item:
    table = {k: (float(np.log(m)), sd) for k, (m, sd) in HEFT_KG.items()}
    return Item("heft", _words(np.log(s.honey_kg + 0.3), table, str(v)), float(np.log(1.0 / len(HEFT))))


def _outer(s: Shown, v: Value) -> Item:
    share = np.log(s.bread_g * _OUTER_SHARE / _OUTER_SIDES / s.bread_side_g + LEAST_SHARE)
    return Item("outer_pollen", _words(share, _OUTER, str(v)), float(np.log(1 / 6)))


def _half_sides(s: Shown, v: Value) -> Item:
    predicted = s.counted * s.bread_g * _OUTER_SHARE / (0.5 * s.bread_side_g * POLLEN_FILLED)
    return Item(
        "outer_half_sides",
        _gauss(np.full_like(predicted, _n(v)), predicted, np.hypot(0.35, HALF_SIDES_LOG_SD * predicted)),
        -2.3,
    )


def _nest(s: Shown, v: Value) -> Item:
    sides = 2.0 * np.maximum(1.0, s.brood_combs)
    share = np.log(s.bread_g * _NEST_SHARE / sides / s.bread_side_g + LEAST_SHARE)
    return Item("nest_pollen", _words(share, _NEST, str(v)), float(np.log(1 / 4)))


def _combs(s: Shown, v: Value) -> Item:
    predicted = s.brood_combs * s.counted
    return Item("brood_combs", _gauss(predicted, _n(v), np.hypot(0.6, 0.18 * predicted)), -2.4)


def _quarters(name: str, cells: Callable[[Shown], Floats]) -> Callable[[Shown, Value, float | None], Item]:
    def item(s: Shown, v: Value, combs: float | None) -> Item:
        # The comb looked at is from the middle of the nest and holds more than the mean comb.
        # A number of combs that was written carries the keeper's tendency; the mean comb has it off.
        n = np.maximum(1.0, s.brood_combs if combs is None else combs / s.counted)
        predicted = np.minimum(8.0, 1.25 * s.counted * cells(s) / n / s.cells_quarter)
        return Item(name, _gauss(predicted, _n(v), np.hypot(0.6, 0.28 * predicted)), -2.3)

    return item


_capped = _quarters("capped_quarters", lambda s: s.capped)
_open = _quarters("open_quarters", lambda s: s.open_larvae)


def _eggs(s: Shown, v: Value) -> Item:
    yes = 0.005 + 0.965 * (1.0 - np.exp(-s.eggs / 150.0))
    return Item("eggs", np.log(yes if v == "yes" else 1.0 - yes), float(np.log(0.5)))


def jelly_shares(jelly: Floats) -> Floats:
    """Expected shares of young larvae dry, damp, floating at a jelly index, shape (members, 3).

    Our own scale (no published field score of jelly exists); the bounds lie at 0.35 and 0.70.
    """
    dry = 1.0 / (1.0 + np.exp((jelly - 0.35) / 0.09))
    floating = 1.0 / (1.0 + np.exp((0.70 - jelly) / 0.09))
    shares = np.stack([dry, np.maximum(0.0, 1.0 - dry - floating), floating], axis=1) + 0.01
    return np.asarray(shares / shares.sum(axis=1, keepdims=True))


def _jelly(s: Shown, v: Value) -> Item:
    column = ("dry", "damp", "floating").index(str(v))
    shares = 0.94 * jelly_shares(s.jelly) + 0.02
    return Item("jelly", np.log(shares[:, column]), float(np.log(1 / 3)))


def jelly_counts_item(s: Shown, floating: float, damp: float, dry: float) -> Item:
    """Counts of larvae by jelly: Dirichlet-multinomial, so that 40 larvae of one comb are not 40 colonies."""
    counts = np.array([dry, damp, floating])
    total = counts.sum()
    alpha = 6.0 * jelly_shares(s.jelly)
    lik = gammaln(6.0) - gammaln(6.0 + total) + (gammaln(alpha + counts) - gammaln(alpha)).sum(axis=1)
    flat = gammaln(3.0) - gammaln(3.0 + total) + gammaln(1.0 + counts).sum()
    return Item("jelly counts", np.asarray(lik), float(flat))


def _honey(s: Shown, v: Value) -> Item:
    predicted = s.counted * s.honey_kg / s.honey_comb_kg
    return Item("honey_combs", _gauss(predicted, _n(v), np.hypot(0.4, 0.18 * predicted)), -2.8)


def _queen_seen(s: Shown, v: Value) -> Item:
    here = s.queen > 0.5
    yes = np.where(here, 0.35, np.where(s.queen > -9000.0, 0.15, 0.02))
    return Item("queen_seen", np.log(yes if v == "yes" else 1.0 - yes), float(np.log(0.5)))


def _pollen_coming(s: Shown, v: Value) -> Item:
    table = {k: (POLLEN_COMING_LOG[k], 0.9) for k in POLLEN_COMING}
    return Item("pollen_coming", _words(s.offer_log, table, str(v)), float(np.log(1 / 3)))


def _weight(s: Shown, v: Value, tare_kg: float) -> Item:
    predicted = tare_kg + s.honey_kg + 0.00012 * s.at_home + s.bread_g / 1000.0
    return Item("hive_weight", _gauss(predicted, _n(v), 3.5), -4.5)


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
    n = max(mites, 300.0 if bees is None else bees)
    spread = 0.35 if bees is not None else 0.45
    nodes, weights = np.polynomial.hermite_e.hermegauss(9)
    lik = np.zeros_like(s.mites)
    for z, w in zip(nodes, weights, strict=True):
        rate = np.clip(s.mites / 100.0 * np.exp(spread * z), 1e-5, 0.9)
        lik = lik + w * np.exp(mites * np.log(rate) + (n - mites) * np.log1p(-rate) - _best(mites, n))
    return Item("mite wash", np.log(lik / weights.sum() + 1e-300), -3.0)


def _best(k: float, n: float) -> float:
    """Log-likelihood at the observed rate, to keep the binomial in floating range."""
    r = min(max(k / n, 1e-9), 1 - 1e-9)
    return float(k * np.log(r) + (n - k) * np.log1p(-r))


def patty_item(s: Shown, laid_g: float, left: float) -> Item:
    """The share of the piece still there, seen in quarters."""
    predicted = s.patty_g / max(1.0, laid_g)
    return Item("patty left", _gauss(predicted, left, 0.11), -0.3)


@dataclass(frozen=True)
class Weighed:
    """A look weighed: log-weight per member, and the chance that it belongs elsewhere."""

    loglik: Floats
    odd: float
    items: tuple[Item, ...]


def _mixed(it: Item) -> Floats:
    """An item with its small chance of being wrong."""
    return np.asarray(np.logaddexp(np.log1p(-WRONG_ITEM) + it.loglik, np.log(WRONG_ITEM) + it.background))


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
    mixed = np.logaddexp(np.log1p(-WRONG_LOOK) + whole, np.log(WRONG_LOOK) + random_hive)
    right = float(np.dot(weights, np.exp(np.clip(np.log1p(-WRONG_LOOK) + whole - random_hive, -700, 700))))
    odd = WRONG_LOOK / (WRONG_LOOK + right)
    return Weighed(np.asarray(mixed), odd, tuple(items))
