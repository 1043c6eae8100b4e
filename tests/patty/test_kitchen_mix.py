"""Mixes: limits hold, the aim is served, prices and spread act as they should, no mix is explained."""

from __future__ import annotations

import copy
from dataclasses import replace
from math import inf, log, sqrt
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.patty.kitchen_help import PRICES, raw
from tideover.figures.units import POUND_KG
from tideover.patty.kitchen import words
from tideover.patty.kitchen.formulate import Mix, formulate
from tideover.patty.kitchen.ingredients import pantry
from tideover.patty.kitchen.limits import limit_rows
from tideover.patty.kitchen.requirement import pattern, score_of
from tideover.patty.kitchen.robust import chances, ratios
from tideover.patty.kitchen.task import TaskError, read_task


def mixed(**changes: Any) -> Mix:
    """The mix of a changed task."""
    return formulate(read_task(raw(**changes)))


def holds(mix: Mix) -> None:
    """Every limit holds at the unfriendly end of every range."""
    made = mix.makeup
    assert made is not None
    s, limits = made.shares, mix.task.limits
    slack = 1e-4
    for key, level in limits.items():
        stem, _, side = key.rpartition("_")
        if stem in s and side == "min":
            assert s[stem].low >= level - slack, key
        if stem in s and side == "max":
            assert s[stem].high <= level + slack, key
    if "toxic_of_sugar_max" in limits:
        assert s["toxic"].high <= limits["toxic_of_sugar_max"] / 100 * s["sugar"].low + slack
    if "score_min" in limits:
        assert made.score_low is not None
        assert made.score_low.score >= limits["score_min"] - slack
    if "omega_ratio_max" in limits and made.omega_ratio is not None:
        assert made.omega_ratio <= limits["omega_ratio_max"] + slack


def test_cheapest_meets_every_limit_and_weighs_the_batch() -> None:
    """20 kg asked, 20 kg weighed."""
    mix = mixed()
    assert mix.found
    holds(mix)
    assert mix.total_kg == pytest.approx(20.0, abs=1e-6)
    assert mix.spend == pytest.approx(mix.worth)
    assert mix.spend == pytest.approx(sum(PRICES.get(n, 0.0) * kg for n, kg in mix.kilograms.items()))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0.2, 20.0), min_size=9, max_size=9), st.floats(10.0, 22.0))
def test_cheapest_meets_every_limit_at_any_price(prices: list[float], protein: float) -> None:
    """Whatever things cost."""
    task = raw(ingredients=[{"name": n, "price_kg": p} for n, p in zip(PRICES, prices, strict=True)] + ["water"])
    task["limits"]["protein_min"] = protein
    mix = formulate(read_task(task), prices=False)
    assert mix.found
    holds(mix)


def test_stricter_costs_more() -> None:
    """More protein never costs less."""
    costs = []
    for protein in (12, 15, 18, 20):
        limits = {"protein_min": protein, "fat_min": 5}
        costs.append(mixed(limits=limits).spend)
    assert costs == sorted(costs)


def test_shadow_price_in_money_is_what_half_a_point_costs() -> None:
    """The price said for a binding limit is the price paid, to first order."""
    # how soft it is must not bind, so that the four looked at do
    plain = raw()
    plain["limits"]["softness_min"] = "none"
    mix = formulate(read_task(plain))
    binding = {b.key: b for b in mix.binding}
    assert {"protein_min", "water_max"} <= set(binding)
    for key, sign in (("protein_min", -1.0), ("water_max", 1.0), ("fat_min", -1.0), ("omega_ratio_max", 1.0)):
        task = copy.deepcopy(plain)
        task["limits"][key] += sign * 0.01
        other = formulate(read_task(task), prices=False)
        saved = (mix.spend - other.spend) / 20.0 / 0.01
        assert saved == pytest.approx(binding[key].shadow, rel=0.02), key
        assert "save about" in words.binding_words(binding[key], mix)


def test_unused_ingredient_enters_below_the_price_said() -> None:
    """A little above it is left out, a little below it is taken."""
    mix = mixed()
    line = next(p for p in mix.prices if p.share == 0.0 and p.enters_below is not None and p.enters_below > 0.5)
    assert line.enters_below is not None
    for factor, taken in ((1.02, False), (0.98, True)):
        task = raw()
        for one in task["ingredients"]:
            if isinstance(one, dict) and one["name"] == line.name:
                one["price_kg"] = line.enters_below * factor
        other = formulate(read_task(task), prices=False)
        assert (other.kilograms.get(line.name, 0.0) > 1e-4) == taken


