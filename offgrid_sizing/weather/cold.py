"""The coldest air that string voltage reckons with: one value for a place, whatever the source."""

from dataclasses import replace

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather import bands
from offgrid_sizing.weather.climate import Spot, site_temperature_c
from offgrid_sizing.weather.grid import distance_km
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence

SAME_PLACE_KM = 50.0
MADE_HERE = ("climate", "monthly")


def _recorded_nearby(weather: Weather, spot: Spot) -> bool:
    """Whether the weather was recorded at the place itself, or near enough to speak for it."""
    away = distance_km(
        spot.latitude_deg, spot.longitude_deg, weather.latitude_deg, weather.longitude_deg
    )
    return weather.kind not in MADE_HERE and away <= SAME_PLACE_KM


def with_cold_of_place(weather: Weather, spot: Spot) -> Weather:
    """The weather with the cold limit of the spot: its 20-year low less 5 K.

    A colder hour in a record of the place itself counts instead, and a caveat says so. Nearer to
    a pole than the grid reaches the weather keeps the limit of its own monthly means.
    """
    try:
        low_c = bands.record_low_c(site_temperature_c(spot))
    except BadInput:
        return weather
    seen_c = float(weather.temp_air.min())
    if not (_recorded_nearby(weather, spot) and seen_c < low_c):
        return replace(weather, record_low_c=low_c)
    colder = sentence("weather.told.colder", seen=seen_c, low=float(low_c))
    return replace(weather, record_low_c=seen_c, caveats=(*weather.caveats, colder))
