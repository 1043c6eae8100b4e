"""The compiled day: the sums of ``reference.step`` in loops, members in parallel.

Each member is one row of the state array and is stepped through all days while it is
in cache. Nothing is shared between members, and noise is a pure function of member and
day, so the bytes do not depend on the number of threads.
"""

# The maths is laid out line by line as in reference.py; keep the two side by side.
from __future__ import annotations

import math
from typing import Final

import numba as nb
import numpy as np
from numba.np.unsafe.ndarray import to_fixed_tuple
from numpy.typing import NDArray

from tideover.colony import weights
from tideover.colony.fixed import Fixed
from tideover.colony.layout import (
    BREAD,
    CAPPED,
    EGG,
    FEED_MEMORY,
    FLIGHT_MEMORY,
    FORAGER,
    HIVE_DEV,
    HONEY,
    HOUSE,
    JELLY,
    LARVA,
    MG,
    MITES,
    N_AGE,
    N_CAPPED,
    N_EGG,
    N_LARVA,
    N_YOUNG,
    NO_QUEEN,
    NUTRITION,
    PATTY,
    PATTY_AGE,
    PATTY_DAYS,
    PATTY_POLLEN,
    PATTY_PROTEIN,
    POLLEN_MEMORY,
    QUALITY,
    QUEEN,
    RESERVE,
    RETURNED,
    SMALL,
    TINY,
    WARMTH,
    G,
    O,
    P,
)
from tideover.colony.noise import DEATH, INCOME, LAYING, QUEEN_FAILS, QUEEN_RAISED, VISIT, normal, uniform

Floats = NDArray[np.float64]

_NURSING = weights.NURSING
_FORAGING = weights.FORAGING
_UPKEEP = weights.UPKEEP
_FILLING = weights.FILLING
_YOUNG = weights.YOUNG
_EATING = weights.EATING
_LNEED = weights.LARVA_NEED
_LHOLD = weights.LARVA_CONTENT
LAST = N_AGE - 1
FIGURES: Final = len(Fixed._fields)
BLOCK: Final = 32
"""Members stepped by one task. A task first reads all figures of the day, which costs as much as ten member-days, so
that few members a task made short stretches slow; many would leave a core idle."""

p_laying, p_larva, p_intake, p_fhaz, p_hhaz, p_whaz = (
    P[k]
    for k in ("laying_max", "larva_protein_mg", "nurse_intake_mg", "forager_hazard", "house_hazard", "winter_hazard")
)
p_income, p_nectar, p_heat, p_value, p_harm, p_patty = (
    P[k] for k in ("income_scale", "nectar_scale", "heat_laying", "feed_value", "feed_harm", "patty_intake_mg")
)
p_fshare, p_cannibal, p_reserve, p_mites, p_devsd = (
    P[k] for k in ("forager_share", "cannibal_rate", "reserve_mg", "mite_growth", "hive_income_sd")
)
(
    o_adults,
    o_eggs,
    o_open,
    o_capped,
    o_pollen,
    o_honey,
    o_patty,
    o_jelly,
    o_reserve,
    o_ylost,
    o_lost,
    o_income,
    o_peaten,
    o_need,
    o_foragers,
    o_mites,
    o_queen,
    o_young,
) = range(len(O))
(
    g_em,
    g_dead,
    g_pin,
    g_bread,
    g_peat,
    g_poff,
    g_prot,
    g_ret,
    g_drawn,
    g_jelly,
    g_adult,
    g_waste,
    g_hin,
    g_huse,
    g_plaid,
    g_lost,
    g_laid,
    g_over,
) = range(len(G))


@nb.njit(inline="always")
def share_lost(h: float, most: float) -> float:  # pragma: no cover
    return min(most, h / (1.0 + 0.5 * h))


_FAST: Final = {"contract", "arcp", "nsz", "reassoc"}