def test_price_a_fifth_up_and_down_brackets_the_cost() -> None:
    """Dearer never makes it cheaper."""
    mix = mixed()
    for line in mix.prices:
        if line.up and line.down:
            assert line.down[1] <= mix.spend / 20.0 + 1e-9 <= line.up[1] + 2e-9
            assert line.up[0] <= line.share + 1e-6


def test_most_protein_spends_no_more_than_the_budget() -> None:
    """More money buys more protein; every limit holds."""
    found = [mixed(aim="most protein", budget=b) for b in (28.0, 32.0, 60.0)]
    protein = []
    for mix, budget in zip(found, (28.0, 32.0, 60.0), strict=True):
        assert mix.found
        holds(mix)
        assert mix.spend <= budget + 1e-6
        assert mix.makeup is not None
        protein.append(mix.makeup.shares["protein"].best)
    assert protein == sorted(protein)
    assert protein[-1] > protein[0] + 0.5


def test_use_up_takes_what_is_there_and_buys_nothing_when_the_size_is_open() -> None:
    """As much as the shed allows, limits kept."""
    stock = {
        "soy flour, defatted": 6.0,
        "egg white, dried": 1.0,
        "white sugar": 9.0,
        "rapeseed oil": 1.0,
        "flaxseed oil": 0.4,
    }
    items = [{"name": n, "stock_kg": kg} for n, kg in stock.items()] + ["water"]
    mix = mixed(aim="use up", batch_kg=None, ingredients=items)
    assert mix.found
    holds(mix)
    for n, kg in stock.items():
        assert mix.kilograms.get(n, 0.0) <= kg + 1e-6
    assert any(mix.kilograms[n] == pytest.approx(kg, abs=1e-5) for n, kg in stock.items())
    assert mix.spend == 0.0
    assert mix.unpriced


def test_use_up_of_a_set_size_prefers_the_shed() -> None:
    """Yeast at hand goes in though soy would be cheaper to buy."""
    task = raw(aim="use up")
    for one in task["ingredients"]:
        if isinstance(one, dict) and one["name"].startswith("yeast"):
            one["stock_kg"] = 3.0
    assert formulate(read_task(task)).kilograms["yeast, brewer's, dried"] == pytest.approx(3.0, abs=1e-4)


def test_use_up_with_an_empty_shed_is_asked_back() -> None:
    """Nothing to use up."""
    with pytest.raises(TaskError, match="put right") as refused:
        mixed(aim="use up")
    assert "stock" in refused.value.problems[0]


def test_whole_bags_are_bought_whole() -> None:
    """Soy in bags of 5 kg, sugar of 10 kg: whole numbers, enough, and no dearer way was taken."""
    task = raw()
    for one in task["ingredients"]:
        if isinstance(one, dict) and one["name"] in ("soy flour, defatted", "white sugar"):
            one["bag_kg"] = 5.0
    mix = formulate(read_task(task))
    loose = mixed()
    for n in ("soy flour, defatted", "white sugar"):
        bags = mix.bought.get(n, 0.0) / 5.0
        assert bags == pytest.approx(round(bags), abs=1e-6)
        assert mix.bought.get(n, 0.0) >= mix.kilograms.get(n, 0.0) - 1e-6
    assert mix.spend >= loose.spend - 1e-6
    holds(mix)


def test_pounds_and_kilograms_ask_the_same() -> None:
    """The same batch in US units comes out the same."""
    metric = mixed()
    us = copy.deepcopy(raw())
    us["batch_lb"] = us.pop("batch_kg") / POUND_KG
    us["ingredients"] = [{"name": n, "price_lb": p * POUND_KG} for n, p in PRICES.items()] + ["water"]
    other = formulate(read_task(us))
    assert other.spend == pytest.approx(metric.spend, rel=1e-9)
    for n, kg in metric.kilograms.items():
        assert other.kilograms[n] == pytest.approx(kg, abs=1e-6)


