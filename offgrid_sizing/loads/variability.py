"""Seeded spread from day to day and hour to hour that keeps the year's energy."""

import numpy as np

from offgrid_sizing.sketch import Variability

SMALLEST = 1e-6  # a spread below this is none


def _lognormal(normal: np.ndarray, sd_frac: float) -> np.ndarray:
    """Positive factors of mean 1 and standard deviation `sd_frac` from standard normals."""
    spread = np.log1p(sd_frac**2)
    return np.exp(np.sqrt(spread) * normal - spread / 2)


def day_factors(variability: Variability, years: int) -> np.ndarray:
    """Factor on each day's energy. Shape (years, 365), mean 1 and the stated spread each year."""
    if variability.day_sd_frac < SMALLEST:
        return np.ones((years, 365))
    normal = np.random.default_rng([variability.seed, 1]).standard_normal((years, 365))
    normal -= normal.mean(axis=1, keepdims=True)
    normal /= normal.std(axis=1, keepdims=True)
    factors = _lognormal(normal, variability.day_sd_frac)
    # A finite sample of a skew law misses the stated spread a little: pull it onto it.
    factors -= factors.mean(axis=1, keepdims=True)
    factors *= variability.day_sd_frac / factors.std(axis=1, keepdims=True)
    factors = np.maximum(factors + 1.0, 0.0)
    return factors / factors.mean(axis=1, keepdims=True)


def step_factors(variability: Variability, load_w: np.ndarray) -> np.ndarray:
    """Factor on every step of a load.

    Hour noise keeps each day's energy, day noise keeps each year's.

    Parameters
    ----------
    variability : Variability
    load_w : float64 array, shape (years, n)

    Returns
    -------
    float64 array, shape (years, n)
    """
    years, steps = load_w.shape
    slots = steps // 365
    per_hour = slots // 24
    factors = np.ones((years, 365, slots))
    daily = load_w.reshape(years, 365, slots)
    if variability.hour_sd_frac >= SMALLEST:
        generator = np.random.default_rng([variability.seed, 2])
        noise = _lognormal(generator.standard_normal((years, 365, 24)), variability.hour_sd_frac)
        factors = np.repeat(noise, per_hour, axis=2)
        factors /= _ratio((daily * factors).sum(axis=2), daily.sum(axis=2))[..., None]
    days = day_factors(variability, years)
    energy = daily.sum(axis=2)
    days = days / _ratio((energy * days).sum(axis=1), energy.sum(axis=1))[:, None]
    return (factors * days[..., None]).reshape(years, steps)


def _ratio(changed: np.ndarray, original: np.ndarray) -> np.ndarray:
    """changed / original, 1 where nothing was drawn."""
    return np.divide(changed, original, out=np.ones_like(changed), where=original > 0)
