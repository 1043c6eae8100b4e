"""What comes out of a task: the mix, what holds it back, what prices do, and why there is none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from tideover.patty.kitchen.makeup import Makeup
from tideover.patty.kitchen.requirement import Pattern
from tideover.patty.kitchen.robust import Chances
from tideover.patty.kitchen.task import Task

TINY_KG: Final = 1e-6


@dataclass(frozen=True)
class Binding:
    """A limit that holds the mix back, and what a unit of it costs."""

    key: str
    says: str
    shadow: float
    """Change of the aim for one unit less strict: money per kg of mix, or kg of protein, or kg made."""
    unit: str


@dataclass(frozen=True)
class Change:
    """A limit that must give way, and how far."""

    key: str
    says: str
    level: float
    needed: float
    words: str


@dataclass(frozen=True)
class PriceLine:
    """How an ingredient's price rules the mix.

    ``enters_below``: the price under which an unused ingredient would be taken [money/kg].
    ``up`` and ``down``: its share of the mix and the mix's cost per kg when its price is a fifth higher or lower.
    """

    name: str
    price: float
    share: float
    enters_below: float | None = None
    up: tuple[float, float] | None = None
    down: tuple[float, float] | None = None


@dataclass(frozen=True)
class Mix:
    """What came out."""

    task: Task
    pattern: Pattern
    kilograms: Mapping[str, float] = field(default_factory=dict)
    bought: Mapping[str, float] = field(default_factory=dict)
    makeup: Makeup | None = None
    chances: Chances | None = None
    binding: tuple[Binding, ...] = ()
    prices: tuple[PriceLine, ...] = ()
    together: tuple[tuple[str, ...], ...] = ()
    """Groups of limits that cannot hold together, in words; empty when a mix was found."""
    helpers: tuple[str, ...] = ()
    """Ingredients any one of which would allow a mix without changing a limit."""
    changes: tuple[Change, ...] = ()
    instead: Mix | None = None
    """The mix that the changes allow."""
    budget_needed: float | None = None
    """What the cheapest mix would cost with no other limit changed, where the budget is what stands in the way."""
    notes: tuple[str, ...] = ()
    margins: Mapping[str, float] = field(default_factory=dict)

    @property
    def found(self) -> bool:
        """Whether there is a mix."""
        return self.makeup is not None

    @property
    def total_kg(self) -> float:
        """Weight of the batch [kg]."""
        return sum(self.kilograms.values())

    @property
    def spend(self) -> float:
        """Money to spend now, whole bags counted whole; what has no price is not in it."""
        price = {i.name: i.price or 0.0 for i in self.task.items}
        return sum(kg * price[name] for name, kg in self.bought.items())

    @property
    def worth(self) -> float:
        """What went into the batch at its prices, stock too."""
        price = {i.name: i.price or 0.0 for i in self.task.items}
        return sum(kg * price[name] for name, kg in self.kilograms.items())

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What is in the mix without a price: the cost is that much too low."""
        return tuple(i.name for i in self.task.items if i.price is None and self.kilograms.get(i.name, 0.0) > TINY_KG)
