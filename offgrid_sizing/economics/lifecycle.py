"""Life-cycle cost of a system, and what it saves against doing without it.

Method: NIST Handbook 135 / ASTM E917 in constant money: every cost is set in its year, discounted
at the real rate and added; energy prices escalate from today's; what lasts beyond the horizon
keeps a straight-line residual value.
"""

from dataclasses import dataclass, replace

import numpy as np

from offgrid_sizing.ageing import Ageing
from offgrid_sizing.economics import factors
from offgrid_sizing.economics.alternatives import Alternative, Compared, compared
from offgrid_sizing.economics.cashflows import (
    CashFlows,
    box_flows,
    every_year,
    generator_service,
    rising_prices,
)
from offgrid_sizing.economics.costs import Box, FirstCost, boxes_of, first_cost
from offgrid_sizing.economics.flows import YearlyFlows
from offgrid_sizing.sketch import Prices, Sketch
from offgrid_sizing.system import System
from offgrid_sizing.units import whole
from offgrid_sizing.words import Figure, sentence


@dataclass(frozen=True, eq=False)
class LifeCycle:
    """Money of a system over its horizon, at today's prices, in the sketch's currency.

    `net_saving` is the net present value against the alternative; the paybacks are None where the
    savings never repay the outlay within the horizon; `lcoe_per_kwh` is None where nothing is
    served. CO₂ counts running energy only, not what making the boxes took. `unlike` says where
    system and alternative do not serve the home alike, so that their costs cannot be compared.
    Where there is nothing to compare with, `alternative` is None and so is every figure that
    rests on it: no saving is claimed.
    """

    currency: str
    horizon_y: int
    rate: float
    first: FirstCost
    boxes: tuple[Box, ...]
    yearly: YearlyFlows
    flows: CashFlows
    present: float
    equivalent_annual: float
    lcoe_per_kwh: float | None
    compared: Compared
    net_saving: float | None
    simple_payback_y: float | None
    discounted_payback_y: float | None
    co2_kg_per_year: float
    co2_avoided_kg_per_year: float | None
    assumptions: tuple[str, ...]
    unlike: tuple[str, ...] = ()

    @property
    def present_by_line(self) -> dict[str, float]:
        """Each kind of cost's worth today."""
        return self.flows.present(self.rate)

    @property
    def alternative(self) -> Alternative | None:
        """What the system is compared with."""
        return self.compared.chosen

    @property
    def alternatives(self) -> tuple[Alternative, ...]:
        """All that was offered, the cheapest of each kind."""
        return self.compared.offered

    @property
    def savings(self) -> np.ndarray | None:
        """Alternative's costs less the system's, year by year; None where nothing is compared."""
        other = self.alternative
        return None if other is None else other.flows.total - self.flows.total


def system_flows(
    sketch: Sketch, system: System, yearly: YearlyFlows, boxes: tuple[Box, ...]
) -> CashFlows:
    """All costs of the system by kind and year."""
    prices, generator = sketch.prices, sketch.generator
    lines = box_flows(boxes, prices)
    rising, each_year = rising_prices(prices), every_year(prices)
    lines["grid_energy"] = yearly.grid_cost * rising
    lines["export_income"] = -yearly.export_income * rising
    if sketch.grid.kind != "none":
        lines["grid_fixed"] = 12 * sketch.grid.tariff.fixed_per_month * each_year
    if generator is not None:
        lines["fuel"] = yearly.fuel_l * generator.fuel_price_per_l * rising
        lines["generator_service"] = generator_service(generator, yearly.generator_h) * each_year
    lines["service"] = prices.service_per_year * each_year
    lines["unserved"] = yearly.unserved_kwh * prices.unserved_per_kwh * each_year
    return CashFlows(lines)