@nb.njit(fastmath=_FAST, error_model="numpy")
def _some(
    first: int,
    last: int,
    x: Floats,
    p: Floats,
    c: Floats,
    log_index: Floats,
    temp_max: Floats,
    temp_min: Floats,
    flight: Floats,
    pollen_h: Floats,
    light: Floats,
    visit_g: Floats,
    protein: Floats,
    pollen: Floats,
    sugar: Floats,
    keep_rest: Floats,
    visit_chance: float,
    key: np.uint64,
    first_day: int,
    out: NDArray[np.float32],
    ledger: Floats,
    passage: Floats,
    limits: Floats,
) -> None:  # pragma: no cover
    # A tuple, not the array: the compiler may then keep every figure out of the loops.
    k = Fixed(*to_fixed_tuple(c, FIGURES))  # type: ignore[call-arg]  # compiled: the typing context is not passed
    days = light.shape[0]
    record = out.shape[0] > 0
    m_i = 0 if log_index.shape[0] == 1 else 1
    m_x = 0 if temp_max.shape[0] == 1 else 1
    m_n = 0 if temp_min.shape[0] == 1 else 1
    m_f = 0 if flight.shape[0] == 1 else 1
    m_p = 0 if pollen_h.shape[0] == 1 else 1
    fit_rise = (1.0 - k.fit_least) / k.fit_full
    cp = k.pollen_protein
    keep = k.hive_income_memory
    spread = math.sqrt(1.0 - keep * keep)
    cap_stay = 1.0 - share_lost(k.capped_mortality, k.loss_most)
    for i in range(first, last):
        s = x[i]
        q = p[i]
        me = np.uint64(i)
        larva_g = q[p_larva] * MG
        intake_g = q[p_intake] * MG * cp
        reserve_g = q[p_reserve] * MG
        maint_g = k.maintenance_mg * MG
        for d in range(days):
            number = np.uint64(first_day + d)
            tx = temp_max[i * m_x, d]
            tn = temp_min[i * m_n, d]
            # weather
            s[WARMTH] += (0.5 * (tx + tn) - s[WARMTH]) / k.warmth_days
            fl = min(1.0, flight[i * m_f, d] / k.full_day_h)
            ph = min(k.pollen_day_most, pollen_h[i * m_p, d] / k.full_day_h)
            s[FLIGHT_MEMORY] += k.flight_memory_rate * (fl - s[FLIGHT_MEMORY])
            s[HIVE_DEV] = keep * s[HIVE_DEV] + spread * q[p_devsd] * normal(key, me, number, INCOME)
            offer = math.exp(log_index[i * m_i, d] + s[HIVE_DEV]) * q[p_income]
            # visit
            if visit_g[d] >= 0.0 and uniform(key, me, number, VISIT) < visit_chance:
                if keep_rest[d] < 0.5:
                    ledger[i, g_poff] += s[PATTY]
                    s[PATTY] = 0.0
                if visit_g[d] > 0.0:
                    ledger[i, g_plaid] += visit_g[d]
                    s[PATTY] += visit_g[d]
                    s[PATTY_AGE] = 0.0
                    s[PATTY_DAYS] = 0.0
                    s[PATTY_PROTEIN] = protein[d]
                    s[PATTY_POLLEN] = pollen[d]
            # work
            bees = 0.0
            eaters = 0.0
            nurses = 0.0
            spare = 0.0
            for a in range(N_AGE):
                h = s[HOUSE + a]
                fit = min(1.0, k.fit_least + fit_rise * s[RESERVE + a])
                bees += h
                eaters += h * _EATING[a]
                nurses += h * _NURSING[a] * fit
                spare += h * (1.0 - _NURSING[a]) * fit
            helpers = k.helper_share * spare
            foragers = s[FORAGER]
            adults = bees + foragers
            larvae = 0.0
            need_young = 0.0
            need_old = 0.0
            for a in range(N_LARVA):
                v = s[LARVA + a]
                larvae += v
                if a < N_YOUNG:
                    need_young += v * _LNEED[a]
                else:
                    need_old += v * _LNEED[a]
            need_young *= larva_g
            need_old *= larva_g
            need_larvae = need_young + need_old
            capacity = nurses * intake_g
            load = min(k.load_most, need_larvae / (capacity + TINY))
            capacity += min(max(0.0, need_larvae - capacity), helpers * intake_g)
            care = min(1.0, k.larvae_per_nurse * (nurses + helpers) / (larvae + 1.0))
            # pollen in
            hot = min(k.water_most, max(0.0, (tx - k.water_start_c) / k.water_span_c))
            afield = foragers * (1.0 - k.water_share * hot)
            stored = s[BREAD] / (k.store_target_mg * MG * adults + 1.0)
            squared = stored * stored
            answer = (1.0 + k.store_response) / (1.0 + k.store_response * stored + k.store_glut * squared * squared)
            called = min(1.0, larvae / (k.brood_call_full * adults + 1.0))
            call = k.brood_call_least + (1.0 - k.brood_call_least) * called
            share = min(k.pollen_share_max, k.pollen_share * answer * call)
            found = (1.0 + k.offer_saturation) * offer / (1.0 + k.offer_saturation * offer)
            income = afield * share * k.trips_per_day * ph * k.load_g * found
            s[BREAD] += income
            # protein wanted
            want_adult = 0.0
            pulls = 0.0
            for a in range(N_AGE):
                h = s[HOUSE + a]
                r = s[RESERVE + a]
                aim_r = 1.0 - k.reserve_nursing * load * max(_NURSING[a], k.nursing_least)
                fill = k.reserve_fill * _FILLING[a] * max(0.0, aim_r - r)
                want_adult += h * (_UPKEEP[a] * maint_g + fill * reserve_g)
                pulls += h * _NURSING[a] * max(0.0, r - k.reserve_kept)
            want_larvae = min(need_larvae, capacity)
            want = want_larvae + want_adult
            need_g = (need_larvae + want_adult) / cp
            # protein eaten
            soft = math.exp(-s[PATTY_AGE] / k.patty_harden_d)
            sated = min(1.0, s[BREAD] / (k.sated_days * need_g + 1.0))
            taste = k.patty_taste_plain + k.patty_taste_pollen * s[PATTY_POLLEN]
            could = eaters * q[p_patty] * MG * soft * taste * (1.0 - k.patty_off_pollen * sated)
            patty_cp = s[PATTY_PROTEIN]
            could = min(could, k.patty_over_want * want / (patty_cp + k.patty_protein_least))
            patty_eaten = min(could, s[PATTY])
            real = min(1.0, k.pollen_feed_rise * s[PATTY_POLLEN])
            worth = q[p_value] + max(0.0, k.pollen_feed_value - q[p_value]) * real
            from_patty = patty_eaten * patty_cp * worth
            returned = s[RETURNED]
            from_bread = min(k.bread_daily_max * s[BREAD] * cp, max(0.0, want - from_patty - returned))
            supply = from_patty + returned + from_bread
            used = min(supply, want)
            served = used / (want + TINY)
            jelly_food = served * want_larvae
            limit = k.reserve_draw * pulls * reserve_g
            drawn = min(max(0.0, want_larvae - jelly_food), limit)
            jelly_all = jelly_food + drawn
            fed = 1.0
            if need_larvae > SMALL:
                fed = jelly_all / (need_larvae + TINY)
            fed_young = min(1.0, max(0.0, (fed - k.young_last) / (1.0 - k.young_last)))
            fed_old = 1.0
            if need_old > SMALL:
                fed_old = min(1.0, max(0.0, (jelly_all - fed_young * need_young) / (need_old + TINY)))
            shown = served
            if need_larvae > SMALL:
                shown = fed_young
            bread_eaten = from_bread / cp
            s[BREAD] = max(0.0, s[BREAD] - bread_eaten)
            s[PATTY] = max(0.0, s[PATTY] - patty_eaten)
            s[PATTY_AGE] += 1.0 + k.patty_heat_rate * max(0.0, tx - k.patty_heat_c)
            s[PATTY_DAYS] += 1.0
            s[FEED_MEMORY] += (patty_eaten - s[FEED_MEMORY]) / k.feed_memory_days
            # consequences for brood
            s[JELLY] += k.jelly_rate * (shown - s[JELLY])
            jelly = s[JELLY]
            eat_honey = (
                adults * (k.honey_adult_mg + k.honey_small_mg * math.exp(-adults / k.honey_small_bees))
                + larvae * k.honey_larva_mg
                + foragers * fl * k.honey_work_mg
            ) * MG
            nectar = (
                afield * (1.0 - share) * k.nectar_g * q[p_nectar] * 0.5 * (ph + fl) * min(k.nectar_offer_most, offer)
                + patty_eaten * k.patty_sugar / k.honey_sugar
                + sugar[d] * k.syrup_kept / k.honey_sugar
            )
            honey = s[HONEY] + nectar
            starving = 0.0
            if honey < eat_honey:
                starving = 1.0 - honey / (eat_honey + TINY)
            honey_used = min(honey, eat_honey)
            s[HONEY] = honey - honey_used
            dry = max(0.0, (k.jelly_loss_start - jelly) / k.jelly_loss_start)
            k_young = q[p_cannibal] * dry + k.starve_young * starving
            hungry = max(0.0, (k.old_loss_start - fed_old) / k.old_loss_start)
            k_old = k.old_larva_loss * hungry + k.starve_brood * starving
            k_egg = k.egg_loss * max(0.0, (k.egg_loss_start - jelly) / k.egg_loss_start) + k.starve_brood * starving
            back_g = 0.0
            brood_lost = 0.0
            for a in range(N_LARVA):
                kill = k_young if a < N_YOUNG else k_old
                gone = s[LARVA + a] * share_lost(kill + k.larva_mortality, k.loss_most)
                eaten = gone * kill / (kill + k.larva_mortality)
                brood_lost += eaten
                back_g += eaten * _LHOLD[a]
                s[LARVA + a] -= gone
            for a in range(N_EGG):
                gone = s[EGG + a] * share_lost(k_egg + k.egg_mortality, k.loss_most)
                brood_lost += gone * k_egg / (k_egg + k.egg_mortality)
                s[EGG + a] -= gone
            s[RETURNED] = k.eaten_return * larva_g * back_g
            # reserves, deaths of house bees, readiness to forage: one pass over ages
            rough = math.exp(k.mortality_noise * normal(key, me, number, DEATH))
            mites = s[MITES]
            fed_much = min(k.feed_most, s[FEED_MEMORY] / k.feed_full_g)
            more = (1.0 + q[p_harm] * fed_much) * rough
            extra = k.mite_hazard * mites + k.starve_rate * starving
            part = drawn / (limit + TINY) * k.reserve_draw
            unserved = 1.0 - served
            rise = q[p_hhaz] - q[p_whaz]
            died = 0.0
            readiness = 0.0
            left = 0.0
            for a in range(N_AGE):
                r = s[RESERVE + a]
                aim_r = 1.0 - k.reserve_nursing * load * max(_NURSING[a], k.nursing_least)
                fill = k.reserve_fill * _FILLING[a] * max(0.0, aim_r - r)
                r += (
                    served * fill
                    - part * _NURSING[a] * max(0.0, r - k.reserve_kept)
                    - unserved * maint_g * _UPKEEP[a] / reserve_g
                    - k.reserve_wear * max(0.0, r - aim_r) * _NURSING[a]
                )
                r = min(1.0, max(0.0, r))
                s[RESERVE + a] = r
                toil = k.toil_share * load + (1.0 - k.toil_share) * (1.0 - r) / k.toil_reserve
                h = s[HOUSE + a]
                gone = h * share_lost((q[p_whaz] + rise * toil) * more + extra, k.loss_most)
                died += gone
                h -= gone
                s[HOUSE + a] = h
                left += h
                readiness += h * _FORAGING[a] * max(k.ready_least, k.ready_reserve - r)
            act = k.act_least + (1.0 - k.act_least) * min(1.0, offer)
            f_gone = foragers * share_lost((q[p_fhaz] * fl * act + k.forager_base_hazard) * more + extra, k.loss_most)
            died += f_gone
            now_f = foragers - f_gone
            # turning forager, and back
            aim = q[p_fshare] * (left + now_f) * s[FLIGHT_MEMORY] * (0.5 + 0.5 * act)
            rate = min(k.recruit_most, k.recruit_rate * max(0.0, aim - now_f) / (readiness + TINY))
            first = 0.0
            if rate > 0.0:
                for a in range(N_AGE):
                    go = s[HOUSE + a] * _FORAGING[a] * max(k.ready_least, k.ready_reserve - s[RESERVE + a]) * rate
                    s[HOUSE + a] -= go
                    first += go
            now_f += first * (1.0 - k.first_flight_loss)
            died += first * k.first_flight_loss
            back = k.return_rate * max(0.0, now_f - k.return_over * aim)
            s[FORAGER] = now_f - back
            old = s[HOUSE + LAST]
            tail = old + back
            if tail > TINY:
                s[RESERVE + LAST] = (old * s[RESERVE + LAST] + back * k.forager_reserve) / (tail + TINY)
            s[HOUSE + LAST] = tail
            # emergence and ageing
            born = s[CAPPED + N_CAPPED - 1] * cap_stay * max(0.0, 1.0 - k.mite_brood * mites)
            born_r = k.reserve_birth * s[QUALITY + N_CAPPED - 1]
            joining = s[HOUSE + LAST - 1]
            merged = tail + joining
            if merged > TINY:
                s[RESERVE + LAST] = (tail * s[RESERVE + LAST] + joining * s[RESERVE + LAST - 1]) / (merged + TINY)
            s[HOUSE + LAST] = merged
            for a in range(LAST - 1, 0, -1):
                s[HOUSE + a] = s[HOUSE + a - 1]
                s[RESERVE + a] = s[RESERVE + a - 1]
            s[HOUSE] = born
            s[RESERVE] = born_r
            brood = 0.0
            for a in range(N_CAPPED - 1, 0, -1):
                s[CAPPED + a] = s[CAPPED + a - 1] * cap_stay
                s[QUALITY + a] = s[QUALITY + a - 1]
                brood += s[CAPPED + a]
            s[CAPPED] = s[LARVA + N_LARVA - 1]
            s[QUALITY] = min(1.0, max(0.0, k.quality_least + (1.0 - k.quality_least) * s[NUTRITION]))
            capped_all = brood + s[CAPPED]
            open_all = 0.0
            for a in range(N_LARVA - 1, 0, -1):
                s[LARVA + a] = s[LARVA + a - 1]
                open_all += s[LARVA + a]
            s[LARVA] = s[EGG + N_EGG - 1]
            open_all += s[LARVA]
            egg_moving = s[EGG] + s[EGG + 1]
            s[EGG + 2] = s[EGG + 1]
            s[EGG + 1] = s[EGG]
            # the queen
            seeds = s[LARVA] + s[LARVA + 1] + s[LARVA + 2] + s[EGG + 1] + s[EGG + 2] + s[EGG]
            if s[QUEEN] > 0.5:
                failing = k.queen_failure * (1.0 + k.queen_harm * q[p_harm] * fed_much)
                if uniform(key, me, number, QUEEN_FAILS) < failing:
                    if seeds > k.raise_brood and uniform(key, me, number, QUEEN_RAISED) < k.raise_chance:
                        s[QUEEN] = -k.queen_gap
                    else:
                        s[QUEEN] = NO_QUEEN
            elif s[QUEEN] < 0.0 and s[QUEEN] > 0.5 * NO_QUEEN:
                s[QUEEN] += 1.0
                if s[QUEEN] > -0.5:
                    s[QUEEN] = 1.0
            s[NUTRITION] += (jelly - s[NUTRITION]) / k.nutrition_days
            enough = min(1.0, (income * cp + from_patty + k.bread_trust * s[BREAD] * cp) / (want + TINY))
            s[POLLEN_MEMORY] += (enough - s[POLLEN_MEMORY]) / k.pollen_memory_days
            bees_now = 0.0
            young_now = 0.0
            nurse_w = 0.0
            nurse_r = 0.0
            for a in range(N_AGE):
                h = s[HOUSE + a]
                bees_now += h
                young_now += h * _YOUNG[a]
                nurse_w += h * _NURSING[a]
                nurse_r += h * _NURSING[a] * s[RESERVE + a]
            reserve_now = nurse_r / (nurse_w + TINY)
            size = bees_now / (bees_now + k.size_half_bees)
            warm = min(1.0, max(0.0, (s[WARMTH] - k.laying_temp_none) / (k.laying_temp_full - k.laying_temp_none)))
            heat = max(0.0, 1.0 - q[p_heat] * max(0.0, tx - k.heat_laying_c) / k.heat_laying_span_c)
            eggs = (
                q[p_laying]
                * light[d]
                * warm
                * heat
                * size
                * size
                * care
                * min(1.0, max(k.laying_jelly_least, s[NUTRITION] / k.laying_jelly_full))
                * min(1.0, reserve_now / k.laying_reserve_full)
                * (k.laying_pollen_least + (1.0 - k.laying_pollen_least) * s[POLLEN_MEMORY])
                * math.exp(k.laying_noise * normal(key, me, number, LAYING))
            )
            if s[QUEEN] < 0.5 or starving >= 0.5:
                eggs = 0.0
            s[EGG] = eggs
            # mites
            adults_now = bees_now + s[FORAGER]
            brood = open_all + capped_all
            breeding = min(1.0, brood / (k.mite_brood_full * adults_now + 1.0))
            s[MITES] = min(k.mites_most, mites * math.exp(q[p_mites] * breeding))
            # records
            y_lost = share_lost(k_young, k.loss_most) if larvae > k.larvae_least else 0.0
            if passage[i, 0] < 0.0 and s[BREAD] < max(limits[0], need_g):
                passage[i, 0] = d + 1.0
            if passage[i, 1] < 0.0 and reserve_now < limits[1]:
                passage[i, 1] = d + 1.0
            if passage[i, 2] < 0.0 and y_lost > limits[2]:
                passage[i, 2] = d + 1.0
            if record:
                out[i, d, o_adults] = adults_now
                out[i, d, o_eggs] = egg_moving + eggs
                out[i, d, o_open] = open_all
                out[i, d, o_capped] = capped_all
                out[i, d, o_pollen] = s[BREAD]
                out[i, d, o_honey] = s[HONEY]
                out[i, d, o_patty] = s[PATTY]
                out[i, d, o_jelly] = jelly
                out[i, d, o_reserve] = reserve_now
                out[i, d, o_ylost] = y_lost
                out[i, d, o_lost] = brood_lost
                out[i, d, o_income] = income
                out[i, d, o_peaten] = patty_eaten
                out[i, d, o_need] = need_g
                out[i, d, o_foragers] = s[FORAGER]
                out[i, d, o_mites] = s[MITES]
                out[i, d, o_queen] = s[QUEEN]
                out[i, d, o_young] = young_now
            ledger[i, g_em] += born
            ledger[i, g_dead] += died
            ledger[i, g_pin] += income
            ledger[i, g_bread] += bread_eaten
            ledger[i, g_peat] += patty_eaten
            ledger[i, g_prot] += from_patty + from_bread
            ledger[i, g_ret] += returned
            ledger[i, g_drawn] += drawn
            ledger[i, g_jelly] += jelly_all
            ledger[i, g_adult] += served * want_adult
            ledger[i, g_waste] += supply - used
            ledger[i, g_hin] += nectar
            ledger[i, g_huse] += honey_used
            ledger[i, g_lost] += brood_lost
            ledger[i, g_laid] += eggs
            if s[PATTY] > k.overstay_g and s[PATTY_DAYS] > k.overstay_d:
                ledger[i, g_over] += 1.0


