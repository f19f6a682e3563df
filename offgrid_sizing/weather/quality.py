"""Does recorded weather hang together? Checks with one sentence each."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from offgrid_sizing.sketch import Site
from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.grid import NORTH_END, SOUTH_END, distance_km
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.sun import SunPath, clear_sky, daily_sum, linke_turbidity, sun_path
from offgrid_sizing.words import sentence
from offgrid_sizing.year_days import monthly_mean

FAR_KM = 50.0
HEIGHT_GAP_M = 200.0
SHIFT_H = 0.25
NIGHT_COS = -0.105  # six degrees under the horizon: civil twilight is over
HIGH_COS = 0.17  # ten degrees


Level = Literal["good", "note", "warning"]


@dataclass(frozen=True)
class Finding:
    """One thing a check saw.

    `check` names the check, `level` is "good", "note" or "warning", `sentence` says it.
    """

    check: str
    level: Level
    sentence: str


def _finding(check: str, level: Level, key: str, **values: float) -> Finding:
    return Finding(check, level, sentence(f"weather.check.{key}", **values))


def noon_shift_h(ghi: np.ndarray, sun: SunPath) -> float | None:
    """How much later than the sun's own noon the clear days of a record have theirs. [h]

    Median over the clearest tenth of days of the radiation-weighted mean solar time, less 12.
    None where too little sun comes in.
    """
    by_day = ghi.reshape(len(ghi), 365, -1)
    total = by_day.sum(-1)
    above = daily_sum(sun.extra_horizontal, sun.step_h) / sun.step_h
    lit = above > 0.3 * above.max()
    clearness = np.where(lit, total / np.maximum(above, 1e-6), 0.0)
    clearest = (clearness >= np.quantile(clearness[:, lit], 0.9)) & (clearness > 0.3)
    if clearest.sum() < 10:
        return None
    # Hours from solar noon, so that a day split by midnight still has one centre.
    hours = (sun.solar_hour.reshape(365, -1) - 12 + 12) % 24 - 12
    centre = (by_day * hours).sum(-1)[clearest] / total[clearest]
    return float(np.median(centre))


def _sun_of(weather: Weather) -> SunPath:
    offset = weather.time[0].utcoffset().total_seconds() / 3600
    return sun_path(weather.latitude_deg, weather.longitude_deg, weather.step_h, offset)


def _closure(weather: Weather, sun: SunPath) -> Finding:
    high = sun.cos_zenith > HIGH_COS
    made = weather.dhi + weather.dni * np.where(high, sun.cos_zenith, 0)
    gap = np.abs(made - weather.ghi)[:, high]
    ghi = weather.ghi[:, high]
    share = float((gap > np.maximum(0.1 * ghi, 25)).mean())
    if share > 0.15:
        return _finding("closure", "warning", "closure_off", share=share)
    return _finding("closure", "good", "closure_good", share=1 - share)


def _clear_limit(weather: Weather, sun: SunPath) -> Finding:
    turbidity = linke_turbidity(weather.latitude_deg, weather.longitude_deg)
    clear, _ = clear_sky(sun, weather.elevation_m, turbidity)
    high = sun.cos_zenith > HIGH_COS
    over = float((weather.ghi[:, high] > 1.15 * clear[high] + 30).mean())
    ratio = float(weather.ghi.mean() / max(clear.mean(), 1e-9))
    if over > 0.08 or ratio > 1.0:
        return _finding("clear sky", "warning", "above_clear", over=over, ratio=ratio)
    if ratio < 0.25:
        return _finding("clear sky", "warning", "far_below_clear", ratio=ratio)
    return _finding("clear sky", "good", "clear_good", ratio=ratio)


def _night(weather: Weather, sun: SunPath) -> Finding:
    dark = sun.cos_zenith < NIGHT_COS
    share = float(weather.ghi[:, dark].sum() / max(weather.ghi.sum(), 1e-9))
    if share > 0.005:
        return _finding("night", "warning", "at_night", share=share)
    return _finding("night", "good", "night_good")


def _shift(weather: Weather, sun: SunPath) -> Finding:
    shift = noon_shift_h(weather.ghi, sun)
    if shift is None:
        return _finding("clock", "note", "no_noon")
    minutes = abs(shift) * 60
    if abs(shift) <= SHIFT_H:
        return _finding("clock", "good", "noon_good", minutes=minutes)
    side = "later" if shift > 0 else "earlier"
    return _finding("clock", "warning", f"noon_{side}", minutes=minutes)


def _summer_time(weather: Weather, sun: SunPath) -> tuple[Finding, ...]:
    """An hour's jump between the half-years: the file keeps daylight saving."""
    half = np.zeros(365, dtype=bool)
    half[105:290] = True
    shifts = []
    for part in (half, ~half):
        masked = np.where(np.repeat(part, sun.steps_per_day), weather.ghi, 0.0)
        shifts.append(noon_shift_h(masked, sun))
    first, second = shifts
    if first is None or second is None or abs(abs(first - second) - 1) > 0.25:
        return ()
    return (_finding("summer time", "warning", "summer_time"),)


def _place(weather: Weather, site: Site) -> tuple[Finding, ...]:
    found = []
    away = distance_km(
        site.latitude_deg, site.longitude_deg, weather.latitude_deg, weather.longitude_deg
    )
    if away > FAR_KM:
        found.append(_finding("place", "warning", "far", away=float(away)))
    if site.elevation_m is not None and abs(site.elevation_m - weather.elevation_m) > HEIGHT_GAP_M:
        gap = weather.elevation_m - site.elevation_m
        key = "higher" if gap > 0 else "lower"
        found.append(_finding("elevation", "note", key, gap=abs(gap), warmer=abs(gap) * 0.006))
    return tuple(found)


def _against_climate(weather: Weather, sun: SunPath) -> tuple[Finding, ...]:
    if not SOUTH_END <= weather.latitude_deg <= NORTH_END:
        return ()
    spot = Spot(weather.latitude_deg, weather.longitude_deg, weather.elevation_m, sun.utc_offset_h)
    expected = float(bare_sky(spot).ghi_kwh_per_m2_day.mean())
    days = monthly_mean(daily_sum(weather.ghi, weather.step_h).mean(0)) / 1000
    ratio = float(days.mean()) / max(expected, 1e-9)
    if 0.8 < ratio < 1.25:
        return ()
    figures = {"ratio": ratio, "days": float(days.mean()), "expected": expected}
    return (_finding("climate", "note", "against_climate", **figures),)


def quality_of(weather: Weather, site: Site) -> tuple[Finding, ...]:
    """All checks on a weather, for the place of a sketch; warnings first.

    Closure and clear-sky limits are judged with the sun more than 10° up.
    """
    sun = _sun_of(weather)
    found = [
        _closure(weather, sun),
        _clear_limit(weather, sun),
        _night(weather, sun),
        _shift(weather, sun),
        *_summer_time(weather, sun),
        *_place(weather, site),
        *_against_climate(weather, sun),
    ]
    order = ("warning", "note", "good")
    return tuple(sorted(found, key=lambda finding: order.index(finding.level)))
