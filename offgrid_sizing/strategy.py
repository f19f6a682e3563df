"""Charge priority as numbers per step.

A strategy is not a class and the energy balance knows none by name: whatever a person chooses
becomes, for every step, who serves the load first, how far the bank may be drawn down, when the
grid may charge it and up to where. What each priority says stands in `priority`.
"""

from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
import pandas as pd

from offgrid_sizing.priority import PRIORITIES, Home
from offgrid_sizing.sketch import Sketch, Strategy, Tariff, TimeWindow, WeekWindow
from offgrid_sizing.weather.series import clock

EVERY_HOUR: tuple[TimeWindow, ...] = ()


@dataclass(frozen=True)
class StrategyNumbers:
    """The numbers of a strategy with nothing left open.

    Parameters
    ----------
    kind : str
        For the reader only; no rule asks for it.
    grid_share_frac : float
        Share of the load the grid takes before the array may.
    hold_soc_frac, resume_soc_frac : float
        The outage reserve: while the grid is up the bank is not discharged below hold; having
        reached it, it waits for resume.
    grid_charge_target_frac : float
        In the charging hours the grid charges the bank up to this; 0: not at all.
    grid_charge_hours : tuple of TimeWindow, or None
        Hours of charging; empty: any hour; None: hours cheaper than the year's mean price.
    recharge_soc_frac, recharge_until_frac : float
        Recharge from grid when low: below the first at once, at any hour, until the second.
    peak_price_per_kwh : float
        Peak-price hours: at or above it the bank is discharged before the grid is drawn on.
    shed_soc_frac : float
        Without grid and generator, loads that are not critical leave the bank alone below this.
    bank_helps_below_hold : bool
        Where the grid cannot carry the load alone the bank helps below hold, down to its floor:
        the reserve is kept from cheap use, not from a home that would go dark.
    """

    kind: str
    grid_share_frac: float
    hold_soc_frac: float
    resume_soc_frac: float
    grid_charge_target_frac: float
    grid_charge_hours: tuple[TimeWindow, ...] | None
    recharge_soc_frac: float
    recharge_until_frac: float
    peak_price_per_kwh: float
    shed_soc_frac: float
    bank_helps_below_hold: bool = True


