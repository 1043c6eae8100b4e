"""Rows that are wrong for the same reason are told once."""

from __future__ import annotations

import json

from tideover.forage.files import gather, read


def test_a_column_in_the_wrong_unit_is_one_trouble() -> None:
    """Thirty rows of Fahrenheit and one cell that is no number: two troubles, rows and numbers in the first."""
    rows = [f"2025-07-{d:02d},95,60,0" for d in range(1, 31)]
    rows[4] = "2025-07-05,95,sixty,0"
    made = gather(read("\n".join(["date,temp_max_c,temp_min_c,rain_mm", *rows])).troubles)
    told = {(t.column, t.rows, t.count) for t in made}
    assert ("temp_max_c", "lines 2-31", 30) in told
    assert ("temp_min_c", "", 1) in told
    assert all("Fahrenheit" in t.remedy for t in made if t.column == "temp_max_c")


def test_rows_that_do_not_follow_one_another_are_named_and_counted() -> None:
    """The first three runs by name, the rest by number."""
    rows = [f"2025-07-{d:02d},{'x' if d % 3 == 1 else 30},16,0" for d in range(1, 31)]
    (one,) = gather(read("\n".join(["date,temp_max_c,temp_min_c,rain_mm", *rows])).troubles)
    assert (one.rows, one.count, one.line) == ("lines 2, 5, 8 and 7 more", 10, 2)


def test_days_of_a_service_are_named_by_their_dates() -> None:
    """Its answer has no lines."""
    days = [f"2025-07-{d:02d}" for d in range(1, 6)]
    daily = {"time": days, "temperature_2m_max": [99.0] * 5, "temperature_2m_min": [15.0] * 5}
    units = {"temperature_2m_max": "°C", "temperature_2m_min": "°C"}
    made = gather(read(json.dumps({"latitude": 1.0, "longitude": 2.0, "daily_units": units, "daily": daily})).troubles)
    assert [(t.column, t.rows, t.count) for t in made] == [("temp_max_c", "days 2025-07-01 to 2025-07-05", 5)]
