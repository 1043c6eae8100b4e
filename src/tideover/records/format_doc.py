"""The description of files (docs/formats.md), made from the kinds of entries.

Run ``python -m tideover.records.format_doc docs/formats.md`` to write it anew.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from tideover.comb.frames import FRAMES
from tideover.records.kinds import KINDS, UNITS, Field, Kind
from tideover.records.reading_json import FORMAT, VERSION
from tideover.records.sheets import COMMON_COLUMNS, HIVE_COLUMNS, SETTING_COLUMNS, YARD_COLUMNS, Column
from tideover.records.units import CANONICAL, NAMES
from tideover.records.values import columns_of
from tideover.records.writing import HIVE_OR_YARD

ROUND_COLUMNS: Final = (
    ("day", "day of the round"),
    ("yard", "the yard's id"),
    ("yard_name", "the yard's name"),
    ("hive", "the hive's id"),
    ("call", "what to do: one of the nine calls"),
    ("give_g", "what is laid on or given, grams; empty when nothing is"),
    ("give_lb", "the same in pounds"),
    ("product", "what is given, in words"),
    ("load_g", "what to load for this hive, grams"),
    ("load_lb", "the same in pounds"),
    ("pull_by", "when the piece must be off, local time with its offset; empty when none is on"),
    ("sure", "chance that the call is right by your margin, 0 to 1; empty where a gate calls"),
    ("toss_up", "yes or no"),
    ("open", "yes: the hive is to be opened; no: it can be left shut or done on the forecast"),
    ("look_changes", "chance that a look at one brood comb changes the call, 0 to 1; empty without a card"),
    ("card_until", "last day the field card holds"),
    ("runway_days", "days until protein runs short, middle; empty beyond the horizon"),
    ("runway_low_days", "the same, low end of the 80 % range"),
    ("runway_high_days", "the same, high end"),
    ("gates", "titles of what blocks or comes first, separated by semicolons"),
    ("look_for", "what to look for, separated by semicolons"),
    ("why", "the call in a sentence or two"),
)
"""The table of the round, which goes out only (``paper.round_csv`` writes it)."""

EXAMPLES: Final = {
    "look": (
        "hive,at,who,shade_temp_c,seams,heft,patty_left,patty_texture,beetles\n"
        "quarry-03,2026-07-14T08:30,A.,27.5,8+4.5,fair,1.5,soft,few\n"
        "quarry-04,2026-07-14T08:41,A.,,6.25,light,4,hard,\n"
    ),
    "comb side": (
        "hive,at,level,comb,side,bees,capped,open,eggs,pollen,honey\n"
        "quarry-03,2026-07-14T09:00,1,4,a,6,3.5,1,0.5,1,0\n"
        "quarry-03,2026-07-14T09:00,1,4,b,5,4,0.5,0,1.5,\n"
    ),
    "entrance count": (
        "hive,at,shade_temp_f,minutes,bees_in,with_pollen\nquarry-03,2026-07-14T08:20,81,2,140,9\n"
    ),
    "bloom note": "yard,at,bloom,plant\nquarry,2026-07-14,few,\nquarry,2026-07-14,some,tarweed\n",
    "laid on": (
        "hive,at,weight_lb,protein,pollen_share,place,paper_on,batch,piece\n"
        "quarry-03,2026-07-14T08:35,0.5,15,4,top bars over brood,yes,B12,B12-3\n"
    ),
    "taken off": (
        "hive,at,weight_g,patty_left,patty_texture,goes,piece\n"
        "quarry-03,2026-07-20T09:00,60,1,firm,cold box,B12-3\n"
    ),
    "batch": (
        "yard,at,batch,weight_kg,origin,protein,pollen_share,sugar_share,cost,pieces,keeps_until\n"
        "quarry,2026-07-01,B12,4.5,mixed,15,4,45,22.5,10,2026-09-30\n"
    ),
    "cold box": (
        "hive,yard,at,piece,batch,weight_g,freezer_temp_c,stack\n"
        "quarry-03,,2026-07-20T13:00,B12-3,,60,-18,1\n"
        ",quarry,2026-07-20T13:00,,B12,900,-18,2\n"
    ),
    "discarded": "hive,at,piece,weight_g,why\nquarry-03,2026-08-02T19:00,B12-3,60,hard\n",
    "stock count": "yard,at,batch,weight_g\nquarry,2026-08-02T19:00,B12,450\n",
    "road time": "yard,at,to,minutes,km\nquarry,2026-07-01,home,25,21.5\nquarry,2026-07-01,mill-race,11,\n",
    "planned visit": "yard,at,day,begins,ends\nquarry,2026-07-13T19:00,2026-07-14,06:30,08:10\n",
    "task done": (
        "hive,at,task,outcome,planned_g,weight_g\n"
        "quarry-03,2026-07-14T08:35,quarry-03:lay on:2026-07-07,changed,455,230\n"
    ),
    "mite wash": "hive,at,mites,bees\nquarry-03,2026-07-14T08:50,4,310\n",
    "weather day": "yard,at,temp_max_f,temp_min_f,rain_in,humidity\nquarry,2026-07-14,101,66,0,24\n",
    "event": (
        "hive,yard,at,event,syrup_l,sugar_share,other,box\n"
        "quarry-03,,2026-07-14T09:00,syrup,2,50,,\n"
        "quarry-03,,2026-08-02T09:00,box added,,,,medium x10\n"
        ",quarry,2026-07-18T06:00,fire ban on,,,,\n"
    ),
    "confirm": "id,entry,at\n,0b7f2c1e-6f0e-4d59-9a53-0d8f3f2f6b11,2026-07-15T19:00\n",
    "withdraw": "supersedes,at,note\n0b7f2c1e-6f0e-4d59-9a53-0d8f3f2f6b11,2026-07-15T19:00,wrong hive\n",
}  # fmt: skip
"""One example for each kind; a test brings every one of them."""

YARDS_EXAMPLE: Final = (
    "id,name,latitude,longitude,timezone,elevation_ft,beetles,beetles_reportable\n"
    "quarry,Quarry,36.75,-119.8,America/Los_Angeles,460,present,absent\n"
)
HIVES_EXAMPLE: Final = "id,yard,boxes\nquarry-03,quarry,deep x10 + medium x10\nquarry-04,quarry,deep x8\n"
SETTINGS_EXAMPLE: Final = 'name,value\nmargin,0.02\nunits,"""us"""\n'

JSON_EXAMPLE: Final = f"""{{
  "format": "{FORMAT}",
  "version": {VERSION},
  "yards": [{{"id": "quarry", "latitude": 36.75, "longitude": -119.8, "timezone": "America/Los_Angeles"}}],
  "hives": [{{"id": "quarry-03", "yard": "quarry", "boxes": "deep x10 + medium x10"}}],
  "entries": [
    {{"kind": "look", "hive": "quarry-03", "at": "2026-07-14T08:30:00-07:00",
     "values": {{"shade_temp_c": 27.5, "seams": [8, 4.5], "heft": "fair"}}}}
  ],
  "settings": {{"margin": 0.02}}
}}
"""

INTRO: Final = """# Files

