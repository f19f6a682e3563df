"""Whether a system reaches what is asked, over all weather years, and what its energy costs."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import LaneSums
from offgrid_sizing.sketch import Sketch


@dataclass(frozen=True, eq=False)
class Judged:
    """What decides about each system, arrays of shape (D,).

    Parameters
    ----------
    unserved_frac, unserved_h : of the judged year (median, or the bad year)
    energy_cost : mean of the years [money / year]
    met : bool
    """

    unserved_frac: np.ndarray
    unserved_h: np.ndarray
    energy_cost: np.ndarray
    met: np.ndarray


def judged_year(values, sketch: Sketch):
    """Over the first axis: the median year, or the year only 1 in N are worse than.

    With N years the bad year is the smallest of the values that at most `bad_year_frac` of the
    years exceed, so it errs towards the worse one.
    """
    if sketch.targets.judge == "median":
        return np.median(values, axis=0)
    return bad_year(values, sketch.targets.bad_year_frac)


def bad_year(values, bad_year_frac: float):
    """The value that at most this share of the years exceeds, over the first axis."""
    return np.quantile(values, 1 - bad_year_frac, axis=0, method="higher")


def standing_year(shares, sketch: Sketch) -> int:
    """Which year stands for the target: the median one by unserved share, or the bad one.

    Of an even number of years the median lies between two; the one with less unserved stands.
    """
    order = np.argsort(shares, kind="stable")
    if sketch.targets.judge == "median":
        place = (len(order) - 1) // 2
    else:
        place = int(np.floor((1 - sketch.targets.bad_year_frac) * (len(order) - 1)))
    return int(order[place])


def yearly_energy_cost(sketch: Sketch, sums: LaneSums) -> np.ndarray:
    """Grid energy, fuel, generator service and unserved energy less export, (series, designs).

    Fixed charges of the grid are the same for all systems and left out.
    """
    tariff, generator = sketch.grid.tariff, sketch.generator
    cost = sums.import_cost - sums.exported_wh / 1000 * tariff.export_price_per_kwh
    cost = cost + sums.unserved_wh / 1000 * sketch.prices.unserved_per_kwh
    if generator is None:
        return cost
    litres = (
        generator.fuel_per_energy_l_per_kwh * sums.generator_wh / 1000
        + generator.fuel_idle_l_per_h_kw * generator.rated_w / 1000 * sums.generator_h
    )
    service = sums.generator_h / generator.service_interval_h * generator.service_cost
    return cost + litres * generator.fuel_price_per_l + service


def judge(sketch: Sketch, sums: LaneSums) -> Judged:
    """Hold the totals of all years against the sketch's targets."""
    targets = sketch.targets
    share = judged_year(sums.unserved_frac, sketch)
    hours = judged_year(sums.unserved_h, sketch)
    met = share <= targets.max_unserved_frac
    if targets.max_loss_of_load_h is not None:
        met = met & (hours <= targets.max_loss_of_load_h)
    return Judged(share, hours, yearly_energy_cost(sketch, sums).mean(axis=0), met)
