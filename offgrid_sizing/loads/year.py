"""The household's demand as the energy balance takes it."""

from dataclasses import dataclass, field

import numpy as np
import pandas as pd


@dataclass(frozen=True, eq=False)
class Deferrable:
    """A load that may wait for surplus within its window (pump, water heater, vehicle).

    Parameters
    ----------
    name : str
    power_w : float
        Highest power it may draw. [W]
    window : bool array, shape (n,)
        Steps in which it may run.
    daily_wh : float64 array, shape (years, 365)
        Energy it must have got by the end of each day's window. [Wh]
    usual_w : float64 array, shape (n,)
        What it would draw in the first year at its usual hours, over its standby; spread evenly
        over each day's window where not given. [W]
    """

    name: str
    power_w: float
    window: np.ndarray
    daily_wh: np.ndarray
    usual_w: np.ndarray = field(default_factory=lambda: np.empty(0))

    def __post_init__(self):
        if not self.usual_w.size:
            window = self.window.reshape(self.daily_wh.shape[1], -1)
            hours = np.maximum(window.sum(axis=1), 1) * 24 / window.shape[1]
            even = (window * (self.daily_wh[0] / hours)[:, None]).ravel()
            object.__setattr__(self, "usual_w", even)


@dataclass(frozen=True, eq=False)
class Peak:
    """The peak that decides the inverter.

    `running_va` is the largest coincident running demand and `together` names what runs then;
    `starting_va` is the largest demand with the worst start on top, perhaps at another moment, and
    `start_together` names what runs then. `leg_va` is the largest of each leg, each at a moment of
    its own, since each leg has an inverter-charger of its own to be overloaded.
    """

    running_w: float
    running_va: float
    starting_va: float
    starts: str
    together: tuple[str, ...]
    leg_va: dict[str, float]
    start_together: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class UnprotectedLoad:
    """What stands on the grid's own board: it draws while the grid is up and nothing else feeds it.

    Parameters
    ----------
    load_w : float64 array, shape (years, n)
        Mean power demanded, deferrable loads at their usual hours. [W]
    appliance_names : tuple of str, length A
    appliance_w : float64 array, shape (A, n)
        Mean power of each appliance in the first year. [W]
    peak : Peak
    step_h : float
        [h]
    """

    load_w: np.ndarray
    appliance_names: tuple[str, ...]
    appliance_w: np.ndarray
    peak: Peak
    step_h: float

    @property
    def daily_kwh(self) -> float:
        """Mean daily energy demanded. [kWh/day]"""
        return float(self.load_w.mean() * 24 / 1000)


@dataclass(frozen=True, eq=False)
class LoadYear:
    """Demand of the protected board for each weather year: what bank and machines must carry.

    A home without a boundary has everything on it.

    Parameters
    ----------
    time : DatetimeIndex, shape (n,)
        Same clock as the weather's.
    step_h : float
        [h]
    load_w : float64 array, shape (years, n)
        Mean power demanded, deferrable loads left out. [W]
    critical_w : float64 array, shape (years, n)
        The part of `load_w` that is shed last. [W]
    appliance_names : tuple of str, length A
    appliance_w : float64 array, shape (A, n)
        Mean power of each appliance in the first year, deferrable ones at their usual hours. [W]
    deferrable : tuple of Deferrable
    peak : Peak
    provenance : str
    listed_daily_kwh : float, optional
        What the appliances of both boards take as they are listed, where a bill says the energy.
        [kWh/day]
    unprotected : UnprotectedLoad or None
        What stands on the grid's own board; None where nothing does.
    """

    time: pd.DatetimeIndex
    step_h: float
    load_w: np.ndarray
    critical_w: np.ndarray
    appliance_names: tuple[str, ...]
    appliance_w: np.ndarray
    deferrable: tuple[Deferrable, ...]
    peak: Peak
    provenance: str
    listed_daily_kwh: float | None = None
    unprotected: UnprotectedLoad | None = None

    @property
    def daily_kwh(self) -> float:
        """Mean daily energy demanded, deferrable loads included. [kWh/day]"""
        days = self.load_w.shape[1] * self.step_h / 24
        fixed = self.load_w.sum() * self.step_h / self.load_w.shape[0] / days / 1000
        return float(fixed + sum(d.daily_wh.mean() for d in self.deferrable) / 1000)

    @property
    def whole_daily_kwh(self) -> float:
        """Mean daily energy of both boards, as a meter or a bill has it. [kWh/day]"""
        return self.daily_kwh + (self.unprotected.daily_kwh if self.unprotected else 0.0)
