"""What can be written in the books: every kind of entry and every field of it.

One table drives files, forms, JSON Schema, validation and documentation, so
that a field has one name, one unit and one range everywhere. Numbers are kept
in the canonical unit given here; ``alternatives`` name the other units a file
or form may use (the unit stands at the end of the column name, for example
``shade_temp_c`` or ``shade_temp_f``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from tideover.evidence import words as w
from tideover.figures.units import (
    F_AT_0_C,
    F_PER_C,
    FOOT_M,
    GALLON_L,
    INCH_MM,
    KMH_IN_MS,
    MPH_MS,
    OUNCE_G,
    POUND_G,
    POUND_KG,
    QUART_L,
)

FieldType = Literal["number", "count", "word", "text", "list", "date"]

UNITS: Final[Mapping[str, Mapping[str, tuple[float, float]]]] = {
    # dimension -> unit suffix -> (factor, offset): canonical = factor * value + offset
    "temperature": {"c": (1.0, 0.0), "f": (1.0 / F_PER_C, -F_AT_0_C / F_PER_C)},
    "patty": {"g": (1.0, 0.0), "kg": (1000.0, 0.0), "lb": (POUND_G, 0.0), "oz": (OUNCE_G, 0.0)},
    "honey": {"kg": (1.0, 0.0), "lb": (POUND_KG, 0.0)},
    "rain": {"mm": (1.0, 0.0), "in": (INCH_MM, 0.0)},
    "thickness": {"mm": (1.0, 0.0), "in": (INCH_MM, 0.0)},
    "wind": {"ms": (1.0, 0.0), "kmh": (1.0 / KMH_IN_MS, 0.0), "mph": (MPH_MS, 0.0)},
    "height": {"m": (1.0, 0.0), "ft": (FOOT_M, 0.0)},
    "volume": {"l": (1.0, 0.0), "gal": (GALLON_L, 0.0), "qt": (QUART_L, 0.0)},
}
"""By the factors of ``figures.units``, which are exact."""


@dataclass(frozen=True)
class Field:
    """One field of an entry: name, type, unit dimension, range and words."""

    name: str
    type: FieldType
    says: str
    dimension: str | None = None
    low: float | None = None
    high: float | None = None
    step: float | None = None
    words: tuple[str, ...] = ()
    required: bool = False
    longest: int = 500
    """Letters a text may have."""


@dataclass(frozen=True)
class Kind:
    """One kind of entry and the sheet (CSV file name without ending) it lives in."""

    name: str
    sheet: str
    says: str
    of: Literal["hive", "yard"]
    fields: tuple[Field, ...] = field(default_factory=tuple)


def _yes_no(name: str, says: str) -> Field:
    return Field(name, "word", says, words=w.YES_NO)


_BATCH = Field("batch", "text", "short name of the batch, as on its label: letters, digits and dashes", longest=24)
_PIECE = Field("piece", "text", "short code of the piece, as on its label", longest=28)

_SHADE = Field("shade_temp", "number", "air temperature in the shade", "temperature", -40, 60)

LOOK: Final = Kind(
    "look",
    "looks",
    "what was seen at a hive: lid only, or one outer and one brood comb as well",
    "hive",
    (
        _SHADE,
        Field(
            "seams",
            "list",
            "seams of bees per box, bottom box first, quarters allowed, e.g. 8+4.5",
            low=0,
            high=12,
            step=0.25,
        ),
        Field("heft", "word", "weight of the hive felt from behind", words=w.HEFT),
        Field("hive_weight", "number", "whole hive on a scale", "honey", 0, 300),
        Field("patty_left", "number", "quarters of the last piece still there", low=0, high=4, step=0.25),
        Field("patty_texture", "word", "how the piece left feels", words=w.PATTY_TEXTURE),
        _yes_no("patty_touch", "the piece lies in contact with the cluster"),
        Field("patty_debris", "word", "crumbs on the floor or at the entrance", words=w.PATTY_DEBRIS),
        Field("beetles", "word", "small hive beetle adults seen", words=w.BEETLES),
        _yes_no("beetle_larvae", "beetle larvae in the patty or comb"),
        Field("outer_pollen", "word", "stored pollen on the outer comb", words=w.POLLEN_OUTER),
        Field(
            "outer_half_sides",
            "number",
            "half comb sides of pollen on the outer combs together",
            low=0,
            high=16,
            step=0.5,
        ),
        Field("nest_pollen", "word", "band of stored pollen around the brood", words=w.POLLEN_NEST),
        Field("brood_combs", "number", "combs with brood (one side only counts half)", low=0, high=30, step=0.5),
        Field("capped_quarters", "number", "capped brood on the brood comb, quarter sides", low=0, high=8, step=0.5),
        Field("open_quarters", "number", "open brood on the brood comb, quarter sides", low=0, high=8, step=0.5),
        _yes_no("eggs", "eggs seen"),
        Field("jelly", "word", "jelly around larvae 12-48 h old", words=w.JELLY),
        Field("jelly_floating", "count", "young larvae floating in jelly", low=0, high=400),
        Field("jelly_damp", "count", "young larvae damp", low=0, high=400),
        Field("jelly_dry", "count", "young larvae dry", low=0, high=400),
        Field("honey_combs", "number", "honey in full deep combs", low=0, high=40, step=0.25),
        _yes_no("queen_seen", "queen seen"),
        _yes_no("queen_cells", "queen cells seen"),
        _yes_no("many_eggs", "several eggs in one cell, or eggs on cell walls"),
        _yes_no("drone_in_worker", "domed drone cappings in worker cells"),
        _yes_no("brood_signs", "brood discoloured, twisted, sunken or ropy"),
        _yes_no("deformed_wings", "bees with deformed wings"),
        Field("pollen_coming", "word", "pollen on the legs of returning bees, at a glance", words=w.POLLEN_COMING),
    ),
)


def _eighths(name: str, says: str) -> Field:
    return Field(name, "number", f"{says}, eighths of the side", low=0, high=8, step=0.5)


COMB_SIDE: Final = Kind(
    "comb side",
    "comb_sides",
    "one side of one comb, judged in eighths; all sides of a hive on one day are one look comb by comb",
    "hive",
    (
        Field("level", "count", "box, counted from the bottom", low=1, high=8, required=True),
        Field("comb", "count", "comb, counted from the same wall at every box", low=1, high=30, required=True),
        Field("side", "word", "side of the comb", words=w.COMB_SIDE, required=True),
        _eighths("bees", "covered with bees"),
        _eighths("capped", "capped brood"),
        _eighths("open", "open brood"),
        _eighths("eggs", "eggs"),
        _eighths("pollen", "stored pollen"),
        _eighths("honey", "honey and nectar"),
    ),
)

KINDS: Final[Mapping[str, Kind]] = {
    k.name: k
    for k in (
        LOOK,
        COMB_SIDE,
        Kind(
            "entrance count",
            "entrance_counts",
            "returning bees counted at the entrance",
            "hive",
            (
                _SHADE,
                Field("minutes", "number", "minutes watched", low=0.25, high=60, required=True),
                Field("bees_in", "count", "returning bees", low=0, high=20000, required=True),
                Field("with_pollen", "count", "of these, with pollen on the legs", low=0, high=20000, required=True),
            ),
        ),
        Kind(
            "bloom note",
            "bloom_notes",
            "how much is in flower at a yard",
            "yard",
            (
                Field("bloom", "word", "how much is in flower", words=w.BLOOM, required=True),
                Field("plant", "text", "which plant; empty means overall"),
            ),
        ),
        Kind(
            "laid on",
            "layings_on",
            "a patty laid on a hive",
            "hive",
            (
                Field("weight", "number", "weight of the piece", "patty", 1, 5000, required=True),
                Field("protein", "number", "crude protein, percent of weight", low=0, high=60),
                Field("pollen_share", "number", "bee-collected pollen, percent of weight", low=0, high=100),
                Field("place", "word", "where it was laid", words=w.PATTY_PLACE),
                _yes_no("paper_on", "paper left on the outer face"),
                _BATCH,
                _PIECE,
            ),
        ),
        Kind(
            "taken off",
            "takings_off",
            "a patty or its rest taken off",
            "hive",
            (
                Field("weight", "number", "weight taken off", "patty", 0, 5000),
                Field("patty_left", "number", "quarters of the piece still there", low=0, high=4, step=0.25),
                Field("patty_texture", "word", "how it feels", words=w.PATTY_TEXTURE),
                Field("patty_debris", "word", "crumbs on the floor or at the entrance", words=w.PATTY_DEBRIS),
                _yes_no("beetle_larvae", "beetle larvae in it"),
                Field("goes", "word", "where it goes", words=w.PIECE_GOES),
                _PIECE,
            ),
        ),
        Kind(
            "batch",
            "batches",
            "a batch of patty bought or mixed, kept at a yard's store",
            "yard",
            (
                replace(_BATCH, required=True),
                Field("weight", "number", "weight of the whole batch", "patty", 1, 2_000_000, required=True),
                Field("origin", "word", "bought or mixed", words=w.BATCH_ORIGIN),
                Field("protein", "number", "crude protein, percent of weight", low=0, high=60),
                Field(
                    "counted_protein",
                    "number",
                    "protein that counts for bees (crude protein times the amino acid score), percent of weight",
                    low=0,
                    high=60,
                ),
                Field("pollen_share", "number", "bee-collected pollen, percent of weight", low=0, high=100),
                Field("sugar_share", "number", "sugar, percent of weight", low=0, high=100),
                Field("water_share", "number", "water, percent of weight", low=0, high=100),
                Field(
                    "hard_after",
                    "number",
                    "days on a hive at 35 °C until a piece is hard, paper left on",
                    low=1,
                    high=120,
                ),
                Field("worth", "number", "grams of pollen a kilogram does the work of, middle", low=0, high=2000),
                Field("worth_low", "number", "the same, low end (10 %)", low=0, high=2000),
                Field("worth_high", "number", "the same, high end (90 %)", low=0, high=2000),
                Field("cost", "number", "what the whole batch cost, in your currency", low=0, high=10_000_000),
                Field(
                    "pieces",
                    "count",
                    "pieces cut from it; each has the batch's name, a dash and its number",
                    low=1,
                    high=5000,
                ),
                Field("thickness", "number", "thickness of a piece between its papers", "thickness", 2, 100),
                Field("keeps_until", "date", "last day on which it is good"),
                Field("recipe", "text", "the recipe, as text or as the kitchen's JSON", longest=20_000),
            ),
        ),
        Kind(
            "cold box",
            "cold_box",
            "a piece, or part of a batch, put into the freezer (of no hive when it never lay on one)",
            "hive",
            (
                _PIECE,
                _BATCH,
                Field("weight", "number", "weight put in", "patty", 1, 2_000_000),
                Field("freezer_temp", "number", "temperature in the freezer", "temperature", -60, 10),
                Field("stack", "count", "pieces lying on one another, 1 for a single one", low=1, high=40),
                Field("thickness", "number", "thickness of one piece", "thickness", 2, 100),
            ),
        ),
        Kind(
            "discarded",
            "discards",
            "a piece, or part of a batch, thrown away or given away",
            "hive",
            (
                _PIECE,
                _BATCH,
                Field("weight", "number", "weight thrown away", "patty", 0, 2_000_000),
                Field("why", "word", "why it went", words=w.DISCARD_WHY),
            ),
        ),
        Kind(
            "stock count",
            "stock_counts",
            "what is left of a batch, weighed: pieces on hives and in the freezer apart",
            "yard",
            (
                replace(_BATCH, required=True),
                Field("weight", "number", "weight still there", "patty", 0, 2_000_000, required=True),
            ),
        ),
        Kind(
            "mite wash",
            "mite_washes",
            "mites washed from a sample of nest bees",
            "hive",
            (
                Field("mites", "count", "mites counted", low=0, high=2000, required=True),
                Field(
                    "bees",
                    "count",
                    "bees in the sample, counted; empty means half a cup, taken as 300",
                    low=1,
                    high=2000,
                ),
            ),
        ),
        Kind(
            "weather day",
            "weather_days",
            "one day of weather at a yard",
            "yard",
            (
                Field("temp_max", "number", "highest air temperature", "temperature", -60, 60, required=True),
                Field("temp_min", "number", "lowest air temperature", "temperature", -70, 50, required=True),
                Field("rain", "number", "rain", "rain", 0, 1000),
                Field("wind", "number", "mean wind at 2 m", "wind", 0, 60),
                Field("humidity", "number", "mean relative humidity, percent", low=0, high=100),
                Field(
                    "temp_sd",
                    "number",
                    "only where the temperatures were filled in: their doubt, a standard deviation in degrees Celsius",
                    low=0,
                    high=20,
                ),
            ),
        ),
        Kind(
            "event",
            "events",
            "something done to, or happening to, a hive or yard",
            "hive",
            (
                Field("event", "word", "what happened", words=w.EVENTS, required=True),
                Field("syrup", "number", "syrup given", "volume", 0, 60),
                Field("sugar_share", "number", "sugar in the syrup, percent of weight", low=0, high=100),
                Field("share", "number", "share of bees and brood leaving or joining, percent", low=0, high=100),
                Field("combs", "number", "combs given or taken", low=0, high=30, step=0.5),
                Field("honey", "number", "honey taken", "honey", 0, 200),
                Field("other", "text", "the other hive, or the yard moved to"),
                Field("box", "text", "frame type and number of frames, e.g. deep x10"),
            ),
        ),
        Kind(
            "road time",
            "road_times",
            "minutes by road from a yard to another yard or to home, and back unless that is entered too",
            "yard",
            (
                Field("to", "text", "label of the other yard, or home", required=True, longest=80),
                Field("minutes", "number", "minutes by road", low=0, high=1440, required=True),
                Field("km", "number", "kilometres by road", low=0, high=3000),
            ),
        ),
        Kind(
            "planned visit",
            "planned_visits",
            "a yard put on a day of the rounds and kept, with what is to be done there",
            "yard",
            (
                Field("day", "date", "the day", required=True),
                Field("stop", "text", "which visit of the yard this is", longest=160),
                Field("begins", "text", "when work begins, as hours and minutes", longest=5),
                Field("ends", "text", "when it ends", longest=5),
                Field("tasks", "text", "what is to be done, as JSON", longest=60_000),
            ),
        ),
        Kind(
            "task done",
            "tasks_done",
            "what became of a planned task at a hive",
            "hive",
            (
                Field("task", "text", "which task", required=True, longest=160),
                Field("outcome", "word", "what became of it", words=w.ROUND_OUTCOME, required=True),
                Field("planned", "number", "weight that was planned", "patty", 0, 50_000),
                Field("weight", "number", "weight that was given", "patty", 0, 50_000),
                Field("wrote", "text", "entry that was written with it", longest=40),
            ),
        ),
        Kind(
            "confirm",
            "confirmations",
            "the keeper confirms an unlikely entry",
            "hive",
            (Field("entry", "text", "id of the entry confirmed", required=True),),
        ),
        Kind(
            "withdraw",
            "withdrawals",
            "an entry is withdrawn (it stays in the books, without effect)",
            "hive",
            (),
        ),
    )
}
