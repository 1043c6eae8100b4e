"""The compiled day: the sums of ``reference.step``, eight members at a time, members in parallel.

Eight members are turned into vectors (``lanes``) and stepped through all days while they are in cache; state that is
one number a member stays in names of its own, ages and stages stay in a table. Nothing is shared between members, and
noise is a pure function of member and day, so the bytes do not depend on the number of threads.

The file is long because a day is one function: parting it would hand sixty numbers from part to part.
"""

# The maths is laid out in the order of reference.py; keep the two side by side. Three passes over the ages: what is
# wanted, reserves and deaths, leaving and ageing with the sums of the new day.
from __future__ import annotations

import math
from typing import Final

import numba as nb
import numpy as np
from numba.np.unsafe.ndarray import to_fixed_tuple
from numpy.typing import NDArray

from tideover.colony import weights
from tideover.colony.fixed import Fixed
from tideover.colony.lanes import WIDTH, exp, lanes, members, pick, rows, some, take, where
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
    LEDGERS,
    MG,
    MITES,
    N_AGE,
    N_CAPPED,
    N_LARVA,
    N_YOUNG,
    NO_QUEEN,
    NUTRITION,
    OUTS,
    PASSAGES,
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
    STATE,
    TINY,
    WARMTH,
    G,
    O,
    P,
)
from tideover.colony.noise import DEATH, INCOME, LAYING, QUEEN_FAILS, QUEEN_RAISED, VISIT, normal, uniform

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

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
"""Members stepped by one task, a few vectors of them. A task first reads all figures of the day, which costs as much as
some member-days, so that few members a task made short stretches slow; many would leave a core idle."""

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


@nb.njit(forceinline=True)
def share_lost(h: float, most: float) -> float:  # pragma: no cover
    return min(h / (1.0 + 0.5 * h), most)


@nb.njit(forceinline=True)
def driver(a: Floats, me: np.uint64, d: int) -> float:  # pragma: no cover
    if a.shape[0] == 1:
        return lanes(a[0, d])
    return pick(a, me, d)


_FLOATS: Final = {"contract", "arcp", "nsz"}


