"""Time value of money: the factors of NIST Handbook 135 and ASTM E917, as plain functions.

Rates are a year, real or nominal as the caller's amounts are. Amounts fall at the end of a year.

References
----------
S. K. Fuller, S. R. Petersen, *Life-Cycle Costing Manual for the Federal Energy Management
Program*, NIST Handbook 135 (1995 edition), appendix on discount factors; ASTM E917, *Standard
Practice for Measuring Life-Cycle Costs of Buildings and Building Systems*.
"""

import math
from collections.abc import Sequence

import numpy as np


def single_present_value(rate: float, years: float | np.ndarray) -> float | np.ndarray:
    """Worth today of 1 paid after `years` (SPV factor), of one time or of each of many.

    >>> round(single_present_value(0.03, 25), 3)
    0.478
    """
    return (1 + rate) ** -years


def uniform_present_value(rate: float, years: float) -> float:
    """Worth today of 1 paid at the end of every year (UPV factor); `years` when rate is 0.

    >>> round(uniform_present_value(0.03, 25), 3)
    17.413
    """
    if rate == 0:
        return float(years)
    return -math.expm1(-years * math.log1p(rate)) / rate


def modified_uniform_present_value(rate: float, years: int, escalation: float) -> float:
    """Worth today of a yearly 1 at today's price that rises by `escalation` a year (UPV*).

    The first payment, at the end of year 1, has already risen once, as in Handbook 135.
    """
    if rate == escalation:
        return float(years)
    ratio = (1 + escalation) / (1 + rate)
    return ratio * (1 - ratio**years) / (1 - ratio)


def capital_recovery(rate: float, years: float) -> float:
    """Equal yearly payment that repays 1 borrowed today (CRF, the inverse of UPV).

    >>> round(capital_recovery(0.07, 20), 6)
    0.094393
    """
    return 1 / uniform_present_value(rate, years)


def net_present_value(rate: float, flows: Sequence[float] | np.ndarray) -> float:
    """Worth today of flows at years 0, 1, 2, ... (the first is not discounted)."""
    flows = np.asarray(flows, dtype=float)
    return float(flows @ single_present_value(rate, np.arange(len(flows), dtype=float)))


def equivalent_annual(present: float, rate: float, years: float) -> float:
    """The equal yearly amount over `years` that is worth `present` today."""
    return present * capital_recovery(rate, years)


def levelized_cost(present_cost: float, yearly_kwh: float, rate: float, years: float):
    """Levelized cost of energy: present cost over the discounted energy; None without energy.

    With a constant yearly energy this is (capital × CRF + yearly cost) / yearly energy.
    """
    if yearly_kwh <= 0:
        return None
    return present_cost / (yearly_kwh * uniform_present_value(rate, years))


def discounted_payback(rate: float, flows: Sequence[float] | np.ndarray) -> float | None:
    """Years until the discounted net flows have first repaid the outlay, linear within the year.

    `flows` are savings minus costs at years 0, 1, 2, ...; None when the sum never reaches zero.

    >>> round(discounted_payback(0.1, [-100, 110]), 9)
    1.0
    """
    flows = np.asarray(flows, dtype=float)
    worth = flows * single_present_value(rate, np.arange(len(flows), dtype=float))
    total = np.cumsum(worth)
    reached = np.flatnonzero(total >= -1e-12 * np.abs(worth).sum())  # the sum's own rounding
    if len(reached) == 0:
        return None
    year = int(reached[0])
    if year == 0:
        return 0.0
    before = total[year - 1]
    return float(year - 1 - before / (total[year] - before))
