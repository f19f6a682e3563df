"""Typical and recorded years extended to synthetic ones: what is kept, and what is drawn."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.demos import demo
from offgrid_sizing.sizing.judge import year_words
from offgrid_sizing.weather import daily, extended
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.samples import SAMPLES, sample_weather
from offgrid_sizing.weather.sun import daily_sum
from offgrid_sizing.weather.synthesis import BEAM_CEILING
from offgrid_sizing.weather.yearly import year_light
from offgrid_sizing.year_days import MONTH_OF_DAY, by_day, monthly_mean

SPOTS = {
    "greensboro": Spot(36.1, -79.95, 270, -5),
    "miami": Spot(25.8, -80.3, 2, -5),
    "sand_point": Spot(55.3, -160.5, 7, -9),
}


def months(values, step_h=1.0):
    return monthly_mean(daily_sum(values, step_h)).reshape(-1, 12).mean(0)


def cosine_of(weather):
    sun = extended.sky_of(weather).sun
    return np.where(sun.up, sun.cos_zenith, 0.0)


def spread_of(weather) -> float:
    sums = weather.ghi.sum(1)
    return float(np.std(sums, ddof=1) / np.mean(sums))


@pytest.fixture(scope="module", params=list(SAMPLES))
def pair(request):
    """A typical year, and the same extended to sixty."""
    source = sample_weather(request.param, SPOTS[request.param])
    return source, extended.extended(source, 60, 1)


def test_long_term_means_of_light_and_warmth_are_kept(pair):
    source, many = pair
    assert months(many.ghi) == pytest.approx(months(source.ghi), rel=1e-6)
    assert months(many.temp_air) / 24 == pytest.approx(months(source.temp_air) / 24, abs=1e-6)
    assert months(many.dni * cosine_of(source)) == pytest.approx(
        months(source.dni * cosine_of(source)), rel=0.005
    )
    assert months(many.wind_speed) == pytest.approx(months(source.wind_speed), rel=1e-9)


def test_the_daily_range_of_the_air_is_the_sources(pair):
    source, many = pair

    def ranges(weather):
        return monthly_mean(np.ptp(by_day(weather.temp_air, 1.0), axis=-1)).mean(0)

    assert ranges(many) == pytest.approx(ranges(source), rel=1e-6)


def test_parts_of_the_light_close_and_stay_below_the_sky(pair):
    source, many = pair
    sky = extended.sky_of(source)
    assert many.dhi + many.dni * cosine_of(source) == pytest.approx(many.ghi, abs=1e-9)
    assert many.dhi.min() >= 0
    assert many.dni.min() >= 0
    assert (many.dni <= BEAM_CEILING * sky.clear_dni + 1e-9).all()


def test_years_differ_as_the_published_spread_says(pair):
    """0.04 up to 44° of latitude, 0.065 beyond; sixty years tell it to a fifth."""
    source, many = pair
    wanted = 0.065 if source.latitude_deg > 44 else 0.04
    assert extended.spread_around(source) == wanted
    assert spread_of(many) == pytest.approx(wanted, rel=0.2)


def shares_of(weather, sky):
    share = daily_sum(weather.ghi, 1.0) / np.maximum(daily_sum(sky.clear_ghi, 1.0), 100.0)
    return np.where(daily_sum(sky.clear_ghi, 1.0) >= 100.0, share, np.nan)


def test_a_day_resembles_the_one_before_as_in_the_source(pair):
    source, many = pair
    sky = extended.sky_of(source)
    found = extended.lag_one(shares_of(many, sky))
    assert found == pytest.approx(extended.lag_one(shares_of(source, sky)), abs=0.05)


def test_days_of_each_clearness_come_as_often(pair):
    """Kolmogorov-Smirnov distance of the year's days; the table's quantiles alone gave 0.11."""
    source, many = pair
    sky = extended.sky_of(source)
    own, drawn = (np.sort(shares_of(weather, sky).ravel()) for weather in (source, many))
    both = np.concatenate([own, drawn])
    below = [np.searchsorted(one, both, "right") / len(one) for one in (own, drawn)]
    assert np.abs(below[0] - below[1]).max() < 0.1


def test_correlation_of_successive_days_by_hand():
    """Days that alternate around their month's mean: −1; the mean of a month does not count."""
    swing = np.where(np.arange(365) % 2, 0.1, -0.1)[None]
    level = np.linspace(0.2, 0.8, 12)[MONTH_OF_DAY]
    assert extended.lag_one(swing) == pytest.approx(-1, abs=0.01)
    assert extended.lag_one(swing + level) == pytest.approx(extended.lag_one(swing))
    dark = np.where(np.arange(365) < 60, np.nan, swing + level)
    assert extended.lag_one(dark) == pytest.approx(-1, abs=0.01)


def test_days_of_a_record_are_drawn_by_their_rank():
    """Four days a month of a record: the darkest quarter of the drawn ones are like its darkest."""
    own = (np.array((0.2, 0.4, 0.6, 0.8)),) * 12
    scores = np.random.default_rng(1).standard_normal((40, 365))
    drawn = daily.daily_clearness(scores, np.full(12, 0.5), np.ones(365), own)
    assert drawn.mean() == pytest.approx(0.5, abs=1e-6)
    assert np.quantile(drawn, (0.05, 0.375, 0.5, 0.95)) == pytest.approx(
        (0.2, 0.4, 0.5, 0.8), abs=0.005
    )
    assert drawn[scores == scores.min()] < 0.21


