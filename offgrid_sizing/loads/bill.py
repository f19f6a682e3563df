"""A bill's energy with the shape of the appliances: they say when and how much at once."""

from dataclasses import replace
from typing import Literal

import numpy as np

from offgrid_sizing.loads.appliance_year import usual_w
from offgrid_sizing.loads.calendar import MONTH
from offgrid_sizing.loads.year import Deferrable, LoadYear, Peak
from offgrid_sizing.sketch import BadInput, Loads, Sketch
from offgrid_sizing.words import said, sentence, together

MONTHS_A_YEAR = 12
FAR = 2.0  # times the appliances' energy, or that part of it: something is missing or does not run


def billed_year(year: LoadYear, loads: Loads) -> LoadYear:
    """The appliances' year with the energy of the household's bill.

    One number (a mean month) multiplies the whole year, so that weather and habits keep the
    seasons; twelve numbers multiply each month by its own. The peak stays that of the appliances,
    since no bill tells it, unless an hour's mean would be above it. The bill is the whole home's:
    what stands on the unprotected supply is stretched alike (and keeps its peak).

    Parameters
    ----------
    year : LoadYear
        Of the appliances alone (`appliance_year`).
    loads : Loads
        With a bill. It is today's: `scale` and `growth_frac` multiply it as they do appliances.

    Returns
    -------
    LoadYear
        On the mean of its weather years each billed stretch holds the bill's energy.

    Raises
    ------
    BadInput
        When no appliance runs in a month that has energy on the bill, or what may wait
        cannot take it within its hours.
    """
    group, wanted_wh = _stretches(loads)
    fixed_wh = _by_group(_daily_wh(year), group)  # of both boards
    waits_wh = _by_group(_waiting_wh(year.deferrable), group)
    _refuse_what_nothing_takes(fixed_wh + waits_wh, wanted_wh)
    by = _ratio(wanted_wh, fixed_wh + waits_wh)
    waiting = tuple(_stretched(one, by[group]) for one in year.deferrable)
    # what those that wait cannot take within their hours is left to the others
    rest_wh = wanted_wh - _by_group(_waiting_wh(waiting), group)
    _refuse_what_nothing_takes(fixed_wh, np.where(rest_wh > 1e-6 * wanted_wh, rest_wh, 0.0))
    steps = np.repeat(_ratio(rest_wh, fixed_wh)[group], len(year.time) // len(group))
    beside = year.unprotected
    if beside is not None:
        beside = replace(
            beside, load_w=beside.load_w * steps, appliance_w=beside.appliance_w * steps
        )
    billed = replace(
        year,
        unprotected=beside,
        load_w=year.load_w * steps,
        critical_w=year.critical_w * steps,
        appliance_w=_rows(year, loads, waiting, steps),
        deferrable=waiting,
        provenance=together(year.provenance, sentence("household.from.bill")),
        listed_daily_kwh=year.whole_daily_kwh,
    )
    return replace(billed, peak=_peak(billed))


def is_far(year: LoadYear) -> bool:
    """Whether bill and appliances differ so much that the peak is in doubt."""
    if not year.listed_daily_kwh:
        return False
    return not 1 / FAR <= year.whole_daily_kwh / year.listed_daily_kwh <= FAR


def monthly_kwh(year: LoadYear, loads: Loads) -> tuple[float, ...]:
    """Energy of each month as a bill would show it today, on the mean of all weather years. [kWh]

    Without the growth that `loads` adds; to four digits, as a start for twelve numbers.
    """
    daily_wh = _daily_wh(year) + _waiting_wh(year.deferrable)
    months = _by_group(daily_wh, MONTH - 1) / _grown_wh(loads)
    return tuple(float(f"{kwh:.4g}") for kwh in months)


def with_bill(
    sketch: Sketch,
    kind: Literal["months", "one", "remove"],
    months: tuple[float, ...] | None = None,
) -> Sketch:
    """The sketch with twelve numbers, with their mean in place of them, or without a bill."""
    each = sketch.loads.bill_each_month_kwh
    mean = float(f"{sum(each) / MONTHS_A_YEAR:.4g}") if each and kind == "one" else None
    bill = {
        "bill_mean_month_kwh": mean,
        "bill_each_month_kwh": months if kind == "months" else None,
    }
    loads = sketch.loads.model_copy(update=bill)
    return sketch.model_copy(update={"loads": loads})


def _grown_wh(loads: Loads) -> float:
    """What one kWh on today's bill becomes. [Wh]"""
    return 1000 * loads.scale * (1 + loads.growth_frac)


def _stretches(loads: Loads) -> tuple[np.ndarray, np.ndarray]:
    """For each day of the year the stretch of the bill it is in; energy of each. [Wh]"""
    grown = _grown_wh(loads)
    if loads.bill_each_month_kwh is not None:
        return MONTH - 1, np.array(loads.bill_each_month_kwh) * grown
    mean_kwh = loads.bill_mean_month_kwh or 0.0
    return np.zeros_like(MONTH), np.array([mean_kwh * MONTHS_A_YEAR * grown])


def _by_group(daily: np.ndarray, group: np.ndarray) -> np.ndarray:
    return np.bincount(group, weights=daily, minlength=int(group.max()) + 1)


def _daily_wh(year: LoadYear) -> np.ndarray:
    load_w, years = year.load_w, year.load_w.shape[0]
    if year.unprotected is not None:
        load_w = load_w + year.unprotected.load_w
    return load_w.reshape(years, len(MONTH), -1).sum(axis=2).mean(axis=0) * year.step_h


def _waiting_wh(waiting: tuple[Deferrable, ...]) -> np.ndarray:
    return sum((one.daily_wh.mean(axis=0) for one in waiting), np.zeros(len(MONTH)))


def _ratio(wanted: np.ndarray, have: np.ndarray) -> np.ndarray:
    return np.divide(wanted, have, out=np.zeros_like(wanted), where=have > 0)


def _refuse_what_nothing_takes(have_wh: np.ndarray, wanted_wh: np.ndarray) -> None:
    idle = np.flatnonzero((wanted_wh > 0) & (have_wh <= 0))
    if not idle.size:
        return
    if len(wanted_wh) == 1:
        raise BadInput(sentence("household.bill_year_idle"))
    month, kwh = said(f"calendar.month.{idle[0] + 1}"), float(wanted_wh[idle[0]] / 1000)
    raise BadInput(sentence("household.bill_month_idle", month=month, kwh=kwh))


def _stretched(one: Deferrable, by: np.ndarray) -> Deferrable:
    """With more or less energy each day, but never more than its power gives in its window."""
    slots = len(one.window) // len(by)
    room_wh = one.window.reshape(len(by), slots).mean(axis=1) * 24 * one.power_w
    daily_wh = np.minimum(one.daily_wh * by, room_wh)
    usual = np.repeat(_ratio(daily_wh[0], one.daily_wh[0]), slots)
    return replace(one, daily_wh=daily_wh, usual_w=one.usual_w * usual)


def _rows(year: LoadYear, loads: Loads, waiting: tuple[Deferrable, ...], steps) -> np.ndarray:
    rows = year.appliance_w * steps
    may_wait = [row for row, one in enumerate(loads.protected) if one.deferrable]
    for row, before, after in zip(may_wait, year.deferrable, waiting, strict=True):
        rows[row] = (year.appliance_w[row] - before.usual_w) * steps + after.usual_w
    return rows


def _peak(year: LoadYear) -> Peak:
    """That of the appliances, or the highest mean of a step where that is more."""
    peak, highest = year.peak, float(max(year.load_w.max(), usual_w(year).max()))
    if highest <= peak.running_va:
        return peak
    legs = peak.leg_va if peak.running_va > 0 else dict.fromkeys(peak.leg_va, 1.0)
    whole = peak.running_va if peak.running_va > 0 else float(len(legs))
    hidden = (sentence("household.bill_peak", minutes=year.step_h * 60),)
    starts_above = peak.starting_va > highest
    return Peak(
        running_w=highest,
        running_va=highest,
        starting_va=max(highest, peak.starting_va),
        starts=peak.starts,
        together=hidden,
        leg_va={leg: highest * va / whole for leg, va in legs.items()},
        start_together=peak.start_together if starts_above else hidden,
    )
