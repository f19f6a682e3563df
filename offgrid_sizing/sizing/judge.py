"""Which of many years stands for a system, and whether that year reaches what is asked.

Years are put in order from the best to the worst, and the one at the asked place stands with all
its figures: energy, share, hours and money always come from one and the same real year.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from offgrid_sizing.dispatch import LaneSums
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import sentence

if TYPE_CHECKING:
    from offgrid_sizing.weather.series import Weather

LEAST_FUTURES = 5  # weather years × draws of cuts, where the grid fails at random
_ROUND_FRAC, _ROUND_KWH = 9, 3  # what lies closer is one and the same: lanes and trace must agree
_WITHIN = 1e-9


def years_and_draws(sketch: Sketch, weather_years: int) -> tuple[tuple[int, int], ...]:
    """Every (weather year, draw of random cuts) a system is judged by, in this order.

    Each weather year has cuts of its own; few years get several draws each, so that there are at
    least five futures. Without random cuts there is one draw.
    """
    random = sketch.grid.kind in ("failing", "scheduled_and_failing")
    draws = ceil(LEAST_FUTURES / weather_years) if random else 1
    return tuple((year, draw) for year in range(weather_years) for draw in range(draws))


def year_order(unserved_frac, unserved_h, bought_kwh) -> np.ndarray:
    """Rows of the years from the best to the worst, along the first axis.

    Worse is more of the load unserved (as a share), then more hours, then more energy bought from
    grid and generator; equal ones stay as they come.
    """
    frac = np.round(unserved_frac, _ROUND_FRAC)
    return np.lexsort((np.round(bought_kwh, _ROUND_KWH), unserved_h, frac), axis=0)


def median_place(count: int) -> int:
    """Place of the median in the order; of an even number the worse of the two in the middle.

    >>> median_place(1), median_place(4), median_place(5)
    (0, 2, 2)
    """
    return count // 2


def bad_place(count: int, bad_year_frac: float) -> int:
    """Place of the year that at most this share of the years is worse than.

    >>> bad_place(20, 0.1), bad_place(10, 0.1), bad_place(20, 0.0), bad_place(1, 0.1)
    (18, 9, 19, 0)
    """
    return ceil((1 - bad_year_frac) * (count - 1) - _WITHIN)


def judged_place(sketch: Sketch, count: int) -> int:
    """Place of the year by which the sketch wants to be judged: median, or bad."""
    if sketch.targets.judge == "median":
        return median_place(count)
    return bad_place(count, sketch.targets.bad_year_frac)


def within_share(sketch: Sketch, unserved_frac):
    """Whether a year's unserved share is within the target."""
    return np.asarray(unserved_frac) <= sketch.targets.max_unserved_frac + _WITHIN


def within_hours(sketch: Sketch, unserved_h):
    """Whether a year's unserved hours are within the target, where one is set."""
    limit_h = sketch.targets.max_loss_of_load_h
    return np.asarray(unserved_h) <= (np.inf if limit_h is None else limit_h + _WITHIN)


def bad_year_words(bad_year_frac: float) -> str:
    """How bad the bad year is, e.g. "1-in-10 bad year"."""
    if bad_year_frac <= 0:
        return sentence("search.worst_year")
    return sentence("search.bad_year", one_in=_one_in(bad_year_frac))


def year_words(sketch: Sketch, weather: Weather) -> str:
    """The judged year in words; one weather year alone is neither median nor bad."""
    if weather.years == 1:
        return one_year_words(weather)
    if sketch.targets.judge == "median":
        return sentence("year.which.median")
    return which_bad_words(sketch.targets.bad_year_frac)


def which_bad_words(bad_year_frac: float) -> str:
    """The bad year as one of many, e.g. "the 1-in-10 bad year"."""
    if bad_year_frac <= 0:
        return sentence("year.which.worst")
    return sentence("year.which.bad", one_in=_one_in(bad_year_frac))


def _one_in(bad_year_frac: float) -> float:
    return float(f"{1 / bad_year_frac:.3g}")


def one_year_words(weather: Weather) -> str:
    """What a single weather year is called."""
    alone = "typical" if weather.year_names[0] == "typical" else "one"
    return sentence(f"year.which.{alone}")


@dataclass(frozen=True, eq=False)
class JudgedYears:
    """The judged year's totals of each system, arrays of shape (D,).

    Parameters
    ----------
    row : int array
        Which of the years and draws stands.
    unserved_frac, unserved_h, unserved_kwh : float64 arrays
    import_cost : grid energy × its price
    exported_kwh, generator_kwh, generator_h, bank_out_kwh : float64 arrays
    """

    row: np.ndarray
    unserved_frac: np.ndarray
    unserved_h: np.ndarray
    unserved_kwh: np.ndarray
    import_cost: np.ndarray
    exported_kwh: np.ndarray
    generator_kwh: np.ndarray
    generator_h: np.ndarray
    bank_out_kwh: np.ndarray

    def joined(self, other: JudgedYears) -> JudgedYears:
        """Both, the other's systems last."""
        return JudgedYears(
            *(
                np.concatenate([getattr(self, one.name), getattr(other, one.name)])
                for one in fields(self)
            )
        )


def judge(sketch: Sketch, sums: LaneSums) -> JudgedYears:
    """The judged year of every system, from the totals of all years and draws."""
    order = year_order(
        sums.unserved_frac, sums.unserved_h, (sums.import_wh + sums.generator_wh) / 1000
    )
    row = order[judged_place(sketch, len(order))]

    def of(values):
        return np.take_along_axis(values, row[None], axis=0)[0]

    return JudgedYears(
        row=row,
        unserved_frac=of(sums.unserved_frac),
        unserved_h=of(sums.unserved_h),
        unserved_kwh=of(sums.unserved_wh) / 1000,
        import_cost=of(sums.import_cost),
        exported_kwh=of(sums.exported_wh) / 1000,
        generator_kwh=of(sums.generator_wh) / 1000,
        generator_h=of(sums.generator_h),
        bank_out_kwh=of(sums.bank_out_wh) / 1000,
    )
