"""The keeper's own thresholds, each with its range, its source and how it is known.

Every number a gate or a plan compares with stands here once, so that a keeper can
set it and a page can show where it came from. Defaults are published values where
there are any; the rest say 'our assumption' or 'common practice'.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields
from datetime import date
from typing import Any, Final, Literal

from tideover.patty.piece import DEFAULT_SUGAR_PCT
from tideover.patty.softness import HALF_HARD_DAYS
from tideover.plan.rounds.words import days_off, home_of, notice_of

PhaseName = Literal["growing", "peak", "shrinking", "resting with brood", "resting without brood"]
PHASES: Final[tuple[PhaseName, ...]] = ("growing", "peak", "shrinking", "resting with brood", "resting without brood")
PATTY_FROM: Final = ("stock", "settings")
BEETLE_PRESSURE: Final = ("low", "usual", "high")

USUAL_SUGAR: Final = DEFAULT_SUGAR_PCT
USUAL_HARD_DAYS: Final = HALF_HARD_DAYS
_VARROA_GUIDE: Final = (
    "Tools for Varroa Management, coalition guide, editions about 2016-2018; later editions are lower in places"
)
_EXTENSION_PRICES: Final = "Pacific Northwest Extension publication 745 (prices of 2020, dated)"
_OSHA: Final = "US OSHA heat index bands for work sites (<91, 91-103, 103-115, >115 °F); the public NWS bands differ"

FEED_EFFECT_NOTE: Final = (
    "What a patty does is itself uncertain and may be nothing or harm: autumn patties gave no more winter bees in "
    "Ontario trials (Mattila & Otis 2007), colonies fed in winter had more virus, Nosema and queen loss than colonies "
    "on forage (DeGrandi-Hoffman et al. 2016), and in Alberta different intakes often did not change brood or adults "
    "(Hoover et al. 2022). The prior of the effect spans nil and harm and is not a setting."
)
"""Shown beside the settings: why the effect of feeding is not a number to type in."""


class SettingsError(ValueError):
    """One or more settings cannot be used; ``problems`` holds one sentence for each."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__(" ".join(problems))
        self.problems = problems


def _n(
    default: float, says: str, unit: str, low: float, high: float, source: str, known: str, row: str = ""
) -> Any:  # dataclasses.field is typed as its default, which a wrapper cannot repeat
    return field(
        default=default,
        metadata={"says": says, "unit": unit, "low": low, "high": high, "source": source, "known": known, "row": row},
    )


def _t(default: str, says: str, unit: str, source: str, known: str, words: tuple[str, ...] = ()) -> Any:
    metadata = {"says": says, "unit": unit, "source": source, "known": known, "words": words}
    return field(default=default, metadata=metadata)