def test_impossible_mix_names_what_conflicts_and_the_change_that_helps() -> None:
    """Half sugar, a quarter protein and a fifth water do not go together; loosened as said, they do."""
    mix = mixed(limits={"protein_min": 25, "sugar_min": 50, "water_min": 20})
    assert not mix.found
    assert all(len(group) >= 2 for group in mix.together)
    # what was asked for beyond the usual is what is named
    assert any("protein at least 25 %" in t for group in mix.together for t in group)
    assert mix.changes
    assert mix.instead is not None
    holds(mix.instead)
    said = " ".join(words.infeasible_words(mix))
    assert "cannot hold together" in said
    assert "smallest change" in said


@pytest.mark.parametrize(
    "changes",
    [
        {"limits": {"protein_min": 60}},
        {"limits": {"score_min": 2.0}},
        {"limits": {"omega_ratio_max": 0.2}},
        {"limits": {"toxic_of_sugar_max": 0.5}, "ingredients": [{"name": "soy flour, defatted", "price_kg": 1},
                                                                 {"name": "white sugar", "price_kg": 1}, "water",
                                                                 {"name": "soybean oil", "price_kg": 1}]},
        {"limits": {"water_max": 17, "water_min": 17, "softness_min": 80}},
        {"budget": 5.0},
        {"ingredients": [{"name": "white sugar", "price_kg": 1, "min": 70}, {"name": "water"},
                         {"name": "soy flour, defatted", "price_kg": 1}]},
    ],
    ids=["protein", "score", "omega", "toxic", "soft", "budget", "least"],
)  # fmt: skip
def test_every_kind_of_conflict_is_explained(changes: dict[str, Any]) -> None:
    """Each says what conflicts, and the mix allowed by the change meets all it still has to."""
    mix = mixed(**changes)
    assert not mix.found
    assert mix.together
    assert mix.changes or mix.notes
    if mix.changes:
        assert mix.instead is not None, mix.changes
        holds(mix.instead)


def test_smallest_change_of_a_single_limit_is_the_edge() -> None:
    """With one limit too high, the level said is the most that can be had: a little more fails, the level works."""
    only = {"protein_min": 40, "sugar_min": 40, "fat_min": "none", "ash_max": "none", "salt_max": "none",
            "score_min": "none", "toxic_max": "none", "toxic_of_sugar_max": "none", "omega_ratio_max": "none",
            "softness_min": "none"}  # fmt: skip
    mix = mixed(limits=only)
    assert [c.key for c in mix.changes] in (["protein_min"], ["sugar_min"], ["water_min"])
    change = mix.changes[0]
    assert mixed(limits=only | {change.key: change.needed}).found
    assert not mixed(limits=only | {change.key: change.needed + 0.05}).found


def test_stock_that_is_too_small_is_named() -> None:
    """Two kilograms of sugar do not make twenty of patty."""
    task = raw()
    for one in task["ingredients"]:
        if isinstance(one, dict) and one["name"] == "white sugar":
            del one["price_kg"]
            one["stock_kg"] = 2.0
    mix = formulate(read_task(task))
    assert not mix.found
    assert any("2 kg (4.41 lb) of white sugar" in t for group in mix.together for t in group)


def test_softness_limits_hold_with_crystals_too() -> None:
    """An upper limit on softness is kept by the whole-number program, a lower one by the linear one."""
    from tideover.patty.kitchen.feel import softness
    from tideover.patty.kitchen.makeup import paste_of

    book = pantry()
    for low, high in ((58, 64), (66, 70), (70, 80)):
        mix = mixed(limits={"softness_min": low, "softness_max": high, "water_max": 26})
        assert mix.found
        assert low - 1.5 <= softness(paste_of(book, mix.kilograms)) <= high + 1.5


def test_chance_of_a_shortfall_is_brought_down() -> None:
    """Held a little above the need, amino acids seldom fall short; it costs a little."""
    plain, sure = mixed(), mixed(chance_max=0.05)
    assert plain.chances is not None
    assert sure.chances is not None
    assert plain.chances.any_short > 0.2
    assert sure.chances.any_short <= 0.05
    assert sure.spend > plain.spend


