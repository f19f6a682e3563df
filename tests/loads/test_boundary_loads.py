"""The boundary of a load year: each board its own part, both together the whole home."""

from types import SimpleNamespace

import meter_samples as samples
import numpy as np
import pandas as pd
import pytest
from boundary_kit import small_home
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.appliance_year import energy_of, usual_w, whole_w
from offgrid_sizing.loads.bill import is_far, monthly_kwh
from offgrid_sizing.loads.boards import board_lists
from offgrid_sizing.loads.boundary import (
    everything_protected,
    import_left_w,
    only_critical_protected,
)
from offgrid_sizing.loads.compare import compare_with_meter
from offgrid_sizing.loads.efficiency import efficiency_first
from offgrid_sizing.loads.peak_story import peak_story
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import (
    Appliance,
    BadInput,
    Grid,
    Loads,
    MeteredLoad,
    Site,
    Sketch,
    TimeWindow,
    Variability,
)


def on_grid(*appliances, **loads):
    site = Site(latitude_deg=45, longitude_deg=15, utc_offset_h=1)
    return Sketch(site=site, grid=Grid(kind="steady"), loads=Loads(appliances=appliances, **loads))


def test_the_small_home_by_hand(weather):
    """Lamp 100 W always and pump 240 W for 12 h; heater 1,150 W always, on the grid alone."""
    year = load_year(small_home(), weather)
    # 24 × 0.1 + 12 × 0.24 = 5.28; 24 × 1.15 = 27.6
    assert year.daily_kwh == pytest.approx(5.28)
    assert year.appliance_names == ("Lamp", "Pump")
    assert set(np.round(year.load_w[0], 6)) == {100, 340}
    assert year.critical_w[0] == pytest.approx(100)
    # 100 + 240 / 0.8 = 400; a start adds 2 × 300
    assert (year.peak.running_va, year.peak.starting_va) == pytest.approx((400, 1000))
    assert year.peak.starts == "Pump"
    beside = year.unprotected
    assert beside.daily_kwh == pytest.approx(27.6)
    assert beside.appliance_names == ("Heater",)
    assert beside.load_w == pytest.approx(1150)
    assert (beside.peak.running_va, beside.peak.starting_va) == pytest.approx((1150, 1150))
    assert import_left_w(small_home()) == pytest.approx(10_000 - 1150)


def test_without_a_boundary_nothing_is_kept_apart(weather):
    home = everything_protected(small_home())
    year = load_year(home, weather)
    assert year.unprotected is None
    assert year.daily_kwh == pytest.approx(5.28 + 27.6)
    assert import_left_w(home) == 10_000
    assert board_lists(home, year) == ()


def test_each_board_lists_what_stands_on_it(weather):
    home = small_home()
    own, other = board_lists(home, load_year(home, weather))
    assert [(r.name, r.count, r.running_w, r.running_va, r.start_va, str(r.line), r.kwh_per_day)
            for r in own.rows] == [
        ("Pump", 1, 240, pytest.approx(300), pytest.approx(900), "L1", pytest.approx(2.88)),
        ("Lamp", 1, 100, 100, 100, "L1", pytest.approx(2.4)),
    ]  # fmt: skip
    assert [(row.name, row.running_va) for row in other.rows] == [("Heater", 1150)]
    assert (own.board, other.board) == ("protected", "unprotected")
    assert (own.daily_kwh, other.daily_kwh) == pytest.approx((5.28, 27.6))


def test_on_two_lines_a_list_names_the_line_and_half_hours_add_up(make_weather):
    home = small_home()
    appliances = tuple(
        one.model_copy(update={"leg": leg})
        for one, leg in zip(home.loads.appliances, ("L2", "auto", "L1-L2"), strict=True)
    )
    home = home.model_copy(
        update={
            "loads": home.loads.model_copy(update={"appliances": appliances}),
            "drawn": home.drawn.model_copy(update={"inverters": 2, "arrangement": "split_phase"}),
        }
    )
    own, other = board_lists(home, load_year(home, make_weather(0.5)))
    assert [(row.name, str(row.line)) for row in own.rows] == [
        ("Pump", "Automatic"),
        ("Lamp", "L2"),
    ]
    assert [(row.name, str(row.line)) for row in other.rows] == [("Heater", "L1-L2")]
    assert [row.kwh_per_day for row in own.rows] == pytest.approx([2.88, 2.4])


