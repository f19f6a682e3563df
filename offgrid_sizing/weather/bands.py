"""How sure each weather source is: band, reserve, cold limit and what the user must be told."""

from math import exp

import numpy as np

from offgrid_sizing.words import sentence

# Mean absolute error of the array needed with a bank of two days (1 % loss of load, one real year
# against 20 synthetic ones), measured on 1,788 typical-year files for this project.
ARRAY_ERROR_FRAC = {
    "climate_near": 0.19,  # 0.17 then; the 24 real years of data/build/measure_climate.py say 0.19
    "climate_far": 0.25,
    "monthly": 0.11,
    "file": 0.12,  # two generations of typical year for the same station: the noise floor
    "online": 0.12,  # taken equal to a file; not measured
}
# Factor on the array that made 90 % of the sites safe (climate: measured; others: 1.28 standard
# deviations of the error above, taken as normal).
ARRAY_RESERVE = {
    "climate_near": 1.3,
    "climate_far": 1.75,
    "monthly": 1.2,
    "file": 1.2,
    "online": 1.2,
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
    if kind == "climate":
        return "climate_near" if near_checks(latitude_deg, longitude_deg) else "climate_far"
    if kind in ("monthly", "file"):
        return kind
    return "file" if kind == "sample" else "online"


def band_of(kind: str, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Multiples between which the array needed lies in about two of three cases.

    One standard deviation either way, 1.25 × the mean absolute error (normal errors), on a
    logarithmic scale.
    """
    spread = 1.25 * ARRAY_ERROR_FRAC[error_class(kind, latitude_deg, longitude_deg)]
    return round(exp(-spread), 2), round(exp(spread), 2)


def reserve_of(kind: str, latitude_deg: float, longitude_deg: float) -> float:
    """Factor on the array that makes about 90 % of places safe for this source."""
    return ARRAY_RESERVE[error_class(kind, latitude_deg, longitude_deg)]


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
