"""Measure the yearly interval of `offgrid_sizing/weather/yearly.py`; prints the README's table.

`python data/build/measure_yearly.py FOLDER [--write]`; FOLDER as for `recorded_years.py`, with the
source archive of pcse 6.0.13 unpacked beside the wheels (daily irradiation at Wageningen,
1976-1999). Satellite years of Golden 2012 and 2013 and the sums of 36 typical years stand under
`tests/published/`, the typical year of Miami comes with pvlib. With `--write` the yearly sums are
written to `tests/published/yearly_sums.json`, which a test holds the stated interval against.

A year is `real` where it is one calendar year of measurements or satellite images, `typical` where
it is put together from months of many. Left out are NSRDB 2019 of twenty European cities, as in
`measure_reserve.py`, and a year with less than 365 days.

Withheld means: spreads of the source from typical years of the other places; the spread of years
beyond 44°, which was measured at Wageningen, is for Wageningen itself the upper end of the
published range instead. Places that took part in the climate's factor between the Alps and the
North Sea have what a mean without them would leave over.
"""

import json
import sys
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
from recorded_years import recorded_years

from offgrid_sizing.weather import yearly
from offgrid_sizing.weather.bands import CLOUDY_FROM_DEG, error_class
from offgrid_sizing.weather.climate import Spot, bare_sky, climate_weather
from offgrid_sizing.weather.samples import sample_years
from offgrid_sizing.year_days import DAYS_IN_MONTH

PUBLISHED = Path(__file__).resolve().parents[2] / "tests" / "published"
SUMS = PUBLISHED / "yearly_sums.json"
REAL = ("NSRDB", "DWD", "2015")  # how the families of single years begin
DRAWN_YEARS = 60
PUBLISHED_TOP = 0.06  # of 2 to 6 %: Gueymard & Wilcox 2011, Solar Energy 85, from memory
IN_THE_FACTOR = ("Aachen", "Zürich Fluntern")
PLACES_OF_THE_FACTOR = 22


@dataclass(frozen=True)
class YearSum:
    """A year's irradiation at a place; `kind` is "real", "typical" or "left out"."""

    place: str
    record: str
    kind: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    ghi_kwh_per_m2: float


def _of_packages(folder: Path) -> list[YearSum]:
    found = []
    for year in recorded_years(folder):
        real = year.family.startswith(REAL)
        doubted = year.family == "NSRDB 2019" and year.name != "Miami"
        found.append(
            YearSum(
                year.name, year.family, "left out" if doubted else "real" if real else "typical",
                year.latitude_deg, year.longitude_deg, float(year.elevation_m),
                year.ghi.sum() / 1000,
            )
        )  # fmt: skip
    return found


def _daily(folder: Path) -> list[YearSum]:
    """Wageningen: lines of station, year, day, irradiation in kJ/m²; the first 365 days.

    1989 holds eight days twice, first as ones that stand for nothing; the later line counts.
    """
    found = []
    for path in sorted(folder.rglob("NL1.9??")):
        lines = [line.split() for line in path.read_text("latin1").splitlines()]
        days = {int(row[2]): float(row[3]) for row in lines if len(row) == 9 and row[0] == "1"}
        if len(days) >= 365:
            total = sum(days[day] for day in range(1, 366)) / 3600
            place = ("Wageningen", f"daily 1{path.suffix[1:]}", "real", 51.97, 5.67, 7.0)
            found.append(YearSum(*place, total))
    return found


def _more(folder: Path) -> list[YearSum]:
    """Years that lie in formats of their own, and the typical years that stand in the tests."""
    found = []
    for path in folder.rglob("Burlington*2021*.csv"):
        table, head = pvlib.iotools.read_tmy3(path, map_variables=True, encoding="latin1")
        place = (head["latitude"], head["longitude"], head["altitude"])
        total = float(table.ghi.sum()) / 1000
        found.append(YearSum("Burlington", "satellite 2021", "real", *place, total))
    with np.load(PUBLISHED / "measured_array.npz") as packed:
        half_hours = packed["ghi_w_per_m2"].astype(float)
    index = pd.date_range("2011-01-01", periods=len(half_hours), freq="30min")
    for year in (2012, 2013):
        light = half_hours[(index.year == year) & ~((index.month == 2) & (index.day == 29))]
        found.append(
            YearSum("Golden", f"satellite {year}", "real", 39.7406, -105.1775, 1820.0,
                    light.sum() / 2000)
        )  # fmt: skip
    miami, about = sample_years("miami")
    place = (miami.latitude_deg, miami.longitude_deg, about["elevation_m"])
    found.append(YearSum("Miami", "TMY2", "typical", *place, float(miami.ghi.sum()) / 1000))
    for station in json.loads((PUBLISHED / "solar_stations.json").read_text(encoding="utf-8")):
        place = tuple(station[key] for key in ("latitude_deg", "longitude_deg", "elevation_m"))
        total = float(np.dot(station["ghi_kwh_per_m2_day"], DAYS_IN_MONTH))
        found.append(YearSum(station["station"], "station", "typical", *place, total))
    return found