def test_the_two_moves_keep_all_but_the_board():
    home = small_home()
    critical = only_critical_protected(home)
    assert [one.board for one in critical.loads.appliances] == [
        "protected", "unprotected", "unprotected",
    ]  # fmt: skip
    whole = everything_protected(critical)
    assert {one.board for one in whole.loads.appliances} == {"protected"}
    assert only_critical_protected(whole) == critical


def test_what_no_grid_feeds_is_said_with_what_to_do(weather):
    home = small_home().model_copy(update={"grid": Grid()})
    with pytest.raises(BadInput) as refused:
        load_year(home, weather)
    (told,) = refused.value.sentences
    assert "Heater" in told
    assert "nothing feeds it" in told
    assert "protected board or choose a grid" in told


def test_nothing_on_the_protected_board_is_said(weather):
    home = on_grid(Appliance(name="Heater", running_w=100, board="unprotected"))
    with pytest.raises(BadInput, match="Put at least one on the protected board"):
        load_year(home, weather)


def _metered(folder, use):
    times = pd.date_range("2023-01-01", periods=8760, freq="1h")
    rows = [f"{t:%Y-%m-%d %H:%M},2000" for t in times]
    (folder / "meter.csv").write_bytes(samples.lines("time,W\n", rows))
    home = small_home()
    loads = home.loads.model_copy(update={"metered": MeteredLoad(file="meter.csv", use=use)})
    return home.model_copy(update={"loads": loads})


@pytest.mark.parametrize("use", ["replace", "scale_metered"])
def test_a_meter_that_cannot_be_told_apart_is_refused(tmp_path, weather, use):
    with pytest.raises(BadInput, match="cannot be told apart by board") as refused:
        load_year(_metered(tmp_path, use), weather, base_dir=tmp_path)
    assert "Heater" in refused.value.sentences[0]


def test_a_meters_energy_scales_both_boards(tmp_path, weather):
    """48 kWh a day of the meter over 32.88 kWh of the table."""
    home = _metered(tmp_path, "scale_appliances")
    year = load_year(home, weather, base_dir=tmp_path)
    factor = 48 / 32.88
    assert year.daily_kwh == pytest.approx(5.28 * factor)
    assert year.unprotected.daily_kwh == pytest.approx(27.6 * factor)
    assert year.unprotected.appliance_w == pytest.approx(1150 * factor)
    found = compare_with_meter(home, weather, base_dir=tmp_path)
    assert (found.metered_kwh, found.appliance_kwh) == pytest.approx((48, 32.88))


def test_a_bill_stretches_both_boards(weather):
    """12 × 2,000 kWh are 65.753 a day, of both boards; listed are 5.28 and 27.6."""
    home = small_home()
    loads = home.loads.model_copy(update={"bill_mean_month_kwh": 2000.0})
    year = load_year(home.model_copy(update={"loads": loads}), weather)
    factor = 24_000 / 365 / 32.88
    assert year.listed_daily_kwh == pytest.approx(32.88)
    assert year.daily_kwh == pytest.approx(5.28 * factor)
    assert year.unprotected.daily_kwh == pytest.approx(27.6 * factor)
    assert year.unprotected.appliance_w == pytest.approx(1150 * factor)
    assert year.whole_daily_kwh == pytest.approx(24_000 / 365)
    assert not is_far(year)  # though the protected board alone is a sixth of what is listed
    assert sum(monthly_kwh(year, loads)) == pytest.approx(24_000, rel=1e-3)


