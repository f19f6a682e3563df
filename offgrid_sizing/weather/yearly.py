"""A year's global horizontal irradiation: its mean, and where nine of ten single years lie."""

from dataclasses import dataclass
from math import exp, hypot, sqrt

from offgrid_sizing.weather.bands import CLOUDY_FROM_DEG, error_class
from offgrid_sizing.weather.series import Weather

# How far a source's mean year lies from the place's own, one standard deviation of the logarithm.
# Measured on the 80 typical and reference years of 73 places in `tests/published/yearly_sums.json`
# (`data/build/measure_yearly.py`): 0.049, 0.042 and 0.088 for the climate, 0.026 for typical years
# of one place. Typed values and downloaded years are taken equal to a typical year, not measured.
SOURCE_SPREAD = {
    "climate_near": 0.05,
    "climate_cloudy": 0.045,
    "climate_far": 0.09,
    "monthly": 0.03,
    "monthly_cloudy": 0.03,
    "file": 0.03,
    "online": 0.03,
}
# How far single years lie from the mean of many: 2 to 6 % at stations (Gueymard & Wilcox 2011,
# Solar Energy 85, quoted from memory), of which the middle; 23 measured years at Wageningen (52° N)
# vary by 0.069, without their trend by 0.065.
YEAR_SPREAD = 0.04
YEAR_SPREAD_CLOUDY = 0.065
NINE_OF_TEN = 1.645  # standard deviations to either side, normal errors


@dataclass(frozen=True)
class YearLight:
    """Global horizontal irradiation of a year: mean, and the limits of nine of ten years."""

    mean_kwh_per_m2: float
    low_kwh_per_m2: float
    high_kwh_per_m2: float


def single_year_spread(latitude_deg: float) -> float:
    """How far single years lie from the mean of many at a latitude, as a share of it."""
    return YEAR_SPREAD_CLOUDY if abs(latitude_deg) >= CLOUDY_FROM_DEG else YEAR_SPREAD


def year_band(
    kind: str, latitude_deg: float, longitude_deg: float, recorded_years: int = 0
) -> tuple[float, float]:
    """Multiples of a source's mean year between which nine of ten single years lie.

    Its two spreads as independent, on a logarithmic scale. Few recorded years are a mean that is
    itself uncertain; 0 stands for a typical year or a mean of many.
    """
    year = single_year_spread(latitude_deg)
    if recorded_years:
        year *= sqrt(1 + 1 / recorded_years)
    source = SOURCE_SPREAD[error_class(kind, latitude_deg, longitude_deg)]
    reach = NINE_OF_TEN * hypot(source, year)
    return exp(-reach), exp(reach)


def year_light(weather: Weather) -> YearLight:
    """What a weather says of its years' irradiation; it decides no size."""
    sums = weather.ghi.sum(1) * weather.step_h / 1000
    mean = float(sums.mean())
    low, high = year_band(
        weather.kind, weather.latitude_deg, weather.longitude_deg, weather.recorded_years
    )
    return YearLight(mean, low * mean, high * mean)
