"""Totals of a year: counting, shares and money from flows set by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.metrics import dark_steps, fuel_l, longest_run, metrics_of
from offgrid_sizing.sketch import Generator
from offgrid_sizing.system import drawn_system

FLOWS = [
    "load_w",
    "pv_available_w",
    "pv_to_load_w",
    "pv_to_bank_w",
    "pv_to_standby_w",
    "curtailed_w",
    "exported_w",
    "grid_import_w",
    "grid_to_load_w",
    "grid_to_bank_w",
    "grid_to_standby_w",
    "generator_w",
    "generator_to_load_w",
    "generator_to_bank_w",
    "dump_w",
    "bank_to_load_w",
    "bank_to_standby_w",
    "unserved_w",
    "standby_w",
    "losses_w",
]


def _trace(**flows):
    columns = {name: np.zeros(4) for name in FLOWS}
    columns |= {"stored_wh": np.full(4, 500.0), "soc_frac": np.full(4, 0.5)}
    columns |= {"tariff_per_kwh": np.array([0.1, 0.1, 0.3, 0.3]), "grid_up": np.ones(4)}
    columns |= {name: np.asarray(value, dtype=float) for name, value in flows.items()}
    return SimpleNamespace(
        step_h=1.0, columns=columns, stored_wh_start=500.0, generator_on=np.zeros(4, dtype=bool)
    )


def _metrics(name="farmhouse", **flows):
    sketch = demo(name)
    poa = np.full((len(sketch.roof_planes), 4), 1000.0)
    return metrics_of(sketch, drawn_system(sketch), _trace(**flows), np.zeros(4), poa)


@pytest.mark.parametrize(
    ("flags", "longest"), [([], 0), ([0, 0], 0), ([1, 1, 0, 1], 2), ([0, 1, 1, 1], 3)]
)
def test_longest_run(flags, longest):
    assert longest_run(np.array(flags, dtype=bool)) == longest


def test_a_rounding_crumb_is_no_dark_step():
    assert dark_steps(np.array([1000.0, 1000.0]), np.array([1e-4, 1.0])).tolist() == [False, True]


def test_unserved_is_counted_in_energy_hours_and_gaps():
    metrics = _metrics(load_w=[1000, 1000, 1000, 1000], unserved_w=[0, 500, 1000, 0])
    assert metrics.unserved_kwh == pytest.approx(1.5)
    assert metrics.unserved_frac == pytest.approx(0.375)
    assert metrics.unserved_h == 2
    assert metrics.longest_gap_h == 2
    assert metrics.loss_of_load_probability == pytest.approx(0.5)


def test_grid_energy_is_paid_at_its_hour():
    sketch = demo("town_house")
    metrics = _metrics("town_house", load_w=[1000] * 4, grid_import_w=[1000, 0, 1000, 0])
    fixed = sketch.grid.tariff.fixed_per_month * 12 * (4 / 24) / 365
    assert metrics.grid_cost == pytest.approx(0.1 + 0.3 + fixed)


def test_shares_of_array_energy():
    metrics = _metrics(
        load_w=[1000] * 4, pv_available_w=[2000] * 4, curtailed_w=[500] * 4, exported_w=[500] * 4
    )
    assert metrics.curtailed_frac == pytest.approx(0.25)
    assert metrics.self_consumption_frac == pytest.approx(0.5)


def test_light_is_weighted_by_modules():
    metrics = _metrics(load_w=[1000] * 4)
    assert metrics.reference_yield_h_per_day == pytest.approx(24)


def test_cycles_come_from_the_store_itself():
    metrics = _metrics(load_w=[1] * 4, stored_wh=[1500, 500, 1500, 500])
    assert metrics.bank_in_kwh == pytest.approx(2)
    assert metrics.bank_out_kwh == pytest.approx(2)


def test_fuel_line():
    # From memory: Skarstein & Uhlen, Wind Engineering 13 (1989) 72-87.
    generator = Generator(rated_w=10_000)
    burnt = [fuel_l(generator, kw * 1.0, 1.0) for kw in (0, 5, 10)]
    assert burnt == pytest.approx([0.8415, 2.0715, 3.3015], abs=0.03)
