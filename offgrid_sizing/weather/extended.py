"""One typical year, or a few recorded ones, extended to many synthetic years around its means."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from offgrid_sizing.weather.daily import (
    MOST_SLOW,
    QUICK_FACTOR,
    TOP,
    Days,
    daily_clearness,
    normal_scores,
)
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.sun import clear_sky, daily_sum, linke_turbidity, sun_path
from offgrid_sizing.weather.synthesis import BEAM_CEILING, Sky, clear_shares, synthetic_years
from offgrid_sizing.weather.yearly import single_year_spread
from offgrid_sizing.words import said, sentence, together
from offgrid_sizing.year_days import MONTH_EDGES, MONTH_OF_DAY, by_day, monthly_mean

DARKEST_SHARE = 0.05  # of a step's light is diffuse at least: common practice, no source
_TRIAL_YEARS, _TRIAL_SEED, _HALVINGS = 120, 1, 8
_ROUNDS = 12
LEAST_CLEAR_WH = 100.0  # a day with less clear-sky energy on a square metre says nothing
NEIGHBOURS = 15  # days around a month that count as its own: one year's month alone has few
LEAST_DAYS = 20
QUICK_RANGE = (0.25, 2.0)
# Record lengths from which a record's own years say more of their spread than the latitude does:
# the published spread counts as much as so many years. Own choice.
PRIOR_YEARS = 8


def _months(values: np.ndarray, step_h: float) -> np.ndarray:
    """Monthly means of a series' daily sums over all years, shape (12,)."""
    return monthly_mean(daily_sum(values, step_h)).reshape(-1, 12).mean(0)


def _over_month(factor: np.ndarray, steps_per_day: int) -> np.ndarray:
    """Twelve values as a series of a year, shape (n,)."""
    return np.repeat(factor[MONTH_OF_DAY], steps_per_day)


def spread_around(weather: Weather) -> float:
    """How far single years' irradiation lies from the mean of many, as a share of it.

    The published spread of the latitude (`yearly.single_year_spread`); recorded years count beside
    it by their number, as a sample does beside a prior of `PRIOR_YEARS` (variances weighted).
    """
    prior = single_year_spread(weather.latitude_deg)
    count = weather.recorded_years
    if count < 2:
        return prior
    sums = weather.ghi.sum(1)
    own = float(np.var(sums / sums.mean(), ddof=1))
    weighted = (PRIOR_YEARS * prior**2 + (count - 1) * own) / (PRIOR_YEARS + count - 1)
    return float(np.sqrt(weighted))


def sky_of(weather: Weather) -> Sky:
    """The sky whose long-term monthly means are those of a weather's years."""
    offset_h = weather.time[0].utcoffset().total_seconds() / 3600
    latitude, longitude = weather.latitude_deg, weather.longitude_deg
    sun = sun_path(latitude, longitude, weather.step_h, offset_h)
    turbidity = linke_turbidity(latitude, longitude)
    clear_ghi, clear_dni = clear_sky(sun, weather.elevation_m, turbidity)
    above = _months(sun.extra_horizontal, weather.step_h)
    light = _months(weather.ghi, weather.step_h)
    warmth = _months(weather.temp_air, weather.step_h) / 24
    clearness = np.where(above > 20.0, light / np.maximum(above, 20.0), 0.4)
    sky = Sky(sun, clear_ghi, clear_dni, np.clip(clearness, 0.03, 0.95), warmth)
    return replace(sky, days=_days_of(sky, _shares(sky, weather.ghi), spread_around(weather)))


def _shares(sky: Sky, ghi: np.ndarray) -> np.ndarray:
    """Each day's share of the clear sky, shape (years, 365), NaN where there is hardly any."""
    clear_day = daily_sum(sky.clear_ghi, sky.sun.step_h)
    share = daily_sum(ghi, sky.sun.step_h) / np.maximum(clear_day, LEAST_CLEAR_WH)
    return np.where(clear_day >= LEAST_CLEAR_WH, np.minimum(share, TOP), np.nan)


def _own_days(share: np.ndarray) -> tuple[np.ndarray, ...] | None:
    """Sorted shares of each month's days and those half a month around it; None in the dark."""
    months = []
    for first, end in pairwise(MONTH_EDGES):
        days = share[:, np.arange(first - NEIGHBOURS, end + NEIGHBOURS) % 365].ravel()
        months.append(np.sort(days[np.isfinite(days)]))
    return tuple(months) if min(map(len, months)) >= LEAST_DAYS else None


def lag_one(share: np.ndarray) -> float:
    """Correlation of successive days' departures from their month's mean, all years together."""
    edges = MONTH_EDGES[:-1]
    lit = np.isfinite(share)
    count = np.maximum(np.add.reduceat(lit, edges, axis=-1), 1)
    mean = np.add.reduceat(np.where(lit, share, 0.0), edges, axis=-1) / count
    off = share - mean[:, MONTH_OF_DAY]
    first, second = off[:, :-1].ravel(), off[:, 1:].ravel()
    both = np.isfinite(first) & np.isfinite(second)
    return float(np.corrcoef(first[both], second[both])[0, 1])


