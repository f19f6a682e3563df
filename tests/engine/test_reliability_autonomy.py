"""Autonomy, bad years, orientation and the tuned blend against values worked by hand."""

from types import SimpleNamespace

import numpy as np
import pytest
from engine_cases import made_inputs, made_load, made_weather

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.pv_array import array_output
from offgrid_sizing.simulation import Inputs, simulate
from offgrid_sizing.sizing import blend
from offgrid_sizing.sizing.autonomy import autonomy_of, ride_through_h, ride_through_hours
from offgrid_sizing.sizing.blend import TunedBlend, settled_blend, tuned_blend
from offgrid_sizing.sizing.orientation import orientation_map
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sizing.worst import worst_stretch
from offgrid_sizing.sketch import (
    BankPlace,
    BatteryUnit,
    Drawn,
    Equipment,
    Grid,
    InverterCharger,
    RoofPlane,
    Site,
    Sketch,
    Strategy,
    Targets,
    Tariff,
    TariffBand,
    WeatherChoice,
)
from offgrid_sizing.system import drawn_system
from offgrid_sizing.weather.build import weather_of

LOSSLESS = Equipment(
    battery=BatteryUnit(
        charge_efficiency_frac=1, discharge_efficiency_frac=1, standby_w=0,
        self_discharge_per_month_frac=0, capacity_vs_temp=((0, 1.0),),
    ),
    inverter=InverterCharger(efficiency_curve=((1.0, 1.0),), standby_w=0),
    bank_place=BankPlace(indoor_c=25),
)  # fmt: skip


def flat_home(load_w=192.0, **parts):
    """A constant load on lossless boxes: 2 units of 5.12 kWh, 90 % of which may be drawn."""
    sketch = Sketch(
        **{
            "site": Site(latitude_deg=30, longitude_deg=0),
            "equipment": LOSSLESS,
            "drawn": Drawn(units_in_parallel=2),
            "targets": Targets(days_of_autonomy=2),
        }
        | parts
    )
    load, weather = made_load(years=2), made_weather(years=2)
    flat = np.full_like(load.load_w, load_w)
    load = type(load)(**{**vars(load), "load_w": flat, "critical_w": flat / 3})
    return sketch, made_inputs(sketch, weather, load)


def test_autonomy_without_sun_is_usable_energy_over_load():
    sketch, inputs = flat_home()
    found = autonomy_of(sketch, drawn_system(sketch), inputs)
    whole = int(0.9 * 2 * 5120 / 192)  # whole hours served before the first unserved one
    assert (found.dark_h == whole).all()
    assert found.dark_median_h == found.dark_1_in_20_h == whole
    assert found.bridged_frac == (1.0 if whole >= 48 else 0.0)


def test_autonomy_with_sun_is_never_shorter():
    sketch, inputs = flat_home()
    found = autonomy_of(sketch, drawn_system(sketch), inputs)
    assert (found.sunlit_h >= found.dark_h).all()
    assert found.sunlit_by_month_h.shape == (12,)


def test_autonomy_agrees_with_running_the_balance_from_that_hour():
    sketch, inputs = flat_home(load_w=400.0)
    dark = np.zeros_like(inputs.output.module_w)
    inputs = type(inputs)(
        inputs.weather, inputs.loads, type(inputs.output)(**{**vars(inputs.output),
                                                             "module_w": dark})
    )  # fmt: skip
    found = autonomy_of(sketch, drawn_system(sketch), inputs)
    assert np.array_equal(found.sunlit_h, found.dark_h)
    assert (found.dark_h == int(0.9 * 2 * 5120 / 400)).all()


def test_ride_through_begins_with_what_the_strategy_keeps():
    sketch, inputs = flat_home(grid=Grid(kind="steady"))
    no_sun = type(inputs.output)(**{**vars(inputs.output), "module_w": 0 * inputs.output.module_w})
    inputs = type(inputs)(inputs.weather, inputs.loads, no_sun)
    for hold in (0.3, 0.6, 0.9):
        strategy = Strategy(kind="pv_first", hold_soc_frac=hold, recharge_soc_frac=0)
        other = sketch.model_copy(update={"strategy": strategy})
        simulation = simulate(other, inputs=inputs)
        hours = ride_through_hours(other, simulation.system, inputs, simulation.trace)
        at_hold = int((hold - 0.1) * 2 * 5120 / 192 + 1e-6)
        assert hours[24:].min() == at_hold
        shortest = ride_through_h(other, simulation.system, inputs, simulation.trace)
        assert shortest == at_hold


