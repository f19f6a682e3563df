"""From a sketch's household to its load year: power by step for every weather year."""

from dataclasses import dataclass, field

import numpy as np

from offgrid_sizing.loads.calendar import civil_index, present_days
from offgrid_sizing.loads.drivers import factor
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.usage import Usage, usage_of
from offgrid_sizing.loads.variability import day_factors, step_factors
from offgrid_sizing.loads.year import Deferrable, LoadYear
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.weather.series import Weather


@dataclass
class _Sum:
    """Loads added up while walking through the appliances; one total for each weather factor."""

    steps: int
    still_w: np.ndarray = field(init=False)
    driven_w: dict = field(default_factory=dict)

    def __post_init__(self):
        self.still_w = np.zeros(self.steps)

    def add(self, usage: Usage, only_standby: bool = False) -> None:
        self.still_w += usage.base_w
        if only_standby:
            return
        if usage.still_w:
            self.still_w += usage.still_w * usage.share
        if usage.driven_w:
            total = self.driven_w.setdefault(usage.group, np.zeros(self.steps))
            total += usage.driven_w * usage.share

    def over_years(self, factors: dict, years: int) -> np.ndarray:
        """float64 array, shape (years, n)"""
        load = np.repeat(self.still_w[None, :], years, axis=0)
        for group, total in self.driven_w.items():
            load += total * factors[group]
        return load


def _row(usage: Usage, factors: dict) -> np.ndarray:
    """Mean power of one appliance in the first year. [W]"""
    swing = usage.still_w
    if usage.driven_w:
        swing = swing + usage.driven_w * factors[usage.group][0]
    return usage.base_w + swing * usage.share


def _deferrable(usage: Usage, factors: dict, days: np.ndarray) -> Deferrable:
    years, slots = days.shape[0], usage.share.size // 365
    swing_w = usage.still_w
    if usage.driven_w:
        swing_w = swing_w + usage.driven_w * factors[usage.group]
    power = np.broadcast_to(swing_w * usage.share, (years, usage.share.size))
    step_h = 24 / slots
    daily = power.reshape(years, 365, slots).sum(axis=2) * step_h
    before = daily.sum(axis=1, keepdims=True)
    daily = daily * days
    after = daily.sum(axis=1, keepdims=True)
    daily *= np.divide(before, after, out=np.ones_like(after), where=after > 0)
    window = usage.share > 0
    appliance = usage.appliance
    power_w = float(appliance.count * appliance.running_w)
    room_wh = window.reshape(365, slots).sum(axis=1) * step_h * power_w
    return Deferrable(appliance.name, power_w, window, np.minimum(daily, room_wh))


def _scaled(deferrable: Deferrable, by: float) -> Deferrable:
    return Deferrable(
        deferrable.name, deferrable.power_w * by, deferrable.window, deferrable.daily_wh * by
    )


def appliance_year(sketch: Sketch, weather: Weather) -> LoadYear:
    """The load year of the appliance table alone, metered files left aside.

    See `load_year` for shapes, errors and rules.
    """
    loads, step_h = sketch.loads, weather.step_h
    years, steps = weather.temp_air.shape
    there = present_days(loads.occupancy)
    civil = civil_index(sketch.site.civil_zone, sketch.site.offset_h, step_h)
    appliances = [a for a in loads.appliances if a.count > 0]
    usages = [usage_of(a, there, civil, steps // 365) for a in appliances]
    factors = {
        group: factor(group, weather, loads.room_temperature_c)
        for group in {usage.group for usage in usages if usage.driven_w}
    }
    all_w, critical_w = _Sum(steps), _Sum(steps)
    rows = np.empty((len(usages), steps))
    for row, usage in zip(rows, usages, strict=True):
        row[:] = _row(usage, factors)
        all_w.add(usage, usage.appliance.deferrable)
        if usage.appliance.critical:
            critical_w.add(usage, usage.appliance.deferrable)
    by = loads.scale * (1 + loads.growth_frac)
    load = all_w.over_years(factors, years) * by
    critical = critical_w.over_years(factors, years) * by
    if by != 1:
        rows *= by
    spread = loads.variability
    if spread.day_sd_frac > 0 or spread.hour_sd_frac > 0:
        noise = step_factors(spread, load)
        load, critical = load * noise, critical * noise
        rows *= noise[0]
    days = day_factors(spread, years)
    later = tuple(
        _scaled(_deferrable(usage, factors, days), by)
        for usage in usages
        if usage.appliance.deferrable
    )
    return LoadYear(
        time=weather.time,
        step_h=step_h,
        load_w=load,
        critical_w=critical,
        appliance_names=tuple(a.name for a in appliances),
        appliance_w=rows,
        deferrable=later,
        peak=peak_of(sketch),
        provenance=_provenance(sketch, len(appliances), civil is not None),
    )


def _provenance(sketch: Sketch, kinds: int, civil: bool) -> str:
    clock = f"habits follow {sketch.site.civil_zone} time" if civil else "no daylight saving"
    spread = sketch.loads.variability
    noise = ""
    if spread.day_sd_frac > 0 or spread.hour_sd_frac > 0:
        noise = (
            f", day-to-day spread {spread.day_sd_frac:.0%} and hour-to-hour "
            f"{spread.hour_sd_frac:.0%} (seed {spread.seed}), the year's energy kept"
        )
    return f"Added up from {kinds} kinds of appliance and their hours; {clock}{noise}."


def load_year(sketch: Sketch, weather: Weather, *, base_dir=None) -> LoadYear:
    """The household's demand for each weather year.

    Appliances by their hours, days, months, weather and who is there; a metered file replaces or
    scales them where the sketch names one; loads that may wait are kept apart.

    Parameters
    ----------
    sketch : Sketch
    weather : Weather
        Sets clock, step and number of years; arrays of shape (years, n).
    base_dir : path, optional
        Folder in which a relative metered file is looked for.

    Returns
    -------
    LoadYear
        `load_w` and `critical_w` of shape (years, n). [W]

    Raises
    ------
    BadInput
        Nothing to compute from, run times that do not fit, an unknown civil zone, or a metered
        file that cannot be read.

    Notes
    -----
    Mean power while on is `running_w × duty_frac`; otherwise the appliance draws `standby_w`.
    While nobody is there only what has no hours of its own or is critical runs; standby stays.
    Weather rules and their sources: `loads.drivers`.
    """
    if not sketch.loads.appliances and sketch.loads.metered is None:
        raise BadInput(
            "loads.appliances is empty: add at least one appliance, choose a household, or name a "
            "metered file."
        )
    return appliance_year(sketch, weather)
