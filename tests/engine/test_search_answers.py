"""The search against trying every whole system one by one."""

import threading

import numpy as np
import pytest
from engine_cases import made_inputs, made_load, made_weather, random_strategy

from offgrid_sizing.balance import dispatch_year
from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.economics.costs import design_cost
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.sizing.blend import trace_cost
from offgrid_sizing.sizing.candidates import candidates_of, inverters_for
from offgrid_sizing.sizing.field import field_of
from offgrid_sizing.sizing.frontier import smallest_bisected, smallest_scanned, try_pairs
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sketch import (
    BadInput,
    BankPlace,
    Drawn,
    Equipment,
    Generator,
    Grid,
    InverterCharger,
    RoofPlane,
    Site,
    Sketch,
    Targets,
    WeatherChoice,
)


def home(seed: int, generator: bool = False, grid: bool = False, years: int = 1):
    """A small field of systems: 7 banks, 11 or 12 arrays, one plane."""
    rng = np.random.default_rng(seed)
    sketch = Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        grid=Grid(kind="failing" if grid else "none", mean_time_between_cuts_h=30),
        generator=Generator(rated_w=2000) if generator else None,
        strategy=random_strategy(rng) if grid or generator else {},
        roof_planes=(RoofPlane(modules_in_series=2, strings=2),),
        targets=Targets(
            max_units=6, max_modules=24, days_of_autonomy=0,
            max_unserved_frac=float(rng.choice([0.001, 0.01, 0.03, 0.1])),
        ),
        equipment=Equipment(bank_place=BankPlace(kind=str(rng.choice(["indoor", "outdoor"])))),
    )  # fmt: skip
    load = made_load(seed, years, scale=float(rng.uniform(0.3, 1.0)))
    return sketch, made_inputs(sketch, made_weather(seed, years), load)


def brute_force(sketch, inputs):
    """(cheapest cost that meets the target, least unserved share) over all whole systems."""
    low = inputs.weather.record_low_c
    candidates = candidates_of(sketch, inputs.loads.peak, low)
    cheapest, least = np.inf, np.inf
    for units in candidates.units:
        for array in range(len(candidates.modules)):
            system = candidates.system(sketch, int(units), array)
            power, _ = pv_power_w(sketch, inputs.output, system)
            trace = dispatch_year(
                sketch, system, power[0], inputs.loads, inputs.weather, compiled=True
            )
            share = trace["unserved_w"].sum() / trace["load_w"].sum()
            least = min(least, share)
            if share <= sketch.targets.max_unserved_frac:
                cost = design_cost(
                    sketch, system.units, system.modules, inverters=system.inverters,
                    yearly_energy_cost=trace_cost(sketch, trace),
                )  # fmt: skip
                cheapest = min(cheapest, float(cost))
    return cheapest, least


@pytest.mark.parametrize(
    ("seed", "generator", "grid"),
    [(seed, False, False) for seed in range(12)]
    + [(seed, True, False) for seed in range(12, 22)]
    + [(seed, False, True) for seed in range(22, 30)],
)
def test_the_search_finds_what_trying_everything_finds(seed, generator, grid, monkeypatch):
    monkeypatch.setattr("offgrid_sizing.sizing.least.units_for_current", lambda *_: (0, 0))
    sketch, inputs = home(seed, generator, grid)
    found = size(sketch, inputs=inputs)
    cheapest, least = brute_force(sketch, inputs)
    assert found.method == ("dense scan" if generator or grid else "bisection")
    assert found.met is bool(np.isfinite(cheapest))
    if found.met:
        assert found.cost_per_year == pytest.approx(cheapest, rel=1e-9)
    else:
        assert found.judged_unserved_frac == pytest.approx(least, abs=1e-9)


@pytest.mark.parametrize("seed", range(40, 46))
def test_bisection_gives_every_bank_the_array_a_scan_gives_it(seed):
    field = field_of(*home(seed, years=3))
    units, arrays = (
        x.ravel()
        for x in np.meshgrid(
            field.candidates.units, np.arange(len(field.candidates.modules)), indexing="ij"
        )
    )
    tried = try_pairs(field, units, arrays, design_cost)
    rows = smallest_scanned(tried)
    scanned = dict(zip(tried.units[rows].tolist(), tried.arrays[rows].tolist(), strict=True))
    bisected = smallest_bisected(field, field.candidates.units)
    for bank, array in zip(field.candidates.units.tolist(), bisected.tolist(), strict=True):
        assert scanned.get(bank, -1) == array


