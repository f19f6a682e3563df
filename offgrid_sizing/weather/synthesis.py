"""Synthetic hours (or shorter steps) of radiation and temperature within known days."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.weather.daily import (
    AS_A_RULE,
    Days,
    daily_clearness,
    daily_temperature,
    normal_scores,
    temperature_range,
)
from offgrid_sizing.weather.sun import SunPath, daily_sum
from offgrid_sizing.year_days import MONTH_OF_DAY, monthly_mean

CEILING = 1.05  # single steps stay under this multiple of the clear sky
BEAM_CEILING = 1.1  # and the beam under this multiple of the clear sky's


@dataclass(frozen=True)
class DiffuseSplit:
    """Coefficients of the exponent by which `diffuse_fraction` splits global irradiance."""

    constant: float
    kt: float
    solar_hour: float
    elevation_deg: float
    kt_day: float
    lasting: float


# B. Ridley, J. Boland, P. Lauret, Modelling of diffuse solar fraction with multiple predictors,
# Renewable Energy 35 (2010) 478-483, coefficients from memory. For hours that were recorded.
RECORDED_HOURS = DiffuseSplit(-5.38, 6.63, 0.006, -0.007, 1.75, 1.31)
# The same form for hours drawn here, own fit (`data/build/fit_diffuse.py`; places and errors in
# `data/README.md`). Drawn days are never as bright as the few clear ones of a dark northern winter
# really are: with the coefficients for recorded hours their beam comes out too small.
SYNTHETIC_HOURS = DiffuseSplit(-3.807, 5.5786, 0.0, -0.022, 1.75, 1.31)


@dataclass(frozen=True, eq=False)
class Sky:
    """What a place's sky is drawn from.

    `clear_ghi`, `clear_dni` have shape (n,) [W/m²]; `clearness` (K = H/H0) and `temperature_c`
    are twelve monthly means; `days` says how days vary around them.
    """

    sun: SunPath
    clear_ghi: np.ndarray
    clear_dni: np.ndarray
    clearness: np.ndarray
    temperature_c: np.ndarray
    days: Days = AS_A_RULE


@dataclass(frozen=True, eq=False)
class _Day:
    """Arrays over (365, slots): only the slots of the day that are lit at some time of year."""

    first: int
    sine: np.ndarray
    lit: np.ndarray
    extra: np.ndarray
    clear: np.ndarray


def _lit_slots(sky: Sky) -> _Day:
    shape = (365, sky.sun.steps_per_day)
    up = sky.sun.up.reshape(shape)
    slots = np.flatnonzero(up.any(0))
    first, end = slots[0], slots[-1] + 1  # the sun rises at every place at some time of year

    def cut(values):
        return np.ascontiguousarray(values.reshape(shape)[:, first:end])

    return _Day(
        first,
        np.maximum(cut(sky.sun.cos_zenith), 0.01),
        cut(sky.sun.up),
        cut(sky.sun.extra_horizontal),
        cut(sky.clear_ghi),
    )


def _noise(rng: np.random.Generator, kt: np.ndarray, slots: int, step_h: float) -> np.ndarray:
    """Unit-variance autoregressive noise within each day, shape (years, 365, slots).

    Coefficient of an hour 0.38 + 0.06 cos(7.4 Kt − 2.5) (Aguiar & Collares-Pereira 1992); a
    shorter step takes the matching root.
    """
    phi = (0.38 + 0.06 * np.cos(7.4 * kt - 2.5)) ** step_h
    fresh = np.sqrt(1 - phi**2)
    noise = rng.standard_normal((*kt.shape, slots))
    for slot in range(1, slots):
        noise[..., slot] = phi * noise[..., slot - 1] + fresh * noise[..., slot]
    return noise


def _with_total(raw: np.ndarray, ceiling: np.ndarray, total: np.ndarray) -> np.ndarray:
    """Scale each day down, or fill it up under its ceiling, to its total exactly."""
    has = raw.sum(-1)
    down = np.minimum(total / np.maximum(has, 1e-9), 1.0)
    raw *= down[..., None]
    missing = np.maximum(total - has, 0.0)
    room = ceiling.sum(-1) - has
    fill = np.minimum(missing / np.maximum(room, 1e-9), 1.0)
    raw += (ceiling - raw) * fill[..., None]
    return raw


def step_ghi(rng: np.random.Generator, sky: Sky, day: _Day, share: np.ndarray) -> np.ndarray:
    """Global irradiance of the lit slots, shape (years, 365, slots). [W/m²]

    Parameters
    ----------
    share : array, shape (years, 365)
        Each day's GHI over clear-sky GHI.

    Notes
    -----
    Mean clearness of a step and its noise after Aguiar & Collares-Pereira; the noise is damped on
    dark days, steps stay under 1.05 × clear sky, each day's total is kept exactly.

    References
    ----------
    R. Aguiar, M. Collares-Pereira, TAG: a time-dependent, autoregressive, Gaussian model for
    generating synthetic hourly radiation, Solar Energy 49 (1992) 167-174.
    """
    extra_day, clear_day = day.extra.sum(1), day.clear.sum(1)
    kt = share * clear_day / np.maximum(extra_day, 1e-6)
    level = -0.19 + 1.12 * kt + 0.24 * np.exp(-8 * kt)
    depth = 0.32 - 1.6 * (kt - 0.5) ** 2
    thickness = 0.19 + 2.27 * kt**2 - 2.51 * kt**3
    spread = 0.14 * np.exp(-20 * (kt - 0.35) ** 2) * np.clip(0.3 + 3 * (kt - 0.15), 0.3, 1.1)
    growth = 3 * (kt - 0.45) ** 2 + 16 * kt**5
    raw = _noise(rng, kt, day.sine.shape[1], sky.sun.step_h)
    raw *= spread[..., None] * np.exp(np.minimum(growth[..., None] * (1 - day.sine), 3.0))
    raw += level[..., None]
    raw += depth[..., None] * np.exp(-thickness[..., None] / day.sine)
    raw *= day.extra
    ceiling = np.maximum(share, CEILING)[..., None] * day.clear
    np.clip(raw, 0.02 * day.extra, ceiling, out=raw)
    return _with_total(raw, ceiling, share * clear_day)


def diffuse_fraction(
    kt: np.ndarray,
    kt_day: np.ndarray,
    solar_hour: np.ndarray,
    elevation_deg: np.ndarray,
    by: DiffuseSplit = RECORDED_HOURS,
) -> np.ndarray:
    """Diffuse share of global irradiance, from clearness, hour, height and persistence.

    Parameters
    ----------
    kt : array, shape (..., slots)
        Clearness of each step along the day, 0 at night.
    kt_day : array, shape (..., 1)
    solar_hour, elevation_deg : arrays that broadcast with `kt`
    by : DiffuseSplit
        Coefficients; their sources stand beside them.
    """
    before = np.concatenate([kt[..., :1] * 0, kt[..., :-1]], -1)
    after = np.concatenate([kt[..., 1:], kt[..., :1] * 0], -1)
    lasting = np.where(before <= 0, after, np.where(after <= 0, before, (before + after) / 2))
    power = (
        by.constant
        + by.kt * kt
        + by.solar_hour * solar_hour
        + by.elevation_deg * elevation_deg
        + by.kt_day * kt_day
        + by.lasting * lasting
    )
    return 1 / (1 + np.exp(power))


def split_beam(
    sky: Sky, ghi: np.ndarray, by: DiffuseSplit = RECORDED_HOURS
) -> tuple[np.ndarray, np.ndarray]:
    """Beam normal and diffuse from global irradiance; GHI = DHI + DNI·cos z holds exactly.

    Parameters and results have shape (years, n). [W/m²]
    """
    sun = sky.sun
    shape = (len(ghi), 365, sun.steps_per_day)
    extra = np.where(sun.up, sun.extra_horizontal, np.inf).reshape(shape[1:])
    by_day = ghi.reshape(shape)
    lit = np.where(np.isinf(extra), 0, extra).sum(-1)
    kt_day = by_day.sum(-1) / np.maximum(lit, 1e-6)
    fraction = diffuse_fraction(
        by_day / extra,
        kt_day[..., None],
        sun.solar_hour.reshape(shape[1:]),
        sun.elevation_deg().reshape(shape[1:]),
        by,
    ).reshape(ghi.shape)
    cosine = np.where(sun.up, sun.cos_zenith, np.inf)
    dni = np.minimum(ghi * (1 - fraction) / cosine, BEAM_CEILING * sky.clear_dni)
    return dni, ghi - dni * np.where(sun.up, sun.cos_zenith, 0.0)


def diurnal_shape(sun: SunPath) -> np.ndarray:
    """Temperature through the day, mean 0 and range 1, shape (365, steps per day).

    Lowest at sunrise, highest at 15 h solar time, half cosines between.
    """
    hour = sun.solar_hour.reshape(365, -1)
    phi = np.radians(sun.latitude_deg)
    declination = sun.declination_rad.reshape(365, -1)[:, sun.steps_per_day // 2]
    sunset = np.arccos(np.clip(-np.tan(phi) * np.tan(declination), -1, 1))
    sunrise = np.clip(12 - np.degrees(sunset) / 15, 2.0, 10.0)[:, None]
    rising = (hour - sunrise) / (15 - sunrise)
    falling = ((hour - 15) % 24) / (24 - 15 + sunrise)
    wave = np.where(
        (hour >= sunrise) & (hour < 15), -np.cos(np.pi * rising), np.cos(np.pi * falling)
    )
    return (wave - wave.mean(1, keepdims=True)) / 2


def clear_shares(sky: Sky) -> tuple[np.ndarray, np.ndarray]:
    """Wanted monthly means of GHI over clear-sky GHI, shape (12,), and each day's clear energy."""
    step_h = sky.sun.step_h
    above = monthly_mean(daily_sum(sky.sun.extra_horizontal, step_h))
    clear_day = daily_sum(sky.clear_ghi, step_h)
    clear = monthly_mean(clear_day)
    lit = clear > 1.0
    return np.where(lit, sky.clearness * above / np.where(lit, clear, 1), 0.7), clear_day


