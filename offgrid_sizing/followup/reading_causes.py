"""Causes seen in single readings of the array, and days from which it gives another share."""

import numpy as np
import pandas as pd

from offgrid_sizing.followup.case import Case, Cause, cause
from offgrid_sizing.followup.marks import FULL
from offgrid_sizing.followup.shifts import Shift, shares_of, shifts_in

SAME_STEP_DAYS = 14


def _marked(case: Case, kind: str) -> np.ndarray | None:
    """The readings marked so; None without any."""
    mask = getattr(case.marks, kind, None)
    return mask if mask is not None and mask.any() else None


def _told(case: Case, mask: np.ndarray) -> tuple[int, float, str]:
    """How many readings, their hours and the first day."""
    first = case.logger.time[int(np.argmax(mask))]
    return int(mask.sum()), float(mask.sum() * case.logger.step_h), f"{first:%Y-%m-%d}"


def limit(case: Case) -> Cause | None:
    """The record is cut off at one level that the sketch does not expect."""
    mask = _marked(case, "cut_off")
    if mask is None:
        return None
    _, hours, since = _told(case, mask)
    level = float(np.median(case.logger.values["pv"][mask]))
    expected_top = float(case.expected["available"].max())
    if level > 0.95 * expected_top:
        return None
    return cause(
        "limit",
        "high" if hours >= 10 else "medium",
        hours=hours,
        since=since,
        watts=level,
        top_watts=expected_top,
    )


def stuck(case: Case) -> Cause | None:
    """The logger wrote one value again and again."""
    mask = _marked(case, "stuck")
    if mask is None:
        return None
    count, hours, since = _told(case, mask)
    return cause("stuck", "high", count=count, hours=hours, since=since)


def leaping(case: Case) -> Cause | None:
    """Single readings that no sun gives."""
    mask = _marked(case, "leaping")
    if mask is None:
        return None
    count, _, since = _told(case, mask)
    return cause("leaping", "high", count=count, since=since)


def snow(case: Case) -> Cause | None:
    """Light but little power on frosty days."""
    mask = _marked(case, "snowed_in")
    if mask is None:
        return None
    _, hours, since = _told(case, mask)
    days = case.logger.time[mask].normalize().nunique()
    return cause("snow", "medium", hours=hours, days=days, since=since)


def _shifts(case: Case) -> tuple[Shift, ...]:
    """Steps of the share, on days without snow and without a full bank.

    Where the state of charge is not logged nobody knows when the bank was full: a step must then
    show both against what the array could give and against what the sketch expects to be taken.
    """
    days, soc = case.judged, case.logger.values.get("soc")
    if "pv_snowed_in_h" in days:
        days = days[days["pv_snowed_in_h"] == 0]
    promises = ["pv_available_expected_kwh"]
    if soc is None:
        promises.append("pv_expected_kwh")
    else:
        top = pd.Series(soc, index=case.logger.time).groupby(case.logger.time.floor("D")).max()
        days = days[top.reindex(days.index) < FULL]
    found, *others = (
        shifts_in(
            shares_of(days["pv_kwh"], days[promise], corrected=case.corrected),
            corrected=case.corrected,
        )
        for promise in promises
    )
    return tuple(one for one in found if all(_seen_in(one, other) for other in others))


def _seen_in(shift: Shift, others: tuple[Shift, ...]) -> bool:
    return any(
        abs((shift.day - one.day).days) <= SAME_STEP_DAYS and (shift.factor > 1) == (one.factor > 1)
        for one in others
    )


def level_shift(case: Case) -> Cause | None:
    """From one day on the array gives another share than before; the largest such step is told."""
    if "pv_kwh" not in case.judged:
        return None
    shifts = _shifts(case)
    if not shifts:
        return None
    most = max(shifts, key=lambda shift: abs(np.log(shift.factor)))
    since = f"{most.day:%Y-%m-%d}"
    sure = "high" if case.corrected else "medium"
    return cause("level_shift", sure, share=most.factor, since=since, count=len(shifts))
