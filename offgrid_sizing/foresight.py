"""What the year could have cost with perfect foresight: a bound no strategy can beat.

The same year, boxes and limits as a sparse linear program, solved by HiGHS through SciPy. Where a
rule of the step is not convex it is relaxed, always to the side that makes the bound lower:

* the inverter's curve is replaced by its lower convex envelope up to what the step can ask for
  (exact for a constant efficiency, and where the inverter serves all of a load or nothing);
* a generator may run below its minimum load and its hourly fuel and service are spread over its
  rated output;
* a floor that moves with the bank's temperature is taken at its lowest (exact indoors);
* surplus energy may be thrown away anywhere.

Latches, hold levels and supply orders do not exist here: foresight needs none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from offgrid_sizing.balance import design_params, dispatch_year, step_series
from offgrid_sizing.battery import bank_of
from offgrid_sizing.dispatch import SERIES, Params, Trace
from offgrid_sizing.linear import LinearProgram
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import System

Objective = Literal["cost", "energy", "unserved"]


@dataclass(frozen=True)
class Ends:
    """What the bound may use and must leave, so that every compared strategy could have done it.

    Parameters
    ----------
    start_wh, end_wh : float
        Stored energy at the year's begin, and at least at its end. [Wh]
    unserved_wh, standby_missed_wh : float
        Load, and standby of the electronics, that may go unserved in all. [Wh]
    """

    start_wh: float
    end_wh: float
    unserved_wh: float
    standby_missed_wh: float


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
    litres = generator.fuel_slope_l_per_kwh + generator.fuel_intercept_l_per_h_kw
    service = generator.service_cost / generator.service_interval_h / (generator.rated_w / 1000)
    return litres * generator.fuel_price_per_l + service


def foresight_cost(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    year: int = 0,
    traces: Sequence[Trace] = (),
    objective: Objective = "cost",
) -> Foresight:
    """The least yearly cost any strategy could reach with this system in this year.

    Parameters
    ----------
    traces : sequence of Trace
        Strategies to be compared with; the bound may leave as much unserved as the worst of them.
        By default the sketch's own.
    objective : str
        "cost", or "energy" for the least energy bought, or "unserved".
    """
    power, _ = pv_power_w(sketch, inputs.output, system)
    weather = inputs.weather
    if not traces:
        traces = [dispatch_year(sketch, system, power[year], inputs.loads, weather, year)]
    bank = bank_of(sketch, system, weather.temp_air[year])
    params = design_params(sketch, system, bank, weather.step_h)
    schedule = schedule_of(sketch, weather.time, year)
    series = step_series(power[year], inputs.loads, year, bank, schedule)
    tariff = sketch.grid.tariff
    prices = EnergyPrices(
        tariff.export_price_per_kwh, generator_price(sketch), sketch.prices.unserved_per_kwh
    )
    ends = ends_of(traces, params, series)
    fixed = tariff.fixed_per_month * 12 * len(series) * weather.step_h / 8760
    least = bound(params, series, prices, ends, objective=objective)
    if sketch.grid.kind == "none":
        return least
    return Foresight(**{**vars(least), "cost_per_year": least.cost_per_year + fixed})


def dc_input(params: Params, ac):
    """DC input of the inverter for an AC output, as the step has it. [W]"""
    v = params.values
    pieces = [v[f"a{k}"] + v[f"b{k}"] * np.asarray(ac) for k in "123"]
    return np.minimum(v["ray"] * np.asarray(ac), np.max(pieces, axis=0))


def envelope(params: Params, most: np.ndarray) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """Lower convex envelope of the inverter's DC input, for outputs from 0 to `most`.

    Parameters
    ----------
    most : float64 array, shape (n,)
        Largest AC output each step can ask for. [W]

    Returns
    -------
    widths, slopes : lists of float64 arrays, shape (n,)
        Straight pieces: AC width of each [W], and DC input per AC output on it.

    Notes
    -----
    A line from the origin to the output of best efficiency, or to `most` where that is less,
    then the curve itself, which is convex from there on. An output that is either nothing or
    everything asked for is therefore exact.
    """
    v = params.values
    a, b = (np.array([v[f"{name}{k}"] for k in "123"]) for name in "ab")
    rated = v["rated_w"]
    bends = [
        (a[j] - a[k]) / (b[k] - b[j])
        for j, k in ((0, 1), (0, 2), (1, 2))
        if abs(b[k] - b[j]) > 1e-12
    ]
    bends += [a[k] / (v["ray"] - b[k]) for k in range(3) if v["ray"] > b[k] + 1e-12]
    corners = np.unique([*(x for x in bends if 0 < x < rated), rated])
    best = int(np.argmin(dc_input(params, corners) / corners))
    corners = corners[best:]
    most = np.minimum(most, rated)
    first = np.minimum(most, corners[0])
    safe = np.maximum(first, 1e-9)
    widths, slopes = [first], [dc_input(params, safe) / safe]
    for left, right in pairwise(corners):
        rise = (dc_input(params, right) - dc_input(params, left)) / (right - left)
        widths.append(np.clip(most - left, 0.0, right - left))
        slopes.append(np.full(len(most), rise))
    return widths, slopes


def _relaxed(params: Params, series: np.ndarray, col) -> tuple[str, ...]:
    """What of this design and year the program cannot hold exactly."""
    v, found = params.values, []
    ac = np.linspace(0, v["rated_w"], 41)[1:]
    if np.ptp(dc_input(params, ac) / ac) > 1e-9:
        found.append("the inverter's part load where another source serves a part of the load")
    if col("gen_allowed").any() and v.get("gen_w", 0.0) > 0:
        found.append("the generator without minimum load, its hourly fuel spread over its rating")
    if v["full"] > 0 and np.ptp(col("floor")) > 1e-12:
        found.append("the bank's floor at its lowest of the year")
    return tuple(found)


def bound(
    params: Params,
    series: np.ndarray,
    prices: EnergyPrices,
    ends: Ends,
    *,
    objective: Objective = "cost",
) -> Foresight:
    """Solve the linear program of one design and one series.

    Parameters
    ----------
    params, series : as in `dispatch.run`
    prices : EnergyPrices
        The tariff itself is in the series.
    ends : Ends
    objective : str

    Notes
    -----
    With no other source than the array nothing can be bought: no strategy costs anything, and the
    answer is given without solving (unserved energy then as `ends` allows).

    Raises
    ------
    BadInput
        When the solver finds no plan (it always should: the compared traces are plans).
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
    lp, flows = _program(v, params, col, ends)
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
    values = lp.solve()
    if values is None:
        raise BadInput(
            "the perfect-foresight bound could not be solved for this year: "
            f"{lp.message}. The simulated strategies stand as they are."
        )
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
        relaxed=_relaxed(params, series, col),
    )


