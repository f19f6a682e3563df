"""Why an array gives less or more than expected: clock, strings, full bank, shade, dirt."""

import numpy as np
import pandas as pd

from offgrid_sizing.followup.case import HIGH, LOW, Case, Cause
from offgrid_sizing.followup.marks import FULL


def _full_at_noon(soc: np.ndarray, time: pd.DatetimeIndex, days) -> float:
    """Share of the hours from 10 to 15 in which the bank is full."""
    noon = (time.hour >= 10) & (time.hour < 15) & days
    return float(np.nanmean(soc[noon] >= FULL)) if noon.any() else 0.0


def bank_full(case: Case) -> Cause | None:
    """Array power missing while the bank is full more often than the sketch expects."""
    values, ratio = case.logger.values, case.ratio("pv")
    if "soc" not in values or ratio is None or ratio > LOW:
        return None
    time, expected_time = case.logger.time, case.expected.index
    share = _full_at_noon(values["soc"], time, True)
    same_months = expected_time.month.isin(time.month.unique())
    usual = _full_at_noon(case.simulation.trace["soc_frac"], expected_time, same_months)
    if share - usual < 0.15:
        return None
    return Cause(
        "the bank was full and nothing asked for the sun",
        "high" if share - usual > 0.3 else "medium",
        f"bank at {FULL:.0%} or more in {share:.0%} of the hours from 10 to 15, "
        f"{usual:.0%} expected; array at {ratio:.0%}",
        "no fault: more use at noon or a larger bank would take it",
    )


def _free_days(case: Case) -> pd.DataFrame:
    """Days on which the bank never filled, so that the array could give all it had."""
    judged = case.judged
    if "soc" not in case.logger.values:
        return judged
    soc = pd.Series(case.logger.values["soc"], index=case.logger.time)
    top = soc.groupby(soc.index.floor("D")).max().reindex(judged.index)
    free = judged[top < FULL]
    return free if len(free) >= 5 else judged


def string_out(case: Case) -> Cause | None:
    """A constant share missing that is one string of several."""
    strings = sum(plane.strings for plane in case.simulation.system.planes if plane.modules)
    overall = case.ratio("pv")
    if overall is None or strings < 2 or overall > LOW:
        return None
    free = _free_days(case)
    whole = free is case.judged
    promised = free["pv_expected_kwh" if whole else "pv_available_expected_kwh"]
    daily = (free["pv_kwh"] / promised.where(promised > 0)).dropna()
    ratio = float(free["pv_kwh"].sum() / promised.sum())
    spread = float(daily.quantile(0.75) - daily.quantile(0.25)) / 1.35 / ratio
    missing = min(range(1, strings), key=lambda k: abs(1 - k / strings - ratio))
    if abs(1 - missing / strings - ratio) > 0.04:
        return None
    steady = spread < 0.1
    return Cause(
        f"{missing} of {strings} strings out",
        "high" if steady and case.corrected else "medium" if steady else "low",
        f"array at {ratio:.0%} on {len(free)} days, {strings - missing} of {strings} strings "
        f"would give {1 - missing / strings:.0%}; day to day it varies by {spread:.0%}",
        "string isolators, fuses and connectors; compare string currents",
    )


def soiling(case: Case) -> Cause | None:
    """The share falls slowly over weeks, in dry spells, and jumps back."""
    ratio = case.ratio("pv")
    if ratio is None or not case.corrected or len(case.judged) < 21:
        return None
    daily = (case.judged["performance_ratio_25c"]).dropna()
    if len(daily) < 21:
        return None
    days = (daily.index - daily.index[0]).days.to_numpy()
    slope = float(np.polyfit(days, daily.to_numpy() / daily.mean(), 1)[0])
    fall = float(np.corrcoef(days, daily.to_numpy())[0, 1])
    if slope > -0.0008 or fall > -0.5:
        return None
    return Cause(
        "dirt on the modules",
        "medium",
        f"the ratio at 25 °C falls by {-slope * 30:.1%} a month, correlation {fall:.2f}",
        "look at the glass; wash one string and compare",
    )


