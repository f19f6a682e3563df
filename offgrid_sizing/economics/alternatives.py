"""What a home could have instead of this system, priced, and which of it is compared with."""

from dataclasses import dataclass, field

import numpy as np

from offgrid_sizing.economics import factors
from offgrid_sizing.economics.cashflows import (
    CashFlows,
    box_flows,
    every_year,
    generator_service,
    rising_prices,
)
from offgrid_sizing.economics.costs import Box, bought
from offgrid_sizing.economics.flows import Instead, YearlyFlows
from offgrid_sizing.sketch import Generator, Prices, Sketch
from offgrid_sizing.units import power, whole
from offgrid_sizing.words import Figure, capital, sentence

EXTENSION_LIFE_Y = 40.0  # common practice, no source
_WITHIN = 1e-9


@dataclass(frozen=True, eq=False)
class Alternative:
    """One way to feed the home without the system: its year, its boxes and its costs.

    Parameters
    ----------
    year : Instead
        Energies, hours and counts of a year.
    first : float
        To buy and install. [currency]
    equivalent_annual : float
        All costs over the horizon as equal yearly amounts.
    realistic : bool
        It serves the home within the sketch's unserved share, or as well as the system does, or
        what it leaves unserved has a price and is among its costs.
    why_not : str
        "unserved" or "unvalued" (no supply, and an unserved kWh costs nothing); "" if realistic.
    """

    year: Instead
    boxes: tuple[Box, ...]
    flows: CashFlows
    first: float
    present: float
    equivalent_annual: float
    co2_kg_per_year: float
    realistic: bool
    why_not: str

    @property
    def kind(self) -> str:
        """Which way it is."""
        return self.year.kind

    @property
    def unserved_kwh(self) -> float:
        """What it leaves unserved in a year."""
        return self.year.unserved_kwh

    @property
    def words(self) -> str:
        """What it is, with its counts and hours."""
        return words_of(self.year)

    @property
    def why_words(self) -> str:
        """Why it is not realistic; empty where it is."""
        if not self.why_not:
            return ""
        unserved = Figure(whole, self.unserved_kwh)
        return sentence(f"alternatives.why_not.{self.why_not}", unserved=unserved)


@dataclass(frozen=True, eq=False)
class Compared:
    """All alternatives of a home side by side, and the one its money is compared with.

    `asked` is the kind the sketch names, or "auto"; `chosen` is None where nothing is realistic or
    what was asked for is not there.
    """

    asked: str = "auto"
    offered: tuple[Alternative, ...] = ()
    chosen: Alternative | None = None
    assumptions: tuple[str, ...] = field(default=())

    @property
    def words(self) -> str:
        """What the system is compared with and why, or that there is nothing."""
        if self.chosen is None:
            none = "none" if self.asked == "auto" else "missing"
            return sentence(f"alternatives.compared.{none}")
        if self.asked == "auto":
            return sentence("alternatives.compared.auto", what=self.chosen.words)
        return self.chosen.words


def words_of(year: Instead) -> str:
    """What an alternative is, with its counts and hours."""
    return sentence(
        f"alternatives.{year.kind}",
        power=Figure(power, year.rated_w),
        hours=Figure(whole, year.running_h),
        units=year.units,
        metres=Figure(whole, year.extension_m),
    )


def generator_price(sketch: Sketch, rated_w: float) -> float:
    """Price of a set of another rating: in proportion to power.

    `prices.generator_each` buys the sketch's set, or one of the usual rating where it has none.
    """
    usual = sketch.generator or Generator()
    return sketch.prices.generator_each * rated_w / usual.rated_w


def boxes_instead(sketch: Sketch, year: Instead) -> tuple[Box, ...]:
    """All that is bought for an alternative."""
    prices, usual = sketch.prices, sketch.generator or Generator()
    boxes = []
    if year.rated_w > 0:
        worn = usual.life_h / year.running_h if year.running_h > 0 else np.inf
        life = min(prices.generator_life_y, worn)
        price = generator_price(sketch, year.rated_w)
        boxes.append(bought("generator", 1, price, life))
    if year.units > 0:
        change = prices.battery_price_change_frac
        each, life = prices.battery_unit_each, year.bank_life_y
        wires_last_y = max(float(prices.horizon_y), prices.module_life_y)
        boxes += [
            bought("bank", year.units, each, life, price_change_frac=change),
            bought("inverters", year.inverters, prices.inverter_each, prices.inverter_life_y),
            bought("wiring", 1, prices.wiring_and_protection, wires_last_y),
        ]
    if year.extension_m > 0:
        price = prices.grid_extension_per_m
        boxes.append(bought("extension", year.extension_m, price, EXTENSION_LIFE_Y, labour=False))
    return tuple(boxes)