def test_reliability_counts_hours_energy_and_the_longest_gap():
    """No sun, no grid: the bank lasts a known time, then everything is dark."""
    sketch, inputs = flat_home()
    no_sun = type(inputs.output)(**{**vars(inputs.output), "module_w": 0 * inputs.output.module_w})
    inputs = type(inputs)(inputs.weather, inputs.loads, no_sun)
    found = reliability_of(sketch, drawn_system(sketch), inputs)
    assert found.unserved_h.tolist() == [8760, 8760]  # the run-in has emptied the bank
    assert found.longest_gap_year_h == 8760
    assert found.loss_of_load_probability == 1
    assert found.median.unserved_kwh == pytest.approx(192 * 8760 / 1000)
    assert found.worst.ran_out == "sun"


def test_random_cuts_are_drawn_anew_and_reproducibly():
    grid = Grid(kind="failing", mean_time_between_cuts_h=40, mean_cut_length_h=20)
    sketch, inputs = flat_home(
        load_w=800.0, grid=grid, roof_planes=(RoofPlane(modules_in_series=0),)
    )
    system = drawn_system(sketch)
    first = reliability_of(sketch, system, inputs)
    again = reliability_of(sketch, system, inputs)
    assert first.year.tolist() == [0, 0, 0, 1, 1, 1]
    assert first.draw.tolist() == [0, 1, 2, 0, 1, 2]
    assert np.array_equal(first.unserved_h, again.unserved_h)
    assert len(set(first.unserved_h.tolist())) > 1
    rows = list(zip(first.year.tolist(), first.draw.tolist(), strict=True))
    ranked = sorted(range(6), key=lambda row: first.unserved_frac[row])
    for one, place in ((first.median, 3), (first.bad, 5), (first.judged, 3)):
        row = ranked[place]
        assert (one.year, one.draw) == rows[row]
        assert one.unserved_kwh == first.unserved_kwh[row]
        assert one.unserved_frac == first.unserved_frac[row]
        assert one.unserved_h == first.unserved_h[row]
        assert one.longest_gap_h == first.longest_gap_h[row]
        assert one.name == inputs.weather.year_names[one.year]
    assert first.worst.ran_out == "grid"


def test_too_small_a_machine_is_told_from_an_empty_bank():
    small = InverterCharger(efficiency_curve=((1.0, 1.0),), standby_w=0, rated_w=150)
    equipment = LOSSLESS.model_copy(update={"inverter": small})
    sketch, inputs = flat_home(equipment=equipment, drawn=Drawn(units_in_parallel=40))
    trace = simulate(sketch, inputs=inputs).trace
    assert worst_stretch(trace).ran_out == "power"


def test_nothing_unserved_is_said_so():
    sketch, inputs = flat_home(grid=Grid(kind="steady"))
    assert worst_stretch(simulate(sketch, inputs=inputs).trace).ran_out == "nothing"


@pytest.fixture(scope="module")
def sampled():
    """A real typical year that pvlib carries, and a household on it."""
    sketch = Sketch(
        site=Site(latitude_deg=36.1, longitude_deg=-79.95, elevation_m=273, utc_offset_h=-5),
        weather=WeatherChoice(source="sample", sample="greensboro", years=1),
        roof_planes=(RoofPlane(modules_in_series=6, strings=1),),
    )
    weather = weather_of(sketch)
    made = made_load(scale=0.5)
    made = type(made)(**{**vars(made), "time": weather.time})
    return sketch, Inputs(weather, made, array_output(sketch, weather))


