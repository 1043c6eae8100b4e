"""A day as an option: YYYY-MM-DD, and a sentence when it is none."""

from __future__ import annotations

from datetime import date, datetime, time

import click


class Day(click.ParamType[datetime]):
    """A day; commands take its date."""

    name = "day"

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """What stands for the value in help."""
        return "YYYY-MM-DD"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Read a day; click's own error, with what is wanted, when it is none."""
        if isinstance(value, datetime):
            return value
        try:
            return datetime.combine(date.fromisoformat(str(value).strip()), time())
        except ValueError:
            self.fail(f"{value!r} is not a day; write it as YYYY-MM-DD, such as 2031-07-14", param, ctx)


DAY = Day()