@cache
def _spot(latitude_deg: float, longitude_deg: float, elevation_m: float) -> Spot:
    return Spot(latitude_deg, longitude_deg, elevation_m, float(round(longitude_deg / 15)))


@cache
def climate_kwh_per_m2(latitude_deg: float, longitude_deg: float, elevation_m: float) -> float:
    """The built-in climate's mean year."""
    spot = _spot(latitude_deg, longitude_deg, elevation_m)
    return float(np.dot(bare_sky(spot).ghi_kwh_per_m2_day, DAYS_IN_MONTH))


@cache
def drawn(latitude_deg: float, longitude_deg: float, elevation_m: float) -> tuple[float, float]:
    """The 5th and 95th percentile of drawn years as multiples of their mean."""
    spot = _spot(latitude_deg, longitude_deg, elevation_m)
    sums = climate_weather(spot, DRAWN_YEARS, 1).ghi.sum(1)
    low, high = np.quantile(sums / sums.mean(), (0.05, 0.95))
    return float(low), float(high)


def table_of(sums: list[YearSum]) -> pd.DataFrame:
    """A row a year: what was there over what the climate says, as a logarithm."""
    table = pd.DataFrame([asdict(one) for one in sums])
    where = ["latitude_deg", "longitude_deg", "elevation_m"]
    made = [climate_kwh_per_m2(*place) for place in table[where].itertuples(index=False)]
    table["off"] = np.log(table.ghi_kwh_per_m2 / made)
    table["region"] = [
        error_class("climate", one.latitude_deg, one.longitude_deg)
        for one in table.itertuples(index=False)
    ]
    return table


def source_spread(table: pd.DataFrame, region: str, without: str = "") -> float:
    """Root mean square of the climate's error at the typical years of other places."""
    part = table[(table.kind == "typical") & (table.region == region) & (table.place != without)]
    return float(np.sqrt((part.groupby("place").off.mean() ** 2).mean()))


def typical_spread(table: pd.DataFrame, without: str = "") -> float:
    """One standard deviation of several typical years of a place, other places together."""
    part = table[(table.kind == "typical") & (table.place != without)]
    part = part[part.groupby("place").off.transform("size") > 1]
    within = part.groupby("place").ghi_kwh_per_m2.agg(lambda years: np.log(years).var())
    return float(np.sqrt(within.mean()))


def year_spread(table: pd.DataFrame) -> tuple[float, float]:
    """Of Wageningen's years, with their trend and without it."""
    years = np.log(table[table.place == "Wageningen"].ghi_kwh_per_m2.to_numpy())
    at = np.arange(len(years))
    left = years - np.polyval(np.polyfit(at, years, 1), at)
    return float(years.std(ddof=1)), float(left.std(ddof=2))


def _year_spread_withheld(table: pd.DataFrame, place: str, latitude_deg: float) -> float:
    if abs(latitude_deg) < CLOUDY_FROM_DEG:
        return yearly.YEAR_SPREAD  # published, fitted to none of these
    return PUBLISHED_TOP if place == "Wageningen" else year_spread(table)[1]


def by_climate(table: pd.DataFrame, kind: str) -> list[dict]:
    """Whether each year of a kind lies where the built-in climate says."""
    rows = []
    for one in table[table.kind == kind].itertuples(index=False):
        place = (one.latitude_deg, one.longitude_deg)
        taken = PLACES_OF_THE_FACTOR / (PLACES_OF_THE_FACTOR - 1)
        off = one.off * (taken if one.place in IN_THE_FACTOR else 1.0)
        spread = np.hypot(
            source_spread(table, one.region, one.place),
            _year_spread_withheld(table, one.place, one.latitude_deg),
        )
        rows.append(
            {"source": one.region, "place": one.place, "record": one.record}
            | _within(np.exp(one.off), drawn(*place, one.elevation_m),
                      yearly.year_band("climate", *place))
            | {"withheld": abs(off) <= yearly.NINE_OF_TEN * spread}
        )  # fmt: skip
    return rows


def _within(times: float, of_draws: tuple[float, float], stated: tuple[float, float]) -> dict:
    return {
        "times": times,
        "drawn": of_draws[0] <= times <= of_draws[1],
        "stated": stated[0] <= times <= stated[1],
    }


