"""Why measured and expected differ: named likely causes, how sure, and what to look at."""

import pandas as pd

from offgrid_sizing.followup import array_causes as array
from offgrid_sizing.followup import reading_causes as reading
from offgrid_sizing.followup.case import HIGH, LOW, SURE, Case, Cause, cause
from offgrid_sizing.followup.logger import Logger
from offgrid_sizing.followup.marks import Marks
from offgrid_sizing.simulation import Simulation

__all__ = ["Cause", "likely_causes"]


def _load(case: Case) -> Cause | None:
    ratio = case.ratio("load")
    if ratio is None or LOW <= ratio <= HIGH:
        return None
    return cause(
        "load_more" if ratio > 1 else "load_less",
        "high" if len(case.judged) >= 14 else "medium",
        share=ratio,
        days=len(case.judged),
    )


def _bank_losses(case: Case) -> Cause | None:
    judged = case.judged
    if not {"bank_in_kwh", "bank_out_kwh"} <= set(judged) or len(judged) < 7:
        return None
    into, out = float(judged["bank_in_kwh"].sum()), float(judged["bank_out_kwh"].sum())
    unit = case.simulation.sketch.equipment.battery
    promised = unit.charge_efficiency_frac * unit.discharge_efficiency_frac
    found = out / into if into > 0 else 1.0
    if found > promised - 0.07:
        return None
    sure = "medium" if len(judged) >= 30 else "low"
    return cause("bank_losses", sure, share=found, promised_share=promised)


def _unserved(case: Case) -> Cause | None:
    judged = case.judged
    if "unserved_kwh" not in judged:
        return None
    found, promised = (float(judged[f"unserved_{k}"].sum()) for k in ("kwh", "expected_kwh"))
    if found <= promised * 1.2 + 0.1:
        return None
    return cause("unserved", "high", kwh=found, promised_kwh=promised)


def _gaps(case: Case) -> Cause | None:
    span = (case.logger.time[-1] - case.logger.time[0]).days + 1
    missing = 1 - len(case.judged) / max(span, 1)
    if missing < 0.1:
        return None
    return cause("gaps", "high", share=missing)


_RULES = (
    array.clock_shift,
    array.string_out,
    array.bank_full,
    reading.limit,
    reading.level_shift,
    reading.snow,
    reading.stuck,
    reading.leaping,
    array.new_shade,
    array.soiling,
    array.heat,
    _unserved,
    _load,
    _bank_losses,
    array.more_than_promised,
    array.low_for_no_named_reason,
    _gaps,
)


_EXPLAIN = (
    array.string_out,
    array.bank_full,
    reading.limit,
    reading.level_shift,
    reading.snow,
    array.new_shade,
    array.soiling,
)


def likely_causes(
    logger: Logger,
    judged: pd.DataFrame,
    expected: pd.DataFrame,
    simulation: Simulation,
    *,
    corrected: bool,
    marks: Marks | None = None,
) -> tuple[Cause, ...]:
    """Causes that the record supports, the surest first; empty when all is as promised.

    Each rule is a simple test with its numbers in the evidence; thresholds are our own choice.
    """
    case = Case(logger, judged, expected, simulation, corrected, marks)
    found = {rule: one for rule in _RULES if (one := rule(case))}
    if set(found) & set(_EXPLAIN):
        found.pop(array.low_for_no_named_reason, None)
    return tuple(sorted(found.values(), key=lambda one: SURE.index(one.sure)))
