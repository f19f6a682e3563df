"""The bill of materials as a section of a summary."""

from __future__ import annotations

from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.report.model import Section, Table
from offgrid_sizing.words import DEFAULT, said, to_words

_COLUMNS = ("item", "quantity", "unit", "bears")


def bill_section(design: ElectricalDesign, language: str = DEFAULT) -> Section:
    """What to buy, in generic terms."""
    rows = tuple(
        (
            to_words(item.item, language),
            item.quantity,
            said(f"wires.bill.unit_{item.unit}").to(language),
            to_words(item.must_bear, language),
            item.designation,
        )
        for item in design.bill_of_materials
    )
    head = tuple(said(f"wires.bill.col.{name}").to(language) for name in _COLUMNS)
    table = Table("", (*head, said("designations.col.mark").to(language)), rows)
    title, words = (said(f"wires.bill.{key}").to(language) for key in ("title", "sentence"))
    return Section("bill", title, words, (table,))
