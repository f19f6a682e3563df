"""Who goes dark first: a year's unserved energy shared over the appliances by their priority."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import Trace
from offgrid_sizing.loads.appliance_year import appliance_year
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sketch import Appliance, Sketch
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence

ROUNDING_KWH = 1e-12  # of a year; less is no shortage
USUAL_PRIORITY = 5  # of demand that no row of the appliance table names, e.g. a metered load


@dataclass(frozen=True)
class GoesDark:
    """What one appliance missed in a year.

    Parameters
    ----------
    name : str
    critical : bool
    priority : int
        1 is shed last, 9 first; after everything that is not critical come the critical ones.
    unserved_kwh : float
    unserved_h : float
        Hours in which it missed at least a part of what it would have drawn. [h]
    """

    name: str
    critical: bool
    priority: int
    unserved_kwh: float
    unserved_h: float


@dataclass(frozen=True, eq=False)
class Demand:
    """A part of the home's demand that is shed together.

    Parameters
    ----------
    owner : int
        Row of the table the part belongs to.
    critical, priority : as in `GoesDark`
    power_w : float64 array, shape (n,)
    """

    owner: int
    critical: bool
    priority: int
    power_w: np.ndarray


def shed_by_priority(unserved_w: np.ndarray, demands: list[Demand]) -> list[np.ndarray]:
    """Share each step's unserved power over what wants to run then.

    Not critical before critical, priority 9 before 8 and so on down to 1; parts of one rank share
    in proportion to what they draw.

    Parameters
    ----------
    unserved_w : float64 array, shape (n,)
        At most the demands' sum in each step; their sum is shared without remainder. [W]
    demands : list of Demand

    Returns
    -------
    list of float64 arrays, shape (n,)
        What each part misses. [W]
    """
    left = np.array(unserved_w, dtype=float)
    missed = [np.zeros_like(left) for _ in demands]
    ranks = sorted({(one.critical, -one.priority) for one in demands})
    for rank in ranks:
        rows = [k for k, one in enumerate(demands) if (one.critical, -one.priority) == rank]
        wanted = sum(demands[k].power_w for k in rows)
        taken = np.minimum(left, wanted)
        share = np.divide(taken, wanted, out=np.zeros_like(left), where=wanted > 0)
        for k in rows:
            missed[k] = demands[k].power_w * share
        left = left - taken
    return missed


def who_goes_dark(simulation: Simulation) -> tuple[GoesDark, ...]:
    """The unserved energy of a simulated year by appliance, most first.

    Returns
    -------
    tuple of GoesDark
        Every appliance that missed something; their energies add up to the year's unserved
        energy. Empty when nothing was unserved.

    Notes
    -----
    The balance knows two ranks, critical and not; the order among appliances is laid over its
    result and changes no flow. It shares energy: really cutting whole appliances off sheds at
    least as much. In the first weather year appliances draw as listed in the load year; in any
    other one their use is worked out anew from that year's weather and then scaled step by step,
    critical and other ones apart, to that year's demand. A load that may wait counts with its own
    priority but never as critical, as in the balance, and only when its window forces it to run;
    where several are forced at once they share by the power of those whose window is open. A
    metered load in place of the appliances counts as one, its critical part apart.
    """
    trace, year = simulation.trace, simulation.year
    sketch, loads = simulation.sketch, simulation.inputs.loads
    dark = np.flatnonzero(trace["unserved_w"] > 0)
    if not len(dark):
        return ()
    table, demands = _demands(sketch, loads, simulation.inputs.weather, trace, year, dark)
    missed = shed_by_priority(trace["unserved_w"][dark], demands)
    rows = []
    for owner, (name, critical, priority) in enumerate(table):
        mine = [k for k, one in enumerate(demands) if one.owner == owner]
        lost = sum((missed[k] for k in mine), np.zeros(len(dark)))
        wanted = sum((demands[k].power_w for k in mine), np.zeros(len(dark)))
        hours = float(dark_steps(wanted, lost).sum()) * trace.step_h
        kwh = float(lost.sum()) * trace.step_h / 1000
        if kwh > ROUNDING_KWH:
            rows.append(GoesDark(name, critical, priority, kwh, hours))
    return tuple(sorted(rows, key=lambda one: -one.unserved_kwh))


def _demands(sketch, loads: LoadYear, weather: Weather, trace: Trace, year: int, dark):
    """(name, critical, priority) of each owner, and the parts of the demand in the dark steps."""
    critical = loads.critical_w[year][dark]
    other = loads.load_w[year][dark] - critical
    listed = sketch.loads.protected
    if loads.appliance_names == tuple(one.name for one in listed):
        table = [(one.name, one.critical, one.priority) for one in listed]
        parts = _listed(sketch, listed, loads, weather, year, dark, critical, other)
        waiting = [k for k, one in enumerate(listed) if one.deferrable]
    else:
        table, parts = _unlisted(loads, dark, critical, other)
        waiting = []
    for one in loads.deferrable[len(waiting) :]:
        waiting.append(len(table))
        table.append((one.name, False, USUAL_PRIORITY))
    forced = np.maximum(trace["load_w"] - loads.load_w[year], 0.0)[dark]
    return table, parts + _waiting(loads, table, waiting, forced, dark)


def _listed(
    sketch: Sketch, listed: tuple[Appliance, ...], loads, weather, year, dark, critical, other
) -> list[Demand]:
    """Appliances as listed, waiting ones with their standby only."""
    rows, later = loads.appliance_w, loads.deferrable
    if year > 0:
        anew = appliance_year(sketch, weather.year(year))
        rows, later = anew.appliance_w, anew.deferrable
    rows = rows[:, dark].copy()
    for k, one in zip([k for k, one in enumerate(listed) if one.deferrable], later, strict=True):
        rows[k] = np.maximum(rows[k] - one.usual_w[dark], 0.0)
    for wanted, which in ((critical, True), (other, False)):
        mine = [k for k, one in enumerate(listed) if one.critical == which]
        rows[mine] = _scaled_to(rows[mine], wanted)
    return [Demand(k, one.critical, one.priority, rows[k]) for k, one in enumerate(listed)]


def _scaled_to(rows: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Rows whose sum is this in each step; where none draws anything all share evenly."""
    if not len(rows):
        return rows
    total = rows.sum(axis=0)
    drawn = total > 0
    factor = np.divide(wanted, total, out=np.zeros_like(total), where=drawn)
    return np.where(drawn, rows * factor, wanted / len(rows))


def _unlisted(loads: LoadYear, dark, critical, other):
    """Each row of the load year in two parts, critical and not, by the load's own share."""
    rows = loads.appliance_w[:, dark]
    table: list[tuple[str, bool, int]] = []
    parts: list[Demand] = []
    for wanted, which in ((other, False), (critical, True)):
        if not wanted.any():
            continue
        for name, row in zip(loads.appliance_names, _scaled_to(rows, wanted), strict=True):
            parts.append(Demand(len(table), which, USUAL_PRIORITY, row))
            own = sentence("search.critical_part", name=name) if which else name
            table.append((own, which, USUAL_PRIORITY))
    return table, parts


def _waiting(loads: LoadYear, table, owners, forced: np.ndarray, dark) -> list[Demand]:
    """What loads that may wait were forced to draw, by the power of those whose window is open."""
    if not owners:
        return []
    powers = np.array([one.power_w for one in loads.deferrable])[:, None]
    able = powers * np.stack([one.window[dark] for one in loads.deferrable])
    rows = _scaled_to(able, forced)
    return [
        Demand(owner, False, table[owner][2], row) for owner, row in zip(owners, rows, strict=True)
    ]
