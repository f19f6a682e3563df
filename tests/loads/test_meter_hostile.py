"""Broken and hostile files: one sentence or a clean import, in bounded memory."""

import os
import subprocess
import sys

import meter_samples as samples
import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.meter import clean_meter_file
from offgrid_sizing.sketch import BadInput

ROWS = [
    f"{t:%Y-%m-%d %H:%M},{w / 1000}" for t, w in zip(samples.HOURS, samples.HOUR_W, strict=True)
]
HEAD = "time,kWh\n"
WHOLE = samples.lines(HEAD, ROWS)
DTD = (
    b'<?xml version="1.0"?><!DOCTYPE f [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">%s]>'
    b"<feed>&b;</feed>"
)
FALLING = [f"{t:%Y-%m-%d %H:%M},{n % 5}" for n, t in enumerate(samples.HOURS)]

REFUSED = {
    "empty": (b"", "is empty"),
    "one word": (b"hello", "has no columns"),
    "numbers without sense": (
        samples.lines(HEAD, [f"{row}e308" for row in ROWS]),
        "no two readings with a time and a number",
    ),
    "header only": (HEAD.encode(), "no line with a time and a value"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(99), "a picture"),
    "spreadsheet": (b"PK\x03\x04" + bytes(99), "workbook or ZIP"),
    "compressed": (b"\x1f\x8b\x08" + bytes(99), "compressed"),
    "nothing but NUL": (bytes(5000), "full of NUL bytes"),
    "noise": (np.random.default_rng(0).integers(0, 256, 5000, dtype=np.uint8).tobytes(), "has no"),
    "a BOM that lies": (b"\xff\xfe" + WHOLE, "has no columns"),
    "all in the year 9999": (
        WHOLE.replace(b"2023", b"9999"),
        "1440 dates lie outside 1990 to 2100",
    ),
    "all negative": (
        samples.lines(HEAD, [r.replace(",", ",-") for r in ROWS]),
        "mostly|most readings",
    ),
    "one moment": (samples.lines(HEAD, ROWS[:1] * 50), "a single instant"),
    "five hours": (samples.lines(HEAD, ROWS[:5]), "at least a day"),
    "two readings years apart": (
        samples.lines(HEAD, [*ROWS[:2], "2027-01-01 00:00,1"]),
        "cover 0.0% of the time",
    ),
    "a thousand columns": (
        samples.lines("", ["2023-01-01 00:00" + ",1" * 1000] * 9),
        "more than 400 columns",
    ),
    "words for values": (
        samples.lines(HEAD, [r.split(",")[0] + ",much" for r in ROWS]),
        "no line with",
    ),
    "entity expansion": (DTD % b"", "declares a document type or entities"),
    "a file read through an entity": (
        DTD % b'<!ENTITY c SYSTEM "file:///etc/passwd">',
        "declares a document type or entities",
    ),
    "XML cut in half": (samples.espi(samples.espi_type(1))[:200], "not well-formed XML"),
    "XML in no encoding": (b'<?xml version="1.0" encoding="nonsense"?><feed/>', "encoding"),
    "XML nested without end": (b"<a>" * 100_000, "nested too deeply"),
    "web page": (b"<html><body>log in</body></html>", "no IntervalReading"),
    "register that falls all the time": (samples.lines("time,meter reading kWh\n", FALLING), None),
}