@dataclass(frozen=True)
class Settings:
    """Thresholds of the gates and plans; numbers in canonical units, dates as ``MM-DD`` or empty.

    A field whose metadata names a ``row`` has the value of that row of the figures book as its default.
    """

    # --- how a plan must win -------------------------------------------------------------
    margin: float = _n(
        0.02,
        "a plan must beat the next by this share of the bees at winter, or it is a toss-up",
        "share",
        0.0,
        0.5,
        "what a keeper would notice",
        "our assumption",
    )
    visit_days: float = _n(7, "days between rounds", "d", 1, 60, "weekly round", "common practice")
    missed_visit: float = _n(0.1, "chance that a planned visit is missed", "probability", 0, 0.9, "", "our assumption")

    # --- mites ---------------------------------------------------------------------------
    mites_caution_growing: float = _n(
        1,
        "mites per 100 bees, colony growing: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.increase_fine",
    )
    mites_treat_growing: float = _n(
        3,
        "mites per 100 bees, colony growing: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.increase_treat",
    )
    mites_caution_peak: float = _n(
        2,
        "mites per 100 bees, colony at its peak: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.peak_fine",
    )
    mites_treat_peak: float = _n(
        5,
        "mites per 100 bees, colony at its peak: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.peak_treat",
    )
    mites_caution_shrinking: float = _n(
        2,
        "mites per 100 bees, late summer and autumn: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.decrease_fine",
    )
    mites_treat_shrinking: float = _n(
        3,
        "mites per 100 bees, late summer and autumn: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE + "; a US federal bee laboratory quotes 3 per 100 in any season",
        "read second-hand",
        "mites.decrease_treat",
    )
    mites_caution_resting_brood: float = _n(
        1,
        "mites per 100 bees, winter with brood: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.dormant_fine",
    )
    mites_treat_resting_brood: float = _n(
        2,
        "mites per 100 bees, winter with brood: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.dormant_treat",
    )
    mites_caution_resting: float = _n(
        1,
        "mites per 100 bees, winter without brood: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.broodless_fine",
    )
    mites_treat_resting: float = _n(
        3,
        "mites per 100 bees, winter without brood: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.broodless_treat",
    )
    mite_sample_bees: float = _n(
        300,
        "bees taken to be in half a cup when nobody counted them",
        "bees",
        50,
        1000,
        "most guides say 300; a Mississippi State extension sheet says 400: count them if you can",
        "from memory",
        "mites.half_cup_bees",
    )
    mite_count_days: float = _n(
        35,
        "a mite count older than this no longer says what the load is",
        "d",
        7,
        180,
        "counting about monthly in the season",
        "common practice",
    )

    # --- honey and sugar -------------------------------------------------------------------
    honey_emergency_kg: float = _n(
        5.7,
        "below this much honey sugar comes before protein",
        "kg",
        0,
        30,
        "10-15 lb, about two full deep combs touching the cluster (extension convention)",
        "from memory",
        "stores.emergency_kg",
    )
    honey_days_short: float = _n(
        10,
        "fewer days of honey than this also counts as short",
        "d",
        1,
        60,
        "a weekly visit missed by a few days",
        "our assumption",
    )
    honey_winter_kg: float = _n(
        18,
        "honey wanted when the cluster forms",
        "kg",
        0,
        70,
        "warm areas 30-40 lb (handbook and Gulf practice); 60-90 lb in the north: set your own",
        "read",
    )

    # --- the visit -------------------------------------------------------------------------
    heat_high_f: float = _n(
        103,
        "heat index, sun counted, from which the visit goes to the cool of the day",
        "°F",
        80,
        130,
        _OSHA,
        "read",
        "safety.osha_high_f",
    )
    heat_stop_f: float = _n(
        115,
        "heat index, sun counted, from which the visit is put off",
        "°F",
        85,
        140,
        _OSHA,
        "read",
        "safety.osha_extreme_f",
    )
    sun_addon_f: float = _n(
        15,
        "added to the heat index for work in full sun",
        "°F",
        0,
        25,
        "US OSHA: up to 15 °F; heavy gear such as a bee suit adds more",
        "read",
        "safety.sun_adds_f",
    )
    fire_drought_kbdi: float = _n(
        600,
        "Keetch-Byram drought index (0-800) from which smoke is treated as fire weather",
        "index 0-800",
        0,
        800,
        "Keetch & Byram 1968; 600-800 goes with severe drought and deep burning",
        "from memory",
    )
    fire_wind_ms: float = _n(
        11.2,
        "wind from which, with dry air, it is fire weather",
        "m/s",
        1,
        40,
        "25 mph, common in US red flag criteria; local criteria differ",
        "from memory",
    )
    fire_humidity: float = _n(
        15,
        "relative humidity at or below which, with wind, it is fire weather",
        "%",
        1,
        60,
        "15 %, common in US red flag criteria; local criteria differ",
        "from memory",
    )

    # --- seasons ---------------------------------------------------------------------------
    last_brood: str = _t(
        "",
        "usual last brood of the year (month-day); empty derives it from latitude and elevation",
        "MM-DD",
        "rule of thumb from Ontario, Sardinia, Arkansas and Gulf accounts",
        "our assumption",
    )
    patty_stop: str = _t(
        "",
        "no more patties from this date (month-day); empty: the weeks below before the usual last brood",
        "MM-DD",
        "there is no published universal date",
        "our assumption",
    )
    patty_stop_weeks: float = _n(
        7,
        "weeks before the usual last brood from which patties stop",
        "weeks",
        0,
        16,
        "working rule of 6-8 weeks: 21 days of brood and the time to turn nurses into winter bees",
        "our assumption",
    )
    cluster_date: str = _t(
        "",
        "usual date the cluster forms (month-day); empty derives it from weather, or latitude and elevation",
        "MM-DD",
        "bees stop flying and cluster below about 14 °C (57 °F)",
        "read",
    )
    cluster_temp_c: float = _n(
        14,
        "mean day temperature below which the cluster is taken to have formed",
        "°C",
        5,
        20,
        "Mississippi state leaflet 2021: no flight, cluster below about 57 °F",
        "read",
        "winter.cluster_c",
    )

    # --- patties ----------------------------------------------------------------------------
    pull_by_days: float = _n(
        7,
        "a piece comes off after this many days where beetles are present or unknown",
        "d",
        1,
        30,
        "larvae can be fully fed at 8.7-9.3 d at 34 °C, at 7 d they cannot (arithmetic from Meikle & Patt 2011)",
        "arithmetic",
        "beetle.pull_max_d",
    )
    stay_days_no_beetles: float = _n(
        14,
        "a piece comes off after this many days where there are no beetles",
        "d",
        3,
        60,
        "hardening and mould",
        "common practice",
        "beetle.absent_max_d",
    )
    eaten_by_pull_by: float = _n(
        0.8,
        "a piece this likely to be eaten by its pull-by needs no special trip",
        "probability",
        0.5,
        0.99,
        "",
        "our assumption",
    )
    portion_chance: float = _n(
        0,
        "a piece laid on is to be eaten by its pull-by with at least this chance; 0 works it out from your costs",
        "probability",
        0,
        0.99,
        "the cost of too much over that of too much and too little together (newsvendor rule)",
        "arithmetic",
    )
    bees_worth: float = _n(
        12,
        "what a thousand bees reared are worth to you",
        "currency",
        0,
        1000,
        "a package of about 10,000 bees at 110-150 USD",
        "from memory",
    )
    colony_worth: float = _n(
        200,
        "what a colony lost to beetles would cost you",
        "currency",
        0,
        5000,
        "price of a small colony",
        "from memory",
    )
    ruin_chance: float = _n(
        0.01,
        "chance that a rest left on an ordinary colony where beetles are present ends in slimed combs",
        "probability",
        0,
        0.5,
        "three field trials that loaded hives with beetles found no larvae at all (Meikle et al. 2015): small, not nil",
        "our assumption",
    )
    leftover_minutes: float = _n(3, "minutes to take off, bag and freeze a rest", "min", 0, 60, "", "our assumption")
    freezer_temp_c: float = _n(
        -18,
        "temperature in your freezer, where an entry does not say it",
        "°C",
        -60,
        -1,
        "a household freezer; a thermometer in it is worth its price",
        "common practice",
    )
    patty_from: str = _t(
        "stock",
        "what the calls take a new patty for: the batch in stock that reaches round the yard, or always the settings "
        "below",
        "",
        "what is in the store is what will be laid on",
        "our assumption",
        PATTY_FROM,
    )
    patty_protein: float = _n(
        15,
        "crude protein of the usual patty",
        "% of weight",
        0,
        60,
        "usual home and bought mixes 10-20 %",
        "common practice",
    )
    patty_pollen_share: float = _n(
        0, "bee-collected pollen in the usual patty", "% of weight", 0, 100, "most mixes hold none", "common practice"
    )
    patty_sugar: float = _n(
        USUAL_SUGAR, "sugar in the usual patty", "% of weight", 0, 90, "published mixes hold 35-50 %", "our assumption"
    )
    patty_hard_days: float = _n(
        USUAL_HARD_DAYS,
        "days on a hive at 35 °C until the usual patty is hard",
        "d",
        3,
        60,
        "a piece that lies two weeks is usually hard",
        "common practice",
    )
    pollen_share_enough: float = _n(
        0.2,
        "share of returning bees with pollen from which pollen counts as coming in",
        "share",
        0.02,
        1,
        "20-30 % of returning foragers in good conditions; below about 10 % with brood is a warning",
        "from memory",
    )
    pollen_index_enough: float = _n(
        0.5,
        "pollen on offer (1 = an ordinary good flow) from which pollen counts as coming in",
        "index",
        0.02,
        3,
        "half of an ordinary flow",
        "our assumption",
    )

    # --- wrong diagnoses ---------------------------------------------------------------------
    brood_pause_tmax_c: float = _n(
        37.8,
        "days this hot may stop the queen's laying",
        "°C",
        25,
        50,
        "about 100 °F, keepers' accounts only; no measured figure was found",
        "read second-hand",
    )
    queenless_p: float = _n(
        0.5,
        "probability of no laying queen from which the queen is looked for first",
        "probability",
        0.05,
        1,
        "",
        "our assumption",
    )
    sign_days: float = _n(
        21,
        "a sign seen longer ago than this is asked for again",
        "d",
        3,
        90,
        "about one generation of worker brood",
        "our assumption",
    )
    robbing_days: float = _n(
        10, "robbing seen within this many days still rules how a hive is fed", "d", 1, 60, "", "our assumption"
    )
    robbing_bees: float = _n(
        10000,
        "a colony with fewer bees than this is at risk of robbing in a dearth",
        "bees",
        0,
        60000,
        "weak colonies are robbed first (common); the number is ours",
        "our assumption",
    )
    look_stale_days: float = _n(
        28, "a hive not looked into for this long cannot be read with confidence", "d", 7, 180, "", "our assumption"
    )
    thin_ratio: float = _n(
        3,
        "the reading is thin when the high end of the bees is this many times the low end",
        "ratio",
        1.2,
        20,
        "",
        "our assumption",
    )

    # --- uniting, moving, water ----------------------------------------------------------------
    unite_winter_bees: float = _n(
        12150,
        "expected bees at winter below which uniting is worth a thought",
        "bees",
        0,
        40000,
        "under 5 deep frames of bees x 2,430 (Burgett & Burikam 1985): handbook convention, not a survival curve",
        "from memory",
    )
    unite_now_bees: float = _n(
        5000,
        "bees now below which uniting is worth a thought in any season",
        "bees",
        0,
        40000,
        "about two deep frames of bees",
        "our assumption",
    )
    move_index: float = _n(
        0.05,
        "pollen on offer at or below which moving the yard is worth a thought",
        "index",
        0,
        1,
        "deep dearth on our index",
        "our assumption",
    )
    move_p_back: float = _n(
        0.2,
        "only if pollen is no likelier than this to be back within 14 days",
        "probability",
        0,
        1,
        "",
        "our assumption",
    )
    move_days_left: float = _n(
        42,
        "only if the cluster is at least this many days away",
        "d",
        0,
        200,
        "two generations of brood",
        "our assumption",
    )
    water_tmax_c: float = _n(
        35,
        "days hotter than this count as hot for the water rule",
        "°C",
        20,
        50,
        "water carrying rises steeply above 30-35 °C outside; brood is held at 34-35 °C",
        "read",
    )
    water_days: float = _n(
        3, "this many hot days within the next seven call for water at hand", "d", 1, 7, "", "our assumption"
    )

    # --- beetles and money --------------------------------------------------------------------
    beetle_pressure: str = _t(
        "usual",
        "how much beetles trouble you; high means smaller pieces, laid on more often",
        "",
        "keeper's judgement",
        "common practice",
        BEETLE_PRESSURE,
    )
    patty_price: float = _n(
        2.9, "price of patty", "currency/kg", 0, 100, _EXTENSION_PRICES + ": 1.09-1.57 USD/lb", "read"
    )
    syrup_price: float = _n(
        1.0, "price of syrup", "currency/L", 0, 50, _EXTENSION_PRICES + ": 3.30-4.39 USD/gal", "read"
    )
    wage: float = _n(15, "what an hour of work is worth", "currency/h", 0, 500, "", "our assumption")
    visit_minutes: float = _n(
        4, "minutes to lay on or take off at one hive", "min", 0.5, 60, "3-5 min for a quick feed check", "from memory"
    )
    look_minutes: float = _n(
        10, "minutes for a two-comb look", "min", 1, 60, "8-15 min for a practised full look", "from memory"
    )

    # --- rounds --------------------------------------------------------------------------------
    home_place: str = _t(
        "",
        "where the rounds start: latitude, longitude; empty takes the middle of the yards",
        "lat, lon",
        "yours to give",
        "our assumption",
    )
    days_off: str = _t(
        "",
        "weekdays and dates on which nobody drives, such as sun, 2031-07-04",
        "days",
        "yours to give",
        "our assumption",
    )
    yard_notice: str = _t(
        "",
        "days of notice a yard wants before a visit, such as quarry=2",
        "yard=days",
        "yours to give",
        "our assumption",
    )
    day_start: float = _n(6, "no yard is begun before this hour, nor before sunrise", "h", 0, 14, "", "our assumption")
    day_end: float = _n(19, "home again by this hour", "h", 8, 24, "", "our assumption")
    plan_days: float = _n(14, "days that rounds are planned ahead", "d", 2, 28, "two weekly rounds", "our assumption")
    yard_minutes: float = _n(
        12, "minutes at a yard besides its hives: gate, veil, smoker, packing up", "min", 0, 120, "", "our assumption"
    )
    trip_minutes: float = _n(
        30, "minutes a day out costs at home: loading, unloading, cleaning", "min", 0, 240, "", "our assumption"
    )
    late_minutes: float = _n(
        240, "minutes of driving a day of lateness is worth", "min", 1, 2000, "half a working day", "our assumption"
    )
    keep_minutes: float = _n(
        30, "minutes of driving that moving a yard to another day must save", "min", 0, 1000, "", "our assumption"
    )
    road_factor: float = _n(
        1.3,
        "road over straight line, where no road time is entered",
        "ratio",
        1,
        4,
        "about 1.2 between random points (Newell 1980, read second-hand); short trips and tracks wind more",
        "our assumption",
    )
    road_kmh: float = _n(
        50, "speed on the road, stops counted, where no road time is entered", "km/h", 5, 130, "", "our assumption"
    )
    car_kg: float = _n(400, "what the vehicle carries", "kg", 1, 20000, "a small van or pickup", "our assumption")
    car_l: float = _n(900, "room in the vehicle", "l", 10, 50000, "a small pickup bed", "our assumption")
    km_price: float = _n(
        0.43,
        "what a driven kilometre costs",
        "currency/km",
        0,
        20,
        "US tax mileage rate of 2025, 0.70 USD a mile",
        "from memory",
    )
    short_chance: float = _n(
        0.1, "chance of running short of patty that you accept", "probability", 0.01, 0.5, "", "our assumption"
    )
    currency: str = _t("USD", "how money is written", "", "prices above are in US dollars", "our assumption")

    # --- field cards ----------------------------------------------------------------------------
    card_days: float = _n(7, "days a field card holds", "d", 1, 30, "until the next round", "our assumption")
    card_rain_mm: float = _n(
        10,
        "rain that ends a field card",
        "mm",
        1,
        100,
        "enough to bring on bloom; no published figure",
        "our assumption",
    )

    def __post_init__(self) -> None:
        problems = [p for f in fields(self) if (p := _problem(f, getattr(self, f.name)))]
        if not problems:
            for caution, treat in _MITE_PAIRS.values():
                if getattr(self, caution) > getattr(self, treat):
                    problems.append(
                        f"Setting '{caution}' is {getattr(self, caution):g}, above '{treat}' "
                        f"({getattr(self, treat):g}); caution comes before treating: lower it."
                    )
            if self.day_end - self.day_start < 2:
                problems.append(
                    f"Setting 'day_end' is {self.day_end:g}, less than two hours after 'day_start' "
                    f"({self.day_start:g}); no round fits in: set them further apart."
                )
            if self.heat_high_f > self.heat_stop_f:
                problems.append(
                    f"Setting 'heat_high_f' is {self.heat_high_f:g}, above 'heat_stop_f' ({self.heat_stop_f:g}); "
                    "the cool-of-the-day level comes before the put-off level: lower it."
                )
        if problems:
            raise SettingsError(tuple(problems))

    def mite_levels(self, phase: PhaseName) -> tuple[float, float]:
        """Caution and treat levels [mites per 100 bees] for a phase of the season."""
        caution, treat = _MITE_PAIRS[phase]
        return float(getattr(self, caution)), float(getattr(self, treat))

    @property
    def asked_chance(self) -> float:
        """Chance of being eaten in time that a piece laid on must have: the keeper's, or as worked out for the hive."""
        return self.portion_chance or self.eaten_by_pull_by

    @classmethod
    def from_mapping(cls, raw: Mapping[str, Any]) -> Settings:
        """Settings from plain values (numbers or text as typed); missing names keep their default.

        Raises:
            SettingsError: with one sentence per value that cannot be used.
        """
        known = {f.name: f for f in fields(cls)}
        problems: list[str] = []
        values: dict[str, Any] = {}
        for name, value in raw.items():
            if name not in known:
                near = difflib.get_close_matches(name, known, n=1)
                hint = f"; did you mean '{near[0]}'?" if near else "; see the list of settings."
                problems.append(f"There is no setting '{name}'{hint}")
                continue
            spec = known[name]
            if "low" in spec.metadata:
                number = _number(value)
                if number is None:
                    problems.append(
                        f"Setting '{name}' got '{value}', wanted a number of {spec.metadata['unit']} between "
                        f"{spec.metadata['low']:g} and {spec.metadata['high']:g}: write it with digits, such as "
                        f"{spec.default:g}."
                    )
                    continue
                values[name] = number
            elif isinstance(value, str):
                values[name] = value.strip()
            else:
                problems.append(f"Setting '{name}' got '{value}', wanted text: write it in words.")
                continue
            if problem := _problem(spec, values[name]):
                problems.append(problem)
        if problems:
            raise SettingsError(tuple(problems))
        return cls(**values)

    def to_mapping(self) -> dict[str, float | str]:
        """Every setting as a plain value, ready for ``from_mapping``."""
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def changed(self) -> dict[str, float | str]:
        """Only the settings that differ from their default."""
        return {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) != f.default}


