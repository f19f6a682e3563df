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


def single_present_value(rate: float, years: float) -> float:
    """Worth today of 1 paid after `years` (SPV factor).

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


def escalating_present_value(
    first_year: float, rate: float, years: int, escalation: float
) -> float:
    """Worth today of payments that start at `first_year` and then rise by `escalation` a year.

    >>> round(escalating_present_value(2800, 0.10, 15, 0.20))
    75273
    """
    return first_year * modified_uniform_present_value(rate, years, escalation) / (1 + escalation)


def gradient_present_value(first: float, gradient: float, rate: float, years: int) -> float:
    """Worth today of payments first, first + gradient, first + 2 gradient, ...

    >>> round(gradient_present_value(10, 1, 0.12, 5), 2)
    42.44
    """
    if rate == 0:
        return first * years + gradient * years * (years - 1) / 2
    uniform = uniform_present_value(rate, years)
    last = years * single_present_value(rate, years)
    return first * uniform + gradient * (uniform - last) / rate


def future_value(present: float, rate: float, years: float) -> float:
    """What `present` grows to."""
    return present / single_present_value(rate, years)


def present_value(future: float, rate: float, years: float) -> float:
    """What a future amount is worth today."""
    return future * single_present_value(rate, years)


def annuity_future_value(annual: float, rate: float, years: float) -> float:
    """What equal yearly payments have grown to after the last one."""
    return annual * uniform_present_value(rate, years) / single_present_value(rate, years)


def annuity_present_value(annual: float, rate: float, years: float) -> float:
    """What equal yearly payments are worth today."""
    return annual * uniform_present_value(rate, years)


def sinking_fund(future: float, rate: float, years: float) -> float:
    """Equal yearly payment that grows to `future`."""
    return future / annuity_future_value(1.0, rate, years)


def capital_recovery(rate: float, years: float) -> float:
    """Equal yearly payment that repays 1 borrowed today (CRF, the inverse of UPV).

    >>> round(capital_recovery(0.07, 20), 6)
    0.094393
    """
    return 1 / uniform_present_value(rate, years)


def years_to_multiply(ratio: float, rate: float) -> float:
    """Years until money has grown by `ratio`.

    Raises
    ------
    ValueError
        When it never does: `rate` not above 0 while `ratio` exceeds 1.
    """
    if ratio <= 0 or (rate <= 0 and ratio != 1):
        raise ValueError(f"money at rate {rate:g} never multiplies by {ratio:g}")
    return math.log(ratio) / math.log1p(rate) if ratio != 1 else 0.0


def net_present_value(rate: float, flows: Sequence[float] | np.ndarray) -> float:
    """Worth today of flows at years 0, 1, 2, ... (the first is not discounted)."""
    flows = np.asarray(flows, dtype=float)
    return float(flows @ (1 + rate) ** -np.arange(len(flows), dtype=float))


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


def simple_payback(first_cost: float, yearly_saving: float) -> float | None:
    """Years until undiscounted savings repay `first_cost`; None when they never do."""
    if first_cost <= 0:
        return 0.0
    return first_cost / yearly_saving if yearly_saving > 0 else None


def discounted_payback(rate: float, flows: Sequence[float] | np.ndarray) -> float | None:
    """Years until the discounted net flows have first repaid the outlay, linear within the year.

    `flows` are savings minus costs at years 0, 1, 2, ...; None when the sum never reaches zero.
    """
    flows = np.asarray(flows, dtype=float)
    total = np.cumsum(flows * (1 + rate) ** -np.arange(len(flows), dtype=float))
    reached = np.flatnonzero(total >= 0)
    if len(reached) == 0:
        return None
    year = int(reached[0])
    if year == 0:
        return 0.0
    before = total[year - 1]
    return float(year - 1 - before / (total[year] - before))
