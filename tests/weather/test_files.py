"""Weather files of every known format, read, laid on the clock and judged."""

import importlib.resources
import json

import numpy as np
import pandas as pd
import pytest

from offgrid_sizing.sketch import BadInput, Site, Sketch, Targets, WeatherChoice
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.climate import Spot
from offgrid_sizing.weather.files import FileHints, read_record, weather_of_record
from offgrid_sizing.weather.quality import noon_shift_h, quality_of
from offgrid_sizing.weather.report import climate_report
from offgrid_sizing.weather.sun import sun_path

SF = Spot(37.62, -122.4, 2, -8.0)


def _laid(content: bytes, spot: Spot, name="weather.csv", **hints):
    told = FileHints(**hints)
    record = read_record(content, name, told)
    return weather_of_record(record, spot, kind="file", name=name, hints=told)


def _shift_min(weather) -> float:
    offset = weather.time[0].utcoffset().total_seconds() / 3600
    sun = sun_path(weather.latitude_deg, weather.longitude_deg, weather.step_h, offset)
    return 60 * noon_shift_h(weather.ghi, sun)


def _pvlib_year(name: str) -> bytes:
    return (importlib.resources.files("pvlib") / "data" / name).read_bytes()


@pytest.fixture(scope="module")
def plain_year() -> pd.DataFrame:
    """One synthetic year at San Francisco, hour-beginning stamps without an offset."""
    frame = climate_report(37.62, -122.4, 2, years=1)[1]
    frame["time"] = frame["time"].dt.tz_localize(None)
    return frame


def _csv(frame: pd.DataFrame, **options) -> bytes:
    return frame.to_csv(index=False, float_format="%.3f", **options).encode()


@pytest.mark.parametrize(
    ("name", "kind", "spot", "total"),
    [
        # Yearly GHI [kWh/m²] summed from the file's own column, without this reader.
        ("san_francisco_tmy3.epw.gz", "EPW", SF, 1716),
        ("pvgis_typical_45n_8e.csv.gz", "PVGIS typical year", Spot(45, 8, 250, 1), 1511),
        ("pvgis_typical_45n_8e.json.gz", "PVGIS typical year", Spot(45, 8, 250, 1), 1511),
        ("pvgis_typical_45n_8e.epw.gz", "PVGIS EPW", Spot(45, 8, 250, 1), 1511),
        ("nsrdb_golden_1999.csv.gz", "NSRDB CSV", Spot(39.73, -105.18, 1820, -7), 1644),
    ],
)
def test_recorded_files(recorded, name, kind, spot, total):
    weather = _laid(recorded(name), spot, name)
    assert weather.provenance.startswith(kind)
    assert weather.ghi.shape == (1, 8760)
    assert weather.ghi.sum() / 1000 == pytest.approx(total, abs=1.5)
    # PVGIS does not say in these older files that its instants lie about ten minutes off.
    assert abs(_shift_min(weather)) < 11
    site = Site(
        latitude_deg=spot.latitude_deg, longitude_deg=spot.longitude_deg,
        elevation_m=spot.elevation_m,
    )  # fmt: skip
    assert [f.sentence for f in quality_of(weather, site) if f.level == "warning"] == []


@pytest.mark.parametrize(
    ("name", "kind", "total"),
    [
        ("723170TYA.CSV", "TMY3", 1566),
        ("703165TY.csv", "TMY3", 829),
        ("12839.tm2", "TMY2", 1793),
    ],
)
def test_typical_years_that_pvlib_carries(name, kind, total):
    record = read_record(_pvlib_year(name), "a file without an ending")
    assert record.kind == kind
    spot = Spot(record.latitude_deg, record.longitude_deg, 0, record.utc_offset_h)
    weather = weather_of_record(record, spot, kind="file", name=name)
    assert weather.ghi.sum() / 1000 == pytest.approx(total, abs=1)
    assert weather.year_names == ("typical",)
    assert abs(_shift_min(weather)) < 3
    assert not any("Missing" in said for said in weather.caveats)


def test_pvgis_series_for_another_plane_are_refused(recorded):
    for name in ("pvgis_hourly_tilted.csv", "pvgis_hourly_tracking.json"):
        with pytest.raises(BadInput, match="tilted or tracking plane"):
            read_record(recorded(name), name)


def test_the_climate_command_s_own_file_comes_back_unchanged():
    _, frame = climate_report(-1.29, 36.82, years=3)
    content = frame.to_csv(index=False).encode()
    spot = Spot(-1.29, 36.82, 1660, 2.0)
    weather = _laid(content, spot)
    assert weather.years == 3
    assert np.allclose(weather.ghi.ravel(), frame["ghi"])
    assert np.allclose(weather.temp_air.ravel(), frame["temp_air"])


