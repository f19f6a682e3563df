"""Light on a plane, what enters the glass, and one hour's power, worked by hand."""

from types import SimpleNamespace

import numpy as np
import pvlib
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.pv_array import Sun, array_output, plane_light, sun_positions
from offgrid_sizing.sketch import ArrayLosses, HorizonPoint, Module, Obstacle, RoofPlane
from offgrid_sizing.weather.series import Weather, clock


def sky(*, zenith=60.0, azimuth=180.0, years=1):
    """A sun in two steps, the second below the horizon; 800 W/m² beam, 100 sky, 500 in all."""
    sun = Sun(
        apparent_zenith=np.array([zenith, 95.0]), zenith=np.array([zenith, 95.0]),
        azimuth=np.array([azimuth, 300.0]), dni_extra=np.full(2, 1361.0),
        airmass=np.array([2.0, np.nan]),
    )  # fmt: skip
    row = np.ones((years, 1))
    weather = SimpleNamespace(
        dni=row * [800.0, 0.0], dhi=row * [100.0, 10.0], ghi=row * [500.0, 10.0], years=years
    )
    return weather, sun


def place(horizon=(), obstacles=(), albedo=0.2):
    sketch = demo("farmhouse")
    site = sketch.site.model_copy(update={"albedo": albedo})
    return sketch.model_copy(update={"site": site, "horizon": horizon, "obstacles": obstacles})


def all_round(height):
    return (HorizonPoint(azimuth_deg=0, elevation_deg=height),)


STEEP = RoofPlane(tilt_deg=60, azimuth_deg=180)


def test_light_on_a_plane_that_faces_the_sun():
    """Upright to the beam: 800; of the sky (1 + cos 60°)/2 = 0.75, of the ground 0.25 × 0.2."""
    weather, sun = sky()
    poa, effective = plane_light(STEEP, place(), weather, sun, "isotropic")
    assert poa[0] == pytest.approx([800 + 75 + 25, 7.5 + 0.5])
    # the glass passes the beam from the front whole, sky and ground by their own share
    part = pvlib.iam.marion_diffuse("physical", 60)
    assert 0.9 < part["sky"] < 1
    assert 0.5 < part["ground"] < 0.95
    assert effective[0] == pytest.approx(
        [800 + 75 * part["sky"] + 25 * part["ground"], 7.5 * part["sky"] + 0.5 * part["ground"]]
    )
    brighter, _ = plane_light(STEEP, place(albedo=0.6), weather, sun, "isotropic")
    assert brighter[0, 0] == pytest.approx(800 + 75 + 75)


def test_a_beam_from_the_side_and_from_behind():
    """60° off, a third passes less well through the glass; a plane to the north sees no beam."""
    weather, sun = sky(zenith=30.0)
    flat = RoofPlane(tilt_deg=90, azimuth_deg=180)
    poa, effective = plane_light(flat, place(), weather, sun, "isotropic")
    assert poa[0, 0] == pytest.approx(800 * 0.5 + 50 + 50)
    part = pvlib.iam.marion_diffuse("physical", 90)
    passed = float(pvlib.iam.physical(60.0))
    assert 0.9 < passed < 0.97
    assert effective[0, 0] == pytest.approx(400 * passed + 50 * part["sky"] + 50 * part["ground"])
    north = RoofPlane(tilt_deg=90, azimuth_deg=0)
    poa, _ = plane_light(north, place(), weather, sun, "isotropic")
    assert poa[0, 0] == pytest.approx(100)


@pytest.mark.parametrize("tilt_deg", [0.0, 1.0])
def test_a_flat_plane_has_no_light_from_the_ground(tilt_deg):
    weather, sun = sky()
    plane = RoofPlane(tilt_deg=tilt_deg, azimuth_deg=180)
    poa, effective = plane_light(plane, place(), weather, sun, "isotropic")
    assert poa[0, 0] == pytest.approx(500, rel=0.03)
    part = pvlib.iam.marion_diffuse("physical", tilt_deg)
    beam = 800 * np.cos(np.radians(60 - tilt_deg))
    dome = 100 * (1 + np.cos(np.radians(tilt_deg))) / 2
    ground = 100 * (1 - np.cos(np.radians(tilt_deg))) / 2
    from_ground = part["ground"] if tilt_deg else 0
    by_hand = beam * pvlib.iam.physical(60 - tilt_deg) + dome * part["sky"] + ground * from_ground
    assert effective[0, 0] == pytest.approx(float(by_hand), rel=1e-9)


