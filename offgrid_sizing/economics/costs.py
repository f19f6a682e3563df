"""What the boxes cost to buy and to keep: replaced when worn, valued at the horizon's end."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import sentence

SAME_WITHIN = 1e-9


@dataclass(frozen=True)
class Box:
    """One kind of thing that is bought: how many, at what price, and how long it lasts.

    `labour` says whether the installation share is paid on it; `price_change_frac` is the real
    change of its price a year.
    """

    key: str
    words: str
    count: float
    each: float
    life_y: float
    labour: bool = True
    price_change_frac: float = 0.0

    @property
    def total(self) -> float:
        """Price of all of them today."""
        return self.count * self.each


def bought(
    key: str,
    count: float,
    each: float,
    life_y: float,
    *,
    labour: bool = True,
    price_change_frac: float = 0.0,
) -> Box:
    """A box with its name by its key; see `Box`."""
    return Box(key, sentence(f"money.box.{key}"), count, each, life_y, labour, price_change_frac)


@dataclass(frozen=True)
class FirstCost:
    """What is paid before the first day."""

    boxes: tuple[Box, ...]
    installation: float

    @property
    def purchase(self) -> float:
        """Price of all boxes."""
        return sum(box.total for box in self.boxes)

    @property
    def total(self) -> float:
        """Boxes and installation."""
        return self.purchase + self.installation


def generator_life_y(sketch: Sketch, running_h: float) -> float:
    """Years until a generator is worn out: by its hours or by the calendar, whichever is sooner."""
    prices, generator = sketch.prices, sketch.generator
    life_h = generator.life_h if generator else 10_000
    return min(prices.generator_life_y, life_h / running_h if running_h > 0 else np.inf)


def boxes_of(
    sketch: Sketch, system: System, *, bank_life_y: float | None = None, generator_h: float = 0.0
) -> tuple[Box, ...]:
    """All that is bought for a system. `bank_life_y` comes from ageing, else the calendar's."""
    prices, unit = sketch.prices, sketch.equipment.battery
    horizon = float(prices.horizon_y)
    life = bank_life_y or unit.calendar_life_y
    boxes = [
        bought("modules", system.modules, prices.module_each, prices.module_life_y),
        bought("mounting", system.modules, prices.mounting_per_module, prices.module_life_y),
        bought(
            "bank",
            system.units,
            prices.battery_unit_each,
            life,
            price_change_frac=prices.battery_price_change_frac,
        ),
        bought("inverters", system.inverters, prices.inverter_each, prices.inverter_life_y),
        bought("wiring", 1, prices.wiring_and_protection, max(horizon, prices.module_life_y)),
    ]
    if sketch.generator is not None:
        worn_y = generator_life_y(sketch, generator_h)
        boxes.append(bought("generator", 1, prices.generator_each, worn_y))
    return tuple(boxes)


def first_cost(sketch: Sketch, system: System) -> FirstCost:
    """Purchase and installation of a system at today's prices."""
    boxes = boxes_of(sketch, system)
    labour = sum(box.total for box in boxes if box.labour) * sketch.prices.installation_frac
    return FirstCost(boxes, labour)


def _whole_above(value):
    """Next whole number up; rounding in the last digits does not make another one of it."""
    return np.ceil(value - SAME_WITHIN)


def replacements_by_year(life_y, horizon_y: int) -> np.ndarray:
    """How often a thing of this life is bought anew in each year, shape (..., horizon + 1).

    It is replaced each time its life is over before the horizon ends, paid in the nearest year
    (never in year 0). In closed form, so that a workbook's cell can say the same.

    >>> np.flatnonzero(replacements_by_year(8.0, 20)).tolist()
    [8, 16]
    """
    life = np.asarray(life_y, dtype=float)[..., None]
    year = np.arange(horizon_y + 1)
    up_to = _whole_above(np.minimum(year + 0.5, horizon_y) / life)
    from_ = np.where(year <= 1, 1, _whole_above((year - 0.5) / life))
    return np.where(year == 0, 0, np.maximum(up_to - from_, 0))


def residual_frac(life_y, horizon_y: int) -> np.ndarray:
    """Share of its life left at the horizon in what was bought last (straight line, HB 135)."""
    span = horizon_y / np.asarray(life_y, dtype=float)
    return np.maximum(_whole_above(span) - span, 0)


def ownership_factor(
    life_y, horizon_y: int, rate: float, *, labour_frac: float = 0.0, price_change: float = 0.0
) -> np.ndarray:
    """Present cost of owning, per unit of today's price: bought, replaced, valued at the end.

    Parameters
    ----------
    life_y : float or array
        [years]
    labour_frac : float
        Labour paid on top each time, with no value left at the end.
    price_change : float
        Real change of the price a year.

    Returns
    -------
    float64 array, shape of `life_y`
    """
    year = np.arange(horizon_y + 1)
    worth = ((1 + price_change) / (1 + rate)) ** year
    bought = replacements_by_year(life_y, horizon_y) @ worth
    return (1 + bought) * (1 + labour_frac) - residual_frac(life_y, horizon_y) * worth[-1]
