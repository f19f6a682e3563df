"""What inspectors look for, as blocks of the electrical section and rows of the workbook."""

from __future__ import annotations

from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.inspection_row import InspectionRow
from offgrid_sizing.report.model import Table
from offgrid_sizing.words import sentence, together


def _answered_by(row: InspectionRow) -> str:
    asked = (sentence(f"fields.{field}") for field in row.fields)
    return together(*asked, by=", ") or "–"


def inspection_table(design: ElectricalDesign) -> Table:
    """Every row, faults and questions first, with its clauses and where it is answered."""
    rows = tuple(
        (
            together(row.title),
            sentence(f"inspection.state.{row.state}"),
            together(row.said),
            together(*row.clauses, by="; ") or "–",
            _answered_by(row),
        )
        for _, rows in design.inspection.by_state
        for row in rows
    )
    names = ("row", "state", "said", "clauses", "fields")
    return Table(
        sentence("inspection.section"),
        tuple(sentence(f"inspection.col_{name}") for name in names),
        rows,
        sentence("inspection.legend"),
        widths=(3, 2, 8, 4, 3),
        lead=together(design.inspection.sentence),
    )


def circuits_table(design: ElectricalDesign) -> Table | None:
    """Fault current against the instantaneous trip of each circuit; None without a circuit."""
    clearance = design.clearance
    rows = tuple(
        (
            sentence(f"wiring.run.{one.run}"),
            sentence(f"clearance.feeder.{one.feeder}"),
            None if one.fault_a is None else round(one.fault_a),
            round(one.trip_a),
            sentence(f"clearance.verdict.{one.verdict}"),
        )
        for one in clearance.circuits
    )
    if not rows:
        return None
    names = ("run", "feeder", "fault", "trip", "verdict")
    head = tuple(sentence(f"clearance.col.{name}") for name in names)
    return Table(sentence("clearance.table"), head, rows)
