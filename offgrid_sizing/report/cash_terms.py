"""What a person may change in the costs sheet, besides the boxes themselves."""

from __future__ import annotations

from dataclasses import dataclass, replace

from offgrid_sizing.economics.costs import Box
from offgrid_sizing.economics.flows import Instead
from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.sketch import Generator, Sketch
from offgrid_sizing.words import sentence, treated


@dataclass(frozen=True)
class Term:
    """A yellow cell of the costs sheet: its key and its value."""

    key: str
    value: float

    @property
    def words(self) -> str:
        """What the cell is called."""
        return sentence(f"workbook.term_{self.key}")


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
    worth = (
        ("labour", prices.installation_frac),
        ("horizon", prices.horizon_y),
        ("rate", prices.discount_rate_frac),
        ("rise", prices.energy_escalation_frac),
        ("served", yearly.load_served_kwh),
        ("grid_kwh", yearly.grid_kwh),
        ("grid_price", _mean_price(yearly.grid_cost, yearly.grid_kwh)),
        ("fixed", fixed),
        ("export_kwh", yearly.export_kwh),
        ("export_price", _mean_price(yearly.export_income, yearly.export_kwh)),
        ("fuel_l", yearly.fuel_l if own else 0.0),
        ("fuel_price", generator.fuel_price_per_l),
        ("hours", yearly.generator_h if own else 0.0),
        ("interval", generator.service_interval_h),
        ("service_each", generator.service_cost),
        ("service", prices.service_per_year),
        ("unserved_kwh", yearly.unserved_kwh),
        ("unserved_price", prices.unserved_per_kwh),
        ("other_kwh", other.grid_kwh),
        ("other_price", _mean_price(other.grid_cost, other.grid_kwh)),
        ("other_fixed", tariff.fixed_per_month * on_grid),
        ("other_fuel", other.fuel_l),
        ("other_hours", other.running_h),
        ("other_unserved", other.unserved_kwh),
    )
    return tuple(Term(key, value) for key, value in worth)


def boxes_instead(life: LifeCycle) -> tuple[Box, ...]:
    """The boxes of the alternative, named as such; none where nothing is compared."""
    other = life.alternative
    if other is None:
        return ()
    return tuple(
        replace(box, words=sentence("workbook.instead_box", box=treated(box.words, _small)))
        for box in other.boxes
    )


def _small(words: str) -> str:
    return words[0].lower() + words[1:]


def quoted(words: str) -> str:
    """A text as it stands in a formula."""
    doubled = words.replace('"', '""')
    return f'"{doubled}"'