IMPORTED = {
    "NUL in one row": (WHOLE.replace(b"2023-01-05 03", b"2023-01-\x00 03"), 1),
    "years 9999 and 1": (WHOLE + b"9999-12-31 23:00,5\n0001-01-01 00:00,3\n", 2),
    "a clock never set": (samples.lines(HEAD, ["1999-12-31 23:00,0.2", *ROWS]), 1),
    "infinite and huge": (WHOLE + b"2023-02-20 00:00,inf\n2023-02-20 01:00,1e300\n", 2),
    "a quote left open": (samples.lines(HEAD, [*ROWS[:50], '"' + ROWS[50], *ROWS[51:]]), 1),
    "a line of five million characters": (b"x" * 5_000_000 + b"\n" + WHOLE, 0),
    "cut in half": (WHOLE[: len(WHOLE) // 2], 0),
    "rows in any order": (samples.lines(HEAD, list(np.random.default_rng(1).permutation(ROWS))), 0),
    "every row twice": (samples.lines(HEAD, [row for row in ROWS for _ in (1, 2)]), 0),
    "UTF-16 with half a letter": (WHOLE.decode().encode("utf-16")[:-1], None),
}

# Shrinking a failing year takes minutes; the failing example is shown as it is.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


@pytest.mark.parametrize("name", REFUSED)
def test_refused_in_one_sentence(name):
    content, says = REFUSED[name]
    if says is None:
        options, says = {"quantity": "register_kwh"}, "so it is not a register"
    else:
        options = {}
    with pytest.raises(BadInput, match=says) as refused:
        clean_meter_file(content, **options)
    assert len(refused.value.sentences) == 1
    assert refused.value.sentences[0].endswith(".")


@pytest.mark.parametrize("name", IMPORTED)
def test_imported_and_said(name):
    content, left_out = IMPORTED[name]
    frame, report = clean_meter_file(content)
    assert np.isfinite(frame.load_w).all()
    assert report["daily_kwh"] == pytest.approx(samples.HOUR_W.mean() * 24 / 1000, rel=0.05)
    if left_out is not None:
        assert report["rows_unreadable"] + report["dates_left_out"] >= left_out
        assert any("left out" in sentence for sentence in report["sentences"]) == bool(left_out)


def test_negative_register_readings_are_left_out():
    rows = [f"{t:%Y-%m-%d %H:%M},{n * 0.5 - 50}" for n, t in enumerate(samples.HOURS)]
    frame, report = clean_meter_file(samples.lines("time,meter reading kWh\n", rows))
    assert report["negative"] == 100
    assert frame.load_w.to_numpy() == pytest.approx(500)


def test_a_file_that_claims_two_gigabytes_is_refused_unread(tmp_path):
    path = tmp_path / "huge.csv"
    with path.open("wb") as file:
        file.write(WHOLE)
        file.truncate(2_000_000_000)
    with pytest.raises(BadInput, match="is 2,000 MB: a meter file may be 60 MB"):
        clean_meter_file(path)


@pytest.mark.parametrize(
    ("name", "says"), [("gone.csv", "there is no meter file"), (".", "is a folder")]
)
def test_no_file_and_a_folder(tmp_path, name, says):
    with pytest.raises(BadInput, match=says):
        clean_meter_file(tmp_path / name)


def test_memory_stays_under_500_mib(tmp_path):
    """A file just under the limit in bytes and rows, in a process of its own."""
    path = tmp_path / "minutes.csv"
    times = np.datetime_as_string(
        np.datetime64("2023-01-01T00:00") + np.arange(790_000).astype("timedelta64[m]")
    )
    with path.open("w") as file:
        file.write("time,load_w,note\n")
        file.writelines(
            f"{t}+01:00,{300 + n % 700},padding {n:030d}\n" for n, t in enumerate(times)
        )
    assert 45e6 < path.stat().st_size < 60e6
    code = (
        "import pathlib, re, sys\n"
        "from offgrid_sizing.loads.meter import clean_meter_file\n"
        "report = clean_meter_file(sys.argv[1])[1]\n"
        # not ru_maxrss: it starts from what the process that forked this one held
        "status = pathlib.Path('/proc/self/status').read_text()\n"
        "print(report['rows_read'], re.search(r'VmHWM:\\s+(\\d+)', status)[1])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True
    )
    rows, peak_kib = (int(part) for part in done.stdout.split())
    assert rows == 790_000
    assert peak_kib / 1024 < 500


def sentences_or_load(content):
    """What a person would see: sentences, or the load."""
    try:
        return clean_meter_file(content)[0].load_w
    except BadInput as refused:
        return refused.sentences


ESPI = samples.espi(
    samples.espi_local_time(-18000),
    samples.espi_type(1),
    samples.espi_meter(1, 1),
    samples.espi_block(1, [samples.espi_reading(1672549200 + n * 3600, 500) for n in range(48)]),
)


@pytest.mark.parametrize("offset", ["+99:00", "-23:59"])
def test_an_offset_that_no_place_has_is_not_believed(offset):
    rows = [row.replace(",", offset + ",") for row in ROWS]
    frame, _ = clean_meter_file(samples.lines(HEAD, rows))
    assert frame.time[0] == "2023-01-01T00:00:00"
    with pytest.raises(BadInput, match="between -14 and 14"):
        clean_meter_file(WHOLE, utc_offset_h=30.0)
    late = ESPI.replace(b"-18000", str(2**60).encode())
    assert clean_meter_file(late)[0].time[0].startswith("2023-01-01T05:00:00")


@settings(max_examples=80, deadline=None, phases=PHASES)
@given(st.data())
def test_any_damage_is_a_sentence_or_an_import(data):
    whole = data.draw(st.sampled_from([WHOLE[:6000], ESPI]))
    content = bytearray(whole)
    for _ in range(data.draw(st.integers(1, 12))):
        at = data.draw(st.integers(0, len(content) - 1))
        piece = data.draw(st.binary(max_size=6))
        content[at : at + data.draw(st.integers(0, 40))] = piece
    seen = sentences_or_load(bytes(content))
    assert len(seen)
    assert isinstance(seen, tuple) or np.isfinite(seen).all()


@settings(max_examples=60, deadline=None, phases=PHASES)
@given(st.binary(max_size=400))
def test_any_bytes_are_one_sentence(content):
    # Four hundred bytes hold no day of readings.
    assert len(sentences_or_load(content)) == 1


def test_a_pipe_is_no_metered_file(tmp_path):
    """Opening it would wait for ever."""
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    with pytest.raises(BadInput, match="not an ordinary file"):
        clean_meter_file(pipe)
