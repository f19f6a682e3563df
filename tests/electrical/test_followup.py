"""Follow-up: reading loggers, performance ratio by hand, causes found where they were planted."""

from functools import lru_cache

import numpy as np
import pandas as pd
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.followup import (
    Mapping,
    compare,
    guess_columns,
    read_logger_csv,
)
from offgrid_sizing.followup.compare import _expected_frame, cell_from_air_c
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import BadInput, Module, Sketch


@lru_cache(maxsize=2)
def _simulation(name="farmhouse"):
    raw = demo(name).model_dump()
    raw["weather"] = {"source": "sample", "sample": "greensboro"}
    return simulate(Sketch.model_validate(raw))


def _record(days=range(150, 190), *, poa=True, year=2026, **change):
    """A logger's frame that shows exactly what the sketch promises, then changed."""
    simulation = _simulation()
    frame = _expected_frame(simulation)
    frame = frame[np.isin(frame.index.day_of_year, list(days))]
    stamps = pd.to_datetime(f"{year}-" + frame.index.strftime("%m-%d %H:%M"))
    soc = simulation.trace["soc_frac"][np.isin(simulation.time.day_of_year, list(days))]
    record = pd.DataFrame(
        {
            "Time": stamps.strftime("%Y-%m-%d %H:%M"),
            "PV power (W)": frame["pv"].to_numpy(),
            "Load power (W)": frame["load"].to_numpy(),
            "Battery charge power (W)": frame["bank_in"].to_numpy(),
            "Battery discharge power (W)": frame["bank_out"].to_numpy(),
            "Battery SOC (%)": 100 * soc,
            "Unserved (W)": frame["unserved"].to_numpy(),
        }
    )
    if poa:
        record["POA irradiance (W/m2)"] = frame["poa"].to_numpy()
        record["Module temperature (C)"] = frame["cell"].to_numpy()
    for column, function in change.items():
        name = next(c for c in record if c.lower().startswith(column))
        record[name] = function(record[name], frame)
    return record


def _compared(record):
    logger = read_logger_csv(record.to_csv(index=False).encode())
    return compare(logger, _simulation())


def _codes(found):
    return {cause.code for cause in found.causes}


def test_performance_ratio_of_a_flat_day_by_hand():
    # 12 modules of 450 W = 5.4 kW; ten hours at 500 W/m² and 25 °C: Yr = 5 h; 2,160 W in those
    # hours: Ya = 21.6 kWh / 5.4 kW = 4 h; PR = 0.8, at 25 °C the same
    simulation = _simulation()
    assert simulation.system.modules * 450 == 5400
    time = pd.date_range("2026-06-10", periods=48, freq="h")
    sun = ((time.hour >= 7) & (time.hour < 17)).astype(float)
    record = pd.DataFrame({"time": time, "PV W": 2160 * sun, "POA W/m2": 500 * sun,
                           "cell temperature": 25.0})  # fmt: skip
    found = compare(read_logger_csv(record.to_csv(index=False).encode()), simulation)
    assert found.daily["reference_yield_h"].to_numpy() == pytest.approx(5.0)
    assert found.daily["array_yield_h"].to_numpy() == pytest.approx(4.0)
    assert found.performance_ratio == pytest.approx(0.8)
    assert found.performance_ratio_25c == pytest.approx(0.8)
    # with cells at 55 °C and −0.35 %/K the reference shrinks by 10.5 %
    record["cell temperature"] = 55.0
    hot = compare(read_logger_csv(record.to_csv(index=False).encode()), simulation)
    assert hot.performance_ratio == pytest.approx(0.8)
    assert hot.performance_ratio_25c == pytest.approx(0.8 / 0.895)
    assert hot.monthly["performance_ratio"].to_numpy() == pytest.approx(0.8)


def test_what_was_promised_meets_the_promise():
    found = _compared(_record(range(1, 366)))
    assert found.days_judged == 365
    assert found.weather_corrected
    for name in ("pv", "load", "bank_in", "bank_out"):
        assert found.ratio[name] == pytest.approx(1.0, abs=0.01)
    assert [c for c in found.causes if c.code != "heat"] == []
    assert found.performance_ratio_25c == pytest.approx(found.expected_ratio_25c, rel=0.01)
    assert len(found.monthly) == 12
    assert found.monthly["pv_kwh"].sum() == pytest.approx(found.daily["pv_kwh"].sum())