def test_a_point_of_the_orientation_map_is_the_plane_computed_alone(sampled):
    sketch, inputs = sampled
    found = orientation_map(
        sketch, drawn_system(sketch), inputs, tilts=(0, 40, 90), azimuths=(90, 200)
    )
    for row, tilt in enumerate(found.tilt_deg):
        for column, azimuth in enumerate(found.azimuth_deg):
            plane = sketch.roof_planes[0].model_copy(
                update={"tilt_deg": float(tilt), "azimuth_deg": float(azimuth)}
            )
            other = sketch.model_copy(update={"roof_planes": (plane,)})
            output = array_output(other, inputs.weather)
            light = output.poa_global.sum() / 1000
            assert found.poa_kwh_per_m2[row, column] == pytest.approx(light, rel=1e-12)
            energy = output.module_w.sum() * 6 / 1000
            assert found.array_kwh[row, column] == pytest.approx(energy, rel=1e-6)
            alone = simulate(other, inputs=type(inputs)(inputs.weather, inputs.loads, output))
            assert found.unserved_frac[row, column] == pytest.approx(
                alone.metrics.unserved_frac, abs=1e-6
            )


def test_winter_wants_a_steeper_array_than_the_year(sampled):
    sketch, inputs = sampled
    found = orientation_map(sketch, drawn_system(sketch), inputs)
    assert found.tilt_deg[found.best_month[0]] > found.tilt_deg[found.best_year[0]]
    assert found.month_kwh_per_day.shape == (13, 13, 12)


def test_the_tuned_blend_is_no_dearer_than_the_three_and_rides_through():
    bands = (TariffBand(from_h=0, to_h=6, price_per_kwh=0.08),)
    grid = Grid(kind="failing", tariff=Tariff(price_per_kwh=0.3, bands=bands))
    sketch, inputs = flat_home(grid=grid, targets=Targets(ride_through_h=12))
    system = drawn_system(sketch)
    found = tuned_blend(sketch, system, inputs)
    assert found.met
    again = simulate(sketch.model_copy(update={"strategy": found.strategy}), inputs=inputs)
    assert again.metrics.energy_cost == pytest.approx(found.cost_per_year, rel=1e-9)
    reached = ride_through_h(sketch, system, inputs, again.trace)
    assert reached == found.ride_through_h >= 12
    unbound = tuned_blend(
        sketch.model_copy(update={"targets": Targets(ride_through_h=0)}), system, inputs
    )
    assert unbound.cost_per_year <= min(unbound.pure_cost_per_year.values()) + 1e-9
    assert unbound.cost_per_year <= found.cost_per_year + 1e-9


@pytest.mark.parametrize(("seed", "rests"), [(6, True), (4, False)])
def test_using_the_settled_blend_offers_no_other(seed, rests):
    """Tuned in the year judged now, this town house would be offered one blend after another."""
    sketch = demo("town_house")
    other_years = sketch.weather.model_copy(update={"seed": seed})
    sketch = sketch.model_copy(update={"weather": other_years})
    now = drawn_outcome(sketch)
    inputs, judged = now.simulation.inputs, now.reliability.judged
    found = settled_blend(sketch, now.system, inputs, year=judged.year, draw=judged.draw)
    once = tuned_blend(sketch, now.system, inputs, year=judged.year, draw=judged.draw)
    assert once.strategy != found.strategy
    used = sketch.model_copy(update={"strategy": found.strategy})
    after = reliability_of(used, now.system, inputs).judged
    assert ((after.year, after.draw) == (found.year, found.draw)) == rests  # else years in a ring
    again = settled_blend(used, now.system, inputs, year=after.year, draw=after.draw)
    assert again == found


def test_years_that_call_each_other_up_settle_on_one_blend(monkeypatch):
    """Year 2 leads to year 0, year 0 to 1, 1 to 0: the cheaper of 0 and 1, wherever it begins."""

    def tuned(sketch, system, inputs, *, year, draw, should_stop):
        cost = {0: 30.0, 1: 20.0, 2: 10.0}[year]
        hold = {0: 0.3, 1: 0.4, 2: 0.5}[year]
        return TunedBlend(
            Strategy(kind="blended", hold_soc_frac=hold), cost, 0, 0, {}, True, 1, year
        )

    def judged_next(sketch, system, inputs):
        year = {0.3: 1, 0.4: 0, 0.5: 0}[sketch.strategy.hold_soc_frac]
        return SimpleNamespace(judged=SimpleNamespace(year=year, draw=0))

    monkeypatch.setattr(blend, "tuned_blend", tuned)
    monkeypatch.setattr(blend, "reliability_of", judged_next)
    sketch = demo("town_house")
    costs = [settled_blend(sketch, None, None, year=year).cost_per_year for year in (0, 1, 2)]
    assert costs == [20, 20, 20]