<!-- Made by `python -m tideover.records.format_doc docs/formats.md`; change `tideover/records/kinds.py` instead. -->

`tideover bring FILE...` takes any number of files at once, in any order, and `tideover export` writes them all.
Everything in one call is brought together: if one row is wrong, nothing is brought,
and every wrong row is listed with its file, line, column, value, what is wrong and what to do.
Bringing the same file again changes nothing.

## Rules for all sheets

- **CSV in UTF-8** (with or without a byte order mark), columns separated by commas, the first line names the columns.
  Text with commas or line breaks stands in double quotes.
  Files separated by semicolons or tabs are refused, not guessed at.
- **The file name is the name of the sheet** (`looks.csv`, `looks-july.csv`).
  A file with any other name needs a column `kind` that says, in each row, which kind of entry it is.
- **Columns may stand in any order, and all but the required ones may be left out.**
  A column that is not listed here is an error.
- **An empty cell means not looked at. It never means zero**, and "not looked" is never "no".
- **Numbers** are written with a point (`1.5`) and without grouping (`1200`).
  The unit is at the end of the column's name; use one column per number and row.
- **Words** are written as listed; capitals do not matter.
- **Dates** are `2026-07-14`, times `2026-07-14T08:30` (a space instead of the `T` will do).
  Without a zone they are local to the yard; `-07:00` or `Z` at the end says otherwise.
  A date alone is taken as 12:00. For looks, counts and pieces laid on the hour matters: give it.
- **Limits** in the tables are in the first unit named. Dates more than a day ahead are refused.

## Corrections

Nothing in the books is ever overwritten.
A correction is a new row that names the row it corrects under `supersedes` and says everything anew.
A withdrawal takes an entry out; a confirmation says that an entry flagged as unlikely is right.
Which entries stand does not depend on the order in which rows arrive:

1. an entry, all that corrects or withdraws it, and all that corrects or withdraws those, belong together;
2. nothing comes before what it supersedes; apart from that they are put in order of the time they were written down
   (`recorded_at`, else `at`), then by how many entries they build on, then by id;
3. the last one holds. If it is a withdrawal, none of them has an effect; a withdrawal of a withdrawal brings back
   what stood before it; a correction written after a withdrawal stands.