def priced_instead(sketch: Sketch, year: Instead, yearly: YearlyFlows) -> Alternative:
    """Costs of one alternative, and whether it is one at all for this home."""
    prices, generator = sketch.prices, sketch.generator or Generator()
    boxes = boxes_instead(sketch, year)
    lines = box_flows(boxes, prices)
    rising, each_year = rising_prices(prices), every_year(prices)
    lines["grid_energy"] = year.grid_cost * rising
    if year.kind.startswith("grid"):
        lines["grid_fixed"] = 12 * sketch.grid.tariff.fixed_per_month * each_year
    lines["fuel"] = year.fuel_cost * rising
    lines["generator_service"] = generator_service(generator, year.running_h) * each_year
    lines["unserved"] = year.unserved_kwh * prices.unserved_per_kwh * each_year
    flows = CashFlows(lines)
    rate = prices.discount_rate_frac
    present = factors.net_present_value(rate, flows.total)
    why_not = _why_not(sketch, year, yearly)
    return Alternative(
        year=year,
        boxes=boxes,
        flows=flows,
        first=float(lines["purchase"][0] + lines["installation"][0]),
        present=present,
        equivalent_annual=factors.equivalent_annual(present, rate, prices.horizon_y),
        co2_kg_per_year=_co2_kg(prices, year),
        realistic=not why_not,
        why_not=why_not,
    )


def _co2_kg(prices: Prices, year: Instead) -> float:
    return year.grid_kwh * prices.grid_co2_kg_per_kwh + year.fuel_l * prices.fuel_co2_kg_per_l


def _why_not(sketch: Sketch, year: Instead, yearly: YearlyFlows) -> str:
    """Why nobody would live with it; empty where somebody would."""
    if sketch.prices.unserved_per_kwh > 0:
        return ""
    if year.kind == "nothing":
        return "unvalued"
    allowed = max(sketch.targets.max_unserved_frac * year.load_kwh, yearly.unserved_kwh)
    return "" if year.unserved_kwh <= allowed + _WITHIN * year.load_kwh else "unserved"


def compared(sketch: Sketch, yearly: YearlyFlows) -> Compared:
    """Price every alternative of the year and choose the one the system is compared with.

    Of each kind the cheapest realistic one is offered (of those tried: ratings and numbers of
    units); where none is realistic, the one that leaves least unserved. 'auto' is the cheapest of
    the realistic ones; a kind the sketch names is taken as it is.
    """
    best: dict[str, Alternative] = {}
    for year in yearly.instead:
        one = priced_instead(sketch, year, yearly)
        if one.kind not in best or _rank(one) < _rank(best[one.kind]):
            best[one.kind] = one
    offered, asked = tuple(best.values()), sketch.prices.alternative
    if asked == "auto":
        real = [one for one in offered if one.realistic]
        chosen = min(real, key=lambda one: one.present, default=None)
    else:
        chosen = best.get(asked)
    found = Compared(asked, offered, chosen)
    return Compared(asked, offered, chosen, _assumptions(found)) if offered else found


def _rank(one: Alternative) -> tuple[bool, float, float]:
    return not one.realistic, 0.0 if one.realistic else one.unserved_kwh, one.present


def _assumptions(found: Compared) -> tuple[str, ...]:
    if found.chosen:
        notes = [sentence("alternatives.assumed.compared", what=found.words)]
    else:
        notes = [sentence("alternatives.assumed.uncompared", why=capital(found.words))]
    years = [one.year for one in found.offered]
    if any(year.rated_w > 0 for year in years):
        notes.append(sentence("alternatives.assumed.generator"))
    if any(year.units > 0 for year in years):
        notes.append(sentence("alternatives.assumed.bank"))
    if any(year.extension_m > 0 for year in years):
        notes.append(sentence("alternatives.assumed.extension", years=EXTENSION_LIFE_Y))
    return tuple(notes)
