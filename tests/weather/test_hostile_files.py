"""What must never pass for weather: one sentence each, in bounded memory."""

import os
import re
import tracemalloc
import zlib

import numpy as np
import pandas as pd
import pytest
from hostile_names import THINGS, made

from offgrid_sizing.sketch import BadInput, Site, Sketch, WeatherChoice
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.climate import Spot
from offgrid_sizing.weather.files import MAX_BYTES, read_record, weather_of_record

HERE = Spot(37.62, -122.4, 2, -8.0)
TIMES = pd.date_range("2023-01-01", periods=8760, freq="h")


def _refused(content: bytes, name="year.csv") -> str:
    with pytest.raises(BadInput) as caught:
        weather_of_record(read_record(content, name), HERE, kind="file", name=name)
    assert len(caught.value.sentences) == 1
    said = str(caught.value)
    assert "\n" not in said
    assert "Traceback" not in said
    assert len(said) < 300
    return said


def _table(**columns) -> bytes:
    frame = pd.DataFrame({"time": TIMES, "ghi": np.full(8760, 100.0)} | columns)
    return frame.to_csv(index=False).encode()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"  \n\n ", "is empty"),
        (b"\x89PNG\r\n\x1a\n" + b"\x00" * 100, "PNG picture"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"PK\x03\x04" + b"x" * 50, "Excel workbook"),
        (zlib.compress(b"x" * 10_000) + b"\x00" * 50, "not text"),
        (b"<!DOCTYPE html><html>login</html>", "web page"),
        (b"hello world\n", "headings such as"),
        (b"a,b,c\n1,2,3\n", "headings such as"),
        (b"time,ghi\n", "no rows"),
        (b"ghi,dni\n1,2\n", "no column 'time'"),
        (b"time,ghi\n2023-01-01,1\n", "single instant|whole year"),
        (b"{", "cannot be read"),
        (b" 12839 MIAMI                  FL  -5 N 25 48 W  80 16     2\n", "TMY2.*cannot be read"),
        (b'{"outputs": {}}', "cannot be read"),
        (b'{"a":' * 50_000, "cannot be read"),
        (b"LOCATION,x\n", "cannot be read"),
        (b"LOCATION,X,-,Y,Z,1,91.0,200.0,1,5\n" + b"a\n" * 9, "cannot be read"),
        (b"Source,Location ID\nNSRDB,1\n", "cannot be read"),
        (b"Latitude (decimal degrees): 45\nLongitude", "cannot be read"),
    ],
)
def test_not_weather(content, words):
    assert re.search(words, _refused(content))


def test_a_picture_named_epw():
    assert "PNG" in _refused(b"\x89PNG\r\n\x1a\n" + os.urandom(1000), "roof.epw")


@pytest.mark.parametrize("share", [0.001, 0.1, 0.5, 0.85])
@pytest.mark.parametrize(
    "name",
    ["san_francisco_tmy3.epw.gz", "pvgis_typical_45n_8e.csv.gz", "pvgis_typical_45n_8e.json.gz",
     "nsrdb_golden_1999.csv.gz"],
)  # fmt: skip
def test_cut_off_files(recorded, name, share):
    content = recorded(name)
    _refused(content[: int(len(content) * share)], name)


def test_half_a_year_says_which_months_it_holds():
    half = b"\n".join(_table().split(b"\n")[:4380])
    said = _refused(half)
    assert "50% of the year" in said
    assert "Jan, Feb, Mar, Apr, May, Jun" in said


def test_8759_rows_are_mended_and_said():
    rows = _table().split(b"\n")
    del rows[3000]
    weather = weather_of_record(
        read_record(b"\n".join(rows), "y.csv"), HERE, kind="file", name="y.csv"
    )
    assert sum("ghi 1" in said for said in weather.caveats) == 1


def test_a_column_of_nan():
    assert "0% of the year" in _refused(_table(ghi=np.full(8760, np.nan)))


