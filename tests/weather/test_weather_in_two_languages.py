"""Hostile weather files, skylines and services are told in Spanish with no English left."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from two_languages import assert_both_languages

from offgrid_sizing.sketch import BadInput, Site, WeatherChoice
from offgrid_sizing.weather import bands, fetch, files, plain, quality
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.cold import with_cold_of_place
from offgrid_sizing.weather.fetch import NotReached, Reply, Service
from offgrid_sizing.weather.files import FileHints, read_record, weather_of_record
from offgrid_sizing.weather.formats import pvgis_hourly
from offgrid_sizing.weather.horizon import read_horizon
from offgrid_sizing.weather.monthly import monthly_weather
from offgrid_sizing.weather.online import horizon_online, online_weather
from offgrid_sizing.weather.report import climate_report
from offgrid_sizing.weather.samples import sample_weather
from offgrid_sizing.weather.steps import Years, relay
from offgrid_sizing.words import to_words

HERE = Spot(37.62, -122.4, 2, -8.0)
TIMES = pd.date_range("2023-01-01", periods=8760, freq="h")
SUN = np.clip(np.sin((TIMES.hour - 6) / 12 * np.pi), 0, 1) * 600


def _table(**columns) -> bytes:
    return pd.DataFrame({"time": TIMES, "ghi": SUN} | columns).to_csv(index=False).encode()


def _told(content: bytes, **hints) -> tuple[str, ...]:
    """What a reader is told: the refusal, or source and caveats."""
    try:
        record = read_record(content, "year.csv", FileHints(**hints))
        made = weather_of_record(record, HERE, kind="file", name="year.csv", hints=FileHints())
    except BadInput as fault:
        return fault.sentences
    return (made.provenance, *made.caveats)


def _rows(change) -> bytes:
    rows = _table().split(b"\n")
    change(rows)
    return b"\n".join(rows)


def _set(at: int, row: bytes):
    return lambda rows: rows.__setitem__(at, row)


REFUSED = {
    "empty": b"", "png": b"\x89PNG\r\n" + bytes(99), "jpeg": b"\xff\xd8\xff" + bytes(9),
    "gif": b"GIF8" + bytes(9), "pdf": b"%PDF-1.7", "zip": b"PK\x03\x04xx", "gzip": b"\x1f\x8bxx",
    "excel": b"\xd0\xcf\x11\xe0xx", "hdf5": b"\x89HDFxx", "netcdf": b"CDFxx",
    "web page": b"<!DOCTYPE html>", "nul": b"x\x00" * 50, "words": b"hello world\n",
    "no rows": b"time,ghi\n", "no time": b"ghi,dni\n1,2\n",
    "one moment": b"time,ghi\n2023-01-01,1\n",
    "json": b'{"outputs": {}}', "epw": b"LOCATION,x\n", "half": _table()[:90_000],
    "nothing": _table(ghi=np.nan), "no light": _table().replace(b"ghi", b"dni"),
    "formula": _rows(_set(4, b"2023-01-01 03:00:00,=SUM(A1:A9)")),
    "word": _rows(_set(9, b"2023-01-01 08:00:00,lots")),
    "no date": _rows(_set(7, b"2023-13-45 06:00:00,5")),
    "year": _table().replace(b"2023-", b"1492-"),
    "place": b"# latitude: 95\n# longitude: 10\n" + _table(),
    "head": b"# latitude: up here\n" + _table(),
    "long row": _rows(_set(4, b"2023-01-01 03:00:00,1,2,3,4")),
    "odd steps": pd.DataFrame({"time": TIMES[::3], "ghi": SUN[::3]}).to_csv(index=False).encode(),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_weather(name):
    assert_both_languages(_told(REFUSED[name]), REFUSED[name])


MENDED = {
    "only global": _table(),
    "gap and double": _rows(lambda rows: rows.__setitem__(30, rows[31])),
    "impossible": _table(temp_air=[99.0, *[12.0] * 8759]),
    "mostly missing": _table(temp_air=[12.0] * 5000 + [np.nan] * 3760),
    "kW": _table(ghi=SUN / 1000).replace(b"ghi", b"ghi [kW/m2]"),
    "kWh": _table(ghi=SUN / 1000).replace(b"ghi", b"ghi [kWh/m2]"),
    "unsaid kWh": _table(ghi=SUN / 1000),
    "unsaid kJ": _table(ghi=SUN * 3.6),
    "beam and diffuse": _table(dni=SUN / 2, dhi=SUN / 2).replace(b"ghi", b"gone"),
    "global and diffuse": _table(dhi=SUN / 2),
    "global and beam": _table(dni=SUN / 2),
    "two years": b"\n".join(
        [b"time,ghi", *_table().split(b"\n")[1:-1],
         *_table().replace(b"2023-", b"2022-").split(b"\n")[1:-1],
         *_table().replace(b"2023-", b"2021-").split(b"\n")[1:99]]
    ),
    "latest": pd.DataFrame({"time": TIMES + pd.Timedelta(days=180), "ghi": SUN}).to_csv(
        index=False).encode() + b"2024-06-29 00:00:00,0\n2023-06-29 23:00:00,0\n",
}  # fmt: skip


@pytest.mark.parametrize("name", MENDED)
def test_what_was_assumed_or_mended(name):
    told = _told(MENDED[name])
    assert len(told) > 2
    assert_both_languages(told, MENDED[name])


def test_limits_and_missing_files(monkeypatch, tmp_path):
    content = _table()
    monkeypatch.setattr(files, "MAX_BYTES", 999)
    (tmp_path / "big.csv").write_bytes(content)
    for told in (lambda: files.read_bytes(tmp_path / "big.csv"),
                 lambda: files.read_bytes(tmp_path / "gone.csv")):  # fmt: skip
        with pytest.raises(BadInput) as fault:
            told()
        assert_both_languages(fault.value.sentences)
    assert_both_languages(_told(content), content)
    monkeypatch.setattr(files, "MAX_BYTES", 9_999_999)
    monkeypatch.setattr(plain, "MAX_ROWS", 99)
    assert_both_languages(_told(content), content)


def test_a_tilted_series_and_steps_that_do_not_fit():
    about = {"inputs": {"mounting_system": {"slope": 30}}}
    with pytest.raises(BadInput) as fault:
        pvgis_hourly(pd.DataFrame(), about)
    assert_both_languages(fault.value.sentences)
    series = dict.fromkeys(("ghi", "dni", "dhi", "temp_air", "wind_speed"), np.zeros((1, 8760)))
    with pytest.raises(BadInput) as fault:
        relay(
            Years(**series, step_h=1.0, utc_offset_h=0.013, latitude_deg=0, longitude_deg=0), 1, 0
        )
    assert_both_languages(fault.value.sentences)
    assert "UTC+0,013" in to_words(fault.value.sentences[0], "es")


@pytest.mark.parametrize(
    "text",
    ["", "0;1\n5", "0;1\nten;2", "0;1\nnan;2", "0;1\n999;2", "0;1\n9;99", "0;\x00",
     "1;1\n" * 300_000],
    ids=range(8),
)  # fmt: skip
def test_a_skyline_that_is_none(text):
    with pytest.raises(BadInput) as fault:
        read_horizon(text.encode())
    assert_both_languages(fault.value.sentences, text)


@pytest.mark.parametrize(
    "answer",
    [NotReached(fetch.sentence("weather.online.no_answer", seconds=25.0)), Reply(429, b"slow"),
     Reply(500, b"oops"), Reply(200, b'{"outputs": {"tmy_hou'), Reply(200, b"<html>log in</html>"),
     Reply(200, b"[1, 2]"), Reply(200, b'{"nothing": 1}'), Reply(400, b"{}"),
     Reply(400, b'{"message": "Location over the sea."}')],
    ids=range(9),
)  # fmt: skip
def test_a_service_out_of_reach(answer, monkeypatch, tmp_path):
    monkeypatch.delenv("OFFGRID_OFFLINE")

    def wire(url, params):
        if isinstance(answer, Exception):
            raise answer
        return answer

    def service():
        return Service("PVGIS", wire, lambda seconds: None, folder=tmp_path)

    choice = WeatherChoice(source="pvgis_typical")
    asked = []
    made = online_weather(
        choice, HERE, years=1, service=service(), progress=lambda share, words: asked.append(words)
    )
    assert_both_languages([*asked, made.caveats[0]])
    assert to_words(made.caveats[0], "es").startswith("No se pudo contactar con PVGIS (")
    with pytest.raises(BadInput) as fault:
        horizon_online(1.0, 2.0, service())
    assert_both_languages(fault.value.sentences)


def test_a_service_not_asked_and_years_it_does_not_hold():
    made = online_weather(WeatherChoice(source="nasa_power"), HERE, years=1)
    assert_both_languages(made.caveats[:1])
    early = WeatherChoice(source="nasa_power", first_year=1980, last_year=1985)
    with pytest.raises(BadInput) as fault:
        online_weather(early, HERE, years=1)
    assert_both_languages(fault.value.sentences)


@pytest.mark.parametrize("latitude", [52.0, 10.0, -30.0])
def test_the_built_in_climate(latitude):
    made = climate_weather(Spot(latitude, -150.0, 0, 0.0), 1)
    assert_both_languages([made.provenance, *made.caveats, *made.year_names])
    assert "1 synthetic year, " in made.provenance
    assert "1 año sintético, " in to_words(made.provenance, "es")


def test_heights_and_poles():
    for gap in (900.0, -900.0):
        assert_both_languages(bands.climate_caveats(0.0, 0.0, gap, has_cell=False))
    for latitude in (85.0, -85.0):
        with pytest.raises(BadInput) as fault:
            climate_weather(Spot(latitude, 0.0, 0, 0.0), 1)
        assert_both_languages(fault.value.sentences)


@pytest.mark.parametrize("values", [(90.0,) * 12, (15.0,) * 12, (11.0,) * 12, (0.01,) * 12])
def test_monthly_values_no_sky_gives(values):
    with pytest.raises(BadInput) as fault:
        monthly_weather(
            HERE, WeatherChoice(source="monthly", monthly_ghi_kwh_per_m2_day=values), (0, 0), 1
        )
    assert_both_languages(fault.value.sentences)
    assert "enero" in to_words(fault.value.sentences[0], "es")


def test_monthly_values_on_the_flat_and_on_a_tilt():
    for field in ("monthly_ghi_kwh_per_m2_day", "monthly_tilted_peak_sun_hours_h"):
        choice = WeatherChoice(source="monthly", **{field: (2.5,) * 12})
        made = monthly_weather(HERE, choice, (10, 180), 1)
        assert_both_languages([made.provenance, *made.caveats])
    tilted = WeatherChoice(source="monthly", monthly_tilted_peak_sun_hours_h=(11.0,) * 12)
    with pytest.raises(BadInput) as fault:
        monthly_weather(HERE, tilted, (10, 180), 1)
    assert_both_languages(fault.value.sentences)


def test_a_sample_far_away_and_a_record_colder_than_its_place():
    made = sample_weather("sand_point", HERE)
    assert_both_languages([made.provenance, *made.caveats, *made.year_names])
    near = Spot(made.latitude_deg, made.longitude_deg, made.elevation_m, -9.0)
    cold = with_cold_of_place(replace(made, temp_air=made.temp_air - 60), near)
    assert_both_languages(cold.caveats[-1:])


SITE = Site(latitude_deg=10, longitude_deg=10, elevation_m=900)
CHANGES = {
    "as it is": {}, "night": {"ghi": 300.0}, "bright": {"ghi": lambda w: w.ghi * 3},
    "dark": {"ghi": lambda w: w.ghi / 9}, "late": {"ghi": lambda w: np.roll(w.ghi, 3)},
    "early": {"ghi": lambda w: np.roll(w.ghi, -3)}, "no sun": {"ghi": 0.0},
    "summer time": {"ghi": lambda w: np.where(
        np.repeat((np.arange(365) > 105) & (np.arange(365) < 290), 24), np.roll(w.ghi, 1), w.ghi)},
    "high": {"elevation_m": 2500.0},
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_what_the_checks_saw(name):
    weather = sample_weather("greensboro", HERE)
    changed = {}
    for field, value in CHANGES[name].items():
        made = value(weather) if callable(value) else value
        changed[field] = made if field == "elevation_m" else made + np.zeros_like(weather.ghi)
    found = quality.quality_of(replace(weather, **changed), SITE)
    assert_both_languages([finding.sentence for finding in found])


@pytest.mark.parametrize("asked", [
    {"latitude": 95.0}, {"longitude": 999.0}, {"elevation_m": 1e9}, {"step_h": 0.3},
    {"years": 0}, {"seed": -1},
])  # fmt: skip
def test_a_climate_asked_for_wrongly(asked):
    with pytest.raises(BadInput) as fault:
        climate_report(**({"latitude": 1.0, "longitude": 2.0} | asked))
    assert_both_languages(fault.value.sentences)
