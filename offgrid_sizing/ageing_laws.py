"""Published laws of how cells age: time, temperature, state of charge, depth, missing full charges.

Cells by root laws: Naumann, Schimpe, Keil, Hesse & Jossen, Journal of Energy Storage 17 (2018) 153
(calendar), and Naumann, Spingler & Jossen, Journal of Power Sources 451 (2020) 227666 (cycles).
Want of full charges: Schiffer, Sauer, Bindner, Cronin, Lundsager & Kaiser, Journal of Power Sources
168 (2007) 66. The coefficients stand with each law in `data/chemistries/laws`.
"""

import numpy as np

from offgrid_sizing.chemistry import CHEMISTRIES, AgeingLaw, CellLaw, PartCharge
from offgrid_sizing.sketch import BatteryUnit

GAS_J_PER_MOL_K = 8.3145
YEAR_S = 8760 * 3600.0
REFERENCE_C = 25.0

LEAST_LOSS = 0.01  # a unit replaced at full capacity must leave a number
SLOWEST_CALENDAR = 0.5  # cold is credited no further; common practice, no source


def law_of(unit: BatteryUnit) -> AgeingLaw:
    """The law of the unit's chemistry."""
    return CHEMISTRIES[unit.chemistry].ageing


def is_published(unit: BatteryUnit) -> bool:
    """Whether its whole life is the published cell's instead of its own sheet's."""
    return law_of(unit).cell is not None and unit.life_from == "published"


def calendar_rate(cell: CellLaw, temp_c, soc_frac) -> np.ndarray:
    """Capacity a published cell at rest loses per root of time. [1/√s]

    >>> lfp = CHEMISTRIES["lifepo4"].ageing.cell
    >>> loss = calendar_rate(lfp, 25.0, 0.5) * YEAR_S**0.5  # the first year
    >>> round(float(loss), 4)
    0.0425

    Colder than the tests counts as their coldest.
    """
    kelvin = np.maximum(np.asarray(temp_c, dtype=float), cell.range_c[0]) + 273.15
    by_temp = np.exp(-cell.calendar_j_per_mol / GAS_J_PER_MOL_K * (1 / kelvin - 1 / 298.15))
    steep, level = cell.calendar_soc
    by_soc = steep * (np.asarray(soc_frac, dtype=float) - 0.5) ** 3 + level
    return cell.calendar_per_root_s * by_temp * by_soc


def cycle_rate(cell: CellLaw, depth_frac, c_rate) -> np.ndarray:
    """Capacity a published cell loses per root of full cycles at one depth and rate, as a fraction.

    >>> lfp = CHEMISTRIES["lifepo4"].ageing.cell
    >>> round(float(cycle_rate(lfp, 1.0, 1.0)) * 1000**0.5, 4)  # after 1,000 full cycles
    0.0683
    """
    by_rate = cell.cycle_rate[0] * np.asarray(c_rate, dtype=float) + cell.cycle_rate[1]
    steep, middle, level = cell.cycle_depth
    by_depth = steep * (np.asarray(depth_frac, dtype=float) - middle) ** 3 + level
    return by_rate * by_depth / 100


def calendar_factor(unit: BatteryUnit, temp_c, soc_frac) -> np.ndarray:
    """How much faster than where its sheet states it time uses up the unit's life.

    Notes
    -----
    Loss by a root law reaches its limit after a time that falls with the rate's square: that
    square is the factor, against 25 °C and the state of charge of the sheet. Emptier than there a
    bank gets no credit (careful, and the search can bound its life). Chemistries of which no
    cell is published know temperature only.
    """
    law = law_of(unit)
    if law.cell is not None:
        same = calendar_rate(law.cell, REFERENCE_C, unit.calendar_soc_frac)
        fuller = np.maximum(soc_frac, unit.calendar_soc_frac)
        factor = (calendar_rate(law.cell, temp_c, fuller) / same) ** 2
    else:
        assert law.doubling is not None  # every law tells time by one of the two
        warmer_k = np.asarray(temp_c, dtype=float) - REFERENCE_C
        factor = 2 ** (warmer_k / law.doubling.per_k)
        factor = factor + 0.0 * np.asarray(soc_frac, dtype=float)
    return np.maximum(factor, SLOWEST_CALENDAR)


