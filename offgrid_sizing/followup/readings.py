"""Readings of an array that are not the sun's: leaping, stuck, cut off at a level, under snow.

Each function marks single readings of a record in time order. Thresholds are own choices, made on
made-up days and held against the labelled records of `tests/published`.
"""

import numpy as np
import pandas as pd

LEAP = 0.35  # of the record's top: less may be a cloud
FLAT = 0.002  # spread of a level; the sun's own top falls by 0.86 % within half an hour of noon
FLAT_H = 1.25
STUCK_H = 2.0
SNOWY = 0.6  # of the usual power for the light
SNOW_H = 2.0
SNOW_AIR_C = 2.0  # coldest air of the day up to which snow may lie
LIT_W_PER_M2 = 50.0


def top_of(power: np.ndarray) -> float:
    """What the array reaches on its best hours, the 99th percentile; 0 without sun. [W]"""
    lit = power[np.isfinite(power) & (power > 0)]
    return float(np.percentile(lit, 99)) if lit.size else 0.0


def _runs(same: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """First and one past the last place of each run of True."""
    edges = np.diff(np.concatenate([[0], same.astype(int), [0]]))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)


def _only_long(mask: np.ndarray, least: float) -> np.ndarray:
    """The runs of True that count at least `least` readings."""
    kept = np.zeros_like(mask)
    for first, past in zip(*_runs(mask), strict=True):
        kept[first:past] = past - first >= least
    return kept


def _from_neighbours(power: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The line through two readings before and two after, in the middle, and its worst miss. [W]"""
    padded = np.pad(power, 2, constant_values=np.nan)
    count = power.size
    around = np.stack([padded[k : k + count] for k in (0, 1, 3, 4)])
    place = np.array([-2.0, -1.0, 1.0, 2.0])[:, None]
    middle = around.mean(0)
    slope = (place * around).sum(0) / 10
    return middle, np.abs(around - middle - slope * place).max(0)


def leaping(power: np.ndarray, step_h: float, explained: np.ndarray | None = None) -> np.ndarray:
    """Readings that no sun gives: far below zero or above the top, or alone off a smooth day.

    Parameters
    ----------
    power : float64 array, shape (n,)
        [W], NaN where nothing was read.
    step_h : float
        [h]; records of more than an hour are not judged, and of more than half an hour only for
        what is impossible: five of them are most of a day.
    explained : bool array, shape (n,), optional
        Readings that something else than the sun decides, such as a full bank.

    Returns
    -------
    bool array, shape (n,)
    """
    top = top_of(power)
    if step_h > 1 or top <= 0:
        return np.zeros(power.size, bool)
    with np.errstate(invalid="ignore"):
        impossible = (power < -0.05 * top) | (power > 1.5 * top)
    if step_h > 0.5:
        return impossible
    free = power if explained is None else np.where(explained, np.nan, power)
    middle, miss = _from_neighbours(free)
    with np.errstate(invalid="ignore"):
        alone = (np.abs(free - middle) > LEAP * top) & (np.abs(free - middle) > 8 * miss)
        above = alone & (free > 1.1 * top)
        lost = alone & (free < 0.15 * middle)
    return impossible | above | lost


def _resolution(power: np.ndarray) -> float:
    """The smallest step between two different readings. [W]"""
    steps = np.diff(np.unique(power[np.isfinite(power)]))
    return float(steps.min()) if steps.size else 0.0


def stuck(power: np.ndarray, step_h: float, explained: np.ndarray | None = None) -> np.ndarray:
    """Readings that repeat one value to the last digit for two hours or more.

    A value at the top of the record is a limit, not a stuck logger; one of few digits may repeat.

    Parameters
    ----------
    power : float64 array, shape (n,)
        [W]
    step_h : float
        [h]; records of more than an hour are not judged.
    explained : bool array, shape (n,), optional
        Readings that something else holds still, such as a full bank.
    """
    top = top_of(power)
    if step_h > 1 or top <= 0:
        return np.zeros(power.size, bool)
    with np.errstate(invalid="ignore"):
        may = (power > 0.005 * top) & (power < 0.97 * top) & (power >= 50 * _resolution(power))
    if explained is not None:
        may &= ~explained
    same = (np.diff(power) == 0) & may[1:] & may[:-1]
    marked = np.zeros(power.size, bool)
    for first, past in zip(*_runs(same), strict=True):
        if past - first + 1 >= max(4, STUCK_H / step_h):
            marked[first : past + 1] = True
    return marked


def _flat_stretches(power: np.ndarray, least: int, floor: float, slack: float) -> np.ndarray:
    """Readings in a stretch of at least `least` whose spread is within the slack."""
    marked = np.zeros(power.size, bool)
    if power.size < least:
        return marked
    windows = np.lib.stride_tricks.sliding_window_view(power, least)
    with np.errstate(invalid="ignore"):
        flat = (windows.min(1) > floor) & (windows.max(1) - windows.min(1) <= slack)
    for place in np.flatnonzero(flat):
        marked[place : place + least] = True
    return marked


def cut_off(power: np.ndarray, time: pd.DatetimeIndex, step_h: float) -> np.ndarray:
    """Readings at a level that the record reaches and does not pass, on two days or more.

    Parameters
    ----------
    power : float64 array, shape (n,)
        [W]
    time : DatetimeIndex, shape (n,)
    step_h : float
        [h]; records of more than an hour are not judged.
    """
    top = top_of(power)
    nothing = np.zeros(power.size, bool)
    if step_h > 1 or top <= 0:
        return nothing
    slack = max(FLAT * top, 1.5 * _resolution(power))
    least = max(3, int(np.ceil(FLAT_H / step_h)))
    flat = _flat_stretches(power, least, 0.9 * top, slack)
    if not flat.any():
        return nothing
    level = float(np.median(power[flat]))
    flat &= np.abs(power - level) <= 2.5 * slack
    return flat if time[flat].normalize().nunique() > 1 else nothing


def snowed_in(
    power: np.ndarray, poa: np.ndarray, air_c: np.ndarray, time: pd.DatetimeIndex, step_h: float
) -> np.ndarray:
    """Lit readings on days of frost, far below the record's own usual power for the light.

    Parameters
    ----------
    power, poa, air_c : float64 arrays, shape (n,)
        [W], [W/m²], [°C]; a module's temperature serves as well as the air's.
    time : DatetimeIndex, shape (n,)
    step_h : float
        [h]; records of more than an hour are not judged.

    Notes
    -----
    Usual is the upper quartile of power over light, so at least a quarter of the lit readings
    must be free of snow. Gaps of darkness do not end a stretch: snow lies overnight.
    """
    marked = np.zeros(power.size, bool)
    with np.errstate(invalid="ignore"):
        lit = np.flatnonzero((poa >= LIT_W_PER_M2) & np.isfinite(power))
    if step_h > 1 or not lit.size:
        return marked
    share = power[lit] / poa[lit]
    usual = float(np.percentile(share, 75))
    coldest = pd.Series(air_c, index=time).groupby(time.normalize()).transform("min").to_numpy()
    with np.errstate(invalid="ignore"):
        snowy = (share < SNOWY * usual) & (coldest[lit] <= SNOW_AIR_C)
    marked[lit] = _only_long(snowy, max(2, SNOW_H / step_h))
    return marked
