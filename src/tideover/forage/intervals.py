"""Exact and near-exact intervals for counts: Wilson, Clopper-Pearson, Garwood."""

from __future__ import annotations

from math import sqrt

from scipy.special import betaincinv, gammaincinv, ndtri


def _check(k: int, n: int, level: float) -> None:
    if not 0 <= k <= n or n == 0:
        raise ValueError(f"count is {k} of {n}, wanted 0 up to the number counted, and at least one counted.")
    if not 0.5 <= level < 1.0:
        raise ValueError(f"level is {level}, wanted 0.5 up to below 1.")


def wilson(k: int, n: int, level: float = 0.95) -> tuple[float, float]:
    """Wilson 1927 interval for a share, ``k`` of ``n``."""
    _check(k, n, level)
    z = float(ndtri(0.5 + level / 2.0))
    centre = (k + z * z / 2.0) / (n + z * z)
    half = z / (n + z * z) * sqrt(k * (n - k) / n + z * z / 4.0)
    # at the ends the bound is exact, where rounding would leave a hair
    return (0.0 if k == 0 else centre - half), (1.0 if k == n else centre + half)


def clopper_pearson(k: int, n: int, level: float = 0.95) -> tuple[float, float]:
    """Clopper-Pearson 1934 exact interval for a share, ``k`` of ``n``."""
    _check(k, n, level)
    tail = (1.0 - level) / 2.0
    low = 0.0 if k == 0 else float(betaincinv(k, n - k + 1, tail))
    high = 1.0 if k == n else float(betaincinv(k + 1, n - k, 1.0 - tail))
    return low, high


def garwood(k: int, level: float = 0.95) -> tuple[float, float]:
    """Garwood 1936 exact interval for a Poisson mean behind a count ``k``."""
    if k < 0:
        raise ValueError(f"count is {k}, wanted zero or more.")
    tail = (1.0 - level) / 2.0
    low = 0.0 if k == 0 else float(gammaincinv(k, tail))
    return low, float(gammaincinv(k + 1, 1.0 - tail))