def test_a_formula_is_named_with_its_line():
    rows = _table().split(b"\n")
    rows[4] = b"2023-01-01 03:00:00,=SUM(A1:A9)"
    said = _refused(b"\n".join(rows))
    assert "line 5, column ghi" in said
    assert "formula" in said


def test_a_word_is_named_with_its_line():
    rows = _table().split(b"\n")
    rows[10] = b"2023-01-01 09:00:00,lots"
    assert "line 11, column ghi: 'lots' is not a number" in _refused(b"\n".join(rows))


@pytest.mark.parametrize("year", ["0001", "1492", "2999"])
def test_years_out_of_this_world(year):
    said = _refused(_table().replace(b"2023-", year.encode() + b"-"))
    assert "outside 1900 to 2100" in said or "not a date and time" in said


@pytest.mark.parametrize("line", ["latitude: 95", "longitude: inf", "utc_offset_h: 99"])
def test_places_off_the_earth(line):
    head = f"# latitude: 10\n# longitude: 10\n# {line}\n".encode()
    assert "must be between" in _refused(head + _table())


def test_bytes_at_random_places_never_break_the_reader(recorded):
    """Fifty damaged copies of a recorded year: weather or one sentence."""
    whole, rng = recorded("nsrdb_golden_1999.csv.gz"), np.random.default_rng(5)
    for _ in range(50):
        content = bytearray(whole[: rng.integers(200, len(whole))] if rng.random() < 0.3 else whole)
        for at in rng.integers(0, min(len(content), 10 ** rng.integers(2, 6)), 5):
            content[at] = rng.integers(0, 256)
        try:
            record = read_record(bytes(content), "damaged.csv")
            made = weather_of_record(record, HERE, kind="file", name="damaged.csv")
        except BadInput as fault:
            sentences = fault.sentences
        else:
            sentences = ("read",)
            assert np.isfinite(made.ghi).all()
        assert len(sentences) == 1


def test_dates_that_are_none():
    rows = _table().split(b"\n")
    rows[7] = b"2023-13-45 06:00:00,5"
    assert "line 8" in _refused(b"\n".join(rows))


def test_steps_too_long():
    frame = pd.DataFrame({"time": pd.date_range("2023-01-01", periods=2920, freq="3h"), "ghi": 5})
    assert "steps of 180 minutes" in _refused(frame.to_csv(index=False).encode())


def test_a_hundred_megabytes_are_refused_unread(tmp_path):
    big = tmp_path / "big.csv"
    with big.open("wb") as out:
        out.truncate(100_000_000)
    sketch = Sketch(
        site=Site(latitude_deg=37, longitude_deg=-122),
        weather=WeatherChoice(source="file", file=big.name),
    )
    tracemalloc.start()
    with pytest.raises(BadInput, match="is 100 MB; weather files"):
        weather_of(sketch, base_dir=tmp_path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 30_000_000


def test_too_much_content_is_refused():
    assert "larger than" in _refused(b"x" * (MAX_BYTES + 1))


def test_too_many_rows_are_refused():
    """A minute's stamps over two years."""
    content = b"time,ghi\n" + b"2023-01-01 00:00,1\n" * 700_002
    assert "more than 700,000 rows" in _refused(content)


def test_uneven_rows():
    rows = _table().split(b"\n")
    rows[20] = rows[20] + b",1,2,3,4,5,6"
    assert "cannot be read as a table" in _refused(b"\n".join(rows))


@pytest.mark.parametrize("kind", ["pipe", "folder", "link out"])
def test_what_is_no_file_of_the_sketchs_folder_is_not_opened(tmp_path, kind):
    """A pipe would never be done; the others are told apart from a file that cannot be read."""
    folder = tmp_path / "home"
    folder.mkdir()
    sketch = Sketch(
        site=Site(latitude_deg=37, longitude_deg=-122),
        weather=WeatherChoice(source="file", file=made(folder, kind)),
    )
    with pytest.raises(BadInput, match=f"^weather.file: “.*” {THINGS[kind][1]}"):
        weather_of(sketch, base_dir=folder)