_ROUND_TEXTS: Final[Mapping[str, Callable[[str], object]]] = {
    "home_place": home_of,
    "days_off": days_off,
    "yard_notice": notice_of,
}

_MITE_PAIRS: Final[Mapping[PhaseName, tuple[str, str]]] = {
    "growing": ("mites_caution_growing", "mites_treat_growing"),
    "peak": ("mites_caution_peak", "mites_treat_peak"),
    "shrinking": ("mites_caution_shrinking", "mites_treat_shrinking"),
    "resting with brood": ("mites_caution_resting_brood", "mites_treat_resting_brood"),
    "resting without brood": ("mites_caution_resting", "mites_treat_resting"),
}


@dataclass(frozen=True)
class SettingShown:
    """One setting as a page shows it: value, default, range, source and how it is known."""

    name: str
    says: str
    value: float | str
    default: float | str
    unit: str
    low: float | None
    high: float | None
    words: tuple[str, ...]
    source: str
    known: str
    row: str
    """Key of the row in the figures book that the default is taken from; empty when there is none."""


def fields_for_display(settings: Settings | None = None) -> tuple[SettingShown, ...]:
    """Every setting in order, with what a page needs to show and edit it."""
    used = settings if settings is not None else Settings()
    shown = []
    for f in fields(used):
        m = f.metadata
        shown.append(
            SettingShown(
                f.name,
                m["says"],
                getattr(used, f.name),
                f.default if f.default is not MISSING else "",
                m["unit"],
                m.get("low"),
                m.get("high"),
                tuple(m.get("words", ())),
                m["source"] or m["known"],
                m["known"],
                m.get("row", ""),
            )
        )
    return tuple(shown)