def test_what_could_wait_runs_at_its_usual_hours_on_the_grid_alone(weather):
    window = (TimeWindow(from_h=2, to_h=6),)
    boiler = Appliance(name="Boiler", running_w=2000, windows=window, run_time_h=2, deferrable=True)
    lamp = Appliance(name="Lamp", running_w=10)
    own = load_year(on_grid(lamp, boiler), weather)
    moved = boiler.model_copy(update={"board": "unprotected"})
    beside = load_year(on_grid(lamp, moved), weather)
    assert [one.name for one in own.deferrable] == ["Boiler"]
    assert beside.deferrable == ()
    assert beside.unprotected.load_w[0] == pytest.approx(own.deferrable[0].usual_w)
    assert beside.unprotected.daily_kwh == pytest.approx(4)
    assert whole_w(beside) == pytest.approx(usual_w(own))


def test_what_an_appliance_takes_is_the_same_on_either_board(weather):
    heater = small_home().loads.appliances[2]
    assert energy_of(small_home(), weather, heater) == pytest.approx(27.6 * 365)


def test_an_appliance_on_the_grid_alone_saves_no_bank(weather):
    asked = []

    def sized(sketch):
        asked.append([one.name for one in sketch.loads.appliances])
        return SimpleNamespace(units=len(asked), modules=0, price=1.0)

    found = efficiency_first(small_home(), sized)
    assert {one.name for one in found} == {"Lamp", "Pump"}
    assert ["Lamp", "Pump"] not in asked  # nobody left out the heater


def test_the_story_of_the_peak_is_that_of_the_protected_board():
    story = peak_story(small_home())
    assert [row.name for row in story.rows] == ["Pump", "Lamp"]
    assert story.running_va == pytest.approx(400)


APPLIANCE = st.builds(
    Appliance,
    name=st.sampled_from("abcdefgh"),
    count=st.integers(0, 3),
    running_w=st.integers(1, 5000),
    power_factor=st.floats(0.5, 1),
    starting_multiple=st.floats(1, 6),
    standby_w=st.integers(0, 20),
    windows=st.lists(
        st.builds(TimeWindow, from_h=st.integers(0, 23), to_h=st.just(24)), max_size=1
    ).map(tuple),
    driver=st.sampled_from(["none", "cooling", "heating", "refrigeration"]),
    critical=st.booleans(),
    leg=st.sampled_from(["auto", "L1", "L2", "L1-L2"]),
)
SPREAD = st.sampled_from([Variability(), Variability(day_sd_frac=0.3, hour_sd_frac=0.2)])


@settings(max_examples=25, deadline=None)
@given(kept=st.lists(APPLIANCE, min_size=1, max_size=3), moved=APPLIANCE, spread=SPREAD)
def test_moving_an_appliance_never_raises_what_is_protected(make_weather, kept, moved, spread):
    sky = make_weather()
    lamp = Appliance(name="lamp", running_w=20)
    whole = on_grid(lamp, *kept, moved, variability=spread)
    other = on_grid(
        lamp, *kept, moved.model_copy(update={"board": "unprotected"}), variability=spread
    )
    before, after = load_year(whole, sky), load_year(other, sky)
    beside = after.unprotected
    assert (beside is None) == (moved.count == 0)
    assert (after.load_w <= before.load_w * (1 + 1e-9) + 1e-9).all()
    assert (after.critical_w <= before.critical_w * (1 + 1e-9) + 1e-9).all()
    rest = np.zeros_like(after.load_w) if beside is None else beside.load_w
    assert after.load_w + rest == pytest.approx(before.load_w, rel=1e-9, abs=1e-6)
    for name in ("running_w", "running_va", "starting_va"):
        assert getattr(after.peak, name) <= getattr(before.peak, name) * (1 + 1e-9)
    if beside is not None:
        rows = np.concatenate([after.appliance_w, beside.appliance_w])
        assert rows.sum(axis=0) == pytest.approx(before.load_w[0], rel=1e-9, abs=1e-6)
        # both at their worst moments are at least the whole at its own
        both = after.peak.running_va + beside.peak.running_va
        assert both >= before.peak.running_va * (1 - 1e-9)
