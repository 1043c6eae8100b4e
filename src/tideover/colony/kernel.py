"""The compiled day: the sums of ``reference.step`` in loops, members in parallel.

Each member is one row of the state array and is stepped through all days while it is
in cache. Nothing is shared between members, and noise is a pure function of member and
day, so the bytes do not depend on the number of threads.
"""

# The maths is laid out line by line as in reference.py; keep the two side by side.
from __future__ import annotations

import math

import numba as nb
import numpy as np
from numpy.typing import NDArray

from tideover.colony import weights
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
    MITES,
    N_AGE,
    N_CAPPED,
    N_EGG,
    N_LARVA,
    N_YOUNG,
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
    WARMTH,
    C,
    G,
    O,
    P,
)
from tideover.colony.noise import normal, uniform

Floats = NDArray[np.float64]
TINY = 1e-9

_NURSING = weights.NURSING
_FORAGING = weights.FORAGING
_UPKEEP = weights.UPKEEP
_FILLING = weights.FILLING
_YOUNG = weights.YOUNG
_EATING = weights.EATING
_LNEED = weights.LARVA_NEED
_LHOLD = weights.LARVA_CONTENT
LAST = N_AGE - 1

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
    c_eggm,
    c_larm,
    c_capm,
    c_half,
    c_lpn,
    c_cp,
    c_load,
    c_trips,
    c_pshare,
    c_pmax,
    c_target,
    c_answer,
    c_bdm,
    c_maint,
    c_jrate,
    c_jstart,
    c_eggl,
    c_oldl,
    c_return,
    c_draw,
    c_rnurse,
    c_rbirth,
    c_rfill,
    c_first,
    c_hadult,
    c_hsmall,
    c_hlarva,
    c_hwork,
    c_nectar,
    c_starve,
    c_qfail,
    c_qgap,
    c_mhaz,
    c_mbrood,
    _l0,
    _l1,
    _l2,
    _l3,
    c_t0,
    c_t1,
    c_water,
    c_lnoise,
    c_mnoise,
    c_keep,
    c_hard,
    c_sugar,
    c_off,
    c_kept,
    c_toil,
    c_trust,
) = range(len(C))
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
def share_lost(h: float) -> float:  # pragma: no cover
    return min(0.98, h / (1.0 + 0.5 * h))