def test_without_irradiance_it_says_that_weather_is_not_corrected():
    found = _compared(_record(poa=False))
    assert not found.weather_corrected
    assert found.performance_ratio is None
    dull = _compared(_record(poa=False, pv=lambda pv, _: 0.8 * pv))
    assert _codes(dull) & {"low_unmeasured", "string_out"}


def test_one_string_of_two_out_is_named():
    found = _compared(_record(range(1, 30), pv=lambda pv, frame: 0.5 * frame["pv"].to_numpy()))
    first = found.causes[0]
    assert (first.code, first.sure) == ("string_out", "high")
    assert (first.told["missing"], first.told["strings"]) == (1, 2)
    assert first.told["share"] == pytest.approx(0.5, abs=0.01)
    assert first.told["left_share"] == 0.5


def test_a_clock_an_hour_late_is_named():
    found = _compared(_record(pv=lambda pv, _: np.roll(pv, 1)))
    (late,) = (cause for cause in found.causes if cause.code == "clock_late")
    assert late.told["hours"] == 1


def test_shade_in_the_morning_is_named():
    def shaded(pv, frame):
        return np.where(frame.index.hour < 11, 0.15, 1.0) * pv

    winter = range(1, 40)
    found = _compared(_record(winter, pv=shaded))
    assert "shade_morning" in _codes(found)
    other = _compared(_record(winter, pv=lambda pv, f: np.where(f.index.hour > 13, 0.15, 1.0) * pv))
    assert "shade_afternoon" in _codes(other)


def test_a_limit_is_named():
    def cut(pv, frame):
        return np.minimum(frame["available"].to_numpy(), 1500)

    assert "limit" in _codes(_compared(_record(range(100, 200), pv=cut)))


def test_dirt_that_builds_up_is_named():
    def dirty(pv, frame):
        day = frame.index.day_of_year.to_numpy()
        return frame["available"].to_numpy() * (1 - 0.004 * (day - day.min()))

    assert "soiling" in _codes(_compared(_record(range(120, 180), pv=dirty)))


def test_a_bank_that_is_always_full_is_named():
    record = _record(range(1, 40), pv=lambda pv, _: 0.6 * pv)
    record["Battery SOC (%)"] = 99.5
    assert "bank_full" in _codes(_compared(record))


def test_a_hungrier_home_is_named_with_its_size():
    found = _compared(_record(load=lambda load, _: 1.3 * load))
    cause = next(c for c in found.causes if c.code == "load_more")
    assert cause.sure == "high"
    assert cause.told["share"] == pytest.approx(1.3, abs=0.001)


def test_a_bank_that_swallows_is_named():
    found = _compared(_record(range(1, 60), **{"battery discharge": lambda out, _: 0.7 * out}))
    assert "bank_losses" in _codes(found)


def test_unserved_load_is_named():
    found = _compared(_record(unserved=lambda u, _: u + 50.0))
    assert "unserved" in _codes(found)


def test_missing_days_are_left_out_and_said():
    record = _record()
    record = record[~record["Time"].str.contains("06-0[3-9]")]
    found = _compared(record)
    assert "gaps" in _codes(found)
    half = _record().iloc[: 24 * 10 + 8]
    assert any("too few readings" in note for note in _compared(half).notes)


def test_energies_registers_and_kilowatts_give_the_same_days():
    record = _record(poa=False)
    base = _compared(record)
    kilowatt = record.assign(**{"PV power (kW)": record["PV power (W)"] / 1000})
    energy = record.assign(**{"PV energy (kWh)": record["PV power (W)"] / 1000})
    read_so_far = (record["PV power (W)"] / 1000).cumsum().shift(1, fill_value=0)
    counter = record.assign(**{"PV energy total (kWh)": 5000 + read_so_far})
    for other in (kilowatt, energy, counter):
        found = _compared(other.drop(columns="PV power (W)"))
        inner = found.daily["pv_kwh"].iloc[:-1]
        assert inner.to_numpy() == pytest.approx(
            base.daily["pv_kwh"].iloc[:-1].to_numpy(), rel=1e-3
        )