def month_day(text: str) -> tuple[int, int] | None:
    """Month and day of an ``MM-DD`` text, or None when it is not one."""
    month, dash, day = text.strip().partition("-")
    if not (dash and month.isascii() and day.isascii() and month.isdigit() and day.isdigit()):
        return None
    try:
        # A common year, so that 29 February is refused: it would not exist three years in four.
        found = date(2001, int(month), int(day))
    except ValueError:
        return None
    return found.month, found.day


def _number(value: Any) -> float | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, (int, float)):
        return float(value)
    if isinstance(value, str):
        try:
            return float(value.strip())
        except ValueError:
            return None
    return None


def _problem(spec: Field[Any], value: Any) -> str | None:
    m = spec.metadata
    if "low" in m:
        # 'not in range' is written so that nan, which compares false with everything, is refused.
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not m["low"] <= value <= m["high"]:
            return (
                f"Setting '{spec.name}' got {value}, wanted {m['low']:g} to {m['high']:g} {m['unit']}: "
                f"choose a value in that range (the default is {spec.default:g})."
            )
        return None
    if not isinstance(value, str):
        return f"Setting '{spec.name}' got {value}, wanted text: write it in words."
    if m["words"] and value not in m["words"]:
        return f"Setting '{spec.name}' got '{value}', wanted one of {', '.join(m['words'])}: choose one of them."
    if m["unit"] == "MM-DD" and value and month_day(value) is None:
        return (
            f"Setting '{spec.name}' got '{value}', wanted month-day such as 09-05, or nothing: write two digits, "
            "a dash and two digits (29 February is not in every year)."
        )
    if spec.name in _ROUND_TEXTS:
        try:
            _ROUND_TEXTS[spec.name](value)
        except ValueError as e:
            return f"Setting '{spec.name}' {e}."
    if spec.name == "currency" and not 1 <= len(value) <= 8:
        return f"Setting 'currency' got '{value}', wanted 1 to 8 characters such as USD: write a shorter one."
    return None