@nb.njit(fastmath=_FLOATS, error_model="numpy")
def _some(
    begin: int,
    end: int,
    who: Index,
    from_day: int,
    to_day: int,
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
    last = who.shape[0] - 1
    record = out.shape[0] > 0
    fit_rise = (1.0 - k.fit_least) / k.fit_full
    cp = k.pollen_protein
    keep = k.hive_income_memory
    spread = math.sqrt(1.0 - keep * keep)
    cap_stay = 1.0 - k.capped_mortality / (1.0 + 0.5 * k.capped_mortality)
    maint_g = k.maintenance_mg * MG
    for first in range(begin, end, WIDTH):
        me = members(who, first, last)
        s = rows(STATE)
        for a in range(STATE):
            s[a] = pick(x, me, a)
        book = rows(LEDGERS)
        for a in range(LEDGERS):
            book[a] = pick(ledger, me, a)
        page = rows(OUTS)
        forager = s[FORAGER]
        jelly = s[JELLY]
        bread = s[BREAD]
        honey = s[HONEY]
        patty = s[PATTY]
        patty_age = s[PATTY_AGE]
        patty_cp = s[PATTY_PROTEIN]
        patty_pollen = s[PATTY_POLLEN]
        patty_days = s[PATTY_DAYS]
        mites = s[MITES]
        queen = s[QUEEN]
        nutrition = s[NUTRITION]
        pollen_memory = s[POLLEN_MEMORY]
        hive_dev = s[HIVE_DEV]
        returned = s[RETURNED]
        flight_memory = s[FLIGHT_MEMORY]
        feed_memory = s[FEED_MEMORY]
        warmth = s[WARMTH]
        empty_on = pick(passage, me, 0)
        low_on = pick(passage, me, 1)
        eaten_on = pick(passage, me, 2)
        q_laying = pick(p, me, p_laying)
        larva_g = pick(p, me, p_larva) * MG
        intake_g = pick(p, me, p_intake) * (MG * cp)
        q_fhaz = pick(p, me, p_fhaz)
        q_whaz = pick(p, me, p_whaz)
        rise = pick(p, me, p_hhaz) - q_whaz
        q_income = pick(p, me, p_income)
        q_nectar = pick(p, me, p_nectar)
        q_heat = pick(p, me, p_heat)
        q_value = pick(p, me, p_value)
        q_harm = pick(p, me, p_harm)
        patty_g = pick(p, me, p_patty) * MG
        q_fshare = pick(p, me, p_fshare)
        q_cannibal = pick(p, me, p_cannibal)
        reserve_g = pick(p, me, p_reserve) * MG
        q_mites = pick(p, me, p_mites)
        jolt = pick(p, me, p_devsd) * spread
        for d in range(from_day, to_day):
            number = np.uint64(first_day + d)
            tx = driver(temp_max, me, d)
            tn = driver(temp_min, me, d)
            # weather
            warmth += (0.5 * (tx + tn) - warmth) / k.warmth_days
            fl = min(driver(flight, me, d) / k.full_day_h, 1.0)
            ph = min(driver(pollen_h, me, d) / k.full_day_h, k.pollen_day_most)
            flight_memory += k.flight_memory_rate * (fl - flight_memory)
            hive_dev = keep * hive_dev + jolt * normal(key, me, number, INCOME)
            offer = exp(driver(log_index, me, d) + hive_dev) * q_income
            # visit
            if visit_g[d] >= 0.0:
                comes = uniform(key, me, number, VISIT) < visit_chance
                if keep_rest[d] < 0.5:
                    book[g_poff] += where(comes, patty, 0.0)
                    patty = where(comes, 0.0, patty)
                if visit_g[d] > 0.0:
                    laid = where(comes, visit_g[d], 0.0)
                    book[g_plaid] += laid
                    patty += laid
                    patty_age = where(comes, 0.0, patty_age)
                    patty_days = where(comes, 0.0, patty_days)
                    patty_cp = where(comes, protein[d], patty_cp)
                    patty_pollen = where(comes, pollen[d], patty_pollen)
            # work
            bees = lanes(0.0)
            eaters = lanes(0.0)
            nurses = lanes(0.0)
            fit_all = lanes(0.0)
            for a in range(N_AGE):
                h = s[HOUSE + a]
                able = h * min(k.fit_least + fit_rise * s[RESERVE + a], 1.0)
                bees += h
                eaters += h * _EATING[a]
                nurses += able * _NURSING[a]
                fit_all += able
            helpers = k.helper_share * (fit_all - nurses)
            foragers = forager
            adults = bees + foragers
            larvae = lanes(0.0)
            need_young = lanes(0.0)
            need_old = lanes(0.0)
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
            load = min(need_larvae / (capacity + TINY), k.load_most)
            capacity += min(max(need_larvae - capacity, 0.0), helpers * intake_g)
            care = min(k.larvae_per_nurse * (nurses + helpers) / (larvae + 1.0), 1.0)
            # pollen in
            hot = min(max((tx - k.water_start_c) / k.water_span_c, 0.0), k.water_most)
            afield = foragers * (1.0 - k.water_share * hot)
            stored = bread / ((k.store_target_mg * MG) * adults + 1.0)
            squared = stored * stored
            answer = (1.0 + k.store_response) / (1.0 + k.store_response * stored + k.store_glut * squared * squared)
            called = min(larvae / (k.brood_call_full * adults + 1.0), 1.0)
            call = k.brood_call_least + (1.0 - k.brood_call_least) * called
            share = min(k.pollen_share * answer * call, k.pollen_share_max)
            found = (1.0 + k.offer_saturation) * offer / (1.0 + k.offer_saturation * offer)
            income = afield * share * ph * found * (k.trips_per_day * k.load_g)
            bread += income
            # protein wanted
            want_adult = lanes(0.0)
            filling = lanes(0.0)
            pulls = lanes(0.0)
            for a in range(N_AGE):
                h = s[HOUSE + a]
                r = s[RESERVE + a]
                aim_r = 1.0 - load * (k.reserve_nursing * max(_NURSING[a], k.nursing_least))
                want_adult += h * _UPKEEP[a]
                filling += h * max(aim_r - r, 0.0) * _FILLING[a]
                pulls += h * max(r - k.reserve_kept, 0.0) * _NURSING[a]
            want_adult = want_adult * maint_g + filling * (k.reserve_fill * reserve_g)
            want_larvae = min(need_larvae, capacity)
            want = want_larvae + want_adult
            need_g = (need_larvae + want_adult) / cp
            # protein eaten
            soft = exp(patty_age * (-1.0 / k.patty_harden_d))
            sated = min(bread / (k.sated_days * need_g + 1.0), 1.0)
            taste = k.patty_taste_plain + k.patty_taste_pollen * patty_pollen
            could = eaters * patty_g * soft * taste * (1.0 - k.patty_off_pollen * sated)
            could = min(could, k.patty_over_want * want / (patty_cp + k.patty_protein_least))
            patty_eaten = min(could, patty)
            real = min(k.pollen_feed_rise * patty_pollen, 1.0)
            worth = q_value + max(k.pollen_feed_value - q_value, 0.0) * real
            from_patty = patty_eaten * patty_cp * worth
            came_back = returned
            from_bread = min(bread * (k.bread_daily_max * cp), max(want - from_patty - came_back, 0.0))
            supply = from_patty + came_back + from_bread
            used = min(supply, want)
            served = used / (want + TINY)
            jelly_food = served * want_larvae
            limit = pulls * (k.reserve_draw * reserve_g)
            drawn = min(max(want_larvae - jelly_food, 0.0), limit)
            jelly_all = jelly_food + drawn
            nursing = need_larvae > SMALL
            fed = where(nursing, jelly_all / (need_larvae + TINY), 1.0)
            fed_young = min(max((fed - k.young_last) / (1.0 - k.young_last), 0.0), 1.0)
            rest = min(max((jelly_all - fed_young * need_young) / (need_old + TINY), 0.0), 1.0)
            fed_old = where(need_old > SMALL, rest, 1.0)
            shown = where(nursing, fed_young, served)
            bread_eaten = from_bread / cp
            bread = max(bread - bread_eaten, 0.0)
            patty = max(patty - patty_eaten, 0.0)
            patty_age += 1.0 + k.patty_heat_rate * max(tx - k.patty_heat_c, 0.0)
            patty_days += 1.0
            feed_memory += (patty_eaten - feed_memory) / k.feed_memory_days
            # consequences for brood
            jelly += k.jelly_rate * (shown - jelly)
            eat_honey = (
                adults * (k.honey_adult_mg + k.honey_small_mg * exp(adults * (-1.0 / k.honey_small_bees)))
                + larvae * k.honey_larva_mg
                + foragers * fl * k.honey_work_mg
            ) * MG
            nectar = (
                afield * (1.0 - share) * q_nectar * (ph + fl) * min(offer, k.nectar_offer_most) * (0.5 * k.nectar_g)
                + patty_eaten * (k.patty_sugar / k.honey_sugar)
                + sugar[d] * k.syrup_kept / k.honey_sugar
            )
            honey += nectar
            starving = where(honey < eat_honey, 1.0 - honey / (eat_honey + TINY), 0.0)
            honey_used = min(honey, eat_honey)
            honey -= honey_used
            dry = max((k.jelly_loss_start - jelly) / k.jelly_loss_start, 0.0)
            k_young = q_cannibal * dry + k.starve_young * starving
            hungry = max((k.old_loss_start - fed_old) / k.old_loss_start, 0.0)
            k_old = k.old_larva_loss * hungry + k.starve_brood * starving
            k_egg = k.egg_loss * max((k.egg_loss_start - jelly) / k.egg_loss_start, 0.0) + k.starve_brood * starving
            lost_young = share_lost(k_young + k.larva_mortality, k.loss_most)
            lost_old = share_lost(k_old + k.larva_mortality, k.loss_most)
            lost_egg = share_lost(k_egg + k.egg_mortality, k.loss_most)
            # losses and the next day of brood in one pass, the oldest first
            lost_y = lanes(0.0)
            back_y = lanes(0.0)
            lost_o = lanes(0.0)
            back_o = lanes(0.0)
            open_all = lanes(0.0)
            sealing = lanes(0.0)
            for a in range(N_LARVA - 1, -1, -1):
                v = s[LARVA + a]
                if a < N_YOUNG:
                    gone = v * lost_young
                    lost_y += gone
                    back_y += gone * _LHOLD[a]
                else:
                    gone = v * lost_old
                    lost_o += gone
                    back_o += gone * _LHOLD[a]
                v -= gone
                if a == N_LARVA - 1:
                    sealing = v
                else:
                    s[LARVA + a + 1] = v
                    open_all += v
            eaten_y = k_young / (k_young + k.larva_mortality)
            eaten_o = k_old / (k_old + k.larva_mortality)
            gone_egg = (s[EGG] + s[EGG + 1] + s[EGG + 2]) * lost_egg
            egg0 = s[EGG] * (1.0 - lost_egg)
            egg1 = s[EGG + 1] * (1.0 - lost_egg)
            hatching = s[EGG + 2] * (1.0 - lost_egg)
            brood_lost = lost_y * eaten_y + lost_o * eaten_o + gone_egg * (k_egg / (k_egg + k.egg_mortality))
            returned = k.eaten_return * larva_g * (back_y * eaten_y + back_o * eaten_o)
            s[LARVA] = hatching
            open_all += hatching
            egg_moving = egg0 + egg1
            s[EGG + 2] = egg1
            s[EGG + 1] = egg0
            # The youngest eggs count twice, as in the reference: they stand in the first place until new ones are laid.
            seeds = hatching + s[LARVA + 1] + s[LARVA + 2] + egg1 + egg0 + egg0
            # reserves, deaths of house bees, readiness to forage: one pass over ages
            rough = exp(k.mortality_noise * normal(key, me, number, DEATH))
            fed_much = min(feed_memory / k.feed_full_g, k.feed_most)
            more = (1.0 + q_harm * fed_much) * rough
            extra = k.mite_hazard * mites + k.starve_rate * starving
            part = drawn / (limit + TINY) * k.reserve_draw
            burn = (1.0 - served) * maint_g / reserve_g
            gain = served * k.reserve_fill
            ease = rise * more * ((1.0 - k.toil_share) / k.toil_reserve)
            worst = (q_whaz + rise * (k.toil_share * load)) * more + extra + ease
            died = lanes(0.0)
            readiness = lanes(0.0)
            left = lanes(0.0)
            for a in range(N_AGE):
                r = s[RESERVE + a]
                aim_r = 1.0 - load * (k.reserve_nursing * max(_NURSING[a], k.nursing_least))
                short = max(aim_r - r, 0.0)
                over = max(r - aim_r, 0.0)
                pull = part * max(r - k.reserve_kept, 0.0) + k.reserve_wear * over
                r += gain * short * _FILLING[a] - pull * _NURSING[a] - burn * _UPKEEP[a]
                r = min(max(r, 0.0), 1.0)
                s[RESERVE + a] = r
                h = s[HOUSE + a]
                gone = h * share_lost(worst - ease * r, k.loss_most)
                died += gone
                h -= gone
                s[HOUSE + a] = h
                left += h
                readiness += h * max(k.ready_reserve - r, k.ready_least) * _FORAGING[a]
            act = k.act_least + (1.0 - k.act_least) * min(offer, 1.0)
            f_gone = foragers * share_lost((q_fhaz * fl * act + k.forager_base_hazard) * more + extra, k.loss_most)
            died += f_gone
            now_f = foragers - f_gone
            # turning forager, and back; emergence and ageing: one pass from the oldest
            aim = q_fshare * (left + now_f) * flight_memory * (0.5 + 0.5 * act)
            rate = min(k.recruit_rate * max(aim - now_f, 0.0) / (readiness + TINY), k.recruit_most)
            old = s[HOUSE + LAST]
            old_r = s[RESERVE + LAST]
            first_out = old * max(k.ready_reserve - old_r, k.ready_least) * _FORAGING[LAST] * rate
            old -= first_out
            joining = s[HOUSE + LAST - 1]
            joining_r = s[RESERVE + LAST - 1]
            go = joining * max(k.ready_reserve - joining_r, k.ready_least) * _FORAGING[LAST - 1] * rate
            joining -= go
            first_out += go
            bees_now = lanes(0.0)
            young_now = lanes(0.0)
            nurse_w = lanes(0.0)
            nurse_r = lanes(0.0)
            for a in range(LAST - 1, 0, -1):
                h = s[HOUSE + a - 1]
                r = s[RESERVE + a - 1]
                go = h * max(k.ready_reserve - r, k.ready_least) * _FORAGING[a - 1] * rate
                h -= go
                first_out += go
                s[HOUSE + a] = h
                s[RESERVE + a] = r
                bees_now += h
                young_now += h * _YOUNG[a]
                nurse_w += h * _NURSING[a]
                nurse_r += h * r * _NURSING[a]
            now_f += first_out * (1.0 - k.first_flight_loss)
            died += first_out * k.first_flight_loss
            back = k.return_rate * max(now_f - k.return_over * aim, 0.0)
            forager = now_f - back
            tail = old + back
            tail_r = where(tail > TINY, (old * old_r + back * k.forager_reserve) / (tail + TINY), old_r)
            merged = tail + joining
            merged_r = where(merged > TINY, (tail * tail_r + joining * joining_r) / (merged + TINY), tail_r)
            s[HOUSE + LAST] = merged
            s[RESERVE + LAST] = merged_r
            born = s[CAPPED + N_CAPPED - 1] * cap_stay * max(1.0 - k.mite_brood * mites, 0.0)
            born_r = k.reserve_birth * s[QUALITY + N_CAPPED - 1]
            s[HOUSE] = born
            s[RESERVE] = born_r
            bees_now += merged + born
            young_now += merged * _YOUNG[LAST] + born * _YOUNG[0]
            nurse_w += merged * _NURSING[LAST] + born * _NURSING[0]
            nurse_r += merged * merged_r * _NURSING[LAST] + born * born_r * _NURSING[0]
            capped_all = sealing
            for a in range(N_CAPPED - 1, 0, -1):
                v = s[CAPPED + a - 1] * cap_stay
                s[CAPPED + a] = v
                s[QUALITY + a] = s[QUALITY + a - 1]
                capped_all += v
            s[CAPPED] = sealing
            s[QUALITY] = min(max(k.quality_least + (1.0 - k.quality_least) * nutrition, 0.0), 1.0)
            # the queen
            failing = k.queen_failure * (1.0 + k.queen_harm * q_harm * fed_much)
            lost = (queen > 0.5) & (uniform(key, me, number, QUEEN_FAILS) < failing)
            waiting = (queen < 0.0) & (queen > 0.5 * NO_QUEEN)
            if some(lost | waiting):
                raised = (seeds > k.raise_brood) & (uniform(key, me, number, QUEEN_RAISED) < k.raise_chance)
                then = where(waiting, queen + 1.0, queen)
                then = where(waiting & (then > -0.5), 1.0, then)
                queen = where(lost, where(raised, -k.queen_gap, NO_QUEEN), then)
            nutrition += (jelly - nutrition) / k.nutrition_days
            enough = min((income * cp + from_patty + bread * (k.bread_trust * cp)) / (want + TINY), 1.0)
            pollen_memory += (enough - pollen_memory) / k.pollen_memory_days
            reserve_now = nurse_r / (nurse_w + TINY)
            size = bees_now / (bees_now + k.size_half_bees)
            warm = min(max((warmth - k.laying_temp_none) / (k.laying_temp_full - k.laying_temp_none), 0.0), 1.0)
            heat = max(1.0 - q_heat * max(tx - k.heat_laying_c, 0.0) / k.heat_laying_span_c, 0.0)
            eggs = (
                (q_laying * light[d] * warm * heat)
                * (size * size * care)
                * min(max(nutrition / k.laying_jelly_full, k.laying_jelly_least), 1.0)
                * min(reserve_now / k.laying_reserve_full, 1.0)
                * (k.laying_pollen_least + (1.0 - k.laying_pollen_least) * pollen_memory)
                * exp(k.laying_noise * normal(key, me, number, LAYING))
            )
            eggs = where((queen > 0.5) & (starving < 0.5), eggs, 0.0)
            s[EGG] = eggs
            # mites
            adults_now = bees_now + forager
            breeding = min((open_all + capped_all) / (k.mite_brood_full * adults_now + 1.0), 1.0)
            mites = min(mites * exp(q_mites * breeding), k.mites_most)
            # records
            y_lost = where(larvae > k.larvae_least, share_lost(k_young, k.loss_most), 0.0)
            today = lanes(d + 1.0)
            empty_on = where((empty_on < 0.0) & (bread < max(need_g, limits[0])), today, empty_on)
            low_on = where((low_on < 0.0) & (reserve_now < limits[1]), today, low_on)
            eaten_on = where((eaten_on < 0.0) & (y_lost > limits[2]), today, eaten_on)
            if record:
                page[o_adults] = adults_now
                page[o_eggs] = egg_moving + eggs
                page[o_open] = open_all
                page[o_capped] = capped_all
                page[o_pollen] = bread
                page[o_honey] = honey
                page[o_patty] = patty
                page[o_jelly] = jelly
                page[o_reserve] = reserve_now
                page[o_ylost] = y_lost
                page[o_lost] = brood_lost
                page[o_income] = income
                page[o_peaten] = patty_eaten
                page[o_need] = need_g
                page[o_foragers] = forager
                page[o_mites] = mites
                page[o_queen] = queen
                page[o_young] = young_now
                for j in range(min(WIDTH, last + 1 - first)):
                    for a in range(OUTS):
                        out[who[first + j], d, a] = take(page, a, j)
            book[g_em] += born
            book[g_dead] += died
            book[g_pin] += income
            book[g_bread] += bread_eaten
            book[g_peat] += patty_eaten
            book[g_prot] += from_patty + from_bread
            book[g_ret] += came_back
            book[g_drawn] += drawn
            book[g_jelly] += jelly_all
            book[g_adult] += served * want_adult
            book[g_waste] += supply - used
            book[g_hin] += nectar
            book[g_huse] += honey_used
            book[g_lost] += brood_lost
            book[g_laid] += eggs
            book[g_over] += where((patty > k.overstay_g) & (patty_days > k.overstay_d), 1.0, 0.0)
        s[FORAGER] = forager
        s[JELLY] = jelly
        s[BREAD] = bread
        s[HONEY] = honey
        s[PATTY] = patty
        s[PATTY_AGE] = patty_age
        s[PATTY_PROTEIN] = patty_cp
        s[PATTY_POLLEN] = patty_pollen
        s[PATTY_DAYS] = patty_days
        s[MITES] = mites
        s[QUEEN] = queen
        s[NUTRITION] = nutrition
        s[POLLEN_MEMORY] = pollen_memory
        s[HIVE_DEV] = hive_dev
        s[RETURNED] = returned
        s[FLIGHT_MEMORY] = flight_memory
        s[FEED_MEMORY] = feed_memory
        s[WARMTH] = warmth
        seen = rows(PASSAGES)
        seen[0] = empty_on
        seen[1] = low_on
        seen[2] = eaten_on
        for j in range(min(WIDTH, last + 1 - first)):
            row = who[first + j]
            for a in range(STATE):
                x[row, a] = take(s, a, j)
            for a in range(LEDGERS):
                ledger[row, a] = take(book, a, j)
            for a in range(PASSAGES):
                passage[row, a] = take(seen, a, j)


@nb.njit(parallel=True, cache=True)
def run(
    who: Index,
    from_day: int,
    to_day: int,
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
    """Step some members through some days, in place (see ``ensemble.run`` for the safe way in).

    ``who`` lists rows of ``x``, each once; days run from ``from_day`` up to ``to_day`` (exclusive), counted in the
    drivers. Parted days and parted members give the bytes of whole ones. ``c`` holds the fixed figures in
    ``layout.CONST_NAMES`` order. ``out`` has shape (members, days, OUTS), or (0, 0, 0) where no record is wanted;
    ``passage`` (members, 3) receives the first day (1-based, -1 never) of pantry empty, reserves low and larvae being
    eaten at the thresholds ``limits`` (3,).
    """
    n = who.shape[0]
    for block in nb.prange((n + BLOCK - 1) // BLOCK):
        _some(
            block * BLOCK, min(n, (block + 1) * BLOCK), who, from_day, to_day, x, p, c, log_index, temp_max, temp_min,
            flight, pollen_h, light, visit_g, protein, pollen, sugar, keep_rest, visit_chance, key, first_day, out,
            ledger, passage, limits,
        )  # fmt: skip
