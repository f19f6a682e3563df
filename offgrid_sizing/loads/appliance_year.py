"""The load year of the appliance table: each appliance's power by step, added up."""

from dataclasses import replace

import numpy as np

from offgrid_sizing.loads.boundary import unprotected_peak
from offgrid_sizing.loads.calendar import civil_index, present_days
from offgrid_sizing.loads.drivers import factor
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.usage import Usage, usage_of
from offgrid_sizing.loads.variability import day_factors, step_factors
from offgrid_sizing.loads.year import Deferrable, LoadYear, UnprotectedLoad
from offgrid_sizing.sketch import Appliance, Sketch
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import said, sentence, together


class _Factors(dict):
    """Weather factors by group, worked out when first asked for."""

    def __init__(self, weather: Weather, room_c: float):
        super().__init__()
        self.weather, self.room_c = weather, room_c

    def __missing__(self, group: tuple):
        self[group] = factor(group, self.weather, self.room_c)
        return self[group]


class _Sum:
    """Loads added up while walking through the appliances; one total for each weather factor."""

    def __init__(self, steps: int):
        self.still_w = np.zeros(steps)
        self.driven_w: dict[tuple, np.ndarray] = {}

    def add(self, usage: Usage, row: np.ndarray) -> None:
        """Add one appliance whose power in the first year is `row`."""
        if usage.appliance.deferrable:
            self.still_w += usage.base_w
        elif not usage.driven_w:
            self.still_w += row
        else:
            self.still_w += usage.base_w + usage.still_w * usage.share
            total = self.driven_w.setdefault(usage.group, np.zeros_like(row))
            total += usage.driven_w * usage.share

    def over_years(self, factors: _Factors, years: int) -> np.ndarray:
        """float64 array, shape (years, n)"""
        load = np.repeat(self.still_w[None, :], years, axis=0)
        for group, total in self.driven_w.items():
            load += total * factors[group]
        return load


def _fill_row(row: np.ndarray, usage: Usage, factors: _Factors) -> None:
    """Write the mean power of one appliance in the first year. [W]"""
    swing = usage.still_w
    if usage.driven_w:
        swing = swing + usage.driven_w * factors[usage.group][0]
    np.multiply(usage.share, swing, out=row)
    row += usage.base_w


def _spread(daily_wh: np.ndarray, days: np.ndarray, room_wh: np.ndarray) -> np.ndarray:
    """Daily energies times day factors, each within its window's room, each year's sum kept."""
    wanted = daily_wh.sum(axis=1, keepdims=True)
    spread = daily_wh * days
    for _ in range(20):
        spread = np.minimum(spread, room_wh)
        total = spread.sum(axis=1, keepdims=True)
        if np.allclose(total, wanted, rtol=1e-12, atol=1e-9):
            break
        spread *= np.divide(wanted, total, out=np.ones_like(total), where=total > 0)
    return np.minimum(spread, room_wh)


def _deferrable(usage: Usage, factors: _Factors, days: np.ndarray) -> Deferrable:
    years, slots = days.shape[0], usage.share.size // 365
    swing_w = usage.still_w
    if usage.driven_w:
        swing_w = swing_w + usage.driven_w * factors[usage.group]
    power = np.broadcast_to(swing_w * usage.share, (years, usage.share.size))
    step_h = 24 / slots
    daily = power.reshape(years, 365, slots).sum(axis=2) * step_h
    window = usage.share > 0
    appliance = usage.appliance
    power_w = float(appliance.count * appliance.running_w)
    room_wh = window.reshape(365, slots).sum(axis=1) * step_h * power_w
    return Deferrable(
        appliance.name, power_w, window, _spread(daily, days, room_wh), power[0].copy()
    )


def _scaled(one: Deferrable, by: float, power_by: float) -> Deferrable:
    # More energy than its power gives within its window cannot be asked for.
    power_w = one.power_w * power_by
    room_wh = one.window.reshape(365, -1).mean(axis=1) * 24 * power_w
    daily_wh = np.minimum(one.daily_wh * by, room_wh)
    return Deferrable(one.name, power_w, one.window, daily_wh, one.usual_w * by)