def test_quarter_hour_energies_are_powers_four_times_as_large():
    text = b"time,PV kWh\n" + b"".join(
        b"2026-06-01 %02d:%02d,0.5\n" % (n // 4, 15 * (n % 4)) for n in range(8)
    )
    logger = read_logger_csv(text)
    assert logger.step_h == 0.25
    assert logger.values["pv"].tolist() == [2000] * 8


def test_a_counter_that_is_reset_loses_one_interval_and_no_more():
    counts = [100 + n for n in range(12)] + [*range(12)]
    lines = [f"2026-06-01 {n:02d}:00,{c}" for n, c in enumerate(counts)]
    text = "\n".join(["time,PV total kWh", *lines]).encode()
    mapping = Mapping({"time": "time", "pv": "PV total kWh"}, {"pv": "register_kwh"})
    powers = read_logger_csv(text, mapping).values["pv"]
    assert np.isnan(powers).sum() == 2  # the reset, and the last interval, which has no end
    assert np.nanmin(powers) == np.nanmax(powers) == 1000


@pytest.mark.parametrize("sign", [1, -1])
def test_the_sign_of_a_bank_column_is_found(sign):
    record = _record()
    into, out = "Battery charge power (W)", "Battery discharge power (W)"
    signed = record.drop(columns=[into, out])
    signed["Battery power (W)"] = sign * (record[into] - record[out])
    found = _compared(signed)
    assert found.ratio["bank_in"] == pytest.approx(1.0, abs=0.05)
    assert found.ratio["bank_out"] == pytest.approx(1.0, abs=0.05)
    assert any("judged by state of charge" in note for note in found.notes)


def test_columns_are_guessed_from_their_headers():
    text = (
        b"Zeit;PV-Leistung [kW];Verbrauch [kW];Akku SOC;Grid import (kWh);PV voltage (V)\n"
        b"01.06.2026 00:00;0,0;0,4;81;0,1;0\n01.06.2026 01:00;0,0;0,5;79;0,1;0\n"
    )
    mapping = guess_columns(text)
    assert mapping.columns == {
        "time": "Zeit", "pv": "PV-Leistung [kW]", "load": "Verbrauch [kW]", "soc": "Akku SOC",
        "grid": "Grid import (kWh)",
    }  # fmt: skip
    assert mapping.quantities == {"pv": "kw", "load": "kw", "soc": "percent", "grid": "kwh"}
    logger = read_logger_csv(text)
    assert logger.values["load"].tolist() == [400, 500]
    assert logger.values["grid"].tolist() == [100, 100]
    assert logger.values["soc"].tolist() == pytest.approx([0.81, 0.79])


def test_a_corrected_mapping_is_obeyed():
    text = b"t,a,b\n2026-06-01 00:00,1,200\n2026-06-01 01:00,2,300\n2026-06-01 02:00,1,100\n"
    with pytest.raises(BadInput, match="no column looks like"):
        guess_columns(text)
    mapping = Mapping({"time": "t", "pv": "a", "load": "b"}, {"pv": "kw", "load": "w"})
    logger = read_logger_csv(text, mapping)
    assert logger.values["pv"].tolist() == [1000, 2000, 1000]


def test_cell_temperature_of_the_noct_definition():
    # IEC 61215 definition of NOCT: 800 W/m², 20 °C air, cell at NOCT
    assert cell_from_air_c(Module(noct_c=45), 20, 800) == 45


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (b"", "empty"),
        (b"hello", "no columns"),
        (b"time,PV W\n2026-06-01 00:00,1\n2026-06-01 01:00,2\n", "no day with at least 90%"),
        (b"time,colour\n2026-06-01 00:00,1\n2026-06-01 01:00,2\n", "no column looks like array"),
        (b"PV W,load W\n5,6\n7,8\n", "no column looks like a time stamp"),
        (b"time,PV W\n2026-06-01,1\n2026-06-09,2\n", "h apart"),
        (b"PK\x03\x04rubbish", "spreadsheet"),
    ],
)
def test_bad_files_are_one_sentence(text, sentence):
    with pytest.raises(BadInput, match=sentence) as refusal:
        compare(read_logger_csv(text), _simulation())
    assert len(refusal.value.sentences) == 1


def test_a_wrong_header_in_the_mapping_is_said():
    mapping = Mapping({"time": "t", "pv": "nowhere"}, {"pv": "w"})
    with pytest.raises(BadInput, match="has no column 'nowhere'"):
        read_logger_csv(b"t,a\n2026-06-01 00:00,1\n2026-06-01 01:00,2\n", mapping)


def test_a_guess_that_is_too_little_keeps_what_it_found():
    content = b"time,kWh\n" + b"".join(b"2024-01-01 %02d:00,1\n" % hour for hour in range(24))
    with pytest.raises(BadInput, match="say which is which"):
        guess_columns(content)
    assert guess_columns(content, complete=False).columns == {"time": "time"}
