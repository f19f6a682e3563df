"""What moves the money: one bar for each assumption, low and high, everything else held."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from offgrid_sizing.ageing import Ageing, bank_ageing, bank_temperature_c
from offgrid_sizing.economics.flows import Instead, YearlyFlows, yearly_flows
from offgrid_sizing.economics.lifecycle import LifeCycle, life_cycle
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Sentence, sentence

Rerun = Callable[[float, float], tuple[YearlyFlows, Ageing | None]]


@dataclass(frozen=True)
class Bar:
    """One assumption moved down and up, and what that does to cost and saving.

    `low` and `high` are equivalent annual costs, `low_saving` and `high_saving` net present
    savings against what the system is compared with under those assumptions; None where that is
    nothing.
    """

    words: str
    low_words: str
    high_words: str
    low: float
    high: float
    low_saving: float | None
    high_saving: float | None

    @property
    def width(self) -> float:
        """How far this assumption moves the yearly cost."""
        return abs(self.high - self.low)


def with_prices(sketch: Sketch, **changes) -> Sketch:
    """The sketch with some of its prices changed; a swing may pass the limits of a sketch."""
    return sketch.model_copy(update={"prices": sketch.prices.model_copy(update=changes)})


def with_energy_price(
    sketch: Sketch, yearly: YearlyFlows, factor: float
) -> tuple[Sketch, YearlyFlows]:
    """Grid and fuel made dearer or cheaper, for the system and for its alternatives alike."""
    generator = sketch.generator
    if generator is not None:
        dearer = generator.fuel_price_per_l * factor
        generator = generator.model_copy(update={"fuel_price_per_l": dearer})

    def scaled(instead: Instead) -> Instead:
        return replace(
            instead, grid_cost=instead.grid_cost * factor, fuel_cost=instead.fuel_cost * factor
        )

    return sketch.model_copy(update={"generator": generator}), replace(
        yearly,
        grid_cost=yearly.grid_cost * factor,
        export_income=yearly.export_income * factor,
        instead=tuple(scaled(one) for one in yearly.instead),
    )


def _rate_words(rate: float) -> Sentence:
    return sentence("lifecycle.rate", rate=100 * rate)


def _life_words(years: float) -> Sentence:
    return sentence("lifecycle.life", years=years)


def _bar(key: str, labels: tuple[str, str], low: LifeCycle, high: LifeCycle) -> Bar:
    return Bar(
        sentence(f"money.move.{key}"),
        *labels,
        low.equivalent_annual,
        high.equivalent_annual,
        low.net_saving,
        high.net_saving,
    )


def _price_bars(sketch, system, yearly, ageing, swing: float):
    def priced(**changes) -> LifeCycle:
        return life_cycle(with_prices(sketch, **changes), system, yearly, ageing)

    def energy(factor: float) -> LifeCycle:
        dearer, flows = with_energy_price(sketch, yearly, factor)
        return life_cycle(dearer, system, flows, ageing)

    prices = sketch.prices
    percent = (f"−{100 * swing:.0f} %", f"+{100 * swing:.0f} %")
    bank = prices.battery_unit_each
    rate = prices.discount_rate_frac
    rates = (max(rate - 0.02, 0.0), min(rate + 0.02, 0.99))
    yield _bar(
        "bank_price",
        percent,
        priced(battery_unit_each=bank * (1 - swing)),
        priced(battery_unit_each=bank * (1 + swing)),
    )
    yield _bar("energy_price", percent, energy(1 - swing), energy(1 + swing))
    yield _bar(
        "rate",
        (_rate_words(rates[0]), _rate_words(rates[1])),
        *(priced(discount_rate_frac=value) for value in rates),
    )


def _life_bar(sketch, system, yearly, ageing: Ageing, swing: float) -> Bar:
    def lasting(factor: float) -> LifeCycle:
        return life_cycle(sketch, system, yearly, replace(ageing, life_y=ageing.life_y * factor))

    labels = (_life_words(ageing.life_y * (1 - swing)), _life_words(ageing.life_y * (1 + swing)))
    return _bar("bank_life", labels, lasting(1 - swing), lasting(1 + swing))


def sensitivity(
    sketch: Sketch,
    system: System,
    yearly: YearlyFlows,
    ageing: Ageing | None = None,
    *,
    rerun: Rerun | None = None,
    swing: float = 0.2,
    load_swing: float = 0.1,
    sun_swing: float = 0.1,
) -> tuple[Bar, ...]:
    """Bars for prices, rate, bank life and (with `rerun`) load and sun, the widest first.

    Parameters
    ----------
    rerun : callable, optional
        `rerun(load_factor, sun_factor)` simulates anew and returns yearly flows and ageing;
        `rerun_with` makes one from a simulation. Without it load and sun are left out.
    swing, load_swing, sun_swing : float
        How far prices and life, load, and sun are moved.
    """
    bars = list(_price_bars(sketch, system, yearly, ageing, swing))
    if ageing is not None and system.units:
        bars.append(_life_bar(sketch, system, yearly, ageing, swing))
    if rerun is not None:
        for key, size, factors in (
            ("load", load_swing, lambda change: (1 + change, 1.0)),
            ("sun", sun_swing, lambda change: (1.0, 1 + change)),
        ):
            low, high = (
                life_cycle(sketch, system, *rerun(*factors(change))) for change in (-size, size)
            )
            labels = (f"−{100 * size:.0f} %", f"+{100 * size:.0f} %")
            bars.append(_bar(key, labels, low, high))
    return tuple(sorted(bars, key=lambda bar: -bar.width))


def rerun_with(simulation) -> Rerun:
    """A rerun of this simulation, and of what there could be instead, with loads and array output
    scaled; peaks and so the boxes stay as they are."""
    from offgrid_sizing.economics.instead import instead_of
    from offgrid_sizing.simulation import simulate

    def rerun(load_factor: float, sun_factor: float):
        inputs = simulation.inputs
        loads = replace(
            inputs.loads,
            load_w=inputs.loads.load_w * load_factor,
            critical_w=inputs.loads.critical_w * load_factor,
            deferrable=tuple(
                replace(wait, daily_wh=wait.daily_wh * load_factor)
                for wait in inputs.loads.deferrable
            ),
        )
        output = replace(inputs.output, module_w=inputs.output.module_w * sun_factor)
        inputs = replace(inputs, loads=loads, output=output)
        year, draw = simulation.year, simulation.draw
        again = simulate(simulation.sketch, simulation.system, inputs=inputs, year=year, draw=draw)
        instead = instead_of(simulation.sketch, inputs, year=year, draw=draw)
        soc, step_h = again.trace.columns["soc_frac"], again.trace.step_h
        wear = bank_ageing(again.sketch, soc, step_h, bank_temperature_c(again))
        return yearly_flows(again, instead), wear

    return rerun
