"""Weather from the two free services that need no key: PVGIS and NASA POWER.

The only room that touches the network. Where it is not there, the built-in climate serves and a
sentence says so.
"""

import io
import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd

from offgrid_sizing.sketch import BadInput, HorizonPoint, WeatherChoice
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.fetch import NotReached, Service
from offgrid_sizing.weather.files import weather_of_record
from offgrid_sizing.weather.formats import pvgis_hourly, pvgis_typical
from offgrid_sizing.weather.record import Record, numbers_of
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import Saying, said, sentence

PVGIS = Service("PVGIS")
POWER = Service("NASA POWER")
PVGIS_YEARS = (2005, 2023)
POWER_YEARS = (2001, 2024)
Progress = Callable[[float, str], None] | None


class YearsNotThere(BadInput):
    """The service holds none of the years asked for."""


def _url(path: str) -> str:
    from pvlib.iotools import pvgis

    return pvgis.URL + path


def _place(spot: Spot) -> dict[str, object]:
    # A hundredth of a degree is a kilometre: near clicks share an answer on disk.
    return {"lat": round(spot.latitude_deg, 2), "lon": round(spot.longitude_deg, 2)}


def _years_asked(choice: WeatherChoice, known: tuple[int, int], most: int) -> tuple[int, int]:
    last = min(choice.last_year or known[1], known[1])
    first = max(choice.first_year or last - most + 1, known[0])
    if first > last:
        raise YearsNotThere(
            sentence(
                "weather.refused.years_not_there",
                first=choice.first_year,
                last=choice.last_year,
                known_first=known[0],
                known_last=known[1],
            )
        )
    return first, last


def typical_record(spot: Spot, service: Service = PVGIS, *, fetch: bool = True) -> Record:
    """PVGIS typical year of a place, without its own horizon (the sketch has one).

    Raises
    ------
    NotReached
    """
    from pvlib import iotools

    params = {**_place(spot), "outputformat": "json", "usehorizon": 0}
    answer = service.ask(_url("tmy"), params, fetch=fetch)
    return pvgis_typical(
        *iotools.read_pvgis_tmy(io.StringIO(json.dumps(answer)), pvgis_format="json")
    )


def hourly_record(
    spot: Spot, first: int, last: int, service: Service = PVGIS, *, fetch: bool = True
) -> Record:
    """PVGIS hourly radiation on the flat plane over calendar years.

    Raises
    ------
    NotReached
    """
    from pvlib import iotools

    params = {
        **_place(spot),
        "outputformat": "json",
        "startyear": first,
        "endyear": last,
        "components": 1,
        "angle": 0,
        "aspect": 0,
        "usehorizon": 0,
    }
    answer = service.ask(_url("seriescalc"), params, fetch=fetch)
    return pvgis_hourly(
        *iotools.read_pvgis_hourly(io.StringIO(json.dumps(answer)), pvgis_format="json")
    )


def _power_year(answer: dict) -> pd.DataFrame:
    from pvlib.iotools import nasa_power

    table = pd.DataFrame(answer["properties"]["parameter"])
    index = pd.to_datetime(table.index, format="%Y%m%d%H")
    names = {old: new for old, new in nasa_power.VARIABLE_MAP.items() if old in table.columns}
    rows = numbers_of(table.set_axis(index), names)
    fill = float(answer.get("header", {}).get("fill_value", -999))
    return rows.where(rows > fill + 0.5)


