"""The land filter against the exact normal answer, and its coverage."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from numpy.typing import NDArray

from tideover.forage import filter as f

Floats = NDArray[np.float64]


def normal_note(x: Floats, seen: float, sd: float) -> Floats:
    """Likelihood of a normal observation."""
    return np.asarray(np.exp(-0.5 * ((x - seen) / sd) ** 2))


def exact(ground: Floats, seen: dict[int, tuple[float, float]], drift: f.Drift) -> tuple[Floats, Floats]:
    """Dense normal posterior of u by conditioning the whole AR(1) covariance."""
    n = ground.size
    lag = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
    prior = drift.log_sd**2 * drift.keep**lag
    where = np.array(sorted(seen))
    y = np.array([seen[k][0] - ground[k] for k in where])
    noise = np.diag([seen[k][1] ** 2 for k in where])
    gain = prior[:, where] @ np.linalg.inv(prior[np.ix_(where, where)] + noise)
    cov = prior - gain @ prior[where, :]
    return np.asarray(gain @ y), np.asarray(np.diag(cov))


def test_filter_equals_the_exact_normal_answer() -> None:
    """With normal notes the smoothed mean and variance are those of the dense computation."""
    rng = np.random.default_rng(3)
    ground = rng.normal(-1.5, 0.5, 120)
    seen = {5: (-2.0, 0.6), 6: (-0.5, 0.5), 40: (-3.0, 0.4), 90: (-0.2, 0.7), 119: (-1.0, 0.5)}
    drift = f.Drift(0.8, 35.0)

    track = f.run(ground, {k: partial(normal_note, seen=s, sd=sd) for k, (s, sd) in seen.items()}, drift=drift)
    mean, var = exact(ground, seen, drift)

    assert track.smooth_mean == pytest.approx(mean, abs=2e-4)
    assert track.smooth_var == pytest.approx(var, abs=2e-4)


def test_without_notes_the_prior_stands() -> None:
    """No notes: mean nought, spread the stationary one, every day."""
    track = f.run(np.zeros(60), {}, drift=f.Drift(0.7, 20.0))

    assert track.smooth_mean == pytest.approx(np.zeros(60))
    assert np.sqrt(track.smooth_var) == pytest.approx(np.full(60, 0.7))


def test_paths_have_the_smoothed_moments() -> None:
    """Sampled whole paths agree with the smoother in mean, spread and day-to-day correlation."""
    drift = f.Drift(0.8, 30.0)
    notes = {10: partial(normal_note, seen=-1.0, sd=0.4), 50: partial(normal_note, seen=1.0, sd=0.4)}
    track = f.run(np.zeros(80), notes, drift=drift)
    paths = f.sample_paths(track, 20_000, np.random.default_rng(1), drift)

    assert paths.mean(axis=0) == pytest.approx(track.smooth_mean, abs=0.03)
    assert paths.std(axis=0) == pytest.approx(np.sqrt(track.smooth_var), rel=0.03)
    assert np.corrcoef(paths[:, 70], paths[:, 71])[0, 1] > 0.9


def test_intervals_cover_what_was_drawn() -> None:
    """Truth drawn from the prior lies inside the 80 % band about 80 % of the time (400 seasons)."""
    rng = np.random.default_rng(11)
    drift = f.Drift(0.8, 35.0)
    inside, total = 0, 0
    for _ in range(400):
        u = np.empty(60)
        u[0] = rng.normal(0.0, drift.log_sd)
        for d in range(1, 60):
            u[d] = drift.keep * u[d - 1] + rng.normal(0.0, drift.step_sd)
        notes = {d: partial(normal_note, seen=u[d] + rng.normal(0.0, 0.6), sd=0.6) for d in (9, 23, 41)}
        track = f.run(np.zeros(60), notes, drift=drift)
        reach = 1.2815516 * np.sqrt(track.smooth_var)
        for d in (15, 59):
            inside += abs(u[d] - track.smooth_mean[d]) <= reach[d]
            total += 1

    # 800 draws, correlated in pairs: three binomial standard errors are about 0.05
    assert inside / total == pytest.approx(0.80, abs=0.05)


def test_drift_refuses_nonsense() -> None:
    """A land that never moves cannot be filtered."""
    with pytest.raises(ValueError, match="above zero"):
        f.Drift(0.0, 30.0)
