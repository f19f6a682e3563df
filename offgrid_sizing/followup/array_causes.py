"""Why an array gives less or more than expected: clock, strings, full bank, shade, dirt."""

import numpy as np
import pandas as pd

from offgrid_sizing.followup.case import HIGH, LOW, Case, Cause, cause
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
    return cause(
        "bank_full",
        "high" if share - usual > 0.3 else "medium",
        full_share=share,
        usual_share=usual,
        share=ratio,
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
    return cause(
        "string_out",
        "high" if steady and case.corrected else "medium" if steady else "low",
        missing=missing,
        strings=strings,
        share=ratio,
        days=len(free),
        left_share=1 - missing / strings,
        spread_share=spread,
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
    return cause("soiling", "medium", month_share=-slope * 30, correlation=f"{fall:.2f}")


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
    return cause("clock_late" if early > 0 else "clock_early", "high", hours=abs(early))


def new_shade(case: Case) -> Cause | None:
    """One half of the day gives less than the other, against what the sketch expects."""
    profile = _hourly(case)
    if profile is None or clock_shift(case):
        return None
    measured, expected = _shift(profile)
    if abs(measured - expected) < 0.4:
        return None
    return cause(
        "shade_morning" if measured > expected else "shade_afternoon",
        "medium" if case.corrected else "low",
        middle_h=measured,
        promised_h=expected,
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
    return cause(
        "heat",
        "high" if "cell" in case.logger.values else "medium",
        ratio=f"{raw:.2f}",
        ratio_25c=f"{cool:.2f}",
    )


def low_for_no_named_reason(case: Case) -> Cause | None:
    """The array is low by more than a word, whatever else was found."""
    ratio = case.ratio("pv")
    if ratio is None or ratio > LOW:
        return None
    return cause("low_in_light" if case.corrected else "low_unmeasured", "low", share=ratio)


def more_than_promised(case: Case) -> Cause | None:
    """More than expected: brighter weather, a faulty light sensor or smaller losses."""
    ratio = case.ratio("pv")
    if ratio is None or ratio < HIGH:
        return None
    if case.corrected:
        return cause("more_in_light", "medium", share=ratio)
    return cause("more_unmeasured", "low", share=ratio)
