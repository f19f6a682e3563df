"""Follow-up: causes at their thresholds, steps in a share and single readings, worked by hand."""

from datetime import date, timedelta
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from offgrid_sizing.followup import array_causes, causes, reading_causes, readings, shifts
from offgrid_sizing.followup.case import Case
from offgrid_sizing.followup.compare import (
    _by_month,
    _cell_c,
    _light_at_25c,
    _measured_days,
    _ratios,
    cell_from_air_c,
)
from offgrid_sizing.followup.logger import Logger, Mapping
from offgrid_sizing.followup.marks import Marks, hours_by_day, marks_of, without_false
from offgrid_sizing.sketch import BatteryUnit, Module


def logger(hours=48, step_h=1.0, begin="2026-06-10", **values):
    time = pd.date_range(begin, periods=round(hours / step_h), freq=f"{step_h}h")
    return Logger("made up", time, step_h, values, Mapping({}, {}), ())


def case(record=None, corrected=True, days=10, marks=None, expected=None, strings=(2,), **columns):
    index = pd.date_range("2026-06-10", periods=days, freq="D")
    judged = pd.DataFrame({name: np.resize(np.atleast_1d(v), days) for name, v in columns.items()},
                          index=index, dtype=float)  # fmt: skip
    unit = BatteryUnit(charge_efficiency_frac=0.9, discharge_efficiency_frac=0.9)
    simulation = SimpleNamespace(
        sketch=SimpleNamespace(equipment=SimpleNamespace(battery=unit)),
        system=SimpleNamespace(planes=[SimpleNamespace(strings=n, modules=6 * n) for n in strings]),
    )
    return Case(record or logger(24 * days), judged, expected, simulation, corrected, marks)


def found(rule, *parts, **more):
    one = rule(case(*parts, **more))
    return None if one is None else (one.code, one.sure)


@pytest.mark.parametrize(
    ("kwh", "days", "told"),
    [
        (9.2, 14, None), (10.8, 14, None), (9.19, 14, ("load_less", "high")),
        (10.81, 14, ("load_more", "high")), (10.81, 13, ("load_more", "medium")),
    ],
)  # fmt: skip
def test_loads_beside_what_was_expected(kwh, days, told):
    assert found(causes._load, days=days, load_kwh=kwh, load_expected_kwh=10) == told


def test_without_a_promise_there_is_no_ratio():
    assert case(load_kwh=5, load_expected_kwh=0).ratio("load") is None
    assert case(load_kwh=5, load_expected_kwh=4).ratio("load") == 1.25
    assert case().ratio("load") is None
    assert found(causes._load, load_kwh=5, load_expected_kwh=0) is None


@pytest.mark.parametrize(
    ("out_kwh", "days", "told"),
    # 0.9 × 0.9 = 0.81 are promised; 0.74 and less is worth a word
    [(7.41, 30, None), (7.39, 30, ("bank_losses", "medium")), (7.39, 29, ("bank_losses", "low")),
     (7.39, 7, ("bank_losses", "low")), (7.39, 6, None)],
)  # fmt: skip
def test_what_a_bank_gives_back(out_kwh, days, told):
    assert found(causes._bank_losses, days=days, bank_in_kwh=10, bank_out_kwh=out_kwh) == told
    assert found(causes._bank_losses, days=days, bank_in_kwh=0, bank_out_kwh=0) is None
    assert found(causes._bank_losses, days=days, bank_out_kwh=0) is None


@pytest.mark.parametrize(("kwh", "told"), [(1.3, None), (1.31, ("unserved", "high"))])
def test_more_unserved_than_promised(kwh, told):
    """1 kWh was promised: a fifth more and a tenth of a kWh are let pass."""
    columns = {"unserved_kwh": kwh / 10, "unserved_expected_kwh": 0.1}
    got = causes._unserved(case(**columns))
    assert (None if got is None else (got.code, got.sure)) == told
    if got:
        assert got.told == {"kwh": pytest.approx(1.31), "promised_kwh": pytest.approx(1)}
    assert causes._unserved(case(load_kwh=1)) is None


