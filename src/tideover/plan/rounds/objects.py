"""What is planned: days, places, visits with their open hours, and a plan that can be checked.

Times are whole minutes; those of a day count from its midnight. Costs are minutes as well: a minute of
driving costs one, and everything else is put against that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

HOME: Final = 0
"""Row and column of home in the table of drives."""


@dataclass(frozen=True)
class Visit:
    """Work at one place that is done in one go.

    ``place``: its row in the table of drives. ``minutes``: work there. ``windows``: per day number the
    minutes between which all of the work must lie; a day that is missing is closed. ``penalty``: what a
    day costs besides driving [min], 0 where missing. ``drop``: what it costs to leave the visit out [min].
    ``weight_kg``, ``room_l``: what is taken out for it; ``rest_l``: room in the freezer that what comes off may need.
    """

    id: str
    place: int
    minutes: int
    windows: Mapping[int, tuple[int, int]]
    penalty: Mapping[int, int]
    drop: int
    weight_kg: float = 0.0
    room_l: float = 0.0
    rest_l: float = 0.0

    def __post_init__(self) -> None:
        """Work takes at least a minute, windows hold it, no cost is negative."""
        if self.minutes < 1 or self.place < 1:
            raise ValueError(f"Visit {self.id} has {self.minutes} min at place {self.place}, wanted at least 1 each.")
        if self.drop < 0 or any(p < 0 for p in self.penalty.values()):
            raise ValueError(f"Visit {self.id} has a negative cost, wanted 0 or more.")
        for d, (opens, closes) in self.windows.items():
            if closes - opens < self.minutes:
                raise ValueError(
                    f"Visit {self.id} needs {self.minutes} min, but day {d} is open {closes - opens}: leave it out."
                )


@dataclass(frozen=True)
class Problem:
    """Days to drive, visits to place, and what one day can hold.

    ``days``: earliest leaving and latest return of each day out [min]. ``drive``: times between places
    [min], home first. ``trip``: cost of a day out at all [min]. ``weight_kg``, ``room_l``: what the vehicle holds;
    ``rest_l``: what the freezer has room for on one day.
    """

    days: Sequence[tuple[int, int]]
    visits: Sequence[Visit]
    drive: Sequence[Sequence[int]]
    trip: int = 0
    weight_kg: float = float("inf")
    room_l: float = float("inf")
    rest_l: float = float("inf")

    def __post_init__(self) -> None:
        """The table is square and holds every place; a day that a visit names exists."""
        n = len(self.drive)
        if any(len(row) != n for row in self.drive) or any(m < 0 for row in self.drive for m in row):
            raise ValueError("The table of drives must be square and hold no negative time.")
        for v in self.visits:
            if v.place >= n or any(not 0 <= d < len(self.days) for d in v.windows):
                raise ValueError(f"Visit {v.id} names a place or day that is not in the problem.")

    def load(self, route: Sequence[int]) -> tuple[float, float, float]:
        """Weight [kg] and room [l] of what a route takes out, and room of the rests it brings home [l]."""
        on = [self.visits[i] for i in route]
        return sum(v.weight_kg for v in on), sum(v.room_l for v in on), sum(v.rest_l for v in on)

    def fits(self, route: Sequence[int]) -> bool:
        """Whether the vehicle holds what a route takes out, and the freezer what it brings home."""
        weight, room, rest = self.load(route)
        return weight <= self.weight_kg + 1e-9 and room <= self.room_l + 1e-9 and rest <= self.rest_l + 1e-9

    def clock(self, day: int, route: Sequence[int]) -> list[int] | None:
        """When work begins at each visit of a route [min], as early as can be; None when it cannot be driven."""
        leave, back = self.days[day]
        at, now, begins = HOME, leave, []
        for i in route:
            v = self.visits[i]
            window = v.windows.get(day)
            if window is None:
                return None
            start = max(now + self.drive[at][v.place], window[0])
            if start + v.minutes > window[1]:
                return None
            begins.append(start)
            at, now = v.place, start + v.minutes
        return begins if now + self.drive[at][HOME] <= back else None

    def driving(self, route: Sequence[int]) -> int:
        """Minutes driven on a route, from home and back."""
        if not route:
            return 0
        places = [HOME, *(self.visits[i].place for i in route), HOME]
        return sum(self.drive[a][b] for a, b in pairwise(places))

    def route_cost(self, day: int, route: Sequence[int]) -> int:
        """Cost of one day's route [min]; an empty one costs nothing."""
        if not route:
            return 0
        return self.trip + self.driving(route) + sum(self.visits[i].penalty.get(day, 0) for i in route)


@dataclass(frozen=True)
class Plan:
    """Routes per day (numbers of visits in order), and who made it."""

    routes: tuple[tuple[int, ...], ...]
    how: str

    def placed(self) -> set[int]:
        """Numbers of the visits that have a day."""
        return {i for r in self.routes for i in r}

    def cost(self, problem: Problem) -> int:
        """Cost of the plan [min], what was left out counted."""
        there = self.placed()
        left = sum(v.drop for i, v in enumerate(problem.visits) if i not in there)
        return left + sum(problem.route_cost(d, r) for d, r in enumerate(self.routes))

    def faults(self, problem: Problem) -> list[str]:
        """What is wrong with the plan, one sentence each; empty for a plan that can be driven."""
        out = []
        seen: set[int] = set()
        for d, route in enumerate(self.routes):
            if seen & set(route) or len(set(route)) < len(route):
                out.append(f"Day {d} repeats a visit.")
            seen |= set(route)
            if problem.clock(d, route) is None:
                out.append(f"Day {d} cannot be driven within its hours.")
            if not problem.fits(route):
                out.append(f"Day {d} does not fit the vehicle or the freezer.")
        return out
