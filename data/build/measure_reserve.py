"""Measure the array reserves of `offgrid_sizing/weather/bands.py`; prints the tables of the README.

`python data/build/measure_reserve.py FOLDER`; FOLDER as for `recorded_years.py`. The array that a
recorded year needs is set against the one that 20 drawn years of the place need, drawn from the
built-in climate and from that year's own twelve monthly sums. The balance is that of
`measure_climate.py`, not the project's own engine.

A place counts once however many years it has; the share of places made safe is judged with each
place withheld in turn from the quantile it is held against. Left out is NSRDB 2019 of twenty
European cities: its November at Amsterdam, London and Potsdam holds about half the light of the
other records there.
"""

import sys
from pathlib import Path

import measure_climate as balance
import numpy as np
import pandas as pd
import pvlib
from recorded_years import Recorded, recorded_years

from offgrid_sizing.sketch import WeatherChoice
from offgrid_sizing.weather.bands import (
    BANK_DAYS,
    CLOUDY_FROM_DEG,
    near_checks,
    reserve_for,
    reserves_of,
)
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.monthly import monthly_weather
from offgrid_sizing.year_days import MONTH_OF_DAY

balance.ARRAYS_KW = np.geomspace(1.0, 60.0, 60)
YEARS = 20
SAFE = 0.9


def recorded_per_kw(year: Recorded) -> np.ndarray:
    """Energy of one kW on latitude tilt in each hour of a recorded year, shape (1, 8760). [Wh]"""
    sun = year.sun
    height = np.maximum(np.sin(np.radians(sun.elevation_deg())), 0.03)
    dni = np.clip((year.ghi - year.dhi) / height, 0, 1100)
    plane = pvlib.irradiance.get_total_irradiance(
        min(abs(year.latitude_deg), 60), 180 if year.latitude_deg >= 0 else 0,
        90 - sun.elevation_deg(), sun.azimuth_deg(), np.where(sun.elevation_deg() > 0, dni, 0),
        year.ghi, year.dhi, dni_extra=sun.extra_normal, albedo=0.2, model="haydavies",
    )  # fmt: skip
    light = np.nan_to_num(np.asarray(plane["poa_global"]))
    cell = year.temp_air + light * 0.03
    return (0.85 * light * (1 - 0.004 * (cell - 25)))[None, :]


def needed_kw(array_wh: np.ndarray, days: float) -> float:
    """Smallest array with 1 % unserved; above 60 kW at least those."""
    share = balance.unserved_frac(array_wh, days)
    if share[-1] > balance.TARGET:
        return float(balance.ARRAYS_KW[-1])
    return float(np.exp(np.interp(-balance.TARGET, -share, np.log(balance.ARRAYS_KW))))


def rows_of(year: Recorded) -> list[dict]:
    """What the year needs as a multiple of what each source says, by days of bank."""
    spot = Spot(
        year.latitude_deg, year.longitude_deg, float(year.elevation_m),
        float(round(year.longitude_deg / 15)),
    )  # fmt: skip
    by_day = year.ghi.reshape(365, 24).sum(1) / 1000
    sums = tuple(float(by_day[month == MONTH_OF_DAY].mean()) for month in range(12))
    choice = WeatherChoice(source="monthly", monthly_ghi_kwh_per_m2_day=sums)
    made = {
        "climate": climate_weather(spot, YEARS, 1),
        "monthly": monthly_weather(spot, choice, (30.0, 180.0), YEARS),
    }
    real = [needed_kw(recorded_per_kw(year), days) for days in BANK_DAYS]
    near = near_checks(year.latitude_deg, year.longitude_deg) is not None
    region = "cloudy" if abs(year.latitude_deg) >= CLOUDY_FROM_DEG else "near" if near else "far"
    return [
        {
            "place": year.name, "record": year.family, "latitude": year.latitude_deg,
            "source": source, "region": region,
            "stated": reserves_of(source, year.latitude_deg, year.longitude_deg),
        }
        | {
            f"times_{days:g}d": needed / needed_kw(balance.per_kw(weather), days)
            for days, needed in zip(BANK_DAYS, real, strict=True)
        }
        for source, weather in made.items()
    ]  # fmt: skip


def quantile(values: pd.Series, places: pd.Series) -> float:
    """The `SAFE` quantile, each place with the same weight."""
    weight = 1 / places.map(places.value_counts())
    order = values.argsort()
    share = weight.iloc[order].cumsum() / weight.sum()
    return float(values.iloc[order].iloc[int(np.searchsorted(share, SAFE))])


def withheld_share(values: pd.Series, places: pd.Series) -> float:
    """Share of places safe with the quantile of the others."""
    safe = [
        (values[places == one] <= quantile(values[places != one], places[places != one])).mean()
        for one in places.unique()
    ]
    return float(np.mean(safe))


def main() -> None:
    """Print every year's multiples, then quantiles and the shares made safe."""
    years = [
        year
        for year in recorded_years(Path(sys.argv[1]))
        if year.family != "NSRDB 2019" or year.name == "Miami"
    ]
    table = pd.DataFrame([row for year in years for row in rows_of(year)])
    with pd.option_context("display.width", 220, "display.precision", 2):
        print(table.drop(columns="stated").to_string(index=False))
    for (source, region), part in table.groupby(["source", "region"]):
        for days in BANK_DAYS:
            times, places = part[f"times_{days:g}d"], part.place
            stated = part.stated.map(lambda factors, days=days: reserve_for(factors, days))
            by_place = (times <= stated).groupby(places).mean()
            print(
                f"{source} {region}, bank {days:g} d: {places.nunique()} places, "
                f"median {times.median():.2f}, {SAFE:.0%} {quantile(times, places):.2f}, "
                f"withheld {withheld_share(times, places):.0%} safe; "
                f"stated {stated.iloc[0]:g} makes {by_place.mean():.0%} safe; "
                f"error {(1 / times - 1).abs().mean():.3f}"
            )


if __name__ == "__main__":
    main()