@pytest.mark.parametrize(("days", "told"), [(18, None), (17, ("gaps", "high"))])
def test_days_that_are_missing(days, told):
    """20 days of record: 18 judged leave a tenth out in binary just not, 17 more."""
    record = logger(24 * 20)
    rule = causes._gaps(case(record, days=days))
    if days == 18:
        assert rule is None or rule.told["share"] == pytest.approx(0.1)
    else:
        assert (rule.code, rule.sure) == told
        assert rule.told["share"] == pytest.approx(0.15)


@pytest.mark.parametrize(
    ("kwh", "corrected", "told"),
    [
        (10.8, True, ("more_in_light", "medium")), (10.79, True, None),
        (10.8, False, ("more_unmeasured", "low")),
    ],
)  # fmt: skip
def test_an_array_that_gives_more(kwh, corrected, told):
    parts = {"pv_kwh": kwh, "pv_expected_kwh": 10, "corrected": corrected}
    assert found(array_causes.more_than_promised, **parts) == told
    assert found(array_causes.low_for_no_named_reason, **parts) is None


@pytest.mark.parametrize(
    ("kwh", "corrected", "told"),
    [
        (9.2, True, ("low_in_light", "low")), (9.21, True, None),
        (9.2, False, ("low_unmeasured", "low")),
    ],
)  # fmt: skip
def test_an_array_that_gives_less(kwh, corrected, told):
    parts = {"pv_kwh": kwh, "pv_expected_kwh": 10, "corrected": corrected}
    assert found(array_causes.low_for_no_named_reason, **parts) == told
    assert found(array_causes.more_than_promised, **parts) is None


@pytest.mark.parametrize(
    ("kwh", "strings", "told"),
    [
        (5.0, (2,), (1, 2)), (5.39, (2,), (1, 2)), (5.41, (2,), None), (4.59, (2,), None),
        (7.5, (4,), (1, 4)), (5.0, (4,), (2, 4)), (2.5, (3, 1), (3, 4)), (6.67, (3,), (1, 3)),
        (5.0, (1,), None), (9.3, (2,), None),
    ],
)  # fmt: skip
def test_whole_strings_that_are_missing(kwh, strings, told):
    one = array_causes.string_out(case(strings=strings, pv_kwh=kwh, pv_expected_kwh=10))
    assert (None if one is None else (one.told["missing"], one.told["strings"])) == told
    if one:
        assert (one.sure, one.told["spread_share"], one.told["days"]) == ("high", 0, 10)
        assert one.told["left_share"] == pytest.approx(1 - told[0] / told[1])


def test_a_string_that_is_missing_on_some_days_is_less_sure():
    """5 kWh but for 4 and 6 by turns: quartiles 4 and 6, their distance 2 / 1.35 of a mean of 5."""
    one = array_causes.string_out(case(pv_kwh=[4, 6], pv_expected_kwh=10))
    assert (one.sure, one.told["spread_share"]) == ("low", pytest.approx(0.2 / 1.35 / 0.5))
    plain = array_causes.string_out(case(pv_kwh=5, pv_expected_kwh=10, corrected=False))
    assert plain.sure == "medium"


@pytest.mark.parametrize(
    ("light_h", "at_25c_h", "values", "told"),
    [
        # 4 / 5 = 0.8; 4 / 4.7 = 0.851
        (5.0, 4.7, ("cell",), ("heat", "high")), (5.0, 4.7, ("air",), ("heat", "medium")),
        (5.0, 4.72, ("cell",), None), (5.0, 4.7, (), None),
    ],
)  # fmt: skip
def test_low_by_heat_alone(light_h, at_25c_h, values, told):
    record = logger(240, **{name: np.zeros(240) for name in values})
    columns = {"array_yield_h": 4, "reference_yield_h": light_h, "reference_yield_25c_h": at_25c_h,
               "performance_ratio_25c": 0.8}  # fmt: skip
    assert found(array_causes.heat, record, **columns) == told