def _trial(sky: Sky, days: Days) -> np.ndarray:
    """Daily shares of many years drawn so, shape (years, 365)."""
    wanted, clear_day = clear_shares(sky)
    scores = normal_scores(np.random.default_rng(_TRIAL_SEED), _TRIAL_YEARS, sky.clearness, days)
    return daily_clearness(scores, wanted, clear_day, days.own)


def _yearly_spread(sky: Sky, days: Days) -> float:
    """Spread of whole years' irradiation that such days make, as a share of its mean."""
    sums = _trial(sky, days) @ daily_sum(sky.clear_ghi, sky.sun.step_h)
    return float(np.std(sums, ddof=1) / np.mean(sums))


def _days_of(sky: Sky, share: np.ndarray, spread: float) -> Days:
    """Days as the record has them that follow each other as its own do, in years that differ so.

    The quick part is scaled by the ratio of both correlations, the slow part found by halving its
    range; both as near as their limits allow.
    """
    days = Days(own=_own_days(share))
    wanted, drawn = lag_one(share), lag_one(_trial(sky, days))
    factor = QUICK_FACTOR * np.clip(wanted / drawn, *QUICK_RANGE)
    low, high = 0.0, MOST_SLOW
    for _ in range(_HALVINGS):
        days = replace(days, slow_share=(low + high) / 2, quick_factor=float(factor))
        if _yearly_spread(sky, days) < spread:
            low = days.slow_share
        else:
            high = days.slow_share
    return days


def _with_beam(
    sky: Sky, ghi: np.ndarray, dni: np.ndarray, beam_wh: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Beam and diffuse with the beam's monthly means on the horizontal, as far as the sky allows.

    Each month's beam is scaled; no step's beam exceeds the ceiling of the clear sky's, nor leaves
    less than `DARKEST_SHARE` of its light diffuse. GHI = DHI + DNI·cos z holds exactly.
    """
    sun = sky.sun
    cosine = np.where(sun.up, sun.cos_zenith, 0.0)
    ceiling = np.minimum(
        BEAM_CEILING * sky.clear_dni,
        np.divide((1 - DARKEST_SHARE) * ghi, cosine, out=np.zeros_like(ghi), where=cosine > 0),
    )
    ceiling = np.maximum(ceiling, 0.0)
    scale = np.ones(12)
    for _ in range(_ROUNDS):
        now = np.minimum(dni * _over_month(scale, sun.steps_per_day), ceiling)
        have = _months(now * cosine, sun.step_h)
        ratio = np.where(have > 1.0, beam_wh / np.maximum(have, 1.0), 1.0)
        if np.abs(ratio - 1).max() < 1e-4:
            break
        scale = np.clip(scale * ratio, 0.0, 20.0)
    return now, ghi - now * cosine


def _with_range(temp_air: np.ndarray, weather: Weather) -> np.ndarray:
    """Air temperature with the daily range of each month that the source's days have."""

    def ranges(values: np.ndarray) -> np.ndarray:
        return monthly_mean(np.ptp(by_day(values, weather.step_h), axis=-1)).mean(0)

    factor = ranges(weather.temp_air) / np.maximum(ranges(temp_air), 0.1)
    days = by_day(temp_air, weather.step_h)
    mean = days.mean(-1, keepdims=True)
    return (mean + (days - mean) * factor[MONTH_OF_DAY][:, None]).reshape(temp_air.shape)


def _mean_day(values: np.ndarray, step_h: float) -> np.ndarray:
    """Each month's mean course of a day over all years, laid out over the year, shape (n,)."""
    days = by_day(values, step_h).mean(0)
    months = np.stack([days[a:b].mean(0) for a, b in pairwise(MONTH_EDGES)])
    return months[MONTH_OF_DAY].ravel()


def extended(weather: Weather, years: int, seed: int) -> Weather:
    """Synthetic years around a weather's own long-term monthly means.

    Kept are the monthly means of global and beam irradiation and of air temperature, its daily
    range, how often days of each clearness come, how much a day resembles the one before, and the
    mean course of the wind; drawn, as for the built-in climate (`synthesis`), are the order of
    days, the light within a day, and how years differ (`spread_around`).

    Parameters
    ----------
    weather : Weather
        Its own years, one or several.
    years : int
    seed : int

    Returns
    -------
    Weather
        Of the same kind, band, reserves and cold limit; its years are named "synthetic …".
    """
    sky = sky_of(weather)
    ghi, dni, _, temp_air = synthetic_years(sky, years, seed)
    cosine = np.where(sky.sun.up, sky.sun.cos_zenith, 0.0)
    beam = _months(weather.dni * cosine, weather.step_h)
    dni, dhi = _with_beam(sky, ghi, dni, beam)
    left_behind = {sentence("weather.told.typical"), sentence("weather.told.one_year")}
    told = sentence("weather.told.extended", spread=spread_around(weather))
    wind = _mean_day(weather.wind_speed, weather.step_h)
    return replace(
        weather,
        ghi=ghi,
        dni=dni,
        dhi=dhi,
        temp_air=_with_range(temp_air, weather),
        wind_speed=np.broadcast_to(wind, ghi.shape).copy(),
        provenance=together(
            said("weather.from.extended", years=years, seed=seed), weather.provenance
        ),
        caveats=(told, *(one for one in weather.caveats if one not in left_behind)),
        year_names=tuple(sentence("weather.year.synthetic", number=k + 1) for k in range(years)),
        extended_from=weather.recorded_years,
    )
