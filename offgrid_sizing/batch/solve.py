"""What is computed for one site of a batch: the search, its answer's usual year, its money."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from offgrid_sizing.ageing import ageing_of
from offgrid_sizing.batch import electrical_row as wiring
from offgrid_sizing.economics import life_cycle, yearly_flows
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.outcome import design_of, sized_outcome
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import pdf_bytes
from offgrid_sizing.simulation import Simulation, inputs_of, simulate
from offgrid_sizing.sizing.judge import bad_year, standing_year
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import array_peak_w, bank_nominal_wh, with_system

PDF_NAME = "summary.pdf"
FIELDS = (
    "units", "modules", "inverters", "bank_kwh", "array_kw", "met", "unserved_median_frac",
    "unserved_bad_year_h", "daily_kwh", "curtailed_frac", "self_sufficiency_frac", "generator_h",
    "fuel_l", "grid_kwh", "bank_life_y", "first_cost", "cost_per_year", "lcoe_per_kwh",
    "net_saving", "payback_y", "co2_avoided_kg_per_year", "currency", *wiring.FIELDS,
    "sentence",
)  # fmt: skip


def usual_year(sketch: Sketch, sizing: SizingResult) -> int:
    """The weather year at the judged place by unserved energy: the median, or the 1-in-N bad one.

    Of an even number of years the median lies between two; the one with less unserved stands.
    """
    return standing_year(sizing.unserved_frac, sketch)


def answer_of(sizing: SizingResult, simulation: Simulation) -> dict:
    """The numbers of one site but its wiring's as one flat row, keys as in `FIELDS`."""
    sketch, system, totals = simulation.sketch, simulation.system, simulation.metrics
    ageing = ageing_of(simulation)
    life = life_cycle(sketch, system, yearly_flows(simulation), ageing)
    bad_h = bad_year(sizing.unserved_h, sketch.targets.bad_year_frac)
    return {
        "units": system.units,
        "modules": system.modules,
        "inverters": system.inverters,
        "bank_kwh": bank_nominal_wh(sketch, system) / 1000,
        "array_kw": array_peak_w(sketch, system) / 1000,
        "met": bool(sizing.met),
        "unserved_median_frac": float(np.median(sizing.unserved_frac)),
        "unserved_bad_year_h": float(bad_h),
        "daily_kwh": float(simulation.inputs.loads.daily_kwh),
        "curtailed_frac": totals.curtailed_frac,
        "self_sufficiency_frac": totals.self_sufficiency_frac,
        "generator_h": totals.generator_h,
        "fuel_l": totals.fuel_l,
        "grid_kwh": totals.grid_import_kwh,
        "bank_life_y": ageing.life_y if system.units else None,
        "first_cost": life.first.total,
        "cost_per_year": life.equivalent_annual,
        "lcoe_per_kwh": life.lcoe_per_kwh,
        "net_saving": life.net_saving,
        "payback_y": life.discounted_payback_y,
        "co2_avoided_kg_per_year": life.co2_avoided_kg_per_year,
        "currency": life.currency,
        "sentence": sizing.sentence,
    }


def solve_site(sketch: Sketch, *, base_dir: str | Path | None = None) -> dict:
    """Search bank and array of one site and cost the answer in its usual year.

    Raises
    ------
    BadInput
        When this site has no answer, with the reason.
    """
    inputs = inputs_of(sketch, base_dir=Path(base_dir) if base_dir else None)
    sizing = size(sketch, inputs=inputs)
    drawn = with_system(sketch, sizing.system)
    simulation = simulate(drawn, sizing.system, inputs=inputs, year=usual_year(sketch, sizing))
    verdict = verdict_of(drawn.wiring.rule_book, *design_of(drawn, sizing.system, inputs))
    return answer_of(sizing, simulation) | wiring.electrical_row(verdict)


def solve_with_pdf(sketch: Sketch, *, base_dir: str | Path | None = None) -> dict:
    """The same with everything about the answer, and the summary as a PDF under "files".

    Raises
    ------
    BadInput
        When this site has no answer, with the reason.
    """
    outcome = sized_outcome(sketch, base_dir=Path(base_dir) if base_dir else None)
    paper = pdf_bytes(summary_of_outcome(outcome))
    row = answer_of(outcome.sizing, outcome.simulation) | wiring.electrical_row(outcome.wiring)
    return row | {"files": {PDF_NAME: paper}}
