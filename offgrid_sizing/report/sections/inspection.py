"""What inspectors look for, as blocks of the electrical section and rows of the workbook."""

from __future__ import annotations

from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.inspection_row import InspectionRow
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.report.model import Table
from offgrid_sizing.wiring_code import words_of
from offgrid_sizing.words import DEFAULT, all_to_words, said, to_words


def _answered_by(row: InspectionRow, language: str) -> str:
    words = words_of(row.terms)
    return ", ".join(said(f"fields.{field}", **words).to(language) for field in row.fields) or "–"


def inspection_table(design: ElectricalDesign, language: str = DEFAULT) -> Table:
    """Every row, faults and questions first, with its clauses and where it is answered."""
    rows = tuple(
        (
            to_words(row.title, language),
            said(f"inspection.state.{row.state}").to(language),
            to_words(row.said, language),
            "; ".join(all_to_words(row.clauses, language)) or "–",
            _answered_by(row, language),
        )
        for _, rows in design.inspection.by_state
        for row in rows
    )
    names = ("row", "state", "said", "clauses", "fields")
    head = tuple(said(f"inspection.col_{name}").to(language) for name in names)
    return Table(
        said("inspection.section").to(language),
        head,
        rows,
        said("inspection.legend").to(language),
        widths=(3, 2, 8, 4, 3),
        lead=to_words(design.inspection.sentence, language),
    )


def circuits_table(design: ElectricalDesign, language: str = DEFAULT) -> Table | None:
    """Fault current against the instantaneous trip of each circuit; None without a circuit."""
    clearance, words = design.clearance, code_of(design.earth.book).words
    rows = tuple(
        (
            said(f"runs.title.{one.run}", **words).to(language),
            said(f"clearance.feeder.{one.feeder}").to(language),
            None if one.fault_a is None else round(one.fault_a),
            round(one.trip_a),
            said(f"clearance.verdict.{one.verdict}").to(language),
        )
        for one in clearance.circuits
    )
    if not rows:
        return None
    names = ("run", "feeder", "fault", "trip", "verdict")
    head = tuple(said(f"clearance.col.{name}", **words).to(language) for name in names)
    return Table(said("clearance.table", **words).to(language), head, rows)
