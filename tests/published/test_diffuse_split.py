"""The sky on a tilt against recorded and typical years of places that took no part in any fit.

`tilted_sums.json`, written by `data/build/fit_diffuse.py`, holds for 26 years of 19 places the
monthly sums on the horizontal and on latitude tilt (from the year's own hours of global and
diffuse, Perez sky, ground 0.2) and the diffuse share. Sources, as Python packages carry them:
TRY 2010 and TRY 2015 (test reference years of the German weather service, DWD, and BBSR; of 2010
only stations that measured beam and diffuse), DWD 2021 and 2023 (its station Aachen), TMY3 and
NSRDB (NREL, US DOE), IWEC (ASHRAE), PVGIS (45 N 8 E, European Commission); the rest are typical
years of the packages `accim-samples` and `cityenergyanalyst`.
"""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pvlib
import pytest

from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.monthly import sky_from_ghi
from offgrid_sizing.weather.sun import daily_sum
from offgrid_sizing.weather.synthesis import (
    RECORDED_HOURS,
    SYNTHETIC_HOURS,
    diffuse_fraction,
    split_beam,
    synthetic_years,
)
from offgrid_sizing.year_days import monthly_mean

ENTRIES = json.loads((Path(__file__).parent / "tilted_sums.json").read_text(encoding="utf-8"))
YEARS = 3


def by_month(values: np.ndarray) -> np.ndarray:
    return monthly_mean(daily_sum(values, 1.0)).mean(0) / 1000


def on_tilt(entry: dict, sun, ghi, dni, dhi) -> np.ndarray:
    zenith = 90 - sun.elevation_deg()
    tiled = [np.tile(v, len(ghi)) for v in (zenith, sun.azimuth_deg(), sun.extra_normal)]
    plane = pvlib.irradiance.get_total_irradiance(
        entry["tilt_deg"], 180 if entry["latitude_deg"] > 0 else 0, tiled[0], tiled[1],
        dni.ravel(), ghi.ravel(), dhi.ravel(), dni_extra=tiled[2], albedo=0.2, model="perez",
        airmass=pvlib.atmosphere.get_relative_airmass(np.minimum(tiled[0], 89.5)),
    )  # fmt: skip
    return by_month(np.nan_to_num(np.asarray(plane["poa_global"])).reshape(len(ghi), -1))


def winter(entry: dict) -> list[int]:
    return [10, 11, 0, 1] if entry["latitude_deg"] > 0 else [4, 5, 6, 7]


@pytest.fixture(scope="module")
def table():
    """For each year: entry, errors of winter and of the year, winter's share; as before, as now."""
    rows = []
    for entry in ENTRIES:
        spot = Spot(
            entry["latitude_deg"], entry["longitude_deg"], entry["elevation_m"],
            entry["utc_offset_h"],
        )  # fmt: skip
        climate = bare_sky(spot)
        sky = sky_from_ghi(
            climate,
            np.minimum(entry["ghi_kwh_per_m2_day"], 1.05 * climate.clear_kwh_per_m2_day),
        )
        ghi, dni, dhi, _ = synthetic_years(sky, YEARS, 1)
        real, cold = np.array(entry["tilted_kwh_per_m2_day"]), winter(entry)
        row = [entry]
        for beam, diffuse in (split_beam(sky, ghi), (dni, dhi)):
            made = on_tilt(entry, sky.sun, ghi, beam, diffuse)
            share = (by_month(diffuse) / by_month(ghi))[cold].mean()
            row.append((
                made[cold].sum() / real[cold].sum() - 1, made.sum() / real.sum() - 1,
                share - np.mean([entry["diffuse_share"][m] for m in cold]),
            ))  # fmt: skip
        rows.append(row)
    return rows


def of(table, low: float, high: float, what: int, when: int = 2) -> np.ndarray:
    """Errors (0 winter, 1 year, 2 winter's diffuse share) between two latitudes."""
    return np.array([
        row[when][what] for row in table if low <= abs(row[0]["latitude_deg"]) < high
    ])  # fmt: skip


