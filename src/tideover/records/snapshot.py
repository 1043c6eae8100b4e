"""The tables as they are after all migrations, kept as text so that a change is seen in review.

Run ``python -m tideover.records.snapshot`` after adding a migration.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

from sqlalchemy import text

from tideover.records.store import open_books

FILE: Final = Path(__file__).parent / "migrations" / "schema.sql"


def schema_text() -> str:
    """Return the SQL of fresh SQLite books, by name."""
    q = "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY type DESC, name"
    with open_books(":memory:") as books, books.reading() as c:
        found = [str(row[0]) for row in c.execute(text(q))]
    tidy = ["\n".join(line.rstrip().replace("\t", "  ") for line in sql.splitlines() if line.strip()) for sql in found]
    return ";\n\n".join(tidy) + ";\n"


def main() -> None:
    """Write the snapshot anew."""
    FILE.write_text(schema_text(), encoding="utf-8")
    sys.stdout.write(f"{FILE.name} written\n")


if __name__ == "__main__":
    main()
