"""What is computed for one site of a batch: the search, and everything about its answer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from offgrid_sizing.batch import electrical_row as wiring
from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.outcome import Outcome, sized_outcome
from offgrid_sizing.report.labels import labels_pdf
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import pdf_bytes
from offgrid_sizing.report.spared import Spared
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import array_peak_w, bank_nominal_wh
from offgrid_sizing.words import DEFAULT

PDF_NAME = "summary.pdf"
FIELDS = (
    "units",
    "modules",
    "inverters",
    "bank_kwh",
    "array_kw",
    "met",
    "days_of_autonomy",
    "judged_year",
    "judged_year_unserved_frac",
    "judged_year_unserved_h",
    "bad_year_unserved_h",
    "daily_kwh",
    "curtailed_frac",
    "self_sufficiency_frac",
    "generator_h",
    "fuel_l",
    "grid_kwh",
    "bank_life_y",
    "first_cost",
    "cost_per_year",
    "lcoe_per_kwh",
    "net_saving",
    "payback_y",
    "co2_avoided_kg_per_year",
    "currency",
    *wiring.FIELDS,
    "sentence",
)


def answer_of(outcome: Outcome) -> dict:
    """The numbers of one site as one flat row, keys as in `FIELDS`: the outcome's own."""
    sketch, system, totals = outcome.sketch, outcome.system, outcome.simulation.metrics
    life, years, sizing = outcome.life_cycle, outcome.reliability, outcome.sizing
    assert sizing is not None  # a batch always searches
    return {
        "units": system.units,
        "modules": system.modules,
        "inverters": system.inverters,
        "bank_kwh": bank_nominal_wh(sketch, system) / 1000,
        "array_kw": array_peak_w(sketch, system) / 1000,
        "met": bool(sizing.met),
        "days_of_autonomy": outcome.autonomy.dark_median_h / 24,
        "judged_year": years.judged.name,
        "judged_year_unserved_frac": years.judged.unserved_frac,
        "judged_year_unserved_h": years.judged.unserved_h,
        "bad_year_unserved_h": None if years.bad is None else years.bad.unserved_h,
        "daily_kwh": float(outcome.simulation.inputs.loads.daily_kwh),
        "curtailed_frac": totals.curtailed_frac,
        "self_sufficiency_frac": totals.self_sufficiency_frac,
        "generator_h": totals.generator_h,
        "fuel_l": totals.fuel_l,
        "grid_kwh": totals.grid_import_kwh,
        "bank_life_y": outcome.ageing.life_y if system.units else None,
        "first_cost": life.first.total,
        "cost_per_year": life.equivalent_annual,
        "lcoe_per_kwh": life.lcoe_per_kwh,
        "net_saving": life.net_saving,
        "payback_y": life.discounted_payback_y,
        "co2_avoided_kg_per_year": life.co2_avoided_kg_per_year,
        "currency": life.currency,
        **wiring.electrical_row(outcome.wiring),
        "sentence": sizing.sentence,
    }


def solve_site(sketch: Sketch, *, base_dir: str | Path | None = None) -> dict:
    """Search bank and array of one site and work out everything about the answer.

    Raises
    ------
    BadInput
        When this site has no answer, with the reason.
    """
    return answer_of(_outcome(sketch, base_dir))


def solve_with_pdf(
    sketch: Sketch, *, base_dir: str | Path | None = None, language: str = DEFAULT
) -> dict:
    """The same, and under "files" the summary as a PDF and what an electrician takes along.

    The commissioning sheet and the labels are made where the system can be wired. "lacks" says
    which papers could not be made.

    Raises
    ------
    BadInput
        When this site has no answer, with the reason.
    """
    outcome = _outcome(sketch, base_dir)
    spared = Spared()
    files = _papers(spared, outcome, language)
    lacks = {"lacks": spared.sentence()} if spared.faults else {}
    return answer_of(outcome) | {"files": files} | lacks


def _papers(spared: Spared, outcome: Outcome, language: str) -> dict[str, str | bytes]:
    def summary() -> bytes:
        return pdf_bytes(summary_of_outcome(outcome, language=language), language=language)

    makers: dict[str, Callable[[], str | bytes]] = {PDF_NAME: summary}
    sketch, design = outcome.sketch, outcome.design
    if design is not None:
        makers["commissioning.txt"] = lambda: sheet_to_text(sheet_of(sketch, design), language)
        makers["labels.pdf"] = lambda: labels_pdf(sketch, design, language=language)
    made = {name: spared.make(name, make) for name, make in makers.items()}
    return {name: content for name, content in made.items() if content is not None}


def _outcome(sketch: Sketch, base_dir: str | Path | None) -> Outcome:
    return sized_outcome(sketch, base_dir=Path(base_dir) if base_dir else None)