def test_winter_on_a_tilt_is_within_three_per_cent_in_middle_latitudes(table):
    """Mean size of the error and its mean; single years lie up to 6 % off, Amsterdam's by 8 %."""
    south, north = of(table, 25, 45, 0), of(table, 45, 53, 0)
    assert (len(south), len(north)) == (10, 10)
    assert np.abs(south).mean() == pytest.approx(0.0257, abs=0.0005)
    assert np.abs(north).mean() == pytest.approx(0.0287, abs=0.0005)
    assert max(np.abs(south).mean(), np.abs(north).mean()) <= 0.03
    assert (south.mean(), north.mean()) == pytest.approx((0.0239, 0.0100), abs=0.0005)
    assert np.abs(south).max() <= 0.06
    assert sorted(np.abs(north))[-2:] == pytest.approx([0.0446, 0.0803], abs=0.0005)


def test_winter_on_a_tilt_at_54_degrees_and_beyond(table):
    """Within 8 % at 54°. Aberdeen's year (57°, beam reckoned, not measured) stays 17 % off."""
    found = of(table, 53, 90, 0)
    assert found == pytest.approx([0.169, 0.020, 0.018, 0.006], abs=0.0015)
    assert np.abs(of(table, 53, 56, 0)).max() <= 0.08


def test_records_of_one_place_lie_further_apart_than_the_goal(table):
    """So nothing that knows only place and monthly sums can bring each of them within 3 %."""
    apart = {}
    for place in ("Golden", "New York"):
        found = [row[2][0] for row in table if row[0]["place"] == place]
        apart[place] = max(found) - min(found)
    assert apart == pytest.approx({"Golden": 0.0452, "New York": 0.0379}, abs=0.0005)


def test_the_whole_year_on_a_tilt(table):
    assert np.abs(of(table, 0, 56, 1)).max() <= 0.03
    assert of(table, 56, 90, 1) == pytest.approx([0.071], abs=0.0015)


def test_the_diffuse_share_of_winter(table):
    """Before, it was too high by 0.09 on average."""
    assert of(table, 0, 90, 2, when=1).mean() == pytest.approx(0.0897, abs=0.0005)
    assert of(table, 0, 90, 2).mean() == pytest.approx(-0.0099, abs=0.0005)
    assert np.abs(of(table, 0, 90, 2)).max() <= 0.085


@pytest.mark.parametrize(
    ("place", "source", "before", "now"),
    [
        ("Rostock", "TRY 2010", -0.172, 0.020),
        ("Aachen", "DWD 2021", -0.160, -0.013),
        ("Mannheim", "TRY 2010", -0.188, -0.042),
        ("New York", "NSRDB 1999", -0.056, 0.017),
        ("Golden", "TMY3", -0.037, 0.018),
    ],
)
def test_winter_before_and_now_as_written(table, place, source, before, now):
    """The split of recorded hours on drawn ones, which is what was done before, and now."""
    row = next(r for r in table if (r[0]["place"], r[0]["source"]) == (place, source))
    assert row[1][0] == pytest.approx(before, abs=0.0015)
    assert row[2][0] == pytest.approx(now, abs=0.0015)


def test_the_coefficients():
    """Recorded hours: Ridley, Boland & Lauret 2010, from memory; drawn hours: own fit."""
    assert (
        replace(SYNTHETIC_HOURS, constant=-5.38, kt=6.63, solar_hour=0.006, elevation_deg=-0.007)
        == RECORDED_HOURS
    )
    kt = np.array([0.2, 0.5, 0.6])
    hours, heights = np.array([9.0, 12, 15]), np.array([10.0, 30, 9])
    got = diffuse_fraction(kt, np.array([0.45]), hours, heights, SYNTHETIC_HOURS)
    # −3.807 + 5.5786·0.5 − 0.022·30 + 1.75·0.45 + 1.31·(0.2 + 0.6)/2 = −0.3662
    assert got[1] == pytest.approx(1 / (1 + np.exp(-0.3662)), abs=1e-6)


def test_global_light_does_not_depend_on_the_split():
    """Only beam and diffuse follow it: together they are what was drawn, to the bit's rounding."""
    sky = bare_sky(Spot(54.1, 12.1, 16, 1)).sky
    ghi, dni, dhi, _ = synthetic_years(sky, 1, 1)
    cosine = np.where(sky.sun.up, sky.sun.cos_zenith, 0)
    assert np.allclose(dhi + dni * cosine, ghi, rtol=0, atol=1e-9)
    assert (dni >= 0).all()
    assert ghi.sum() / 1000 == pytest.approx(988.476, abs=0.001)  # whatever the coefficients
