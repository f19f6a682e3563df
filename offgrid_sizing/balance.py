"""From a sketch, a system, a load year and weather to one year's trace of flows."""

import numpy as np

from offgrid_sizing import dispatch
from offgrid_sizing.battery import Bank, bank_in, inverter_curve
from offgrid_sizing.dispatch import Params, Trace
from offgrid_sizing.loads.boundary import import_left_w
from offgrid_sizing.loads.year import Deferrable, LoadYear
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.strategy import StepSchedule, schedule_of
from offgrid_sizing.system import System
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence

NO_LIMIT_W = 1e15


def design_params(sketch: Sketch, system: System, bank: Bank, step_h: float) -> Params:
    """The numbers of one design for the kernel. Array power is taken as it is given."""
    inverter, controller = sketch.equipment.inverter, sketch.equipment.controller
    count, grid, generator = system.inverters, sketch.grid, sketch.generator
    rated_w = inverter.rated_w * count
    transfer_w = inverter.transfer_max_a * inverter.output_v * count
    values = {
        "scale": 1.0,
        "clip_w": NO_LIMIT_W,
        "pv_charge_w": controller.max_charge_a * bank.nominal_v * count,
        "standby_w": inverter.standby_w * count + bank.standby_w,
        "rated_w": rated_w,
        "import_w": min(import_left_w(sketch), transfer_w),
        "export_w": grid.export_limit_w if grid.export_allowed else 0.0,
        "may_export": 1.0 if grid.export_allowed else 0.0,
        "charger_w": inverter.charger_max_a * bank.nominal_v * count,
        "charger": inverter.charger_efficiency_frac,
        "ctrl": controller.efficiency_frac,
        "full": bank.full_wh,
        "lowest": bank.lowest_wh,
        "charge_w": bank.charge_w,
        "discharge_w": bank.discharge_w,
        "ce": bank.charge_efficiency_frac,
        "de": bank.discharge_efficiency_frac,
        "leak": bank.leak_frac,
        "h": step_h,
        "curve": inverter_curve(inverter).corners,
    }
    if generator is not None:
        values |= {
            "gen_w": generator.rated_w,
            "gen_min_w": generator.rated_w * generator.min_load_frac,
            "gen_start": generator.start_soc_frac,
            "gen_stop": generator.stop_soc_frac,
        }
    return Params(values)


def waiting_load(load: LoadYear, year: int) -> dict[str, np.ndarray]:
    """What deferrable loads may and must have got, and their power, step by step.

    Returns
    -------
    dict of float64 arrays, shape (n,)
        `may_wh`: energy asked for since the year began, at the end of the step; `must_wh`: the
        part of it that cannot wait beyond this step if each window shall end in time; `defer_w`:
        highest power of the loads whose window is open.

    Raises
    ------
    BadInput
        When a window is too short for its energy at the load's power.

    Notes
    -----
    Several loads share one queue: energies and deadlines are exact in the sum.
    """
    n = load.load_w.shape[1]
    total = {name: np.zeros(n) for name in ("may_wh", "must_wh", "defer_w")}
    for one in load.deferrable:
        day = _window_days(one.window, load.step_h)
        need = _needs(one, day, year, load.step_h)
        total["may_wh"] += np.cumsum(need)
        total["must_wh"] += np.cumsum(_latest(one, need, day, load.step_h))
        total["defer_w"] += np.where(one.window, one.power_w, 0.0)
    return total


def _window_days(window: np.ndarray, step_h: float) -> np.ndarray:
    """Which day's window a step belongs to; -1 for the rest of last year's last one."""
    per_day = round(24 / step_h)
    days = window[: len(window) // per_day * per_day].reshape(-1, per_day)
    open_at = np.asarray(days.any(axis=0))
    closed = np.flatnonzero(~open_at)
    cut = int(closed[0]) if len(closed) and open_at[0] else 0
    return (np.arange(len(window)) - cut) // per_day


def _needs(one: Deferrable, day: np.ndarray, year: int, step_h: float) -> np.ndarray:
    """Energy asked for at the first step of each day's window, shape (n,)."""
    need = np.zeros(len(day))
    steps = np.bincount(day[one.window] + 1, minlength=day[-1] + 2)
    first = np.full(len(steps), -1)
    at = np.flatnonzero(one.window)[::-1]
    first[day[at] + 1] = at
    daily = np.concatenate([one.daily_wh[year][-1:], one.daily_wh[year]])[: len(steps)]
    split = day[0] < 0  # the window over New Year is cut in two parts
    if split and steps[0] + steps[-1] > 0:
        share = steps[0] / (steps[0] + steps[-1])
        daily = np.concatenate([[daily[-1] * share], daily[1:-1], [daily[-1] * (1 - share)]])
    room = steps * one.power_w * step_h
    short = (steps > 0) & (daily > room * (1 + 1e-9))
    if short.any():
        d = int(np.argmax(short))
        raise BadInput(
            sentence(
                "refused.window",
                name=one.name,
                need=float(daily[d]) / 1000,
                hours=float(steps[d] * step_h),
                power=float(one.power_w),
                room=float(room[d]) / 1000,
            )
        )
    has = first >= 0
    need[first[has]] = np.minimum(daily[has], room[has])
    return need


def _latest(one: Deferrable, need: np.ndarray, day: np.ndarray, step_h: float) -> np.ndarray:
    """The same energy as late as it can be: the window's last steps at full power."""
    ask = np.bincount(day + 1, weights=need)
    window = np.flatnonzero(one.window)
    label = day[window] + 1
    last = np.searchsorted(label, label, side="right")
    later = (last - 1 - np.arange(len(window))) * one.power_w * step_h
    latest = np.zeros(len(day))
    latest[window] = np.clip(ask[label] - later, 0.0, one.power_w * step_h)
    return latest


def step_series(
    pv_available_w: np.ndarray, load: LoadYear, year: int, bank: Bank, schedule: StepSchedule
) -> np.ndarray:
    """The kernel's series of one year, shape (n, 20), columns as in `dispatch.SERIES`."""
    columns = schedule.columns() | waiting_load(load, year)
    columns |= {
        "pv": pv_available_w,
        "load": load.load_w[year],
        "critical": load.critical_w[year],
        "floor": bank.floor_frac,
        "charge_ok": bank.charge_ok,
        "discharge_ok": bank.discharge_ok,
    }
    return np.stack([columns[name] for name in dispatch.SERIES], axis=1)


def dispatch_year(
    sketch: Sketch,
    system: System,
    pv_available_w: np.ndarray,
    load: LoadYear,
    weather: Weather,
    year: int = 0,
    *,
    draw: int = 0,
    compiled: bool | None = None,
) -> Trace:
    """One year of a system with a new bank under the sketch's own strategy.

    Parameters
    ----------
    pv_available_w : float64 array, shape (n,)
        Array power after the controllers' limits, at their array side. [W]
    load, weather : LoadYear, Weather
    year, draw : int
        Row of load and weather, and the seeded draw of random grid cuts.
    compiled : bool, optional
        As in `dispatch.run`.

    Notes
    -----
    The bank begins the year as the year's last 30 days leave it, which themselves begin full.
    """
    bank = bank_in(sketch, system, weather, year)
    schedule = schedule_of(sketch, weather.time, year, draw=draw)
    params = design_params(sketch, system, bank, weather.step_h)
    series = step_series(pv_available_w, load, year, bank, schedule)
    return dispatch.run(params, series, compiled=compiled)