def life_cycle(
    sketch: Sketch, system: System, yearly: YearlyFlows, ageing: Ageing | None = None
) -> LifeCycle:
    """Life-cycle cost of a system in a usual year repeated over the horizon.

    Parameters
    ----------
    yearly : YearlyFlows
        Of the simulated usual year.
    ageing : Ageing, optional
        Sets when the bank is replaced; its calendar life does where this is left out.

    Notes
    -----
    Paybacks are the years until the yearly savings, replacements on both sides counted, have first
    made up for the outlay: undiscounted (simple) and discounted. They leave the residual value out,
    so that a payback never rests on it.
    """
    prices = sketch.prices
    rate, horizon = prices.discount_rate_frac, prices.horizon_y
    bank_life = ageing.life_y if ageing is not None else None
    boxes = boxes_of(sketch, system, bank_life_y=bank_life, generator_h=yearly.generator_h)
    flows = system_flows(sketch, system, yearly, boxes)
    found = compared(sketch, yearly)
    other = found.chosen
    unlike = () if other is None else _not_alike(sketch, yearly, other)
    worth = factors.net_present_value(rate, flows.total)
    saving = None if other is None else _without_residual(other.flows) - _without_residual(flows)
    own_co2 = (
        yearly.grid_kwh * prices.grid_co2_kg_per_kwh + yearly.fuel_l * prices.fuel_co2_kg_per_l
    )
    return LifeCycle(
        currency=prices.currency,
        horizon_y=horizon,
        rate=rate,
        first=replace(first_cost(sketch, system), boxes=boxes),
        boxes=boxes,
        yearly=yearly,
        flows=flows,
        present=worth,
        equivalent_annual=factors.equivalent_annual(worth, rate, horizon),
        lcoe_per_kwh=factors.levelized_cost(worth, yearly.load_served_kwh, rate, horizon),
        compared=found,
        net_saving=None if other is None else other.present - worth,
        simple_payback_y=None if saving is None else factors.discounted_payback(0.0, saving),
        discounted_payback_y=None if saving is None else factors.discounted_payback(rate, saving),
        co2_kg_per_year=own_co2,
        co2_avoided_kg_per_year=None if other is None else other.co2_kg_per_year - own_co2,
        assumptions=_assumptions(sketch, ageing) + found.assumptions + unlike,
        unlike=unlike,
    )


def _without_residual(flows: CashFlows) -> np.ndarray:
    return flows.total - flows.lines["residual"]


def as_of_words(prices: Prices) -> str:
    """What the prices are dated by; the note they come with is said in the reader's language."""
    untouched = prices.as_of == Prices.model_fields["as_of"].default
    return sentence("lifecycle.as_of_untouched") if untouched else prices.as_of


def _co2_source_words(prices: Prices) -> str:
    untouched = prices.co2_source == Prices.model_fields["co2_source"].default
    return sentence("lifecycle.co2_source_untouched") if untouched else prices.co2_source


def _assumptions(sketch: Sketch, ageing: Ageing | None) -> tuple[str, ...]:
    prices = sketch.prices
    return (
        sentence(
            "lifecycle.prices",
            as_of=as_of_words(prices),
            rate=100 * prices.discount_rate_frac,
            years=prices.horizon_y,
        ),
        sentence(
            "lifecycle.rising",
            energy=100 * prices.energy_escalation_frac,
            bank=100 * prices.battery_price_change_frac,
        ),
        sentence("lifecycle.labour", share=100 * prices.installation_frac),
        sentence("lifecycle.bank_calendar" if ageing is None else "lifecycle.bank_counted"),
        sentence("lifecycle.alike"),
        sentence(
            "lifecycle.carbon",
            grid=prices.grid_co2_kg_per_kwh,
            fuel=prices.fuel_co2_kg_per_l,
            source=_co2_source_words(prices),
        ),
    )


def _not_alike(sketch: Sketch, yearly: YearlyFlows, other: Alternative) -> tuple[str, ...]:
    """A warning where one side is cheap only because it leaves the home in the dark.

    What the target allows to go unserved is no reason to warn of the system.
    """
    more = other.unserved_kwh - yearly.unserved_kwh
    if sketch.prices.unserved_per_kwh > 0:
        return ()
    values = {
        "own": Figure(whole, yearly.unserved_kwh),
        "other": Figure(whole, other.unserved_kwh),
    }
    if -more > max(sketch.targets.max_unserved_frac, 0.001) * yearly.load_kwh:
        load = Figure(whole, yearly.load_kwh)
        return (sentence("lifecycle.system_short", load=load, **values),)
    if more <= 0.001 * yearly.load_kwh:
        return ()
    return (sentence("lifecycle.other_short", **values),)
