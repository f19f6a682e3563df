"""Days from which an array gives another share of the expected: steps, not drifts."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

LEAST_DAYS = 21  # on both sides of a step
NEAR_DAYS, FAR_DAYS = 10, 60  # a step shows at once, a drift only from afar
LEAST_STEP = {True: 0.10, False: 0.35}  # with and without measured light; own choice
SURE = 5.0  # differences of means in standard errors; chance alone reaches 4 in a long record


@dataclass(frozen=True)
class Shift:
    """One step of the share.

    Parameters
    ----------
    day : Timestamp
        First day of the new share.
    factor : float
        New share over old.
    """

    day: pd.Timestamp
    factor: float


def shares_of(measured_kwh: pd.Series, expected_kwh: pd.Series, *, corrected: bool) -> pd.Series:
    """Log of measured over expected, one a day; days without either are left out.

    Without measured light the expected day is one of another year: its own clouds are smoothed
    away over a month, so that only the measured day's stay in the share.
    """
    expected = expected_kwh
    if not corrected:
        expected = expected.rolling(31, center=True, min_periods=1).mean()
    good = (measured_kwh > 0) & (expected > 0)
    return np.log(measured_kwh[good] / expected[good])


def _gain(shares: np.ndarray) -> np.ndarray:
    """By how many standard errors the means before and from each place differ, shape (n,)."""
    count = shares.size
    before = np.arange(1, count)
    sums = np.cumsum(shares)[:-1]
    low, high = sums / before, (shares.sum() - sums) / (count - before)
    spread = max(float(np.std(np.diff(shares))) / np.sqrt(2), 1e-3)
    error = spread * np.sqrt(1 / before + 1 / (count - before))
    return np.concatenate([[0.0], np.abs(high - low) / error])


def _step_at(shares: np.ndarray, place: int, days: int) -> float:
    """Median of the days from a place less that of the days before it."""
    before, after = shares[max(place - days, 0) : place], shares[place : place + days]
    return float(np.median(after) - np.median(before))


def _bright_step(shares: np.ndarray, place: int) -> float:
    """The same for the bright days, which clouds do not touch: the 90th percentile."""
    before, after = shares[max(place - FAR_DAYS, 0) : place], shares[place : place + FAR_DAYS]
    return float(np.percentile(after, 90) - np.percentile(before, 90))


def _beside_drift(shares: np.ndarray, place: int) -> tuple[float, float]:
    """Size of the step beside a straight drift over the same days, and its standard error."""
    first = max(place - FAR_DAYS, 0)
    part = shares[first : place + FAR_DAYS]
    day = np.arange(part.size) - (place - first)
    columns = np.stack([np.ones(part.size), day, day >= 0], axis=1)
    found = np.linalg.lstsq(columns, part, rcond=None)[0]
    spread = np.sum((part - columns @ found) ** 2) / (part.size - 3)
    error = np.sqrt(spread * np.linalg.inv(columns.T @ columns)[2, 2])
    return float(found[2]), float(error)


def _is_step(shares: np.ndarray, place: int, usual: float, corrected: bool) -> bool:
    far, near = _step_at(shares, place, FAR_DAYS), _step_at(shares, place, NEAR_DAYS)
    bright, least = _bright_step(shares, place), np.log1p(LEAST_STEP[corrected])
    step, error = _beside_drift(shares, place)
    way = np.sign(far)
    large = min(far * way, bright * way, (far - usual) * way) >= least
    sudden = min(near * way, step * way) >= 0.5 * abs(far)
    # dirt drifts by as much as a small step; without measured light only large steps are told
    no_drift = not corrected or step * way >= SURE * error
    return bool(large and sudden and no_drift)


def _usual_step(shares: pd.Series, day: pd.Timestamp) -> float:
    """The median step of the same date in the record's other years: the season's, 0 without any."""
    values, steps = shares.to_numpy(), []
    for years in (*range(-30, 0), *range(1, 31)):
        place = int(shares.index.searchsorted(day + pd.Timedelta(days=365 * years)))
        if LEAST_DAYS <= place <= values.size - LEAST_DAYS:
            steps.append(_step_at(values, place, FAR_DAYS))
    return float(np.median(steps)) if steps else 0.0


def shifts_in(shares: pd.Series, *, corrected: bool) -> tuple[Shift, ...]:
    """The steps of a record, in order of time.

    The likeliest place is split first, each part then again (binary segmentation). A place
    counts where the means differ by far more than days differ from each other, the bright days
    and the median day of two months move the same way, half of the step is there within ten
    days and beside a drift, and, without measured light, other years have no such step then.
    """
    values, found = shares.to_numpy(), []
    waiting = [(0, values.size)]
    while waiting:
        first, past = waiting.pop()
        if past - first < 2 * LEAST_DAYS:
            continue
        part = values[first:past]
        gain = _gain(part)
        gain[:LEAST_DAYS] = gain[part.size - LEAST_DAYS + 1 :] = 0
        place = int(np.argmax(gain))
        if gain[place] < SURE:
            continue
        day = shares.index[first + place]
        usual = 0.0 if corrected else _usual_step(shares, day)
        if _is_step(part, place, usual, corrected):
            factor = float(np.exp(_step_at(part, place, FAR_DAYS) - usual))
            found.append(Shift(day, factor))
        waiting += [(first, first + place), (first + place, past)]
    return tuple(sorted(found, key=lambda shift: shift.day))
