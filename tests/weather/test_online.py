"""PVGIS and NASA POWER through a fake wire: answers, failures, memory, and what is used instead.

Answers are made in the services' documented structure from a synthetic year; the PVGIS typical
year is a recorded one.
"""

import json

import numpy as np
import pytest

from offgrid_sizing.sketch import BadInput, Site, Sketch, WeatherChoice
from offgrid_sizing.weather import online
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.climate import Spot
from offgrid_sizing.weather.fetch import QUIET_S, NotReached, Reply, Service
from offgrid_sizing.weather.online import horizon_online, online_weather
from offgrid_sizing.weather.report import climate_report

SPOT = Spot(45.0, 8.0, 250, 1.0)
TYPICAL = WeatherChoice(source="pvgis_typical", years=2)
URL, ASKED = "https://example.invalid/tmy", {"lat": 1}


class Wire:
    """A transport that gives prepared replies and remembers the questions."""

    def __init__(self, *replies):
        self.replies, self.asked, self.slept = list(replies), [], []

    def __call__(self, url, params):
        self.asked.append((url, dict(params)))
        reply = self.replies.pop(0) if len(self.replies) > 1 else self.replies[0]
        if isinstance(reply, Exception):
            raise reply
        return reply


@pytest.fixture(autouse=True)
def _with_a_network(monkeypatch):
    monkeypatch.delenv("OFFGRID_OFFLINE")


@pytest.fixture
def service(tmp_path):
    def make(*replies, name="PVGIS", now=lambda: 0.0):
        wire = Wire(*replies)
        made = Service(name, wire, wire.slept.append, now, tmp_path / "kept")
        return made, wire

    return make


def _ok(content) -> Reply:
    return Reply(200, content if isinstance(content, bytes) else json.dumps(content).encode())


def _utc_year(year: int):
    _, frame = climate_report(45.0, 8.0, 250, years=1, seed=year)
    stamps = frame["time"].dt.tz_convert("UTC").dt.tz_localize(None)
    return frame, stamps.map(lambda t: t.replace(year=year))


def _power_answer(year: int) -> dict:
    frame, stamps = _utc_year(year)
    names = {
        "ALLSKY_SFC_SW_DWN": "ghi", "ALLSKY_SFC_SW_DNI": "dni", "ALLSKY_SFC_SW_DIFF": "dhi",
        "T2M": "temp_air", "WS10M": "wind_speed",
    }  # fmt: skip
    keys = stamps.dt.strftime("%Y%m%d%H")
    table = {k: dict(zip(keys, frame[v].round(3), strict=True)) for k, v in names.items()}
    table["ALLSKY_SFC_SW_DWN"][keys[12]] = -999.0
    return {
        "geometry": {"coordinates": [8.0, 45.0, 247.3]},
        "properties": {"parameter": table},
        "header": {"fill_value": -999.0},
    }


def _series_answer(first: int, last: int) -> dict:
    hours = []
    for year in range(first, last + 1):
        frame, stamps = _utc_year(year)
        for stamp, row in zip(stamps.dt.strftime("%Y%m%d:%H10"), frame.itertuples(), strict=True):
            hours.append({
                "time": stamp, "Gb(i)": max(row.ghi - row.dhi, 0), "Gd(i)": row.dhi, "Gr(i)": 0.0,
                "H_sun": 0.0, "T2m": row.temp_air, "WS10m": 2.0, "Int": 0.0,
            })  # fmt: skip
    place = {"latitude": 45.0, "longitude": 8.0, "elevation": 250.0}
    slope = {"fixed": {"slope": {"value": 0, "optimal": False}, "azimuth": {"value": 0}}}
    return {
        "inputs": {"location": place, "mounting_system": slope},
        "outputs": {"hourly": hours},
        "meta": {"inputs": {}, "outputs": {}},
    }


def test_typical_year_of_a_recorded_answer(service, recorded):
    made, wire = service(_ok(recorded("pvgis_typical_45n_8e.json.gz")))
    weather = online_weather(TYPICAL, SPOT, service=made)
    assert weather.kind == "pvgis_typical"
    assert weather.ghi.sum() / 1000 == pytest.approx(1511, abs=1)
    assert "PVGIS (European Commission)" in weather.provenance
    url, params = wire.asked[0]
    assert url.endswith("/tmy")
    assert params["usehorizon"] == 0  # the sketch's own skyline is applied later


def test_hourly_years(service):
    made, wire = service(_ok(_series_answer(2019, 2020)))
    choice = WeatherChoice(source="pvgis_hourly", first_year=2019, last_year=2020)
    weather = online_weather(choice, SPOT, service=made)
    assert weather.year_names == ("2019", "2020")
    assert wire.asked[0][1]["startyear"] == 2019
    assert weather.ghi.mean() > 100


def test_power_years_are_asked_and_kept_one_by_one(service):
    made, wire = service(_ok(_power_answer(2021)), _ok(_power_answer(2022)), name="NASA POWER")
    choice = WeatherChoice(source="nasa_power", first_year=2021, last_year=2022)
    steps = []
    weather = online_weather(
        choice, SPOT, service=made, progress=lambda share, said: steps.append((share, said))
    )
    assert weather.year_names == ("2021", "2022")
    assert weather.elevation_m == pytest.approx(247.3)
    assert [share for share, _ in steps] == [0.0, 0.0, 0.5]
    assert len(wire.asked) == 2
    again = online_weather(choice, SPOT, service=made)
    assert len(wire.asked) == 2
    assert np.array_equal(again.ghi, weather.ghi)


