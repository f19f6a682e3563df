"""Measured against expected, day by day and month by month, corrected for the real weather."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from offgrid_sizing.followup.causes import Cause, likely_causes
from offgrid_sizing.followup.logger import Logger
from offgrid_sizing.followup.marks import hours_by_day, marks_of, without_false
from offgrid_sizing.metrics import performance_ratio
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sketch import BadInput, Module
from offgrid_sizing.system import array_peak_w
from offgrid_sizing.words import sentence

ENOUGH_COVERAGE = 0.9  # common practice, no source: days with fewer readings are not judged
ENERGIES = ("pv", "load", "bank_in", "bank_out", "grid", "unserved")


@dataclass(frozen=True, eq=False)
class FollowUp:
    """What was promised and what came.

    Parameters
    ----------
    daily, monthly : DataFrame
        Index: date, or first day of the month. For each of `ENERGIES` that was logged `<x>_kwh`
        and `<x>_expected_kwh`; `coverage`; with irradiance `reference_yield_h`,
        `array_yield_h`, `performance_ratio`, `performance_ratio_25c`; of each day, where the
        array was logged, `pv_<kind>_h` for each of `marks.KINDS`: hours of such readings;
        `pv_new_share_frac` on the day of a step in the array's share.
    days_judged : int
        Days with enough readings.
    weather_corrected : bool
        Whether measured irradiance took the place of the sketch's weather.
    performance_ratio, performance_ratio_25c, expected_ratio_25c : float or None
        Of all days judged; array energy over reference yield (IEC 61724-1), the second and third
        with cells brought to 25 °C. None without irradiance.
    ratio : dict of str to float
        Measured over expected energy of all days judged.
    causes : tuple of Cause
        Most likely first.
    notes : tuple of str
    """

    daily: pd.DataFrame
    monthly: pd.DataFrame
    days_judged: int
    weather_corrected: bool
    performance_ratio: float | None
    performance_ratio_25c: float | None
    expected_ratio_25c: float | None
    ratio: dict[str, float]
    causes: tuple[Cause, ...]
    notes: tuple[str, ...]


def cell_from_air_c(module: Module, air_c, poa_w_per_m2):
    """Cell temperature from air and light: T_a + (NOCT − 20) / 800 × G. [°C]

    The NOCT model (Duffie & Beckman, from memory), for loggers without a sensor on a module.
    """
    return air_c + (module.noct_c - 20) / 800 * poa_w_per_m2


def _expected_frame(simulation: Simulation) -> pd.DataFrame:
    """The simulated year's flows, W, with month, day and hour to look them up."""
    flows, equipment = simulation.trace.columns, simulation.sketch.equipment
    ac_in = flows["grid_to_bank_w"] + flows["generator_to_bank_w"]
    output, year = simulation.inputs.output, simulation.year
    weights = np.array([plane.modules for plane in simulation.system.planes], dtype=float)
    weights = weights / weights.sum() if weights.sum() else weights
    frame = pd.DataFrame(
        {
            "available": flows["pv_available_w"],
            "pv": flows["pv_available_w"] - flows["curtailed_w"],
            "load": flows["load_w"] - flows["unserved_w"],
            "bank_in": flows["pv_to_bank_w"] * equipment.controller.efficiency_frac
            + ac_in * equipment.inverter.charger_efficiency_frac,
            "bank_out": flows["bank_to_load_w"] + flows["bank_to_standby_w"],
            "grid": flows["grid_import_w"],
            "unserved": flows["unserved_w"],
            "poa": np.tensordot(weights, output.poa_global[:, year], axes=1),
            "cell": np.tensordot(weights, output.temp_cell[:, year], axes=1),
        },
        index=simulation.time,
    )
    frame["day"] = frame.index.strftime("%m-%d")
    return frame


def _light_at_25c(module: Module, poa: np.ndarray, cell_c: np.ndarray) -> np.ndarray:
    """Irradiance scaled by the power's temperature factor, in suns (IEC 61724-1, C_k × G)."""
    return poa / 1000 * (1 + module.gamma_pmp_per_k * (cell_c - 25))