def _program(v, params: Params, col, ends: Ends):
    """Variables and rows; see the module's text for what is relaxed."""
    pv = np.minimum(col("pv") * v["scale"], v["clip_w"]) * v["ctrl"]
    up, down = col("grid_up") > 0, col("grid_up") <= 0
    may_run = down & (col("gen_allowed") > 0) & (v.get("gen_w", 0.0) > 0)
    n, h, full = len(pv), v["h"], v["full"]
    lp = LinearProgram(n)
    everywhere, ac_side = np.ones(n, dtype=bool), up | may_run
    charge, discharge = v["charge_w"] * col("charge_ok"), v["discharge_w"] * col("discharge_ok")
    bank = full > 0

    stored = lp.add(everywhere, full * col("floor").min() if bank else 0.0, full)
    pv_bank = lp.add((pv > 0) & bank, 0.0, np.minimum(charge, v["pv_charge_w"]))
    pv_used = lp.add(pv > 0, 0.0, pv)
    given = lp.add(everywhere & bank, 0.0, discharge)
    most = col("load") + col("defer_w") + np.where(up, v["export_w"], 0.0)
    widths, slopes = envelope(params, most)
    inverted = [lp.add(everywhere, 0.0, width) for width in widths]
    standby_dc = lp.add(ac_side, 0.0, v["standby_w"])
    waiting = col("may_wh")[-1] > 0
    asked = lp.add(everywhere & waiting, 0.0, col("defer_w"))
    unserved = lp.add(everywhere, 0.0, col("load") + col("defer_w"))
    missed = lp.add(everywhere, 0.0, v["standby_w"])
    grid = lp.add(up, 0.0, v["import_w"])
    generator = lp.add(may_run, 0.0, v.get("gen_w", 0.0))
    charger = lp.add(ac_side & bank, 0.0, v["charger_w"] / v["charger"])
    exported = lp.add(up & (v["export_w"] > 0), 0.0, v["export_w"])

    # Array power splits between bank and bus.
    lp.at_most(pv, [(pv_bank, 1.0), (pv_used, 1.0)], pv > 0)
    # Bus: array and bank carry the inverter and what standby they serve; where there is no AC
    # source they serve all of it.
    here = np.where(ac_side, 0.0, v["standby_w"])
    terms = [(part, slope) for part, slope in zip(inverted, slopes, strict=True)]
    lp.at_most(
        -here,
        [*terms, (standby_dc, 1.0), (pv_used, -1.0), (given, -1.0),
         (missed, np.where(ac_side, 0.0, -1.0))],
        everywhere,
    )  # fmt: skip
    # AC side: load, waiting load, charger, export and the rest of the standby.
    there = np.where(ac_side, v["standby_w"], 0.0)
    lp.at_most(
        -col("load") - there,
        [*((part, -1.0) for part in inverted), (grid, -1.0), (generator, -1.0), (unserved, -1.0),
         (asked, 1.0), (charger, 1.0), (exported, 1.0), (standby_dc, -1.0),
         (missed, np.where(ac_side, -1.0, 0.0))],
        everywhere,
    )  # fmt: skip
    # Only what leaves the inverter can be exported.
    lp.at_most(0.0, [(exported, 1.0), *((part, -1.0) for part in inverted)], exported.mask)
    if bank:
        _bank_rows(lp, v, col, ends, stored, pv_bank, charger, given, charge)
    if waiting:
        lp.between(col("must_wh"), col("may_wh"), asked, h)
    lp.budget(unserved, h, ends.unserved_wh)
    lp.budget(missed, h, ends.standby_missed_wh)
    flows = {
        "stored": stored, "grid": grid, "generator": generator, "exported": exported,
        "unserved": unserved,
    }  # fmt: skip
    return lp, flows


def _bank_rows(lp, v, col, ends: Ends, stored, pv_bank, charger, given, charge) -> None:
    """What the bank holds: the last step's energy, less leakage, plus charge, less discharge."""
    h, full = v["h"], v["full"]
    keep = 1 - v.get("leak", 0.0)
    lp.chain(
        stored,
        keep,
        (1 - keep) * full * col("floor"),
        [(pv_bank, v["ce"] * h), (charger, v["charger"] * v["ce"] * h), (given, -h / v["de"])],
        first=ends.start_wh,
        last=ends.end_wh,
    )
    both = pv_bank.mask & charger.mask
    lp.at_most(charge, [(pv_bank, 1.0), (charger, v["charger"])], both)
    lp.at_most(charge, [(charger, v["charger"])], charger.mask & ~both)
