"""What the year could have cost with perfect foresight: a bound no strategy can beat.

The same year, boxes and limits as a sparse linear program, solved by HiGHS. Where a
rule of the step is not convex it is relaxed, always to the side that makes the bound lower:

* the inverter's curve is replaced by its lower convex envelope up to what the step can ask for
  (exact for a constant efficiency, and where the inverter serves all of a load or nothing);
* a generator may run below its minimum load and its hourly fuel and service are spread over its
  rated output;
* a floor that moves with the bank's temperature is taken at its lowest (exact indoors);
* surplus energy may be thrown away anywhere.

Latches, hold levels and supply orders do not exist here: foresight needs none.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from offgrid_sizing.balance import design_params, dispatch_year, step_series
from offgrid_sizing.battery import bank_in
from offgrid_sizing.dispatch import SERIES, Params, Trace
from offgrid_sizing.foresight_rows import Ends, dc_input, envelope, year_program
from offgrid_sizing.linear import LIMIT_S, LinearProgram
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import System
from offgrid_sizing.words import Said, said, sentence

Objective = Literal["cost", "energy", "unserved"]

__all__ = [
    "Ends",
    "EnergyPrices",
    "Foresight",
    "NoForesight",
    "bound",
    "dc_input",
    "ends_of",
    "envelope",
    "foresight_cost",
    "generator_price",
]


class NoForesight(BadInput):
    """The least cost is not known; the sentence says why."""


@dataclass(frozen=True)
class EnergyPrices:
    """What the objective counts, money per kWh.

    Parameters
    ----------
    export : float
        Earned by an exported kWh.
    generator : float
        Least cost of a generated kWh: fuel line and service at rated output.
    unserved : float
        Charged for an unserved kWh.
    """

    export: float = 0.0
    generator: float = 0.0
    unserved: float = 0.0


@dataclass(frozen=True, eq=False)
class Foresight:
    """The least a year could have cost, or bought, or left unserved.

    Parameters
    ----------
    objective : str
        "cost", "energy" (bought from grid and generator) or "unserved".
    cost_per_year : float
        Grid energy and fixed charges, fuel and generator service less export income; comparable
        with `metrics.energy_cost`. Unserved energy is added where the sketch prices it.
    grid_kwh, generator_kwh, exported_kwh, unserved_kwh : float
    stored_wh : float64 array, shape (n,)
        Stored energy at the end of each step in one best plan; nan where none was needed. [Wh]
    relaxed : tuple of str
        What was relaxed; empty: the bound is exact.
    solver_tolerance : float
        Largest violation the solver accepts, relative.
    """

    objective: str
    cost_per_year: float
    grid_kwh: float
    generator_kwh: float
    exported_kwh: float
    unserved_kwh: float
    stored_wh: np.ndarray
    relaxed: tuple[str, ...]
    solver_tolerance: float = 1e-7

    @property
    def bought_kwh(self) -> float:
        """Energy bought from grid and generator."""
        return self.grid_kwh + self.generator_kwh


def ends_of(traces: Sequence[Trace], params: Params, series: np.ndarray) -> Ends:
    """Ends that leave every one of these traces possible."""
    h = traces[0].step_h
    standby = params.values.get("standby_w", 0.0) * len(series) * h
    return Ends(
        start_wh=max(trace.stored_wh_start for trace in traces),
        end_wh=min(float(trace["stored_wh"][-1]) for trace in traces),
        unserved_wh=max(float(trace["unserved_w"].sum()) * h for trace in traces),
        standby_missed_wh=max(
            max(standby - float(trace["standby_w"].sum()) * h, 0.0) for trace in traces
        ),
    )


def generator_price(sketch: Sketch) -> float:
    """Least cost of a generated kWh: fuel and service an hour, spread over the rated output."""
    generator = sketch.generator
    if generator is None:
        return 0.0
    litres = generator.fuel_per_energy_l_per_kwh + generator.fuel_idle_l_per_h_kw
    service = generator.service_cost / generator.service_interval_h / (generator.rated_w / 1000)
    return litres * generator.fuel_price_per_l + service


def foresight_cost(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    year: int = 0,
    draw: int = 0,
    traces: Sequence[Trace] = (),
    objective: Objective = "cost",
    ask: Callable[[], object] = lambda: None,
) -> Foresight:
    """The least yearly cost any strategy could reach with this system in this year.

    Parameters
    ----------
    traces : sequence of Trace
        Strategies to be compared with; the bound may leave as much unserved as the worst of them.
        By default the sketch's own.
    objective : str
        "cost", or "energy" for the least energy bought, or "unserved".
    ask : callable, optional
        Called ten times a second while it is solved; what it raises ends that at once.
    """
    power, _ = pv_power_w(sketch, inputs.output, system)
    weather = inputs.weather
    if not traces:
        traces = [
            dispatch_year(sketch, system, power[year], inputs.loads, weather, year, draw=draw)
        ]
    bank = bank_in(sketch, system, weather, year)
    params = design_params(sketch, system, bank, weather.step_h)
    schedule = schedule_of(sketch, weather.time, year, draw=draw)
    series = step_series(power[year], inputs.loads, year, bank, schedule)
    tariff = sketch.grid.tariff
    prices = EnergyPrices(
        tariff.export_price_per_kwh, generator_price(sketch), sketch.prices.unserved_per_kwh
    )
    ends = ends_of(traces, params, series)
    fixed = tariff.fixed_per_month * 12 * len(series) * weather.step_h / 8760
    least = bound(params, series, prices, ends, objective=objective, ask=ask)
    if sketch.grid.kind == "none":
        return least
    return Foresight(**{**vars(least), "cost_per_year": least.cost_per_year + fixed})


def bill_words(sketch: Sketch) -> Said:
    """What `Foresight.cost_per_year` counts for this sketch, as part of a sentence."""
    return said("foresight.bill_priced" if sketch.prices.unserved_per_kwh > 0 else "foresight.bill")


def _why_not(lp: LinearProgram, step_h: float) -> str:
    if not lp.late:
        return sentence("foresight.not_computed", message=lp.message.rstrip("."))
    key = "foresight.late_fine" if step_h < 1 else "foresight.late"
    return sentence(key, seconds=LIMIT_S)


def _relaxed(params: Params, series: np.ndarray, col, export_price: float) -> tuple[str, ...]:
    """What of this design and year the program cannot hold exactly."""
    v, found = params.values, []
    ac = np.linspace(0, v["rated_w"], 41)[1:]
    if np.ptp(dc_input(params, ac) / ac) > 1e-9:
        found.append(sentence("foresight.part_load"))
    if col("gen_allowed").any() and v.get("gen_w", 0.0) > 0:
        found.append(sentence("foresight.generator"))
    if v.get("may_export", 0.0) > 0 and export_price > float(col("tariff").min()):
        found.append(sentence("foresight.meter"))
    if v["full"] > 0 and np.ptp(col("floor")) > 1e-12:
        found.append(sentence("foresight.floor"))
    return tuple(found)


def bound(
    params: Params,
    series: np.ndarray,
    prices: EnergyPrices,
    ends: Ends,
    *,
    objective: Objective = "cost",
    ask: Callable[[], object] = lambda: None,
) -> Foresight:
    """Solve the linear program of one design and one series.

    Parameters
    ----------
    params, series : as in `dispatch.run`
    prices : EnergyPrices
        The tariff itself is in the series.
    ends : Ends
    objective : str
    ask : callable, optional
        As in `foresight_cost`.

    Notes
    -----
    With no other source than the array nothing can be bought: no strategy costs anything, and the
    answer is given without solving (unserved energy then as `ends` allows).

    Raises
    ------
    NoForesight
        When the solver finds no plan (it always should: the compared traces are plans), or none
        it has proven the cheapest in time.
    """
    v = params.values
    columns = {name: series[:, k] for k, name in enumerate(SERIES)}

    def col(name):
        return columns[name]

    bought = (col("grid_up") > 0).any() or (col("gen_allowed").any() and v.get("gen_w", 0.0) > 0)
    if not bought and objective != "unserved" and prices.unserved == 0:
        unserved = ends.unserved_wh / 1000
        nothing = np.full(len(series), np.nan)
        return Foresight(objective, 0.0, 0.0, 0.0, 0.0, unserved, nothing, ())
    lp, flows = year_program(params, col, ends)
    h = v["h"]
    weights = {
        "cost": {
            "grid": col("tariff"),
            "exported": -prices.export,
            "generator": prices.generator,
            "unserved": prices.unserved,
        },
        "energy": {"grid": 1.0, "generator": 1.0},
        "unserved": {"unserved": 1.0},
    }[objective]
    for name, price in weights.items():
        lp.cost(flows[name], np.broadcast_to(price, len(series)) * h / 1000)
    values = lp.solve(ask=ask)
    if values is None:
        raise NoForesight(_why_not(lp, h))
    kwh = {name: values(flow).sum() * h / 1000 for name, flow in flows.items()}
    money = float((values(flows["grid"]) * col("tariff")).sum() * h / 1000)
    money += prices.generator * kwh["generator"] - prices.export * kwh["exported"]
    return Foresight(
        objective=objective,
        cost_per_year=money + prices.unserved * kwh["unserved"],
        grid_kwh=float(kwh["grid"]),
        generator_kwh=float(kwh["generator"]),
        exported_kwh=float(kwh["exported"]),
        unserved_kwh=float(kwh["unserved"]),
        stored_wh=values(flows["stored"]),
        relaxed=_relaxed(params, series, col, prices.export),
    )