def _measured_days(logger: Logger, simulation: Simulation) -> pd.DataFrame:
    """Energies, coverage and yields of each day. [kWh], [h]"""
    step_h, module = logger.step_h, simulation.sketch.equipment.module
    frame = pd.DataFrame(logger.values, index=logger.time)
    powers = [name for name in ENERGIES if name in frame]
    date = frame.index.floor("D")
    main = frame[powers[0]]
    per_day = max(1, round(24 / step_h))
    days = pd.DataFrame({"coverage": main.notna().groupby(date).sum() / per_day})
    for name in powers:
        mean_w = frame[name].groupby(date).mean()
        days[f"{name}_kwh"] = mean_w * 24 / 1000
    if "poa" in frame:
        light = frame["poa"].clip(lower=0)
        days["reference_yield_h"] = (light / 1000).groupby(date).mean() * 24
        cell = _cell_c(frame, simulation)
        at_25c = pd.Series(_light_at_25c(module, light.to_numpy(), cell), index=frame.index)
        days["reference_yield_25c_h"] = at_25c.groupby(date).mean() * 24
    days["coverage"] = days["coverage"].clip(upper=1.0)
    return days


def _cell_c(frame: pd.DataFrame, simulation: Simulation) -> np.ndarray:
    """Measured cell temperature, or the NOCT model on measured or usual air."""
    module = simulation.sketch.equipment.module
    light = frame["poa"].clip(lower=0).to_numpy()
    if "cell" in frame:
        return frame["cell"].to_numpy()
    if "air" in frame:
        return cell_from_air_c(module, frame["air"].to_numpy(), light)
    weather = simulation.inputs.weather
    air = pd.Series(weather.temp_air[simulation.year], index=weather.time)
    monthly = air.groupby(air.index.month).mean()
    return cell_from_air_c(module, monthly.reindex(frame.index.month).to_numpy(), light)


def _expected_days(
    days: pd.DataFrame, expected: pd.DataFrame, simulation: Simulation
) -> pd.DataFrame:
    """Expected energies of each measured day, the array's by the measured light where there."""
    step_h = simulation.trace.step_h
    names = ["available", *ENERGIES]
    by_day = expected.groupby("day")[names].sum() * step_h / 1000
    keys = days.index.strftime("%m-%d").where(days.index.strftime("%m-%d") != "02-29", "02-28")
    same_day = by_day.reindex(keys).set_axis(days.index)
    module = simulation.sketch.equipment.module
    peak_kw = array_peak_w(simulation.sketch, simulation.system) / 1000
    if "reference_yield_25c_h" in days and peak_kw > 0:
        light = pd.Series(
            _light_at_25c(module, expected["poa"].to_numpy(), expected["cell"].to_numpy()),
            index=expected.index,
        )
        month = expected.index.month
        at_25c_h = light.groupby(month).sum() * step_h
        available = expected["available"].groupby(month).sum() * step_h / 1000
        used = expected["pv"].groupby(month).sum() * step_h / 1000
        # a month without sun in the sketch expects nothing whatever was measured
        per_sun = (available / (peak_kw * at_25c_h)).fillna(0.0)
        share = (used / available).fillna(0.0)
        months = days.index.month
        same_day["available"] = (
            days["reference_yield_25c_h"].to_numpy() * peak_kw * per_sun.reindex(months).to_numpy()
        )
        same_day["pv"] = same_day["available"] * share.reindex(months).to_numpy()
    return same_day


def _joined(days: pd.DataFrame, same_day: pd.DataFrame, peak_kw: float) -> pd.DataFrame:
    for name in ENERGIES:
        if f"{name}_kwh" in days:
            days[f"{name}_expected_kwh"] = same_day[name].to_numpy()
    if "pv_kwh" in days:
        days["pv_available_expected_kwh"] = same_day["available"].to_numpy()
        if peak_kw > 0:
            days["array_yield_h"] = days["pv_kwh"] / peak_kw
    if "reference_yield_h" in days and "array_yield_h" in days:
        days["performance_ratio"] = days["array_yield_h"] / days["reference_yield_h"].where(
            days["reference_yield_h"] > 0
        )
        days["performance_ratio_25c"] = days["array_yield_h"] / days["reference_yield_25c_h"].where(
            days["reference_yield_25c_h"] > 0
        )
    return days