def power_record(
    spot: Spot,
    first: int,
    last: int,
    service: Service = POWER,
    *,
    fetch: bool = True,
    progress: Progress = None,
) -> Record:
    """NASA POWER hourly weather, one question a year so that each is kept on its own.

    Raises
    ------
    NotReached
    """
    from pvlib.iotools import nasa_power

    years = range(first, last + 1)
    rows = []
    for done, year in enumerate(years):
        if progress:
            progress(
                done / len(years),
                sentence("weather.online.asking_year", service="NASA POWER", year=year),
            )
        params = {
            "latitude": round(spot.latitude_deg, 2),
            "longitude": round(spot.longitude_deg, 2),
            "start": f"{year}0101",
            "end": f"{year}1231",
            "community": "re",
            "format": "json",
            "parameters": "ALLSKY_SFC_SW_DWN,ALLSKY_SFC_SW_DNI,ALLSKY_SFC_SW_DIFF,T2M,WS10M",
            "time-standard": "utc",
        }
        answer = service.ask(nasa_power.URL, params, fetch=fetch)
        rows.append(_power_year(answer))
    longitude, latitude, elevation = (float(v) for v in answer["geometry"]["coordinates"][:3])
    return Record(
        sentence("weather.kind.power_hourly"),
        pd.concat(rows),
        "begin",
        0.0,
        latitude,
        longitude,
        elevation,
        sentence("weather.kind.power_cell"),
    )


def _record_of(choice: WeatherChoice, spot: Spot, service: Service, fetch, progress) -> Record:
    if choice.source == "pvgis_typical":
        return typical_record(spot, service, fetch=fetch)
    if choice.source == "pvgis_hourly":
        first, last = _years_asked(choice, PVGIS_YEARS, choice.years)
        return hourly_record(spot, first, last, service, fetch=fetch)
    first, last = _years_asked(choice, POWER_YEARS, choice.years)
    return power_record(spot, first, last, service, fetch=fetch, progress=progress)


def _instead(
    choice: WeatherChoice, spot: Spot, years: int, name: str, reason: Saying | str
) -> Weather:
    weather = climate_weather(spot, years, choice.seed)
    why = sentence("weather.told.not_reached", service=name, reason=reason)
    return replace(weather, caveats=(why, *weather.caveats))


def online_weather(
    choice: WeatherChoice,
    spot: Spot,
    *,
    years: int | None = None,
    service: Service | None = None,
    fetch: bool = True,
    progress: Progress = None,
) -> Weather:
    """Weather from a service; from disk if asked before; the built-in climate if out of reach.

    `fetch=False` answers at once with what is there: the disk's, else the built-in climate.

    Raises
    ------
    BadInput
        Years that the service does not hold, or neither service nor climate for this place.
    """
    service = service or (POWER if choice.source == "nasa_power" else PVGIS)
    count = choice.years if years is None else years
    if progress:
        progress(0.0, sentence("weather.online.asking", service=service.name))
    try:
        record = _record_of(choice, spot, service, fetch, progress)
        return weather_of_record(record, spot, kind=choice.source, service=service.name)
    except NotReached as fault:
        return _instead(choice, spot, count, service.name, fault.reason)
    except YearsNotThere:
        raise
    except (KeyError, TypeError, ValueError, IndexError):
        no_year = said("weather.online.no_whole_year")
        return _instead(choice, spot, count, service.name, no_year)


def horizon_online(
    latitude_deg: float, longitude_deg: float, service: Service = PVGIS
) -> tuple[HorizonPoint, ...]:
    """Skyline of the terrain from PVGIS, clockwise from north.

    Raises
    ------
    BadInput
        When PVGIS gives none: draw the skyline by hand or load a CSV.
    """
    params = {
        "lat": round(latitude_deg, 4),
        "lon": round(longitude_deg, 4),
        "outputformat": "json",
    }
    try:
        answer = service.ask(_url("printhorizon"), params)
        profile = answer["outputs"]["horizon_profile"]
        # PVGIS counts azimuth from south.
        points = [((float(p["A"]) + 180) % 360, float(p["H_hor"])) for p in profile]
    except NotReached as fault:
        raise BadInput(sentence("weather.horizon.not_given", reason=fault.reason)) from None
    except (KeyError, TypeError, ValueError):
        raise BadInput(sentence("weather.horizon.unreadable")) from None
    heights = {azimuth: float(np.clip(height, 0, 90)) for azimuth, height in sorted(points)}
    return tuple(HorizonPoint(azimuth_deg=a, elevation_deg=h) for a, h in heights.items())