def test_a_share_that_falls_slowly_is_dirt():
    """A thousandth of its mean a day: 3 % a month; half as fast is let pass, and so is a rise."""
    days = np.arange(30)
    for slope, told in ((-0.001, True), (-0.0005, False), (0.001, False)):
        share = 0.8 * (1 + slope * (days - 14.5))
        columns = {"performance_ratio_25c": share, "pv_kwh": 9, "pv_expected_kwh": 10}
        one = array_causes.soiling(case(days=30, **columns))
        assert (one is not None) == told
        if one:
            assert one.told["month_share"] == pytest.approx(0.03, rel=1e-6)
            assert one.told["correlation"] == "-1.00"
        assert array_causes.soiling(case(days=20, **columns)) is None
        assert array_causes.soiling(case(days=30, corrected=False, **columns)) is None


# --- single readings ----------------------------------------------------------------------------


def marks(size, **kinds):
    masks = {kind: np.zeros(size, bool) for kind in ("leaping", "stuck", "cut_off", "snowed_in")}
    for kind, places in kinds.items():
        masks[kind][places] = True
    return Marks(**masks)


def test_marked_readings_are_told_with_their_hours_and_first_day():
    record = logger(240, 0.5, pv=np.full(480, 900.0))
    expected = pd.DataFrame({"available": [500.0, 1000.0]})
    told = marks(480, cut_off=range(100, 120), stuck=[96, 97], leaping=[0, 300],
                 snowed_in=[47, 48, 200])  # fmt: skip
    one = case(record, marks=told, expected=expected)
    limit = reading_causes.limit(one)
    assert (limit.sure, limit.told) == (
        "high", {"hours": 10.0, "since": "2026-06-12", "watts": 900.0, "top_watts": 1000.0},
    )  # fmt: skip
    assert reading_causes.stuck(one).told == {"count": 2, "hours": 1.0, "since": "2026-06-12"}
    assert reading_causes.leaping(one).told == {"count": 2, "since": "2026-06-10"}
    assert reading_causes.snow(one).told == {"hours": 1.5, "days": 3, "since": "2026-06-10"}
    few = case(record, marks=marks(480, cut_off=range(19)), expected=expected)
    assert reading_causes.limit(few).sure == "medium"
    near = pd.DataFrame({"available": [940.0]})  # 900 W are above 0.95 of it
    assert reading_causes.limit(case(record, marks=told, expected=near)) is None
    for rule in (reading_causes.limit, reading_causes.stuck, reading_causes.leaping,
                 reading_causes.snow):  # fmt: skip
        assert rule(case(record, marks=marks(480), expected=expected)) is None
        assert rule(case(record, expected=expected)) is None


def test_hours_of_each_kind_on_each_day():
    record = logger(48, 0.5, pv=np.zeros(96))
    got = hours_by_day(record, marks(96, stuck=[0, 1, 2, 50], cut_off=[95]))
    assert got["pv_stuck_h"].tolist() == [1.5, 0.5]
    assert got["pv_cut_off_h"].tolist() == [0.0, 0.5]
    assert got["pv_leaping_h"].tolist() == got["pv_snowed_in_h"].tolist() == [0, 0]
    assert hours_by_day(record, None).shape == (2, 0)


def test_only_false_readings_leave_the_record():
    record = logger(48, pv=np.arange(48.0))
    kept = without_false(record, marks(48, leaping=[3], stuck=[5, 6], cut_off=[7], snowed_in=[8]))
    assert np.flatnonzero(np.isnan(kept.values["pv"])).tolist() == [3, 5, 6]
    assert without_false(record, marks(48, cut_off=[7])) is record
    assert marks_of(logger(48, load=np.zeros(48))) is None


