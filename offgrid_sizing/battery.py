"""The bank and the inverter-charger as limits and efficiencies the energy balance can use."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from offgrid_sizing.sketch import InverterCharger, Sketch
from offgrid_sizing.system import System

MONTH_H = 730.0
LEAST_SLOPE = 0.05  # DC power for more AC power, at least
PIECES = 3  # straight pieces of the inverter's curve that the kernel carries


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
    lies between `lowest_wh` and `full_wh` at any temperature. The bank is as warm as its room,
    or outdoors as the air, without thermal mass (on the safe side in a frost).
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


def bank_of(
    sketch: Sketch, system: System, temp_air: np.ndarray, *, health_frac: float = 1.0
) -> Bank:
    """The bank of a system in one year's air.

    Parameters
    ----------
    sketch, system : Sketch, System
    temp_air : float64 array, shape (n,)
        One year. [°C]
    health_frac : float
        Capacity left by age, 1 when new. Current limits do not age.
    """
    unit, place = sketch.equipment.battery, sketch.equipment.bank_place
    indoor = place.kind == "indoor"
    temp = np.full(len(temp_air), place.indoor_c) if indoor else np.asarray(temp_air, np.float64)
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

    `dc = min(ray × ac, max_k(a_k + b_k × ac))`, k = 1..3: straight pieces through the points of
    the efficiency curve; below the first point the efficiency stays that of the first point.
    """

    ray: float
    a: tuple[float, ...]
    b: tuple[float, ...]

    def dc_of(self, ac):
        """DC input for an AC output, both / rating."""
        pieces = [a + b * np.asarray(ac) for a, b in zip(self.a, self.b, strict=True)]
        return np.minimum(self.ray * np.asarray(ac), np.max(pieces, axis=0))

    def parameters(self, rated_w: float) -> dict[str, float]:
        """Names and values as the kernel's parameters want them."""
        pieces = enumerate(zip(self.a, self.b, strict=True), start=1)
        values = {"ray": self.ray}
        for k, (a, b) in pieces:
            values |= {f"a{k}": a * rated_w, f"b{k}": b}
        return values


def inverter_curve(inverter: InverterCharger) -> InverterCurve:
    """Straight pieces of loss for an efficiency curve.

    Notes
    -----
    The DC input through the points is taken as its lower convex hull, which leaves the points of
    a usual curve where they are within two parts in a thousand, and reduced to three pieces by
    dropping the corners that bend least. Where the first point is the best of the curve the hull
    begins at the origin, otherwise a line of constant efficiency joins it to the first point.
    """
    points = sorted({float(x): float(y) for x, y in inverter.efficiency_curve if x > 0}.items())
    points = points or [(1.0, inverter.efficiency_curve[0][1])]
    if points[-1][0] < 1.0:
        points.append((1.0, points[-1][1]))
    ac = np.array([x for x, _ in points])
    efficiency = np.clip([y for _, y in points], 0.01, 1.0)
    dc = ac / efficiency
    for k in range(1, len(dc)):  # more out never takes less in, whatever the sheet says
        dc[k] = max(dc[k], dc[k - 1] + LEAST_SLOPE * (ac[k] - ac[k - 1]))
    efficiency = ac / dc
    corners = list(zip(ac, dc, strict=True))
    worst, first_is_best = 1 / efficiency.min(), efficiency[0] >= efficiency.max()
    if first_is_best:
        corners, worst = [(0.0, 0.0), *corners], 1e30
    elif efficiency[0] <= efficiency.min():
        worst = 1 / efficiency[0]
    pieces = _pieces(corners)
    if pieces[0][0] < 0:  # a sheet so uneven that its first piece would begin below nothing
        pieces, worst = _pieces([(0.0, 0.0), *corners]), 1e30
    a, b = zip(*pieces, strict=True)
    return InverterCurve(float(worst), tuple(map(float, a)), tuple(map(float, b)))


def _pieces(corners) -> list[tuple[float, float]]:
    """Straight pieces (a, b) of the lower hull, PIECES of them, the last repeated where fewer."""
    hull = _fewer(_lower_hull(corners), PIECES + 1)
    pieces = []
    for (x0, y0), (x1, y1) in pairwise(hull):
        slope = (y1 - y0) / (x1 - x0)
        pieces.append((y0 - slope * x0, slope))
    return pieces + pieces[-1:] * (PIECES - len(pieces))


def _lower_hull(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Lower convex hull of points ordered by x: its corners from left to right."""
    hull: list[tuple[float, float]] = []
    for x, y in points:
        while len(hull) > 1:
            (x0, y0), (x1, y1) = hull[-2:]
            if (y1 - y0) * (x - x0) < (y - y0) * (x1 - x0):
                break
            hull.pop()
        hull.append((x, y))
    return hull


def _fewer(points, most):
    """Drop inner corners, each time the one nearest the line through its neighbours."""
    points = list(points)
    while len(points) > most:
        rise = []
        for (x0, y0), (x1, y1), (x2, y2) in zip(points, points[1:], points[2:], strict=False):
            rise.append(y0 + (y2 - y0) * (x1 - x0) / (x2 - x0) - y1)
        points.pop(1 + int(np.argmin(rise)))
    return points
