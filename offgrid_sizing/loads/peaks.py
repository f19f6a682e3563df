"""Peak demand by coincidence: what may run together, and the worst start on top of it.

The hourly mean hides peaks. Here every quarter-hour of every kind of day is asked which
appliances their windows, days and months allow; all of them count in full. On top comes the one
appliance whose start adds most.

References
----------
"Non-motor running power plus 3 to 4 times the motor's" is the surge rule of the worked off-grid
course example; 2 × running behind a soft starter is common practice, no source.
"""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.loads.calendar import runs_unattended
from offgrid_sizing.loads.motors import start_multiple
from offgrid_sizing.loads.usage import day_shares
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import Appliance, Board, Occupancy, Sketch

SLOTS = 96
ACROSS_THREE = 1 / 3**0.5  # a load across two of three lines, on each of them
_LEGS = {"single": 1, "parallel": 1, "split_phase": 2, "three_phase": 3}


@dataclass(frozen=True, eq=False)
class Moments:
    """Who may run when: `allowed[a, m]` for appliance a and moment m.

    Moments are quarter-hours of the kinds of day that differ. `when` holds for each moment an
    example: month (1 to 12), weekday (0 is Monday) and hour.
    """

    appliances: tuple[Appliance, ...]
    allowed: np.ndarray
    when: np.ndarray
    running_w: np.ndarray
    running_va: np.ndarray
    start_va: np.ndarray

    @property
    def total_va(self) -> np.ndarray:
        """Running VA at each moment."""
        return self.running_va @ self.allowed

    @property
    def starting_va(self) -> np.ndarray:
        """Running VA plus the worst start at each moment."""
        worst = (self.allowed * self.start_va[:, None]).max(axis=0)
        return self.total_va + worst


def _months_and_days(appliance: Appliance, occupancy: Occupancy) -> tuple[list, list]:
    """Months (12) and weekdays (7) on which it may run, as flags."""
    months = [month in appliance.months for month in range(1, 13)]
    days = list(appliance.days)
    if runs_unattended(appliance):
        return months, days
    return (
        [m and number in occupancy.present_months for number, m in enumerate(months, 1)],
        [d and there for d, there in zip(days, occupancy.present_days, strict=True)],
    )


def _distinct(flags: np.ndarray) -> np.ndarray:
    """Columns that differ, by their first index."""
    return np.sort(np.unique(flags, axis=1, return_index=True)[1])


def moments_of(sketch: Sketch, without: str = "none", board: Board = "protected") -> Moments:
    """Every moment that differs and who of a board may run then; `without` leaves a driver out."""
    standing = sketch.loads.standing_on(board)
    appliances = tuple(a for a in standing if without == "none" or a.driver != without)
    flags = [_months_and_days(a, sketch.loads.occupancy) for a in appliances]
    months, days = (np.array(part, dtype=bool) for part in zip(*flags, strict=True))
    parts = [day_shares(a, SLOTS) for a in appliances]
    own, spill = (np.array(part) > 0 for part in zip(*parts, strict=True))
    before = np.roll(days, 1, axis=1)
    month, day = _distinct(months), _distinct(np.concatenate([days, before]))
    week = days[:, day, None] & own[:, None] | before[:, day, None] & spill[:, None]
    allowed = months[:, month, None, None] & week[:, None]
    when = np.stack(np.meshgrid(month + 1, day, np.arange(SLOTS) * 24 / SLOTS, indexing="ij"))
    by = sketch.loads.scale * (1 + sketch.loads.growth_frac)
    counts = np.array([a.count for a in appliances], dtype=float)
    unit_va = np.array([a.running_w / a.power_factor for a in appliances]) * by
    multiples = np.array([start_multiple(a) for a in appliances])
    return Moments(
        appliances=appliances,
        allowed=allowed.reshape(len(appliances), -1).astype(float),
        when=when.reshape(3, -1),
        running_w=np.array([a.running_w for a in appliances]) * counts * by,
        running_va=unit_va * counts,
        start_va=unit_va * (multiples - 1),
    )


def seasons(sketch: Sketch, board: Board = "protected") -> tuple[Moments, ...]:
    """The moments of each season that may decide; one, or with and without cooling."""
    # Heating and cooling by the weather never run in the same hour: two cases, the worse counts.
    drivers = {a.driver for a in sketch.loads.standing_on(board)}
    if {"cooling", "heating"} <= drivers:
        return moments_of(sketch, "heating", board), moments_of(sketch, "cooling", board)
    return (moments_of(sketch, board=board),)


def worst_season(sketch: Sketch) -> Moments:
    """The moments of the season with the higher starting peak."""
    return max(seasons(sketch), key=lambda moments: moments.starting_va.max())


