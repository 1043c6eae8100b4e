"""Events as written, and the entries that need care: wrong, late, corrected, withdrawn, confirmed."""

from __future__ import annotations

from datetime import date, timedelta

from tideover.demo.keeping import World
from tideover.demo.place import moment
from tideover.demo.season import TREATED, yard_of
from tideover.demo.sheets import FRONT, Sheets
from tideover.demo.stories import d

WRONG_HIVE = ("quarry-10", d(8, 9))
"""A look meant for another hive stands here; it is absurd and nobody has noticed."""
CORRECTED = ("mill-race-08", d(7, 27))
"""A look typed wrong and put right the same evening."""
LATE = ("mill-race-09", d(7, 27))
"""A look written on paper and typed two weeks later."""
WITHDRAWN_LOOK = ("long-fallow-07", d(5, 24))
"""A look with beetles in it that was no look at beetles."""
TUB_FILLED = (d(6, 20), d(7, 5), d(7, 19), d(8, 2), d(8, 9), d(8, 13))
"""Mornings on which the tub by the track was filled; the far ledge never had one."""
RACE_SEEN = (("mill-race", d(8, 10)), ("mill-race", d(8, 14)), ("long-fallow", d(8, 12)), ("long-fallow", d(8, 14)))
"""Mornings on which water was seen running, or the trough filled, for a whole yard."""
CONFIRMED = ("quarry-07", d(7, 26))
"""A look that was odd and true: the keeper confirmed it."""


def write_events(world: World, sheets: Sheets) -> None:
    """Write the events the keepers knew of, hive by hive, then those of whole yards."""
    for hive, life in world.lives.items():
        sheets.add("event", moment(TREATED[0], 10.0), "K", {"event": "treatment"}, hive=hive)
        for n, h in enumerate(life.story.happens):
            if h.wrote:
                at = moment(h.day, 9.0 + 0.05 * n)
                sheets.add("event", at, "J" if n % 2 else "K", {"event": h.wrote, **h.fields}, hive=hive, tag=h.wrote)
        if yard_of(hive) == "quarry" and life.story.water:
            for day in TUB_FILLED:
                sheets.add("event", moment(day, 6.0), "K", {"event": "water given"}, hive=hive)
    for yard, day in RACE_SEEN:
        sheets.add("event", moment(day, 7.0), "J", {"event": "water given"}, yard=yard)
    for day, event in ((d(6, 20), "fire ban on"), (d(7, 8), "fire ban off"), (d(8, 11), "fire ban on")):
        sheets.add("event", moment(day, 12.0), "J", {"event": event}, yard="long-fallow")


def spoil(sheets: Sheets) -> dict[str, dict[str, str]]:
    """Make the entries that need care and return them by what they are, with their ids and hives."""
    made: dict[str, dict[str, str]] = {}
    made["wrong entry"] = _of(sheets, WRONG_HIVE)
    made["late entry"] = _late(sheets)
    made["correction"] = _correct(sheets)
    made["withdrawn look"] = _withdraw(sheets)
    made["withdrawn event"] = _withdraw_death(sheets)
    made["confirmed entry"] = _confirm(sheets)
    return made


def _of(sheets: Sheets, where: tuple[str, date]) -> dict[str, str]:
    row = sheets.find("look", where[0], where[1].isoformat())
    return {"entry": row["id"], "hive": where[0]}


def _late(sheets: Sheets) -> dict[str, str]:
    row = sheets.find("look", LATE[0], LATE[1].isoformat())
    row["recorded_at"] = moment(LATE[1] + timedelta(days=14), 20.25).isoformat(timespec="minutes")
    row["note"] = "from the paper sheet"
    return _of(sheets, LATE)


def _correct(sheets: Sheets) -> dict[str, str]:
    """Type the seams of one look tenfold-wrong first, and correct them in the evening."""
    row = sheets.find("look", CORRECTED[0], CORRECTED[1].isoformat())
    right = {k: v for k, v in row.items() if k not in FRONT and k != "note"}
    row["seams"] = "1+0.5"
    at = moment(CORRECTED[1], float(row["at"][11:13]) + float(row["at"][14:16]) / 60.0)
    entry = sheets.add(
        "look", at, row["who"], right, hive=CORRECTED[0], tag="corrected", supersedes=row["id"],
        recorded_at=moment(CORRECTED[1], 20.0), note="seams typed wrong at the hive",
    )  # fmt: skip
    return {"entry": entry, "hive": CORRECTED[0], "was": row["id"]}


def _withdraw(sheets: Sheets) -> dict[str, str]:
    """Write a second look with beetles in a yard that has none, and take it back next day."""
    hive, day = WITHDRAWN_LOOK
    entry = sheets.add(
        "look", moment(day, 12.0), "J", {"beetles": "few", "shade_temp_f": "84"}, hive=hive, tag="beetle",
        note="small dark beetle under the lid",
    )  # fmt: skip
    sheets.add(
        "withdraw", moment(day + timedelta(days=1), 19.0), "K", {}, hive=hive, supersedes=entry,
        note="looked at under the glass: a ground beetle",
    )  # fmt: skip
    return {"entry": entry, "hive": hive}


def _withdraw_death(sheets: Sheets) -> dict[str, str]:
    """Write a death at the wrong hive in March, and take it back the same day."""
    hive, day = "mill-race-05", d(3, 15)
    entry = sheets.add("event", moment(day, 9.0), "J", {"event": "death"}, hive=hive)
    note = "the empty box beside it, not this hive"
    sheets.add("withdraw", moment(day, 11.0), "J", {}, hive=hive, supersedes=entry, note=note)
    return {"entry": entry, "hive": hive}


def _confirm(sheets: Sheets) -> dict[str, str]:
    hive, day = CONFIRMED
    row = sheets.find("look", hive, day.isoformat())
    sheets.add("confirm", moment(day, 20.0), "J", {"entry": row["id"]}, hive=hive, note="counted twice")
    return {"entry": row["id"], "hive": hive}