@nb.njit(parallel=True, cache=True, fastmath={"contract", "arcp", "nsz", "reassoc"}, error_model="numpy")
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

    ``out`` has shape (members, days, OUTS), or (0, 0, 0) where no record is wanted;
    ``passage`` (members, 3) receives the first day (1-based, -1 never) of pantry empty,
    reserves low and larvae being eaten at the thresholds ``limits`` (3,).
    """
    n = x.shape[0]
    days = light.shape[0]
    record = out.shape[0] > 0
    m_i = 0 if log_index.shape[0] == 1 else 1
    m_x = 0 if temp_max.shape[0] == 1 else 1
    m_n = 0 if temp_min.shape[0] == 1 else 1
    m_f = 0 if flight.shape[0] == 1 else 1
    m_p = 0 if pollen_h.shape[0] == 1 else 1
    cp = c[c_cp]
    keep = c[c_keep]
    spread = math.sqrt(1.0 - keep * keep)
    cap_stay = 1.0 - share_lost(c[c_capm])
    for i in nb.prange(n):
        s = x[i]
        q = p[i]
        me = np.uint64(i)
        larva_g = q[p_larva] / 1000.0
        intake_g = q[p_intake] / 1000.0 * cp
        reserve_g = q[p_reserve] / 1000.0
        maint_g = c[c_maint] / 1000.0
        for d in range(days):
            number = np.uint64(first_day + d)
            tx = temp_max[i * m_x, d]
            tn = temp_min[i * m_n, d]
            # weather
            s[WARMTH] += (0.5 * (tx + tn) - s[WARMTH]) / 14.0
            fl = min(1.0, flight[i * m_f, d] / 8.0)
            ph = min(1.25, pollen_h[i * m_p, d] / 8.0)
            s[FLIGHT_MEMORY] += 0.25 * (fl - s[FLIGHT_MEMORY])
            s[HIVE_DEV] = keep * s[HIVE_DEV] + spread * q[p_devsd] * normal(key, me, number, np.uint64(0))
            offer = math.exp(log_index[i * m_i, d] + s[HIVE_DEV]) * q[p_income]
            # visit
            if visit_g[d] >= 0.0 and uniform(key, me, number, np.uint64(7)) < visit_chance:
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
                fit = min(1.0, 0.25 + 1.875 * s[RESERVE + a])
                bees += h
                eaters += h * _EATING[a]
                nurses += h * _NURSING[a] * fit
                spare += h * (1.0 - _NURSING[a]) * fit
            helpers = 0.6 * spare
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
            load = min(1.2, need_larvae / (capacity + TINY))
            capacity += min(max(0.0, need_larvae - capacity), helpers * intake_g)
            care = min(1.0, c[c_lpn] * (nurses + helpers) / (larvae + 1.0))
            # pollen in
            hot = min(1.5, max(0.0, (tx - 32.0) / 10.0))
            afield = foragers * (1.0 - c[c_water] * hot)
            stored = s[BREAD] / (c[c_target] / 1000.0 * adults + 1.0)
            answer = (1.0 + c[c_answer]) / (1.0 + c[c_answer] * stored + 0.012 * stored * stored * stored * stored)
            call = 0.3 + 0.7 * min(1.0, larvae / (0.2 * adults + 1.0))
            share = min(c[c_pmax], c[c_pshare] * answer * call)
            found = 1.15 * offer / (1.0 + 0.15 * offer)
            income = afield * share * c[c_trips] * ph * c[c_load] * found
            s[BREAD] += income
            # protein wanted
            want_adult = 0.0
            pulls = 0.0
            for a in range(N_AGE):
                h = s[HOUSE + a]
                r = s[RESERVE + a]
                aim_r = 1.0 - c[c_rnurse] * load * max(_NURSING[a], 0.3)
                want_adult += h * (_UPKEEP[a] * maint_g + c[c_rfill] * _FILLING[a] * max(0.0, aim_r - r) * reserve_g)
                pulls += h * _NURSING[a] * max(0.0, r - c[c_kept])
            want_larvae = min(need_larvae, capacity)
            want = want_larvae + want_adult
            need_g = (need_larvae + want_adult) / cp
            # protein eaten
            soft = math.exp(-s[PATTY_AGE] / c[c_hard])
            sated = min(1.0, s[BREAD] / (3.0 * need_g + 1.0))
            could = eaters * q[p_patty] / 1000.0 * soft * (1.0 - c[c_off] * sated)
            patty_cp = s[PATTY_PROTEIN]
            could = min(could, 1.5 * want / (patty_cp + 0.02))
            patty_eaten = min(could, s[PATTY])
            worth = q[p_value] + max(0.0, 0.95 - q[p_value]) * min(1.0, 3.0 * s[PATTY_POLLEN])
            from_patty = patty_eaten * patty_cp * worth
            returned = s[RETURNED]
            from_bread = min(c[c_bdm] * s[BREAD] * cp, max(0.0, want - from_patty - returned))
            supply = from_patty + returned + from_bread
            used = min(supply, want)
            served = used / (want + TINY)
            jelly_food = served * want_larvae
            limit = c[c_draw] * pulls * reserve_g
            drawn = min(max(0.0, want_larvae - jelly_food), limit)
            jelly_all = jelly_food + drawn
            fed = 1.0
            if need_larvae > 1e-6:
                fed = jelly_all / (need_larvae + TINY)
            fed_young = min(1.0, max(0.0, (fed - 0.25) / 0.75))
            fed_old = 1.0
            if need_old > 1e-6:
                fed_old = min(1.0, max(0.0, (jelly_all - fed_young * need_young) / (need_old + TINY)))
            shown = served
            if need_larvae > 1e-6:
                shown = fed_young
            bread_eaten = from_bread / cp
            s[BREAD] = max(0.0, s[BREAD] - bread_eaten)
            s[PATTY] = max(0.0, s[PATTY] - patty_eaten)
            s[PATTY_AGE] += 1.0 + 0.05 * max(0.0, tx - 35.0)
            s[PATTY_DAYS] += 1.0
            s[FEED_MEMORY] += (patty_eaten - s[FEED_MEMORY]) / 14.0
            # consequences for brood
            s[JELLY] += c[c_jrate] * (shown - s[JELLY])
            jelly = s[JELLY]
            eat_honey = (
                adults * (c[c_hadult] + c[c_hsmall] * math.exp(-adults / 2126.0))
                + larvae * c[c_hlarva]
                + foragers * fl * c[c_hwork]
            ) / 1000.0
            nectar = (
                afield * (1.0 - share) * c[c_nectar] * q[p_nectar] * 0.5 * (ph + fl) * min(1.5, offer)
                + patty_eaten * c[c_sugar] / 0.82
                + sugar[d] * 0.8 / 0.82
            )
            honey = s[HONEY] + nectar
            starving = 0.0
            if honey < eat_honey:
                starving = 1.0 - honey / (eat_honey + TINY)
            honey_used = min(honey, eat_honey)
            s[HONEY] = honey - honey_used
            dry = max(0.0, (c[c_jstart] - jelly) / c[c_jstart])
            k_young = q[p_cannibal] * dry + 0.3 * starving
            k_old = c[c_oldl] * max(0.0, (0.4 - fed_old) / 0.4) + 0.2 * starving
            k_egg = c[c_eggl] * max(0.0, (0.3 - jelly) / 0.3) + 0.2 * starving
            back_g = 0.0
            brood_lost = 0.0
            for a in range(N_LARVA):
                k = k_young if a < N_YOUNG else k_old
                gone = s[LARVA + a] * share_lost(k + c[c_larm])
                eaten = gone * k / (k + c[c_larm])
                brood_lost += eaten
                back_g += eaten * _LHOLD[a]
                s[LARVA + a] -= gone
            for a in range(N_EGG):
                gone = s[EGG + a] * share_lost(k_egg + c[c_eggm])
                brood_lost += gone * k_egg / (k_egg + c[c_eggm])
                s[EGG + a] -= gone
            s[RETURNED] = c[c_return] * larva_g * back_g
            # reserves, deaths of house bees, readiness to forage: one pass over ages
            rough = math.exp(c[c_mnoise] * normal(key, me, number, np.uint64(2)))
            mites = s[MITES]
            fed_much = min(1.5, s[FEED_MEMORY] / 40.0)
            more = (1.0 + q[p_harm] * fed_much) * rough
            extra = c[c_mhaz] * mites + c[c_starve] * starving
            part = drawn / (limit + TINY) * c[c_draw]
            unserved = 1.0 - served
            rise = q[p_hhaz] - q[p_whaz]
            died = 0.0
            readiness = 0.0
            left = 0.0
            for a in range(N_AGE):
                r = s[RESERVE + a]
                aim_r = 1.0 - c[c_rnurse] * load * max(_NURSING[a], 0.3)
                fill = c[c_rfill] * _FILLING[a] * max(0.0, aim_r - r)
                r += (
                    served * fill
                    - part * _NURSING[a] * max(0.0, r - c[c_kept])
                    - unserved * maint_g * _UPKEEP[a] / reserve_g
                    - 0.08 * max(0.0, r - aim_r) * _NURSING[a]
                )
                r = min(1.0, max(0.0, r))
                s[RESERVE + a] = r
                toil = c[c_toil] * load + (1.0 - c[c_toil]) * (1.0 - r) / 0.55
                h = s[HOUSE + a]
                gone = h * share_lost((q[p_whaz] + rise * toil) * more + extra)
                died += gone
                h -= gone
                s[HOUSE + a] = h
                left += h
                readiness += h * _FORAGING[a] * max(0.05, 1.25 - r)
            act = 0.4 + 0.6 * min(1.0, offer)
            f_gone = foragers * share_lost((q[p_fhaz] * fl * act + 0.012) * more + extra)
            died += f_gone
            now_f = foragers - f_gone
            # turning forager, and back
            aim = q[p_fshare] * (left + now_f) * s[FLIGHT_MEMORY] * (0.5 + 0.5 * act)
            rate = min(0.3, 0.35 * max(0.0, aim - now_f) / (readiness + TINY))
            first = 0.0
            if rate > 0.0:
                for a in range(N_AGE):
                    go = s[HOUSE + a] * _FORAGING[a] * max(0.05, 1.25 - s[RESERVE + a]) * rate
                    s[HOUSE + a] -= go
                    first += go
            now_f += first * (1.0 - c[c_first])
            died += first * c[c_first]
            back = 0.05 * max(0.0, now_f - 1.3 * aim)
            s[FORAGER] = now_f - back
            old = s[HOUSE + LAST]
            tail = old + back
            if tail > TINY:
                s[RESERVE + LAST] = (old * s[RESERVE + LAST] + back * 0.25) / (tail + TINY)
            s[HOUSE + LAST] = tail
            # emergence and ageing
            born = s[CAPPED + N_CAPPED - 1] * cap_stay * max(0.0, 1.0 - c[c_mbrood] * mites)
            born_r = c[c_rbirth] * s[QUALITY + N_CAPPED - 1]
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
            s[QUALITY] = min(1.0, max(0.0, 0.3 + 0.7 * s[NUTRITION]))
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
                if uniform(key, me, number, np.uint64(3)) < c[c_qfail] * (1.0 + 3.0 * q[p_harm] * fed_much):
                    if seeds > 100.0 and uniform(key, me, number, np.uint64(4)) < 0.7:
                        s[QUEEN] = -c[c_qgap]
                    else:
                        s[QUEEN] = -9999.0
            elif s[QUEEN] < 0.0 and s[QUEEN] > -9000.0:
                s[QUEEN] += 1.0
                if s[QUEEN] > -0.5:
                    s[QUEEN] = 1.0
            s[NUTRITION] += (jelly - s[NUTRITION]) / 3.0
            enough = min(1.0, (income * cp + from_patty + c[c_trust] * s[BREAD] * cp) / (want + TINY))
            s[POLLEN_MEMORY] += (enough - s[POLLEN_MEMORY]) / 5.0
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
            size = bees_now / (bees_now + c[c_half])
            warm = min(1.0, max(0.0, (s[WARMTH] - c[c_t0]) / (c[c_t1] - c[c_t0])))
            heat = max(0.0, 1.0 - q[p_heat] * max(0.0, tx - 35.0) / 10.0)
            eggs = (
                q[p_laying]
                * light[d]
                * warm
                * heat
                * size
                * size
                * care
                * min(1.0, max(0.05, s[NUTRITION] / 0.8))
                * min(1.0, reserve_now / 0.35)
                * (0.2 + 0.8 * s[POLLEN_MEMORY])
                * math.exp(c[c_lnoise] * normal(key, me, number, np.uint64(1)))
            )
            if s[QUEEN] < 0.5 or starving >= 0.5:
                eggs = 0.0
            s[EGG] = eggs
            # mites
            adults_now = bees_now + s[FORAGER]
            brood = open_all + capped_all
            s[MITES] = min(60.0, mites * math.exp(q[p_mites] * min(1.0, brood / (0.6 * adults_now + 1.0))))
            # records
            y_lost = share_lost(k_young) if larvae > 100.0 else 0.0
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
            if s[PATTY] > 20.0 and s[PATTY_DAYS] > 7.5:
                ledger[i, g_over] += 1.0
