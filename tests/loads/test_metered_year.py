"""A metered file as the load year: weekdays kept, missing months extended, compared and scaled."""

import meter_samples as samples
import numpy as np
import pandas as pd
import pytest

from offgrid_sizing.loads.appliance_year import appliance_year, usual_w
from offgrid_sizing.loads.compare import compare_loads, compare_with_meter, scale_appliances
from offgrid_sizing.loads.presets import preset
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import Appliance, BadInput, MeteredLoad, TimeWindow, Variability


def write(folder, first, days, watts_of, freq="1h", name="meter.csv"):
    times = pd.date_range(first, periods=days * 24, freq=freq)
    rows = [f"{t:%Y-%m-%d %H:%M},{watts_of(t)}" for t in times]
    (folder / name).write_bytes(samples.lines("time,W\n", rows))
    return MeteredLoad(file=name)


def by_day(year):
    return year.load_w[0].reshape(365, -1)


@pytest.mark.parametrize("first", ["2022-01-01", "2023-01-01", "2024-01-01", "2021-07-15"])
def test_weekdays_and_seasons_of_any_year_fall_into_place(tmp_path, weather, make_sketch, first):
    """Each day of the clock takes a metered day of its own weekday, at most six days away."""
    metered = write(tmp_path, first, 366, lambda t: 100 * (t.day_of_week + 1) + t.month)
    year = load_year(make_sketch(metered=metered), weather, base_dir=tmp_path)
    noon = by_day(year)[:, 12]
    assert (noon // 100 - 1).astype(int).tolist() == ((np.arange(365) + 2) % 7).tolist()
    apart = np.abs(noon % 100 - year.time.month[::24].to_numpy())
    assert np.isin(apart, (0, 1, 11)).all()
    assert (apart == 0).mean() > 0.9
    assert "not metered" not in year.provenance


@pytest.mark.parametrize(("step_h", "years"), [(0.25, 1), (0.5, 2), (1.0, 3)])
def test_any_step_and_number_of_years(tmp_path, make_weather, make_sketch, step_h, years):
    metered = write(tmp_path, "2023-01-01", 365, lambda t: 500)
    weather = make_weather(step_h, years)
    year = load_year(make_sketch(metered=metered), weather, base_dir=tmp_path)
    assert year.load_w.shape == weather.temp_air.shape
    assert year.load_w == pytest.approx(500)
    assert year.appliance_names == ("Metered load",)


def test_months_that_were_not_metered_are_extended_and_said(tmp_path, weather, make_sketch):
    metered = write(tmp_path, "2023-01-01", 90, lambda t: 300 if t.day_of_week < 5 else 600)
    year = load_year(make_sketch(metered=metered), weather, base_dir=tmp_path)
    weekend = (np.arange(365) + 2) % 7 >= 5
    assert by_day(year)[~weekend].mean() == pytest.approx(300)
    assert by_day(year)[weekend].mean() == pytest.approx(600)
    assert "of 365 days were not metered (April, May" in year.provenance
    assert "not scaled, since no seasons are known" in year.provenance


def test_appliances_lend_their_months_to_a_partial_year(tmp_path, weather, make_sketch):
    winter = Appliance(name="heater", running_w=900, months=(1, 2, 3, 10, 11, 12))
    base = Appliance(name="base", running_w=100)
    metered = write(tmp_path, "2023-01-01", 59, lambda t: 2000)
    sketch = make_sketch(winter, base, metered=metered)
    year = load_year(sketch, weather, base_dir=tmp_path)
    # Summer draws a tenth of winter by appliance, so by meter too.
    assert by_day(year)[200].mean() == pytest.approx(200)
    assert by_day(year)[320].mean() == pytest.approx(2000)
    assert "scaled by the appliances' months" in year.provenance


def test_a_single_day_becomes_a_year(tmp_path, weather, make_sketch):
    metered = write(tmp_path, "2023-05-03 07:00", 1, lambda t: 100 + t.hour)
    year = load_year(make_sketch(metered=metered), weather, base_dir=tmp_path)
    assert by_day(year)[200] == pytest.approx(100 + np.arange(24))


def test_the_last_of_several_years_is_used(tmp_path, weather, make_sketch):
    metered = write(tmp_path, "2021-01-01", 3 * 365, lambda t: t.year - 2000)
    year = load_year(make_sketch(metered=metered), weather, base_dir=tmp_path)
    assert year.load_w.min() > 22
    assert "the last 365 were used" in year.provenance


def test_scaling_one_to_the_other(tmp_path, weather, make_sketch):
    appliances = preset("family_home")
    shape = write(tmp_path, "2023-01-01", 365, lambda t: 100 + 10 * t.hour)
    alone = make_sketch(*appliances)
    table = usual_w(load_year(alone, weather))

    def with_use(use):
        metered = shape.model_copy(update={"use": use})
        return load_year(make_sketch(*appliances, metered=metered), weather, base_dir=tmp_path)

    metered_wh = (100 + 10 * 11.5) * 8760
    replaced = with_use("replace")
    assert replaced.load_w.sum() == pytest.approx(metered_wh)
    assert replaced.peak.running_va == load_year(alone, weather).peak.running_va
    assert (replaced.critical_w <= replaced.load_w + 1e-9).all()
    assert replaced.critical_w.any()
    scaled = with_use("scale_appliances")
    assert usual_w(scaled).sum() == pytest.approx(metered_wh)
    assert usual_w(scaled) / table == pytest.approx(metered_wh / table.sum())
    shaped = with_use("scale_metered")
    assert shaped.load_w.sum() == pytest.approx(table.sum())
    assert by_day(shaped)[0, 23] / by_day(shaped)[0, 0] == pytest.approx(330 / 100)


def test_scaling_without_appliances_is_refused(tmp_path, weather, make_sketch):
    metered = write(tmp_path, "2023-01-01", 30, lambda t: 100)
    metered = metered.model_copy(update={"use": "scale_appliances"})
    with pytest.raises(BadInput, match="nothing to scale"):
        load_year(make_sketch(metered=metered), weather, base_dir=tmp_path)


def test_a_file_that_is_not_there_is_named(tmp_path, weather, make_sketch):
    with pytest.raises(BadInput, match=r"loads.metered.file: there is no file “gone.csv”"):
        load_year(make_sketch(metered=MeteredLoad(file="gone.csv")), weather, base_dir=tmp_path)


def test_a_changed_file_is_read_again(tmp_path, weather, make_sketch):
    metered = write(tmp_path, "2023-01-01", 30, lambda t: 100)
    sketch = make_sketch(metered=metered)
    assert load_year(sketch, weather, base_dir=tmp_path).load_w.max() == pytest.approx(100)
    write(tmp_path, "2023-01-01", 31, lambda t: 200)
    assert load_year(sketch, weather, base_dir=tmp_path).load_w.max() == pytest.approx(200)


def test_a_meter_alone_admits_that_its_peak_is_a_mean(tmp_path, weather, make_sketch):
    metered = write(tmp_path, "2023-01-01", 30, lambda t: 100 + 900 * (t.hour == 18))
    year = load_year(make_sketch(metered=metered), weather, base_dir=tmp_path)
    assert year.peak.running_va == pytest.approx(1000)
    assert "the true peak is higher" in year.peak.together[0]


def test_noise_on_a_metered_year_keeps_its_energy(tmp_path, make_weather, make_sketch):
    metered = write(tmp_path, "2023-01-01", 365, lambda t: 100 + 10 * t.hour)
    spread = Variability(day_sd_frac=0.2, hour_sd_frac=0.2)
    sketch = make_sketch(metered=metered, variability=spread)
    year = load_year(sketch, make_weather(years=2), base_dir=tmp_path)
    assert year.load_w.sum(axis=1) == pytest.approx([215 * 8760] * 2)
    assert not np.array_equal(year.load_w[0], year.load_w[1])


def test_comparison_by_hand():
    hour = np.tile(np.arange(24.0), 365)
    found = compare_loads(2 * hour, hour, 1.0)
    assert found.factor == pytest.approx(2)
    assert found.day_correlation == pytest.approx(1)
    assert found.metered_kwh == pytest.approx(2 * 276 / 1000)
    assert found.by_month.metered_kwh_per_day.tolist() == pytest.approx([0.552] * 12)
    assert found.by_hour.appliance_w.tolist() == pytest.approx(list(range(24)))
    assert found.sentence == (
        "The meter shows 0.552 kWh a day, the appliances 0.276: the meter is 100% more. "
        "The average days correlate 1.00; the highest hour is 23 metered and 23 by appliances."
    )


def test_comparing_and_scaling_a_sketch(tmp_path, weather, make_sketch):
    lamp = Appliance(name="lamp", running_w=100, windows=(TimeWindow(from_h=18, to_h=22),))
    metered = write(tmp_path, "2023-01-01", 365, lambda t: 50 * (17 <= t.hour < 22))
    sketch = make_sketch(lamp, metered=metered)
    found = compare_with_meter(sketch, weather, base_dir=tmp_path)
    assert found.factor == pytest.approx(250 / 400)
    assert found.day_correlation > 0.8
    fitted = scale_appliances(sketch, found.factor)
    assert usual_w(appliance_year(fitted, weather)).sum() == pytest.approx(250 * 365)
    with pytest.raises(BadInput, match="needs both a meter file and at least one appliance"):
        compare_with_meter(make_sketch(lamp), weather)
    with pytest.raises(BadInput, match="check the meter's unit"):
        scale_appliances(sketch, 1e6)


@pytest.mark.parametrize("name", ["", "  "])
def test_a_file_without_a_name_is_asked_for(name, tmp_path, weather, make_sketch):
    with pytest.raises(BadInput, match=r"loads.metered.file is empty: name"):
        load_year(make_sketch(metered=MeteredLoad(file=name)), weather, base_dir=tmp_path)