@pytest.mark.parametrize(("stamp", "minutes"), [("begin", 0), ("middle", 30), ("end", 60)])
def test_stamps_are_found_by_the_sun(plain_year, stamp, minutes):
    moved = plain_year.assign(time=plain_year["time"] + pd.Timedelta(minutes=minutes))
    weather = _laid(_csv(moved), SF)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)
    assert any("time stamps fit the sun best" in said for said in weather.caveats)


def test_a_stamp_can_be_told_instead(plain_year):
    weather = _laid(_csv(plain_year), SF, stamp="end")
    assert _shift_min(weather) == pytest.approx(-60, abs=5)


def test_a_year_that_starts_in_july(plain_year):
    half = 181 * 24
    july = pd.concat([plain_year.iloc[half:], plain_year.iloc[:half]])
    july = july.assign(time=pd.date_range("2018-07-01", periods=8760, freq="h"))
    weather = _laid(_csv(july), SF)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)
    assert weather.year_names == ("2018-2019",)


def test_a_leap_year_loses_its_day(plain_year):
    times = pd.date_range("2020-01-01", periods=8784, freq="h")
    leap = pd.concat([plain_year.iloc[: 59 * 24], plain_year.iloc[:24], plain_year.iloc[59 * 24 :]])
    weather = _laid(_csv(leap.assign(time=times)), SF)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)
    assert weather.year_names == ("2020",)


@pytest.mark.parametrize(
    ("unit", "factor", "told"),
    [("GHI (kWh/m2)", 1e-3, "auto"), ("ghi (kJ/m2)", 3.6, "auto"), ("ghi", 1e-3, "kWh/m2"),
     ("ghi", 1e-3, "auto"), ("ghi", 3.6, "auto"), ("ghi [Wh/m²]", 1, "auto")],
)  # fmt: skip
def test_units_are_recognised_or_told(plain_year, unit, factor, told):
    table = plain_year[["time"]].assign(**{unit: plain_year["ghi"] * factor})
    weather = _laid(table.to_csv(index=False).encode(), SF, unit=told)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=0.01)


def test_semicolons_decimal_commas_and_european_dates(plain_year):
    table = plain_year.assign(time=plain_year["time"].dt.strftime("%d.%m.%Y %H:%M"))
    weather = _laid(_csv(table, sep=";", decimal=","), SF)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)


def test_year_month_day_hour_columns(plain_year):
    stamp = plain_year["time"].dt
    table = plain_year.drop(columns="time").assign(
        Year=stamp.year, Month=stamp.month, Day=stamp.day, Hour=stamp.hour, Minute=30
    )
    weather = _laid(_csv(table), SF)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)


def test_lines_above_the_headings_say_place_and_clock(plain_year):
    utc = plain_year.assign(time=plain_year["time"] + pd.Timedelta(hours=8))
    head = b"# latitude: 37.62\n# longitude: -122.40\n# utc_offset_h: 0\n# stamp: begin\n"
    weather = _laid(head + _csv(utc), SF)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)
    assert not any("names no" in said for said in weather.caveats)


def test_quarter_hours_become_hours_and_keep_the_energy():
    _, frame = climate_report(37.62, -122.4, 2, years=1, step_h=0.25)
    weather = _laid(frame.to_csv(index=False).encode(), SF)
    assert weather.ghi.shape == (1, 8760)
    assert weather.ghi.sum() == pytest.approx(frame["ghi"].sum() / 4)


def test_gaps_are_filled_and_said(plain_year):
    holes = plain_year.copy()
    holes.loc[4000:4001, "ghi"] = np.nan
    holes.loc[100:130, "temp_air"] = np.nan
    holes = holes.drop(index=5000)
    weather = _laid(_csv(holes), SF)
    assert np.isfinite(weather.ghi).all()
    assert weather.ghi[0, 4000:4002] == pytest.approx(plain_year["ghi"][4000:4002], rel=0.4)
    said = " ".join(weather.caveats)
    assert "Missing steps were filled" in said
    assert "ghi 3" in said
    assert "temp_air 32" in said


def test_repeated_hours_keep_the_first(plain_year):
    again = pd.concat([plain_year, plain_year.iloc[3000:3010].assign(ghi=1)])
    weather = _laid(_csv(again), SF)
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)
    assert any("10 moments appeared twice" in said for said in weather.caveats)


def test_missing_codes_count_as_gaps(plain_year):
    coded = plain_year.copy()
    coded.loc[1000:1003, ["ghi", "temp_air"]] = -9999
    weather = _laid(_csv(coded), SF)
    assert weather.temp_air.min() > -20
    assert any("outside" in said and "missing" in said for said in weather.caveats)


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        (["ghi"], "beam and diffuse were split"),
        (["ghi", "dhi"], "Beam radiation was calculated"),
        (["ghi", "dni"], "Diffuse radiation was calculated"),
        (["dni", "dhi"], "Global radiation was calculated"),
    ],
)
def test_missing_parts_are_made_and_said(plain_year, columns, words):
    weather = _laid(_csv(plain_year[["time", *columns]]), SF)
    assert any(words in said for said in weather.caveats)
    for name in ("ghi", "dni", "dhi"):
        made, true = getattr(weather, name)[0], plain_year[name]
        assert made.sum() == pytest.approx(true.sum(), rel=0.12 if columns == ["ghi"] else 0.02)


