"""What a person may change in the costs sheet, besides the boxes themselves."""

from __future__ import annotations

from dataclasses import dataclass, replace

from offgrid_sizing.economics.costs import Box
from offgrid_sizing.economics.flows import Instead
from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.sketch import Generator, Sketch


@dataclass(frozen=True)
class Term:
    """A yellow cell of the costs sheet: its key, its words and its value."""

    key: str
    words: str
    value: float


def _mean_price(cost: float, kwh: float) -> float:
    return cost / kwh if kwh > 0 else 0.0


def terms_of(sketch: Sketch, life: LifeCycle) -> tuple[Term, ...]:
    """Everything besides the boxes that a person may change."""
    prices, tariff, yearly = sketch.prices, sketch.grid.tariff, life.yearly
    generator = sketch.generator or Generator()
    other = life.alternative.year if life.alternative else Instead("none")
    on_grid = other.kind.startswith("grid")
    fixed = tariff.fixed_per_month if sketch.grid.kind != "none" else 0.0
    own = sketch.generator is not None
    return (
        Term("labour", "Installation, share of the boxes' price", prices.installation_frac),
        Term("horizon", "Horizon, years (at most 60)", prices.horizon_y),
        Term("rate", "Real discount rate a year", prices.discount_rate_frac),
        Term("rise", "Real rise of energy prices a year", prices.energy_escalation_frac),
        Term("served", "Energy served, kWh a year", yearly.load_served_kwh),
        Term("grid_kwh", "Grid energy, kWh a year", yearly.grid_kwh),
        Term("grid_price", "Mean price of it, per kWh",
             _mean_price(yearly.grid_cost, yearly.grid_kwh)),
        Term("fixed", "Grid, fixed charge a month", fixed),
        Term("export_kwh", "Exported energy, kWh a year", yearly.export_kwh),
        Term("export_price", "Paid for it, per kWh",
             _mean_price(yearly.export_income, yearly.export_kwh)),
        Term("fuel_l", "Fuel, litres a year", yearly.fuel_l if own else 0.0),
        Term("fuel_price", "Fuel, per litre", generator.fuel_price_per_l),
        Term("hours", "Generator running, h a year", yearly.generator_h if own else 0.0),
        Term("interval", "Hours between generator services", generator.service_interval_h),
        Term("service_each", "One generator service", generator.service_cost),
        Term("service", "Service of the system, a year", prices.service_per_year),
        Term("unserved_kwh", "Unserved energy, kWh a year", yearly.unserved_kwh),
        Term("unserved_price", "What an unserved kWh costs you", prices.unserved_per_kwh),
        Term("other_kwh", "Instead: grid energy, kWh a year", other.grid_kwh),
        Term("other_price", "Instead: mean price of it, per kWh",
             _mean_price(other.grid_cost, other.grid_kwh)),
        Term("other_fixed", "Instead: fixed charge a month", tariff.fixed_per_month * on_grid),
        Term("other_fuel", "Instead: fuel, litres a year", other.fuel_l),
        Term("other_hours", "Instead: generator running, h a year", other.running_h),
        Term("other_unserved", "Instead: unserved, kWh a year", other.unserved_kwh),
    )  # fmt: skip


def boxes_instead(life: LifeCycle) -> tuple[Box, ...]:
    """The boxes of the alternative, named as such; none where nothing is compared."""
    other = life.alternative
    if other is None:
        return ()
    return tuple(replace(box, words=f"Instead: {_small(box.words)}") for box in other.boxes)


def _small(words: str) -> str:
    return words[0].lower() + words[1:]
