"""Pack the records of the package pvanalytics that the tests of this folder are held against.

Needs (in an environment of its own, only to rebuild): pvanalytics 0.2.2 (without its libraries)
and pyarrow. Its data are under the MIT licence, © 2020, 2022 Alliance for Sustainable Energy, LLC
and National Technology and Engineering Solutions of Sandia, LLC. Run
`python tests/published/build_measured.py`; it writes `measured_array.npz` and
`labelled_records.npz` beside itself.

The array: system 50 of the public PVDAQ archive, Golden, Colorado. Place, tilt and azimuth stand
in the gallery of pvanalytics ("PV Fleets QA Process: Power": 39.7406° N, 105.1775° W, ground truth
tilt 45°, azimuth 158°). Its stamps follow daylight saving although they are written as UTC−7; here
they stand on standard time (UTC−7). What the spring change leaves out is left out. The half-hour
satellite weather (global, air temperature) comes with it.
"""

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pandas as pd

HERE = Path(__file__).resolve().parent
CIVIL = "America/Denver"
STANDARD = "Etc/GMT+7"  # the sign of these names is turned: UTC−7


def source(name: str):
    """A file of the package, which itself is not imported: its own libraries are not needed."""
    package = find_spec("pvanalytics")
    if package is None or package.origin is None:
        raise SystemExit("pip install --no-deps pvanalytics==0.2.2")
    return Path(package.origin).parent / "data" / name


def clock(stamps: pd.Series) -> pd.DatetimeIndex:
    """Stamps without their zone, as written."""
    index = pd.DatetimeIndex(pd.to_datetime(stamps.astype(str), utc=True))
    return index.tz_convert(STANDARD).tz_localize(None)


def minutes(index: pd.DatetimeIndex, start: str) -> np.ndarray:
    """Minutes since the start of a day, int32."""
    return ((index - pd.Timestamp(start)) / pd.Timedelta(minutes=1)).to_numpy().astype(np.int32)


def the_array() -> dict[str, np.ndarray]:
    """Power on a grid of 15 minutes from 2011-04-15 (−1: no reading), and the weather."""
    table = pd.read_parquet(str(source("system_50_ac_power_2_full_DST.parquet")))
    civil = clock(table["measured_on"])
    aware = civil.tz_localize(CIVIL, ambiguous=np.zeros(len(civil), bool), nonexistent="NaT")
    power = pd.Series(table["ac_power_2"].to_numpy(), index=aware)
    power = power[power.index.notna()]
    power.index = power.index.tz_convert(STANDARD).tz_localize(None)
    grid = pd.date_range("2011-04-15", "2013-12-31 23:45", freq="15min")
    weather = pd.read_parquet(str(source("system_50_ac_power_2_full_DST_psm3.parquet")))
    stamps = clock(weather["index"])
    assert (np.diff(stamps) == np.timedelta64(30, "m")).all()
    assert str(stamps[0]) == "2011-01-01 00:00:00"
    return {
        "ac_power_dw": (10 * power.reindex(grid)).round().fillna(-1).to_numpy().astype(np.int32),
        "ghi_w_per_m2": weather["ghi"].round().to_numpy().astype(np.int16),
        "temp_air_dc": (10 * weather["temp_air"]).round().to_numpy().astype(np.int16),
    }


def labelled() -> dict[str, np.ndarray]:
    """Five records with their labels, by name; power of 0 to 1 as float64."""
    packed: dict[str, np.ndarray] = {}
    for name, file, column in (
        ("clipped", "ac_power_inv_7539.csv", "label"),
        ("outliers", "ac_power_inv_7539_outliers.csv", "outlier"),
        ("stale", "ac_power_inv_2173_stale_data.csv", "stale_data_mask"),
    ):
        table = pd.read_csv(str(source(file)))
        index = pd.DatetimeIndex(pd.to_datetime(table["timestamp"], utc=True)).tz_localize(None)
        start = str(index[0].date())
        packed |= {
            f"{name}_start": np.array(start),
            f"{name}_minute": minutes(index, start),
            f"{name}_power": table["value_normalized"].to_numpy(float),
            f"{name}_label": table[column].astype(str).str.upper().eq("TRUE").to_numpy(),
        }
    snow = pd.read_csv(str(source("snow_data.csv")), index_col=0, parse_dates=True)
    snow = snow[~snow.index.duplicated()]
    fell = pd.read_csv(str(source("snow_snowfall.csv")), index_col=0, parse_dates=True)["SNOW"]
    days = pd.read_csv(str(source("pvlib_data_shift.csv")), index_col=0, parse_dates=True)
    return packed | {
        "snow_start": np.array("2022-01-05"),
        "snow_minute": minutes(snow.index, "2022-01-05"),
        "snow_power_kw": snow["INV1 AC Power [kW]"].fillna(0).to_numpy(float),
        "snow_poa_w_per_m2": snow["POA [W/m²]"].to_numpy(float),
        "snow_air_c": snow["Ambient Temp [C]"].to_numpy(float),
        "snow_fell_mm": fell.to_numpy(float),
        "shift_start": np.array(str(days.index[0].date())),
        "shift_day": (days.index - days.index[0]).days.to_numpy(),
        "shift_value": days["value"].to_numpy(float),
        "shift_label": days["label"].to_numpy(bool),
    }


if __name__ == "__main__":
    np.savez_compressed(HERE / "measured_array.npz", **the_array())
    np.savez_compressed(HERE / "labelled_records.npz", **labelled())
