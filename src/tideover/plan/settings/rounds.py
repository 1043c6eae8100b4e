"""Beetles, money and working time; rounds and field cards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tideover.plan.settings.asked import num, words

BEETLE_PRESSURE: Final = ("low", "usual", "high")
_EXTENSION_PRICES: Final = "Pacific Northwest Extension publication 745 (prices of 2020, dated)"


@dataclass(frozen=True)
class RoundSettings:
    """Settings of the round: what it costs, when it goes, how long its cards hold."""

    # --- beetles and money --------------------------------------------------------------------
    beetle_pressure: str = words(
        "usual",
        "how much beetles trouble you; high means smaller pieces, laid on more often",
        "",
        "keeper's judgement",
        "common practice",
        BEETLE_PRESSURE,
    )
    patty_price: float = num(
        2.9, "price of patty", "currency/kg", 0, 100, _EXTENSION_PRICES + ": 1.09-1.57 USD/lb", "read"
    )
    syrup_price: float = num(
        1.0, "price of syrup", "currency/L", 0, 50, _EXTENSION_PRICES + ": 3.30-4.39 USD/gal", "read"
    )
    wage: float = num(15, "what an hour of work is worth", "currency/h", 0, 500, "", "our assumption")
    visit_minutes: float = num(
        4, "minutes to lay on or take off at one hive", "min", 0.5, 60, "3-5 min for a quick feed check", "from memory"
    )
    look_minutes: float = num(
        10, "minutes for a two-comb look", "min", 1, 60, "8-15 min for a practised full look", "from memory"
    )

    # --- rounds --------------------------------------------------------------------------------
    home_place: str = words(
        "",
        "where the rounds start: latitude, longitude; empty takes the middle of the yards",
        "lat, lon",
        "yours to give",
        "our assumption",
    )
    days_off: str = words(
        "",
        "weekdays and dates on which nobody drives, such as sun, 2031-07-04",
        "days",
        "yours to give",
        "our assumption",
    )
    yard_notice: str = words(
        "",
        "days of notice a yard wants before a visit, such as quarry=2",
        "yard=days",
        "yours to give",
        "our assumption",
    )
    day_start: float = num(6, "no yard is begun before this hour, nor before sunrise", "h", 0, 14, "", "our assumption")
    day_end: float = num(19, "home again by this hour", "h", 8, 24, "", "our assumption")
    plan_days: float = num(14, "days that rounds are planned ahead", "d", 2, 28, "two weekly rounds", "our assumption")
    yard_minutes: float = num(
        12, "minutes at a yard besides its hives: gate, veil, smoker, packing up", "min", 0, 120, "", "our assumption"
    )
    trip_minutes: float = num(
        30, "minutes a day out costs at home: loading, unloading, cleaning", "min", 0, 240, "", "our assumption"
    )
    late_minutes: float = num(
        240, "minutes of driving a day of lateness is worth", "min", 1, 2000, "half a working day", "our assumption"
    )
    keep_minutes: float = num(
        30, "minutes of driving that moving a yard to another day must save", "min", 0, 1000, "", "our assumption"
    )
    road_factor: float = num(
        1.3,
        "road over straight line, where no road time is entered",
        "ratio",
        1,
        4,
        "about 1.2 between random points (Newell 1980, read second-hand); short trips and tracks wind more",
        "our assumption",
    )
    road_kmh: float = num(
        50, "speed on the road, stops counted, where no road time is entered", "km/h", 5, 130, "", "our assumption"
    )
    car_kg: float = num(400, "what the vehicle carries", "kg", 1, 20000, "a small van or pickup", "our assumption")
    car_l: float = num(900, "room in the vehicle", "l", 10, 50000, "a small pickup bed", "our assumption")
    freezer_l: float = num(
        60,
        "room in the freezer for patties",
        "l",
        0,
        5000,
        "two drawers or baskets of a household freezer",
        "our assumption",
    )
    patty_wait_d: float = num(
        1,
        "days until more patty can be had once what is in hand is used up; counts where your stock is in the books",
        "d",
        0,
        14,
        "a batch is mixed in an evening",
        "our assumption",
    )
    have_sugar_kg: float = num(0, "sugar you have in hand", "kg", 0, 5000, "yours to count", "our assumption")
    have_reducers: float = num(0, "entrance reducers you have", "pieces", 0, 2000, "yours to count", "our assumption")
    have_cloths: float = num(0, "robbing cloths you have", "pieces", 0, 2000, "yours to count", "our assumption")
    have_boxes: float = num(0, "spare boxes you have", "pieces", 0, 2000, "yours to count", "our assumption")
    have_smoker_fillings: float = num(
        0, "fillings of smoker fuel you have", "fillings", 0, 2000, "yours to count", "our assumption"
    )
    sugar_price: float = num(
        1.0, "price of sugar", "currency/kg", 0, 50, "about that of a litre of syrup above", "our assumption"
    )
    box_price: float = num(25, "price of a spare box with frames", "currency", 0, 500, "", "our assumption")
    small_price: float = num(
        3, "price of an entrance reducer, a cloth or a filling of fuel", "currency", 0, 100, "", "our assumption"
    )
    km_price: float = num(
        0.43,
        "what a driven kilometre costs",
        "currency/km",
        0,
        20,
        "US tax mileage rate of 2025, 0.70 USD a mile",
        "from memory",
    )
    short_chance: float = num(
        0.1, "chance of running short of patty that you accept", "probability", 0.01, 0.5, "", "our assumption"
    )
    currency: str = words("USD", "how money is written", "", "prices above are in US dollars", "our assumption")

    # --- field cards ----------------------------------------------------------------------------
    card_days: float = num(7, "days a field card holds", "d", 1, 30, "until the next round", "our assumption")
    card_rain_mm: float = num(
        10,
        "rain that ends a field card",
        "mm",
        1,
        100,
        "enough to bring on bloom; no published figure",
        "our assumption",
    )
