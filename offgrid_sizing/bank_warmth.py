"""How warm the bank is where it stands: its surroundings, followed with its thermal mass."""

import numpy as np

from offgrid_sizing.sketch import BankPlace

SUN_W_PER_M2 = 1000.0  # light at which `sun_rise_k` is stated


def bank_temperature_c(
    place: BankPlace, temp_air: np.ndarray, ghi: np.ndarray | None = None
) -> np.ndarray:
    """Mean temperature of the bank in each step of a year.

    Parameters
    ----------
    place : BankPlace
    temp_air : float64 array, shape (n,)
        One year, means of equal steps. [°C]
    ghi : float64 array, shape (n,), optional
        Light on level ground, which warms a cupboard; none when left out. [W/m²]

    Returns
    -------
    float64 array, shape (n,)
        [°C]

    Notes
    -----
    A room keeps its temperature. Everywhere else the bank follows what surrounds it with one time
    constant (mass × specific heat / heat passed on per kelvin). Heat from its own losses is left
    out: a kelvin or two at the currents of a home (common practice, no source).
    """
    air = np.asarray(temp_air, dtype=np.float64)
    if place.kind == "indoor":
        return np.full(len(air), place.indoor_c)
    around = air
    if place.kind != "outdoor" and ghi is not None:
        around = air + place.sun_rise_k * np.asarray(ghi, dtype=np.float64) / SUN_W_PER_M2
    if place.kind == "heated":
        around = np.maximum(around, place.heated_c)
    return followed(around, place.time_constant_h, 8760 / len(air))


def followed(around_c: np.ndarray, time_constant_h: float, step_h: float) -> np.ndarray:
    """Mean temperature in each step of a body that follows its surroundings, year after year.

    Parameters
    ----------
    around_c : float64 array, shape (n,)
        Constant within each step. [°C]
    time_constant_h : float
        Time after which 63 % of a change has arrived; 0 follows at once. [h]
    step_h : float
        [h]

    Notes
    -----
    The exact solution of τ dT/dt = T_around − T, periodic in the year: at a step's end
    T' = a T + (1 − a) T_around with a = exp(−h/τ), and over the step the mean lies g = τ/h (1 − a)
    of the way back from the surroundings to the T it began with. Taken through the spectrum, the
    recursion is solved for the whole year at once.
    """
    if time_constant_h <= 0:
        return around_c.copy()
    keep = np.exp(-step_h / time_constant_h)
    back = time_constant_h / step_h * (1 - keep)
    before = np.exp(-2j * np.pi * np.fft.rfftfreq(len(around_c)))  # one step ago
    passed = (1 - back) + back * before * (1 - keep) / (1 - keep * before)
    mean = np.fft.irfft(np.fft.rfft(around_c) * passed, len(around_c))
    # rounding must not carry a bank at its limit over it
    return np.clip(np.round(mean, 9), around_c.min(), around_c.max())
