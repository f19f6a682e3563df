"""From raw readings to a gapless load: duplicates, registers, outliers and gaps, each counted.

Every reading becomes energy over a stretch of time; the stretches are laid on an even grid so
that energy is kept exactly, and what no reading covers is a gap.

Limits below are common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import sentence

OUTLIER_TIMES = 8.0
SHORT_GAP_H = 2.0
MOST_GAPS = 0.8
ROLLOVER_FROM = 0.9
_TO_WH = {
    "energy_kwh": 1000.0,
    "energy_wh": 1.0,
    "register_kwh": 1000.0,
    "register_wh": 1.0,
    "power_w": 1.0,
    "power_kw": 1000.0,
}


@dataclass(frozen=True, eq=False)
class Stretches:
    """Energy over stretches of time that do not overlap, in order.

    `start`, `end` in seconds since 1970 (local standard time); `energy_wh` of each stretch.
    """

    start: np.ndarray
    end: np.ndarray
    energy_wh: np.ndarray


@dataclass(frozen=True, eq=False)
class CleanLoad:
    """A gapless load.

    Parameters
    ----------
    time : datetime64[s] array
        Beginning of each step, local standard time.
    step_h : float
    load_w : float64 array
    filled : bool array
        Steps that no reading covered.
    facts : dict
        Counts for the report.
    notes : tuple of str
        What was done, one sentence each.
    """

    time: np.ndarray
    step_h: float
    load_w: np.ndarray
    filled: np.ndarray
    facts: dict
    notes: tuple[str, ...]


def usual_step_s(at: np.ndarray) -> int:
    """The most frequent step between readings. [s]"""
    steps = np.diff(at).astype(int)
    steps = steps[steps > 0]
    if not steps.size:
        raise BadInput(sentence("meter.clean.single_moment"))
    values, counts = np.unique(steps, return_counts=True)
    return int(values[counts.argmax()])


def merge_duplicates(at: np.ndarray, values: np.ndarray) -> tuple[np.ndarray, np.ndarray, dict]:
    """One reading a moment: equal ones once, differing ones averaged (the end of daylight saving
    repeats an hour in files that do not say so)."""
    first = np.flatnonzero(np.concatenate(([True], at[1:] != at[:-1])))
    sums = np.add.reduceat(values, first)
    counts = np.diff(np.concatenate((first, [at.size])))
    means = sums / counts
    spread = np.maximum.reduceat(values, first) - np.minimum.reduceat(values, first)
    facts = {
        "duplicates_equal": int((counts - 1)[spread == 0].sum()),
        "duplicates_averaged": int((counts - 1)[spread > 0].sum()),
    }
    return at[first], means, facts


def _register_stretches(at: np.ndarray, values: np.ndarray) -> tuple[Stretches, dict, list[str]]:
    good = values >= 0
    at, values = at[good], values[good]
    facts = {"negative": int((~good).sum()), "resets": 0, "rollovers": 0}
    notes: list[str] = []
    if facts["negative"]:
        notes.append(sentence("meter.clean.register_negative", count=facts["negative"]))
    if at.size < 2:
        raise BadInput(sentence("meter.clean.register_short"))
    used = np.diff(values)
    for place in np.flatnonzero(used < 0):
        before, after = values[place], values[place + 1]
        top = 10.0 ** np.ceil(np.log10(max(before, 1.0)))
        if before > ROLLOVER_FROM * top and after < (1 - ROLLOVER_FROM) * top:
            used[place] = top - before + after
            facts["rollovers"] += 1
        else:
            # A new or reset register counts from zero.
            used[place] = after
            facts["resets"] += 1
    if facts["resets"] > max(3, 0.01 * used.size):
        raise BadInput(sentence("meter.clean.no_register", count=facts["resets"]))
    if facts["resets"] or facts["rollovers"]:
        falls = facts["resets"] + facts["rollovers"]
        notes.append(sentence("meter.clean.register_fell", count=falls))
    seconds = at.astype("datetime64[s]").astype(np.int64)
    return Stretches(seconds[:-1], seconds[1:], used), facts, notes


def _interval_stretches(
    at: np.ndarray, values: np.ndarray, power: bool, labels: str, duration_s: np.ndarray | None
) -> tuple[Stretches, dict, list[str]]:
    facts = {"negative": int((values < 0).sum())}
    notes: list[str] = []
    if facts["negative"] > 0.5 * values.size:
        raise BadInput(sentence("meter.clean.fed_out"))
    if facts["negative"]:
        notes.append(sentence("meter.clean.set_to_zero", count=facts["negative"]))
        values = np.maximum(values, 0.0)
    step = usual_step_s(at)
    start = at.astype("datetime64[s]").astype(np.int64)
    length = np.full(start.size, step) if duration_s is None else duration_s
    length = np.where(length > 0, length, step)
    if labels == "end":
        start = start - length
        notes.append(sentence("meter.clean.stamps_end"))
    # A jittering clock leaves neighbours seconds apart or overlapping: one ends where the next
    # begins.
    following = np.concatenate((start[1:], [np.iinfo(np.int64).max]))
    end = np.where(following - start < 1.5 * length, following, start + length)
    energy = values * (end - start) / 3600 if power else values
    return Stretches(start, end, energy), facts, notes


def stretches_of(
    at: np.ndarray,
    values: np.ndarray,
    quantity: str,
    labels: str = "begin",
    duration_s: np.ndarray | None = None,
) -> tuple[Stretches, dict, list[str]]:
    """Readings as energy over stretches of time.

    Parameters
    ----------
    at : datetime64[s] array, rising
    values : float64 array
    quantity : str
        See `meter_columns.QUANTITIES`.
    labels : 'begin' or 'end'
    duration_s : int array, optional
        Length of each interval where the file says it.
    """
    values = values * _TO_WH[quantity]
    if quantity.startswith("register"):
        return _register_stretches(at, values)
    return _interval_stretches(at, values, quantity.startswith("power"), labels, duration_s)


def drop_outliers(found: Stretches) -> tuple[Stretches, dict, list[str]]:
    """Leave out stretches of more than 8 × the power that 99 of 100 stay under."""
    length = np.maximum(found.end - found.start, 1)
    power = found.energy_wh * 3600 / length
    usual = np.quantile(power, 0.99)
    bad = power > OUTLIER_TIMES * usual if usual > 0 else np.zeros(power.size, bool)
    if not bad.any():
        return found, {"outliers": 0}, []
    largest = power[bad].max() / 1000
    count, keep = int(bad.sum()), ~bad
    key = "outlier" if count == 1 else "outliers"
    note = sentence(f"meter.clean.{key}", count=count, largest=largest, times=OUTLIER_TIMES)
    kept = Stretches(found.start[keep], found.end[keep], found.energy_wh[keep])
    return kept, {"outliers": count, "largest_outlier_kw": float(largest)}, [note]


def on_grid(found: Stretches, step_s: int) -> tuple[np.ndarray, np.ndarray]:
    """(edges in seconds, mean power with NaN where less than half a step is covered)."""
    first = found.start.min() // step_s * step_s
    last = -(-found.end.max() // step_s) * step_s
    edges = np.arange(first, last + 1, step_s)
    knots = np.column_stack((found.start, found.end)).ravel()
    energy = np.cumsum(found.energy_wh)
    covered = np.cumsum(found.end - found.start)
    until = np.column_stack((energy - found.energy_wh, energy)).ravel()
    seconds = np.column_stack((covered - (found.end - found.start), covered)).ravel()
    wh = np.diff(np.interp(edges, knots, until))
    cover = np.diff(np.interp(edges, knots, seconds))
    known = cover >= 0.5 * step_s
    return edges, np.where(known, wh * 3600 / np.where(known, cover, 1), np.nan)


def fill_gaps(time: np.ndarray, load_w: np.ndarray, step_h: float) -> tuple[np.ndarray, dict, list]:
    """Fill what no reading covers.

    Up to two hours: a straight line between neighbours. Longer: the mean of the same weekday and
    hour in the same month, else of the same hour in the month, else of the same hour.
    """
    gap = np.isnan(load_w)
    if not gap.any():
        return load_w, {"gaps": 0, "gap_h": 0.0, "longest_gap_h": 0.0}, []
    edge = np.flatnonzero(np.diff(np.concatenate(([False], gap, [False])).astype(int)))
    starts, ends = edge[::2], edge[1::2]
    hours = (ends - starts) * step_h
    series = pd.Series(load_w)
    index = pd.DatetimeIndex(time)
    slot = index.hour * 60 + index.minute
    filled = series.copy()
    for keys in ([index.month, index.day_of_week, slot], [index.month, slot], [slot]):
        filled = filled.fillna(series.groupby(keys).transform("mean"))
    filled = filled.fillna(series.mean()).to_numpy(copy=True)
    line = series.interpolate(limit_direction="both").to_numpy()
    for start, end, length in zip(starts, ends, hours, strict=True):
        if length <= SHORT_GAP_H:
            filled[start:end] = line[start:end]
    longest = float(hours.max())
    key = "mean" if longest > SHORT_GAP_H else "line"
    note = sentence(
        f"meter.clean.{'gap' if hours.size == 1 else 'gaps'}_{key}",
        count=int(hours.size),
        hours=float(hours.sum()),
        longest=longest,
    )
    facts = {"gaps": int(hours.size), "gap_h": float(hours.sum()), "longest_gap_h": longest}
    return filled, facts, [note]


def _even(found: Stretches, grid_s: int) -> tuple[np.ndarray, np.ndarray]:
    """(time, mean power) from the first to the last step that readings cover.

    A last interval that only grazes a step is no gap to be filled.
    """
    edges, load_w = on_grid(found, grid_s)
    known = np.flatnonzero(~np.isnan(load_w))
    if not known.size:
        raise BadInput(sentence("meter.clean.no_step"))
    inside = slice(known[0], known[-1] + 1)
    time, load_w = edges[:-1][inside].astype("datetime64[s]"), load_w[inside]
    if time.size * grid_s < 86400:
        raise BadInput(sentence("meter.clean.too_short", hours=time.size * grid_s / 3600))
    covered = 1 - np.isnan(load_w).mean()
    if covered < 1 - MOST_GAPS:
        first, last = (str(moment)[:10] for moment in (time[0], time[-1]))
        raise BadInput(
            sentence("meter.clean.too_thin", covered=float(covered), first=first, last=last)
        )
    return time, load_w


def _repeats_said(facts: dict) -> list[str]:
    notes: list[str] = []
    if facts["duplicates_equal"]:
        notes.append(sentence("meter.clean.repeated", count=facts["duplicates_equal"]))
    if facts["duplicates_averaged"]:
        notes.append(sentence("meter.clean.averaged", count=facts["duplicates_averaged"]))
    return notes


def clean(at, values, quantity, labels="begin", duration_s=None) -> CleanLoad:
    """Raw readings on the standard clock, in order, as a gapless load.

    See `stretches_of` for parameters.

    Raises
    ------
    BadInput
        Less than a day, mostly negative readings, or a register that falls all the time.
    """
    if duration_s is not None:
        duration_s = duration_s[np.concatenate(([True], at[1:] != at[:-1]))]
    at, values, facts = merge_duplicates(at, values)
    step_s = usual_step_s(at)
    found, more, made = stretches_of(at, values, quantity, labels, duration_s)
    found, outliers, left_out = drop_outliers(found)
    grid_s = 900 if step_s <= 900 else 1800 if step_s <= 1800 else 3600
    time, raw_w = _even(found, grid_s)
    load_w, gaps, filled = fill_gaps(time, raw_w, grid_s / 3600)
    notes = [*_repeats_said(facts), *made, *left_out, *filled]
    if step_s > 3600:
        notes.append(sentence("meter.clean.far_apart", hours=step_s / 3600))
    facts |= more | outliers | gaps | {"reading_step_min": step_s / 60}
    return CleanLoad(time, grid_s / 3600, load_w, np.isnan(raw_w), facts, tuple(notes))
