"""The built-in climate: weather years for any point between 60° S and 78° N, with no network."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from offgrid_sizing.places import altitude_m
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather import bands
from offgrid_sizing.weather.grid import (
    LAPSE_K_PER_M,
    NORTH_END,
    SOUTH_END,
    clearness,
    monthly_climate,
)
from offgrid_sizing.weather.series import Weather, clock
from offgrid_sizing.weather.sun import clear_sky, daily_sum, linke_turbidity, sun_path
from offgrid_sizing.weather.synthesis import Sky, synthetic_years
from offgrid_sizing.words import sentence
from offgrid_sizing.year_days import monthly_mean

# Mean over land at 10 m, Archer & Jacobson (2005), J. Geophys. Res. 110, quoted from memory.
WIND_M_PER_S = 3.3


@dataclass(frozen=True)
class Spot:
    """A point, its height and its clock: all that the built-in climate needs to know."""

    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    utc_offset_h: float
    step_h: float = 1.0


@dataclass(frozen=True, eq=False)
class SiteClimate:
    """Monthly means at a spot (`sky`), and how they came about."""

    spot: Spot
    sky: Sky
    has_cell: bool
    height_gap_m: float

    @property
    def above_kwh_per_m2_day(self) -> np.ndarray:
        """Daily extraterrestrial irradiation of each month, shape (12,)."""
        sun = self.sky.sun
        return monthly_mean(daily_sum(sun.extra_horizontal, sun.step_h)) / 1000

    @property
    def clear_kwh_per_m2_day(self) -> np.ndarray:
        """Daily clear-sky irradiation of each month, shape (12,)."""
        return monthly_mean(daily_sum(self.sky.clear_ghi, self.sky.sun.step_h)) / 1000

    @property
    def ghi_kwh_per_m2_day(self) -> np.ndarray:
        """Daily irradiation of each month, shape (12,)."""
        return self.sky.clearness * self.above_kwh_per_m2_day


def spot_of(site, step_h: float = 1.0) -> Spot:
    """The sketch's site as a spot; a missing elevation is read from the altitude map."""
    height = site.elevation_m
    if height is None:
        height = altitude_m(site.latitude_deg, site.longitude_deg)
    return Spot(site.latitude_deg, site.longitude_deg, height, site.offset_h, step_h)


def _refuse_outside(latitude_deg: float) -> None:
    if not SOUTH_END <= latitude_deg <= NORTH_END:
        side = "north" if latitude_deg > 0 else "south"
        raise BadInput(
            sentence(f"weather.refused.latitude_{side}", latitude=float(abs(latitude_deg)))
        )


def site_temperature_c(spot: Spot) -> np.ndarray:
    """Monthly mean air temperature at the spot's own height, shape (12,). [°C]

    Raises
    ------
    BadInput
        Nearer to a pole than the grid reaches.
    """
    _refuse_outside(spot.latitude_deg)
    month = monthly_climate(spot.latitude_deg, spot.longitude_deg)
    gap_m = spot.elevation_m - month.grid_altitude_m
    return month.temperature_c - LAPSE_K_PER_M * gap_m


@lru_cache(maxsize=16)
def bare_sky(spot: Spot) -> SiteClimate:
    """The spot's sun, clear sky and temperature, with the clearness of the grid.

    Raises
    ------
    BadInput
        Nearer to a pole than the grid reaches.
    """
    temperature = site_temperature_c(spot)
    month = monthly_climate(spot.latitude_deg, spot.longitude_deg)
    gap = spot.elevation_m - month.grid_altitude_m
    sun = sun_path(spot.latitude_deg, spot.longitude_deg, spot.step_h, spot.utc_offset_h)
    turbidity = linke_turbidity(spot.latitude_deg, spot.longitude_deg)
    clear_ghi, clear_dni = clear_sky(sun, spot.elevation_m, turbidity)
    above = monthly_mean(daily_sum(sun.extra_horizontal, spot.step_h))
    clear = monthly_mean(daily_sum(clear_ghi, spot.step_h)) / np.maximum(above, 1.0)
    k = np.clip(clearness(spot.latitude_deg, spot.longitude_deg, month, temperature), 0.08, 0.82)
    k = np.minimum(k, 0.97 * np.where(above > 1.0, clear, 1.0))
    return SiteClimate(
        spot,
        Sky(sun, clear_ghi, clear_dni, k, temperature),
        month.merra_clearness is not None,
        gap,
    )


def weather_from_sky(
    spot: Spot, sky: Sky, *, years: int, seed: int, kind: str, provenance: str, caveats
) -> Weather:
    """Synthetic years of a sky as a `Weather`, with the band and reserve of its source."""
    ghi, dni, dhi, temp_air = synthetic_years(sky, years, seed)
    latitude, longitude = spot.latitude_deg, spot.longitude_deg
    return Weather(
        time=clock(spot.step_h, spot.utc_offset_h),
        ghi=ghi,
        dni=dni,
        dhi=dhi,
        temp_air=temp_air,
        wind_speed=np.full_like(ghi, WIND_M_PER_S),
        step_h=spot.step_h,
        latitude_deg=latitude,
        longitude_deg=longitude,
        elevation_m=spot.elevation_m,
        kind=kind,
        provenance=provenance,
        caveats=tuple(caveats),
        band_frac=bands.band_of(kind, latitude, longitude),
        array_reserves=bands.reserves_of(kind, latitude, longitude),
        record_low_c=bands.record_low_c(sky.temperature_c),
        year_names=tuple(sentence("weather.year.synthetic", number=k + 1) for k in range(years)),
    )


def climate_weather(spot: Spot, years: int = 20, seed: int = 1) -> Weather:
    """Seeded weather years of the built-in climate at a spot.

    Monthly clearness of MERRA-2 2011-2015 and temperature of ERA5 2000-2025, corrected; days and
    hours drawn as `synthesis` says.

    Raises
    ------
    BadInput
        Nearer to a pole than the grid reaches.
    """
    climate = bare_sky(spot)
    return weather_from_sky(
        spot,
        climate.sky,
        years=years,
        seed=seed,
        kind="climate",
        provenance=sentence("weather.from.climate", years=years, seed=seed),
        caveats=bands.climate_caveats(
            spot.latitude_deg, spot.longitude_deg, climate.height_gap_m, climate.has_cell
        ),
    )
