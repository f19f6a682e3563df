"""How sure each weather source is: band, reserve, cold limit and what the user must be told."""

from math import ceil, exp

import numpy as np

from offgrid_sizing.words import sentence

# Mean absolute error of the array needed with a bank of two days (1 % loss of load, one real year
# against 20 synthetic ones), measured on 1,788 typical-year files for this project.
ARRAY_ERROR_FRAC = {
    "climate_near": 0.19,  # 0.17 then; the 24 real years of data/build/measure_climate.py say 0.19
    "climate_cloudy": 0.27,
    "climate_far": 0.25,
    "monthly": 0.11,
    "monthly_cloudy": 0.24,
    "file": 0.12,  # two generations of typical year for the same station: the noise floor
    "online": 0.12,  # taken equal to a file; not measured
}
# From this latitude on, north and south, dark spells are longer than the drawn ones.
CLOUDY_FROM_DEG = 44.0
# Where drawn years ask for too little as a rule: what two of three places needed, measured with the
# reserves below (a bank of two days).
ARRAY_BAND = {"climate_cloudy": (1.05, 1.7), "monthly_cloudy": (1.05, 1.65)}
# Factor on the array that made nine of ten places safe, with a bank of so many days of the load:
# climate and monthly values measured on 51 recorded, reference and typical years
# (`data/build/measure_reserve.py`), but of
# `climate_far` on the 1,788 files with two days, with one day in the proportion of `climate_near`
# (five recorded places: 2.24, 1.40, 1.34); files: 1.28 standard deviations of the error above,
# taken as normal and as equal for every bank.
BANK_DAYS = (1.0, 2.0, 3.0)
ARRAY_RESERVE = {
    "climate_near": (1.6, 1.35, 1.35),
    "climate_cloudy": (1.75, 1.75, 1.65),
    "climate_far": (2.1, 1.75, 1.75),
    "monthly": (1.65, 1.25, 1.15),
    "monthly_cloudy": (1.75, 1.7, 1.6),
    "file": (1.2, 1.2, 1.2),
    "online": (1.2, 1.2, 1.2),
}
# Regions with many stations in the fit, as boxes: south, north, west, east. Coarse on purpose.
WELL_OBSERVED = {
    "the United States": ((24, 50, -125, -66), (54, 72, -170, -130), (18, 23, -161, -154)),
    "Puerto Rico": ((17, 19, -68, -64),),
    "Europe": ((35, 72, -11, 40),),
    "Australia": ((-44, -10, 112, 154),),
    "New Zealand": ((-48, -34, 166, 179),),
    "Central America and Cuba": ((7, 18, -93, -77), (19.5, 23.5, -85, -74)),
}
# Common practice, no source: 1.35 standard deviations of what the estimate below misses.
COLD_MARGIN_K = 5.0


def near_checks(latitude_deg: float, longitude_deg: float) -> str | None:
    """Name of the well-observed region this point lies in, or None."""
    for name, boxes in WELL_OBSERVED.items():
        for south, north, west, east in boxes:
            if south <= latitude_deg <= north and west <= longitude_deg <= east:
                return name
    return None


def error_class(kind: str, latitude_deg: float, longitude_deg: float) -> str:
    """Row of the error tables for a source at a place."""
    cloudy = abs(latitude_deg) >= CLOUDY_FROM_DEG
    if kind == "climate":
        if near_checks(latitude_deg, longitude_deg) is None:
            return "climate_far"
        return "climate_cloudy" if cloudy else "climate_near"
    if kind == "monthly":
        return "monthly_cloudy" if cloudy else "monthly"
    return "file" if kind in ("file", "sample") else "online"


def band_of(kind: str, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Multiples between which the array needed lies in about two of three cases.

    `ARRAY_BAND` where it lies to one side; else one standard deviation either way, 1.25 × the mean
    absolute error (normal errors), on a logarithmic scale.
    """
    found = error_class(kind, latitude_deg, longitude_deg)
    spread = 1.25 * ARRAY_ERROR_FRAC[found]
    return ARRAY_BAND.get(found, (round(exp(-spread), 2), round(exp(spread), 2)))


def reserves_of(kind: str, latitude_deg: float, longitude_deg: float) -> tuple[float, float, float]:
    """Factors on the array that make about 90 % of places safe, for banks of `BANK_DAYS`."""
    return ARRAY_RESERVE[error_class(kind, latitude_deg, longitude_deg)]


def reserve_for(reserves: tuple[float, float, float], bank_days: float | None) -> float:
    """The factor for a bank of so many days of the load, straight between the measured ones.

    Rounded up to a twentieth. Smaller and larger banks have the factor of the nearest one; unknown
    counts as two days.
    """
    exact = float(np.interp(bank_days or 2.0, BANK_DAYS, reserves))
    return ceil(20 * exact - 1e-6) / 20


def cold_limit_c(temperature_c: np.ndarray) -> float:
    """Lowest air temperature to expect once in 20 years, from twelve monthly means. [°C]

    How it falls with the yearly swing is an own fit to typical-year files; its height is set so
    that it meets, on average, the 20-year return values of ten stations (ASHRAE Handbook of
    Fundamentals 2009, as their weather files quote it). Of these it misses single ones by 3.7 K
    (one standard deviation): string voltage reckons with 5 K less, which `record_low_c` does.
    """
    swing = float(np.max(temperature_c) - np.min(temperature_c))
    return float(np.min(temperature_c)) - (10.31 + 0.635 * swing + 1.32 * (swing / 30) ** 2)


def record_low_c(temperature_c: np.ndarray) -> float:
    """Coldest air to reckon with for string voltage: the 20-year low less 5 K. [°C]"""
    return round(cold_limit_c(temperature_c) - COLD_MARGIN_K, 1)


def general_caveats(latitude_deg: float) -> tuple[str, ...]:
    """What holds for any source at this latitude."""
    if abs(latitude_deg) > 45:
        return (sentence("weather.told.winter"),)
    return ()


def climate_caveats(
    latitude_deg: float, longitude_deg: float, height_gap_m: float, has_cell: bool
) -> tuple[str, ...]:
    """What the user must be told about the built-in climate at a place."""
    told = [sentence("weather.told.climate")]
    if near_checks(latitude_deg, longitude_deg) is None:
        told.append(sentence("weather.told.unchecked"))
    if not has_cell:
        told.append(sentence("weather.told.no_cell"))
    if abs(height_gap_m) > 500:
        side = "above" if height_gap_m > 0 else "below"
        told.append(sentence(f"weather.told.{side}", gap=float(abs(height_gap_m))))
    told.append(sentence("weather.told.grid_wind"))
    return (*told, *general_caveats(latitude_deg))
