"""The lines of the bill that safety asks for: protective conductors, switches, surge devices."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING

from offgrid_sizing.electrical.bill import SPARE, BillItem
from offgrid_sizing.electrical.inspection import Inspection
from offgrid_sizing.electrical.protection import rated_dc_v
from offgrid_sizing.sketch import Sketch

if TYPE_CHECKING:
    from offgrid_sizing.electrical.run_design import RunDesign

_SURGE_TYPES = {
    "no": "type 2",
    "yes": "type 1 and 2 together",
    "unknown": "type 2, or type 1 under outer lightning protection (not settled)",
}


def _protective(runs: Sequence[RunDesign]) -> list[BillItem]:
    return [
        BillItem(
            "earth",
            ceil(run.need.run.length_m * run.need.count * SPARE),
            "m",
            f"protective conductor {run.protective.label}",
            f"{run.need.title}: {run.protective.because}",
        )
        for run in runs
    ]


def _bank_switch(runs: Sequence[RunDesign]) -> list[BillItem]:
    return [
        BillItem(
            "device",
            run.need.count,
            "pcs",
            "load-break switch for direct current at the bank, lockable",
            f"{run.shown.design_a:.0f} A, {rated_dc_v(run.need.highest_v):g} V, "
            f"{run.need.fault_a / 1000:.1f} kA behind its fuse",
        )
        for run in runs
        if run.need.key == "bank_to_inverter"
    ]


def _surge(sketch: Sketch, runs: Sequence[RunDesign], inspection: Inspection) -> list[BillItem]:
    kind = _SURGE_TYPES[sketch.building.lightning_rod]
    rows = [
        BillItem(
            "device",
            run.need.count,
            "pcs",
            "surge protective device for direct current, at the controller's input",
            f"{kind}, at least {ceil(inspection.surge_array_v)} V continuous",
        )
        for run in runs
        if run.need.key == "array_feeder"
    ]
    line_v = sketch.equipment.inverter.output_v
    rows.append(
        BillItem("device", 1, "set", "surge protective device for alternating current",
                 f"{kind}, for {line_v:g} V to earth, at the board")
    )  # fmt: skip
    return rows


def _changeover(inspection: Inspection) -> list[BillItem]:
    switch = inspection.earthing.changeover
    if switch is None:
        return []
    if switch.poles is None:
        poles = f"{switch.lines} poles for lines; pole for the neutral: not settled"
    else:
        poles = f"{switch.poles} poles" + (", one for the neutral" if switch.neutral else "")
    words = f"{poles}, {switch.rating_a:g} A, mechanically interlocked"
    return [BillItem("device", 1, "pcs", "transfer switch between grid and generator", words)]


def _residual(runs: Sequence[RunDesign], inspection: Inspection) -> list[BillItem]:
    clearance = inspection.clearance
    if not clearance.residual_ma:
        return []
    kind = clearance.residual_type
    words = "type not settled" if kind == "unknown" else f"type {kind.upper()}"
    titles = {run.need.key: run.need.title for run in runs}
    return [
        BillItem("device", 1, "set", "residual-current devices",
                 f"{titles[key]}: {clearance.residual_ma:g} mA, {words}")
        for key in clearance.residual_at
    ]  # fmt: skip


def safety_items(
    sketch: Sketch, runs: Sequence[RunDesign], inspection: Inspection
) -> tuple[BillItem, ...]:
    """Protective conductors, bank switch, surge devices, transfer switch, residual devices."""
    return (
        *_protective(runs),
        *_bank_switch(runs),
        *_surge(sketch, runs, inspection),
        *_changeover(inspection),
        *_residual(runs, inspection),
    )
