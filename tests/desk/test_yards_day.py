"""The day answers are for is the yards' own, and pollen hours follow the sun, not the clock."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from tideover.desk import desk as module
from tideover.desk.desk import Desk
from tideover.evidence.clock import solar_noon_hour
from tideover.evidence.seen import Place
from tideover.records import Yard, open_books


class Clock(datetime):
    """A clock that stands at 2025-08-16 03:30 UTC: still the evening before in California, past noon in Sydney."""

    @classmethod
    def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
        """The fixed moment in a zone."""
        at = datetime(2025, 8, 16, 3, 30, tzinfo=UTC)
        return at.astimezone(tz) if tz is not None else at.replace(tzinfo=None)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("zones", "day"),
    [
        (["America/Los_Angeles"], date(2025, 8, 15)),
        (["Australia/Sydney"], date(2025, 8, 16)),
        (["America/Los_Angeles", "America/Los_Angeles", "Australia/Sydney"], date(2025, 8, 15)),
    ],
)
def test_today_is_the_yards_day(zones: list[str], day: date, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At one moment it is another day in another yard; most yards decide, whatever zone the machine keeps."""
    monkeypatch.setattr(module, "datetime", Clock)
    with open_books(tmp_path / "books.db") as books:
        for k, zone in enumerate(zones):
            books.put_yard(Yard(f"y{k}", f"Yard {k}", 35.0, 0.0, zone))
        assert Desk(books).today() == day
        # a yard that moves its clock is seen at once
        books.put_yard(Yard("y0", "Yard 0", 35.0, 0.0, "Pacific/Auckland"))
        if len(zones) == 1:
            assert Desk(books).today() == date(2025, 8, 16)


def test_noon_by_the_yards_clock() -> None:
    """Sun highest at 12 + (standard meridian - longitude) / 15 h, an hour later in summer time (by hand)."""
    place = Place("y", 37.0, -120.0, timezone="America/Los_Angeles")
    assert solar_noon_hour(place, date(2025, 1, 15)) == pytest.approx(12.0)
    assert solar_noon_hour(place, date(2025, 7, 15)) == pytest.approx(13.0)
    far_west = Place("y", 43.0, -8.5, timezone="Europe/Madrid")
    assert solar_noon_hour(far_west, date(2025, 7, 15)) == pytest.approx(14.57, abs=0.01)
    assert solar_noon_hour(Place("y", 37.0, timezone="America/Los_Angeles"), date(2025, 7, 15)) == 12.0