def leg_shares(moments: Moments, legs: int) -> np.ndarray:
    """Share of each appliance's VA on each leg, shape (A, legs); 'auto' units fill the lightest.

    Across two of three lines a load draws S / (√3 U0), so that each line's machine gives S / √3;
    across the two of split phase it gives half.
    """
    shares = np.zeros((len(moments.appliances), legs))
    if legs == 1:
        return shares + 1.0
    filled = np.zeros(legs)
    busiest = moments.allowed[:, moments.total_va.argmax()] if len(shares) else np.zeros(0)
    fixed = {"L1": (0,), "L2": (1,), "L3": (min(2, legs - 1),), "L1-L2": (0, 1)}
    free = []
    for row, appliance in enumerate(moments.appliances):
        if appliance.leg in fixed:
            on = list(fixed[appliance.leg])
            part = ACROSS_THREE if len(on) == 2 and legs == 3 else 1 / len(on)
            shares[row, on] = part
            filled[on] += moments.running_va[row] * busiest[row] * part
        else:
            free.append(row)
    for row in sorted(free, key=lambda r: (-busiest[r], -moments.running_va[r])):
        count = moments.appliances[row].count
        even, rest = divmod(count, legs)
        units = np.full(legs, even, dtype=float)
        unit_va = moments.running_va[row] / count
        for _ in range(rest):
            units[np.argmin(filled + units * unit_va)] += 1
        shares[row] = units / count
        filled += units * unit_va * busiest[row]
    return shares


def leg_va(moments: Moments, legs: int) -> np.ndarray:
    """Running VA on each leg at each moment, shape (legs, moments)."""
    return (moments.running_va[:, None] * leg_shares(moments, legs)).T @ moments.allowed


def running_at(moments: Moments, at: int) -> tuple[int, ...]:
    """Rows of what may run at one moment, the largest first."""
    there = (row for row in range(len(moments.appliances)) if moments.allowed[row, at])
    return tuple(
        row
        for row in sorted(there, key=lambda row: -moments.running_va[row])
        if moments.running_va[row] > 0
    )


def legs_of(sketch: Sketch) -> int:
    """How many lines the inverter-chargers feed."""
    return _LEGS[sketch.drawn.arrangement]


def _names_at(moments: Moments, at: int) -> tuple[str, ...]:
    here = [moments.appliances[row] for row in running_at(moments, at)]
    return tuple(a.name if a.count == 1 else f"{a.count} × {a.name}" for a in here)


def _peak(moments: Moments, legs: int) -> Peak:
    total, starting = moments.total_va, moments.starting_va
    at, start_at = int(total.argmax()), int(starting.argmax())
    increments = moments.allowed[:, start_at] * moments.start_va
    worst = int(increments.argmax())
    highest = leg_va(moments, legs).max(axis=1)
    return Peak(
        running_w=float((moments.running_w @ moments.allowed).max()),
        running_va=float(total[at]),
        starting_va=float(starting[start_at]),
        starts=moments.appliances[worst].name if increments[worst] > 0 else "",
        together=_names_at(moments, at),
        leg_va={f"L{leg + 1}": float(va) for leg, va in enumerate(highest)},
        start_together=_names_at(moments, start_at),
    )


def peak_of(sketch: Sketch, board: Board = "protected") -> Peak:
    """The peak of a board; that of the protected one decides the inverter-charger.

    Parameters
    ----------
    sketch : Sketch
    board : {"protected", "unprotected"}

    Returns
    -------
    Peak
        VA of different appliances are added arithmetically, which is the safe side. On legs,
        appliances across L1-L2 put half on each, on three phases 1/√3 on each; 'auto' ones are
        spread to balance.

    Raises
    ------
    BadInput
        When an appliance's run time does not fit its windows.
    """
    legs = legs_of(sketch)
    if not sketch.loads.standing_on(board):
        metered = sketch.loads.metered
        va = metered.peak_va if metered is not None and metered.peak_va else 0.0
        return Peak(va, va, va, "", (), {f"L{leg + 1}": va / legs for leg in range(legs)})
    found = [_peak(moments, legs) for moments in seasons(sketch, board)]
    runs = max(found, key=lambda peak: peak.running_va)
    starts = max(found, key=lambda peak: peak.starting_va)
    return Peak(
        running_w=max(peak.running_w for peak in found),
        running_va=runs.running_va,
        starting_va=starts.starting_va,
        starts=starts.starts,
        together=runs.together,
        leg_va={leg: max(peak.leg_va[leg] for peak in found) for leg in runs.leg_va},
        start_together=starts.start_together,
    )