def test_answers_are_kept_on_disk(service, recorded):
    made, wire = service(_ok(recorded("pvgis_typical_45n_8e.json.gz")))
    first = online_weather(TYPICAL, SPOT, service=made)
    silent, quiet_wire = service(NotReached("no connection to it"))
    second = online_weather(TYPICAL, SPOT, service=silent)
    assert np.array_equal(first.ghi, second.ghi)
    assert quiet_wire.asked == []
    assert len(wire.asked) == 1


@pytest.mark.parametrize(
    ("reply", "words"),
    [
        (NotReached("no answer within 25 s"), "no answer within 25 s"),
        (Reply(429, b"slow down"), "busy"),
        (Reply(500, b"oops"), "failed (500)"),
        (Reply(200, b'{"outputs": {"tmy_hou'), "cut-off answer"),
        (Reply(200, b"<html>please log in</html>"), "web page"),
        (Reply(200, b"[1, 2]"), "something other than"),
        (Reply(200, b'{"nothing": 1}'), "no whole year"),
        (Reply(200, b"[" * 100_000), "cut-off answer"),
        (Reply(400, b'{"message": "Location over the sea."}'), "Location over the sea"),
    ],
)
def test_every_failure_ends_with_the_built_in_climate_and_a_sentence(service, reply, words):
    made, _ = service(reply)
    weather = online_weather(TYPICAL, SPOT, service=made)
    assert weather.kind == "climate"
    assert weather.years == 2
    assert words in weather.caveats[0]
    assert "built-in climate is used instead" in weather.caveats[0]


def test_it_tries_three_times_and_waits_as_asked(service):
    made, wire = service(Reply(429, b"", 7.0), Reply(503, b""), _ok({"fine": 1}))
    assert made.ask(URL, ASKED) == {"fine": 1}
    assert wire.slept == [7.0, 2.0]


def test_it_never_waits_long(service):
    made, wire = service(Reply(429, b"", 3600.0))
    with pytest.raises(NotReached):
        made.ask(URL, ASKED)
    assert max(wire.slept) <= 10


def test_after_a_failure_the_service_is_left_alone_for_a_while(service):
    clock = [0.0]
    made, wire = service(NotReached("no connection to it"), now=lambda: clock[0])
    for _ in range(3):
        with pytest.raises(NotReached):
            made.ask(URL, ASKED)
    assert len(wire.asked) == 3  # the three tries of the first question
    clock[0] = QUIET_S + 1
    wire.replies = [_ok({"fine": 1})]
    assert made.ask(URL, ASKED) == {"fine": 1}


def test_use_what_i_have_asks_nobody(service):
    made, wire = service(_ok({"never": "sent"}))
    weather = online_weather(TYPICAL, SPOT, service=made, fetch=False)
    assert weather.kind == "climate"
    assert wire.asked == []


def test_a_spoilt_file_on_disk_is_asked_again(service, recorded, tmp_path):
    made, wire = service(_ok(recorded("pvgis_typical_45n_8e.json.gz")))
    online_weather(TYPICAL, SPOT, service=made)
    (kept,) = (tmp_path / "kept").iterdir()
    kept.write_bytes(kept.read_bytes()[:1000])
    online_weather(TYPICAL, SPOT, service=made)
    assert len(wire.asked) == 2


def test_a_disk_that_cannot_be_written_costs_nothing(recorded, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    wire = Wire(_ok(recorded("pvgis_typical_45n_8e.json.gz")))
    made = Service("PVGIS", wire, wire.slept.append, folder=blocked / "below")
    assert online_weather(TYPICAL, SPOT, service=made).kind == "pvgis_typical"


def test_years_that_are_not_there_are_a_fault_of_the_sketch(service):
    made, _ = service(_ok({}))
    choice = WeatherChoice(source="pvgis_hourly", first_year=2040, last_year=2050)
    with pytest.raises(BadInput, match="choose from 2005 to"):
        online_weather(choice, SPOT, service=made)


def test_offline_in_a_sketch_says_once_what_serves(monkeypatch):
    monkeypatch.setenv("OFFGRID_OFFLINE", "1")
    for source in ("pvgis_typical", "pvgis_hourly", "nasa_power"):
        sketch = Sketch(
            site=Site(latitude_deg=36, longitude_deg=-80),
            weather=WeatherChoice(source=source, years=2),
        )
        weather = weather_of(sketch)
        assert sum("is used instead" in said for said in weather.caveats) == 1


def test_skyline(service):
    profile = [{"A": -180.0, "H_hor": 2.0}, {"A": 0.0, "H_hor": 11.5}, {"A": 90.0, "H_hor": -1},
               {"A": 180.0, "H_hor": 2.0}]  # fmt: skip
    made, wire = service(_ok({"outputs": {"horizon_profile": profile}}))
    points = horizon_online(45, 8, made)
    assert [(p.azimuth_deg, p.elevation_deg) for p in points] == [(0, 2), (180, 11.5), (270, 0)]
    assert wire.asked[0][0].endswith("/printhorizon")


@pytest.mark.parametrize(
    ("reply", "words"),
    [(NotReached("no connection to it"), "draw it by hand"), (_ok({"outputs": {}}), "load a CSV")],
)
def test_no_skyline_is_a_sentence(service, reply, words):
    made, _ = service(reply)
    with pytest.raises(BadInput, match=words):
        horizon_online(45, 8, made)


def test_real_transport_turns_a_dead_address_into_a_sentence(monkeypatch):
    """Port 9 of this very machine answers nobody."""
    from offgrid_sizing.weather.fetch import over_http

    with pytest.raises(NotReached, match="no connection"):
        over_http("http://127.0.0.1:9/", {})


def test_the_services_are_the_public_ones():
    assert (online.PVGIS.name, online.POWER.name) == ("PVGIS", "NASA POWER")