def test_four_threads_sizing_at_once_get_the_same_answers():
    cases = [home(seed, generator=seed % 2 == 0) for seed in range(4)]
    alone = [size(sketch, inputs=inputs) for sketch, inputs in cases]
    together: dict[int, object] = {}

    def work(k):
        together[k] = size(cases[k][0], inputs=cases[k][1])

    threads = [threading.Thread(target=work, args=(k,)) for k in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for k, one in enumerate(alone):
        assert together[k].system == one.system
        assert np.array_equal(together[k].unserved_frac, one.unserved_frac)


def test_a_search_that_is_stopped_ends_with_stopped():
    sketch, inputs = home(3)
    with pytest.raises(Stopped):
        size(sketch, inputs=inputs, should_stop=lambda: True)


def test_progress_goes_from_begin_to_end():
    sketch, inputs = home(3)
    told = []
    size(sketch, inputs=inputs, progress=lambda share, words: told.append(share))
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_a_target_out_of_reach_is_said_with_the_best_reachable():
    sketch, inputs = home(2)
    targets = sketch.targets.model_copy(
        update={"max_units": 1, "max_modules": 2, "max_unserved_frac": 0.0}
    )
    found = size(sketch.model_copy(update={"targets": targets}), inputs=inputs)
    assert not found.met
    assert "no system up to 1 units in parallel and 2 modules" in found.sentence
    assert "raise the limit" in found.sentence


def test_a_reserve_makes_the_array_larger():
    sketch, inputs = home(5)
    reserved = sketch.model_copy(update={"weather": WeatherChoice(array_reserve=1.5)})
    plain, safe = size(sketch, inputs=inputs), size(reserved, inputs=inputs)
    by_units = {point.units: point.modules for point in plain.frontier}
    for point in safe.frontier:
        assert point.modules >= by_units[point.units]
    assert any(point.modules > by_units[point.units] for point in safe.frontier)
    assert safe.array_reserve == 1.5


def test_machines_follow_peak_start_and_array():
    sketch, inputs = home(1)
    peak = inputs.loads.peak
    machine = sketch.equipment.inverter

    def needed(modules=4, **changes):
        other = type(peak)(**{**vars(peak), **changes})
        return int(inverters_for(sketch, other, np.array([modules]), np.array([1]), 51.2)[0])

    assert needed() == 1
    assert needed(running_va=machine.rated_va * 1.01) == 2
    assert needed(running_w=machine.rated_w * 2.01) == 3
    assert needed(starting_va=machine.surge_va * 1.5) == 2
    assert needed(modules=16) == 2  # 7.2 kW on a 7 kW controller


@pytest.mark.parametrize(
    ("arrangement", "inverters", "lines"), [("split_phase", 2, 2), ("three_phase", 3, 3)]
)
def test_phases_get_a_machine_each(arrangement, inverters, lines):
    sketch, inputs = home(1)
    drawn = Drawn(arrangement=arrangement, inverters=inverters)
    found = size(sketch.model_copy(update={"drawn": drawn}), inputs=inputs)
    assert found.system.inverters % lines == 0
    assert found.system.arrangement == arrangement


def test_boxes_that_do_not_fit_together_are_refused_in_a_sentence():
    sketch, inputs = home(1)
    tall = InverterCharger(bank_v=400, bank_min_v=390, bank_max_v=405)
    equipment = Equipment(inverter=tall)
    with pytest.raises(BadInput, match="no whole number of"):
        size(sketch.model_copy(update={"equipment": equipment}), inputs=inputs)


def test_several_planes_get_strings_in_proportion_and_never_more_than_fit():
    sketch, inputs = home(1)
    planes = (
        RoofPlane(modules_in_series=2, strings=2, max_modules=8),
        RoofPlane(modules_in_series=2, strings=1, azimuth_deg=90),
        RoofPlane(modules_in_series=2, strings=0, max_modules=0),
    )
    sketch = sketch.model_copy(update={"roof_planes": planes})
    candidates = candidates_of(sketch, inputs.loads.peak, -10.0)
    strings = candidates.strings
    assert (np.diff(strings.sum(axis=1)) == 1).all()
    assert strings[:, 0].max() == 4
    assert strings[:, 2].max() == 0
    assert abs(strings[6, 0] - 2 * strings[6, 1]) <= 1
    assert candidates.modules[-1] <= sketch.targets.max_modules
