"""One day of the colony, written to be read: NumPy over members.

This is the specification. ``kernel`` does the same sums in compiled loops and the
tests hold the two together. The order of a day: weather, the keeper's visit, work,
protein (one flow table, nothing charged twice), consequences of a shortage, honey,
deaths and ageing, laying.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony import noise
from tideover.colony import weights as w
from tideover.colony.fixed import Fixed
from tideover.colony.layout import SMALL, TINY, G, O, P

Floats = NDArray[np.float64]


def share_lost(hazard: Floats, most: float) -> Floats:
    """Return the share that dies in a day at a hazard [1/d], by the midpoint rule.

    2h/(2+h) stays within h^3/12 of 1 - exp(-h) (0.001 at 0.25/d) and costs no exponential.
    """
    return np.minimum(most, hazard / (1.0 + 0.5 * hazard))


@dataclass(frozen=True)
class Day:
    """Drivers of one day; scalars or arrays of shape (members,)."""

    log_index: Floats
    temp_max_c: Floats
    temp_min_c: Floats
    flight_h: Floats
    pollen_h: Floats
    light: float
    visit_g: float = -1.0
    protein: float = 0.15
    pollen: float = 0.0
    sugar_g: float = 0.0
    keep_rest: float = 0.0
    visit_chance: float = 1.0


def step(x: Floats, p: Floats, c: Floats, day: Day, key: int, number: int, ledger: Floats) -> Floats:
    """Advance every member by one day, in place.

    :param x: state, shape (members, STATE); changed in place.
    :param p: parameters, shape (members, PARAMS).
    :param c: fixed figures, shape (CONSTS,).
    :param day: the day's drivers.
    :param key: noise key (``noise.key``).
    :param number: absolute number of the day, for the noise.
    :param ledger: running totals, shape (members, LEDGERS); changed in place.
    :returns: what is recorded of the day, shape (members, OUTS).
    """
    n = x.shape[0]
    member = np.arange(n, dtype=np.uint64)
    par = {name: p[:, i] for name, i in P.items()}
    k = Fixed(*c.tolist())
    egg = x[:, lay.EGG : lay.LARVA]
    larva = x[:, lay.LARVA : lay.CAPPED]
    capped = x[:, lay.CAPPED : lay.QUALITY]
    quality = x[:, lay.QUALITY : lay.HOUSE]
    house = x[:, lay.HOUSE : lay.RESERVE]
    reserve = x[:, lay.RESERVE : lay.FORAGER]
    out = np.zeros((n, lay.OUTS))
    cp = k.pollen_protein

    # --- weather and the hive's own departure from its yard
    x[:, lay.WARMTH] += (0.5 * (day.temp_max_c + day.temp_min_c) - x[:, lay.WARMTH]) / k.warmth_days
    fl = np.minimum(1.0, np.asarray(day.flight_h) / k.full_day_h)
    ph = np.minimum(k.pollen_day_most, np.asarray(day.pollen_h) / k.full_day_h)
    x[:, lay.FLIGHT_MEMORY] += k.flight_memory_rate * (fl - x[:, lay.FLIGHT_MEMORY])
    keep = k.hive_income_memory
    z = noise.normal_array(key, member, number, noise.INCOME)
    x[:, lay.HIVE_DEV] = keep * x[:, lay.HIVE_DEV] + np.sqrt(1.0 - keep * keep) * par["hive_income_sd"] * z
    offer = np.exp(day.log_index + x[:, lay.HIVE_DEV]) * par["income_scale"]

    # --- the keeper's visit
    if day.visit_g >= 0.0:
        comes = noise.uniform_array(key, member, number, noise.VISIT) < day.visit_chance
        off = np.where(comes & (day.keep_rest < 0.5), x[:, lay.PATTY], 0.0)
        ledger[:, G["patty_removed_g"]] += off
        x[:, lay.PATTY] -= off
        lays = comes & (day.visit_g > 0.0)
        ledger[:, G["patty_laid_g"]] += np.where(lays, day.visit_g, 0.0)
        x[:, lay.PATTY] += np.where(lays, day.visit_g, 0.0)
        x[:, lay.PATTY_AGE] = np.where(lays, 0.0, x[:, lay.PATTY_AGE])
        x[:, lay.PATTY_DAYS] = np.where(lays, 0.0, x[:, lay.PATTY_DAYS])
        x[:, lay.PATTY_PROTEIN] = np.where(lays, day.protein, x[:, lay.PATTY_PROTEIN])
        x[:, lay.PATTY_POLLEN] = np.where(lays, day.pollen, x[:, lay.PATTY_POLLEN])

    # --- work
    bees = house.sum(axis=1)
    foragers = x[:, lay.FORAGER].copy()
    adults = bees + foragers
    larvae = larva.sum(axis=1)
    eaters = house @ w.EATING
    fitness = np.minimum(1.0, k.fit_least + (1.0 - k.fit_least) / k.fit_full * reserve)
    nurses = (house * w.NURSING * fitness).sum(axis=1)
    helpers = k.helper_share * (house * (1.0 - w.NURSING) * fitness).sum(axis=1)
    larva_g = par["larva_protein_mg"] * lay.MG
    need_young = larva_g * (larva[:, : lay.N_YOUNG] @ w.LARVA_NEED[: lay.N_YOUNG])
    need_old = larva_g * (larva[:, lay.N_YOUNG :] @ w.LARVA_NEED[lay.N_YOUNG :])
    need_larvae = need_young + need_old
    intake_g = par["nurse_intake_mg"] * lay.MG * cp
    load = np.minimum(k.load_most, need_larvae / (nurses * intake_g + TINY))
    capacity = nurses * intake_g
    capacity = capacity + np.minimum(np.maximum(0.0, need_larvae - capacity), helpers * intake_g)
    care = np.minimum(1.0, k.larvae_per_nurse * (nurses + helpers) / (larvae + 1.0))

    # --- pollen in
    hot = np.clip((day.temp_max_c - k.water_start_c) / k.water_span_c, 0.0, k.water_most)
    afield = foragers * (1.0 - k.water_share * hot)
    stored = x[:, lay.BREAD] / (k.store_target_mg * lay.MG * adults + 1.0)
    # Gentle around the set point, steep far above it: nobody finds combs full of pollen for long.
    squared = stored * stored
    answer = (1.0 + k.store_response) / (1.0 + k.store_response * stored + k.store_glut * squared * squared)
    called = np.minimum(1.0, larvae / (k.brood_call_full * adults + 1.0))
    call_of_brood = k.brood_call_least + (1.0 - k.brood_call_least) * called
    share = np.minimum(k.pollen_share_max, k.pollen_share * answer * call_of_brood)
    found = (1.0 + k.offer_saturation) * offer / (1.0 + k.offer_saturation * offer)
    income = afield * share * k.trips_per_day * ph * k.load_g * found
    x[:, lay.BREAD] += income

    # --- protein: what is wanted
    target = 1.0 - k.reserve_nursing * load[:, None] * np.maximum(w.NURSING, k.nursing_least)
    reserve_g = par["reserve_mg"][:, None] * lay.MG
    upkeep = house * w.UPKEEP * (k.maintenance_mg * lay.MG)
    fill = k.reserve_fill * w.FILLING * np.maximum(0.0, target - reserve)
    want_adult = (upkeep + house * fill * reserve_g).sum(axis=1)
    want_larvae = np.minimum(need_larvae, capacity)
    want = want_larvae + want_adult
    need_g = (need_larvae + want_adult) / cp

    # --- protein: what is eaten
    soft = np.exp(-x[:, lay.PATTY_AGE] / k.patty_harden_d)
    sated = np.minimum(1.0, x[:, lay.BREAD] / (k.sated_days * need_g + 1.0))
    taste = k.patty_taste_plain + k.patty_taste_pollen * x[:, lay.PATTY_POLLEN]
    appetite = 1.0 - k.patty_off_pollen * sated
    could = eaters * par["patty_intake_mg"] * lay.MG * soft * taste * appetite
    patty_cp = x[:, lay.PATTY_PROTEIN]
    could = np.minimum(could, k.patty_over_want * want / (patty_cp + k.patty_protein_least))
    patty_eaten = np.minimum(could, x[:, lay.PATTY])
    worth = par["feed_value"] + np.maximum(0.0, k.pollen_feed_value - par["feed_value"]) * np.minimum(
        1.0, k.pollen_feed_rise * x[:, lay.PATTY_POLLEN]
    )
    from_patty = patty_eaten * patty_cp * worth
    returned = x[:, lay.RETURNED].copy()
    from_bread = np.minimum(k.bread_daily_max * x[:, lay.BREAD] * cp, np.maximum(0.0, want - from_patty - returned))
    supply = from_patty + returned + from_bread
    used = np.minimum(supply, want)
    served = used / (want + TINY)
    jelly_food = served * want_larvae
    # Nurses keep back a last part of their reserve whatever the larvae ask.
    spare_r = np.maximum(0.0, reserve - k.reserve_kept)
    limit = k.reserve_draw * (house * w.NURSING * spare_r * reserve_g).sum(axis=1)
    drawn = np.minimum(np.maximum(0.0, want_larvae - jelly_food), limit)
    jelly_all = jelly_food + drawn
    fed = np.where(need_larvae > SMALL, jelly_all / (need_larvae + TINY), 1.0)
    fed_young = np.clip((fed - k.young_last) / (1.0 - k.young_last), 0.0, 1.0)
    fed_old = np.where(
        need_old > SMALL, np.clip((jelly_all - fed_young * need_young) / (need_old + TINY), 0.0, 1.0), 1.0
    )
    # Young bees with nothing to nurse still show whether there is food to make jelly from.
    shown = np.where(need_larvae > SMALL, fed_young, served)
    bread_eaten = from_bread / cp
    x[:, lay.BREAD] = np.maximum(0.0, x[:, lay.BREAD] - bread_eaten)
    x[:, lay.PATTY] = np.maximum(0.0, x[:, lay.PATTY] - patty_eaten)
    x[:, lay.PATTY_AGE] += 1.0 + k.patty_heat_rate * np.maximum(0.0, day.temp_max_c - k.patty_heat_c)
    x[:, lay.PATTY_DAYS] += 1.0
    x[:, lay.FEED_MEMORY] += (patty_eaten - x[:, lay.FEED_MEMORY]) / k.feed_memory_days

    # --- reserves
    pull = (drawn / (limit + TINY))[:, None] * k.reserve_draw * w.NURSING * spare_r
    gain = served[:, None] * fill
    burn = (1.0 - served)[:, None] * (k.maintenance_mg * lay.MG) * w.UPKEEP / reserve_g
    wear = k.reserve_wear * np.maximum(0.0, reserve - target) * w.NURSING
    reserve[:] = np.clip(reserve + gain - pull - burn - wear, 0.0, 1.0)

    # --- consequences for brood
    x[:, lay.JELLY] += k.jelly_rate * (shown - x[:, lay.JELLY])
    jelly = x[:, lay.JELLY]
    use = (
        adults * (k.honey_adult_mg + k.honey_small_mg * np.exp(-adults / k.honey_small_bees))
        + larvae * k.honey_larva_mg
        + foragers * fl * k.honey_work_mg
    ) * lay.MG
    flowing = np.minimum(k.nectar_offer_most, offer) * par["nectar_scale"]
    nectar = (
        afield * (1.0 - share) * k.nectar_g * 0.5 * (ph + fl) * flowing
        + patty_eaten * k.patty_sugar / k.honey_sugar
        + day.sugar_g * k.syrup_kept / k.honey_sugar
    )
    honey = x[:, lay.HONEY] + nectar
    starving = np.where(honey < use, 1.0 - honey / (use + TINY), 0.0)
    honey_used = np.minimum(honey, use)
    x[:, lay.HONEY] = honey - honey_used
    dry = np.maximum(0.0, (k.jelly_loss_start - jelly) / k.jelly_loss_start)
    k_young = par["cannibal_rate"] * dry + k.starve_young * starving
    hungry = np.maximum(0.0, (k.old_loss_start - fed_old) / k.old_loss_start)
    k_old = k.old_larva_loss * hungry + k.starve_brood * starving
    k_egg = k.egg_loss * np.maximum(0.0, (k.egg_loss_start - jelly) / k.egg_loss_start) + k.starve_brood * starving
    kill = np.empty_like(larva)
    kill[:, : lay.N_YOUNG] = k_young[:, None]
    kill[:, lay.N_YOUNG :] = k_old[:, None]
    gone = larva * share_lost(kill + k.larva_mortality, k.loss_most)
    eaten = gone * kill / (kill + k.larva_mortality)
    egg_gone = egg * share_lost(k_egg + k.egg_mortality, k.loss_most)[:, None]
    egg_eaten = egg_gone * (k_egg / (k_egg + k.egg_mortality))[:, None]
    brood_lost = eaten.sum(axis=1) + egg_eaten.sum(axis=1)
    x[:, lay.RETURNED] = k.eaten_return * larva_g * (eaten @ w.LARVA_CONTENT)
    # Nothing can be eaten where there is nothing: a broodless colony loses no larvae.
    young_share = np.where(larvae > k.larvae_least, share_lost(k_young, k.loss_most), 0.0)
    egg -= egg_gone
    larva -= gone
    capped *= 1.0 - share_lost(np.array(k.capped_mortality), k.loss_most)

    # --- deaths of adults
    rough = np.exp(k.mortality_noise * noise.normal_array(key, member, number, noise.DEATH))
    mites = x[:, lay.MITES]
    fed_much = np.minimum(k.feed_most, x[:, lay.FEED_MEMORY] / k.feed_full_g)
    more = 1.0 + par["feed_harm"] * fed_much
    toil = k.toil_share * load[:, None] + (1.0 - k.toil_share) * (1.0 - reserve) / k.toil_reserve
    hazard = par["winter_hazard"][:, None] + (par["house_hazard"] - par["winter_hazard"])[:, None] * toil
    hazard = hazard * (more * rough)[:, None] + (k.mite_hazard * mites + k.starve_rate * starving)[:, None]
    dead = house * share_lost(hazard, k.loss_most)
    house -= dead
    act = k.act_least + (1.0 - k.act_least) * np.minimum(1.0, offer)
    f_hazard = (
        (par["forager_hazard"] * fl * act + k.forager_base_hazard) * more * rough
        + k.mite_hazard * mites
        + k.starve_rate * starving
    )
    f_dead = foragers * share_lost(f_hazard, k.loss_most)
    deaths = dead.sum(axis=1) + f_dead
    x[:, lay.FORAGER] -= f_dead

    # --- turning forager, and back
    # Where little is to be found fewer are recruited; act is 0.4-1.
    aim = par["forager_share"] * (house.sum(axis=1) + x[:, lay.FORAGER]) * x[:, lay.FLIGHT_MEMORY] * (0.5 + 0.5 * act)
    wanted = k.recruit_rate * np.maximum(0.0, aim - x[:, lay.FORAGER])
    ready = house * w.FORAGING * np.maximum(k.ready_least, k.ready_reserve - reserve)
    rate = np.minimum(k.recruit_most, wanted / (ready.sum(axis=1) + TINY))
    go = ready * rate[:, None]
    house -= go
    first = go.sum(axis=1)
    x[:, lay.FORAGER] += first * (1.0 - k.first_flight_loss)
    deaths += first * k.first_flight_loss
    back = k.return_rate * np.maximum(0.0, x[:, lay.FORAGER] - k.return_over * aim)
    x[:, lay.FORAGER] -= back
    last = house[:, -1] + back
    reserve[:, -1] = np.where(
        last > TINY, (house[:, -1] * reserve[:, -1] + back * k.forager_reserve) / (last + TINY), reserve[:, -1]
    )
    house[:, -1] = last

    # --- emergence and ageing
    out_now = capped[:, -1] * np.maximum(0.0, 1.0 - k.mite_brood * mites)
    born_reserve = k.reserve_birth * quality[:, -1]
    merged = house[:, -1] + house[:, -2]
    reserve[:, -1] = np.where(
        merged > TINY, (house[:, -1] * reserve[:, -1] + house[:, -2] * reserve[:, -2]) / (merged + TINY), reserve[:, -1]
    )
    house[:, -1] = merged
    house[:, 1:-1] = house[:, :-2].copy()
    reserve[:, 1:-1] = reserve[:, :-2].copy()
    house[:, 0] = out_now
    reserve[:, 0] = born_reserve
    capped[:, 1:] = capped[:, :-1].copy()
    quality[:, 1:] = quality[:, :-1].copy()
    capped[:, 0] = larva[:, -1]
    quality[:, 0] = np.clip(k.quality_least + (1.0 - k.quality_least) * x[:, lay.NUTRITION], 0.0, 1.0)
    larva[:, 1:] = larva[:, :-1].copy()
    larva[:, 0] = egg[:, -1]
    egg[:, 1:] = egg[:, :-1].copy()

    # --- the queen
    queen = x[:, lay.QUEEN]
    fails = noise.uniform_array(key, member, number, noise.QUEEN_FAILS) < k.queen_failure * (
        1.0 + k.queen_harm * par["feed_harm"] * fed_much
    )
    can_raise = (larva[:, : lay.N_YOUNG].sum(axis=1) + egg.sum(axis=1) > k.raise_brood) & (
        noise.uniform_array(key, member, number, noise.QUEEN_RAISED) < k.raise_chance
    )
    lost = (queen > 0.5) & fails
    waiting = (queen < 0.0) & (queen > 0.5 * lay.NO_QUEEN)
    queen_next = np.where(lost, np.where(can_raise, -k.queen_gap, lay.NO_QUEEN), queen)
    queen_next = np.where(waiting, queen + 1.0, queen_next)
    queen_next = np.where(waiting & (queen_next > -0.5), 1.0, queen_next)
    x[:, lay.QUEEN] = queen_next
    x[:, lay.NUTRITION] += (jelly - x[:, lay.NUTRITION]) / k.nutrition_days
    enough = np.minimum(1.0, (income * cp + from_patty + k.bread_trust * x[:, lay.BREAD] * cp) / (want + TINY))
    x[:, lay.POLLEN_MEMORY] += (enough - x[:, lay.POLLEN_MEMORY]) / k.pollen_memory_days
    bees_now = house.sum(axis=1)
    size = bees_now / (bees_now + k.size_half_bees)
    warm = np.clip((x[:, lay.WARMTH] - k.laying_temp_none) / (k.laying_temp_full - k.laying_temp_none), 0.0, 1.0)
    too_hot = np.maximum(0.0, day.temp_max_c - k.heat_laying_c) / k.heat_laying_span_c
    heat = np.maximum(0.0, 1.0 - par["heat_laying"] * too_hot)
    weight = house * w.NURSING
    nurse_reserve = (weight * reserve).sum(axis=1) / (weight.sum(axis=1) + TINY)
    lays_now = (
        par["laying_max"]
        * day.light
        * warm
        * heat
        * size
        * size
        * care
        * np.clip(x[:, lay.NUTRITION] / k.laying_jelly_full, k.laying_jelly_least, 1.0)
        * np.clip(nurse_reserve / k.laying_reserve_full, 0.0, 1.0)
        * (k.laying_pollen_least + (1.0 - k.laying_pollen_least) * x[:, lay.POLLEN_MEMORY])
        * np.exp(k.laying_noise * noise.normal_array(key, member, number, noise.LAYING))
    )
    egg[:, 0] = np.where((x[:, lay.QUEEN] > 0.5) & (starving < 0.5), lays_now, 0.0)

    # --- mites
    brood = larva.sum(axis=1) + capped.sum(axis=1)
    adults_now = house.sum(axis=1) + x[:, lay.FORAGER]
    breeding = np.minimum(1.0, brood / (k.mite_brood_full * adults_now + 1.0))
    x[:, lay.MITES] = np.minimum(k.mites_most, mites * np.exp(par["mite_growth"] * breeding))

    # --- records
    out[:, O["adults"]] = adults_now
    out[:, O["eggs"]] = egg.sum(axis=1)
    out[:, O["open"]] = larva.sum(axis=1)
    out[:, O["capped"]] = capped.sum(axis=1)
    out[:, O["pollen_g"]] = x[:, lay.BREAD]
    out[:, O["honey_g"]] = x[:, lay.HONEY]
    out[:, O["patty_g"]] = x[:, lay.PATTY]
    out[:, O["jelly"]] = jelly
    out[:, O["reserve"]] = nurse_reserve
    out[:, O["young_lost_share"]] = young_share
    out[:, O["brood_lost"]] = brood_lost
    out[:, O["income_g"]] = income
    out[:, O["patty_eaten_g"]] = patty_eaten
    out[:, O["need_g"]] = need_g
    out[:, O["foragers"]] = x[:, lay.FORAGER]
    out[:, O["mites"]] = x[:, lay.MITES]
    out[:, O["queen"]] = x[:, lay.QUEEN]
    out[:, O["young_bees"]] = house @ w.YOUNG
    ledger[:, G["emerged"]] += out_now
    ledger[:, G["adult_deaths"]] += deaths
    ledger[:, G["pollen_in_g"]] += income
    ledger[:, G["bread_eaten_g"]] += bread_eaten
    ledger[:, G["patty_eaten_g"]] += patty_eaten
    ledger[:, G["protein_eaten_g"]] += from_patty + from_bread
    ledger[:, G["protein_returned_g"]] += returned
    ledger[:, G["protein_drawn_g"]] += drawn
    ledger[:, G["protein_jelly_g"]] += jelly_all
    ledger[:, G["protein_adult_g"]] += served * want_adult
    ledger[:, G["protein_waste_g"]] += supply - used
    ledger[:, G["honey_in_g"]] += nectar
    ledger[:, G["honey_used_g"]] += honey_used
    ledger[:, G["brood_lost"]] += brood_lost
    ledger[:, G["laid"]] += egg[:, 0]
    stale = (x[:, lay.PATTY] > k.overstay_g) & (x[:, lay.PATTY_DAYS] > k.overstay_d)
    ledger[:, G["overstay"]] += stale
    return out