def appliance_year(sketch: Sketch, weather: Weather) -> LoadYear:
    """The load year of the appliance table alone, metered files left aside.

    See `load_year` for shapes, errors and rules.
    """
    loads, step_h = sketch.loads, weather.step_h
    years, steps = weather.temp_air.shape
    there = present_days(loads.occupancy)
    civil = civil_index(sketch.site.civil_zone, sketch.site.offset_h, step_h)
    appliances, beside = loads.protected, loads.unprotected
    factors = _Factors(weather, loads.room_temperature_c)
    all_w, critical_w, beside_w, waiting = _Sum(steps), _Sum(steps), _Sum(steps), []
    rows = np.empty((len(appliances), steps))
    for row, appliance in zip(rows, appliances, strict=True):
        usage = usage_of(appliance, there, civil, steps // 365)
        _fill_row(row, usage, factors)
        all_w.add(usage, row)
        if appliance.critical:
            critical_w.add(usage, row)
        if appliance.deferrable:
            waiting.append(usage)
    beside_rows = np.empty((len(beside), steps))
    for row, appliance in zip(beside_rows, beside, strict=True):
        # Nothing there knows of surplus: what could wait runs at its usual hours.
        steady = appliance.model_copy(update={"deferrable": False})
        usage = usage_of(steady, there, civil, steps // 365)
        _fill_row(row, usage, factors)
        beside_w.add(usage, row)
    by = loads.scale * (1 + loads.growth_frac)
    load = all_w.over_years(factors, years) * by
    critical = critical_w.over_years(factors, years) * by
    unprotected = beside_w.over_years(factors, years) * by
    if by != 1:
        rows *= by
        beside_rows *= by
    spread = loads.variability
    if spread.day_sd_frac > 0 or spread.hour_sd_frac > 0:
        # One household, one spread: the whole home's energy is kept, whatever stands where.
        noise = step_factors(spread, load + unprotected)
        load, critical, unprotected = load * noise, critical * noise, unprotected * noise
        rows *= noise[0]
        beside_rows *= noise[0]
    days = day_factors(spread, years)
    later = tuple(_scaled(_deferrable(usage, factors, days), by, by) for usage in waiting)
    return LoadYear(
        time=weather.time,
        step_h=step_h,
        load_w=load,
        critical_w=critical,
        appliance_names=tuple(a.name for a in appliances),
        appliance_w=rows,
        deferrable=later,
        peak=peak_of(sketch),
        provenance=_provenance(sketch, len(loads.in_use), civil is not None),
        unprotected=_unprotected(sketch, unprotected, beside_rows, step_h),
    )


def _unprotected(
    sketch: Sketch, load_w: np.ndarray, rows: np.ndarray, step_h: float
) -> UnprotectedLoad | None:
    peak = unprotected_peak(sketch)
    if peak is None:
        return None
    names = tuple(one.name for one in sketch.loads.unprotected)
    return UnprotectedLoad(load_w, names, rows, peak, step_h)


def _provenance(sketch: Sketch, kinds: int, civil: bool) -> str:
    clock = (
        said("household.from.civil", zone=sketch.site.civil_zone)
        if civil
        else said("household.from.fixed")
    )
    spread = sketch.loads.variability
    if spread.day_sd_frac <= 0 and spread.hour_sd_frac <= 0:
        return sentence("household.from.appliances", kinds=kinds, clock=clock)
    return sentence(
        "household.from.appliances_spread",
        kinds=kinds,
        clock=clock,
        day=float(spread.day_sd_frac),
        hour=float(spread.hour_sd_frac),
        seed=spread.seed,
    )


def energy_of(sketch: Sketch, weather: Weather, appliance: Appliance) -> float:
    """What one appliance would take in the first weather year, were it alone. [kWh]"""
    appliance = appliance.model_copy(update={"board": "protected"})
    loads = sketch.loads.model_copy(update={"appliances": (appliance,)})
    alone = appliance_year(sketch.model_copy(update={"loads": loads}), weather)
    return float(usual_w(alone).sum() * alone.step_h / 1000)


def usual_w(year: LoadYear) -> np.ndarray:
    """The first year's protected load with what may wait at its usual hours, shape (n,). [W]"""
    return year.load_w[0] + sum((one.usual_w for one in year.deferrable), np.zeros(len(year.time)))


def whole_w(year: LoadYear) -> np.ndarray:
    """The first year's load of both boards together, as a meter would see it, shape (n,). [W]"""
    beside = year.unprotected
    return usual_w(year) if beside is None else usual_w(year) + beside.load_w[0]


def scaled_year(year: LoadYear, by: float, provenance: str) -> LoadYear:
    """A load year with all its energy times `by`; the peak stays, since the appliances do."""
    beside = year.unprotected
    if beside is not None:
        beside = replace(beside, load_w=beside.load_w * by, appliance_w=beside.appliance_w * by)
    return replace(
        year,
        unprotected=beside,
        load_w=year.load_w * by,
        critical_w=year.critical_w * by,
        appliance_w=year.appliance_w * by,
        deferrable=tuple(_scaled(one, by, power_by=1.0) for one in year.deferrable),
        provenance=together(provenance, sentence("meter.times_energy", factor=float(by))),
    )
