"""What hourly steps hide: three weeks of the judged year run again by the minute.

The hardest week, the one with most sun and the one with most load go through the same balance
twice, from the same state: by the year's own steps, and by the minute with load and sun made up
within the hour (`loads.minutes`, `minute_sun`). Grid, prices, temperatures and priorities keep
their steps. One seeded draw; another would differ somewhat.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from offgrid_sizing import dispatch
from offgrid_sizing.balance import design_params, step_series
from offgrid_sizing.battery import bank_of
from offgrid_sizing.dispatch import SERIES, Params, Trace
from offgrid_sizing.loads.minutes import minute_load_w
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sizing.autonomy import usual_load
from offgrid_sizing.sizing.minute_sun import clear_w, minute_power_w
from offgrid_sizing.sizing.worst import WEEK_H, hardest_week
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.units import digits
from offgrid_sizing.words import Figure, Said, said, sentence, together
from offgrid_sizing.year_days import by_day, fullest_week

_AT = {name: k for k, name in enumerate(SERIES)}
DARK_WEEKS = 5  # a week's load repeated so often is enough for "a month or more"


@dataclass(frozen=True)
class WeekFlows:
    """A week's totals at one length of step.

    `lost_sun_kwh` is array energy curtailed, or beyond the charge controllers' power;
    `empty_after_h` how long a full bank lasts without sun, grid and generator from the week's
    first hour (asked of the hardest week only; None without a bank).
    """

    unserved_kwh: float
    unserved_h: float
    lost_sun_kwh: float
    bank_out_kwh: float
    generator_starts: int
    highest_load_w: float
    empty_after_h: float | None


@dataclass(frozen=True)
class Week:
    """One week by steps of the year, and by the minute. `kinds`: hardest, brightest, busiest."""

    kinds: tuple[str, ...]
    first_day: int
    by_step: WeekFlows
    by_minute: WeekFlows


@dataclass(frozen=True)
class WithinHour:
    """All weeks, and what their steps hide in one sentence."""

    step_h: float
    weeks: tuple[Week, ...]
    metered: bool

    def total(self, name: str) -> tuple[float, float]:
        """Sum of one of `WeekFlows` over the weeks: by steps, by the minute."""
        return (
            sum(getattr(week.by_step, name) for week in self.weeks),
            sum(getattr(week.by_minute, name) for week in self.weeks),
        )

    @property
    def highest_w(self) -> tuple[float, float]:
        """Highest load of the weeks: mean of a step, and of a minute. [W]"""
        return (
            max(week.by_step.highest_load_w for week in self.weeks),
            max(week.by_minute.highest_load_w for week in self.weeks),
        )

    @property
    def empty_after_h(self) -> tuple[float, float] | None:
        """How long a full bank lasts in the hardest week: by steps, by the minute. [h]"""
        hardest = self.weeks[0]
        step, minute = hardest.by_step.empty_after_h, hardest.by_minute.empty_after_h
        return None if step is None or minute is None else (step, minute)

    @property
    def sentence(self) -> str:
        """What the steps of these weeks hide."""
        unserved, lost = self.total("unserved_kwh"), self.total("lost_sun_kwh")
        first, first_minute = self.highest_w
        flows = said(
            "search.minutes.flows",
            unserved=_than(unserved, "kWh"),
            lost=_than(lost, "kWh"),
            through=_than(self.total("bank_out_kwh"), "kWh"),
            highest=_than((first / 1000, first_minute / 1000), "kW"),
        )
        lasts = self.empty_after_h
        span = "" if lasts is None else said("search.minutes.lasts", span=_than(lasts, "h"))
        all_of_it = together(flows, self._starts(), span, by="; ")
        return sentence(f"search.minutes.{'metered' if self.metered else 'whole'}", what=all_of_it)

    def _starts(self) -> Said | str:
        """How often the generator starts; nothing where it never does."""
        step, minute = self.total("generator_starts")
        if max(step, minute) == 0:
            return ""
        key = "search.minutes.starts_once" if minute == 1 else "search.minutes.starts"
        return said(key, minute=minute, step=step)


def _than(both: tuple[float, float], unit: str) -> Said:
    """A total by the minute, beside that by the year's own steps."""
    step, minute = both
    values = {"minute": Figure(digits, minute), "step": Figure(digits, step)}
    return said("search.minutes.than", unit=unit, **values)