def test_chance_is_the_same_each_time_and_grows_with_the_spread() -> None:
    """A fixed seed; wider bags fall short more often."""
    mix = mixed()
    ingredients = {i.name: i.ingredient for i in mix.task.items}
    one, two = ratios(ingredients, mix.kilograms), ratios(ingredients, mix.kilograms)
    assert (one == two).all()
    calm = {n: replace(i, cv_protein=0.0, cv_amino=0.0) for n, i in ingredients.items()}
    wild = {n: replace(i, cv_protein=0.1, cv_amino=0.2) for n, i in ingredients.items()}
    spread = [ratios(book, mix.kilograms)[:, 2].std() for book in (calm, ingredients, wild)]
    # what is left without spread is the trace of protein in flaxseed oil, whose amino acids nobody measured
    assert spread[0] < 1e-3 < spread[1] < spread[2]
    assert mix.makeup is not None
    assert mix.makeup.score is not None
    met = mix.makeup.score.ratios["met"]
    assert float(ratios(calm, mix.kilograms)[:, 2].mean()) == pytest.approx(met, rel=1e-3)


def test_other_need_asks_for_more() -> None:
    """Average pollen is the stricter pattern."""
    limits = {"protein_min": 15, "score_min": 0.9}
    assert mixed(limits=limits, requirement="average pollen").spend > mixed(limits=limits).spend


def test_limits_are_on_the_safe_side_of_what_is_unknown() -> None:
    """Wheat gluten without amino acids in the table adds protein to be met and nothing to meet it."""
    task = raw(ingredients=[{"name": "wheat gluten", "price_kg": 0.1}, {"name": "soy flour, defatted", "price_kg": 1.5},
                            {"name": "egg white, dried", "price_kg": 12}, {"name": "white sugar", "price_kg": 0.8},
                            {"name": "rapeseed oil", "price_kg": 1}, "water"])  # fmt: skip
    task["limits"] = {"protein_min": 18}
    mix = formulate(read_task(task))
    assert mix.found
    share = 100 * mix.kilograms.get("wheat gluten", 0.0) / 20.0
    assert share < 5.0
    holds(mix)
    rows = {r.key: r.row for r in limit_rows(mix.task, pattern(), {})}
    assert rows["amino:met"].terms["wheat gluten"] < 0.0


def test_own_need_is_held_and_the_rest_stays() -> None:
    """Typed needs replace the published ones, one by one; by short or full name."""
    mix = mixed(need={"methionine": 2.0, "lys": "4"}, limits={"protein_min": 15, "score_min": 1.0})
    assert mix.pattern.percent["met"] == 2.0
    assert mix.pattern.percent["lys"] == 4.0
    assert mix.pattern.percent["thr"] == pattern().percent["thr"]
    assert mix.pattern.known == "typed in"
    assert mix.found
    holds(mix)
    assert mix.makeup is not None
    s = mix.makeup.shares
    assert s["met"].low >= 0.02 * s["protein"].high - 1e-6
    assert mix.spend > mixed(limits={"protein_min": 15}).spend
    same = mixed(need={"met": pattern().percent["met"]})
    assert same.pattern is pattern()


@pytest.mark.parametrize(
    ("need", "says"),
    [
        ({"met": 30}, "0.01 to 20"),
        ({"met": 0}, "0.01 to 20"),
        ({"met": 1, "methionine": 2}, "twice"),
        ({"mett": 1}, "did you mean"),
        ([1], "no table"),
    ],
)
def test_bad_own_need_is_a_sentence(need: Any, says: str) -> None:
    """Out of range, twice, misspelt, no table."""
    with pytest.raises(TaskError) as refused:
        mixed(need=need)
    assert any(says in t for t in refused.value.problems)


def test_conflicts_are_parted_and_what_would_help_helps() -> None:
    """Soy alone lacks methionine, and 30 % protein beside 45 % sugar is too much: two stories, each with its limits."""
    items = [{"name": "soy flour, defatted", "price_kg": 1.5}, {"name": "white sugar", "price_kg": 0.8}, "water",
             {"name": "rapeseed oil", "price_kg": 1.5}]  # fmt: skip
    mix = mixed(ingredients=items, limits={"protein_min": 30, "sugar_min": 45})
    groups = [set(group) for group in mix.together]
    assert {"protein at least 30 %", "useful sugar at least 45 %"} in groups
    assert any("methionine at least 100 % of the need" in group for group in groups)
    assert sum(map(len, groups)) == len(set.union(*groups))
    soy = mixed(ingredients=items, limits={"protein_min": 18})
    assert not soy.found
    assert soy.helpers
    for name in soy.helpers:
        assert mixed(ingredients=[*items, {"name": name, "price_kg": 9}], limits={"protein_min": 18}).found
    assert "Or add one of these" in " ".join(words.infeasible_words(soy))