def _hourly(case: Case) -> pd.DataFrame | None:
    """Mean day of measured and expected array power, each over its own mean, by hour.

    Hours with a full bank are left out on both sides, because there the loads decide.
    """
    logger = case.logger
    if "pv" not in logger.values or logger.step_h > 1:
        return None
    measured = pd.Series(logger.values["pv"], index=logger.time)
    promised = case.expected["pv"].copy()
    if "soc" in logger.values:
        measured[logger.values["soc"] >= FULL] = np.nan
        promised[case.simulation.trace["soc_frac"] >= FULL] = np.nan
    days = case.judged.index
    measured = measured[measured.index.floor("D").isin(days)]
    promised = promised[case.expected["day"].isin(days.strftime("%m-%d"))]
    frame = pd.DataFrame(
        {
            "measured": measured.groupby(measured.index.hour).mean(),
            "expected": promised.groupby(promised.index.hour).mean(),
        }
    )
    # an hour that is always full on one side says nothing
    frame = frame.where(frame.notna().all(axis=1), 0.0)
    return frame / frame.mean() if (frame.mean() > 0).all() else None


def _shift(profile: pd.DataFrame) -> tuple[float, float]:
    """Centre of gravity of the day, measured and expected. [h]"""
    hour = profile.index.to_numpy() + 0.5

    def centre_h(name: str) -> float:
        return float((hour * profile[name]).sum() / profile[name].sum())

    return centre_h("measured"), centre_h("expected")


def clock_shift(case: Case) -> Cause | None:
    """The logger's day lies an hour or more beside the sun's."""
    profile = _hourly(case)
    if profile is None:
        return None
    first = {name: profile.index[profile[name] > 0.02].min() for name in profile}
    last = {name: profile.index[profile[name] > 0.02].max() for name in profile}
    early, late = (edge["measured"] - edge["expected"] for edge in (first, last))
    if early != late or abs(early) < 1:
        return None
    direction = "late" if early > 0 else "early"
    return Cause(
        f"the logger's clock is {abs(early)} h {direction}",
        "high",
        f"sun rises and sets in the record {abs(early)} h {direction}",
        "daylight saving or time zone of the logger; read the file with its zone",
    )


def new_shade(case: Case) -> Cause | None:
    """One half of the day gives less than the other, against what the sketch expects."""
    profile = _hourly(case)
    if profile is None or clock_shift(case):
        return None
    measured, expected = _shift(profile)
    if abs(measured - expected) < 0.4:
        return None
    half = "morning" if measured > expected else "afternoon"
    return Cause(
        f"shade in the {half} that the sketch does not know",
        "medium" if case.corrected else "low",
        f"the middle of the sun's day lies at {measured:.1f} h, expected {expected:.1f} h",
        f"trees, chimneys, neighbours towards the {'east' if half == 'morning' else 'west'}; or "
        "a string of a plane looking that way is out",
    )


def heat(case: Case) -> Cause | None:
    """Low only because cells are hot: the corrected ratio is fine."""
    judged = case.judged
    if "performance_ratio_25c" not in judged or not {"cell", "air"} & set(case.logger.values):
        return None
    raw = float(judged["array_yield_h"].sum() / judged["reference_yield_h"].sum())
    cool = float(judged["array_yield_h"].sum() / judged["reference_yield_25c_h"].sum())
    if cool - raw < 0.05:
        return None
    return Cause(
        "heat",
        "high" if "cell" in case.logger.values else "medium",
        f"performance ratio {raw:.2f}, with cells at 25 °C {cool:.2f}",
        "air behind the modules; no fault if the second figure is as promised",
    )


def low_for_no_named_reason(case: Case) -> Cause | None:
    """The array is low by more than a word, whatever else was found."""
    ratio = case.ratio("pv")
    if ratio is None or ratio > LOW:
        return None
    if case.corrected:
        return Cause(
            "losses larger than the sketch assumes (dirt, mismatch, wiring, ageing)",
            "low",
            f"array at {ratio:.0%} of expected for the light measured",
            "clean, compare strings, check the irradiance sensor",
        )
    return Cause(
        "duller weather than the sketch's year, or larger losses",
        "low",
        f"array at {ratio:.0%} of the sketch's usual year; no irradiance was logged",
        "log irradiance on the modules, or wait for more months",
    )


def more_than_promised(case: Case) -> Cause | None:
    """More than expected: brighter weather, a faulty light sensor or smaller losses."""
    ratio = case.ratio("pv")
    if ratio is None or ratio < HIGH:
        return None
    why = "the irradiance sensor is dirty or tilted" if case.corrected else "brighter weather"
    return Cause(
        f"more than promised: {why}, or losses smaller than assumed",
        "medium" if case.corrected else "low",
        f"array at {ratio:.0%} of expected",
        "the sensor's plane and glass" if case.corrected else "nothing",
    )
