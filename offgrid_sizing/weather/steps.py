"""From one clock and step length to another, keeping the energy of every step."""

from dataclasses import dataclass, replace

import numpy as np

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather import bands
from offgrid_sizing.weather.series import Weather, clock
from offgrid_sizing.weather.sun import SunPath, daily_sum, sun_path
from offgrid_sizing.words import sentence
from offgrid_sizing.year_days import monthly_mean

_FINE_STEPS_H = (1.0, 0.5, 0.25, 1 / 6, 1 / 12, 1 / 60)


@dataclass(frozen=True, eq=False)
class Years:
    """Weather years on a common 365-day clock, before they belong to a sketch.

    Parameters
    ----------
    ghi, dni, dhi, temp_air, wind_speed : float64 arrays, shape (years, n)
        Means over steps that begin at their label. [W/m², °C, m/s]
    step_h, utc_offset_h : float
        Step length and the clock's offset from UTC. [h]
    latitude_deg, longitude_deg : float
    beam_left_out_frac : float
        Share of the beam's energy that would have been brighter than the sun above the air.
    """

    ghi: np.ndarray
    dni: np.ndarray
    dhi: np.ndarray
    temp_air: np.ndarray
    wind_speed: np.ndarray
    step_h: float
    utc_offset_h: float
    latitude_deg: float
    longitude_deg: float
    beam_left_out_frac: float = 0.0


def _whole(ratio: float) -> bool:
    return abs(ratio - round(ratio)) < 1e-6


def _fine_step(source: Years, step_h: float, utc_offset_h: float) -> float:
    shift_h = utc_offset_h - source.utc_offset_h
    for fine in _FINE_STEPS_H:
        if all(_whole(length / fine) for length in (source.step_h, step_h, shift_h)):
            return fine
    raise BadInput(
        sentence(
            "weather.refused.steps_apart",
            step=float(source.step_h),
            offset=float(source.utc_offset_h),
            wanted_step=float(step_h),
            wanted_offset=float(utc_offset_h),
        )
    )


def _shares(weight: np.ndarray, parts: int) -> np.ndarray:
    """Factor for each part of a step so that the parts' mean is the step's; even in the dark."""
    grouped = weight.reshape(-1, parts)
    mean = grouped.mean(1, keepdims=True)
    return np.where(mean > 0, grouped / np.where(mean > 0, mean, 1), 1.0).ravel()


def _split_air(values: np.ndarray, parts: int) -> np.ndarray:
    """Straight lines between the middles of the steps, the year's end joined to its start."""
    n = values.shape[1]
    middles = (np.arange(n * parts) + 0.5) / parts - 0.5
    left = np.floor(middles).astype(int)
    share = middles - left
    return values[:, left % n] * (1 - share) + values[:, (left + 1) % n] * share


def split(source: Years, sun: SunPath) -> Years:
    """Each step in equal parts (those of `sun`): irradiance keeps each step's energy exactly.

    Global and diffuse follow the extraterrestrial horizontal irradiance within the step (constant
    clearness), the beam is even over the parts that see the sun, but nowhere brighter than above
    the air: an hour of sunrise whose record and sun disagree by minutes would ask for more, which
    is left out and counted. Temperature and wind run straight between the middles of the steps.
    """
    parts = round(source.step_h / sun.step_h)
    level = _shares(sun.extra_horizontal, parts)
    beam = _shares(sun.up.astype(float), parts)

    def spread(values, shares):
        return np.repeat(values, parts, axis=1) * shares

    asked = spread(source.dni, beam)
    kept = np.minimum(asked, sun.extra_normal)
    total = float(asked.sum())
    return replace(
        source,
        ghi=spread(source.ghi, level),
        dhi=spread(source.dhi, level),
        dni=kept,
        beam_left_out_frac=1 - float(kept.sum()) / total if total > 0 else 0.0,
        temp_air=_split_air(source.temp_air, parts),
        wind_speed=np.repeat(source.wind_speed, parts, axis=1),
        step_h=sun.step_h,
    )


def _each(source: Years, change) -> Years:
    names = ("ghi", "dni", "dhi", "temp_air", "wind_speed")
    return replace(source, **{name: change(getattr(source, name)) for name in names})


def relay(source: Years, step_h: float, utc_offset_h: float) -> Years:
    """The same years in steps of another length on another fixed-offset clock.

    Hours moved over New Year come back at the other end of the same year.
    """
    if source.step_h == step_h and source.utc_offset_h == utc_offset_h:
        return source
    fine = _fine_step(source, step_h, utc_offset_h)
    if fine < source.step_h - 1e-9:
        sun = sun_path(source.latitude_deg, source.longitude_deg, fine, source.utc_offset_h)
        source = split(source, sun)
    shift = round((utc_offset_h - source.utc_offset_h) / fine)
    together = round(step_h / fine)

    def move(values):
        rolled = np.roll(values, shift, axis=1)
        return rolled.reshape(len(values), -1, together).mean(2)

    return replace(_each(source, move), step_h=step_h, utc_offset_h=utc_offset_h)


MANY_YEARS = 10
LEAST_LEFT_OUT_FRAC = 1e-5  # less than a rounding of the beam's printed sum


def weather_from_years(
    years: Years, *, elevation_m: float, kind: str, provenance: str, caveats, year_names
) -> Weather:
    """Recorded years as a `Weather`, with the band, reserve and cold limit of their source.

    The cold limit is the lower of the record itself and what its monthly means suggest; ten years
    or more speak for themselves. It stands where the place has none (`weather/cold.py`).
    """
    told = [*caveats]
    if years.beam_left_out_frac > LEAST_LEFT_OUT_FRAC:
        told.append(sentence("weather.told.beam", share=years.beam_left_out_frac))
    by_day = daily_sum(years.temp_air, years.step_h) / 24
    suggested = bands.record_low_c(monthly_mean(by_day.mean(0)))
    low = float(years.temp_air.min())
    return Weather(
        time=clock(years.step_h, years.utc_offset_h),
        ghi=years.ghi,
        dni=years.dni,
        dhi=years.dhi,
        temp_air=years.temp_air,
        wind_speed=years.wind_speed,
        step_h=years.step_h,
        latitude_deg=years.latitude_deg,
        longitude_deg=years.longitude_deg,
        elevation_m=elevation_m,
        kind=kind,
        provenance=provenance,
        caveats=tuple(told),
        band_frac=bands.band_of(kind, years.latitude_deg, years.longitude_deg),
        array_reserves=bands.reserves_of(kind, years.latitude_deg, years.longitude_deg),
        record_low_c=low if len(year_names) >= MANY_YEARS else min(low, suggested),
        year_names=tuple(year_names),
    )