def test_a_place_too_dark_for_days_of_its_own_keeps_the_tables():
    """Within the polar night a month has no day with 0.1 kWh/m² of clear sky."""
    source = replace(climate_weather(Spot(76.0, -69.0, 10.0, -5.0), 1), kind="file")
    assert extended.sky_of(source).days.own is None
    many = extended.extended(source, 3, 1)
    assert months(many.ghi) == pytest.approx(months(source.ghi), rel=0.005, abs=1.0)


def test_the_same_seed_gives_the_same_years_and_another_others():
    source = sample_weather("miami", SPOTS["miami"])
    one, again, other = (extended.extended(source, 3, seed) for seed in (1, 1, 2))
    assert (one.ghi == again.ghi).all()
    assert (one.ghi != other.ghi).any()


def test_what_it_says_of_itself(pair):
    source, many = pair
    assert many.kind == source.kind
    assert many.years == 60
    assert many.year_names[2] == "synthetic 3"
    assert many.record_low_c == source.record_low_c
    assert many.array_reserves == source.array_reserves
    assert many.provenance.startswith(
        "60 synthetic years, seed 1, drawn around the monthly means of:"
    )
    assert source.provenance in many.provenance
    told = "\n".join(many.caveats)
    assert "Extended to synthetic years" in told
    assert ("6.5%" if source.latitude_deg > 44 else "4.0%") in told
    assert "contains no poor one" not in told
    assert "contains no poor one" in "\n".join(source.caveats)


def recorded(sums: tuple[float, ...]):
    """Calendar years that differ by these factors only, at 40° N."""
    one = climate_weather(Spot(40.0, -100.0, 500.0, -7.0), 1)
    factor = np.array(sums)[:, None]
    return replace(
        one,
        kind="file",
        **{name: getattr(one, name) * factor for name in ("ghi", "dni", "dhi")},
        temp_air=np.repeat(one.temp_air, len(sums), 0),
        wind_speed=np.repeat(one.wind_speed, len(sums), 0),
        year_names=tuple(str(2001 + k) for k in range(len(sums))),
    )


def test_a_records_own_years_speak_of_their_spread():
    """By hand: years of 0.9, 1.0, 1.1 have a variance of 0.01; (8·0.0016 + 2·0.01) / 10."""
    assert extended.spread_around(recorded((0.9, 1.0, 1.1))) == pytest.approx(0.00328**0.5)
    assert extended.spread_around(recorded((1.0,))) == 0.04
    assert extended.spread_around(recorded((1.0,) * 9)) == pytest.approx(0.04 * (8 / 16) ** 0.5)


def test_several_recorded_years_keep_their_common_mean_and_count():
    source = recorded((0.9, 1.0, 1.1))
    many = extended.extended(source, 20, 1)
    assert months(many.ghi) == pytest.approx(months(source.ghi), rel=1e-6)
    assert many.recorded_years == 3
    band, of_source = year_light(many), year_light(source)
    assert band.low_kwh_per_m2 == pytest.approx(of_source.low_kwh_per_m2, rel=1e-6)


@settings(max_examples=12, deadline=None)
@given(
    latitude=st.floats(-58, 70), longitude=st.floats(-180, 179), seed=st.integers(1, 9),
    level=st.floats(0.75, 1.05),
)  # fmt: skip
def test_anywhere_the_monthly_means_are_kept(latitude, longitude, seed, level):
    """Within half a per cent, wherever the sun gives anything worth drawing."""
    drawn = climate_weather(Spot(latitude, longitude, 100.0, round(longitude / 15)), 1, seed)
    source = replace(drawn, kind="file", ghi=drawn.ghi * level, dni=drawn.dni * level,
                     dhi=drawn.dhi * level, year_names=("typical",))  # fmt: skip
    many = extended.extended(source, 4, seed)
    wanted, found = months(source.ghi), months(many.ghi)
    lit = wanted > 100
    assert found[lit] == pytest.approx(wanted[lit], rel=0.005)
    assert np.isfinite(many.temp_air).all()


def test_quarter_hours_keep_their_means_too():
    source = sample_weather("greensboro", replace(SPOTS["greensboro"], step_h=0.25))
    many = extended.extended(source, 4, 1)
    assert many.ghi.shape == (4, 35_040)
    assert months(many.ghi, 0.25) == pytest.approx(months(source.ghi, 0.25), rel=1e-6)


def test_a_sketch_asks_for_them():
    given_sketch = demo("farmhouse")
    assert weather_of(given_sketch).years == 1
    assert year_words(given_sketch, weather_of(given_sketch)) == "this typical year"
    asked = given_sketch.weather.model_copy(update={"extended_years": 20})
    wanted = given_sketch.model_copy(update={"weather": asked})
    many = weather_of(wanted)
    assert many.years == 20
    assert year_words(wanted, many) == "the median year"
    targets = wanted.targets.model_copy(update={"judge": "bad_year"})
    assert year_words(wanted.model_copy(update={"targets": targets}), many) == (
        "the 1-in-10 bad year"
    )
    assert many.record_low_c == weather_of(given_sketch).record_low_c


def test_what_is_synthetic_already_is_not_drawn_twice():
    given_sketch = demo("shop")
    assert given_sketch.weather.source == "climate"
    asked = given_sketch.weather.model_copy(update={"extended_years": 5})
    many = weather_of(given_sketch.model_copy(update={"weather": asked}))
    assert (many.ghi == weather_of(given_sketch).ghi).all()