def published_calendar(unit: BatteryUnit, temp_c, soc_frac) -> float:
    """Share of its life the published cell of its chemistry loses in a year by time alone."""
    square = np.mean(calendar_rate(_cell(unit), temp_c, soc_frac) ** 2)
    return float(square * YEAR_S / _allowed_loss(unit) ** 2)


def published_cycles(unit: BatteryUnit, depth_frac, counts, c_rate: float) -> float:
    """Share of its life the published cell of its chemistry loses by these cycles alone."""
    depth = np.asarray(depth_frac, dtype=float)
    square = np.sum(np.asarray(counts) * depth * cycle_rate(_cell(unit), depth, c_rate) ** 2)
    return float(square / _allowed_loss(unit) ** 2)


def _cell(unit: BatteryUnit) -> CellLaw:
    cell = law_of(unit).cell
    assert cell is not None  # asked of published units only
    return cell


def _allowed_loss(unit: BatteryUnit) -> float:
    return max(1 - unit.end_of_life_frac, LEAST_LOSS)


def shares_together(unit: BatteryUnit, by_cycles, by_time):
    """Shares of life a year uses up by cycles and by time, when both act.

    Notes
    -----
    A sheet's shares are added (Palmgren and Miner). Two losses by root laws add before the limit
    is met, so that together they use (√a + √b)² of the life, which is more than a + b; either
    gets its part of that in proportion to its loss.
    """
    if not is_published(unit):
        return by_cycles, by_time
    a, b = np.sqrt(by_cycles), np.sqrt(by_time)
    return a * (a + b), b * (a + b)


def moving_rate(soc_frac: np.ndarray, step_h: float) -> tuple[float, float]:
    """Mean C-rate of the energy moved, and of that discharged; 0 where none is. [1/h]"""
    change = np.diff(soc_frac, prepend=soc_frac[:1])
    down = np.maximum(-change, 0)
    rates = []
    for moved in (np.abs(change), down):
        total = moved.sum()
        rates.append(float((moved**2).sum() / total / step_h) if total > 0 else 0.0)
    return rates[0], rates[1]


def since_full(
    rule: PartCharge, soc_frac: np.ndarray, step_h: float
) -> tuple[np.ndarray, np.ndarray]:
    """Hours since the last full charge, and the lowest state of charge since; shapes (n,).

    The history goes round: before its first full charge the last one counts.
    """
    n = len(soc_frac)
    twice = np.concatenate([soc_frac, soc_frac])
    full = twice >= rule.full_soc_frac
    step = np.arange(2 * n)
    hours = (step - np.maximum.accumulate(np.where(full, step, 0))) * step_h
    # each stretch is set lower than all of the one before: one running minimum serves them all
    stretch = 2.0 * np.cumsum(full)
    lowest = np.minimum.accumulate(twice - stretch) + stretch
    return hours[n:], lowest[n:]


def part_charge_factor(rule: PartCharge, soc_frac: np.ndarray, step_h: float) -> float:
    """How much more discharged energy wears a bank for want of full charges.

    Returns
    -------
    float
        1 at least; mean over the energy discharged.

    Notes
    -----
    Schiffer et al. 2007: 1 + (c₀ + c_min (1 − SOC_min)) √(I₁₀ / I) Δt since the last full charge.
    The current is the mean of the year's discharge; incomplete charges between are not counted
    one by one, and acid stratification is left out.
    """
    down = np.maximum(-np.diff(soc_frac, prepend=soc_frac[:1]), 0)
    if down.sum() <= 0:
        return 1.0
    rate = moving_rate(soc_frac, step_h)[1] or rule.reference_rate_per_h
    hours, lowest = since_full(rule, soc_frac, step_h)
    hours = np.minimum(hours, rule.longest_h)
    more = (rule.since_full_per_h + rule.lowest_per_h * (1 - lowest)) * hours
    return float(1 + np.sqrt(rule.reference_rate_per_h / rate) * (down * more).sum() / down.sum())
