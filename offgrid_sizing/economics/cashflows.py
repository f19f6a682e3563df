"""Costs by kind and year, the shape that a system and whatever it is compared with share."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.economics import factors
from offgrid_sizing.economics.costs import Box, replacements_by_year, residual_frac
from offgrid_sizing.sketch import Generator, Prices

LINES = (
    "purchase",
    "installation",
    "replacements",
    "grid_energy",
    "grid_fixed",
    "export_income",
    "fuel",
    "generator_service",
    "service",
    "unserved",
    "residual",
)


@dataclass(frozen=True, eq=False)
class CashFlows:
    """Costs by kind and year, arrays of shape (horizon + 1,); income is negative."""

    lines: dict[str, np.ndarray]

    @property
    def total(self) -> np.ndarray:
        """All costs of each year."""
        return np.sum(list(self.lines.values()), axis=0)

    def present(self, rate: float) -> dict[str, float]:
        """Each kind's worth today."""
        return {
            name: factors.net_present_value(rate, values) for name, values in self.lines.items()
        }


def empty_lines(horizon_y: int) -> dict[str, np.ndarray]:
    """Every kind of cost, nothing in any year, arrays of shape (horizon + 1,)."""
    return {name: np.zeros(horizon_y + 1) for name in LINES}


def rising_prices(prices: Prices) -> np.ndarray:
    """Yearly energy price relative to today's; nothing in year 0."""
    rising = (1 + prices.energy_escalation_frac) ** np.arange(prices.horizon_y + 1, dtype=float)
    rising[0] = 0
    return rising


def box_flows(boxes: tuple[Box, ...], prices: Prices) -> dict[str, np.ndarray]:
    """Purchase, installation, replacements and residual of boxes by year."""
    horizon = prices.horizon_y
    lines = empty_lines(horizon)
    for box in boxes:
        labour = prices.installation_frac if box.labour else 0.0
        price = box.total * (1 + box.price_change_frac) ** np.arange(horizon + 1, dtype=float)
        lines["purchase"][0] += box.total
        lines["installation"][0] += box.total * labour
        times = replacements_by_year(box.life_y, horizon)
        lines["replacements"] += times * price * (1 + labour)
        lines["residual"][-1] -= price[-1] * float(residual_frac(box.life_y, horizon))
    return lines


def every_year(prices: Prices) -> np.ndarray:
    """1 in each year of the horizon, 0 in year 0, shape (horizon + 1,)."""
    flags = np.ones(prices.horizon_y + 1)
    flags[0] = 0
    return flags


def generator_service(generator: Generator, running_h: float) -> float:
    """Price of a year's services, by running hours."""
    return running_h / generator.service_interval_h * generator.service_cost