def by_mean(table: pd.DataFrame) -> list[dict]:
    """The same for a typical year of the place, or the mean of its other years where ten are."""
    rows = []
    for one in table[table.kind == "real"].itertuples(index=False):
        here = table[table.place.str.startswith(one.place.split()[0])]
        others = here[(here.kind == "real") & (here.record != one.record)]
        told = others if len(others) >= 10 else here[here.kind == "typical"]
        if not len(told) or one.place == "Burlington":  # the other Burlington lies in Iowa
            continue
        place = (one.latitude_deg, one.longitude_deg)
        spread = np.hypot(
            typical_spread(table, one.place),
            _year_spread_withheld(table, one.place, one.latitude_deg),
        )
        times = one.ghi_kwh_per_m2 / told.ghi_kwh_per_m2.mean()
        rows.append(
            {"source": "monthly, typical", "place": one.place, "record": one.record}
            | _within(times, drawn(*place, one.elevation_m), yearly.year_band("monthly", *place))
            | {"withheld": abs(np.log(times)) <= yearly.NINE_OF_TEN * spread}
        )
    return rows


def by_year_before(table: pd.DataFrame) -> list[dict]:
    """The same for one recorded year, judged by the next that the place has."""
    rows = []
    for name, part in table[table.kind == "real"].groupby("place"):
        years = part.assign(year=part.record.str[-4:].astype(int)).sort_values("year")
        for before, one in zip(
            years.iloc[:-1].itertuples(index=False), years.iloc[1:].itertuples(index=False),
            strict=True,
        ):  # fmt: skip
            place = (one.latitude_deg, one.longitude_deg)
            spread = np.hypot(
                typical_spread(table, name),
                np.sqrt(2) * _year_spread_withheld(table, name, one.latitude_deg),
            )
            times = one.ghi_kwh_per_m2 / before.ghi_kwh_per_m2
            rows.append(
                {"source": "one recorded year", "place": name, "record": one.record}
                | _within(times, drawn(*place, one.elevation_m),
                          yearly.year_band("file", *place, 1))
                | {"withheld": abs(np.log(times)) <= yearly.NINE_OF_TEN * spread}
            )  # fmt: skip
    return rows


def told(name: str, rows: pd.DataFrame) -> str:
    """A line of the README's table; the last share counts each place once."""
    shares = [f"{rows[key].sum()} ({rows[key].mean():.0%})" for key in ("drawn", "withheld")]
    shares.append(f"{rows.stated.sum()} ({rows.stated.mean():.0%})")
    by_place = rows.groupby("place").withheld.mean().mean()
    counts = f"{len(rows)} | {rows.place.nunique()}"
    return f"| {name} | {counts} | {' | '.join(shares)} | {by_place:.0%} |"


def main() -> None:
    """Print spreads, every year outside, and the table."""
    folder = Path(sys.argv[1])
    sums = _of_packages(folder) + _daily(folder) + _more(folder)
    if "--write" in sys.argv:
        lines = [
            json.dumps(asdict(one) | {"ghi_kwh_per_m2": round(one.ghi_kwh_per_m2, 1)},
                       ensure_ascii=False)
            for one in sums
        ]  # fmt: skip
        SUMS.write_text("[\n" + ",\n".join(lines) + "\n]\n", encoding="utf-8")
    table = table_of(sums)
    typical = table[table.kind == "typical"]
    print(f"{len(typical)} typical years of {typical.place.nunique()} places")
    for region, part in typical.groupby("region"):
        print(f"{region}: {part.place.nunique()} places, {source_spread(table, region):.4f}")
    print(f"typical years of a place: {typical_spread(table):.4f}")
    print("Wageningen: {:.4f}, without trend {:.4f}".format(*year_spread(table)))
    climate = pd.DataFrame(by_climate(table, "real"))
    typed = pd.DataFrame(by_mean(table))
    before = pd.DataFrame(by_year_before(table))
    everything = pd.concat([climate, typed, before])
    print(everything[~(everything.stated & everything.withheld)].round(3).to_string(index=False))
    print("| source | years | places | drawn years alone | withheld | stated | by place |")
    print("|---|---|---|---|---|---|---|")
    for source, rows in climate.groupby("source"):
        print(told(source, rows))
    print(told("climate, all", climate))
    print(told("monthly values, typical year", typed))
    print(told("one recorded year", before))
    print(told("left out: NSRDB 2019", pd.DataFrame(by_climate(table, "left out"))))
    far = [row for row in by_climate(table, "typical") if row["source"] == "climate_far"]
    print(told("climate far, typical years", pd.DataFrame(far)))


if __name__ == "__main__":
    main()
