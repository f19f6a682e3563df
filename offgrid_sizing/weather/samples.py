"""The three real typical years that pvlib carries: no network, no grid, public domain."""

from functools import lru_cache
from importlib import resources

import numpy as np
import pandas as pd

from offgrid_sizing.weather import bands
from offgrid_sizing.weather.climate import Spot
from offgrid_sizing.weather.grid import distance_km
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.steps import Years, relay, weather_from_years
from offgrid_sizing.words import sentence

SAMPLES = {
    "greensboro": ("723170TYA.CSV", "Greensboro, North Carolina", "TMY3"),
    "miami": ("12839.tm2", "Miami, Florida", "TMY2"),
    "sand_point": ("703165TY.csv", "Sand Point, Alaska", "TMY3"),
}


@lru_cache(maxsize=3)
def _read(name: str) -> tuple[pd.DataFrame, dict]:
    from pvlib import iotools

    with resources.as_file(resources.files("pvlib") / "data" / name) as path:
        if name.endswith(".tm2"):
            frame, about = iotools.read_tmy2(path)
            columns = {"GHI": "ghi", "DNI": "dni", "DHI": "dhi"}
            frame = frame.rename(columns=columns)
            # TMY2 counts temperature and wind in tenths (Marion & Urban 1995, User's Manual).
            return frame.assign(temp_air=frame["DryBulb"] / 10, wind_speed=frame["Wspd"] / 10), (
                about
            )
        return iotools.read_tmy3(path, coerce_year=2025, map_variables=True)


def sample_years(sample: str) -> tuple[Years, dict]:
    """One of the sample years, hour-beginning, on the station's own standard clock.

    Returns
    -------
    (Years, dict)
        The year, shape (1, 8760), and the station's `name`, `format`, `elevation_m`.

    Notes
    -----
    TMY2 and TMY3 label the end of the hour (NREL/TP-463-7668, NREL/TP-581-43156). pvlib's TMY3
    reader keeps that label on 1 January 01:00 for the first row and its TMY2 reader moves it to
    00:00; the rows are in order from the year's first hour in both, so the label is not needed.
    """
    file, place, form = SAMPLES[sample]
    frame, about = _read(file)

    def row(name):
        return frame[name].to_numpy(dtype=np.float64)[None, :]

    years = Years(
        **{name: row(name) for name in ("ghi", "dni", "dhi", "temp_air", "wind_speed")},
        step_h=1.0,
        utc_offset_h=float(about["TZ"]),
        latitude_deg=float(about["latitude"]),
        longitude_deg=float(about["longitude"]),
    )
    return years, {"name": place, "format": form, "elevation_m": float(about["altitude"])}


def sample_weather(sample: str, spot: Spot) -> Weather:
    """One of the sample years for a sketch, in its step length, on the station's own clock."""
    years, about = sample_years(sample)
    years = relay(years, spot.step_h, years.utc_offset_h)
    caveats = [
        sentence("weather.told.typical"),
        *bands.general_caveats(years.latitude_deg),
    ]
    away = distance_km(
        spot.latitude_deg, spot.longitude_deg, years.latitude_deg, years.longitude_deg
    )
    if away > 50:
        far = sentence("weather.told.recorded_at", place=about["name"], away=float(away))
        caveats.insert(0, far)
    return weather_from_years(
        years,
        elevation_m=about["elevation_m"],
        kind="sample",
        provenance=sentence("weather.from.sample", form=about["format"], place=about["name"]),
        caveats=caveats,
        year_names=(sentence("weather.year.typical"),),
    )
