"""The falls of a system's year: what the energy balance leaves unserved with each bank size.

`refusal` says where the falls are not the balance's. Where they are, one pass through the year
stands for a run of every bank. A Wh of the bank is worth to the load what the piece of the
inverter's curve makes of it, to the inverters' own standby, which comes first, nothing; so the
drops of a step go one after the other, each with its worth.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from offgrid_sizing.balance import design_params, step_series
from offgrid_sizing.battery import bank_in
from offgrid_sizing.dispatch import SERIES, Params
from offgrid_sizing.dispatch.params import run_in_of
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.falls import Falls, falls_of, unserved_wh, uses_per_year
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import System
from offgrid_sizing.words import Said, said

_WITHIN = 1 + 1e-12


@dataclass(frozen=True)
class LastUse:
    """What the last of a bank does in a year.

    Parameters
    ----------
    times : int
        How often its last Wh is emptied.
    next_kwh : float
        What one kWh more of usable capacity would serve of the load. [kWh]
    """

    times: int
    next_kwh: float


def last_use(sketch: Sketch, inputs: Inputs, system: System, year: int = 0) -> LastUse | Said:
    """What the last of a system's bank does in a weather year, or why that is not known."""
    why_not = applies(sketch, inputs, system, year)
    if why_not is not None:
        return why_not
    params, series = year_of(sketch, inputs, system, year)
    falls, usable = falls_in_year(params, series), usable_wh(params, series)
    now, then = unserved_wh(falls, [usable, usable + 1000.0])
    return LastUse(round(float(uses_per_year(falls, usable))), float(now - then) / 1000)


def year_of(
    sketch: Sketch, inputs: Inputs, system: System, year: int = 0
) -> tuple[Params, np.ndarray]:
    """A system's numbers and its year's series, as the energy balance takes them."""
    bank = bank_in(sketch, system, inputs.weather, year)
    power = pv_power_w(sketch, inputs.output, system)[0][year]
    schedule = schedule_of(sketch, inputs.weather.time, year)
    params = design_params(sketch, system, bank, inputs.weather.step_h)
    return params, step_series(power, inputs.loads, year, bank, schedule)


def applies(sketch: Sketch, inputs: Inputs, system: System, year: int = 0) -> Said | None:
    """Why the falls do not hold for this bank and every larger one; None where they do."""
    if sketch.equipment.battery.standby_w > 0:
        return said("search.falls.no_load")
    return refusal(*year_of(sketch, inputs, system, year))


def refusal(params: Params, series: np.ndarray) -> Said | None:
    """As `applies`, from a system's numbers.

    Notes
    -----
    Of no matter, since no bank's size changes it: the inverters' rating, curve and standby, limits
    of array and charge controllers, hours too cold or too hot to charge or discharge, which loads
    are critical. The balance knows no taper of charge and no latch without grid and generator. A
    standby that grows with the bank is not in `params`: see `applies`.
    """
    v, col = params.filled(), _columns(series)
    flow = _flows(v, col)
    limit_in, limit_out = v["charge_w"] * _WITHIN, v["discharge_w"] * _WITHIN
    checks = {
        "grid": col["grid_up"].any(),
        "generator": col["gen_allowed"].any(),
        "waiting": col["may_wh"].any(),
        "no_bank": v["has_bank"] == 0,
        "self_discharge": v["keep"] < 1,
        "cold": np.ptp(col["floor"]) > 0,
        "shed": (col["shed"] > col["floor"]).any(),
        "charge": (flow.surplus_w > limit_in).any(),
        "discharge": (flow.need_w.sum(axis=0) > limit_out).any(),
    }
    return next((said(f"search.falls.{name}") for name, found in checks.items() if found), None)


def usable_wh(params: Params, series: np.ndarray) -> float:
    """Usable capacity of the bank, as the falls take it. [Wh]"""
    return float(params.values["full"] * (1 - _columns(series)["floor"][0]))


def falls_in_year(params: Params, series: np.ndarray, *, run_in_steps: int | None = None) -> Falls:
    """The falls of a system's year, begun as `dispatch.run` begins it, for banks of every size.

    The run-in's drops empty layers, but neither serve a load of the year nor count in it.
    """
    v = params.filled()
    flow, n = _flows(v, _columns(series)), len(series)
    net = np.vstack([flow.surplus_w * v["in_h"], -flow.need_w * v["out_h"]])
    worth = np.append([0.0, 0.0], flow.slope / v["inv_de"])  # neither charge nor standby serves
    step, kind = np.nonzero(net.T)
    before = np.searchsorted(step, n - run_in_of(run_in_steps, n, v["h"]))
    unserving = np.zeros(len(step) - before)
    some = net[kind, step]
    return falls_of(
        np.append(some[before:], some),
        worth=np.append(unserving, worth[kind]),
        times=np.append(unserving, np.ones(len(step))),
        always_wh=float(flow.lost_w.sum() * v["h"]),
    )


@dataclass(frozen=True, eq=False)
class _Flows:
    """A year's powers at the bank's terminals while it is neither full nor empty.

    `surplus_w`, shape (n,): into it. `need_w`, shape (1 + k, n): out of it, for standby, then for
    the load by the pieces of the inverter's curve. `slope`, shape (k,): AC power for DC power on
    each. `lost_w`, shape (n,): load that no bank serves.
    """

    surplus_w: np.ndarray
    need_w: np.ndarray
    slope: np.ndarray
    lost_w: np.ndarray


def _columns(series: np.ndarray) -> dict[str, np.ndarray]:
    return {name: series[:, k] for k, name in enumerate(SERIES)}


def _flows(v: dict[str, Any], col: dict[str, np.ndarray]) -> _Flows:
    """As `kernels.step` has them without grid and generator, the bank's own limits left out."""
    pv_dc = np.minimum(col["pv"] * v["scale"], v["clip_w"]) * v["ctrl"]
    standby = np.maximum(v["standby_w"] - pv_dc, 0.0)
    dc = np.maximum(pv_dc - v["standby_w"], 0.0)
    wanted = np.minimum(col["load"], v["rated_w"])
    places, slope = _pieces(v["curve"])
    wanted_dc = np.diff(np.minimum(wanted, places[:, None]), axis=0) / slope[:, None]
    ends = np.cumsum(wanted_dc, axis=0)
    need = np.maximum(ends - np.maximum(ends - wanted_dc, dc), 0.0)
    surplus = np.minimum(np.maximum(dc - ends[-1], 0.0), v["pv_charge_w"])
    return _Flows(
        surplus_w=surplus * col["charge_ok"],
        need_w=np.vstack([standby, need]) * col["discharge_ok"],
        slope=slope,
        lost_w=col["load"] - wanted + (1 - col["discharge_ok"]) * (slope @ need),
    )


def _pieces(curve: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Where the pieces of the inverter's curve begin and end, in AC, and AC for DC on each."""
    count = len(curve) // 2 - 1
    bends, changes = np.array(curve[1 : 1 + count]), np.array(curve[1 + count : -1])
    some = bends > 0
    places = np.concatenate([[0.0], bends[some], [np.inf]])
    return places, 1 / (curve[0] + np.concatenate([[0.0], np.cumsum(changes[some])]))
