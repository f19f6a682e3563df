"""From a sketch's household to its load year: appliances, a metered file, or both."""

import numpy as np

from offgrid_sizing.loads.appliance_year import appliance_year, scaled_year, whole_w
from offgrid_sizing.loads.bill import billed_year
from offgrid_sizing.loads.boundary import check_boundary
from offgrid_sizing.loads.calendar import MONTH
from offgrid_sizing.loads.meter import metered_load, metered_year
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.variability import step_factors
from offgrid_sizing.loads.year import LoadYear, Peak
from offgrid_sizing.sketch import BadInput, MeteredLoad, Sketch
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence, together

# The largest generator a sketch may hold (10 MW) must still carry it with a quarter to spare.
HIGHEST_LOAD_W = 8_000_000.0


def load_year(sketch: Sketch, weather: Weather, *, base_dir=None) -> LoadYear:
    """The household's demand for each weather year.

    Appliances by their hours, days, months, weather and who is there; a metered file replaces or
    scales them where the sketch names one, and a bill stretches them to its energy; loads that
    may wait are kept apart, and so is what stands on the unprotected supply: it is not in any of
    these figures but in `unprotected`.

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
        Nothing to compute from, a boundary that cannot be (`boundary.check_boundary`), more than
        8 MW at once, run times that do not fit, an unknown civil zone, or a metered file that
        cannot be read.

    Notes
    -----
    Mean power while on is `running_w × duty_frac`; otherwise the appliance draws `standby_w`.
    While nobody is there only what has no hours of its own or is critical runs; standby stays.
    Weather rules and their sources: `loads.drivers`.
    """
    if not sketch.loads.appliances and sketch.loads.metered is None:
        alone = "bill_alone" if sketch.loads.has_bill else "nothing"
        raise BadInput(sentence(f"household.{alone}"))
    check_boundary(sketch)
    if sketch.loads.metered is None:
        year = appliance_year(sketch, weather)
        year = billed_year(year, sketch.loads) if sketch.loads.has_bill else year
    else:
        year = _metered(sketch, sketch.loads.metered, weather, base_dir)
    beside = year.unprotected
    highest = float((year.load_w if beside is None else year.load_w + beside.load_w).max())
    if highest > HIGHEST_LOAD_W:
        most = HIGHEST_LOAD_W / 1e6
        raise BadInput(sentence("household.too_much", highest=highest / 1e6, most=most))
    return year


def _month_shape(year: LoadYear) -> np.ndarray:
    daily = whole_w(year).reshape(365, -1).mean(axis=1)
    return np.array([daily[month == MONTH].mean() for month in range(1, 13)])


def _metered(sketch: Sketch, wanted: MeteredLoad, weather: Weather, base_dir) -> LoadYear:
    """The load year of a metered file, alone or together with the appliances."""
    loads = sketch.loads
    table = appliance_year(sketch, weather) if loads.in_use else None
    if table is None and wanted.use != "replace":
        raise BadInput(sentence("meter.nothing_to_scale"))
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
    about = (_about(found.report), *notes)
    if table is not None and wanted.use == "scale_appliances":
        factor = power.sum() / whole_w(table).sum()
        return scaled_year(table, factor, together(sentence("meter.appliances_scaled"), *about))
    if table is not None and wanted.use == "scale_metered":
        power *= whole_w(table).sum() / power.sum()
        about = (*about, sentence("meter.scaled_to_appliances"))
    return _replaced(sketch, weather, power, table, together(*about))


def _about(report: dict) -> str:
    return sentence(
        "meter.in_use",
        file=report["file"],
        first=report["first"][:10],
        last=report["last"][:10],
        daily=report["daily_kwh"],
    )


def _replaced(sketch, weather, power, table, provenance) -> LoadYear:
    years = weather.temp_air.shape[0]
    load = np.repeat(power[None], years, axis=0)
    spread = sketch.loads.variability
    if spread.day_sd_frac > 0 or spread.hour_sd_frac > 0:
        load *= step_factors(spread, load)
    critical = np.zeros_like(load) if table is None else np.minimum(table.critical_w, load)
    peak = peak_of(sketch)
    highest = float(load.max())
    if peak.running_va < highest:
        hidden = sentence("meter.peak_hidden", minutes=weather.step_h * 60)
        peak = Peak(
            highest,
            highest,
            max(highest, peak.starting_va),
            peak.starts,
            (hidden,),
            {leg: highest / len(peak.leg_va) for leg in peak.leg_va},
            peak.start_together if peak.starting_va > highest else (hidden,),
        )
    return LoadYear(
        time=weather.time,
        step_h=weather.step_h,
        load_w=load,
        critical_w=critical,
        appliance_names=(sentence("meter.load_name"),),
        appliance_w=load[:1].copy(),
        deferrable=(),
        peak=peak,
        provenance=provenance,
    )