def within_hour(
    run: Simulation, *, seed: int | None = None, compiled: bool | None = True
) -> WithinHour:
    """Run the three weeks of a traced year by the minute.

    Parameters
    ----------
    run : Simulation
    seed : int, optional
        Of load and clouds; the sketch's own where left out.
    compiled : bool, optional
        As in `dispatch.run`; by the minute the plain loop takes seconds.
    """
    sketch = run.sketch
    known = sketch.loads.variability.seed if seed is None else seed
    series, params, limit_w, raw_w = _year(run)
    dark = _dark(run, series)
    step_h = run.trace.step_h
    steps, per_day = round(WEEK_H / step_h), round(24 / step_h)
    clear = clear_w(raw_w, per_day)
    weeks = []
    for first, kinds in _weeks(run.trace, raw_w):
        rows = slice(first, first + steps)
        minutes = round(60 * step_h)
        load, critical = minute_load_w(sketch, run.inputs.loads, rows, run.year, seed=known)
        sun = minute_power_w(raw_w[rows], clear[rows], minutes, known + first)
        cases = []
        for by_minute in (False, True):
            week = _week_series(series, rows, minutes if by_minute else 1)
            own = params
            clipped_w = np.maximum(raw_w[rows] - limit_w, 0.0)
            sunless = _week_series(dark, rows, minutes if by_minute else 1)
            if by_minute:
                own = _at_minutes(params, minutes)
                clipped_w = np.maximum(sun - limit_w, 0.0)
                extra = sunless[:, _AT["load"]] - week[:, _AT["load"]]
                week[:, _AT["pv"]] = np.minimum(sun, limit_w).ravel()
                week[:, _AT["load"]], week[:, _AT["critical"]] = load.ravel(), critical.ravel()
                sunless[:, _AT["load"]] = load.ravel() + extra
                sunless[:, _AT["critical"]] = critical.ravel()
            trace = dispatch.run(own, week, state=_state(run.trace, first), compiled=compiled)
            lasts = _empty_after_h(own, sunless, compiled) if "hardest" in kinds else None
            cases.append(_flows(trace, clipped_w, lasts))
        weeks.append(Week(kinds, first // per_day, *cases))
    listed = [one.name for one in sketch.loads.protected]
    metered = list(run.inputs.loads.appliance_names) != listed
    return WithinHour(step_h, tuple(weeks), metered)


def _weeks(trace: Trace, raw_w: np.ndarray) -> list[tuple[int, tuple[str, ...]]]:
    """First step and kinds of the weeks, the hardest first."""
    per_day = round(24 / trace.step_h)
    found: dict[int, list[str]] = {hardest_week(trace): ["hardest"]}
    for kind, values in (("brightest", raw_w), ("busiest", trace["load_w"])):
        first = fullest_week(by_day(values, trace.step_h).sum(axis=1)) * per_day
        found.setdefault(first, []).append(kind)
    return [(first, tuple(kinds)) for first, kinds in found.items()]


def _year(run: Simulation) -> tuple[np.ndarray, Params, float, np.ndarray]:
    """The year's series and design, the controllers' power, and the power before that limit."""
    sketch, weather = run.sketch, run.inputs.weather
    bank = bank_of(sketch, run.system, weather.temp_air[run.year])
    schedule = schedule_of(sketch, weather.time, run.year, draw=run.draw)
    available = run.trace["pv_available_w"]
    series = step_series(available, run.inputs.loads, run.year, bank, schedule)
    limit_w = sketch.equipment.controller.max_power_w * run.system.inverters
    at_limit = available >= limit_w * (1 - 1e-9)
    raw_w = np.where(at_limit, available + run.clipped_w, available)
    return series, design_params(sketch, run.system, bank, weather.step_h), limit_w, raw_w


def _dark(run: Simulation, series: np.ndarray) -> np.ndarray:
    """The same year without sun, grid and generator, nothing waiting."""
    dark = series.copy()
    for name in ("pv", "grid_up", "gen_allowed", "must_wh", "may_wh", "defer_w", "shed"):
        dark[:, _AT[name]] = 0.0
    dark[:, _AT["load"]] = usual_load(run.inputs.loads, run.year).load_w[run.year]
    return dark


def _state(trace: Trace, first: int) -> tuple[float, float, float, float, float]:
    """What the year has come to before a step; nothing waits over the night before."""
    if first == 0:
        return trace.stored_wh_start, 0.0, 0.0, 0.0, 0.0
    at = first - 1
    held, charging = trace.latches["held"][at], trace.latches["charging"][at]
    running = trace.generator_on[at]
    return float(trace["stored_wh"][at]), float(held), float(charging), float(running), 0.0


def _week_series(series: np.ndarray, rows: slice, minutes: int) -> np.ndarray:
    """A week's rows, each as often as it has minutes; what must be served by then rises evenly."""
    week = np.repeat(series[rows], minutes, axis=0)
    for name in ("must_wh", "may_wh"):
        column = series[:, _AT[name]]
        before = column[rows.start - 1] if rows.start else 0.0
        own = column[rows] - before
        if name == "may_wh":
            week[:, _AT[name]] = np.repeat(own, minutes)
            continue
        part = np.arange(1, minutes + 1) / minutes
        last = np.concatenate([[0.0], own[:-1]])
        week[:, _AT[name]] = (last[:, None] + (own - last)[:, None] * part).ravel()
    return week


def _at_minutes(params: Params, minutes: int) -> Params:
    """The same design in steps of a minute."""
    values = dict(params.values)
    leak = 1.0 - (1.0 - values["leak"]) ** (1 / minutes)
    return replace(params, values={**values, "h": values["h"] / minutes, "leak": leak})


def _empty_after_h(params: Params, sunless: np.ndarray, compiled: bool | None) -> float | None:
    """Hours until a full bank is at its floor on a week's load repeated. [h]

    The step in which it gets there counts by the share of its load that was served.
    """
    full = params.values["full"]
    if full <= 0:
        return None
    series = np.tile(sunless, (DARK_WEEKS, 1))
    trace = dispatch.run(params, series, state=(full, 0.0, 0.0, 0.0, 0.0), compiled=compiled)
    floor = np.maximum(series[:, _AT["floor"]] * full, params.values["lowest"])
    at_floor = np.flatnonzero(trace["stored_wh"] <= floor + 1e-6 * full)
    if not len(at_floor):
        return float(len(series) * trace.step_h)
    at = int(at_floor[0])
    load_w, unserved_w = float(trace["load_w"][at]), float(trace["unserved_w"][at])
    served = 1 - unserved_w / load_w if load_w > 0 else 1.0
    return (at + served) * trace.step_h


def _flows(trace: Trace, clipped_w: np.ndarray, empty_after_h: float | None) -> WeekFlows:
    h, flows = trace.step_h, trace.columns
    on = np.concatenate([[False], trace.generator_on]).astype(int)
    return WeekFlows(
        unserved_kwh=float(flows["unserved_w"].sum() * h / 1000),
        unserved_h=float(dark_steps(flows["load_w"], flows["unserved_w"]).sum() * h),
        lost_sun_kwh=float((flows["curtailed_w"].sum() + clipped_w.sum()) * h / 1000),
        bank_out_kwh=float((flows["bank_to_load_w"] + flows["bank_to_standby_w"]).sum() * h / 1000),
        generator_starts=int((np.diff(on) > 0).sum()),
        highest_load_w=float(flows["load_w"].max()),
        empty_after_h=empty_after_h,
    )