@pytest.mark.parametrize(("height", "beam"), [(29.0, 800.0), (31.0, 0.0)])
def test_the_skyline_hides_a_sun_below_it(height, beam):
    """The sun stands 30° high; the skyline takes its share of the sky, nothing of the ground."""
    weather, sun = sky()
    poa, _ = plane_light(STEEP, place(all_round(height)), weather, sun, "isotropic")
    flat, _ = plane_light(
        RoofPlane(tilt_deg=0), place(all_round(height)), weather, sun, "isotropic"
    )
    # an even skyline leaves a flat plane cos² of its height
    left = np.cos(np.radians(height)) ** 2
    assert flat[0] == pytest.approx([beam / 2 + 100 * left, 10 * left], rel=2e-3)
    assert poa[0, 0] - 25 - beam < 75 * 0.9


def test_a_tree_passes_a_part_of_the_beam():
    tree = Obstacle(
        name="tree", azimuth_from_deg=170, azimuth_to_deg=190, elevation_from_deg=0,
        elevation_to_deg=40, transmittance_frac=0.25,
    )  # fmt: skip
    weather, sun = sky()
    poa, _ = plane_light(STEEP, place(obstacles=(tree,)), weather, sun, "isotropic")
    open_sky, _ = plane_light(STEEP, place(), weather, sun, "isotropic")
    assert open_sky[0, 0] - poa[0, 0] == pytest.approx(600, abs=10)
    assert open_sky[0, 0] > poa[0, 0] + 600  # a little of the sky as well
    high, _ = sky(zenith=45.0)
    aside, _ = plane_light(STEEP, place(obstacles=(tree,)), high, sky(zenith=45.0)[1], "isotropic")
    assert aside[0, 0] > 800 * np.cos(np.radians(15))


def test_the_sky_is_brighter_round_the_sun_in_every_year():
    weather, sun = sky(years=2)
    weather.dhi[1] *= 2
    poa, _ = plane_light(STEEP, place(), weather, sun)
    beside, _ = plane_light(STEEP, place(), weather, sun, "isotropic")
    assert np.isfinite(poa).all()
    assert (poa[:, 0] > beside[:, 0] + 20).all()
    north = RoofPlane(tilt_deg=60, azimuth_deg=0)
    poa, _ = plane_light(north, place(), weather, sun)
    beside, _ = plane_light(north, place(), weather, sun, "isotropic")
    assert (poa[:, 0] < beside[:, 0] - 10).all()


def one_bright_hour(light=800.0):
    """A year without light but for the 105th day's hour from 12 h, on its own meridian."""
    time = clock(1.0, 1.0)
    dark = np.zeros((2, 8760))
    dhi = dark.copy()
    dhi[1, 104 * 24 + 12] = light
    temp = np.full((2, 8760), 10.0)
    temp[1] = 30.0
    wind = np.full((2, 8760), 2.0)
    return Weather(
        time=time, ghi=dhi, dni=dark, dhi=dhi, temp_air=temp, wind_speed=wind, step_h=1.0,
        latitude_deg=45.0, longitude_deg=15.0, elevation_m=0.0, kind="sample", provenance="made",
        year_names=("dark", "bright"),
    )  # fmt: skip