def test_the_top_is_the_ninety_ninth_percentile_of_what_is_lit():
    power = np.concatenate([np.arange(1.0, 102), np.zeros(500), [np.nan, -5]])
    assert readings.top_of(power) == pytest.approx(100)
    assert readings.top_of(np.zeros(5)) == 0
    begin, past = readings._runs(np.array([True, False, True, True, False, True]))
    assert (begin.tolist(), past.tolist()) == ([0, 2, 5], [1, 4, 6])
    mask = np.array([True, True, False, True, True, True])
    assert readings._only_long(mask, 3).tolist() == [False] * 3 + [True] * 3
    assert readings._resolution(np.array([5.0, 1.0, 1.0, 3.5, np.nan])) == 1.5


def test_the_line_through_four_neighbours():
    """10, 20, x, 40, 50 lie on a line of 10 a reading: the middle is 30, the miss nothing; with 60
    in the last place the middle is 32.5 and the slope 12: they miss by 1.5, 0.5, 4.5 and 3.5."""
    middle, miss = readings._from_neighbours(np.array([10.0, 20, 99, 40, 50]))
    assert (middle[2], miss[2]) == (30, 0)
    middle, miss = readings._from_neighbours(np.array([10.0, 20, 99, 40, 60]))
    # slope (−20 − 20 + 40 + 120) / 10 = 12: line 8.5, 20.5, 44.5, 56.5
    assert (middle[2], miss[2]) == (32.5, 4.5)
    assert np.isnan(middle[[0, 1, 3, 4]]).all()


# --- steps in a share ---------------------------------------------------------------------------


def test_standard_errors_between_before_and_after():
    """0 five times and 1 five times: one difference of 1 among nine, spread √(8/81) / √2 = 2/9;
    at the step the means differ by 1 in 2/9 × √(1/5 + 1/5)."""
    gain = shifts._gain(np.array([0.0] * 5 + [1.0] * 5))
    assert gain.shape == (10,)
    assert gain[0] == 0
    assert gain[5] == pytest.approx(1 / (2 / 9 * np.sqrt(0.4)))
    # before place 2: 0; from it 5/8; √(1/2 + 1/8)
    assert gain[2] == pytest.approx(5 / 8 / (2 / 9 * np.sqrt(0.625)))


def test_the_size_of_a_step():
    shares = np.array([0.0, 1, 2, 3, 10, 11, 12, 13])
    assert shifts._step_at(shares, 4, 2) == 10.5 - 2.5
    assert shifts._step_at(shares, 4, 60) == 11.5 - 1.5
    # 90 % of the way from 0 to 3, and from 10 to 13
    assert shifts._bright_step(shares, 4) == pytest.approx(10)
    # a drift of 1 a day, and 6 more on the fifth day
    step, error = shifts._beside_drift(shares, 4)
    assert (step, error) == (pytest.approx(6), pytest.approx(0, abs=1e-6))


def test_two_steps_in_order_and_none_too_near_the_ends():
    days = pd.date_range("2026-01-01", periods=200, freq="D")
    noise = 0.01 * np.resize([1.0, -1, 0], 200)
    both = np.where(
        np.arange(200) >= 140, np.log(0.5), np.where(np.arange(200) >= 70, np.log(0.8), 0)
    )
    got = shifts.shifts_in(pd.Series(both + noise, index=days), corrected=True)
    assert [one.day for one in got] == [days[70], days[140]]
    assert [one.factor for one in got] == pytest.approx([0.8, 0.625], rel=0.03)
    for at in (20, 180):
        near = np.where(np.arange(200) >= at, np.log(0.5), 0.0) + noise
        assert all(one.day != days[at] for one in shifts.shifts_in(
            pd.Series(near, index=days), corrected=True))  # fmt: skip
    assert shifts.shifts_in(pd.Series(both[:41], index=days[:41]), corrected=True) == ()


# --- days and months ----------------------------------------------------------------------------

SIMULATION = SimpleNamespace(
    sketch=SimpleNamespace(
        equipment=SimpleNamespace(module=Module(noct_c=44, gamma_pmp_per_k=-0.004))
    )
)


