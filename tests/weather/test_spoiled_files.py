"""Five hundred spoiled weather files of every format: weather within bounds, or one sentence.

Seeds 0 to 499, each file cycled through below as often as its reader is quick.
"""

import importlib.resources
import random

import numpy as np
import pytest
from spoiling import one_line, spoiled_file

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather.climate import Spot
from offgrid_sizing.weather.files import read_record, weather_of_record
from offgrid_sizing.weather.report import climate_report

HERE = Spot(37.62, -122.4, 2, -8.0)
# Sunlight above the air at its strongest, in January: 1361 W/m² × 1.034 (solar constant of ASTM
# E490-22 and the eccentricity of Earth's orbit, from memory).
MOST_W_PER_M2 = 1408
FILES = {
    "san_francisco_tmy3.epw.gz": 50,
    "pvgis_typical_45n_8e.epw.gz": 40,
    "723170TYA.CSV": 50,
    "12839.tm2": 10,
    "nsrdb_golden_1999.csv.gz": 70,
    "pvgis_typical_45n_8e.json.gz": 50,
    "pvgis_hourly_tracking.json": 20,
    "pvgis_typical_45n_8e.csv.gz": 50,
    "pvgis_hourly_tilted.csv": 20,
    "plain": 60,
    "plain with offsets": 40,
    "plain with semicolons": 10,
    "plain in columns": 30,
}


def plain(kind: str) -> bytes:
    """A made-up year as a plain table."""
    frame = climate_report(37.62, -122.4, 2, years=1)[1]
    local = frame.assign(time=frame["time"].dt.tz_localize(None))
    time = local["time"].dt
    options = {"index": False, "float_format": "%.2f"}
    if kind == "plain with offsets":
        local = frame
    elif kind == "plain with semicolons":
        options |= {"sep": ";", "decimal": ",", "date_format": "%d.%m.%Y %H:%M"}
    elif kind == "plain in columns":
        parts = {name: getattr(time, name) for name in ("year", "month", "day", "hour")}
        local = local.assign(**parts).drop(columns="time")
    return local.to_csv(**options).encode()


def content_of(name: str, recorded) -> bytes:
    if name.startswith("plain"):
        return plain(name)
    carried = importlib.resources.files("pvlib") / "data" / name
    return carried.read_bytes() if carried.is_file() else recorded(name)


def became_of(content: bytes, name: str) -> str:
    """What became of it, in a word; anything else is raised."""
    try:
        record = read_record(content, name)
        spot = HERE
        if None not in (record.latitude_deg, record.longitude_deg, record.utc_offset_h):
            spot = Spot(record.latitude_deg, record.longitude_deg, 2, record.utc_offset_h)
        made = weather_of_record(record, spot, kind="file", name=name)
    except BadInput as refused:
        (said,) = refused.sentences
        assert one_line(said), said
        return "refused"
    for light in (made.ghi, made.dni, made.dhi):
        assert light.min() >= 0
        assert light.max() < MOST_W_PER_M2
    assert np.isfinite(made.temp_air).all()
    assert np.isfinite(made.wind_speed).all()
    return "read"


@pytest.mark.parametrize("name", FILES)
def test_each_is_weather_or_one_sentence(name, recorded):
    whole, became, faults = content_of(name, recorded), [], []
    first = sum(FILES[one] for one in list(FILES)[: list(FILES).index(name)])
    for seed in range(first, first + FILES[name]):
        try:
            became.append(became_of(spoiled_file(random.Random(seed), whole), name))
        except Exception as fault:
            faults.append(f"seed {seed}: {fault!r}"[:300])
    assert faults == []
    assert became.count("refused") > 0
    if not name.startswith("pvgis_hourly"):  # of another plane: never weather
        assert became.count("read") > 0.1 * FILES[name]


def test_five_hundred_of_them():
    assert sum(FILES.values()) == 500