def _by_month(days: pd.DataFrame) -> pd.DataFrame:
    judged = days[days["coverage"] >= ENOUGH_COVERAGE]
    sums = [c for c in days if c.endswith(("_kwh", "_yield_h", "_25c_h"))]
    grouped = judged.groupby(judged.index.to_period("M").to_timestamp())
    monthly = grouped[sums].sum()
    monthly["days"] = grouped.size()
    monthly["coverage"] = grouped["coverage"].mean()
    if "reference_yield_h" in monthly and "array_yield_h" in monthly:
        light, light_25c = monthly["reference_yield_h"], monthly["reference_yield_25c_h"]
        monthly["performance_ratio"] = monthly["array_yield_h"] / light.where(light > 0)
        monthly["performance_ratio_25c"] = monthly["array_yield_h"] / light_25c.where(light_25c > 0)
    return monthly


def _ratios(judged: pd.DataFrame) -> dict[str, float]:
    found = {}
    for name in ENERGIES:
        if f"{name}_kwh" in judged:
            expected = float(judged[f"{name}_expected_kwh"].sum())
            if expected > 0:
                found[name] = float(judged[f"{name}_kwh"].sum()) / expected
    return found


def compare(logger: Logger, simulation: Simulation) -> FollowUp:
    """Hold a logger's record against the simulated year of the sketch.

    With irradiance on the modules the expected array energy is that of the measured light and
    temperature; without it, that of the same day of the sketch's year, which is only fair over
    months. Bank and loads are compared with the same days of the sketch's year.

    Parameters
    ----------
    logger : Logger
    simulation : Simulation
        Of the system as installed.

    Raises
    ------
    BadInput
        Without an array in the sketch where the array was logged, or without a full day.

    References
    ----------
    IEC 61724-1: performance ratio, temperature-corrected with the module's power coefficient.
    """
    peak_kw = array_peak_w(simulation.sketch, simulation.system) / 1000
    if "pv" in logger.values and peak_kw == 0:
        raise BadInput(sentence("logger.compared.no_module"))
    expected = _expected_frame(simulation)
    marks = marks_of(logger)
    logger = without_false(logger, marks)
    days = _measured_days(logger, simulation)
    days = _joined(days, _expected_days(days, expected, simulation), peak_kw)
    days = days.join(hours_by_day(logger, marks))
    judged = days[days["coverage"] >= ENOUGH_COVERAGE]
    if judged.empty:
        raise BadInput(
            sentence("logger.compared.no_full_day", file=logger.name, share=ENOUGH_COVERAGE)
        )
    corrected = "reference_yield_25c_h" in days and "pv_kwh" in days
    ratio = _ratios(judged)
    measured, at_25c, promised = _performance(judged, expected, simulation, peak_kw)
    left_out = len(days) - len(judged)
    fewer = (sentence("logger.compared.days_left_out", count=left_out),) if left_out else ()
    causes = likely_causes(logger, judged, expected, simulation, corrected=corrected, marks=marks)
    return FollowUp(
        daily=_with_new_share(days, causes),
        monthly=_by_month(days),
        days_judged=len(judged),
        weather_corrected=corrected,
        performance_ratio=measured,
        performance_ratio_25c=at_25c,
        expected_ratio_25c=promised,
        ratio=ratio,
        causes=causes,
        notes=(*logger.notes, *fewer),
    )


def _with_new_share(days: pd.DataFrame, causes: tuple[Cause, ...]) -> pd.DataFrame:
    """With the share that begins on a day, where a step was found: `pv_new_share_frac`."""
    for cause in causes:
        if cause.code == "level_shift":
            days["pv_new_share_frac"] = np.nan
            since = pd.Timestamp(str(cause.told["since"]))
            days.loc[since, "pv_new_share_frac"] = cause.told["share"]
    return days


def _performance(judged, expected, simulation, peak_kw):
    """Performance ratios of all days judged, and the one the sketch promises at 25 °C."""
    if "performance_ratio" not in judged:
        return None, None, None
    array_h = float(judged["array_yield_h"].sum())
    measured = performance_ratio(array_h, float(judged["reference_yield_h"].sum()))
    at_25c = performance_ratio(array_h, float(judged["reference_yield_25c_h"].sum()))
    promised = float(judged["pv_expected_kwh"].sum()) / peak_kw
    return (
        measured,
        at_25c,
        performance_ratio(promised, float(judged["reference_yield_25c_h"].sum())),
    )
