"""Weather years from twelve typed values: daily irradiation, or peak sun hours on a tilt."""

from dataclasses import replace

import numpy as np

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.sketch.place import WeatherChoice
from offgrid_sizing.weather import bands
from offgrid_sizing.weather.climate import SiteClimate, Spot, bare_sky, weather_from_sky
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.sun import daily_sum
from offgrid_sizing.weather.synthesis import Sky, synthetic_years
from offgrid_sizing.words import Said, said, sentence, together
from offgrid_sizing.year_days import monthly_mean

ABOVE_CLEAR = 1.05


def _with_unit_hint(fault: Said, values: np.ndarray) -> str:
    """The fault, and which other unit such values look like."""
    if values.max() > 40:
        return together(fault, said("weather.monthly.totals"))
    if values.max() > 12:
        return together(fault, said("weather.monthly.megajoules"))
    return together(fault)


def _refuse_impossible(values: np.ndarray, climate: SiteClimate) -> None:
    clear, above = climate.clear_kwh_per_m2_day, climate.above_kwh_per_m2_day
    for month in np.flatnonzero(values > ABOVE_CLEAR * clear + 0.15):
        fault = said("weather.monthly.too_bright", limit=float(clear[month]), **_of(month, values))
        raise BadInput(_with_unit_hint(fault, values))
    for month in np.flatnonzero((above > 0.5) & (values < 0.05 * above)):
        raise BadInput(
            sentence("weather.monthly.too_dark", above=float(above[month]), **_of(month, values))
        )


def _of(month: np.integer, values: np.ndarray) -> dict[str, object]:
    """A month's name and value, as the refusals ask for them."""
    return {"month": said(f"calendar.month.{month + 1}"), "value": float(values[month])}


def sky_from_ghi(climate: SiteClimate, ghi_kwh_per_m2_day) -> Sky:
    """The site's sky with the clearness of twelve daily irradiations on the horizontal.

    Raises
    ------
    BadInput
        A month above the clear sky, or darker than any sky.
    """
    values = np.asarray(ghi_kwh_per_m2_day, dtype=float)
    _refuse_impossible(values, climate)
    above = climate.above_kwh_per_m2_day
    k = np.where(above > 0.02, values / np.maximum(above, 0.02), 0.4)
    return replace(climate.sky, clearness=np.clip(k, 0.03, 0.95))


def tilted_kwh_per_m2_day(sky: Sky, tilt_deg: float, azimuth_deg: float) -> np.ndarray:
    """Daily irradiation of each month on a tilt, for one synthetic year of a sky, shape (12,).

    Perez transposition through pvlib, ground reflectance 0.2.
    """
    import pvlib

    sun = sky.sun
    ghi, dni, dhi, _ = (values[0] for values in synthetic_years(sky, 1, 1))
    zenith = 90 - sun.elevation_deg()
    airmass = pvlib.atmosphere.get_relative_airmass(np.minimum(zenith, 89.5))
    plane = pvlib.irradiance.get_total_irradiance(
        tilt_deg,
        azimuth_deg,
        zenith,
        sun.azimuth_deg(),
        dni,
        ghi,
        dhi,
        dni_extra=sun.extra_normal,
        airmass=airmass,
        albedo=0.2,
        model="perez",
    )
    on_tilt = np.nan_to_num(np.asarray(plane["poa_global"]))
    return monthly_mean(daily_sum(on_tilt, sun.step_h)) / 1000


def sky_from_tilted(climate: SiteClimate, peak_sun_hours, tilt_deg: float, azimuth_deg: float):
    """The sky whose synthetic year gives these peak sun hours on the tilt, to 0.5 %.

    Fixed-point steps on each month's clearness; a month no sky can reach is refused.

    Raises
    ------
    BadInput
        A month asks for more than a nearly cloudless sky gives on this tilt.
    """
    wanted = np.asarray(peak_sun_hours, dtype=float)
    limit = climate.clear_kwh_per_m2_day / np.maximum(climate.above_kwh_per_m2_day, 0.02)
    sky = climate.sky
    for _ in range(12):
        on_tilt = tilted_kwh_per_m2_day(sky, tilt_deg, azimuth_deg)
        ratio = wanted / np.maximum(on_tilt, 0.02)
        if np.abs(ratio[wanted > 0.05] - 1).max(initial=0) < 0.005:
            break
        k = np.clip(sky.clearness * np.clip(ratio, 0.5, 1.6) ** 0.9, 0.03, limit)
        sky = replace(sky, clearness=k)
    short = np.flatnonzero((wanted > 0.05) & (ratio > 1.03))
    for month in short:
        limit = float(on_tilt[month])
        fault = said("weather.monthly.too_bright_tilted", limit=limit, **_of(month, wanted))
        raise BadInput(_with_unit_hint(fault, wanted))
    return sky


def monthly_weather(
    spot: Spot, choice: WeatherChoice, roof: tuple[float, float], years: int
) -> Weather:
    """Synthetic years that keep twelve typed monthly values; temperature is the grid's.

    `roof` is the (tilt, azimuth) to take peak sun hours on where the choice names none.
    """
    climate = bare_sky(spot)
    if choice.monthly_ghi_kwh_per_m2_day is not None:
        sky = sky_from_ghi(climate, choice.monthly_ghi_kwh_per_m2_day)
        what = said("weather.from.on_flat")
    else:
        tilt = roof[0] if choice.monthly_tilt_deg is None else choice.monthly_tilt_deg
        azimuth = roof[1] if choice.monthly_azimuth_deg is None else choice.monthly_azimuth_deg
        sky = sky_from_tilted(climate, choice.monthly_tilted_peak_sun_hours_h, tilt, azimuth)
        what = said("weather.from.on_tilt", tilt=float(tilt), azimuth=float(azimuth))
    return weather_from_sky(
        spot,
        sky,
        years=years,
        seed=choice.seed,
        kind="monthly",
        provenance=sentence("weather.from.monthly", what=what, years=years, seed=choice.seed),
        caveats=(
            sentence("weather.told.handbook"),
            sentence("weather.told.table_wind"),
            *bands.general_caveats(spot.latitude_deg),
        ),
    )