def test_one_hours_power_from_an_even_sky():
    """Flat: all 800 W/m² arrive, the share of the sky enters; close to the roof at 2 m/s the cell
    is at 30 + 800 e^(−2.98 − 0.0942) + 0.8 °C; 400 W less 0.4 % a kelvin, and April's losses."""
    losses = ArrayLosses(
        soiling_frac=(0.0, 0.0, 0.0, 0.1, *(0.0,) * 8), light_induced_frac=0.02,
        age_per_year_frac=0.1, age_years=2, mismatch_frac=0.05, wiring_frac=0.04,
        availability_frac=0.9,
    )  # fmt: skip
    module = Module(power_w=400, vmp_v=40, imp_a=10, voc_v=50, isc_a=10.5, gamma_pmp_per_k=-0.004)
    sketch = place()
    equipment = sketch.equipment.model_copy(update={"losses": losses, "module": module})
    planes = (RoofPlane(tilt_deg=0, mounting="close_roof"), RoofPlane(tilt_deg=0))
    sketch = sketch.model_copy(update={"equipment": equipment, "roof_planes": planes})
    got = array_output(sketch, one_bright_hour(), "isotropic")
    at = 104 * 24 + 12
    assert got.module_w.shape == got.poa_global.shape == got.temp_cell.shape == (2, 2, 8760)
    assert got.poa_global[:, 1, at] == pytest.approx([800, 800])
    assert got.poa_global.sum() == pytest.approx(1600)
    cell_c = 30 + 800 * np.exp(-2.98 - 0.0942) + 0.8
    assert got.temp_cell[0, 1, at] == pytest.approx(cell_c)
    assert cell_c == pytest.approx(67.79, abs=0.01)
    assert got.temp_cell[0, :, 0].tolist() == [10, 30]
    entered = pvlib.iam.marion_diffuse("physical", 0)["sky"]
    left = 0.9 * 0.98 * 0.81 * 0.95 * 0.96 * 0.9
    watts = 400 * 0.8 * entered * (1 - 0.004 * (cell_c - 25)) * left
    assert got.module_w[0, 1, at] == pytest.approx(watts, rel=1e-9)
    assert got.module_w[0].sum() == pytest.approx(watts, rel=1e-9)
    assert got.chain[0] == ("light on the planes", 1.0)
    assert got.chain[1] == ("reflection", pytest.approx(entered))
    other_c = got.temp_cell[1, 1, at]
    means = (1 - 0.004 * (cell_c - 25) + 1 - 0.004 * (other_c - 25)) / 2
    assert got.chain[2] == ("temperature and low light", pytest.approx(entered * means))
    # soiling is a mean over the year: April's 30 of 365 days at a tenth
    soiling = 1 - 0.1 * 30 / 365
    assert got.chain[3] == ("soiling", pytest.approx(entered * means * soiling))
    assert got.sun.zenith[at] == pytest.approx(90 - 54.3, abs=0.15)
    assert (got.time == one_bright_hour().time).all()


def test_a_year_without_light_has_no_chain():
    got = array_output(place(), one_bright_hour(0.0), "isotropic")
    assert got.chain == ()
    assert got.module_w.sum() == 0


def test_the_sun_of_the_south_and_of_a_place_high_up():
    """At 45° south the April sun stands in the north at noon, 45 − 9.9 = 35.1° high; at 2,500 m
    the air is thinner: e^(−2500/8435) of it, about 0.74."""

    def at(latitude, elevation):
        where = {"latitude_deg": latitude, "longitude_deg": 15.0, "elevation_m": elevation}
        return sun_positions(SimpleNamespace(time=clock(0.5, 1.0), step_h=0.5, **where))

    noon = 104 * 48 + 24
    south = at(-45.0, 0.0)
    assert 90 - south.zenith[noon] == pytest.approx(35.1, abs=0.2)
    assert min(south.azimuth[noon], 360 - south.azimuth[noon]) < 5
    assert south.zenith.shape == (17_520,)
    low, high = at(45.0, 0.0).airmass[noon], at(45.0, 2500.0).airmass[noon]
    assert low == pytest.approx(1 / np.sin(np.radians(54.9)), rel=0.01)
    assert high / low == pytest.approx(0.737, abs=0.01)
    # the sun is nearest on 3 January, 1 / 0.9833² of its mean
    assert south.dni_extra[2 * 48] == pytest.approx(1361 / 0.9833**2, rel=0.005)
