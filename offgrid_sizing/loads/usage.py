"""One appliance's year on the clock: the plain numbers the load year is added up from."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.loads.calendar import use_days
from offgrid_sizing.loads.drivers import group_of
from offgrid_sizing.loads.hours import cover
from offgrid_sizing.sketch import Appliance, BadInput
from offgrid_sizing.words import sentence


@dataclass(frozen=True, eq=False)
class Usage:
    """What one appliance contributes: `base_w + (still_w + driven_w × factor) × share`.

    Parameters
    ----------
    share : float64 array, shape (n,)
        Share of each step in which it is on.
    base_w : float
        Standby, drawn throughout. [W]
    still_w, driven_w : float
        Change of mean power when on: the part the weather leaves alone, and the part it drives.
    group : tuple
        Key of the weather factor, see `drivers`.
    """

    appliance: Appliance
    share: np.ndarray
    base_w: float
    still_w: float
    driven_w: float
    group: tuple


def day_shares(appliance: Appliance, slots: int) -> tuple[np.ndarray, np.ndarray]:
    """Share of each slot of a day an appliance is on: its own day, and past midnight.

    Raises
    ------
    BadInput
        When the daily run time does not fit the windows.
    """
    if appliance.hours is not None:
        hourly = np.asarray(appliance.hours, float)
        return hourly[np.arange(slots) * 24 // slots], np.zeros(slots)
    if not appliance.windows:
        share = 1.0 if appliance.run_time_h is None else appliance.run_time_h / 24
        return np.full(slots, share), np.zeros(slots)
    own, spill = (np.array(part) for part in cover(appliance.windows, slots))
    if appliance.run_time_h is not None:
        room_h = (own.sum() + spill.sum()) * 24 / slots
        if appliance.run_time_h > room_h + 1e-6:
            raise BadInput(
                sentence(
                    "hours.appliance_too_long",
                    name=appliance.name,
                    hours=float(appliance.run_time_h),
                    room=float(room_h),
                )
            )
        own, spill = (part * appliance.run_time_h / room_h for part in (own, spill))
    return own, spill


def usage_of(
    appliance: Appliance, there: np.ndarray, civil: np.ndarray | None, slots: int
) -> Usage:
    """An appliance's year.

    Parameters
    ----------
    appliance : Appliance
    there : bool array, shape (365,)
        Days on which somebody is there.
    civil : int array of shape (n,), or None
        From `calendar.civil_index`.
    slots : int
        Steps in a day.
    """
    use = use_days(appliance, there)
    own, spill = day_shares(appliance, slots)
    share = use[:, None] * own
    if spill.any():
        # Hours past midnight belong to the day the window began on.
        share = np.minimum(share + np.roll(use, 1)[:, None] * spill, 1.0)
    share = share.ravel()
    if civil is not None:
        share = share[civil]
    on_w = appliance.count * appliance.running_w * appliance.duty_frac
    standby_w = appliance.count * appliance.standby_w
    still_w, driven_w = on_w - standby_w, 0.0
    if appliance.deferrable:
        # What may wait is only what it draws beyond its standby.
        beyond_w = max(still_w, 0.0)
        still_w, driven_w = (beyond_w, 0.0) if appliance.driver == "none" else (0.0, beyond_w)
    elif appliance.driver == "refrigeration":
        still_w, driven_w = -standby_w, on_w
    elif appliance.driver != "none":
        still_w, driven_w = 0.0, on_w - standby_w
    group = group_of(appliance, use, max(own.max(), spill.max()))
    return Usage(appliance, share, standby_w, still_w, driven_w, group)
