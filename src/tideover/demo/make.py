"""Make the whole season in a folder: sheets to bring, settings, and the truth beside them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

from tideover.demo import incidents, keeping, outings, store
from tideover.demo.land import offers
from tideover.demo.place import TIMEZONE, YARDS
from tideover.demo.season import live, yard_of
from tideover.demo.sheets import Sheets, csv_text, write, write_json
from tideover.demo.stories import STORIES
from tideover.demo.truth import truth
from tideover.demo.weather import valley

SETTINGS: Final[dict[str, object]] = {
    "currency": "USD",
    "home_place": "33.32, -113.31",
    "patty_price": 4.5,
    "syrup_price": 1.2,
    "wage": 18.0,
    "patty_protein": 17.0,
    "patty_pollen_share": 4.0,
    "beetle_pressure": "usual",
    "patty_stop": "09-25",
}
"""What the two keepers have set themselves, by the names of the settings; prices are round and invented."""


def world_of(seed: int) -> keeping.World:
    """Return the true season of ``seed``: weather, land and the life of every hive."""
    weather = valley(seed)
    land = {yard: offers(seed, yard, days) for yard, days in weather.items()}
    lives = {s.hive: live(seed, s, weather[yard_of(s.hive)], land[yard_of(s.hive)]) for s in STORIES}
    return keeping.World(
        seed,
        {yard: {w.day: w for w in days} for yard, days in weather.items()},
        {yard: {o.day: o for o in days} for yard, days in land.items()},
        lives,
    )


def make(folder: Path, seed: int = 20250) -> Path:
    """Write the season into ``folder`` (made if missing) and return it.

    CSV sheets as ``bring`` takes them (settings among them, and again as ``settings.json``),
    and ``truth.json``, which is what was really there. The same ``seed`` gives the same bytes.
    """
    world = world_of(seed)
    sheets = Sheets(seed)
    keeping.write_looks(world, sheets)
    keeping.write_patties(world, sheets)
    store.write_store(world, sheets)
    outings.write_outings(world, sheets)
    keeping.write_counts(world, sheets)
    keeping.write_bloom(world, sheets)
    keeping.write_washes(world, sheets)
    keeping.write_weather(world, sheets)
    incidents.write_events(world, sheets)
    care = incidents.spoil(sheets)
    folder = Path(folder)
    write(folder, sheets, _yards(), _hives())
    write_json(folder / "settings.json", SETTINGS)
    settings = [{"name": name, "value": json.dumps(value)} for name, value in sorted(SETTINGS.items())]
    (folder / "settings.csv").write_text(csv_text(settings, ["name", "value"]), encoding="utf-8", newline="\n")
    write_json(folder / "truth.json", truth(world, care))
    return folder


def _yards() -> list[dict[str, str]]:
    return [
        {
            "id": y.id,
            "name": y.name,
            "latitude": f"{y.latitude}",
            "longitude": f"{y.longitude}",
            "timezone": TIMEZONE,
            "elevation_m": f"{y.elevation_m:g}",
            "beetles": y.beetles,
            "beetles_reportable": y.beetles_reportable,
            "note": y.note,
        }
        for y in YARDS
    ]


def _hives() -> list[dict[str, str]]:
    names = {y.id: y.name for y in YARDS}
    return [
        {
            "id": s.hive,
            "yard": yard_of(s.hive),
            "name": f"{names[yard_of(s.hive)]} {int(s.hive.rsplit('-', 1)[1])}",
            "boxes": s.boxes,
            "note": s.note,
        }
        for s in STORIES
    ]
