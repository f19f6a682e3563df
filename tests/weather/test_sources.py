"""From sketch to weather for each source without a file or a network."""

import numpy as np
import pytest

from offgrid_sizing.sketch import BadInput, Site, Sketch, Targets, WeatherChoice
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.monthly import sky_from_ghi, tilted_kwh_per_m2_day
from offgrid_sizing.weather.quality import noon_shift_h
from offgrid_sizing.weather.samples import SAMPLES
from offgrid_sizing.weather.sun import daily_sum, sun_path
from offgrid_sizing.year_days import monthly_mean

GREENSBORO = Site(latitude_deg=36.1, longitude_deg=-79.95)
TABLE = (2.4, 3.2, 4.2, 5.3, 5.8, 6.2, 6.0, 5.5, 4.6, 3.8, 2.6, 2.1)


def _sketch(step_h=1.0, site=GREENSBORO, **choice) -> Sketch:
    return Sketch(site=site, weather=WeatherChoice(**choice), targets=Targets(step_h=step_h))


@pytest.mark.parametrize("step_h", [0.25, 0.5, 1.0])
@pytest.mark.parametrize(
    "choice",
    [
        {},
        {"source": "sample", "sample": "greensboro"},
        {"source": "monthly", "monthly_ghi_kwh_per_m2_day": TABLE},
        {"source": "monthly", "monthly_tilted_peak_sun_hours_h": TABLE, "monthly_tilt_deg": 20},
    ],
)
def test_every_source_fills_every_step(choice, step_h):
    weather = weather_of(_sketch(step_h, **choice), years=2)
    assert weather.step_h == step_h
    assert weather.ghi.shape == (weather.years, round(8760 / step_h))
    assert weather.time[0].isoformat() == "2025-01-01T00:00:00-05:00"
    assert weather.provenance.endswith(".")


def test_years_and_seed_come_from_the_sketch_and_can_be_overridden():
    assert weather_of(_sketch(years=3)).years == 3
    assert weather_of(_sketch(years=3), years=5).years == 5
    one, other = (weather_of(_sketch(years=2, seed=seed)) for seed in (1, 2))
    assert not np.array_equal(one.ghi, other.ghi)


def test_the_users_record_low_holds():
    assert weather_of(_sketch(record_low_c=-31.0), years=1).record_low_c == -31.0


@pytest.mark.parametrize("sample", SAMPLES)
def test_samples_keep_the_sun_s_noon(sample):
    """Hour-ending labels are hour-beginning ones here: clear-day noon falls on the sun's."""
    weather = weather_of(_sketch(source="sample", sample=sample))
    offset = weather.time[0].utcoffset().total_seconds() / 3600
    sun = sun_path(weather.latitude_deg, weather.longitude_deg, 1.0, offset)
    assert abs(noon_shift_h(weather.ghi, sun)) < 0.05


def test_samples_are_the_published_years():
    """Yearly GHI by pvlib's readers: 1,566, 1,793 and 829 kWh/m², nothing lost on the way."""
    for sample, total in (("greensboro", 1566), ("miami", 1793), ("sand_point", 829)):
        weather = weather_of(_sketch(source="sample", sample=sample))
        assert weather.ghi.sum() / 1000 == pytest.approx(total, abs=1)
        assert -40 < weather.temp_air.min() < weather.temp_air.max() < 45


def test_a_sample_from_far_away_says_so():
    far = Site(latitude_deg=48, longitude_deg=11)
    said = weather_of(_sketch(site=far, source="sample", sample="miami")).caveats
    assert any("km from the site" in sentence for sentence in said)


def test_monthly_values_are_kept():
    weather = weather_of(_sketch(source="monthly", monthly_ghi_kwh_per_m2_day=TABLE))
    made = monthly_mean(daily_sum(weather.ghi, 1.0).mean(0)) / 1000
    assert np.allclose(made, TABLE, rtol=1e-4)


def test_peak_sun_hours_on_a_tilt_come_back():
    hours = (3.4, 4.0, 4.7, 5.3, 5.4, 5.6, 5.5, 5.3, 5.0, 4.6, 3.6, 3.0)
    sketch = _sketch(
        source="monthly", monthly_tilted_peak_sun_hours_h=hours, monthly_tilt_deg=30,
        monthly_azimuth_deg=180,
    )  # fmt: skip
    weather = weather_of(sketch)
    spot = Spot(36.1, -79.95, weather.elevation_m, -5.0)
    ghi = monthly_mean(daily_sum(weather.ghi, 1.0).mean(0)) / 1000
    back = tilted_kwh_per_m2_day(sky_from_ghi(bare_sky(spot), ghi), 30, 180)
    assert np.allclose(back, hours, rtol=0.01)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (tuple(3.6 * v for v in TABLE), "MJ/m²"),
        (tuple(30 * v for v in TABLE), "monthly totals"),
        ((2, 3, 4, 5, 6, 0, 6, 5, 4, 3, 2, 2), "June has 0 kWh/m²"),
        ((9, 3, 4, 5, 6, 6, 6, 5, 4, 3, 2, 2), "January has 9 kWh/m² a day, more than a cloudless"),
    ],
)
def test_impossible_months_get_a_sentence(table, words):
    with pytest.raises(BadInput, match=words) as caught:
        weather_of(_sketch(source="monthly", monthly_ghi_kwh_per_m2_day=table))
    assert len(caught.value.sentences) == 1


def test_impossible_peak_sun_hours_get_a_sentence():
    with pytest.raises(BadInput, match="December has 9 h a day"):
        weather_of(
            _sketch(
                source="monthly",
                monthly_tilted_peak_sun_hours_h=(3, 4, 4.5, 5, 5, 5.5, 5.6, 5.5, 5, 4.5, 3.3, 9),
                monthly_tilt_deg=30,
            )
        )


def test_polar_night_in_a_monthly_table_is_no_fault():
    tromso = Site(latitude_deg=69.65, longitude_deg=18.96)
    table = (0.0, 0.4, 1.6, 3.4, 4.6, 5.0, 4.5, 3.2, 1.7, 0.6, 0.1, 0.0)
    weather = weather_of(
        _sketch(site=tromso, source="monthly", monthly_ghi_kwh_per_m2_day=table), years=2
    )
    assert np.isfinite(weather.ghi).all()
