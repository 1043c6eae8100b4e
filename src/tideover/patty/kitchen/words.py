"""A mix in sentences: what holds it back, what prices do, why there is none, what nobody knows of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from tideover.figures.units import POUND_KG
from tideover.patty.kitchen.nutrients import AMINO, SAYS
from tideover.patty.kitchen.outcome import Binding, Mix, PriceLine

if TYPE_CHECKING:
    from tideover.patty.kitchen.batch import Sheet


NIL = "nothing"
"""The low end of what a patty is worth: about a tenth of feedings do nothing at all."""


def worth_words(low: float, middle: float, high: float, units: str = "metric") -> str:
    """What a kilogram, or a pound, stands for; ``low``, ``middle`` and ``high`` in grams of pollen per kilogram."""
    if units == "us":
        low, middle, high = (16.0 * x / 1000.0 for x in (low, middle, high))
        least = f"{low:.1f}" if low >= 0.05 else NIL
        return f"A pound does the work of about {middle:.1f} oz of pollen ({least} to {high:.1f} oz), if of any."
    least = f"{low:.0f}" if low >= 0.5 else NIL
    return f"A kilogram does the work of about {middle:.0f} g of pollen ({least} to {high:.0f} g), if of any."


def listed(names: Iterable[str]) -> str:
    """Names in a row; their own commas do not part them."""
    return "; ".join(names)


def per_weight(money_per_kg: float, units: str) -> str:
    """An amount of money per kg or per lb, three figures."""
    value = money_per_kg * POUND_KG if units == "us" else money_per_kg
    return f"{value:.2f}" if abs(value) >= 0.1 else f"{value:.2g}"


def binding_words(one: Binding, mix: Mix, units: str = "metric") -> str:
    """What one unit of a limit costs, in words."""
    per = "lb" if units == "us" else "kg"
    if one.key.startswith("amino:"):
        step = "one hundredth of the need less"
    elif one.key == "omega_ratio_max":
        step = "each unit more of the ratio"
    elif one.key.startswith("softness"):
        step = "one point of the scale"
    elif one.key == "budget":
        step = f"one {mix.task.currency} more"
    else:
        step = "one percentage point " + ("less" if one.key.endswith("_min") or one.key.startswith("least") else "more")
    says = one.says[:1].upper() + one.says[1:]
    if mix.task.aim == "cheapest":
        money = mix.task.currency
        whole = f" ({one.shadow * mix.total_kg:.2f} {money} on this batch)" if mix.total_kg > 0.0 else ""
        return f"{says}: {step} would save about {per_weight(one.shadow, units)} {money} a {per}{whole}."
    if mix.task.aim == "most protein":
        return f"{says}: {step} would add about {100 * one.shadow:.2g} percentage points of protein."
    return f"{says}: {step} would let about {1000 * one.shadow:.2g} g more in each kg be used."


def price_words(one: PriceLine, mix: Mix, units: str = "metric") -> str:
    """What an ingredient's price does to the mix, in words."""
    per, money = ("lb" if units == "us" else "kg"), mix.task.currency
    price, name = per_weight(one.price, units), one.name[:1].upper() + one.name[1:]
    if one.up is None and one.down is None:
        if one.enters_below is None:
            return f"{name}: not used at {price} {money} a {per}."
        if one.enters_below <= 0.0:
            return f"{name}: would not be used even as a gift."
        return f"{name}: not used; it would be below about {per_weight(one.enters_below, units)} {money} a {per}."
    said = []
    spends = "you spend" if any(i.stock_kg > 0.0 or i.bag_kg > 0.0 for i in mix.task.items) else "the mix costs"
    for word, moved in (("a fifth dearer", one.up), ("a fifth cheaper", one.down)):
        if moved is not None:
            share, cost = moved
            stays = (
                "its share stays"
                if abs(share - one.share) < 0.05
                else f"its share goes from {one.share:.1f} to {share:.1f} %"
            )
            said.append(f"{word}: {stays}, {spends} {per_weight(cost, units)} {money} a {per}")
    return f"{name}, {price} {money} a {per}. " + said_together(said)