def test_warmth_of_a_cell_from_air_and_light():
    module = SIMULATION.sketch.equipment.module
    assert cell_from_air_c(module, 20.0, 800.0) == pytest.approx(44)
    assert cell_from_air_c(module, -5.0, 400.0) == pytest.approx(7)
    # 1,000 W/m² at 50 °C are worth 0.9 suns, at 0 °C 1.1
    got = _light_at_25c(module, np.array([1000.0, 1000, 500]), np.array([50.0, 0, 25]))
    assert got == pytest.approx([0.9, 1.1, 0.5])
    light = np.array([800.0, -3.0])
    frame = pd.DataFrame({"poa": light, "air": [20.0, 10.0]})
    assert _cell_c(frame, SIMULATION) == pytest.approx([44, 10])
    assert _cell_c(frame.assign(cell=[1.0, 2.0]), SIMULATION).tolist() == [1, 2]


def test_energy_coverage_and_yield_of_a_day():
    """1 kW all day, but half of the second day is missing; ten hours of 500 W/m² at 50 °C."""
    power = np.full(48, 1000.0)
    power[36:] = np.nan
    light = np.where(np.arange(48) % 24 < 10, 500.0, -2.0)
    days = _measured_days(
        logger(48, pv=power, load=np.full(48, 250.0), poa=light, cell=np.full(48, 50.0)), SIMULATION
    )
    assert days["coverage"].tolist() == [1.0, 0.5]
    assert days["pv_kwh"].tolist() == [24, 24]
    assert days["load_kwh"].tolist() == [6, 6]
    assert days["reference_yield_h"].tolist() == pytest.approx([5, 5])
    assert days["reference_yield_25c_h"].tolist() == pytest.approx([4.5, 4.5])
    half = _measured_days(logger(24, 0.5, pv=np.full(48, 1000.0)), SIMULATION)
    assert (half["coverage"].tolist(), half["pv_kwh"].tolist()) == ([1.0], [24.0])


def test_months_add_up_the_days_that_are_judged():
    """30 June with 0.9 of its readings counts, 1 July with 0.89 does not."""
    index = pd.DatetimeIndex(["2026-06-29", "2026-06-30", "2026-07-01", "2026-07-02"])
    days = pd.DataFrame(
        {"coverage": [1.0, 0.9, 0.89, 1.0], "pv_kwh": [10.0, 20, 40, 80],
         "pv_expected_kwh": [20.0, 20, 20, 100], "array_yield_h": [2.0, 4, 8, 16],
         "reference_yield_h": [5.0, 5, 5, 20], "reference_yield_25c_h": [4.0, 4, 4, 16]},
        index=index,
    )  # fmt: skip
    months = _by_month(days)
    assert months["pv_kwh"].tolist() == [30, 80]
    assert months["days"].tolist() == [2, 1]
    assert months["coverage"].tolist() == pytest.approx([0.95, 1.0])
    assert months["performance_ratio"].tolist() == pytest.approx([0.6, 0.8])
    assert months["performance_ratio_25c"].tolist() == pytest.approx([0.75, 1.0])
    assert months.index.tolist() == [pd.Timestamp("2026-06-01"), pd.Timestamp("2026-07-01")]
    assert _ratios(days) == {"pv": pytest.approx(150 / 160)}
    assert _ratios(days.assign(pv_expected_kwh=0.0)) == {}


@pytest.mark.parametrize(
    ("days_apart", "factor", "seen"),
    [(0, 0.8, True), (14, 0.5, True), (-14, 0.9, True), (15, 0.8, False), (0, 1.2, False)],
)
def test_a_step_is_the_same_within_two_weeks_and_in_the_same_sense(days_apart, factor, seen):
    first = SimpleNamespace(day=date(2023, 6, 15), factor=0.7)
    other = SimpleNamespace(day=date(2023, 6, 15) + timedelta(days=days_apart), factor=factor)
    assert reading_causes._seen_in(first, (other,)) is seen


def test_snow_may_lie_up_to_two_degrees():
    """Common practice, no source."""
    assert readings.SNOW_AIR_C == 2.0
