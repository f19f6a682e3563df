"""The bank and the inverter-charger as limits and efficiencies the energy balance can use."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.bank_warmth import bank_temperature_c
from offgrid_sizing.dispatch.kernels import BENDS
from offgrid_sizing.dispatch.params import is_long
from offgrid_sizing.sketch import InverterCharger, Sketch
from offgrid_sizing.system import System
from offgrid_sizing.weather.series import Weather

MONTH_H = 730.0
LEAST_SLOPE = 0.05  # DC power for more AC power, at least
CORNERS = BENDS + 1  # of the inverter's curve that the kernel carries


@dataclass(frozen=True, eq=False)
class Bank:
    """What a bank can hold, give and take.

    Parameters
    ----------
    full_wh, lowest_wh : float
        Stored energy when full, at present health, and the least that discharge may leave.
    nominal_v : float
        Series count × unit voltage. [V]
    charge_w, discharge_w : float
        Limits at the bank's terminals, from the units' currents. [W]
    floor_frac : float64 array, shape (n,)
        Least state of charge that can be drawn down to at this step's temperature.
    charge_ok, discharge_ok : float64 arrays, shape (n,)
        0 where it is too cold or too hot, else 1.
    charge_efficiency_frac, discharge_efficiency_frac : float
        Energy, one way.
    leak_frac : float
        Share of the stored energy above the floor lost in one step: so much that a full bank
        loses the stated share of its energy in a month of rest, and one at its floor nothing.
    standby_w : float
        Draw of the units' own electronics. [W]
    temp_c : float64 array, shape (n,)
        Temperature of the bank. [°C]

    Notes
    -----
    Cold takes nothing out of the bank, it makes the last part unavailable: with capacity share
    c(T) the floor rises from 1 − DoD to 1 − DoD × c(T), the ceiling stays. Stored energy thus
    lies between `lowest_wh` and `full_wh` at any temperature. How warm the bank is: `bank_warmth`.
    """

    full_wh: float
    lowest_wh: float
    nominal_v: float
    charge_w: float
    discharge_w: float
    floor_frac: np.ndarray
    charge_ok: np.ndarray
    discharge_ok: np.ndarray
    charge_efficiency_frac: float
    discharge_efficiency_frac: float
    leak_frac: float
    standby_w: float
    temp_c: np.ndarray


def bank_in(
    sketch: Sketch, system: System, weather: Weather, year: int, *, health_frac: float = 1.0
) -> Bank:
    """The bank of a system in one year of the weather; parameters as in `bank_of`."""
    air, ghi = weather.temp_air[year], weather.ghi[year]
    return bank_of(sketch, system, air, ghi=ghi, health_frac=health_frac)


def bank_of(
    sketch: Sketch,
    system: System,
    temp_air: np.ndarray,
    *,
    ghi: np.ndarray | None = None,
    health_frac: float = 1.0,
) -> Bank:
    """The bank of a system in one year's air.

    Parameters
    ----------
    sketch, system : Sketch, System
    temp_air : float64 array, shape (n,)
        One year. [°C]
    ghi : float64 array, shape (n,), optional
        The same year's light, which warms a cupboard. [W/m²]
    health_frac : float
        Capacity left by age, 1 when new. Current limits do not age.
    """
    unit = sketch.equipment.battery
    temp = bank_temperature_c(sketch.equipment.bank_place, temp_air, ghi)
    full = unit.energy_wh * system.units * health_frac
    volts = unit.nominal_v * system.units_in_series
    share = np.minimum(np.interp(temp, *np.transpose(sorted(unit.capacity_vs_temp))), 1.0)
    step_h = 8760 / len(temp_air)
    low = 1.0 - unit.usable_dod_frac
    # a full bank begins to lose the stated share of all it holds
    monthly = min(unit.self_discharge_per_month_frac / unit.usable_dod_frac, 0.999)
    return Bank(
        full_wh=full,
        lowest_wh=full * low,
        nominal_v=volts,
        charge_w=unit.max_charge_a * system.units_in_parallel * volts,
        discharge_w=unit.max_discharge_a * system.units_in_parallel * volts,
        floor_frac=np.maximum(1.0 - unit.usable_dod_frac * share, low),
        charge_ok=((temp >= unit.min_charge_c) & (temp <= unit.max_charge_c)).astype(float),
        discharge_ok=((temp >= unit.min_discharge_c) & (temp <= unit.max_discharge_c)).astype(
            float
        ),
        charge_efficiency_frac=unit.charge_efficiency_frac,
        discharge_efficiency_frac=unit.discharge_efficiency_frac,
        leak_frac=1.0 - (1.0 - monthly) ** (step_h / MONTH_H),
        standby_w=unit.standby_w * system.units,
        temp_c=temp,
    )


@dataclass(frozen=True)
class InverterCurve:
    """DC input of an inverter against its AC output, both as a share of the rating.

    Parameters
    ----------
    corners : tuple of (float, float)
        (AC output, DC input) of each stated point, rising in both. Between them, and from the
        origin to the first, the line is straight: below the first point the efficiency stays
        that of the first point.
    """

    corners: tuple[tuple[float, float], ...]

    def dc_of(self, ac):
        """DC input for an AC output up to the last corner, both / rating."""
        x, y = zip((0.0, 0.0), *self.corners, strict=True)
        return np.interp(ac, x, y)


def inverter_curve(inverter: InverterCharger) -> InverterCurve:
    """The efficiency curve as a line of DC input through its points.

    Notes
    -----
    Every stated point is met exactly, up to CORNERS of them; of a longer sheet the points that
    bend the line least are left out. A last point below the rating is carried on to it at its
    own efficiency. More out never takes less in, whatever the sheet says.
    """
    points = sorted({float(x): float(y) for x, y in inverter.efficiency_curve if x > 0}.items())
    points = points or [(1.0, inverter.efficiency_curve[0][1])]
    if points[-1][0] < 1.0:
        points.append((1.0, points[-1][1]))
    corners = [(0.0, 0.0)]
    for ac, efficiency in points:
        before_ac, before_dc = corners[-1]
        least = before_dc + LEAST_SLOPE * (ac - before_ac)
        corners.append((ac, max(ac / min(max(efficiency, 0.01), 1.0), least)))
    return InverterCurve(tuple(_fewer(corners, CORNERS + 1)[1:]))


def has_long_sheet(inverter: InverterCharger) -> bool:
    """Whether the loops for longer efficiency sheets run it (`dispatch.warm_kernels`)."""
    return is_long(inverter_curve(inverter).corners)


def _fewer(points, most):
    """Drop inner corners, each time the one nearest the line through its neighbours."""
    points = list(points)
    while len(points) > most:
        off = []
        for (x0, y0), (x1, y1), (x2, y2) in zip(points, points[1:], points[2:], strict=False):
            off.append(abs(y0 + (y2 - y0) * (x1 - x0) / (x2 - x0) - y1))
        points.pop(1 + int(np.argmin(off)))
    return points