def synthetic_years(
    sky: Sky, years: int, seed: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Any number of seeded years of ghi, dni, dhi and temp_air, each of shape (years, n).

    The same sky, number of years and seed give the same numbers.
    """
    rng = np.random.default_rng(seed)
    sun, day = sky.sun, _lit_slots(sky)
    wanted, clear_day = clear_shares(sky)
    scores = normal_scores(rng, years, sky.clearness, sky.days)
    share = daily_clearness(scores, wanted, clear_day, sky.days.own)
    warm = daily_temperature(rng, years, sky.temperature_c, sky.clearness)
    swing = temperature_range(sky.temperature_c, sky.clearness)[MONTH_OF_DAY] * np.clip(
        share / wanted[MONTH_OF_DAY], 0.3, 1.6
    )
    shape = (years, 365, sun.steps_per_day)
    ghi: np.ndarray = np.zeros(shape)
    lit_slots = slice(day.first, day.first + day.sine.shape[1])
    ghi[..., lit_slots] = np.where(day.lit, step_ghi(rng, sky, day, share), 0.0)
    ghi = ghi.reshape(years, -1)
    temp_air = (warm[..., None] + swing[..., None] * diurnal_shape(sun)).reshape(years, -1)
    dni, dhi = split_beam(sky, ghi, SYNTHETIC_HOURS)
    return ghi, dni, dhi, temp_air
