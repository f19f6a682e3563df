"""Controllers' limits, losses and the loss chain of an array, worked by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.pv_array import (
    ArrayOutput,
    _chain,
    cell_temperature,
    loss_factors,
    one_year,
    pv_power_w,
    sun_positions,
)
from offgrid_sizing.sketch import ArrayLosses, Controller, Equipment, Module, RoofPlane
from offgrid_sizing.system import PlaneStrings, System
from offgrid_sizing.weather.series import clock

MODULE = Module(power_w=400, vmp_v=40, imp_a=10, voc_v=50, isc_a=10.5)


def output(*watts, years=1):
    """Watts of one module on each plane, two steps a year, cells at 25 °C."""
    module_w = np.array([[[w, w / 2]] * years for w in watts], dtype=float)
    return ArrayOutput(None, None, module_w, module_w * 2, np.full_like(module_w, 25.0), ())


def passed(controller, inverters=1, planes=((6, 2), (5, 1))):
    sketch = demo("farmhouse")
    sketch = sketch.model_copy(
        update={"equipment": Equipment(module=MODULE, controller=controller)}
    )
    system = System(
        planes=tuple(PlaneStrings(modules_in_series=n, strings=m) for n, m in planes),
        units_in_series=1, units_in_parallel=1, inverters=inverters,
        arrangement="single" if inverters == 1 else "parallel",
    )  # fmt: skip
    available, clipped = pv_power_w(sketch, output(400.0, 200.0), system)
    assert available + clipped == pytest.approx(np.array([[5800.0, 2900.0]]))
    return available[0].tolist()


def limits(**more):
    return Controller(**({"mppt_min_v": 60, "mppt_max_v": 430, "max_input_a": 22, "inputs": 2,
                          "max_power_w": 7000} | more))  # fmt: skip


def test_power_of_two_planes():
    """12 modules of 400 W and 5 of 200 W; half of it in the second step."""
    assert passed(limits()) == pytest.approx([5800, 2900])
    assert passed(limits(), planes=((6, 2), (5, 1), (6, 0))) == pytest.approx([5800, 2900])


@pytest.mark.parametrize(("planes", "watts"), [(((1, 1),), 400.0), (((0, 0), (1, 1)), 200.0)])
def test_an_array_of_one_module_and_a_plane_without_any(planes, watts):
    sketch = demo("farmhouse").model_copy(
        update={"equipment": Equipment(module=MODULE, controller=limits(mppt_min_v=30))}
    )
    system = System(
        planes=tuple(PlaneStrings(modules_in_series=n, strings=m) for n, m in planes),
        units_in_series=1, units_in_parallel=1, inverters=1, arrangement="single",
    )  # fmt: skip
    available, clipped = pv_power_w(sketch, output(400.0, 200.0), system)
    assert available == pytest.approx(np.array([[watts, watts / 2]]))
    assert clipped == pytest.approx(np.zeros((1, 2)))


def test_the_sun_at_the_middle_of_the_step():
    """15° east on its own hour: on 15 April the sun is in the south at 12 h, to 15 s, so half an
    hour (7.5°) before and after it stands as high. Its declination is 9.9°: sin h = sin 45° × sin
    9.9° + cos 45° × cos 9.9° × cos 7.5° = 0.8122, h = 54.3°."""
    weather = SimpleNamespace(
        time=clock(1.0, 1.0), latitude_deg=45.0, longitude_deg=15.0, elevation_m=0.0, step_h=1.0
    )
    sun = sun_positions(weather)
    day = 104 * 24
    assert sun.zenith[day + 11] == pytest.approx(sun.zenith[day + 12], abs=0.15)
    assert sun.azimuth[day + 11] + sun.azimuth[day + 12] == pytest.approx(360, abs=0.5)
    assert 90 - sun.zenith[day + 12] == pytest.approx(54.3, abs=0.15)
    assert not any(values.flags.writeable for values in vars(sun).values())


def test_the_inputs_current():
    """Two strings of 10 A and one of 5 A: 25 A. Two inputs of 10 A pass 20 of 25."""
    assert passed(limits(max_input_a=10)) == pytest.approx([4640, 2900])
    assert passed(limits(max_input_a=10, inputs=1)) == pytest.approx([2320, 2320])
    assert passed(limits(max_input_a=10), inverters=2) == pytest.approx([5800, 2900])
    assert passed(limits(max_input_a=5), inverters=2) == pytest.approx([4640, 2900])


def test_the_inputs_power():
    assert passed(limits(max_power_w=5000)) == pytest.approx([5000, 2900])
    assert passed(limits(max_power_w=2800), inverters=2) == pytest.approx([5600, 2900])


def test_a_string_above_the_window_is_held_at_its_top():
    # 6 × 40 = 240 V on a window up to 216 V: 0.9 of 4,800 W; 5 × 40 = 200 V lie inside
    assert passed(limits(mppt_max_v=216)) == pytest.approx([0.9 * 4800 + 1000, 2660])
    # a window from 275 V: 6 in series work at 240 V and are open at 300 V: 25 of 60; 5 at 250 none
    assert passed(limits(mppt_min_v=275)) == pytest.approx([4800 * 25 / 60, 1000])


def test_one_year_alone():
    both = output(400.0, 200.0, years=3)
    both.module_w[:, 1] = 7.0
    one = one_year(both, 1)
    assert one.module_w.shape == one.poa_global.shape == one.temp_cell.shape == (2, 1, 2)
    assert (one.module_w == 7).all()


@pytest.mark.parametrize(
    ("mounting", "a", "b", "above_k"),
    # King, Boyson & Kratochvil 2004 (SAND2004-3535), table of a, b and ΔT by mounting
    [("open_rack", -3.56, -0.075, 3), ("close_roof", -2.98, -0.0471, 1),
     ("insulated_back", -2.81, -0.0455, 0)],
)  # fmt: skip
def test_cell_temperature(mounting, a, b, above_k):
    """T = 20 + 800 e^(a + 2 b) + 0.8 ΔT at 800 W/m², 20 °C and 2 m/s."""
    got = float(cell_temperature(RoofPlane(name="p", mounting=mounting), 800.0, 20.0, 2.0))
    assert got == pytest.approx(20 + 800 * np.exp(a + 2 * b) + 0.8 * above_k)


def losses():
    soiling = (0.01, 0.02, *(0.03,) * 9, 0.12)
    return SimpleNamespace(
        equipment=SimpleNamespace(
            losses=ArrayLosses(
                soiling_frac=soiling, light_induced_frac=0.02, age_per_year_frac=0.1, age_years=2,
                mismatch_frac=0.05, wiring_frac=0.04, availability_frac=0.9,
            ),
            module=MODULE,
        )
    )  # fmt: skip


def test_what_each_loss_leaves():
    got = loss_factors(losses(), np.array([1, 2, 12]))
    assert got["soiling"] == pytest.approx([0.99, 0.98, 0.88])
    del got["soiling"]
    assert got == pytest.approx(
        {"light-induced": 0.98, "age": 0.81, "mismatch": 0.95, "wiring": 0.96, "availability": 0.9}
    )


def test_the_chain_of_losses():
    """2,000 Wh/m² of light, 1,900 behind the glass, 640 Wh of a 400 W module (0.8 of 800)."""
    factors = {"soiling": np.array([0.9, 0.7]), "wiring": 0.5}
    assert _chain(losses(), factors, 2000.0, 1900.0, 640.0) == (
        ("light on the planes", 1.0),
        ("reflection", 0.95),
        ("temperature and low light", pytest.approx(0.8)),
        ("soiling", pytest.approx(0.64)),
        ("wiring", pytest.approx(0.32)),
    )
    assert _chain(losses(), factors, 0.0, 0.0, 0.0) == ()
    assert _chain(losses(), {}, 0.5, 0.4, 0.1)[-1] == (
        "temperature and low light", pytest.approx(0.5),
    )  # fmt: skip
