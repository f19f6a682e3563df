"""Whether a conductor bears a short circuit until its device has opened."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt
from typing import TYPE_CHECKING, Literal

from offgrid_sizing.electrical.inspection_row import InspectionRow, Seen
from offgrid_sizing.words import Said, Together, said

if TYPE_CHECKING:
    from offgrid_sizing.electrical.run_design import RunDesign

Held = Literal["holds", "unknown"]
# IEC 60364-5-54, annex A, copper (from memory): factor [A·√s/mm²] and the temperature at which the
# resistance would be 0 [°C, below zero].
COPPER_K, COPPER_BETA = 226.0, 234.5
# End temperatures of IEC 60364-4-43, Table 43A (from memory): up to 75 °C taken as thermoplastic,
# above as thermosetting; large thermoplastic conductors may reach less. [°C]
THERMOPLASTIC_UP_TO_C, LARGE_ABOVE_MM2 = 75, 300
THERMOPLASTIC_END_C, LARGE_END_C, THERMOSETTING_END_C = 160.0, 140.0, 250.0
AT_ONCE_S = 0.1  # IEC 60898-1: a breaker opens within this time from its upper limit on
LONGEST_S = 5.0  # IEC 60364-4-43, 434.5.2 (from memory): the formula holds up to here


@dataclass(frozen=True)
class Heated:
    """One circuit's conductor in a short circuit at its device.

    Parameters
    ----------
    run : str
    fault_a : float
        Prospective current. [A]
    bears_a2s : float
        k²S²: energy its conductor takes up without harm. [A²s]
    bears_s : float
        How long it bears that current. [s]
    within_s : float or None
        Longest time its device needs; None: not known without the device's own data. [s]
    verdict : {"holds", "unknown"}
        Unknown where only the device's let-through energy can tell.
    """

    run: str
    fault_a: float
    bears_a2s: float
    bears_s: float
    within_s: float | None
    verdict: Held


def conductor_k(insulation_c: float, area_mm2: float) -> float:
    """Factor k of a copper conductor, from its rated temperature to the end temperature.

    Parameters
    ----------
    insulation_c : float
        Rated temperature of the insulation, where it is taken to begin. [°C]
    area_mm2 : float
        Of one conductor. [mm²]

    References
    ----------
    IEC 60364-5-54, annex A; IEC 60364-4-43, Table 43A (from memory).

    >>> [round(conductor_k(*of)) for of in ((70, 95), (70, 400), (90, 95))]
    [115, 103, 143]
    """
    if insulation_c > THERMOPLASTIC_UP_TO_C:
        end_c = THERMOSETTING_END_C
    else:
        end_c = LARGE_END_C if area_mm2 > LARGE_ABOVE_MM2 else THERMOPLASTIC_END_C
    return COPPER_K * sqrt(log((COPPER_BETA + end_c) / (COPPER_BETA + insulation_c)))


def _within_s(seen: Seen, run: RunDesign) -> float | None:
    """Longest time the device of a run needs at its prospective current. [s]

    A breaker opens at once above its upper limit. Whether the bank's devices are fuses or
    breakers is the builder's choice, so nothing bounds their time.
    """
    device = run.shown.device
    if run.need.side != "ac" or device is None:
        return None
    trips_a = seen.code.inspection.clearance.trip_multiple * device.rating_a
    return AT_ONCE_S if run.need.fault_a >= trips_a else None


def _heated(seen: Seen, run: RunDesign) -> Heated:
    judged, fault_a = run.shown.judged, run.need.fault_a
    # Parallel conductors: the fault may be fed through one of them alone.
    area_mm2 = judged.size.area_mm2
    bears_a2s = (conductor_k(run.shown.insulation_c, area_mm2) * area_mm2) ** 2
    bears_s, within_s = bears_a2s / fault_a**2, _within_s(seen, run)
    longest_s = LONGEST_S if within_s is None else within_s
    verdict: Held = "holds" if bears_s >= longest_s else "unknown"
    return Heated(run.need.key, fault_a, bears_a2s, bears_s, within_s, verdict)


def heated_of(seen: Seen) -> tuple[Heated, ...]:
    """Every circuit of bank and alternating current that has a device.

    References
    ----------
    IEC 60364-4-43, 434.5.2: (k·S)² ≥ I²·t (from memory).
    """
    return tuple(
        _heated(seen, run)
        for run in seen.runs
        if run.need.side != "array" and run.shown.device is not None and run.need.fault_a > 0
    )


def _words(seen: Seen, one: Heated) -> Said:
    key = one.verdict if one.verdict == "unknown" or one.within_s else "holds_long"
    return said(
        f"heating.{key}",
        run=said(f"runs.title.{one.run}", **seen.code.words),
        fault_ka=round(one.fault_a / 1000, 1),
        bears_ka2s=float(f"{one.bears_a2s / 1e6:.3g}"),
        bears_s=float(f"{one.bears_s:.2g}"),
        within_s=one.within_s or LONGEST_S,
    )


def heating_row(seen: Seen, heated: tuple[Heated, ...]) -> InspectionRow:
    """All circuits as one row; not done where a device's own data would be needed."""
    open_ones = any(one.verdict == "unknown" for one in heated)
    words = said(
        "heating.said", circuits=Together(tuple(_words(seen, one) for one in heated), by=" ")
    )
    clauses = seen.code.inspection.clearance.heating_clauses
    return InspectionRow("let_through", "not_done" if open_ones else "checked", clauses, words)