def said_together(parts: list[str]) -> str:
    """Parts as one sentence."""
    text = "; ".join(parts)
    return text[:1].upper() + text[1:] + ("." if text else "")


def infeasible_words(mix: Mix) -> tuple[str, ...]:
    """Why there is no mix, and the smallest change that would allow one."""
    said = []
    for number, group in enumerate(mix.together):
        if len(group) == 1:
            said.append(f"With what is at hand this cannot be{' either' if number else ''}: {group[0]}.")
        else:
            also = "Nor can these" if number else "These cannot hold"
            said.append(f"{also} together with what is at hand: {'; '.join(group)}.")
    if mix.changes:
        said.append("The smallest change that allows a mix: " + "; ".join(c.words for c in mix.changes) + ".")
    if mix.budget_needed is not None:
        said.append(f"Or spend {mix.budget_needed:.2f} {mix.task.currency}, and no other limit need change.")
    if mix.helpers:
        said.append(
            f"Or add one of these, and no limit need change: {listed(mix.helpers)} (or others; enter what it costs)."
        )
    return (*said, *mix.notes)


def doubt_words(mix: Mix) -> tuple[str, ...]:
    """What nobody knows of this mix, and how wide that leaves it."""
    if mix.makeup is None:
        return ()
    said = []
    for nutrient, share in mix.makeup.shares.items():
        if nutrient != "toxic" and share.unknown_in and share.high - share.low >= 0.05:
            said.append(
                f"{SAYS[nutrient]} in {listed(share.unknown_in)}; the mix has {_two(share.low)} to "
                f"{_two(share.high)} %."
            )
    return tuple(said)


def _two(percent: float) -> str:
    """Two figures, and none of them a power of ten."""
    return f"{percent:.0f}" if percent >= 9.95 else f"{percent:.1f}" if percent >= 0.95 else f"{percent:.2g}"


def amino_words(mix: Mix) -> str:
    """The amino acid score in words, with the chance of a shortfall."""
    if mix.makeup is None or mix.makeup.score is None or mix.chances is None:
        return "There is no protein in it, so no amino acid score."
    score = mix.makeup.score
    weak = [f"{AMINO[n]} {percent(p)}" for n, p in mix.chances.short.items() if p >= 0.005]
    text = f"Score {score.score:.2f}, limited by {AMINO[score.limiting]} (need: {mix.pattern.title})."
    text += f" Bags differ: the chance that any of the ten falls short is {percent(mix.chances.any_short)}"
    return text + (f" ({', '.join(weak)})." if weak else ".")


def percent(share: float) -> str:
    """A chance in percent, never a false 0 or 100."""
    if share < 0.005:
        return "under 1 %"
    if share > 0.995:
        return "over 99 %"
    return f"{100 * share:.0f} %"


def need_words(mix: Mix) -> str:
    """What the score is held against, with its source."""
    one = mix.pattern
    what = {"requirement": "The need", "pattern": "The pattern"}.get(one.kind, "The need")
    return f"{what} it is held against, {one.title}: {one.says}. Source: {one.source} ({one.known})."


def drying_words(made: Sheet) -> str:
    """How long a piece stays soft on a hive."""

    def days(value: float | None) -> str:
        return "over 60" if value is None else f"about {value:.0f}"

    return (
        f"On a hive at 35 °C (95 °F), paper left on: stiff after {days(made.stiff_after_days)} days, hard after "
        f"{days(made.hard_after_days)} (our assumption)."
    )


def keeping_words(made: Sheet) -> str:
    """How long what is not laid on keeps."""
    low, high = made.water_activity
    kept = made.keeping
    return (
        f"Water activity {low:.2f} to {high:.2f}: {kept.word}. {kept.says} In its wrapping about {kept.shed_days} "
        f"day{'s' if kept.shed_days != 1 else ''} in a cool shed, {kept.cool_days} in the cold (common practice)."
    )
