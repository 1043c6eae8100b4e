"""A row's spread as a distribution that can be sampled."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # numpy is heavy; printing the book must not load it
    import numpy as np
    from numpy.typing import NDArray

Z95: Final = 1.6448536269514722
"""Standard normal deviate of the 95 % point, so low and high are the 5 % and 95 % points."""


@dataclass(frozen=True, slots=True)
class Prior:
    """A distribution with hard limits, in the unit of its row.

    ``center`` is the median (fixed, normal, lognormal) and ``spread`` the standard deviation
    (of the logarithm for lognormal); for uniform they are the middle and the half width.
    Draws outside ``floor``..``ceiling`` are put on the limit, not drawn again.
    """

    dist: str
    center: float
    spread: float = 0.0
    floor: float | None = None
    ceiling: float | None = None

    def __post_init__(self) -> None:
        """Refuse a distribution that cannot be drawn from."""
        if self.dist not in ("fixed", "normal", "lognormal", "uniform"):
            raise ValueError(f"Prior shape {self.dist!r} is not fixed, normal, lognormal or uniform.")
        if not math.isfinite(self.center) or not math.isfinite(self.spread) or self.spread < 0:
            raise ValueError(f"Prior needs finite centre and spread of 0 or more, got {self.center}, {self.spread}.")
        if self.dist == "lognormal" and self.center <= 0:
            raise ValueError(f"A lognormal prior needs a positive median, got {self.center}.")

    @property
    def median(self) -> float:
        """The 50 % point, after the hard limits."""
        return self._clip(self.center)

    @property
    def low(self) -> float:
        """The 5 % point of this distribution (uniform: its lower end), after the hard limits."""
        return self._clip(self._point(-1.0))

    @property
    def high(self) -> float:
        """The 95 % point of this distribution (uniform: its upper end), after the hard limits."""
        return self._clip(self._point(1.0))

    def sample(self, rng: np.random.Generator, n: int) -> NDArray[np.float64]:
        """Draw ``n`` values, shape (n,), from ``rng``; the same generator state gives the same draws."""
        if n < 0:
            raise ValueError(f"Number of draws must be 0 or more, got {n}.")
        draws: NDArray[np.float64]
        if self.dist == "uniform":
            draws = rng.uniform(self.center - self.spread, self.center + self.spread, n)
        elif self.dist == "normal":
            draws = rng.normal(self.center, self.spread, n)
        elif self.dist == "lognormal":
            draws = rng.lognormal(math.log(self.center), self.spread, n)
        else:
            draws = rng.uniform(self.center, self.center, n)
        if self.floor is not None or self.ceiling is not None:
            floor = -math.inf if self.floor is None else self.floor
            ceiling = math.inf if self.ceiling is None else self.ceiling
            draws.clip(floor, ceiling, out=draws)
        return draws

    def _point(self, sign: float) -> float:
        if self.dist == "uniform":
            return self.center + sign * self.spread
        if self.dist == "lognormal":
            return self.center * math.exp(sign * Z95 * self.spread)
        return self.center + sign * Z95 * self.spread

    def _clip(self, x: float) -> float:
        if self.floor is not None:
            x = max(x, self.floor)
        if self.ceiling is not None:
            x = min(x, self.ceiling)
        return x
