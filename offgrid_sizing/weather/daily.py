"""Synthetic days: how clear each day is, how warm, and how days and years hang together."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.year_days import DAYS_IN_MONTH, MONTH_EDGES, MONTH_OF_DAY, monthly_mean

PROBABILITIES = np.array((0.01, 0.04, 0.1, 0.2, 0.35, 0.55, 0.75, 0.9, 0.99))
# Mean of daily clearness over clear-sky clearness in a month, then its quantiles at the
# probabilities above. Own table from typical-year files of 1,139 sites.
QUANTILES = np.array(
    (
        (0.397, 0.198, 0.203, 0.213, 0.233, 0.279, 0.368, 0.517, 0.690, 0.814),
        (0.440, 0.203, 0.211, 0.227, 0.254, 0.309, 0.414, 0.579, 0.756, 0.871),
        (0.488, 0.210, 0.220, 0.242, 0.277, 0.343, 0.472, 0.663, 0.823, 0.917),
        (0.535, 0.218, 0.230, 0.257, 0.301, 0.386, 0.541, 0.739, 0.870, 0.943),
        (0.583, 0.230, 0.244, 0.279, 0.335, 0.439, 0.614, 0.799, 0.906, 0.964),
        (0.630, 0.240, 0.259, 0.305, 0.380, 0.506, 0.688, 0.847, 0.932, 0.978),
        (0.679, 0.254, 0.280, 0.337, 0.432, 0.579, 0.758, 0.887, 0.953, 0.990),
        (0.727, 0.276, 0.309, 0.384, 0.498, 0.655, 0.817, 0.918, 0.969, 1.000),
        (0.773, 0.307, 0.351, 0.448, 0.579, 0.733, 0.864, 0.939, 0.979, 1.005),
        (0.818, 0.348, 0.405, 0.525, 0.667, 0.804, 0.902, 0.957, 0.988, 1.011),
        (0.864, 0.403, 0.475, 0.617, 0.756, 0.867, 0.937, 0.975, 0.999, 1.017),
        (0.914, 0.491, 0.578, 0.729, 0.846, 0.925, 0.972, 0.997, 1.014, 1.028),
        (0.961, 0.604, 0.694, 0.829, 0.919, 0.974, 1.003, 1.021, 1.034, 1.045),
        (1.004, 0.726, 0.809, 0.916, 0.977, 1.011, 1.031, 1.045, 1.058, 1.068),
    )
)
TOP = 1.12  # no day is clearer than this multiple of the clear sky
# Share of the day-to-day variance that lasts for months, and how long it lasts. Chosen so that
# totals of whole years vary by 3 to 4 % (one standard deviation), inside the 2 to 6 % of station
# records (Gueymard & Wilcox 2011, Solar Energy 85, quoted from memory); without it by 2 %.
SLOW_SHARE = 0.05
SLOW_DAYS = 60.0
# The slow part adds to the correlation of successive days: the quick part gives up a tenth, which
# brings both together to that of 24 recorded and typical years (0.237 against 0.234).
QUICK_FACTOR = 0.9
MOST_SLOW = 0.3  # beyond it the days of a month would hardly differ from each other


@dataclass(frozen=True, eq=False)
class Days:
    """How the days of a place vary around its monthly means.

    Parameters
    ----------
    slow_share : float
        Share of their variance that lasts for months.
    quick_factor : float
        How much of the published correlation of successive days the quick part keeps.
    own : tuple of twelve arrays, optional
        Sorted shares of the clear sky that days of each month had in a record; the table's
        quantiles where there is none.
    """

    slow_share: float = SLOW_SHARE
    quick_factor: float = QUICK_FACTOR
    own: tuple[np.ndarray, ...] | None = None


AS_A_RULE = Days()


def _ar1(noise: np.ndarray, rho: float) -> np.ndarray:
    """Unit-variance first-order autoregression along the last axis, started in its own state."""
    scaled = noise * np.sqrt(1 - rho**2)
    scaled[..., 0] = noise[..., 0]
    return recursed(scaled, np.full(noise.shape[-1], rho))


def _monthly_ar1(noise: np.ndarray, rho: np.ndarray) -> np.ndarray:
    """The same with a coefficient of its own in each month."""
    rho = rho[MONTH_OF_DAY]
    scaled = noise * np.sqrt(1 - rho**2)
    scaled[:, 0] = noise[:, 0]
    return recursed(scaled, rho)


def recursed(steps: np.ndarray, rho: np.ndarray) -> np.ndarray:
    """Each value plus its own `rho` times the one before, along the last axis.

    A loop over days, all years at once: a filter of a library is no quicker over so few, and the
    first page would wait a third of a second for that library to load.
    """
    out = np.ascontiguousarray(np.moveaxis(steps, -1, 0))
    for now in range(1, len(out)):
        out[now] += rho[now] * out[now - 1]
    return np.moveaxis(out, 0, -1)


def normal_scores(
    rng: np.random.Generator, years: int, clearness: np.ndarray, days: Days = AS_A_RULE
) -> np.ndarray:
    """How clear each day is in standard normal scores, shape (years, 365).

    Day to day a first-order autoregression whose coefficient grows with the month's clearness K as
    0.13 + 0.41 K (0.15 to 0.5), plus a slow part that makes months and years differ.
    """
    rho = days.quick_factor * np.clip(0.13 + 0.41 * clearness, 0.15, 0.5)
    quick = _monthly_ar1(rng.standard_normal((years, 365)), rho)
    slow = _ar1(rng.standard_normal((years, 365)), np.exp(-1 / SLOW_DAYS))
    return np.sqrt(1 - days.slow_share) * quick + np.sqrt(days.slow_share) * slow


def _quantile(mean: float, probability: np.ndarray) -> np.ndarray:
    """Daily clear-sky clearness at these probabilities in a month of this mean."""
    row = [np.interp(mean, QUANTILES[:, 0], QUANTILES[:, 1 + k]) for k in range(9)]
    return np.interp(probability, PROBABILITIES, row)


def _own_quantile(shares: np.ndarray, probability: np.ndarray) -> np.ndarray:
    """The same from the sorted days of a record."""
    places = (np.arange(len(shares)) + 0.5) / len(shares)
    return np.interp(probability, places, shares)


def _plotting_positions(scores: np.ndarray) -> np.ndarray:
    """Probability of each day within all years' days of its month, by rank.

    Ranks, not the normal integral: together the years then follow the month's distribution
    exactly, however few they are, while single years still differ.
    """
    out = np.empty_like(scores)
    for month in range(12):
        days = slice(MONTH_EDGES[month], MONTH_EDGES[month + 1])
        flat = scores[:, days].ravel()
        ranks = np.empty(flat.size)
        ranks[np.argsort(flat)] = np.arange(flat.size)
        out[:, days] = ((ranks + 0.5) / flat.size).reshape(len(scores), -1)
    return out


def daily_clearness(
    scores: np.ndarray,
    month_mean: np.ndarray,
    day_weight: np.ndarray,
    own: tuple[np.ndarray, ...] | None = None,
) -> np.ndarray:
    """Each day's share of the clear sky, shape (years, 365).

    Parameters
    ----------
    scores : array, shape (years, 365)
    month_mean : array, shape (12,)
        Wanted mean of GHI over clear-sky GHI.
    day_weight : array, shape (365,)
        Clear-sky energy of each day, so that the month's energy, not its days' mean, is met.
    own : tuple of twelve arrays, optional
        A record's days, as `Days` has them.

    Notes
    -----
    Quantiles from the table or from the record, then a power under the top, TOP·(q/TOP)^p, with p
    such that the energy of each month over all years is met (Newton's method; the sum falls with
    p).
    """
    probability = _plotting_positions(scores)
    raw = np.empty_like(scores)
    for month in range(12):
        days = slice(MONTH_EDGES[month], MONTH_EDGES[month + 1])
        raw[:, days] = (
            _quantile(month_mean[month], probability[:, days])
            if own is None
            else _own_quantile(own[month], probability[:, days])
        )
    depth = np.log(np.minimum(raw, 0.999 * TOP) / TOP)
    weight = np.maximum(day_weight, 1e-6)
    total = np.add.reduceat(weight, MONTH_EDGES[:-1]) * len(scores)
    power = np.ones(12)
    for _ in range(8):
        share = np.exp(power[MONTH_OF_DAY] * depth) * weight
        value = np.add.reduceat(share.sum(0), MONTH_EDGES[:-1]) / total
        slope = np.add.reduceat((share * depth).sum(0), MONTH_EDGES[:-1]) / total
        power = np.maximum(power - (value - month_mean / TOP) / slope, 0.02)
    return TOP * np.exp(power[MONTH_OF_DAY] * depth)


def _middles_matrix() -> np.ndarray:
    middle = (MONTH_EDGES[:-1] + MONTH_EDGES[1:]) / 2
    day = np.arange(365) + 0.5
    columns = [np.interp(day, middle, row, period=365) for row in np.eye(12)]
    return np.stack([np.add.reduceat(c, MONTH_EDGES[:-1]) / DAYS_IN_MONTH for c in columns], 1)


def smooth_year(month_mean: np.ndarray) -> np.ndarray:
    """365 days on straight lines between mid-months whose monthly means are exactly these."""
    middle = (MONTH_EDGES[:-1] + MONTH_EDGES[1:]) / 2
    knots = np.linalg.solve(_middles_matrix(), month_mean)
    return np.interp(np.arange(365) + 0.5, middle, knots, period=365)


def daily_temperature(
    rng: np.random.Generator, years: int, temperature_c: np.ndarray, clearness: np.ndarray
) -> np.ndarray:
    """Daily mean air temperature, shape (years, 365). [°C]

    Anomaly: first-order autoregression 0.70 with standard deviation
    2.49 + 3.39 K − 2.145 T/20 + 0.109 A/30 (K the clearness, T the month's mean, A the annual
    swing of monthly means), own fit to typical-year files. All years together keep the monthly
    means exactly.
    """
    swing = np.ptp(temperature_c)
    spread = 2.49 + 3.39 * clearness - 2.145 * temperature_c / 20 + 0.109 * swing / 30
    anomaly = _ar1(rng.standard_normal((years, 365)), 0.70)
    anomaly *= np.maximum(spread, 0.5)[MONTH_OF_DAY]
    anomaly -= smooth_year(monthly_mean(anomaly.mean(0)))
    return smooth_year(temperature_c) + anomaly


def temperature_range(temperature_c: np.ndarray, clearness: np.ndarray) -> np.ndarray:
    """Mean daily range of each month, own fit as above, at least 2 K. [K]"""
    swing = np.ptp(temperature_c)
    return np.maximum(
        -1.75 + 18.83 * clearness - 0.0062 * temperature_c / 20 + 4.58 * swing / 30, 2.0
    )