So two corrections of one entry leave the later one standing, and the entry they correct never stands.
Ids are UUIDs. A row without one gets an id made from what it says, so two equal rows count once.
The same id with other content is an error.
"""


def _table(rows: Sequence[tuple[str, ...]], head: tuple[str, ...]) -> str:
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(c.replace("|", "\\|") for c in r) + " |" for r in rows]
    return "\n".join(lines) + "\n"


def _columns(columns: tuple[Column, ...]) -> str:
    rows = [
        (f"`{c.name}`", c.says, "yes" if c.required else "", f"`{c.example}`" if c.example else "") for c in columns
    ]
    return _table(rows, ("column", "what", "required", "example"))


def _may_be(f: Field) -> str:
    if f.words:
        return ", ".join(f.words)
    if f.type == "text":
        return "text"
    if f.type == "date":
        return "date"
    span = f"{f.low:g} to {f.high:g}" if f.low is not None and f.high is not None else "number"
    steps = f", steps of {f.step:g}" if f.step else ""
    if f.type == "list":
        return f"numbers joined by +, each {span}{steps}"
    unit = f" {NAMES[CANONICAL[f.dimension]]}" if f.dimension else ""
    return f"{'whole number, ' if f.type == 'count' else ''}{span}{unit}{steps}"


def _kind(kind: Kind) -> str:
    about = "a hive or a yard" if kind.name in HIVE_OR_YARD else f"a {kind.of}"
    out = [f"### {kind.sheet}\n", f"Kind `{kind.name}`, about {about}: {kind.says}.\n"]
    if kind.name == "confirm":
        out.append("`hive` and `yard` may be left out: they are those of the entry confirmed.\n")
    if kind.name == "withdraw":
        out.append(
            "`supersedes` is required; `hive` and `yard` may be left out: they are those of the entry withdrawn.\n"
        )
    if kind.fields:
        rows = [
            (" or ".join(f"`{c}`" for c in columns_of(f)), f.says, "yes" if f.required else "", _may_be(f))
            for f in kind.fields
        ]
        out.append(_table(rows, ("column", "what", "required", "may be")))
    out.append(f"```csv\n{EXAMPLES[kind.name]}```\n")
    return "\n".join(out)


def _units() -> str:
    rows = []
    for dimension, table in UNITS.items():
        canonical = CANONICAL[dimension]
        said = []
        for suffix, (factor, offset) in table.items():
            plus = f" {'+' if offset > 0 else '-'} {abs(offset):.10g}" if offset else ""
            said.append(f"`_{suffix}` {NAMES[suffix]}" + ("" if suffix == canonical else f" (x {factor:.10g}{plus})"))
        rows.append((dimension, f"`_{canonical}` {NAMES[canonical]}", "; ".join(said)))
    return _table(rows, ("of", "kept in", "may be given in (how it becomes the unit kept)"))


def document() -> str:
    """Return the whole of docs/formats.md."""
    frames = ", ".join(f"`{name}`" for name in FRAMES)
    parts = [
        INTRO,
        "## Units\n",
        _units(),
        "## Yards, hives, settings\n",
        "### yards\n",
        _columns(YARD_COLUMNS),
        f"```csv\n{YARDS_EXAMPLE}```\n",
        "### hives\n",
        _columns(HIVE_COLUMNS),
        f"Frame types: {frames}. Boxes added or removed later are events.\n",
        f"```csv\n{HIVES_EXAMPLE}```\n",
        "### settings\n",
        _columns(SETTING_COLUMNS),
        f"```csv\n{SETTINGS_EXAMPLE}```\n",
        "## Entries\n",
        "Every sheet of entries may have these columns, and those of its own listed below.\n",
        _columns(COMMON_COLUMNS),
        *(_kind(k) for k in KINDS.values()),
        "## books.json\n",
        "The same in one JSON file: `values` are named like the columns of the sheet, numbers are numbers, "
        "lists are lists.\nIts JSON Schema ships with the package (`tideover/records/schemas/books.schema.json`).\n",
        f"```json\n{JSON_EXAMPLE}```\n",
        "An export holds both forms, with every entry (corrected and withdrawn ones too), in the units kept;\n"
        "either form, brought into empty books, gives the same books.\n",
        "## The round as a table\n",
        "`tideover round --csv FILE` (and *Table (CSV)* on the round's page) writes a line per hive.\n"
        "It only goes out: what was done comes back as entries.\n"
        "Lines end with CR LF; a text that a spreadsheet would take for a formula has an apostrophe before it.\n",
        _table(ROUND_COLUMNS, ("column", "what")),
        "The calendar is described in [calendar.md](calendar.md), the cards in [cards.md](cards.md).\n",
    ]
    return "\n".join(parts)


def main(argv: list[str]) -> None:
    """Write the document to the file named, or to standard output."""
    if argv:
        Path(argv[0]).write_text(document(), encoding="utf-8")
    else:
        sys.stdout.write(document())


if __name__ == "__main__":
    main(sys.argv[1:])
