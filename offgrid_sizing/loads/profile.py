"""From a sketch's household to its load year: power by step for every weather year."""

from dataclasses import dataclass, field, replace

import numpy as np

from offgrid_sizing.loads.calendar import MONTH, civil_index, present_days
from offgrid_sizing.loads.drivers import factor
from offgrid_sizing.loads.meter import metered_load, metered_year
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.usage import Usage, usage_of
from offgrid_sizing.loads.variability import day_factors, step_factors
from offgrid_sizing.loads.year import Deferrable, LoadYear, Peak
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
    return Deferrable(appliance.name, power_w, window, np.minimum(daily, room_wh), power[0].copy())


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
        _scaled(_deferrable(usage, factors, days), by, by)
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
    if sketch.loads.metered is None:
        return appliance_year(sketch, weather)
    return _metered(sketch, weather, base_dir)


def usual_w(year: LoadYear) -> np.ndarray:
    """The first year's load with what may wait at its usual hours, shape (n,). [W]"""
    return year.load_w[0] + sum((one.usual_w for one in year.deferrable), np.zeros(len(year.time)))


def _month_shape(year: LoadYear) -> np.ndarray:
    daily = usual_w(year).reshape(365, -1).mean(axis=1)
    return np.array([daily[month == MONTH].mean() for month in range(1, 13)])


def _metered(sketch: Sketch, weather: Weather, base_dir) -> LoadYear:
    """The load year of a metered file, alone or together with the appliances."""
    loads, wanted = sketch.loads, sketch.loads.metered
    drawn = any(a.count for a in loads.appliances)
    table = appliance_year(sketch, weather) if drawn else None
    if table is None and wanted.use != "replace":
        raise BadInput(
            "loads.appliances is empty, so there is nothing to scale: add appliances, or let the "
            "metered file replace them."
        )
    found = metered_load(
        wanted,
        base_dir=base_dir,
        civil_zone=sketch.site.civil_zone,
        utc_offset_h=sketch.site.offset_h,
    )
    power, notes = metered_year(
        found, weather.step_h, None if table is None else _month_shape(table)
    )
    power = power * loads.scale * (1 + loads.growth_frac)
    said = " ".join([_about(found.report), *notes])
    if wanted.use == "scale_appliances":
        return scaled_year(
            table, power.sum() / usual_w(table).sum(), "The appliances' year. " + said
        )
    if wanted.use == "scale_metered":
        power *= usual_w(table).sum() / power.sum()
        said += " Scaled to the appliances' energy."
    return _replaced(sketch, weather, power, table, said)


def _about(report: dict) -> str:
    return (
        f"Metered file {report['file']}, {report['first'][:10]} to {report['last'][:10]}, "
        f"{report['daily_kwh']:.3g} kWh a day."
    )


def _replaced(sketch, weather, power, table, said) -> LoadYear:
    years = weather.temp_air.shape[0]
    load = np.repeat(power[None], years, axis=0)
    spread = sketch.loads.variability
    if spread.day_sd_frac > 0 or spread.hour_sd_frac > 0:
        load *= step_factors(spread, load)
    critical = np.zeros_like(load) if table is None else np.minimum(table.critical_w, load)
    peak = peak_of(sketch)
    highest = float(load.max())
    if peak.running_va < highest:
        length = f"{weather.step_h * 60:g} min"
        peak = Peak(
            highest, highest, max(highest, peak.starting_va), peak.starts,
            (f"metered load, highest mean over {length}: the true peak is higher",),
            {leg: highest / len(peak.leg_va) for leg in peak.leg_va},
        )  # fmt: skip
    return LoadYear(
        time=weather.time,
        step_h=weather.step_h,
        load_w=load,
        critical_w=critical,
        appliance_names=("Metered load",),
        appliance_w=load[:1].copy(),
        deferrable=(),
        peak=peak,
        provenance=said,
    )


def scaled_year(year: LoadYear, by: float, provenance: str) -> LoadYear:
    """A load year with all its energy times `by`; the peak stays, since the appliances do."""
    return replace(
        year,
        load_w=year.load_w * by,
        critical_w=year.critical_w * by,
        appliance_w=year.appliance_w * by,
        deferrable=tuple(_scaled(one, by, power_by=1.0) for one in year.deferrable),
        provenance=f"{provenance} Energy times {by:.3g}.",
    )