@nb.njit(parallel=True, cache=True)
def run(
    x: Floats,
    p: Floats,
    c: Floats,
    log_index: Floats,
    temp_max: Floats,
    temp_min: Floats,
    flight: Floats,
    pollen_h: Floats,
    light: Floats,
    visit_g: Floats,
    protein: Floats,
    pollen: Floats,
    sugar: Floats,
    keep_rest: Floats,
    visit_chance: float,
    key: np.uint64,
    first_day: int,
    out: NDArray[np.float32],
    ledger: Floats,
    passage: Floats,
    limits: Floats,
) -> None:  # pragma: no cover
    """Step every member through all days, in place (see ``ensemble.run`` for the safe way in).

    ``c`` holds the fixed figures in ``layout.CONST_NAMES`` order. ``out`` has shape (members, days, OUTS), or
    (0, 0, 0) where no record is wanted; ``passage`` (members, 3) receives the first day (1-based, -1 never) of
    pantry empty, reserves low and larvae being eaten at the thresholds ``limits`` (3,).
    """
    n = x.shape[0]
    for block in nb.prange((n + BLOCK - 1) // BLOCK):
        _some(
            block * BLOCK, min(n, (block + 1) * BLOCK), x, p, c, log_index, temp_max, temp_min, flight, pollen_h, light,
            visit_g, protein, pollen, sugar, keep_rest, visit_chance, key, first_day, out, ledger, passage, limits,
        )  # fmt: skip
