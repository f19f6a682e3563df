"""One weather for every source: years of equal steps on a fixed-offset clock."""

from dataclasses import dataclass, replace
from datetime import timezone

import numpy as np
import pandas as pd


@dataclass(frozen=True, eq=False)
class Weather:
    """Weather years at one place, all on the same 365-day clock.

    Parameters
    ----------
    time : DatetimeIndex, shape (n,)
        Step labels (beginning of the step) of a common 365-day year, fixed-offset zone.
    ghi, dni, dhi : float64 arrays, shape (years, n)
        Mean irradiance over the step. [W/m²]
    temp_air : float64 array, shape (years, n)
        Air temperature. [°C]
    wind_speed : float64 array, shape (years, n)
        [m/s]
    step_h : float
        Length of a step. [h]
    latitude_deg, longitude_deg, elevation_m : float
        Where it was measured or made for.
    kind : str
        The source's name as in `WeatherChoice.source`.
    provenance : str
        One sentence: what this is and where it came from.
    caveats : tuple of str
        What the user must be told about it.
    band_frac : (float, float)
        The array needed may be this multiple smaller or larger, e.g. (0.85, 1.25).
    array_reserves : (float, float, float)
        Factor on the array that makes 90 % of places safe for this source, with a bank of one, two
        and three days of the load.
    record_low_c : float
        Coldest air to reckon with for string voltage: of every source the place's 20-year low
        less 5 K, or what the sketch says (`weather/cold.py`). [°C]
    year_names : tuple of str, length years
        Calendar year, "typical", or "synthetic 3".
    extended_from : int or None
        Of years that were drawn around a source's means (`weather/extended.py`): how many calendar
        years it had, 0 for a typical year. None where they are the source's own.

    Notes
    -----
    February 29 is dropped, so that every year has 8760 / step_h steps and shares one sun path.
    """

    time: pd.DatetimeIndex
    ghi: np.ndarray
    dni: np.ndarray
    dhi: np.ndarray
    temp_air: np.ndarray
    wind_speed: np.ndarray
    step_h: float
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    kind: str
    provenance: str
    caveats: tuple[str, ...] = ()
    band_frac: tuple[float, float] = (1.0, 1.0)
    array_reserves: tuple[float, float, float] = (1.0, 1.0, 1.0)
    record_low_c: float = -10.0
    year_names: tuple[str, ...] = ("typical",)
    extended_from: int | None = None

    def __post_init__(self):
        shape = (len(self.year_names), len(self.time))
        for name in ("ghi", "dni", "dhi", "temp_air", "wind_speed"):
            values = getattr(self, name)
            if values.shape != shape:
                raise ValueError(f"{name} must have shape {shape} (got {values.shape})")
            if not np.isfinite(values).all():
                raise ValueError(f"{name} must be finite in every step")

    @property
    def years(self) -> int:
        """How many weather years this holds."""
        return len(self.year_names)

    @property
    def recorded_years(self) -> int:
        """How many calendar years its means come from; 0 for a typical year or a long-term mean."""
        if self.extended_from is not None:
            return self.extended_from
        return sum(str(name).isdigit() for name in self.year_names)

    @property
    def array_reserve(self) -> float:
        """The factor for a bank of two days, or one of unknown size."""
        return self.array_reserves[1]

    def year(self, index: int) -> "Weather":
        """One of the years, as a Weather of its own."""
        rows = slice(index, index + 1)
        return replace(
            self,
            ghi=self.ghi[rows],
            dni=self.dni[rows],
            dhi=self.dhi[rows],
            temp_air=self.temp_air[rows],
            wind_speed=self.wind_speed[rows],
            year_names=self.year_names[rows],
        )


def clock(step_h: float, utc_offset_h: float, year: int = 2025) -> pd.DatetimeIndex:
    """Step labels of a 365-day year in fixed-offset standard time."""
    zone = pd.Timedelta(hours=utc_offset_h).to_pytimedelta()
    steps = round(8760 / step_h)
    return pd.date_range(
        f"{year}-01-01", periods=steps, freq=pd.Timedelta(hours=step_h), tz=timezone(zone)
    )