@dataclass(frozen=True, eq=False)
class StepSchedule:
    """Everything about grid, tariff and strategy that a step needs to know.

    All arrays have shape (n,) and are float64; flags are 0.0 or 1.0.

    Parameters
    ----------
    grid_up : the grid is there
    tariff : price of grid energy [per kWh]
    grid_share : share of the load the grid takes before the array
    may_discharge : the bank may serve before the grid does
    hold, resume : state-of-charge levels while the grid is up
    charge_start, charge_stop : grid charging begins below the one and ends at the other
    shed : level below which only critical loads draw on the bank
    gen_allowed : the generator may run
    relief : level down to which the bank helps where the grid's limit leaves load unserved
    """

    grid_up: np.ndarray
    tariff: np.ndarray
    grid_share: np.ndarray
    may_discharge: np.ndarray
    hold: np.ndarray
    resume: np.ndarray
    charge_start: np.ndarray
    charge_stop: np.ndarray
    shed: np.ndarray
    gen_allowed: np.ndarray
    relief: np.ndarray

    def columns(self) -> dict[str, np.ndarray]:
        """The arrays by name, as the kernel's series want them."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


def of_kind(chosen: Strategy, kind: str) -> Strategy:
    """A priority at its own defaults; the choice that stands beside any priority is kept."""
    return Strategy(kind=kind, bank_helps_below_hold=chosen.bank_helps_below_hold)


def numbers_of(sketch: Sketch) -> StrategyNumbers:
    """The sketch's strategy with every empty number filled by its kind's default.

    Notes
    -----
    Each default is a field of the sketch. The shed level is the floor under every priority, and
    the bank helps below hold unless the sketch says otherwise.
    """
    chosen = sketch.strategy
    dod = sketch.equipment.battery.usable_dod_frac
    usual = PRIORITIES[chosen.kind].defaults(_home(sketch))

    def given(value, default):
        return default if value is None else value

    hold = given(chosen.hold_soc_frac, usual.hold_soc_frac)
    recharge = given(chosen.recharge_soc_frac, usual.recharge_soc_frac)
    return StrategyNumbers(
        kind=chosen.kind,
        grid_share_frac=given(chosen.grid_share_frac, usual.grid_share_frac),
        hold_soc_frac=hold,
        resume_soc_frac=max(given(chosen.resume_soc_frac, usual.resume_soc_frac), hold),
        grid_charge_target_frac=given(
            chosen.grid_charge_target_frac, usual.grid_charge_target_frac
        ),
        grid_charge_hours=given(chosen.grid_charge_hours, usual.grid_charge_hours),
        recharge_soc_frac=recharge,
        recharge_until_frac=min(recharge + 0.1 * dod, 1.0) if recharge > 0 else 0.0,
        peak_price_per_kwh=given(chosen.peak_price_per_kwh, usual.peak_price_per_kwh),
        shed_soc_frac=given(chosen.shed_soc_frac, 0.0),
        bank_helps_below_hold=chosen.bank_helps_below_hold,
    )


def _home(sketch: Sketch) -> Home:
    tariff = sketch.grid.tariff
    one_price = all(band.price_per_kwh == tariff.price_per_kwh for band in tariff.bands)
    return Home(
        usable_dod_frac=sketch.equipment.battery.usable_dod_frac,
        one_price=one_price,
        mean_price_per_kwh=tariff.price_per_kwh
        if one_price
        else _mean_price(tariff, sketch.targets.step_h),
        hold_soc_frac=sketch.strategy.hold_soc_frac,
    )


@lru_cache(maxsize=64)
def _mean_price(tariff: Tariff, step_h: float) -> float:
    return float(_prices(tariff, clock(step_h, 0)).mean())


@lru_cache(maxsize=16)
def _calendar(first: str, n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, float]:
    """Hour at mid-step, weekday (Monday 0) and month of every step, and the step's length."""
    step_h = 8760 / n
    time = pd.date_range(first, periods=n, freq=pd.Timedelta(hours=step_h))
    hour = time.hour.to_numpy() + time.minute.to_numpy() / 60 + step_h / 2
    return hour, time.day_of_week.to_numpy(), time.month.to_numpy(), step_h


@lru_cache(maxsize=512)
def _inside(window: TimeWindow, first: str, n: int) -> np.ndarray:
    hour, day, month, step_h = _calendar(first, n)
    if isinstance(window, WeekWindow):
        allowed = np.array(window.days)[day] & np.isin(month, window.months)
    else:
        allowed = np.ones(n, dtype=bool)
    if window.to_h > window.from_h:
        inside = allowed & (hour >= window.from_h) & (hour < window.to_h)
    else:
        yesterday = np.roll(allowed, round(24 / step_h))
        inside = (allowed & (hour >= window.from_h)) | (yesterday & (hour < window.to_h))
    inside.setflags(write=False)
    return inside


def in_window(window: TimeWindow, time: pd.DatetimeIndex) -> np.ndarray:
    """Steps of a whole year whose middle lies in the window, shape (n,), bool, read-only.

    After midnight a window that wraps still belongs to the day and month it began in.
    """
    # without its zone: one with parts of a second cannot be read back from text
    return _inside(window, time[0].replace(tzinfo=None).isoformat(), len(time))


def in_any(windows: tuple[TimeWindow, ...], time: pd.DatetimeIndex) -> np.ndarray:
    """Steps that lie in at least one of the windows, shape (n,), bool."""
    inside = np.zeros(len(time), dtype=bool)
    for window in windows:
        inside |= in_window(window, time)
    return inside


def _step_h(time: pd.DatetimeIndex) -> float:
    return (time[1] - time[0]) / pd.Timedelta(hours=1)


def tariff_per_kwh(sketch: Sketch, time: pd.DatetimeIndex) -> np.ndarray:
    """Price of grid energy in every step, shape (n,); later bands overrule earlier ones."""
    return _prices(sketch.grid.tariff, time)


def _prices(tariff: Tariff, time: pd.DatetimeIndex) -> np.ndarray:
    price = np.full(len(time), tariff.price_per_kwh, dtype=np.float64)
    for band in tariff.bands:
        price[in_window(band, time)] = band.price_per_kwh
    return price


