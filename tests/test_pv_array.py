"""From light to DC power, against pvlib's own functions and cases a hand can derive."""

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing import module_model
from offgrid_sizing.demos import demo
from offgrid_sizing.pv_array import array_output, plane_light, pv_power_w, sun_positions
from offgrid_sizing.sketch import BadInput, Controller, Module, RoofPlane
from offgrid_sizing.system import PlaneStrings, drawn_system
from offgrid_sizing.weather.series import Weather, clock
from offgrid_sizing.weather.sun import clear_sky, sun_path


@pytest.fixture(scope="module")
def clear_year() -> Weather:
    """A cloudless year at 36 N, 80 W from the Ineichen-Perez model."""
    time = clock(1.0, -5)
    shape = (1, len(time))
    sun = sun_path(36.1, -79.95, 1.0, -5)
    ghi, dni = clear_sky(sun, 270.0, np.full(12, 3.0))
    dhi = np.maximum(ghi - dni * np.maximum(sun.cos_zenith, 0), 0)
    return Weather(
        time=time,
        ghi=ghi.reshape(shape),
        dni=dni.reshape(shape),
        dhi=dhi.reshape(shape),
        temp_air=np.full(shape, 15.0),
        wind_speed=np.full(shape, 2.0),
        step_h=1.0,
        latitude_deg=36.1,
        longitude_deg=-79.95,
        elevation_m=270.0,
        kind="sample",
        provenance="clear-sky model",
    )


def test_a_flat_plane_receives_the_horizontal_light(clear_year):
    sketch, sun = demo("farmhouse"), sun_positions(clear_year)
    poa, _ = plane_light(RoofPlane(tilt_deg=0), sketch, clear_year, sun)
    assert poa.sum() == pytest.approx(clear_year.ghi.sum(), rel=0.01)


@pytest.mark.parametrize("model", ["perez", "haydavies", "isotropic"])
def test_tilted_light_equals_the_reference_library(clear_year, model):
    sketch, sun = demo("farmhouse"), sun_positions(clear_year)
    plane = RoofPlane(tilt_deg=35, azimuth_deg=200)
    poa, effective = plane_light(plane, sketch, clear_year, sun, model)
    expected = pvlib.irradiance.get_total_irradiance(
        35, 200, sun.apparent_zenith, sun.azimuth, clear_year.dni[0], clear_year.ghi[0],
        clear_year.dhi[0], dni_extra=sun.dni_extra, airmass=sun.airmass, albedo=0.2, model=model,
    )["poa_global"]  # fmt: skip
    up = sun.apparent_zenith < 85
    assert poa[0][up] == pytest.approx(np.asarray(expected)[up], rel=1e-9, abs=1e-6)
    assert np.isfinite(poa).all()
    assert (effective <= poa + 1e-9).all()


def test_the_year_is_whole_and_positive(clear_year):
    output = array_output(demo("farmhouse"), clear_year)
    assert output.module_w.shape == (1, 1, 8760)
    assert output.module_w.min() >= 0
    assert [share for _, share in output.chain] == sorted(
        (share for _, share in output.chain), reverse=True
    )


def test_losses_take_their_share(clear_year):
    sketch = demo("farmhouse")
    dirty = sketch.equipment.losses.model_copy(update={"soiling_frac": (0.52,) * 12})
    worse = sketch.model_copy(
        update={"equipment": sketch.equipment.model_copy(update={"losses": dirty})}
    )
    clean_w = array_output(sketch, clear_year).module_w
    dirty_w = array_output(worse, clear_year).module_w
    assert dirty_w.sum() == pytest.approx(clean_w.sum() * 0.48 / 0.97)


def test_controllers_pass_or_clip_every_watt(clear_year):
    sketch = demo("farmhouse")
    output = array_output(sketch, clear_year)
    small = drawn_system(sketch)
    large = small.model_copy(update={"planes": (PlaneStrings(modules_in_series=6, strings=8),)})
    available, clipped = pv_power_w(sketch, output, small)
    assert clipped.sum() == pytest.approx(0, abs=1e-6)
    assert available == pytest.approx(output.module_w[0] * 12)
    available, clipped = pv_power_w(sketch, output, large)
    assert available + clipped == pytest.approx(output.module_w[0] * 48)
    assert available.max() <= sketch.equipment.controller.max_power_w + 1e-9
    assert clipped.sum() > 0


def test_an_array_of_no_modules_gives_nothing(clear_year):
    sketch = demo("farmhouse")
    none = drawn_system(sketch).model_copy(
        update={"planes": (PlaneStrings(modules_in_series=6, strings=0),)}
    )
    available, clipped = pv_power_w(sketch, array_output(sketch, clear_year), none)
    assert available.sum() == clipped.sum() == 0


def test_a_string_outside_the_tracking_window_loses_power():
    module, controller = Module(), Controller(mppt_min_v=120, mppt_max_v=430)
    inside = module_model.window_factor(module, controller, 6, np.array([25.0]))
    too_short = module_model.window_factor(module, controller, 2, np.array([25.0]))
    too_long = module_model.window_factor(module, controller, 12, np.array([25.0]))
    assert inside[0] == 1
    assert too_short[0] == 0
    assert too_long[0] == pytest.approx(430 / (12 * module.vmp_v))


@pytest.mark.parametrize("module", [Module(model="single_diode"), Module()])
def test_rated_power_at_standard_conditions(module):
    power = module_model.power_w(module, np.array([1000.0]), np.array([25.0]))
    assert power[0] == pytest.approx(450, rel=0.003)


def test_a_row_of_the_module_table_gives_its_own_rating():
    name = module_model.module_table().columns[1234]
    module = module_model.module_from_table(name)
    power = module_model.power_w(module, np.array([1000.0]), np.array([25.0]))
    # CEC table as pvlib carries it: STC is the row's own rated power
    assert power[0] == pytest.approx(float(module_model.table_row(name)["STC"]), rel=0.01)


def test_an_unknown_row_is_refused():
    with pytest.raises(BadInput, match="has no row"):
        module_model.table_row("no such module")


def test_a_nameplate_no_curve_fits_is_refused():
    odd = Module(voc_v=42.0, vmp_v=41.5, imp_a=10.85, isc_a=10.86, model="single_diode")
    with pytest.raises(BadInput, match="no single-diode curve"):
        module_model.power_w(odd, np.array([1000.0]), np.array([25.0]))


@settings(max_examples=25, deadline=None)
@given(light=st.floats(0, 1300), cell=st.floats(-30, 90))
def test_both_module_models_stay_close(light, cell):
    linear = module_model.power_w(Module(), np.array([light]), np.array([cell]))[0]
    curve = module_model.power_w(Module(model="single_diode"), np.array([light]), np.array([cell]))[
        0
    ]
    assert curve == pytest.approx(linear, rel=0.12, abs=12)


@pytest.mark.parametrize("cells", [1, 2, 300])
def test_a_wrong_number_of_cells_is_refused(cells):
    """The fit once settled on no number at all, and the year was computed with it."""
    odd = Module(cells_in_series=cells, model="single_diode")
    with pytest.raises(BadInput, match="no single-diode curve"):
        module_model.power_w(odd, np.array([1000.0]), np.array([25.0]))