def test_unused_ingredient_enters_below_the_price_said_in_bags_too() -> None:
    """Whole bags have no shadow prices; the price is found by halving and is right on both sides."""
    task = raw()
    for one in task["ingredients"]:
        if isinstance(one, dict) and one["name"] != "white sugar":
            one["bag_kg"] = 2.5
    line = next(p for p in formulate(read_task(task)).prices if p.share == 0.0 and (p.enters_below or 0.0) > 0.1)
    assert line.enters_below is not None
    for factor, taken in ((1.03, False), (0.97, True)):
        other = copy.deepcopy(task)
        for one in other["ingredients"]:
            if isinstance(one, dict) and one["name"] == line.name:
                one["price_kg"] = line.enters_below * factor
        mix = formulate(read_task(other), prices=False)
        assert (mix.kilograms.get(line.name, 0.0) > 1e-3) == taken


def test_recipe_says_what_it_has_where_it_misses() -> None:
    """8 soy, 1 yeast, 12 sugar, 6 water: 24.6 % water (by hand) over the usual 22, and too stiff or soft is said too."""
    parts = {"soy flour, defatted": 8, "yeast, brewer's, dried": 1, "white sugar": 12, "water": 6}
    items = [{"name": n, "amount_oz": w} for n, w in parts.items()]
    mix = formulate(read_task({"aim": "as weighed", "ingredients": items, "limits": {"softness_min": 80}}))
    assert any("water at most 22 % (it has 24.6 %)" in t for t in mix.notes)
    assert any("softness at least 80" in t for t in mix.notes)


def test_chance_of_one_ingredient_is_that_of_the_normal_curve() -> None:
    """With one ingredient the ratio is its own times a log-normal: the chance is the curve's, to sampling error."""
    egg = replace(pantry()["egg white, dried"], cv_amino=0.2)
    found = chances({egg.name: egg}, {egg.name: 1.0})
    held = score_of(egg)
    for n, p in found.short.items():
        exact = NormalDist().cdf(-log(held.ratios[n]) / 0.2)
        # four standard errors of 4,000 draws
        assert p == pytest.approx(exact, abs=4.0 * sqrt(max(exact, 0.001) * (1.0 - exact) / 4000.0)), n
    assert found.any_short >= max(found.short.values())


def test_chance_of_two_ingredients_is_that_of_other_draws() -> None:
    """Soy and egg: the same chance by a plain simulation of its own, written apart and with other luck."""
    kilograms = {"soy flour, defatted": 3.0, "egg white, dried": 0.3}
    found = chances(pantry(), kilograms)
    rng = np.random.default_rng(99)
    n = 40_000
    met, protein = np.zeros(n), np.zeros(n)
    for name, kg in kilograms.items():
        one = pantry()[name]
        bag = np.exp(one.cv_protein * rng.standard_normal(n))
        protein += kg * one["protein"].best * bag
        met += kg * one["met"].best * bag * np.exp(one.cv_amino * rng.standard_normal(n))
    short = float((met / protein < 0.015).mean())
    assert found.short["met"] == pytest.approx(short, abs=0.035)


def test_smallest_change_is_the_least_of_all_on_a_grid() -> None:
    """Soy, sugar and water under three wishes that do not go together: no recipe on a fine grid needs less change."""
    none = dict.fromkeys(("fat_min", "fat_max", "ash_max", "salt_max", "toxic_max", "toxic_of_sugar_max",
                          "omega_ratio_max", "softness_min", "score_min", "sugar_max", "water_max"), "none")  # fmt: skip
    wishes = {"protein_min": 25.0, "sugar_min": 50.0, "water_min": 20.0}
    names = ("soy flour, defatted", "white sugar", "water")
    items = [{"name": n, "price_kg": 1.0} for n in names]
    mix = mixed(ingredients=items, limits=none | wishes)
    assert not mix.found
    said = sum((c.level - c.needed) / c.level for c in mix.changes)
    best = inf
    for a in range(401):
        for b in range(401 - a):
            shares = (a / 400, b / 400, 1.0 - (a + b) / 400)
            needs = 0.0
            for key, level in wishes.items():
                has = sum(s * pantry()[n][key.removesuffix("_min")].low for s, n in zip(shares, names, strict=True))
                needs += max(0.0, level - has) / level
            best = min(best, needs)
    # the change said is a hair more than needed, and the grid a hair from the edge
    assert said == pytest.approx(best, abs=0.005)
    assert said <= best + 0.0005