def random_cuts(sketch: Sketch, hours: float, step_h: float, year: int, draw: int) -> np.ndarray:
    """Steps in which a grid failing at random is down at mid-step, shape (n,), bool.

    Times between the end of a cut and the next, and cut lengths, are exponential with the
    sketch's means; seeded by the grid's seed, the weather year and the draw, and the same
    moments whatever the step length.
    """
    grid = sketch.grid
    rng = np.random.default_rng([grid.seed, year, draw])
    middle = (np.arange(round(hours / step_h)) + 0.5) * step_h
    edges, now = [], 0.0
    while now < hours:
        up = rng.exponential(grid.mean_time_between_cuts_h, 64)
        down = rng.exponential(grid.mean_cut_length_h, 64)
        chunk = now + np.cumsum(np.stack([up, down], axis=1).ravel())
        edges.append(chunk)
        now = chunk[-1]
    return np.searchsorted(np.concatenate(edges), middle, side="right") % 2 == 1


def grid_up(sketch: Sketch, time: pd.DatetimeIndex, year: int = 0, draw: int = 0) -> np.ndarray:
    """Steps in which the grid is there, shape (n,), bool, for one weather year and cut draw."""
    kind, step_h = sketch.grid.kind, _step_h(time)
    up = np.full(len(time), kind != "none")
    if kind in ("scheduled", "scheduled_and_failing"):
        up &= ~in_any(sketch.grid.cuts, time)
    if kind in ("failing", "scheduled_and_failing"):
        up &= ~random_cuts(sketch, len(time) * step_h, step_h, year, draw)
    return up


def schedule_of(
    sketch: Sketch,
    time: pd.DatetimeIndex,
    year: int = 0,
    *,
    draw: int = 0,
    numbers: StrategyNumbers | None = None,
) -> StepSchedule:
    """What grid, tariff, generator hours and strategy say in each step of one year.

    Parameters
    ----------
    sketch : Sketch
    time : DatetimeIndex, shape (n,)
    year, draw : int
        Which seeded draw of the random cuts.
    numbers : StrategyNumbers, optional
        Instead of the sketch's own strategy.
    """
    numbers = numbers_of(sketch) if numbers is None else numbers
    tariff = tariff_per_kwh(sketch, time)
    target = numbers.grid_charge_target_frac
    if numbers.grid_charge_hours is None:
        in_hours = tariff < tariff.mean() - 1e-12
    elif numbers.grid_charge_hours == EVERY_HOUR:
        in_hours = np.ones(len(time), dtype=bool)
    else:
        in_hours = in_any(numbers.grid_charge_hours, time)
    # A target below the end of recharging when low changes nothing: that is the stronger wish.
    in_hours &= target > numbers.recharge_until_frac
    generator = sketch.generator
    may_run = np.full(len(time), generator is not None)
    if generator is not None and generator.quiet_hours:
        may_run &= ~in_any(generator.quiet_hours, time)

    def level(value):
        return np.full(len(time), value, dtype=np.float64)

    return StepSchedule(
        grid_up=grid_up(sketch, time, year, draw).astype(np.float64),
        tariff=tariff,
        grid_share=level(numbers.grid_share_frac),
        may_discharge=(tariff >= numbers.peak_price_per_kwh - 1e-12).astype(np.float64),
        hold=level(numbers.hold_soc_frac),
        resume=level(numbers.resume_soc_frac),
        charge_start=np.where(in_hours, target, numbers.recharge_soc_frac),
        charge_stop=np.where(in_hours, target, numbers.recharge_until_frac),
        shed=level(numbers.shed_soc_frac),
        gen_allowed=may_run.astype(np.float64),
        relief=level(0.0 if numbers.bank_helps_below_hold else numbers.hold_soc_frac),
    )


def generator_starts_late(sketch: Sketch) -> bool:
    """Whether a generator is set to start no higher than where the bank supplies no more."""
    generator, floor = sketch.generator, 1 - sketch.equipment.battery.usable_dod_frac
    return generator is not None and generator.start_soc_frac <= floor
