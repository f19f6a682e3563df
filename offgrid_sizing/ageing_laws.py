"""Published laws of how cells age: time, temperature, state of charge, depth, missing full charges.

LFP/graphite: Naumann, Schimpe, Keil, Hesse & Jossen, Journal of Energy Storage 17 (2018) 153
(calendar), and Naumann, Spingler & Jossen, Journal of Power Sources 451 (2020) 227666 (cycles).
Lead-acid: the factor of incomplete charging of Schiffer, Sauer, Bindner, Cronin, Lundsager &
Kaiser, Journal of Power Sources 168 (2007) 66. The coefficients were read in open implementations
of these papers, not in the papers; ranges marked so are from memory.
"""

import numpy as np

from offgrid_sizing.sketch import BatteryUnit

GAS_J_PER_MOL_K = 8.3145
YEAR_S = 8760 * 3600.0
REFERENCE_C = 25.0

# Loss of capacity = rate × √time and rate × √(full cycles), Naumann et al. 2018 and 2020
CALENDAR_PER_ROOT_S = 1.2571e-5
CALENDAR_J_PER_MOL = 17126.0
CALENDAR_SOC = (2.8575, 0.60225)
CYCLE_RATE = (0.0630, 0.0971)  # per cent per √cycle; by C-rate
CYCLE_DEPTH = (4.0253, 0.6, 1.0923)
LEAST_LOSS = 0.01  # a unit replaced at full capacity must leave a number
LFP_RANGE_C = (0.0, 60.0)  # storage tests, from memory
LFP_CYCLING_C = (20.0, 40.0)  # as the open model library of NREL (BLAST-Lite) bounds these tests
LFP_RATES = (1.0, 2.0)  # charge, discharge; as before [1/h]

# Lead-acid: wear doubles for each 10 K (common practice, no source; a maker's note read bounds the
# rule by 15 and 40 °C). Schiffer et al. let corrosion double for each 15 K, which is less careful.
DOUBLING_K = 10.0
DOUBLING_RANGE_C = (15.0, 40.0)
SLOWEST_CALENDAR = 0.5  # cold is credited no further; common practice, no source
SINCE_FULL_PER_H, LOWEST_PER_H = 6.614e-5, 3.307e-3  # Schiffer et al. 2007
REFERENCE_RATE = 0.1  # I10 over the capacity [1/h]
FULL_SOC = 0.99  # counts as a full charge; common practice, no source
LONGEST_SINCE_FULL_H = 720.0  # longer is reckoned as this; common practice, no source


def is_lfp(unit: BatteryUnit) -> bool:
    """Whether the LFP law holds for the unit."""
    return unit.chemistry == "lifepo4"


def is_published(unit: BatteryUnit) -> bool:
    """Whether its whole life is the published cell's instead of its own sheet's."""
    return is_lfp(unit) and unit.life_from == "published"


def temperature_range_c(unit: BatteryUnit) -> tuple[float, float]:
    """Between which temperatures the law of calendar ageing holds. [°C]"""
    return LFP_RANGE_C if is_lfp(unit) else DOUBLING_RANGE_C


def lfp_calendar_rate(temp_c, soc_frac) -> np.ndarray:
    """Capacity an LFP cell at rest loses per root of time. [1/√s]

    >>> loss = lfp_calendar_rate(25.0, 0.5) * YEAR_S**0.5  # the first year
    >>> round(float(loss), 4)
    0.0425

    Colder than the tests counts as their coldest.
    """
    kelvin = np.maximum(np.asarray(temp_c, dtype=float), LFP_RANGE_C[0]) + 273.15
    by_temp = np.exp(-CALENDAR_J_PER_MOL / GAS_J_PER_MOL_K * (1 / kelvin - 1 / 298.15))
    steep, level = CALENDAR_SOC
    by_soc = steep * (np.asarray(soc_frac, dtype=float) - 0.5) ** 3 + level
    return CALENDAR_PER_ROOT_S * by_temp * by_soc


def lfp_cycle_rate(depth_frac, c_rate) -> np.ndarray:
    """Capacity an LFP cell loses per root of full cycles at one depth and rate, as a fraction.

    >>> round(float(lfp_cycle_rate(1.0, 1.0)) * 1000**0.5, 4)  # after 1,000 full cycles
    0.0683
    """
    by_rate = CYCLE_RATE[0] * np.asarray(c_rate, dtype=float) + CYCLE_RATE[1]
    steep, middle, level = CYCLE_DEPTH
    by_depth = steep * (np.asarray(depth_frac, dtype=float) - middle) ** 3 + level
    return by_rate * by_depth / 100


def calendar_factor(unit: BatteryUnit, temp_c, soc_frac) -> np.ndarray:
    """How much faster than where its sheet states it time uses up the unit's life.

    Notes
    -----
    Loss by a root law reaches its limit after a time that falls with the rate's square: that
    square is the factor, against 25 °C and the state of charge of the sheet. Emptier than there a
    bank gets no credit (careful, and the search can bound its life). Other chemistries than LFP
    know temperature only.
    """
    if is_lfp(unit):
        same = lfp_calendar_rate(REFERENCE_C, unit.calendar_soc_frac)
        fuller = np.maximum(soc_frac, unit.calendar_soc_frac)
        factor = (lfp_calendar_rate(temp_c, fuller) / same) ** 2
    else:
        factor = 2 ** ((np.asarray(temp_c, dtype=float) - REFERENCE_C) / DOUBLING_K)
        factor = factor + 0.0 * np.asarray(soc_frac, dtype=float)
    return np.maximum(factor, SLOWEST_CALENDAR)


def published_calendar(unit: BatteryUnit, temp_c, soc_frac) -> float:
    """Share of its life a published LFP cell loses in a year by time alone."""
    square = np.mean(lfp_calendar_rate(temp_c, soc_frac) ** 2)
    return float(square * YEAR_S / _allowed_loss(unit) ** 2)


def published_cycles(unit: BatteryUnit, depth_frac, counts, c_rate: float) -> float:
    """Share of its life a published LFP cell loses by these cycles alone."""
    depth = np.asarray(depth_frac, dtype=float)
    square = np.sum(np.asarray(counts) * depth * lfp_cycle_rate(depth, c_rate) ** 2)
    return float(square / _allowed_loss(unit) ** 2)


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


def since_full(soc_frac: np.ndarray, step_h: float) -> tuple[np.ndarray, np.ndarray]:
    """Hours since the last full charge, and the lowest state of charge since; shapes (n,).

    The history goes round: before its first full charge the last one counts.
    """
    n = len(soc_frac)
    twice = np.concatenate([soc_frac, soc_frac])
    full = twice >= FULL_SOC
    step = np.arange(2 * n)
    hours = (step - np.maximum.accumulate(np.where(full, step, 0))) * step_h
    # each stretch is set lower than all of the one before: one running minimum serves them all
    stretch = 2.0 * np.cumsum(full)
    lowest = np.minimum.accumulate(twice - stretch) + stretch
    return hours[n:], lowest[n:]


def part_charge_factor(soc_frac: np.ndarray, step_h: float) -> float:
    """How much more discharged energy wears a lead-acid bank for want of full charges.

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
    rate = moving_rate(soc_frac, step_h)[1] or REFERENCE_RATE
    hours, lowest = since_full(soc_frac, step_h)
    hours = np.minimum(hours, LONGEST_SINCE_FULL_H)
    more = (SINCE_FULL_PER_H + LOWEST_PER_H * (1 - lowest)) * hours
    return float(1 + np.sqrt(REFERENCE_RATE / rate) * (down * more).sum() / down.sum())