def test_shed_is_used_up_as_well_as_on_a_grid() -> None:
    """Two kilograms of soy, three of sugar: no recipe on a fine grid makes more patty of them."""
    none = dict.fromkeys(("fat_min", "fat_max", "ash_max", "salt_max", "toxic_max", "toxic_of_sugar_max",
                          "omega_ratio_max", "softness_min", "score_min"), "none")  # fmt: skip
    items = [{"name": "soy flour, defatted", "stock_kg": 2.0}, {"name": "white sugar", "stock_kg": 3.0}, "water"]
    limits = none | {"protein_min": 16, "sugar_max": 55, "water_max": 22}
    mix = mixed(aim="use up", batch_kg=None, ingredients=items, limits=limits)
    book = [pantry()[n] for n in ("soy flour, defatted", "white sugar", "water")]
    kg = np.meshgrid(np.linspace(0, 2, 81), np.linspace(0, 3, 121), np.linspace(0, 2, 201), indexing="ij")
    total = np.maximum(sum(kg), 1e-9)

    def share(nutrient: str, end: str) -> np.ndarray:
        parts = [k * float(getattr(i[nutrient], end)) for k, i in zip(kg, book, strict=True)]
        return np.asarray(sum(parts)) / total

    holds_all = (share("protein", "low") >= 16) & (share("sugar", "low") >= 35) & (share("sugar", "high") <= 55)
    holds_all &= (share("water", "low") >= 17) & (share("water", "high") <= 22)
    best = float(np.asarray(total)[holds_all].max())
    assert best <= mix.total_kg + 1e-6
    assert mix.total_kg == pytest.approx(best, abs=0.05)


@pytest.mark.parametrize("aim", ["cheapest", "most protein", "use up"])
def test_shadow_prices_told_are_worth_telling(aim: str) -> None:
    """None is the tie-breaker's: a unit of each limit told moves the aim by a hundredth of a percent or more."""
    items = [{"name": n, "price_kg": p, "stock_kg": 1.0 if aim == "use up" else 0.0} for n, p in PRICES.items()]
    for bag in (0.0, 5.0):
        bags = [i | {"bag_kg": bag} if i["name"] in ("white sugar", "soy flour, defatted") else i for i in items]
        mix = mixed(aim=aim, budget=40.0, ingredients=[*bags, "water"])
        assert mix.makeup is not None
        aimed = {"cheapest": mix.worth / 20.0, "most protein": mix.makeup.shares["protein"].low / 100.0, "use up": 1.0}
        assert mix.binding
        assert all(b.shadow >= 1e-4 * aimed[aim] for b in mix.binding)
        assert not any("e-" in words.binding_words(b, mix) for b in mix.binding)


def test_what_bags_cost_is_told_as_what_is_spent() -> None:
    """With whole bags a price moves what is spent, leftovers included, and is said so."""
    items = [{"name": n, "price_kg": p, "bag_kg": 5.0 if n == "white sugar" else 0.0} for n, p in PRICES.items()]
    mix = mixed(ingredients=[*items, "water"])
    (sugar,) = [p for p in mix.prices if p.name == "white sugar"]
    assert "you spend" in words.price_words(sugar, mix)
    assert sugar.up is not None
    assert sugar.down is not None
    assert sugar.down[1] < mix.spend / 20.0 < sugar.up[1]


def test_budget_needed_is_the_least_that_works() -> None:
    """What it takes with no other limit changed: a cent less fails, that much works."""
    mix = mixed(budget=5.0)
    assert not mix.found
    needed = mix.budget_needed
    assert needed is not None
    assert mixed(budget=needed).found
    assert not mixed(budget=needed - 0.02).found
    assert mixed(budget=5.0, limits={"protein_min": 60}).budget_needed is None
    assert mixed(limits={"protein_min": 60}).budget_needed is None


def test_recipe_that_misses_a_ratio_says_what_it_has() -> None:
    """Soy and sugar alone: 7.5 of omega-6 to one of omega-3, as in the food table (0.470 / 0.063)."""
    parts = {"soy flour, defatted": 3, "white sugar": 3, "water": 2.5}
    items = [{"name": n, "amount_kg": kg} for n, kg in parts.items()]
    mix = formulate(read_task({"aim": "as weighed", "ingredients": items, "limits": {"omega_ratio_max": 5}}))
    assert any("omega-6 to omega-3 at most 5 (it has 7.5)" in t for t in mix.notes)
