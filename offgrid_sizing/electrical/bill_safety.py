"""The lines of the bill that safety asks for: protective conductors, switches, surge devices."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING

from offgrid_sizing.electrical.bill import SPARE, BillItem, line
from offgrid_sizing.electrical.inspection import Inspection
from offgrid_sizing.electrical.protection import rated_dc_v
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said

if TYPE_CHECKING:
    from offgrid_sizing.electrical.designations import Designations
    from offgrid_sizing.electrical.run_design import RunDesign


def _protective(sketch: Sketch, runs: Sequence[RunDesign], marks: Designations) -> list[BillItem]:
    words = code_of(sketch.wiring.rule_book).words
    return [
        line(
            "earth",
            ceil(run.need.run.length_m * run.need.count * SPARE),
            "m",
            "protective",
            f"{marks.conductor(run.need.key)}:PE",
            size=run.protective.label,
            run=run.need.title,
            because=run.protective.because,
            **words,
        )
        for run in runs
    ]


def _bank_switch(runs: Sequence[RunDesign], marks: Designations) -> list[BillItem]:
    return [
        line(
            "device",
            run.need.count,
            "pcs",
            "bank_switch",
            marks.label("bank_switch"),
            design_a=run.shown.design_a,
            volts=rated_dc_v(run.need.highest_v),
            fault_ka=run.need.fault_a / 1000,
            plate=marks.plate("bank_switch"),
        )
        for run in runs
        if run.need.key == "bank_to_inverter"
    ]


def _surge(
    sketch: Sketch, runs: Sequence[RunDesign], inspection: Inspection, marks: Designations
) -> list[BillItem]:
    kind = said(f"bill.surge.{sketch.building.lightning_rod}")
    rows = [
        line(
            "device",
            run.need.count,
            "pcs",
            "surge_array",
            marks.label("surge_array"),
            kind=kind,
            volts=ceil(inspection.surge_array_v),
        )
        for run in runs
        if run.need.key == "array_feeder"
    ]
    line_v = sketch.equipment.inverter.output_v
    mark = marks.label("surge_ac")
    rows.append(line("device", 1, "set", "surge_ac", mark, kind=kind, volts=line_v))
    return rows


def _changeover(inspection: Inspection, marks: Designations) -> list[BillItem]:
    switch = inspection.earthing.changeover
    if switch is None:
        return []
    answer = {None: "open", True: "neutral", False: "lines"}[switch.neutral]
    poles = said(f"bill.poles.{answer}", poles=switch.poles or switch.lines)
    values = {"rating_a": switch.rating_a, "plate": marks.plate("changeover")}
    mark = marks.label("changeover")
    return [line("device", 1, "pcs", "changeover", mark, poles=poles, **values)]


def _residual(
    runs: Sequence[RunDesign], inspection: Inspection, marks: Designations
) -> list[BillItem]:
    clearance = inspection.clearance
    kind = said(f"bill.residual.{clearance.residual_type}")
    return [
        line(
            "device",
            run.need.count,
            "set",
            "residual",
            marks.label(f"residual.{run.need.key}"),
            run=run.need.title,
            residual_ma=clearance.residual_ma,
            kind=kind,
        )
        for run in runs
        if run.need.key in clearance.residual_at
    ]


def _supply(sketch: Sketch, runs: Sequence[RunDesign], marks: Designations) -> list[BillItem]:
    """The grid's main switch, the generator itself, and the terminals both feed."""
    rows = [
        line(
            "device",
            1,
            "pcs",
            "grid_switch",
            marks.label("grid_switch"),
            rating_a=run.shown.device.rating_a,
            volts=run.shown.device.rated_v,
            plate=marks.plate("grid_switch"),
        )
        for run in runs
        if run.need.key == "grid_in" and run.shown.device
    ]
    own = sketch.generator
    if own is not None:
        rows.append(
            line("machine", 1, "pcs", "generator", marks.label("generator"), power_w=own.rated_w)
        )
    if marks.get("input_bar"):
        rows.append(line("device", 1, "set", "input_bar", marks.label("input_bar")))
    return rows


def _boards(sketch: Sketch, marks: Designations) -> list[BillItem]:
    """The board, the earth bar and electrode, and what watches a floating bank."""
    words = code_of(sketch.wiring.rule_book).words
    rows = [
        line("device", 1, "pcs", "board", marks.label("board"), **words),
        line("earth", 1, "pcs", "earth_terminal", marks.label("earth_terminal")),
        line("earth", 1, "pcs", "electrode", marks.label("electrode")),
    ]
    if watch := marks.get("insulation_monitor"):
        rows.insert(1, line("device", 1, "pcs", "insulation_monitor", watch.label))
    return rows


def safety_items(
    sketch: Sketch, runs: Sequence[RunDesign], inspection: Inspection, marks: Designations
) -> tuple[BillItem, ...]:
    """Protective conductors, switches, surge and residual devices, boards and the earth.

    Parameters
    ----------
    sketch : Sketch
    runs : sequence of RunDesign
    inspection : Inspection
    marks : Designations
        What each becomes in the drawing.
    """
    return (
        *_protective(sketch, runs, marks),
        *_bank_switch(runs, marks),
        *_surge(sketch, runs, inspection, marks),
        *_supply(sketch, runs, marks),
        *_changeover(inspection, marks),
        *_residual(runs, inspection, marks),
        *_boards(sketch, marks),
    )
