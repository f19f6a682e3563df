"""Follow-up against records whose faults others marked: limits, stuck values, snow, steps.

`labelled_records.npz` holds five records that the package pvanalytics 0.2.2 ships (MIT licence):
clipping and outliers of inverter 7539 and repeated values put into inverter 2173 (DuraMAT DataHub,
"inverter clipping ML training set, real data"; outliers and repeats were put in by the package's
authors), six days at a snowy plant with the snowfall of each day, and a simulated series of daily
energies with one change of capacity. See `build_measured.py`. Goal: nine tenths of what is marked
is found, and no system has more than one false alarm a year.
"""

from functools import lru_cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.followup import compare, read_logger_csv
from offgrid_sizing.followup.marks import marks_of
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import Sketch

PACKED = np.load(Path(__file__).parent / "labelled_records.npz")
WATTS = 3000  # what a normalised power of 1 is taken as
NEW = {"limit", "stuck", "leaping", "snow", "level_shift"}


@lru_cache(maxsize=1)
def _simulation():
    raw = demo("farmhouse").model_dump()
    raw["weather"] = {"source": "sample", "sample": "greensboro"}
    return simulate(Sketch.model_validate(raw))


def _times(name: str) -> pd.DatetimeIndex:
    start = pd.Timestamp(str(PACKED[f"{name}_start"]))
    return pd.DatetimeIndex(start + pd.to_timedelta(PACKED[f"{name}_minute"], unit="min"))


def _with_nights(name: str) -> tuple[pd.Series, np.ndarray]:
    """Power and labels on every quarter of an hour; a record of daylight alone has 0 at night."""
    power = pd.Series(PACKED[f"{name}_power"], index=_times(name)).asfreq("15min", fill_value=0.0)
    label = pd.Series(PACKED[f"{name}_label"], index=_times(name)).asfreq("15min", fill_value=False)
    return power, label.to_numpy()


def _followed(columns: dict, time: pd.DatetimeIndex):
    table = pd.DataFrame({"time": time.strftime("%Y-%m-%d %H:%M"), **columns})
    logger = read_logger_csv(table.to_csv(index=False).encode())
    return marks_of(logger), compare(logger, _simulation())


def _codes(found) -> set[str]:
    return {cause.code for cause in found.causes} & NEW


def _cause(found, code: str):
    return next(cause for cause in found.causes if cause.code == code)


def _false_events(mark: np.ndarray, label: np.ndarray) -> int:
    """Runs of marked readings of which none is labelled."""
    edges = np.diff(np.concatenate([[0], mark.astype(int), [0]]))
    runs = zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True)
    return sum(not label[first:past].any() for first, past in runs)


@pytest.mark.parametrize(
    ("name", "kind", "labelled", "found_count", "extra", "codes"),
    [
        ("clipped", "cut_off", 39, 39, 2, {"limit"}),
        # the same inverter: its clipping is named too
        ("outliers", "leaping", 6, 6, 0, {"limit", "leaping"}),
        ("stale", "stuck", 245, 245, 0, {"stuck"}),
    ],
)
def test_marked_readings_are_found(name, kind, labelled, found_count, extra, codes):
    power, label = _with_nights(name)
    marks, found = _followed({"PV W": WATTS * power.to_numpy()}, power.index)
    mark = getattr(marks, kind)
    hits = int((mark & label).sum())
    assert label.sum() == labelled
    assert hits >= 0.9 * labelled
    assert (hits, int((mark & ~label).sum())) == (found_count, extra)
    assert _false_events(mark, label) == 0
    assert _codes(found) == codes


def test_the_same_record_before_anything_was_put_into_it_is_clean():
    """Inverter 2173 with the repeats cut out again: a month without a finding."""
    clean = ~PACKED["stale_label"]
    _, found = _followed({"PV W": WATTS * PACKED["stale_power"][clean]}, _times("stale")[clean])
    assert _codes(found) == set()


def test_readings_that_are_not_the_suns_leave_the_sums():
    _, found = _followed({"PV W": WATTS * PACKED["stale_power"]}, _times("stale"))
    whole_days = found.daily[found.daily["coverage"] == 1.0]
    assert len(whole_days) == 13
    assert found.daily["pv_stuck_h"].sum() == 245 * 0.25
    assert whole_days["pv_stuck_h"].sum() == 0
    assert any("245 that repeat one value" in note for note in found.notes)


def test_snow_is_found_on_the_days_it_fell_and_not_before():
    """Snow fell on 7 and 8 January (38 and 25 mm); on the 9th string voltages were still low."""
    assert PACKED["snow_fell_mm"].tolist() == [0, 0, 38, 25, 0, 0]
    poa, time = PACKED["snow_poa_w_per_m2"], _times("snow")
    marks, found = _followed(
        {
            "PV W": 60 * PACKED["snow_power_kw"],
            "POA irradiance (W/m2)": poa,
            "air temperature": PACKED["snow_air_c"],
        },
        time,
    )
    table = pd.DataFrame({"lit": poa >= 50, "snow": marks.snowed_in}, index=time.day)
    by_day = table.groupby(level=0).sum()
    assert by_day["snow"].to_dict() == {5: 0, 6: 0, 7: 23, 8: 30, 9: 11, 10: 0}
    fell = by_day.loc[[7, 8]].sum()
    assert fell["snow"] >= 0.9 * fell["lit"]
    assert _codes(found) == {"snow"}
    assert dict(_cause(found, "snow").facts) == {"hours": 16.0, "days": 3, "since": "2022-01-07"}


def test_the_day_of_a_change_of_capacity_is_found():
    start = pd.Timestamp(str(PACKED["shift_start"]))
    time = pd.DatetimeIndex(start + pd.to_timedelta(PACKED["shift_day"], unit="D"))
    marked = time[PACKED["shift_label"]]
    assert list(marked) == [pd.Timestamp("2015-10-28")]
    _, found = _followed({"PV kWh": PACKED["shift_value"] / 1000}, time)
    assert _codes(found) == {"level_shift"}
    facts = dict(_cause(found, "level_shift").facts)
    assert facts["since"] == "2015-10-28"
    assert facts["count"] == 1  # none beside it in six years
    assert facts["share"] == pytest.approx(0.34, abs=0.02)