def test_several_calendar_years_and_an_unfinished_one(plain_year):
    years = [
        plain_year.assign(time=plain_year["time"] + pd.DateOffset(years=k)) for k in (-4, -3, -2)
    ]
    part = plain_year.iloc[:3000]
    weather = _laid(_csv(pd.concat([*years, part])), SF)
    assert weather.year_names == ("2021", "2022", "2023")
    assert any("Left out because incomplete: 2025" in said for said in weather.caveats)


def test_latest_twelve_months_where_no_calendar_year_is_whole(plain_year):
    times = pd.date_range("2021-05-01", periods=12_000, freq="h")
    twice = pd.concat([plain_year, plain_year])
    start = int((times[0] - pd.Timestamp("2021-01-01")) / pd.Timedelta(hours=1))
    weather = _laid(_csv(twice.iloc[start : start + 12_000].assign(time=times)), SF)
    assert weather.years == 1
    assert np.allclose(weather.ghi[0], plain_year["ghi"], atol=1e-3)


def test_a_half_hour_zone(plain_year):
    india = Spot(23.0, 72.6, 50, 5.5)
    _, frame = climate_report(23.0, 72.6, 50, years=1, step_h=0.5)
    utc = frame.assign(time=frame["time"].dt.tz_convert("UTC").dt.tz_localize(None))
    weather = _laid(b"# utc_offset_h: 0\n" + _csv(utc), india)
    assert weather.time[0].isoformat().endswith("+05:30")
    assert abs(_shift_min(weather)) < 3


def test_through_a_sketch_with_a_relative_path(tmp_path, recorded):
    (tmp_path / "sf.epw").write_bytes(recorded("san_francisco_tmy3.epw.gz"))
    sketch = Sketch(
        site=Site(latitude_deg=37.62, longitude_deg=-122.4),
        weather=WeatherChoice(source="file", file="sf.epw"),
        targets=Targets(step_h=0.5),
    )
    weather = weather_of(sketch, base_dir=tmp_path)
    assert weather.ghi.shape == (1, 17520)
    with pytest.raises(BadInput, match=r"there is no file “sf\.epw” in its folder"):
        weather_of(sketch, base_dir=tmp_path / "elsewhere")


def test_quality_sees_what_is_wrong(plain_year):
    site = Site(latitude_deg=37.62, longitude_deg=-122.4, elevation_m=2)

    def warned(frame, **hints):
        weather = _laid(_csv(frame), SF, **hints)
        return {f.check for f in quality_of(weather, site) if f.level == "warning"}

    assert warned(plain_year) == set()
    assert "clock" in warned(plain_year, stamp="end")
    assert "closure" in warned(plain_year.assign(dni=plain_year["dni"] * 0.5))
    assert "clear sky" in warned(plain_year.assign(ghi=plain_year["ghi"] * 1.6))
    assert "night" in warned(plain_year.assign(ghi=plain_year["ghi"] + 30))
    summer = plain_year["time"].dt.month.between(4, 10)
    moved = plain_year["time"] + pd.to_timedelta(summer.astype(int), unit="h")
    assert "summer time" in warned(plain_year.assign(time=moved), stamp="begin")


def test_quality_sees_the_wrong_place(recorded):
    weather = _laid(recorded("nsrdb_golden_1999.csv.gz"), Spot(39.73, -105.18, 1820, -7))
    far = Site(latitude_deg=36, longitude_deg=-80, elevation_m=270)
    found = {f.check: f for f in quality_of(weather, far)}
    assert found["place"].level == "warning"
    assert "warmer" in found["elevation"].sentence


def test_findings_are_sentences_with_warnings_first(plain_year):
    weather = _laid(_csv(plain_year), SF, stamp="end")
    levels = [f.level for f in quality_of(weather, Site(latitude_deg=37.6, longitude_deg=-122.4))]
    assert levels == sorted(levels, key=("warning", "note", "good").index)


def test_recorded_answer_is_what_pvlib_makes_of_it(recorded):
    """The JSON's own first daylight row, by hand: 08:00 UTC, 117 W/m² global."""
    rows = json.loads(recorded("pvgis_typical_45n_8e.json.gz"))["outputs"]["tmy_hourly"]
    assert rows[8]["G(h)"] == 117.0
    record = read_record(recorded("pvgis_typical_45n_8e.json.gz"), "x")
    assert record.rows["ghi"].iloc[8] == 117.0
    assert record.stamp == "instant"
